//! What lies on a cart of few places when, what each walk brings, and which second pieces would save swapping.
//!
//! # Question
//! The plan is given: its steps in order, each with its stacks. The cart has `P` places and the job needs more pieces than that.
//! Before which steps is there a walk, to which cabinet, what comes and what goes, and how long does all of it take?
//!
//! # Nomenclature
//! A *stage* is the time between two rounds of walks; the cart does not change in it. Its zones: *now*, what the first step
//! needs; *next*, what later steps need; *back*, what is done with and leaves before the next stage. `w(c)` seconds of a walk to
//! cabinet `c`, there and back; `h` seconds of handling a piece ([`model::cart::HANDLE_S`]).
//!
//! # Method
//! The cost of a loading is `Σ w(c) over its walks + h · pieces brought`. Several loadings are made and the best is kept:
//!
//! * **alone**: every piece pays for its own walk, `h + a · w(c)`; the best loading is then a cheapest flow (`cart::lay_out_cart`). With
//!   `a` from 0 to 1 the far cabinets weigh little or much. Afterwards a walk is dropped where all that it brings could come
//!   with the walk before to the same cabinet and lie on the cart until then;
//! * **soonest**: when a walk has to be made, the cart is filled with what is needed soonest, as far as that walk gives it;
//!   what is expensive to fetch seems nearer than it is, more or less so from try to try. With one cabinet the fewest walks and
//!   the fewest pieces brought come together, so it is best.
//!
//! The bound adds what no loading can avoid: for each cabinet the fewest walks if its pieces alone had to be brought early
//! enough (longest blocks of steps whose pieces fit, which is best for one cabinet), and the fewest pieces brought in all (a
//! flow again).
//!
//! Which stacks are kept joined and which second pieces pay: [`standing`].
//!
//! # Assumptions and range
//! A piece takes one place; a stack takes the places of its pieces, joined or not. Two cabinets are two walks. Putting back is
//! done on the way and costs no walk of its own. Pieces whose cabinet is named [`model::cart::ON_CART`] have their own place on
//! the cart. The order of the steps is left as it is.
//!
//! # Worked example
//! Two places, one cabinet, steps {a}, {b}, {c}, {a, b}: first walk a, b; at {c} one of them makes room; before the last step it
//! is fetched again: 3 walks, 4 pieces, `3 · 12 + 4 · 5.4 = 57.6 s`. With three places one walk and three pieces do: 28.2 s.
//!
//! # Sources
//! Those of [`cart`]; the times are the assumptions of [`model::cart`].

mod course;
mod needs;
mod sheet;
pub mod standing;

use core::fmt;

use effort::SolverBudget;
use model::Store;
use model::cart::{CART_FORMAT, CabinetWalk, CartLoad, CartPlacesLine};
use model::plan::Plan;

use course::{CartCourse, CartLoadingCase};
use needs::StepPieceNeeds;

/// The request for a loading.
#[derive(Debug, Clone, PartialEq)]
pub struct CartLoadRequest {
    /// Places on the cart.
    pub places: u16,
    /// Walks that take another time than [`times::WALK_S`].
    pub walks: Vec<CabinetWalk>,
}

/// Why there is no loading.
#[derive(Debug, Clone, PartialEq)]
pub enum CartError {
    /// A step needs more pieces than the cart has places.
    TooFewPlaces {
        /// Number of the step.
        step: u32,
        /// Pieces that it needs.
        needs: usize,
    },
    /// The plan names a piece that the store does not have.
    NoSuchPiece(String),
    /// The plan names a stack that it does not describe.
    NoSuchStack(String),
    /// A walk is stated to a cabinet in which the store keeps nothing.
    NoSuchCabinet(String),
    /// The seconds of a walk to a cabinet are not from 0 to an hour.
    Seconds(String),
}

impl fmt::Display for CartError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewPlaces { step, needs } => {
                write!(
                    f,
                    "step {step} needs {needs} pieces at once; the cart must have at least {needs} places"
                )
            }
            Self::NoSuchPiece(key) => write!(f, "the store has no piece `{key}`"),
            Self::NoSuchStack(id) => write!(f, "the plan has no stack `{id}`"),
            Self::NoSuchCabinet(name) => {
                write!(f, "the store keeps nothing in a cabinet named `{name}`; check the name")
            }
            Self::Seconds(name) => write!(f, "the walk to `{name}` must take 0 to {MAX_WALK_S} s"),
        }
    }
}

impl core::error::Error for CartError {}

/// Longest walk: an hour.
const MAX_WALK_S: f64 = 3600.0;

/// The loading of the cart for a plan, the best found; the same for the same plan, store and places.
///
/// # Errors
/// [`CartError`] where plan and store do not belong together, a step does not fit the cart or a walk is out of range.
pub fn lay_out_cart(
    store: &Store,
    plan: &Plan,
    asked: &CartLoadRequest,
    budget: &SolverBudget,
) -> Result<CartLoad, CartError> {
    let needs = StepPieceNeeds::new(store, plan)?;
    let walks = cabinet_walks(store, &needs, &asked.walks)?;
    if let Some((step, needs)) = needs.first_overfull_step(asked.places) {
        return Err(CartError::TooFewPlaces { step, needs });
    }
    let case = CartLoadingCase::new(&needs, &walks, asked.places);
    let course = CartCourse::find_best(&case, budget);
    let (standing, second_pieces) = standing::standing_lines(store, plan);
    Ok(CartLoad {
        format: CART_FORMAT.into(),
        book: plan.book.clone(),
        store_title: store.title.clone(),
        currency: plan.currency.clone(),
        places: asked.places,
        pieces: sheet::cart_pieces(store, &needs, &course),
        stages: sheet::cart_stages(store, plan, &needs, &case, &course),
        trips: course.count_walks(&case) as u32,
        brought: course.count_brought() as u32,
        outcome: course.outcome(&case, budget),
        standing,
        second_pieces,
        others: other_place_counts(&needs, &walks, asked.places, budget),
        walks,
    })
}

/// The walks to the cabinets that hold anything needed, by name.
fn cabinet_walks(
    store: &Store,
    needs: &StepPieceNeeds,
    stated: &[CabinetWalk],
) -> Result<Vec<CabinetWalk>, CartError> {
    for walk in stated {
        if !store.pieces.iter().any(|p| p.place.cabinet == walk.cabinet) {
            return Err(CartError::NoSuchCabinet(walk.cabinet.clone()));
        }
        if !(0.0..=MAX_WALK_S).contains(&walk.seconds) {
            return Err(CartError::Seconds(walk.cabinet.clone()));
        }
    }
    let seconds = |cabinet: &str| {
        let last = stated.iter().rev().find(|w| w.cabinet == cabinet);
        last.map_or(times::WALK_S, |w| w.seconds)
    };
    let of = |cabinet: &String| CabinetWalk { cabinet: cabinet.clone(), seconds: seconds(cabinet) };
    Ok(needs.cabinets.iter().map(of).collect())
}

/// The fewest places possible, some more and some less than asked for, and enough for all.
fn other_place_counts(
    needs: &StepPieceNeeds,
    walks: &[CabinetWalk],
    places: u16,
    budget: &SolverBudget,
) -> Vec<CartPlacesLine> {
    let (least, all) = (needs.most_at_once(), needs.items.len().max(1));
    let asked = usize::from(places);
    let mut tried = vec![least, asked * 3 / 4, asked, asked + asked / 4, asked + asked / 2, all];
    tried.retain(|p| (least..=all).contains(p));
    tried.sort_unstable();
    tried.dedup();
    let line = |places: usize| {
        let places = u16::try_from(places).unwrap_or(u16::MAX);
        let case = CartLoadingCase::new(needs, walks, places);
        let course = CartCourse::find_best(&case, budget);
        CartPlacesLine { places, trips: course.count_walks(&case) as u32, seconds: course.cost_s(&case) }
    };
    tried.into_iter().map(line).collect()
}
