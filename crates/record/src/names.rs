//! What the keys of events mean in the book: found by key, or not there.

use std::collections::BTreeMap;

use model::{Book, Condition, Fixing, Need, Opening, Part, PartId, Setting, StageTarget, progress};
use units::significant;

/// The book, by keys; without a book no key is known, and none is strange.
pub(crate) struct BookByKey<'a> {
    pub book: Option<&'a Book>,
    fixings: BTreeMap<&'a str, &'a Fixing>,
    parts: BTreeMap<&'a str, PartId>,
    conditions: BTreeMap<&'a str, &'a Condition>,
    openings: BTreeMap<&'a str, &'a Opening>,
    settings: BTreeMap<&'a str, &'a Setting>,
}

impl<'a> BookByKey<'a> {
    pub fn new(book: Option<&'a Book>) -> Self {
        let parts = book.into_iter().flat_map(|b| b.part_ids().map(|id| (b.part(id).key.as_str(), id)));
        Self {
            book,
            fixings: book.into_iter().flat_map(|b| &b.fixings).map(|f| (f.key.as_str(), f)).collect(),
            parts: parts.collect(),
            conditions: book.into_iter().flat_map(|b| &b.conditions).map(|c| (c.key.as_str(), c)).collect(),
            openings: book.into_iter().flat_map(|b| &b.openings).map(|o| (o.key.as_str(), o)).collect(),
            settings: book.into_iter().flat_map(|b| &b.settings).map(|s| (s.key.as_str(), s)).collect(),
        }
    }

    /// Whether there is a book and it does not know what was looked for.
    pub fn is_strange<T>(&self, found: Option<T>) -> bool {
        self.book.is_some() && found.is_none()
    }

    /// Fixings of the book; none without one.
    pub fn book_fixings(&self) -> &'a [Fixing] {
        self.book.map_or(&[], |book| &book.fixings)
    }

    /// Openings of the book; none without one.
    pub fn book_openings(&self) -> &'a [Opening] {
        self.book.map_or(&[], |book| &book.openings)
    }

    pub fn fixing(&self, key: &str) -> Option<&'a Fixing> {
        self.fixings.get(key).copied()
    }

    /// The fixing, if it has the hole.
    pub fn fixing_with_hole(&self, fixing: &str, hole: &str) -> Option<&'a Fixing> {
        self.fixing(fixing).filter(|f| f.holes.iter().any(|h| h.label == hole))
    }

    pub fn part_id(&self, key: &str) -> Option<PartId> {
        self.parts.get(key).copied()
    }

    pub fn part(&self, key: &str) -> Option<&'a Part> {
        Some(self.book?.part(self.part_id(key)?))
    }

    /// The part that a fixing holds.
    pub fn part_of(&self, fixing: &Fixing) -> Option<&'a Part> {
        self.book.map(|book| book.part(fixing.part))
    }

    pub fn condition(&self, key: &str) -> Option<&'a Condition> {
        self.conditions.get(key).copied()
    }

    pub fn opening(&self, key: &str) -> Option<&'a Opening> {
        self.openings.get(key).copied()
    }

    pub fn setting(&self, key: &str) -> Option<&'a Setting> {
        self.settings.get(key).copied()
    }

    /// Parts that uncover an opening.
    pub fn parts_uncovering(&self, opening: &str) -> impl Iterator<Item = &'a Part> {
        let uncovers =
            move |book: &Book, p: &Part| p.uncovers.iter().any(|o| book.opening(*o).key == opening);
        self.book.into_iter().flat_map(move |b| b.parts.iter().filter(move |p| uncovers(b, p)))
    }

    /// Parts that could not come off before this one, whichever way was taken: they go on before it.
    pub fn parts_behind(&self, part: PartId) -> impl Iterator<Item = &'a Part> {
        let wants = move |needs: &[Need]| needs.contains(&Need::Off(part));
        let parts = self.book.into_iter().flat_map(|book| &book.parts);
        parts.filter(move |p| {
            wants(&p.needs) || (!p.ways.is_empty() && p.ways.iter().all(|w| wants(&w.needs)))
        })
    }
}

/// Passes of tightening of a fixing, the closing pass included.
pub(crate) fn passes_of_fixing(fixing: &Fixing) -> u8 {
    progress::passes_to_tighten(fixing)
}

/// Thread and length as a person sorts them by: "M6 × 25"; the drive where there is no thread.
pub(crate) fn length_class(fixing: &Fixing) -> String {
    let Some(thread) = fixing.thread else { return fixing.drive.to_string() };
    match fixing.length {
        Some(length) => format!("{thread} × {}", significant(length.as_mm(), 4)),
        None => thread.to_string(),
    }
}

/// The figures of a fixing as the book writes them: "20 N·m, then 90°".
pub(crate) fn tightening_figures(fixing: &Fixing) -> String {
    let stages = fixing.tightening.stages.iter();
    let written = stages.map(|s| match s.target {
        StageTarget::Seat => "until it seats".to_owned(),
        StageTarget::Torque(_)
        | StageTarget::Angle(_)
        | StageTarget::ByFeel
        | StageTarget::Loosen
        | StageTarget::NotKnown => s.as_written.clone(),
    });
    written.collect::<Vec<_>>().join(", then ")
}
