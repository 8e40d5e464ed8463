//! The one verdict of a book's fixing as the surfaces show it: its grounds, the preload and the strip margin that go with it, and a note.
//!
//! **Method.** `model::tightening_verdict`, which book check, plan and card ask as well.

use super::strip_margin::FirstFailure;
use super::why::FixingReasons;
use super::{FigureRange, figures};
use bolting::verdict::{FrictionReach, GroundWeight, TighteningGround, TighteningVerdict};
use bolting::{Edition, Lubrication, PropertyClass, Thread, thread_strip, torque};
use model::{Book, Fixing, tightening_verdict};
use serde::Serialize;
use units::Force;

/// One thing that speaks about a tightening.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VerdictGround {
    /// Short name: `strips`.
    pub kind: &'static str,
    /// A note, a question, or a refusal.
    pub weight: GroundWeight,
    /// In words, with figures.
    pub words: String,
}

impl VerdictGround {
    /// A ground as it is shown.
    #[must_use]
    pub fn of_ground(ground: &TighteningGround) -> Self {
        Self { kind: ground.name(), weight: ground.weight(), words: ground.to_string() }
    }
}

/// Where the preload of a torque ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PreloadEnd {
    /// At its upper figure.
    Stated,
    /// Not known: class or lubrication is missing, and the slipperiest would break the bolt.
    NotKnown,
    /// In breaking, only if the slipperiest friction and the strongest pull of the wrench meet.
    MayBreak,
    /// In breaking, where the joint is slippery.
    BreaksWhereSlippery,
    /// In breaking, at every friction.
    Breaks,
}

impl FixingReasons {
    /// The preload in words, with its share of the proof load; nothing where none was worked out.
    #[must_use]
    pub fn preload_words(&self) -> Option<String> {
        let Some(range) = self.preload_n else {
            let breaks = self.preload_end == PreloadEnd::Breaks;
            return breaks.then(|| String::from("none: at this torque the bolt BREAKS"));
        };
        let proof = self
            .of_proof_fraction
            .map_or_else(String::new, |s| format!(", {} of proof load", figures::format_percent_range(s)));
        let from = figures::format_force_range(FigureRange::from_ends(range.low, range.low), figures::COARSE);
        Some(match self.preload_end {
            PreloadEnd::Stated => format!("{}{proof}", figures::format_force_range(range, figures::COARSE)),
            PreloadEnd::NotKnown => {
                format!("from {from}; how far it rises is not known, for class or lubrication is missing")
            }
            PreloadEnd::MayBreak => {
                format!("from {from} up to breaking, if the slipperiest friction and the strongest pull meet")
            }
            PreloadEnd::BreaksWhereSlippery => format!("from {from}; where it is slippery the bolt BREAKS"),
            PreloadEnd::Breaks => String::from("none: at this torque the bolt BREAKS"),
        })
    }

    /// What gives way first, and whether this figure reaches it; nothing where the engagement or the class is not known.
    #[must_use]
    pub fn strip_words(&self) -> Option<String> {
        let ((margin, gives_way), strips) =
            self.strip_margin_ratio.zip(self.gives_way).zip(self.strips_at_n_m)?;
        let (margin, from) = (
            figures::format_figure(margin, figures::COARSE),
            figures::format_torque_range(strips, figures::COARSE),
        );
        let what = match gives_way {
            FirstFailure::BoltBreaks => {
                return Some(format!("{margin}: overtightened, the bolt breaks before a thread strips"));
            }
            FirstFailure::HoleStrips => "the thread in the hole",
            FirstFailure::BoltStrips => "the bolt's thread",
        };
        let is_reached = self.grounds.iter().any(|ground| ground.kind == "strips");
        Some(if is_reached {
            format!("{margin}: {what} strips first, from {from}")
        } else if self.torque_n_m.is_some_and(|torque_n_m| torque_n_m >= strips.low) {
            format!(
                "{margin}: lubrication is not known; were it slippery, {what} would give way, from {from}"
            )
        } else {
            format!("{margin}: overtightened, {what} gives way before the bolt, from {from}")
        })
    }
}

/// What stands against the figure of a fixing, for a line below its source: "unusual: the thread strips from 3.2 N·m where slippery;
/// ask first"; nothing where the figure is plausible.
#[must_use]
pub fn verdict_note(book: &Book, fixing: &Fixing) -> Option<String> {
    tightening_verdict(book, fixing)?.objection_words()
}

/// Load at which even a strong bolt of its class breaks under the slipperiest friction; of 12.9 where the class is not known.
pub(super) fn breaking_load(fixing: &Fixing, thread: Thread) -> Force {
    let class = fixing.class.unwrap_or(PropertyClass::C12_9);
    let slippery = fixing.lubrication.friction_range().low;
    torque::breaking_preload(thread, class, slippery, Edition::default()) * thread_strip::STRENGTH_FACTOR
}

/// Where the preload ends, by the verdict; `passes_breaking` says whether the worst ends taken together pass the breaking load.
pub(super) fn preload_end(fixing: &Fixing, verdict: &TighteningVerdict, passes_breaking: bool) -> PreloadEnd {
    let reach = verdict.grounds.iter().find_map(|ground| match ground {
        TighteningGround::Breaks { reach, .. } => Some(*reach),
        TighteningGround::OutsideBand { .. }
        | TighteningGround::ReadsInOtherUnit(_)
        | TighteningGround::OutOfLine { .. }
        | TighteningGround::Strips { .. }
        | TighteningGround::Yields { .. }
        | TighteningGround::TurnsPastYield { .. }
        | TighteningGround::TurnNotKnown
        | TighteningGround::OneTime
        | TighteningGround::ThreadUnknown
        | TighteningGround::ClassUnknown
        | TighteningGround::LubricationUnknown
        | TighteningGround::EngagementUnknown => None,
    });
    let is_known = fixing.class.is_some() && fixing.lubrication != Lubrication::Unstated;
    match (reach, passes_breaking) {
        (Some(FrictionReach::Throughout), _) => PreloadEnd::Breaks,
        (Some(FrictionReach::SlipperyEnd), _) => PreloadEnd::BreaksWhereSlippery,
        (None, false) => PreloadEnd::Stated,
        (None, true) if is_known => PreloadEnd::MayBreak,
        (None, true) => PreloadEnd::NotKnown,
    }
}

#[cfg(test)]
mod tests {
    use super::verdict_note;

    /// The note of the one fixing of the smallest book after some changes: M6 × 25, 8.8, 9 N·m, dry, 13 mm in cast aluminium.
    fn note_of(changes: &[(&str, &str)]) -> Option<String> {
        let text = changes.iter().fold(book::SMALLEST.to_owned(), |text, (old, new)| {
            assert!(text.contains(old), "`{old}` is not in the book");
            text.replacen(old, new, 1)
        });
        let read = book::read_book(&[(String::from("sample.toml"), text.into_bytes())]);
        let sample = read.book.expect("warnings do not keep a book back");
        verdict_note(&sample, &sample.fixings[0])
    }

    #[test]
    fn a_card_says_what_stands_against_a_figure_and_nothing_else() {
        assert_eq!(note_of(&[]), None);
        // What is not known stands against nothing while the figure lies in its band.
        assert_eq!(note_of(&[("  class       = \"8.8\"\n", ""), ("  lubrication = \"dry\"\n", "")]), None);
        let plastic = note_of(&[("\"cast-aluminium\"", "\"plastic\"")]).expect("it strips");
        assert!(plastic.starts_with("unusual: the thread strips from "), "{plastic}");
        assert!(plastic.ends_with("; ask first"), "{plastic}");
        let turned = note_of(&[("\"9 N·m\"", "\"90°\"")]).expect("it may yield");
        assert!(turned.contains("nothing says that it is renewed"), "{turned}");
        assert_eq!(
            note_of(&[("\"9 N·m\"", "\"90°\""), ("  pattern ", "  one_time = true\n  pattern ")]),
            None
        );
        let unturned = note_of(&[("  thread      = \"M6\"\n", ""), ("\"9 N·m\"", "\"19 N·m\"")]);
        assert!(unturned.is_some_and(|words| words.starts_with("unusual: above the ")));
    }
}
