//! Writes a book back to text, such that reading the text gives the same book again.
//!
//! Figures are written with as many digits as they need and in the base unit; passes of tightening are written as the
//! book wrote them. The law `read(write(b)) == b` holds for every book whose fixings follow their parts in order, as
//! those of a read book do (tests `write.rs`).

use fields::{NameDirectory, NameIndex};
use model::{Book, Part};

use crate::drafts::{BookDraft, PartDraft};
use crate::fixing::draft_fixing;
use crate::origins::place_origins;
use crate::tables::{self, BOOK, FORMAT};
use crate::world::{draft_rule, draft_setting, index_values_of_book};

/// The text of a book in the book format, one file.
#[must_use]
pub fn write_book(book: &Book) -> String {
    fields::write_document(&BOOK, &draft_book(book), &names_of(book))
}

/// What the tables of a book are called by.
pub(crate) fn names_of(book: &Book) -> NameDirectory {
    let mut names = NameDirectory::new();
    let index = |keys: Vec<&str>| NameIndex::of_names(keys);
    names.set(&tables::STATIONS, index(book.stations.iter().map(|s| s.key.as_str()).collect()));
    names.set(&tables::CONDITIONS, index(book.conditions.iter().map(|c| c.key.as_str()).collect()));
    names.set(&tables::OPENINGS, index(book.openings.iter().map(|o| o.key.as_str()).collect()));
    names.set(&tables::TOOLS, index(book.special_tools.iter().map(|t| t.key.as_str()).collect()));
    names.set(&tables::TASKS, index(book.tasks.iter().map(|t| t.key.as_str()).collect()));
    names.set(&tables::SETTINGS, index(book.settings.iter().map(|s| s.key.as_str()).collect()));
    names.set(&tables::VALUES, index_values_of_book(book));
    names.set(&tables::PARTS, index(book.parts.iter().map(|p| p.key.as_str()).collect()));
    names
}

/// A book as one file.
fn draft_book(book: &Book) -> BookDraft {
    let placed = place_origins(book);
    let part = |id: model::PartId| {
        let fixing = |fixing: model::FixingId| {
            let mut draft = draft_fixing(book, book.fixing(fixing));
            draft.fixing.origins = placed.fixings[fixing.index()];
            draft
        };
        let fixings = book.fixings_of(id).map(fixing).collect();
        let part = Part { origins: placed.parts[id.index()], ..book.part(id).clone() };
        PartDraft { part, fixings, repeat: Vec::new() }
    };
    BookDraft {
        format: FORMAT.to_owned(),
        key: book.key.clone(),
        title: book.title.clone(),
        origin: book.origin.clone(),
        currency: book.currency.clone(),
        is_invented: book.is_invented,
        origins: placed.head,
        stations: book.stations.clone(),
        settings: book.settings.iter().map(draft_setting).collect(),
        rules: book.rules.iter().map(draft_rule).collect(),
        goals: book.goals.clone(),
        conditions: book.conditions.clone(),
        openings: book.openings.clone(),
        special_tools: book.special_tools.clone(),
        parts: book.part_ids().map(part).collect(),
        measures: book.measures.clone(),
        tasks: book.tasks.clone(),
    }
}
