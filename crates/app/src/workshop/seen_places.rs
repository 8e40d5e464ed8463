//! Where the holes of a seen part lie: the places that a scale card measured, as far as they stand in one frame.
//!
//! A card that was moved between two pictures lies otherwise on the part, and nobody measured how. So a part has places from one picture
//! alone, that with the most of its holes, unless its book has places already: then from the picture that those came from. A fixing
//! has places of all its holes or of none.

use std::collections::{BTreeMap, BTreeSet};

use model::Book;
use record::{ContentDigest, Visit};

/// Micrometres in the last figure of a place that goes into a book: a card is good to a millimetre.
const PLACE_STEP_UM: i32 = 100;

/// Places of the holes of fixings, by their key: to the right and upward in the frame of the part, µm.
pub(super) type HolePlaces = BTreeMap<String, Vec<(i32, i32)>>;

/// The places of all holes that were measured. A plan knows the order of its holes by the book that it was made on, so places of a fixing that is in
/// the base already are left out unless `with_late`.
pub(super) fn measured_hole_places(base: Option<&Book>, visit: &Visit, with_late: bool) -> HolePlaces {
    let parts: BTreeSet<&str> = visit.seen.fixings.values().map(|fixing| fixing.part.as_str()).collect();
    let in_base = |key: &String| base.is_some_and(|book| book.fixing_by_key(key).is_some());
    let all = parts.into_iter().flat_map(|part| places_of_part(base, visit, part));
    all.filter(|(key, _)| with_late || !in_base(key)).collect()
}

fn places_of_part(base: Option<&Book>, visit: &Visit, part: &str) -> HolePlaces {
    let mut frames: Vec<(&ContentDigest, HolePlaces)> = Vec::new();
    for (key, seen) in visit.seen.fixings_of(part) {
        let Some(measured) = visit.seen.measured_heads(key) else { continue };
        let places = measured.outcome.places();
        if places.is_empty() || places.len() != usize::from(seen.count) {
            continue;
        }
        // The card counts downward, a book upward.
        let places = places.iter().map(|place| (in_steps(place.x_um), in_steps(-place.y_um))).collect();
        match frames.iter_mut().find(|(picture, _)| **picture == measured.picture) {
            Some((_, frame)) => drop(frame.insert(key.to_owned(), places)),
            None => frames.push((&measured.picture, [(key.to_owned(), places)].into())),
        }
    }
    match frame_of_base(base, visit, part) {
        BaseFrame::None => {
            // The first of those with the most holes.
            let holes = |frame: &HolePlaces| frame.values().map(Vec::len).sum::<usize>();
            let most = frames.into_iter().rev().max_by_key(|(_, frame)| holes(frame));
            most.map(|(_, frame)| frame).unwrap_or_default()
        }
        BaseFrame::Picture(known) => frames
            .into_iter()
            .find(|(picture, _)| **picture == *known)
            .map(|(_, frame)| frame)
            .unwrap_or_default(),
        BaseFrame::Other => HolePlaces::new(),
    }
}

/// The nearest whole step.
const fn in_steps(place_um: i32) -> i32 {
    (place_um + PLACE_STEP_UM / 2).div_euclid(PLACE_STEP_UM) * PLACE_STEP_UM
}

/// The frame in which a book tells places on a part.
enum BaseFrame<'v> {
    /// It tells none.
    None,
    /// That of a picture of this visit.
    Picture(&'v ContentDigest),
    /// One that this visit does not know.
    Other,
}

fn frame_of_base<'v>(base: Option<&Book>, visit: &'v Visit, part: &str) -> BaseFrame<'v> {
    let Some((book, part)) = base.and_then(|book| Some((book, book.part_by_key(part)?))) else {
        return BaseFrame::None;
    };
    let mut told = book.fixings_of(part).map(|id| book.fixing(id)).filter(|fixing| fixing.are_places_known);
    match told.next() {
        None => BaseFrame::None,
        Some(fixing) => match visit.seen.measured_heads(&fixing.key) {
            Some(measured) => BaseFrame::Picture(&measured.picture),
            None => BaseFrame::Other,
        },
    }
}
