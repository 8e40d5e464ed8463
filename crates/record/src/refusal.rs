//! Why the bench does not write something down: what is open, and what would close it.

use core::fmt;

use serde::{Deserialize, Serialize};

/// The kind of reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusalKind {
    /// The visit has not begun.
    NotBegun,
    /// The visit has begun already.
    Begun,
    /// The visit is closed.
    Closed,
    /// The book, the plan or the visit has no such thing.
    Unknown,
    /// It is so already.
    NothingToDo,
    /// Fasteners are still in that have to be out.
    StillIn,
    /// Fasteners or parts are still off that have to be in or on.
    StillOff,
    /// Two devices disagree, and nobody has decided.
    Undecided,
    /// A fastener that is renewed each time has been loosened and not renewed.
    NotRenewed,
    /// Another part goes on first, or another thing is done first.
    OtherFirst,
    /// Caps or things put in are still in.
    StillInside,
    /// More is taken than there is.
    TooMany,
    /// The ledger is not zero.
    LedgerOpen,
    /// The second look is the same as the first.
    SameMethod,
    /// A name or a reason is wanted.
    NameWanted,
    /// The visit has no book, and this cannot be decided without one.
    NoBook,
    /// The visit has no plan, and this cannot be decided without one.
    NoPlan,
    /// The tightening figure is missing, and nobody answers for going without.
    FigureMissing,
    /// What was given as a figure cannot be read as one.
    FigureUnreadable,
}

/// One reason against it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RefusalReason {
    /// Key of the ledger's line, where there is one.
    pub line: Option<String>,
    /// What is open.
    pub what: String,
    /// What would close it, in the imperative.
    pub closes: String,
}

/// A refusal; facts that a device brings are never refused, see [`crate::accept_event`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Refusal {
    /// The kind of reason.
    pub why: RefusalKind,
    /// What prevents it, at least one.
    pub against: Vec<RefusalReason>,
}

impl Refusal {
    /// A refusal with one thing against it.
    #[must_use]
    pub fn new(why: RefusalKind, what: impl Into<String>, closes: impl Into<String>) -> Self {
        Self { why, against: vec![RefusalReason { line: None, what: what.into(), closes: closes.into() }] }
    }

    /// A refusal if anything prevents it.
    pub(crate) fn unless_empty(why: RefusalKind, against: Vec<RefusalReason>) -> Result<(), Self> {
        if against.is_empty() { Ok(()) } else { Err(Self { why, against }) }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, against) in self.against.iter().enumerate() {
            let gap = if at > 0 { "; " } else { "" };
            write!(f, "{gap}{}: {}", against.what, against.closes)?;
        }
        Ok(())
    }
}
