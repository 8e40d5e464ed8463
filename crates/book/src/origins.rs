//! Origins of figures: told once where many share one, and held by each fixing and part in the model.
//!
//! **Question.** A book tells origins at the head, in a part or in a fixing, each inherited downwards by kind. What is the
//! least to write that gives every fixing and part its own back?
//!
//! **Method.** Reading pushes origins down: of space and tightening to the fixings, of times to the parts. Writing places
//! them again: for each kind and each origin that the level above may hand down, the cost of a part is what its fixings
//! need, and that of the book what its parts need; the cheapest choice is taken, ties by writing lower down last. A fixing
//! without an origin forbids one above it, for nothing takes an origin back.
//!
//! **Source.** Least labelling of a tree by dynamic programming (D. Sankoff's small parsimony, from memory).

use model::{Book, FigureOrigin, FigureOrigins};

/// Gives every fixing and part the origins that hold for it; the head keeps that of times, which stations and tasks share.
pub(crate) fn push_origins_down(book: &mut Book) {
    let head = book.origins;
    for fixing in &mut book.fixings {
        let part = book.parts[fixing.part.index()].origins;
        fixing.origins = FigureOrigins { times: None, ..fixing.origins.or_else(part).or_else(head) };
    }
    for part in &mut book.parts {
        let times = part.origins.or_else(head).times;
        part.origins = FigureOrigins { times, ..FigureOrigins::default() };
    }
    book.origins = FigureOrigins { times: head.times, ..FigureOrigins::default() };
}

/// Where origins are written: at the head, in the parts, in the fixings.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct PlacedOrigins {
    pub(crate) head: FigureOrigins,
    pub(crate) parts: Vec<FigureOrigins>,
    pub(crate) fixings: Vec<FigureOrigins>,
}

/// The fewest origins to write that give the same book back.
pub(crate) fn place_origins(book: &Book) -> PlacedOrigins {
    let mut placed = PlacedOrigins {
        head: book.origins,
        parts: vec![FigureOrigins::default(); book.parts.len()],
        fixings: vec![FigureOrigins::default(); book.fixings.len()],
    };
    for (part, own) in book.parts.iter().zip(&mut placed.parts) {
        own.times = part.origins.times.filter(|times| Some(*times) != book.origins.times);
    }
    place_kind(book, &mut placed, |origins| &mut origins.space);
    place_kind(book, &mut placed, |origins| &mut origins.tightening);
    placed
}

/// Places the origins of one kind.
fn place_kind(
    book: &Book,
    placed: &mut PlacedOrigins,
    kind: fn(&mut FigureOrigins) -> &mut Option<FigureOrigin>,
) {
    let mut wanted: Vec<FigureOrigins> = book.fixings.iter().map(|fixing| fixing.origins).collect();
    let leaf = |origins: &mut FigureOrigins| *kind(origins);
    let leaves: Vec<Option<FigureOrigin>> = wanted.iter_mut().map(leaf).collect();
    let of_part = |part: usize| {
        let fixings = book.fixings.iter().zip(&leaves);
        fixings
            .filter(move |(fixing, _)| fixing.part.index() == part)
            .map(|(_, leaf)| *leaf)
            .collect::<Vec<_>>()
    };
    let parts: Vec<Vec<Option<FigureOrigin>>> = (0..book.parts.len()).map(of_part).collect();
    let head = choose(None, |label| parts.iter().map(|leaves| part_cost(leaves, label)).sum()).0;
    *kind(&mut placed.head) = head;
    for (at, leaves) in parts.iter().enumerate() {
        let own = choose(head, |label| leaf_cost(leaves, label)).0;
        *kind(&mut placed.parts[at]) = own.filter(|own| Some(*own) != head);
    }
    for (at, fixing) in book.fixings.iter().enumerate() {
        let above = *kind(&mut placed.parts[fixing.part.index()]);
        let above = above.or(head);
        *kind(&mut placed.fixings[at]) = leaves[at].filter(|own| Some(*own) != above);
    }
}

/// Far above any number of fixings: what cannot be written at all.
const IMPOSSIBLE: usize = 1 << 40;

/// What the fixings of a part have to write below an origin.
fn leaf_cost(leaves: &[Option<FigureOrigin>], above: Option<FigureOrigin>) -> usize {
    let cost = |leaf: &Option<FigureOrigin>| match leaf {
        own if *own == above => 0,
        Some(_) => 1,
        None => IMPOSSIBLE,
    };
    leaves.iter().map(cost).sum()
}

/// What a part and its fixings have to write below an origin.
fn part_cost(leaves: &[Option<FigureOrigin>], above: Option<FigureOrigin>) -> usize {
    choose(above, |label| leaf_cost(leaves, label)).1
}

/// The origin to hold at a level below another one, and the cost of it with all that is below.
fn choose(
    above: Option<FigureOrigin>,
    below: impl Fn(Option<FigureOrigin>) -> usize,
) -> (Option<FigureOrigin>, usize) {
    let own = FigureOrigin::ALL.iter().map(|origin| Some(*origin)).filter(|own| *own != above);
    let labels = own.map(|own| (own, 1 + below(own)));
    let kept = (above, below(above));
    labels.fold(kept, |best, next| if next.1 < best.1 { next } else { best })
}

#[cfg(test)]
mod tests {
    use super::{IMPOSSIBLE, choose, leaf_cost, part_cost};
    use model::FigureOrigin::{Guessed, Measured};

    #[test]
    fn the_cheapest_place_is_taken_and_nothing_takes_an_origin_back() {
        assert_eq!(part_cost(&[Some(Measured), Some(Measured), Some(Guessed)], None), 2);
        assert_eq!(part_cost(&[Some(Measured), Some(Measured)], Some(Measured)), 0);
        assert_eq!(part_cost(&[Some(Measured), None], None), 1);
        assert!(part_cost(&[None], Some(Guessed)) >= IMPOSSIBLE);
        let parts = [vec![Some(Measured); 3], vec![Some(Measured)], vec![Some(Guessed)]];
        let (head, cost) = choose(None, |label| parts.iter().map(|leaves| part_cost(leaves, label)).sum());
        assert_eq!((head, cost), (Some(Measured), 2));
        assert_eq!(leaf_cost(&[], Some(Measured)), 0);
    }
}
