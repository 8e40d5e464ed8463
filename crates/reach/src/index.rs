//! The store as the fast search reads it: pieces at hand by what they offer and by the link they take.

use crate::rules::strength;
use model::{Piece, PieceBend, PieceId, PieceLink, Store};
use units::Torque;

/// Number of links.
pub(crate) const LINKS: usize = PieceLink::ALL.len();

/// Position of a link in tables.
pub(crate) fn link_position(link: PieceLink) -> usize {
    PieceLink::ALL.iter().position(|l| *l == link).unwrap_or(0)
}

/// What the search needs to know of a piece, worked out once.
#[derive(Debug)]
pub(crate) struct PieceBody<'s> {
    pub id: PieceId,
    pub piece: &'s Piece,
    pub length_mm: f64,
    pub widest_mm: f64,
    pub bend: Option<PieceBend>,
    pub is_wobbly: bool,
    pub capacity: Torque,
    pub at_hand: usize,
}

/// A piece between grip and handle.
#[derive(Debug)]
pub(crate) struct BetweenPiece {
    pub body: usize,
    pub to: usize,
}

/// The pieces at hand; all lists rise by piece id.
#[derive(Debug)]
pub(crate) struct PieceIndex<'s> {
    pub bodies: Vec<PieceBody<'s>>,
    /// Pieces with a grip.
    pub grips: Vec<usize>,
    /// Pieces with a handle and no grip.
    pub handles: Vec<usize>,
    /// Pieces with neither and a link at both ends.
    pub betweens: Vec<BetweenPiece>,
    /// Positions in `betweens` by the link on the fastener's side.
    pub from: [Vec<usize>; LINKS],
    pub longest_between_mm: f64,
}

impl<'s> PieceIndex<'s> {
    /// Reads a store.
    pub fn new(store: &'s Store) -> Self {
        let bodies: Vec<PieceBody> = store
            .piece_ids()
            .map(|id| body_of_piece(id, store.piece(id)))
            .filter(|b| b.at_hand > 0)
            .collect();
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
                self.from[link_position(from)].push(self.betweens.len());
                self.betweens.push(BetweenPiece { body: at, to: link_position(to) });
            }
        }
    }
}

fn body_of_piece(id: PieceId, piece: &Piece) -> PieceBody<'_> {
    PieceBody {
        id,
        piece,
        length_mm: piece.length_in_stack().as_mm(),
        widest_mm: piece.largest_diameter().as_mm(),
        bend: piece.bend,
        is_wobbly: crate::duty_times::is_wobbly(piece),
        capacity: strength::torque_capacity(piece),
        at_hand: usize::from(piece.at_hand()),
    }
}
