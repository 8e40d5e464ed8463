//! One cart for all vehicles of a day: each piece once, or as often as it is in use at one moment, by the drawer that it is kept in.

use std::collections::{BTreeMap, BTreeSet};

use calendar::hours::DAY_S;
use model::Store;
use model::plan::Plan;
use serde::Serialize;

use super::answer::WeekAnswer;

/// What one drawer gives to the cart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CartDrawer {
    /// Cabinet and drawer.
    pub place: String,
    /// The pieces, by title.
    pub pieces: Vec<DrawerPiece>,
}

/// A piece for the cart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DrawerPiece {
    /// What it is called.
    pub title: String,
    /// How many.
    pub count: u32,
    /// Letters of the vehicles that it is for.
    pub letters: Vec<char>,
}

impl DrawerPiece {
    /// "2 × socket 10 mm, for A and B".
    #[must_use]
    pub fn words(&self) -> String {
        let count = if self.count > 1 { format!("{} × ", self.count) } else { String::new() };
        let letters: Vec<String> = self.letters.iter().map(char::to_string).collect();
        format!("{count}{}, for {}", self.title, letters.join(" and "))
    }
}

/// The pieces of a visit's items, with what is known of each.
#[derive(Debug)]
pub(super) struct PiecesOfVisit {
    /// Title, place and how many, by key.
    sorts: BTreeMap<String, (String, String, u32)>,
    items: Vec<BTreeSet<String>>,
}

impl PiecesOfVisit {
    pub(super) fn new((store, plan): (&Store, &Plan), items: Vec<BTreeSet<String>>) -> Self {
        let used: BTreeSet<&String> = items.iter().flatten().collect();
        let sort = |key: &&String| {
            let piece = store.piece(store.piece_by_key(key)?);
            let line = plan.kit.pieces.iter().find(|line| line.piece == **key);
            let count = line.map_or(1, |line| u32::from(line.count));
            Some(((*key).clone(), (piece.title.clone(), piece.place.to_string(), count)))
        };
        let sorts = used.iter().filter_map(sort).collect();
        Self { sorts, items }
    }
}

impl WeekAnswer {
    /// What the work that begins today is done with, over all vehicles, by drawer.
    #[must_use]
    pub fn cart_of_day(&self) -> Vec<CartDrawer> {
        let mut pieces: BTreeMap<&String, DrawerPiece> = BTreeMap::new();
        let mut places: BTreeMap<&String, &String> = BTreeMap::new();
        for line in self.laid_out.lines.iter().filter(|line| line.start_s < DAY_S) {
            let letter = self.question.visits[line.visit].letter;
            let of_visit = &self.facts[line.visit].cart;
            for key in &of_visit.items[line.item] {
                let Some((title, place, count)) = of_visit.sorts.get(key) else { continue };
                places.insert(key, place);
                let none = || DrawerPiece { title: title.clone(), count: 1, letters: Vec::new() };
                let piece = pieces.entry(key).or_insert_with(none);
                piece.count = piece.count.max(*count);
                piece.letters.push(letter);
            }
        }
        let mut drawers: BTreeMap<&String, Vec<DrawerPiece>> = BTreeMap::new();
        for (key, mut piece) in pieces {
            piece.count = piece.count.max(self.most_at_once(key));
            piece.letters.sort_unstable();
            piece.letters.dedup();
            drawers.entry(places[key]).or_default().push(piece);
        }
        let drawer = |(place, mut pieces): (&String, Vec<DrawerPiece>)| {
            pieces.sort_by(|a, b| a.title.cmp(&b.title));
            CartDrawer { place: place.clone(), pieces }
        };
        drawers.into_iter().map(drawer).collect()
    }

    /// On how many vehicles a piece stays at one moment of the day.
    fn most_at_once(&self, key: &String) -> u32 {
        let Some(holder) = self.held_pieces.iter().position(|piece| piece.as_ref() == Some(key)) else {
            return 1;
        };
        let mut spans = Vec::new();
        for (at, visit) in self.question.visits.iter().enumerate() {
            let line = |item| self.laid_out.lines_of_visit(at).find(|line| line.item == item);
            for stretch in visit.stretches.iter().filter(|stretch| stretch.holder == holder) {
                let from_s = stretch.from.and_then(line).map_or(self.question.now_s, |line| line.start_s);
                spans.push((from_s, line(stretch.to).map_or(from_s, |line| line.end_s)));
            }
        }
        let at_once =
            |from_s: u32| spans.iter().filter(|(from, to)| *from <= from_s && from_s < *to).count() as u32;
        let of_day = spans.iter().map(|(from_s, _)| *from_s).filter(|from_s| *from_s < DAY_S);
        of_day.map(at_once).max().unwrap_or(1).max(1)
    }
}
