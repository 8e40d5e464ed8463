//! The readiness sheet: what can be worked, what stands open, what to get and to have ready.

use crate::{Act, MissKind, ObtainKind, PieceAbsence, PieceSpec, ReachVerdict, Supply};
use serde::{Deserialize, Serialize};

/// A duty that nothing at hand can do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gap {
    /// Fixing key.
    pub fixing: String,
    /// Position of the access.
    pub access: u16,
    /// The act.
    pub act: Act,
    /// Position of the tightening stage.
    pub stage: Option<u8>,
    /// The rule that the nearest stack fails.
    pub kind: MissKind,
    /// By how much, in the rule's unit.
    pub short_by: f64,
    /// One sentence.
    pub words: String,
    /// Piece keys of the nearest stack.
    pub nearest: Vec<String>,
    /// What would close it.
    pub wanted: PieceSpec,
}

/// One thing to buy, borrow or make, and what it unlocks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShoppingLine {
    /// How to obtain it.
    pub how: ObtainKind,
    /// Specification in one line.
    pub words: String,
    /// The specification.
    pub spec: Option<PieceSpec>,
    /// Positions in [`Readiness::gaps`] that it closes.
    pub closes: Vec<usize>,
    /// Fixing keys that it unlocks, sorted.
    pub unlocks: Vec<String>,
}

/// A piece of the kit or a special tool that is not at hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NotAtHandLine {
    /// Piece or special-tool key.
    pub key: String,
    /// Title.
    pub title: String,
    /// Why it is not at hand.
    pub state: PieceAbsence,
    /// What needs it: task, part or fixing keys, sorted.
    pub wanted_by: Vec<String>,
}

/// A part or fastener to have in hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SupplyLine {
    /// What it is, how many, and when it is wanted.
    pub supply: Supply,
    /// Task, part, condition or fixing keys that need it, sorted.
    pub wanted_by: Vec<String>,
}

/// A fixing that may break, round off or seize, and what to have ready.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RescueLine {
    /// Fixing key.
    pub fixing: String,
    /// Number of fasteners.
    pub count: u16,
    /// Break-loose factor.
    pub break_loose_factor: f64,
    /// What to have ready, in order of use.
    pub items: Vec<String>,
}

/// Caps for an opening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CapLine {
    /// Opening key.
    pub opening: String,
    /// The cap in words; `None`: it cannot be capped, so tools over it must hold the fastener.
    pub cap: Option<String>,
    /// How many.
    pub count: u16,
    /// Part that uncovers it.
    pub uncovered_by: String,
}

/// A fixing that has to be tightened and for which the book has no figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MissingFigureLine {
    /// Fixing key.
    pub fixing: String,
    /// What a person calls it.
    pub title: String,
    /// Number of fasteners.
    pub count: u16,
}

/// How many fasteners of a plan are known to be workable, by what is known; each counts once, by the worst of its acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Coverage {
    /// One stack at hand does each act, whatever the figures in doubt are.
    pub proven: u32,
    /// A stack at hand may do each act.
    pub likely: u32,
    /// A figure that the rules need has neither a value nor a class.
    pub not_known: u32,
    /// Nothing at hand does one of the acts.
    pub no: u32,
}

impl Coverage {
    /// Counts one fastener.
    pub fn count_fastener(&mut self, verdict: ReachVerdict) {
        match verdict {
            ReachVerdict::Proven => self.proven += 1,
            ReachVerdict::Likely => self.likely += 1,
            ReachVerdict::NotKnown => self.not_known += 1,
            ReachVerdict::No => self.no += 1,
        }
    }

    /// All fasteners.
    #[must_use]
    pub const fn fasteners(&self) -> u32 {
        self.proven + self.likely + self.not_known + self.no
    }

    /// Whether every fastener is proven.
    #[must_use]
    pub const fn is_whole(&self) -> bool {
        self.likely == 0 && self.not_known == 0 && self.no == 0
    }
}

units::worded! {
    /// What is known about going on at a moment of the job, best first.
    pub enum ReadinessVerdict {
        /// Nothing known fails, and nothing is open.
        Go = "go",
        /// Nothing known fails, but a fastener is not proven or a question stands.
        Open = "open",
        /// Something known cannot be done.
        No = "no",
    }
}

/// The verdicts at the three moments of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReadinessVerdicts {
    /// Before the first bolt is loosened.
    pub first_bolt: ReadinessVerdict,
    /// Before the refit.
    pub refit: ReadinessVerdict,
    /// Before the first start.
    pub first_start: ReadinessVerdict,
}

units::worded! {
    /// What an open line asks for.
    pub enum OpenKind {
        /// A figure that has neither a value nor a class.
        FigureNotKnown = "figure-not-known" / "not known",
        /// A tightening figure with its source.
        TighteningMissing = "tightening-missing" / "figure missing",
        /// A figure that is assumed, or in doubt.
        NotProven = "not-proven" / "not proven",
        /// A tightening figure that something stands against.
        AskFirst = "ask-first" / "ask first",
        /// What holds the engine while a part that carries it is off.
        Support = "support",
        /// What the trade wants to know of a part or a condition and nobody told: a tension, a cap, a wait.
        TradeQuestion = "trade-question" / "not told",
    }
}

/// One question that stands open, for all fasteners that it is asked of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct OpenLine {
    /// What it asks for.
    pub kind: OpenKind,
    /// The question in a sentence, with what settles it.
    pub words: String,
    /// Number of fasteners.
    pub fasteners: u32,
    /// Fixing keys, sorted; of a support the fixings of the part that comes off.
    pub fixings: Vec<String>,
}

/// One answer to a question, and what it would bring.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LookAnswer {
    /// The answer, in a word.
    pub answer: String,
    /// Fasteners that would be proven, or refused.
    pub settles: u32,
    /// Fasteners whose verdict would get better and stay open.
    pub helps: u32,
}

/// A look that is worth its time: where, what to look for, and what each answer would bring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LookLine {
    /// Fixing key.
    pub fixing: String,
    /// The question.
    pub question: String,
    /// Time that it takes, s; assumed.
    pub seconds: f64,
    /// Number of fasteners of the fixing.
    pub fasteners: u32,
    /// The answers.
    pub answers: Vec<LookAnswer>,
}

/// The readiness sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Readiness {
    /// How many fasteners are proven, likely, not known, or not to be worked.
    pub coverage: Coverage,
    /// Of the proven fasteners, those that rest on a room class and not on a measured room.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub proven_by_class: u32,
    /// The verdicts at the three moments.
    pub verdict: ReadinessVerdicts,
    /// Whether first bolt and refit are both *go*.
    pub go: bool,
    /// What stands open, one line for one question; the list is always written, also when it is empty.
    #[serde(default)]
    pub open: Vec<OpenLine>,
    /// Looks that would settle most, the most worth first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub looks: Vec<LookLine>,
    /// Kinds of figures that the plan assumes because nothing is told: "the times of 12 parts".
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<String>,
    /// What is to be said once on every sheet about the book: that its figures are invented.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub book_note: Option<String>,
    /// What prevents starting, one sentence each.
    pub against: Vec<String>,
    /// What prevents the refit and not the strip, one sentence each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub against_refit: Vec<String>,
    /// Fixings in the way that have to be tightened and for which the book has no figure.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures_missing: Vec<MissingFigureLine>,
    /// Duties that nothing at hand can do.
    pub gaps: Vec<Gap>,
    /// What to buy, borrow or make.
    pub shopping: Vec<ShoppingLine>,
    /// Pieces and special tools not at hand.
    pub not_at_hand: Vec<NotAtHandLine>,
    /// Parts, consumables and one-time fasteners, those wanted before the start first.
    pub supplies: Vec<SupplyLine>,
    /// Risky fixings and what to have ready.
    pub rescue: Vec<RescueLine>,
    /// Openings and the caps they need.
    pub caps: Vec<CapLine>,
    /// Safety states before the first step, in words.
    pub safety: Vec<String>,
    /// Parts likely to break at their age.
    pub brittle: Vec<String>,
}

/// Whether a count needs no word.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
const fn is_zero(count: &u32) -> bool {
    *count == 0
}
