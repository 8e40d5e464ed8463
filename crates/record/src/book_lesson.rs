//! What the visits of an engine teach, as a book takes it in or leaves it.

use serde::{Deserialize, Serialize};

use crate::named_facts::find_empty_key;
use crate::{EventStamp, VisitHappeningKind};

/// Longest time that a lesson tells, s: a day.
const MAX_LESSON_S: u32 = 86_400;

/// One thing that visits teach.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "teaches", rename_all = "kebab-case")]
pub enum BookLesson {
    /// A part comes off before another.
    OffBefore {
        /// Key of the part that comes off first.
        first: String,
        /// Key of the part that comes off after it.
        then: String,
    },
    /// How long a part takes to lift off once its fasteners are out, so that it takes in all what visits took.
    LiftTime {
        /// Key of the part.
        part: String,
        /// The time, s.
        seconds: u32,
    },
    /// A stack of tools that did it, or did not, in words.
    Stack {
        /// Key of the fixing.
        fixing: String,
        /// Whether it did it.
        worked: bool,
        /// The stack as it was told.
        stack: String,
    },
    /// Something went wrong there.
    Mishap {
        /// Key of the fixing.
        fixing: String,
        /// What.
        what: VisitHappeningKind,
    },
}

impl BookLesson {
    /// What it is about: two lessons about the same thing are one, with another figure.
    #[must_use]
    pub fn topic(&self) -> String {
        match self {
            Self::OffBefore { first, then } => format!("order {first} {then}"),
            Self::LiftTime { part, .. } => format!("time {part}"),
            Self::Stack { fixing, worked, stack } => {
                format!("{} {fixing} {stack}", if *worked { "did" } else { "did not" })
            }
            Self::Mishap { fixing, what } => format!("mishap {fixing} {what:?}"),
        }
    }

    /// What in it cannot be.
    pub(crate) fn find_broken(&self) -> Option<String> {
        match self {
            Self::OffBefore { first, then } if first == then => {
                Some(String::from("a part cannot come off before itself"))
            }
            Self::OffBefore { first, then } => find_empty_key(first).or_else(|| find_empty_key(then)),
            Self::LiftTime { part, seconds } => find_empty_key(part).or_else(|| {
                (*seconds == 0 || *seconds > MAX_LESSON_S)
                    .then(|| format!("{seconds} s is no time to lift a part off"))
            }),
            Self::Stack { fixing, stack, .. } => find_empty_key(fixing).or_else(|| find_empty_key(stack)),
            Self::Mishap { fixing, .. } => find_empty_key(fixing),
        }
    }
}

/// The decision on a lesson; the last one on its topic stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LessonWord {
    /// The lesson.
    pub lesson: BookLesson,
    /// Whether it is in the book.
    pub is_taken: bool,
    /// Visits that spoke to it when it was decided.
    pub visits: u32,
    /// It, as the person who decided read it.
    pub words: String,
    /// Who, when, by which event.
    pub stamp: EventStamp,
}
