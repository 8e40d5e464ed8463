//! One open line of the ledger: what is open, where, since when, and what would close it.

use serde::{Deserialize, Serialize};

use crate::visit::AcceptedLine;
use crate::{EventPlace, EventStamp, RefusalReason};

/// What kind of thing is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LedgerLineKind {
    /// Dropped and not found.
    Lost,
    /// Two devices contradict each other about a fastener.
    Undecided,
    /// A fastener is broken.
    Broken,
    /// A fastener is not there.
    Missing,
    /// A fastener is broken loose and still in its hole.
    Freed,
    /// A fastener is off.
    Off,
    /// A fastener is run in, not tightened or not through all passes.
    FingerTight,
    /// A fastener that is renewed each time is back in after it was loosened.
    NotRenewed,
    /// A fixing is run in, and the book has no figure to tighten it to.
    FigureMissing,
    /// A part is off.
    PartOff,
    /// An opening is uncovered and not capped.
    Uncapped,
    /// Caps are in an opening.
    CapsIn,
    /// Something put in is still in.
    PutIn,
    /// A setting of the vehicle does not stand as it should at the end.
    Setting,
    /// A condition has to be undone.
    Condition,
    /// A happening is open.
    Happening,
    /// A wait runs.
    Wait,
    /// A piece is out of its place.
    PieceOut,
    /// A piece is lent.
    PieceLent,
    /// A finding awaits the owner's word.
    Finding,
    /// What the owner wants done is not done.
    Approved,
    /// A count by hand does not agree.
    Count,
    /// An event does not fit the book or what is known.
    Strange,
}

impl LedgerLineKind {
    /// All kinds, the gravest first: the order of the ledger.
    pub const ALL: [Self; 23] = [
        Self::Lost,
        Self::Undecided,
        Self::Broken,
        Self::Missing,
        Self::Freed,
        Self::Off,
        Self::FingerTight,
        Self::NotRenewed,
        Self::FigureMissing,
        Self::PartOff,
        Self::Uncapped,
        Self::CapsIn,
        Self::PutIn,
        Self::Setting,
        Self::Condition,
        Self::Happening,
        Self::Wait,
        Self::PieceOut,
        Self::PieceLent,
        Self::Finding,
        Self::Approved,
        Self::Count,
        Self::Strange,
    ];

    /// The name that starts the keys of its lines; never changes, for overrides name it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lost => "lost",
            Self::Undecided => "undecided",
            Self::Broken => "broken",
            Self::Missing => "missing",
            Self::Freed => "freed",
            Self::Off => "off",
            Self::FingerTight => "finger-tight",
            Self::NotRenewed => "not-renewed",
            Self::FigureMissing => "figure-missing",
            Self::PartOff => "part-off",
            Self::Uncapped => "uncapped",
            Self::CapsIn => "caps-in",
            Self::PutIn => "put-in",
            Self::Setting => "setting",
            Self::Condition => "condition",
            Self::Happening => "happening",
            Self::Wait => "wait",
            Self::PieceOut => "piece-out",
            Self::PieceLent => "piece-lent",
            Self::Finding => "finding",
            Self::Approved => "approved",
            Self::Count => "count",
            Self::Strange => "strange",
        }
    }

    /// What a person calls it, as a heading.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Lost => "lost",
            Self::Undecided => "two devices disagree",
            Self::Broken => "broken",
            Self::Missing => "missing",
            Self::Freed => "broken loose",
            Self::Off => "off",
            Self::FingerTight => "finger-tight",
            Self::NotRenewed => "old fastener where a new one is required",
            Self::FigureMissing => "tightening figure missing",
            Self::PartOff => "parts off",
            Self::Uncapped => "openings without caps",
            Self::CapsIn => "caps in",
            Self::PutIn => "put in, to be taken out",
            Self::Setting => "not as it should be at hand-over",
            Self::Condition => "to be restored",
            Self::Happening => "happenings not dealt with",
            Self::Wait => "waiting",
            Self::PieceOut => "tools not put back",
            Self::PieceLent => "tools lent",
            Self::Finding => "for the owner to decide",
            Self::Approved => "approved by the owner, not done yet",
            Self::Count => "count does not agree",
            Self::Strange => "does not match the book or the record",
        }
    }

    /// Whether it is about a single fastener.
    #[must_use]
    pub const fn is_fastener(self) -> bool {
        use LedgerLineKind::{Broken, FingerTight, Freed, Missing, NotRenewed, Off, Undecided};
        matches!(self, Undecided | Broken | Missing | Freed | Off | FingerTight | NotRenewed)
    }
}

/// An open line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LedgerLine {
    /// Its name: the kind and what it is about; the same as long as it is open, on every device.
    pub key: String,
    /// Kind.
    pub kind: LedgerLineKind,
    /// Key of the fixing, part, condition, opening, setting or piece, or the event that it is about.
    pub of: String,
    /// Where.
    pub at: EventPlace,
    /// The slot where it lies, for a fastener that is off.
    pub slot: Option<String>,
    /// What is open, in a sentence without its full stop.
    pub what: String,
    /// What would close it, in the imperative.
    pub closes: String,
    /// What opened it.
    pub since: EventStamp,
    /// When a wait is over, by the writer's clock, milliseconds since 1970-01-01 UTC.
    pub ends_ms: Option<i64>,
    /// Accepted as it is, after it had opened.
    pub accepted: Option<AcceptedLine>,
}

impl LedgerLine {
    /// The line as a reason against something.
    #[must_use]
    pub fn to_refusal_reason(&self) -> RefusalReason {
        RefusalReason { line: Some(self.key.clone()), what: self.what.clone(), closes: self.closes.clone() }
    }
}

/// The key of a line; a slash in a name is written so that no two lines share a key.
#[must_use]
pub(crate) fn ledger_line_key(kind: LedgerLineKind, names: &[&str]) -> String {
    let mut key = kind.name().to_owned();
    for name in names {
        key.push('/');
        key.push_str(&name.replace('%', "%25").replace('/', "%2F"));
    }
    key
}
