//! The one verdict of a book's fixing: what speaks against its figure, with the like fixings of the book as witnesses.
//!
//! **Method.** `bolting::verdict`. Siblings are the solid bolts, nuts, studs and screws of the same class, hole and lubrication that
//! are tightened by torque alone.

use super::strip_margin::FirstFailure;
use super::why::{FixingReasons, head_form, is_solid};
use super::{FigureRange, figures};
use bolting::angle::MakersReuseRule;
use bolting::guard::{TorqueContext, TorqueVerdict};
use bolting::siblings::SiblingTorque;
use bolting::verdict::{
    FrictionReach, GroundWeight, TighteningCase, TighteningGround, TighteningVerdict, TurnAfterTorque,
    judge_tightening,
};
use bolting::{Edition, Lubrication, PropertyClass, Thread, thread_strip, torque};
use model::{Book, Fixing};
use serde::Serialize;
use units::{Force, Length, Torque};

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

/// The verdict in words.
#[must_use]
pub const fn standing_words(standing: TorqueVerdict) -> &'static str {
    match standing {
        TorqueVerdict::Plausible => "plausible",
        TorqueVerdict::Unusual => "unusual",
        TorqueVerdict::Absurd => "cannot be meant",
    }
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

/// The verdict of a fixing's last torque and the turn after it, with its siblings of the same book.
pub(super) fn judge_fixing(
    book: &Book,
    fixing: &Fixing,
    thread: Thread,
    (torque, turn): (Torque, Option<TurnAfterTorque>),
) -> TighteningVerdict {
    let is_like = |other: &&Fixing| {
        other.key != fixing.key
            && is_solid(other)
            && other.class == fixing.class
            && other.lubrication == fixing.lubrication
            && other.tapped_in == fixing.tapped_in
            && other.tightening.stages.iter().all(|stage| stage.target.angle().is_none())
    };
    let sibling =
        |other: &Fixing| Some(SiblingTorque { thread: other.thread?, torque: other.greatest_torque()? });
    let siblings: Vec<SiblingTorque> = book.fixings.iter().filter(is_like).filter_map(sibling).collect();
    let last_torque = fixing.tightening.stages.iter().rev().find(|stage| stage.target.torque().is_some());
    let written = last_torque.and_then(|stage| Torque::parse_with_unit(&stage.as_written).ok());
    judge_tightening(&TighteningCase {
        context: TorqueContext {
            thread,
            class: fixing.class,
            lubrication: fixing.lubrication,
            tapped_in: fixing.tapped_in,
        },
        torque,
        written: written.map_or(&Torque::UNITS[0], |(_, unit)| unit),
        allowed_fraction: fixing.tightening.tolerance_fraction,
        bearing: head_form(fixing).bearing_face(thread).friction_diameter(),
        engagement: fixing
            .engagement
            .ends()
            .map(|(least, _)| least)
            .filter(|engaged| *engaged > Length::ZERO),
        turn,
        reuse: if fixing.one_time { MakersReuseRule::OneUse } else { MakersReuseRule::Silent },
        siblings: &siblings,
    })
}
