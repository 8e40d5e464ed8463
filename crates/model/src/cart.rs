//! The loading of the cart as plain data: what `traywright cart --json` prints and the judge replays.
//!
//! A plan says which pieces the job needs; where the cart has fewer places than pieces, this says which pieces are on it at each step,
//! what each walk brings and takes back, and which second pieces would save swapping. Pieces are named by their keys, a key
//! twice where two of a kind are meant. Lists of keys are sorted.

use crate::{SolverOutcome, StorePlace};
use serde::{Deserialize, Serialize};

/// The name and version of the loading's shape.
pub const CART_FORMAT: &str = "traywright-cart/1";

/// The cabinet of pieces that live on the cart: they have their own place there and are never fetched.
pub const ON_CART: &str = "cart";

/// Taking up one piece on a walk, and putting one back (assumption: as a piece taken up and set aside at work).
pub const HANDLE_S: f64 = times::PICK_S + times::PUT_S;

/// A standing stack or a second piece that saves less is not worth a line (assumption).
pub const LEAST_SAVING_S: f64 = 30.0;

/// How long a walk to a cabinet takes, there and back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CabinetWalk {
    /// The cabinet or room, as the store names it.
    pub cabinet: String,
    /// There and back, s.
    pub seconds: f64,
}

/// A piece that the work needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CartPiece {
    /// Piece key.
    pub piece: String,
    /// Title.
    pub title: String,
    /// Where it is kept.
    pub place: StorePlace,
    /// Most of them that one step needs.
    pub count: u16,
    /// Number of steps that need it.
    pub steps: u32,
    /// How often one of them is brought.
    pub brought: u32,
}

/// A walk to one cabinet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CartTrip {
    /// The cabinet.
    pub cabinet: String,
    /// Keys of the pieces brought.
    pub bring: Vec<String>,
}

/// The cart from one round of walks to the next; nothing on it changes between.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CartStage {
    /// Number of the step before which the walks are made.
    pub from_step: u32,
    /// Number of the last step worked from this cart.
    pub to_step: u32,
    /// The walks, by cabinet.
    pub trips: Vec<CartTrip>,
    /// Zone *now*: keys of the pieces that the first step needs.
    pub now: Vec<String>,
    /// Zone *next*: keys of the pieces that later steps need before they are fetched again.
    pub next: Vec<String>,
    /// Zone *back*: keys of the pieces of the two others that have done their work by the end of the stage. They leave the
    /// cart before the next stage, each to its own cabinet on the next walk that passes it; after the last stage, all.
    pub back: Vec<String>,
    /// Places taken.
    pub places: u16,
    /// Walks and handling, s.
    pub seconds: f64,
}

/// A stack, or two that take turns, worth leaving joined on the cart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandingStackLine {
    /// Stack ids of the plan.
    pub stacks: Vec<String>,
    /// Keys of their pieces.
    pub pieces: Vec<String>,
    /// How often one of them is taken up.
    pub uses: u32,
    /// Swapping saved, together with the lines before it, s.
    pub saves_s: f64,
}

/// A second piece that would save swapping.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SecondPieceLine {
    /// Piece key.
    pub piece: String,
    /// Title.
    pub title: String,
    /// Ids of the further stacks that could then be kept joined.
    pub stacks: Vec<String>,
    /// Swapping saved over what standing stacks save already, s.
    pub saves_s: f64,
    /// Price of one, in cents, where the store knows it.
    pub price_cents: Option<i64>,
}

/// What another number of places would cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CartPlacesLine {
    /// Places on the cart.
    pub places: u16,
    /// Walks to cabinets.
    pub trips: u32,
    /// Walks and handling, s.
    pub seconds: f64,
}

/// The loading of the cart for a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CartLoad {
    /// [`CART_FORMAT`].
    pub format: String,
    /// Key of the book.
    pub book: String,
    /// Title of the store.
    pub store_title: String,
    /// Three-letter currency of prices.
    pub currency: String,
    /// Places on the cart.
    pub places: u16,
    /// The walks to each cabinet, by name.
    pub walks: Vec<CabinetWalk>,
    /// The pieces, by cabinet, drawer and key.
    pub pieces: Vec<CartPiece>,
    /// The cart, from one round of walks to the next.
    pub stages: Vec<CartStage>,
    /// Walks to cabinets.
    pub trips: u32,
    /// Pieces brought, each time counted.
    pub brought: u32,
    /// Walks and handling in seconds, and the bound on any loading in this order of steps.
    pub outcome: SolverOutcome,
    /// Stacks worth leaving joined with the pieces at hand, the most saving first.
    pub standing: Vec<StandingStackLine>,
    /// Second pieces that would save swapping, the most saving first.
    pub second_pieces: Vec<SecondPieceLine>,
    /// Other numbers of places, rising.
    pub others: Vec<CartPlacesLine>,
}
