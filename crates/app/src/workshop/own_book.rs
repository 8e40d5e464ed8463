//! The stream of a book: what of its visits' lessons was taken in, and the book with it.
//!
//! A book is known by its key, whichever file or visit it lies in; the key names the stream, shortened where it is too long for an id.

use std::path::Path;

use archive::content_digest;
use book::{BookAddition, GrownBook, PartAddition, grow_book};
use model::Book;
use record::{BookBody, BookLesson, BookRecord, DeviceId, LessonWord, StreamId, StreamKind, StreamRef};

use super::own_stream::OwnStream;
use super::shelf::ShelfPlace;
use super::{Workshop, WorkshopError};
use crate::load;

/// Letters of an id, at most.
const MAX_ID_LETTERS: usize = 40;

impl Workshop {
    /// What was decided about a book.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn book_record(&self, book: &Book) -> Result<BookRecord, WorkshopError> {
        Ok(self.read_book_stream(book)?.state().clone())
    }

    /// Writes down what is so of a book.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn say_of_book(
        &mut self,
        book: &Book,
        device: &DeviceId,
        bodies: Vec<BookBody>,
    ) -> Result<(), WorkshopError> {
        let writer = self.writer(device);
        self.read_book_stream(book)?.say(&mut self.archive, &writer, bodies)
    }

    /// A book of the disk with the lessons that it has taken, on disk for as long as it is read; `None` where it has taken none.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read; [`WorkshopError::Rest`] when the book cannot be put on disk. A book that
    /// cannot be read is left to whoever plans with it.
    pub fn unpack_taught_book(&self, path: &Path) -> Result<Option<ShelfPlace>, WorkshopError> {
        let Ok(book) = load::load_book(path) else { return Ok(None) };
        let taught = teach_book(&book, &self.book_record(&book)?);
        taught.map(|taught| ShelfPlace::of_text(&taught.text)).transpose()
    }

    fn read_book_stream(&self, book: &Book) -> Result<OwnStream<BookRecord>, WorkshopError> {
        let id = StreamId::new(&book.key)
            .or_else(|| StreamId::new(&content_digest(book.key.as_bytes()).as_str()[..MAX_ID_LETTERS]));
        let id = id.expect("figures of a digest are an id");
        OwnStream::read_whole(&self.archive, StreamRef { kind: StreamKind::Book, id })
    }
}

/// A book with the lessons that it has taken; `None` where it has taken none that is about a part of it.
#[must_use]
pub fn teach_book(base: &Book, record: &BookRecord) -> Option<GrownBook> {
    let taken = record.lessons.values().filter(|word| word.is_taken);
    let parts: Vec<PartAddition> = taken.filter_map(|word| addition_of(base, word)).collect();
    let addition = BookAddition { parts, ..BookAddition::default() };
    (!addition.parts.is_empty()).then(|| grow_book(Some(base), &addition))
}

fn addition_of(base: &Book, word: &LessonWord) -> Option<PartAddition> {
    let note = || vec![format!("Visits: {}.", word.words)];
    let part = |key: &String| {
        base.part_by_key(key)?;
        Some(PartAddition { key: key.clone(), notes: note(), ..PartAddition::default() })
    };
    match &word.lesson {
        BookLesson::OffBefore { first, then } => {
            base.part_by_key(first)?;
            Some(PartAddition { told_before: vec![first.clone()], ..part(then)? })
        }
        BookLesson::LiftTime { part: key, seconds } => {
            Some(PartAddition { learned_lift_s: Some(*seconds), ..part(key)? })
        }
        BookLesson::Stack { fixing, .. } | BookLesson::Mishap { fixing, .. } => {
            let of = base.fixing(base.fixing_by_key(fixing)?).part;
            part(&base.part(of).key)
        }
    }
}
