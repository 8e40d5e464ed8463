//! A verdict in words: each ground with its figures, and what stands against a figure in one phrase.

use core::fmt;

use units::{Range, Torque};

use super::{BandEnd, FrictionReach, TighteningGround, TighteningVerdict};
use crate::guard::{TorqueVerdict, TorqueWindow, WindowCeiling};

impl TighteningVerdict {
    /// Everything that stands against the figure, heaviest first; nothing where it is plausible.
    #[must_use]
    pub fn against_words(&self) -> Option<String> {
        let grounds: Vec<String> = self.objections().map(ToString::to_string).collect();
        (!grounds.is_empty()).then(|| grounds.join("; "))
    }

    /// The same in one phrase with what to do: "unusual: the thread strips from 3.2 N·m where slippery; ask first".
    #[must_use]
    pub fn objection_words(&self) -> Option<String> {
        let standing = self.standing().spoken_word();
        self.against_words().map(|against| format!("{standing}: {against}; ask first"))
    }
}

impl fmt::Display for TighteningGround {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutsideBand { window, end, verdict } => write_band(f, window, *end, *verdict),
            Self::ReadsInOtherUnit(slip) => write!(
                f,
                "was {} meant instead of {}? that would be {}",
                slip.meant_in,
                slip.written_as,
                n_m(slip.meant)
            ),
            Self::OutOfLine { level_ratio, count, slip } => {
                let times = units::significant(*level_ratio, 2);
                write!(f, "{times} × the level of {count} like fixings of the book")?;
                slip.as_ref().map_or(Ok(()), |slip| write!(f, "; {slip}"))
            }
            Self::Strips { from, reach } => {
                write!(f, "the thread strips from {}", limit_words(from, *reach))
            }
            Self::Breaks { from, reach } => write!(f, "the bolt breaks from {}", limit_words(from, *reach)),
            Self::Yields { from } => {
                write!(f, "at the middle friction of its surface the bolt yields from {}", n_m(*from))
            }
            Self::TurnsPastYield { first_yield, .. } => write!(
                f,
                "the angle may take the bolt past yield (from {}° on), and nothing says that it is renewed: ask the maker \
                 before the start, while new ones can be got",
                units::significant(first_yield.as_deg(), 2)
            ),
            Self::TurnNotKnown => {
                f.write_str("an angle follows; whether it stretches the bolt for good is not known")
            }
            Self::OneTime => f.write_str("used once: have new ones before the start"),
            Self::ThreadUnknown => f.write_str(
                "the thread is not known, so yield and stripping were not looked at; the band is that of its head",
            ),
            Self::ClassUnknown => f.write_str("the class is not known: read it off the head"),
            Self::LubricationUnknown => f.write_str(
                "the lubrication is not known; oil on a figure meant dry raises the load by up to a half",
            ),
            Self::EngagementUnknown => {
                f.write_str("the engaged length is not known, so stripping was not looked at")
            }
        }
    }
}

fn n_m(torque: Torque) -> String {
    torque.show_in(&Torque::UNITS[0], 2)
}

fn limit_words(from: &Range<Torque>, reach: FrictionReach) -> String {
    match reach {
        FrictionReach::SlipperyEnd => format!("{} where slippery", n_m(from.low())),
        FrictionReach::Throughout => {
            format!("{} where slippery, {} where rough", n_m(from.low()), n_m(from.high()))
        }
    }
}

fn write_band(
    f: &mut fmt::Formatter<'_>,
    window: &TorqueWindow,
    end: BandEnd,
    verdict: TorqueVerdict,
) -> fmt::Result {
    let far = if verdict == TorqueVerdict::Absurd { "far " } else { "" };
    let (low, high) = (n_m(window.range.low()), n_m(window.range.high()));
    match (end, window.ceiling) {
        (BandEnd::Below, _) => {
            write!(f, "{far}below the {low} to {high} of its thread: it may hold nothing")
        }
        (BandEnd::Above, WindowCeiling::BoltYield) => {
            write!(f, "{far}above the {low} to {high} of its thread: the bolt yields at every friction")
        }
        (BandEnd::Above, WindowCeiling::CastAluminium) => write!(
            f,
            "{far}above the {low} to {high} of its thread in a casting, which gives way before the bolt"
        ),
    }
}
