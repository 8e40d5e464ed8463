//! What was seen on visits of one engine, in the few words that learning needs.

use std::fmt;

/// Parts of an engine, at most.
pub const MAX_PARTS: usize = 600;
/// Visits in one question, at most.
pub const MAX_VISITS: usize = 400;

/// A pause within an act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ActPause {
    /// Begin, in the clock of the act, s.
    pub begin_s: f64,
    /// End, s.
    pub end_s: f64,
}

/// One part that came off.
#[derive(Debug, Clone, PartialEq)]
pub struct PartRemoval {
    /// The part.
    pub part: String,
    /// When the work on it began, s; any clock that runs on within the visit.
    pub begin_s: f64,
    /// When it was off, s.
    pub end_s: f64,
    /// Pauses that somebody noted.
    pub pauses: Vec<ActPause>,
}

/// One visit of the engine.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct EngineVisit {
    /// Its name, for the answers to point at.
    pub name: String,
    /// Parts in the order in which they came off.
    pub removals: Vec<PartRemoval>,
}

/// Why histories cannot be learned from.
#[derive(Debug, Clone, PartialEq)]
pub enum HistoryFault {
    /// More visits or parts than are taken.
    TooMany {
        /// What of.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many are taken.
        limit: usize,
    },
    /// A part came off twice in one visit.
    PartTwice {
        /// The visit.
        visit: String,
        /// The part.
        part: String,
    },
    /// A time that is none, or an end before its begin.
    TimeUnusable {
        /// The visit.
        visit: String,
        /// The part or act.
        part: String,
    },
    /// A size that is none.
    SizeUnusable {
        /// The visit.
        visit: String,
        /// The fixing.
        fixing: String,
    },
    /// More hits than tries, or no tries at all.
    CountUnusable {
        /// Hits.
        hits: u32,
        /// Tries.
        tries: u32,
    },
}

impl fmt::Display for HistoryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooMany { what, count, limit } => {
                write!(f, "{count} {what}, at most {limit} are taken: ask for fewer")
            }
            Self::PartTwice { visit, part } => {
                write!(f, "{part} came off twice in the visit {visit}: hand over its last removal only")
            }
            Self::TimeUnusable { visit, part } => {
                write!(f, "the times of {part} in the visit {visit} have no sense: leave them out")
            }
            Self::SizeUnusable { visit, fixing } => {
                write!(
                    f,
                    "a stack on {fixing} in the visit {visit} has a size that is none: measure it or leave it out"
                )
            }
            Self::CountUnusable { hits, tries } => {
                write!(f, "{hits} of {tries} is no count: at least one try, and no more hits than tries")
            }
        }
    }
}
