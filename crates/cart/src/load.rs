//! What lies on the cart at each step of a fixed order, when pieces have sizes and are fetched from near and far.
//!
//! # Question
//! The order of the steps is given. Each step needs some pieces; a piece takes some of the cart's places and some seconds to
//! fetch. Which pieces stay on the cart between two uses, so that fetching takes the least time in all?
//!
//! # Nomenclature
//! `n` steps; `w` places of a piece; `f` its seconds; a *stretch* `(s, e)` is a piece needed at steps `s < e` and not between;
//! `free(k)` places that step `k` leaves.
//!
//! # Method
//! Keeping a piece over a stretch saves `f` and takes `w` places at each step between. The most is saved by the best set of
//! stretches that overfills no step. Where every piece takes one place this is a flow: `free(k)` units pass step `k`, each
//! either idle or riding a stretch round the steps between at the cost `−f`, and the cheapest flow is found exactly; its arcs
//! carry whole numbers, so it is a loading. (For equal seconds this is keep-tool-needed-soonest: see [`crate::soonest`].)
//!
//! A piece of `w` places rides as `w` units at `−f / w`. A stretch that carries some of its units but not all has no meaning;
//! then the stretch is kept in one branch and dropped in another and both are solved again, until all are whole. The flow
//! without such choices bounds the seconds from below in any case.
//!
//! # Assumptions and range
//! Every piece is fetched once at its first use. Seconds are weighed to the millisecond, up to a day; a piece takes 1 to 16
//! places. Walks that bring several pieces are not made cheaper here: that is for the caller, who knows the walks.
//!
//! # Worked example
//! Two places; steps need {1}, {2}, {3}, {1, 2}; piece 1 takes 60 s, the others 10 s. Steps 2 and 3 can each spare a place for
//! 1 (keeping it saves 60 s) and step 3 one for 2 (saves 10 s), but step 3 has one place only: 1 stays, 2 is fetched again.
//! Seconds: 60 + 10 + 10 + 10 = 90.
//!
//! # Sources
//! Weighted paging known beforehand as a cheapest flow: M. Chrobak, H. Karloff, T. Payne, S. Vishwanathan, "New results on
//! server problems", SIAM Journal on Discrete Mathematics 4 (1991) 172-181. Equal seconds: C. S. Tang, E. V. Denardo,
//! Operations Research 36 (1988) 767-777.

use core::fmt;

use effort::{OutcomeUnit, SolverBudget, SolverOutcome, SolverStanding};

use crate::stretch::{KeepStretch, KeptStretches, best_stretches, find_stretches};

/// Maximum number of places that one piece takes.
pub const MAX_PLACES_OF_PIECE: u32 = 16;
/// Longest fetch: a day.
pub const MAX_FETCH_S: f64 = 86_400.0;

/// A piece as the cart sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadPiece {
    /// Places that it takes on the cart.
    pub places: u32,
    /// Seconds to bring it, and to take back what made room for it.
    pub fetch_s: f64,
}

/// Why a cart cannot be loaded.
#[derive(Debug, Clone, PartialEq)]
pub enum CartLoadError {
    /// A step needs more places than there are.
    TooFewPlaces {
        /// The step.
        step: usize,
        /// Places that it needs.
        needs: u32,
    },
    /// A step needs a piece that does not exist.
    NoSuchPiece(u16),
    /// A piece takes no place, or more than [`MAX_PLACES_OF_PIECE`].
    Size(u16),
    /// The seconds of a piece are not from 0 to [`MAX_FETCH_S`].
    Seconds(u16),
}

impl fmt::Display for CartLoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewPlaces { step, needs } => {
                write!(f, "step {step} needs {needs} places, more than the cart has")
            }
            Self::NoSuchPiece(piece) => write!(f, "there is no piece {piece}"),
            Self::Size(piece) => write!(f, "piece {piece} must take 1 to {MAX_PLACES_OF_PIECE} places"),
            Self::Seconds(piece) => {
                write!(f, "the fetch time of piece {piece} must be 0 to {MAX_FETCH_S} s")
            }
        }
    }
}

impl core::error::Error for CartLoadError {}

/// What lies on the cart, step by step.
#[derive(Debug, Clone, PartialEq)]
pub struct CartLoading {
    /// Pieces on the cart during each step, rising: those it needs and those kept for later.
    pub carts: Vec<Vec<u16>>,
    /// Pieces brought before each step, rising.
    pub bring: Vec<Vec<u16>>,
    /// Pieces that may go back before each step, rising; what lies there after the last step is not named.
    pub back: Vec<Vec<u16>>,
    /// Seconds of fetching, and the bound on any loading.
    pub outcome: SolverOutcome,
}

/// The loading that takes the least seconds for steps in their order, each with the pieces that it needs.
///
/// The effort counts flows solved; one is enough where every piece takes one place.
///
/// # Errors
/// [`CartLoadError`] where a step does not fit the cart or a number is out of range.
pub fn load_cart(
    needs: &[Vec<u16>],
    pieces: &[LoadPiece],
    places: u32,
    budget: &SolverBudget,
) -> Result<CartLoading, CartLoadError> {
    let needs: Vec<Vec<u16>> = needs.iter().map(|n| sort_pieces(n.clone())).collect();
    check_pieces(&needs, pieces)?;
    let free = free_places(&needs, pieces, places)?;
    let all = find_stretches(&needs, pieces);
    let found = best_stretches(&all, &free, budget);
    Ok(build_loading(&needs, pieces, &all, &found))
}

fn sort_pieces(mut pieces: Vec<u16>) -> Vec<u16> {
    pieces.sort_unstable();
    pieces.dedup();
    pieces
}

fn check_pieces(needs: &[Vec<u16>], pieces: &[LoadPiece]) -> Result<(), CartLoadError> {
    for piece in needs.iter().flatten() {
        let Some(known) = pieces.get(usize::from(*piece)) else {
            return Err(CartLoadError::NoSuchPiece(*piece));
        };
        if !(1..=MAX_PLACES_OF_PIECE).contains(&known.places) {
            return Err(CartLoadError::Size(*piece));
        }
        if !(0.0..=MAX_FETCH_S).contains(&known.fetch_s) {
            return Err(CartLoadError::Seconds(*piece));
        }
    }
    Ok(())
}

/// Places that each step leaves.
fn free_places(needs: &[Vec<u16>], pieces: &[LoadPiece], places: u32) -> Result<Vec<u32>, CartLoadError> {
    let of = |(step, needs): (usize, &Vec<u16>)| {
        let needs = needs.iter().map(|p| pieces[usize::from(*p)].places).sum();
        places.checked_sub(needs).ok_or(CartLoadError::TooFewPlaces { step, needs })
    };
    needs.iter().enumerate().map(of).collect()
}

/// The loading that keeps the stretches found.
fn build_loading(
    needs: &[Vec<u16>],
    pieces: &[LoadPiece],
    all: &[KeepStretch],
    found: &KeptStretches,
) -> CartLoading {
    let mut carts = needs.to_vec();
    for stretch in all.iter().zip(&found.kept).filter(|(_, kept)| **kept).map(|(s, _)| s) {
        for cart in &mut carts[stretch.start + 1..stretch.end] {
            cart.push(stretch.piece);
        }
    }
    carts.iter_mut().for_each(|c| c.sort_unstable());
    let nothing = Vec::new();
    let before = |at: usize| if at == 0 { &nothing } else { &carts[at - 1] };
    let less = |a: &[u16], b: &[u16]| a.iter().filter(|p| b.binary_search(p).is_err()).copied().collect();
    let bring: Vec<Vec<u16>> = (0..carts.len()).map(|at| less(&carts[at], before(at))).collect();
    let back = (0..carts.len()).map(|at| less(before(at), &carts[at])).collect();
    let value: f64 = bring.iter().flatten().map(|p| pieces[usize::from(*p)].fetch_s).sum();
    let saved_s: f64 = all.iter().zip(&found.kept).filter(|(_, kept)| **kept).map(|(s, _)| s.saves_s).sum();
    let bound = if found.standing == SolverStanding::Proven { value } else { value + saved_s - found.most_s };
    let outcome = SolverOutcome {
        standing: found.standing,
        value,
        bound: bound.min(value),
        unit: OutcomeUnit::Seconds,
        effort: found.effort,
    };
    CartLoading { carts, bring, back, outcome }
}
