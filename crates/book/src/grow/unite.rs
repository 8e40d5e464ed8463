//! Two books of one engine as one: what only one of them has goes in, what both say differently is named and left to a person.

use std::collections::BTreeMap;

use model::Book;

use super::{BookAddition, FixingAddition, PartAddition, grow_book};
use crate::write_book;

/// Something that two books say differently.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct BookDifference {
    /// Of what: "valve cover, count".
    pub of: String,
    /// What the first book says; it stays until a person decides.
    pub first: String,
    /// What the second says.
    pub second: String,
}

/// Two books as one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnitedBook {
    /// The text of the book that comes of both.
    pub text: String,
    /// What the second adds, in words.
    pub added: Vec<String>,
    /// What both say differently.
    pub differences: Vec<BookDifference>,
}

/// What a fixing says, by the key of the format; what is not known is left out.
fn words_of_fixing(book: &Book, key: &str) -> BTreeMap<&'static str, String> {
    let Some(id) = book.fixing_by_key(key) else { return BTreeMap::new() };
    let fixing = book.fixing(id);
    let mut words =
        BTreeMap::from([("title", fixing.title.clone()), ("count", fixing.holes.len().to_string())]);
    if fixing.drive.form() != model::DriveForm::NotKnown {
        words.insert("drive", fixing.drive.to_string());
    }
    if let Some(thread) = fixing.thread {
        words.insert("thread", thread.to_string());
    }
    let stages: Vec<&str> = fixing.tightening.stages.iter().map(|stage| stage.as_written.as_str()).collect();
    if !stages.is_empty() && !fixing.is_figure_missing() {
        words.insert("tighten", stages.join(", then "));
        words.insert("source", fixing.tightening.source.clone());
    }
    words.retain(|_, word| !word.is_empty());
    words
}

/// Unites two books. Taking the same book again changes nothing, and so does the order of several books, but for which word stays where
/// they differ.
#[must_use]
pub fn unite_books(first: &Book, second: &Book) -> UnitedBook {
    let (mut added, mut differences) = (Vec::new(), Vec::new());
    let parts: Vec<PartAddition> = second
        .part_ids()
        .filter_map(|id| {
            let part = second.part(id);
            let own = first.part_by_key(&part.key).map(|id| first.part(id));
            let before = off_before(second, id)
                .filter(|key| own.is_none() || second_knows_only(first, &part.key, key));
            let fixings: Vec<FixingAddition> = second
                .fixings_of(id)
                .filter_map(|fixing| {
                    add_fixing((first, second), &second.fixing(fixing).key, &mut added, &mut differences)
                })
                .collect();
            if let Some(own) = own.filter(|own| own.title != part.title) {
                let of = format!("{}, name", own.title);
                differences.push(BookDifference { of, first: own.title.clone(), second: part.title.clone() });
            }
            if own.is_none() {
                added.push(format!("part: {}", part.title));
            }
            let addition = PartAddition {
                key: part.key.clone(),
                title: own.is_none().then(|| part.title.clone()),
                part_kind: part
                    .kind
                    .filter(|_| own.is_none_or(|own| own.kind.is_none()))
                    .map(|kind| kind.file_word().to_owned()),
                off_before: before.collect(),
                fixings,
                ..PartAddition::default()
            };
            let is_nothing = addition == PartAddition { key: part.key.clone(), ..PartAddition::default() };
            (!is_nothing).then_some(addition)
        })
        .collect();
    let grown = grow_book(Some(first), &BookAddition { parts, ..BookAddition::default() });
    let text = if grown.book.is_some() { grown.text } else { write_book(first) };
    UnitedBook { text, added, differences }
}

/// Parts that have to be off before one.
fn off_before(book: &Book, part: model::PartId) -> impl Iterator<Item = String> {
    let needs = book.part(part).needs.iter();
    needs.filter_map(|need| match need {
        model::Need::Off(before) => Some(book.part(*before).key.clone()),
        model::Need::Condition(_) => None,
    })
}

/// Whether the first book does not say that one part comes off before the other, and knows both.
fn second_knows_only(first: &Book, part: &str, before: &str) -> bool {
    let (Some(own), Some(other)) = (first.part_by_key(part), first.part_by_key(before)) else { return true };
    !first.part(own).needs.contains(&model::Need::Off(other))
}

/// What the second book adds of a fixing; what it says differently is listed.
fn add_fixing(
    (first, second): (&Book, &Book),
    key: &str,
    added: &mut Vec<String>,
    differences: &mut Vec<BookDifference>,
) -> Option<FixingAddition> {
    let (own, other) = (words_of_fixing(first, key), words_of_fixing(second, key));
    let title = other.get("title").cloned().unwrap_or_default();
    let mut words = Vec::new();
    for (name, word) in other.iter().filter(|(name, _)| **name != "title" && **name != "source") {
        match own.get(name) {
            Some(known) if known != word => {
                let of = format!("{title}, {name}");
                differences.push(BookDifference { of, first: known.clone(), second: word.clone() });
            }
            Some(_) => {}
            None if *name == "count" => {}
            None => {
                words.push((*name, word.clone()));
                added.push(format!("{title}: {name} {word}"));
            }
        }
    }
    if words.iter().any(|(name, _)| *name == "tighten") {
        words.extend(other.get("source").map(|source| ("source", source.clone())));
    }
    let is_new = own.is_empty();
    let count = other.get("count").and_then(|count| count.parse().ok()).unwrap_or(0);
    let addition = FixingAddition {
        key: key.to_owned(),
        title: is_new.then(|| title.clone()),
        count,
        first: first_label(second, key),
        words,
        places_um: places_to_add((first, second), key),
        notes: Vec::new(),
    };
    if !is_new && !addition.places_um.is_empty() {
        added.push(format!("{title}: places of its holes"));
    }
    (is_new || !addition.words.is_empty() || !addition.places_um.is_empty()).then_some(addition)
}

/// The places of a fixing's holes in the second book, µm, where the first tells none on that part: two books need not count from
/// the same point.
fn places_to_add((first, second): (&Book, &Book), key: &str) -> Vec<(i32, i32)> {
    let Some(fixing) = second.fixing_by_key(key).map(|id| second.fixing(id)) else { return Vec::new() };
    let own_part = first.part_by_key(&second.part(fixing.part).key);
    let mut own = own_part.into_iter().flat_map(|part| first.fixings_of(part));
    if !fixing.are_places_known || own.any(|id| first.fixing(id).are_places_known) {
        return Vec::new();
    }
    let whole_um = |length: units::Length| units::math::round(length.as_mm() * 1000.0) as i32;
    fixing.holes.iter().map(|hole| (whole_um(hole.x), whole_um(hole.y))).collect()
}

/// The label of a fixing's first hole, where it is a number.
fn first_label(book: &Book, key: &str) -> Option<u16> {
    book.fixing(book.fixing_by_key(key)?).holes.first()?.label.parse().ok()
}
