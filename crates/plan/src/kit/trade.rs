//! The whole trade-off between buying, carrying and hands-on time: every kit that no other beats in all three.
//!
//! **Question.** The three objectives each give one kit. What lies between them: how much quicker is the work with one piece
//! more on the cart, and what does one piece more to buy save?
//!
//! **Method.** As in [`super::shop`], what the gaps wish for is put beside the store at a price of 1 each; the frontier of the
//! crate `cover` then gives every `(to buy, to carry, hands-on time)` that cannot be improved, each with its kit.
//!
//! **Range.** Hands-on time is that of the acts themselves, each with the quickest stack in the kit; changes of tool and place
//! depend on the order. Pieces that nothing wishes for cannot be bought here; prices are not known, their number stands
//! for them. Duties that nothing wished for opens are left out, and counted.
//!
//! **Worked example.** One bolt: an owned spanner, 60 s; an owned ratchet and a socket, 20 s. Two kits: 1 piece and 60 s, 2 pieces
//! and 20 s.

use cover::frontier::{self, TradeOffPoint};
use effort::{SolverBudget, SolverStanding};
use model::{Book, PieceId, Store};
use serde::Serialize;

use super::purchase::{ImaginedShelf, build_shelf};
use super::{MS_PER_S, SEED, count_pieces};
use crate::scope::PlanScope;

/// A piece of a kit of the trade-off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TradedPiece {
    /// Key in the store, or `imagined-N` where it is to be bought.
    pub piece: String,
    /// What a person calls it.
    pub title: String,
    /// How many of it.
    pub count: u16,
    /// Whether it is not owned.
    pub is_to_buy: bool,
}

/// A kit that no other beats in buying, carrying and time together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TradedKit {
    /// Pieces to buy.
    pub to_buy: u32,
    /// Pieces to carry, bought ones included.
    pub to_carry: u32,
    /// Seconds of all acts, each with the quickest stack in the kit.
    pub hands_on_s: f64,
    /// Whether it is proven that no kit with no more to buy and to carry is quicker.
    pub is_proven: bool,
    /// The pieces.
    pub pieces: Vec<TradedPiece>,
}

/// The whole trade-off.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TradeOff {
    /// Kits, by rising number to buy, then to carry.
    pub kits: Vec<TradedKit>,
    /// Whether all were looked for and each is proven, so that none is missing.
    pub is_whole: bool,
    /// Acts on a fixing that need something not at hand and are done with what is bought.
    pub wanting: u32,
    /// Acts on a fixing that nothing wished for opens; no kit counts them.
    pub shut: u32,
}

/// The trade-off of a scope, of at most `most_kits` kits.
#[must_use]
pub fn find_trade_off(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    most_kits: usize,
    threads: u16,
    budget: &SolverBudget,
) -> TradeOff {
    let shelf = build_shelf(book, store, scope, threads);
    let left = shelf.unopened_duties();
    let gaps = scope.duties.iter().filter(|d| d.workings.is_empty()).count();
    let found = frontier::find_frontier(&shelf.problem, most_kits, budget, SEED);
    TradeOff {
        kits: found.points.iter().map(|point| traded_kit(&shelf, point)).collect(),
        is_whole: found.is_whole,
        wanting: (gaps - left.len()) as u32,
        shut: left.len() as u32,
    }
}

fn traded_kit(shelf: &ImaginedShelf, point: &TradeOffPoint) -> TradedKit {
    let counts = count_pieces(point.pieces.iter().map(|item| shelf.items[*item as usize].0));
    let piece = |(id, count): (&PieceId, &u16)| TradedPiece {
        piece: shelf.store.piece(*id).key.clone(),
        title: shelf.store.piece(*id).title.clone(),
        count: *count,
        is_to_buy: shelf.is_imagined(*id),
    };
    TradedKit {
        to_buy: point.worth.price as u32,
        to_carry: point.worth.load as u32,
        hands_on_s: point.worth.time as f64 / MS_PER_S,
        is_proven: point.standing == SolverStanding::Proven,
        pieces: counts.iter().map(piece).collect(),
    }
}
