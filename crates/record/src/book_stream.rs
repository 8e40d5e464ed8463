//! The stream of a book: its editions, which claims of visits it has adopted, and what it has learned from them.
//!
//! The latest event wins: an edition replaces the one before it, a refused claim is no longer adopted, and the other way round.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::book_lesson::{BookLesson, LessonWord};
use crate::named_facts::find_empty_key;
use crate::{
    ContentDigest, Event, EventId, EventRef, EventStamp, StreamBody, StreamFold, StreamKind, StreamRef,
};

/// What an event of a book says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum BookBody {
    /// The book reads like this from now on.
    Edited {
        /// Its text.
        book: ContentDigest,
        /// What was changed, and why.
        note: String,
    },
    /// What a visit or a vehicle says is taken into the book.
    ClaimAdopted {
        /// The event that says it.
        claim: EventRef,
    },
    /// What a visit or a vehicle says is not taken into the book.
    ClaimRefused {
        /// The event that says it.
        claim: EventRef,
        /// Why.
        reason: String,
    },
    /// What visits of the engine teach is taken into the book: the next plan goes by it.
    LessonTaken {
        /// What they teach.
        lesson: BookLesson,
        /// Visits that speak to it.
        visits: u32,
        /// It, as the person who decided read it.
        words: String,
    },
    /// What visits of the engine teach is left out of the book until more visits speak to it.
    LessonLeft {
        /// What they teach.
        lesson: BookLesson,
        /// Visits that speak to it.
        visits: u32,
        /// It, as the person who decided read it.
        words: String,
    },
    /// A note.
    BookNoted {
        /// The words.
        words: String,
    },
    /// An earlier event is taken back.
    Undone {
        /// Which.
        event: EventId,
    },
}

impl StreamBody for BookBody {
    const KIND: StreamKind = StreamKind::Book;

    fn undone_event(&self) -> Option<&EventId> {
        if let Self::Undone { event } = self { Some(event) } else { None }
    }

    fn named_events(&self) -> Vec<&EventId> {
        match self {
            Self::ClaimAdopted { claim } | Self::ClaimRefused { claim, .. } => vec![&claim.event],
            Self::Undone { event } => vec![event],
            Self::Edited { .. }
            | Self::LessonTaken { .. }
            | Self::LessonLeft { .. }
            | Self::BookNoted { .. } => Vec::new(),
        }
    }

    fn named_streams(&self) -> Vec<&StreamRef> {
        match self {
            Self::ClaimAdopted { claim } | Self::ClaimRefused { claim, .. } => vec![&claim.stream],
            Self::Edited { .. }
            | Self::LessonTaken { .. }
            | Self::LessonLeft { .. }
            | Self::BookNoted { .. }
            | Self::Undone { .. } => Vec::new(),
        }
    }

    fn named_documents(&self) -> Vec<&ContentDigest> {
        match self {
            Self::Edited { book, .. } => vec![book],
            Self::ClaimAdopted { .. }
            | Self::ClaimRefused { .. }
            | Self::LessonTaken { .. }
            | Self::LessonLeft { .. }
            | Self::BookNoted { .. }
            | Self::Undone { .. } => Vec::new(),
        }
    }

    fn find_broken_field(&self) -> Option<String> {
        match self {
            Self::BookNoted { words } => find_empty_key(words),
            Self::LessonTaken { lesson, .. } | Self::LessonLeft { lesson, .. } => lesson.find_broken(),
            Self::Edited { .. }
            | Self::ClaimAdopted { .. }
            | Self::ClaimRefused { .. }
            | Self::Undone { .. } => None,
        }
    }
}

/// One text of a book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BookEdition {
    /// The text.
    pub book: ContentDigest,
    /// What was changed, and why.
    pub note: String,
    /// When.
    pub stamp: EventStamp,
}

/// The decision on a claim.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClaimWord {
    /// Which claim.
    pub claim: EventRef,
    /// Why it was refused; `None`: it is adopted.
    pub refused: Option<String>,
    /// When.
    pub stamp: EventStamp,
}

/// A note on a book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BookNote {
    /// The words.
    pub words: String,
    /// When.
    pub stamp: EventStamp,
}

/// The state of a book's stream.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BookRecord {
    /// How it reads now; `None`: nobody has written it yet.
    pub edition: Option<BookEdition>,
    /// The latest report on each claim, by the claim's stream and event.
    claims: BTreeMap<String, ClaimWord>,
    /// Notes, in order.
    pub notes: Vec<BookNote>,
    /// The decision on each lesson of visits, by what it is about.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub lessons: BTreeMap<String, LessonWord>,
}

impl BookRecord {
    /// The claims that it has adopted, by stream and event.
    pub fn adopted_claims(&self) -> impl Iterator<Item = &EventRef> {
        self.claims.values().filter(|word| word.refused.is_none()).map(|word| &word.claim)
    }

    /// The claims that it has refused, each with why.
    pub fn refused_claims(&self) -> impl Iterator<Item = (&EventRef, &str)> {
        self.claims.values().filter_map(|word| Some((&word.claim, word.refused.as_deref()?)))
    }

    fn set_lesson(
        &mut self,
        lesson: &BookLesson,
        (is_taken, visits): (bool, u32),
        words: &str,
        stamp: EventStamp,
    ) {
        let (lesson, words) = (lesson.clone(), words.to_owned());
        self.lessons.insert(lesson.topic(), LessonWord { lesson, is_taken, visits, words, stamp });
    }

    fn set_word(&mut self, claim: &EventRef, refused: Option<String>, stamp: EventStamp) {
        let key = format!("{} {}", claim.stream, claim.event);
        self.claims.insert(key, ClaimWord { claim: claim.clone(), refused, stamp });
    }
}

impl StreamFold for BookRecord {
    type Body = BookBody;

    const STATE_FORMAT: &'static str = "traywright-book-state/1";

    fn evolve(&mut self, event: &Event<BookBody>) {
        let stamp = EventStamp::of_event(event);
        match &event.body {
            BookBody::Edited { book, note } => {
                self.edition = Some(BookEdition { book: book.clone(), note: note.clone(), stamp });
            }
            BookBody::ClaimAdopted { claim } => self.set_word(claim, None, stamp),
            BookBody::ClaimRefused { claim, reason } => self.set_word(claim, Some(reason.clone()), stamp),
            BookBody::LessonTaken { lesson, visits, words } => {
                self.set_lesson(lesson, (true, *visits), words, stamp);
            }
            BookBody::LessonLeft { lesson, visits, words } => {
                self.set_lesson(lesson, (false, *visits), words, stamp);
            }
            BookBody::BookNoted { words } => self.notes.push(BookNote { words: words.clone(), stamp }),
            BookBody::Undone { .. } => {}
        }
    }
}
