//! The store as the fast search reads it: pieces at hand by what they offer and by the link they take.

use crate::rules::strength;
use model::{Bend, Link, Piece, PieceId, Store};
use units::Torque;

/// Number of links.
pub(crate) const LINKS: usize = Link::ALL.len();

/// Position of a link in tables.
pub(crate) fn link_at(link: Link) -> usize {
    Link::ALL.iter().position(|l| *l == link).unwrap_or(0)
}

/// What the search asks of a piece, worked out once.
#[derive(Debug)]
pub(crate) struct Body<'s> {
    pub id: PieceId,
    pub piece: &'s Piece,
    pub length_mm: f64,
    pub widest_mm: f64,
    pub bend: Option<Bend>,
    pub capacity: Torque,
    pub at_hand: usize,
}

/// A piece that stands between grip and handle.
#[derive(Debug)]
pub(crate) struct Between {
    pub body: usize,
    pub to: usize,
}

/// The pieces at hand; all lists rise by piece id.
#[derive(Debug)]
pub(crate) struct Index<'s> {
    pub bodies: Vec<Body<'s>>,
    /// Pieces with a grip.
    pub grips: Vec<usize>,
    /// Pieces with a handle and no grip.
    pub handles: Vec<usize>,
    /// Pieces with neither and a link at both ends.
    pub betweens: Vec<Between>,
    /// Positions in `betweens` by the link on the fastener's side.
    pub from: [Vec<usize>; LINKS],
    pub longest_between_mm: f64,
}

impl<'s> Index<'s> {
    /// Reads a store.
    pub fn new(store: &'s Store) -> Self {
        let bodies: Vec<Body> =
            store.piece_ids().map(|id| body(id, store.piece(id))).filter(|b| b.at_hand > 0).collect();
        let mut index = Self {
            bodies,
            grips: Vec::new(),
            handles: Vec::new(),
            betweens: Vec::new(),
            from: Default::default(),
            longest_between_mm: 0.0,
        };
        for at in 0..index.bodies.len() {
            index.sort_in(at);
        }
        index
    }

    fn sort_in(&mut self, at: usize) {
        let body = &self.bodies[at];
        match (&body.piece.grip, &body.piece.handle) {
            (Some(_), _) => self.grips.push(at),
            (None, Some(_)) => self.handles.push(at),
            (None, None) => {
                let (Some(from), Some(to)) = (body.piece.toward_fastener, body.piece.toward_hand) else {
                    return;
                };
                self.longest_between_mm = self.longest_between_mm.max(body.length_mm);
                self.from[link_at(from)].push(self.betweens.len());
                self.betweens.push(Between { body: at, to: link_at(to) });
            }
        }
    }
}

fn body(id: PieceId, piece: &Piece) -> Body<'_> {
    Body {
        id,
        piece,
        length_mm: piece.length().as_mm(),
        widest_mm: piece.diameter().as_mm(),
        bend: piece.bend,
        capacity: strength::capacity(piece),
        at_hand: usize::from(piece.at_hand()),
    }
}
