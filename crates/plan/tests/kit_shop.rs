//! What to buy: put on the shelf, the pieces bought do what they were bought for; and no more are bought than gaps are closed.
mod common;

use common::{Size, book, some_tasks};
use effort::{SolverBudget, UnwatchedSolver};
use model::plan::{KitObjective, PlanInputs};
use model::{Book, Store};
use plan::assemble::find_plan_scope;
use plan::kit;
use plan::scope::PlanScope;

fn reached(book: &Book, store: &Store, seed: u64) -> PlanScope {
    let tasks = some_tasks(book, seed).iter().map(|t| book.task(*t).key.clone()).collect();
    let asked = PlanInputs {
        vehicle: "A".into(),
        seconds: None,
        stop_after_s: None,
        goal: None,
        tasks,
        objective: KitObjective::LeastToBuy,
        seed,
        threads: 1,
    };
    find_plan_scope(book, store, &asked, &UnwatchedSolver).expect("a random book has a way in").1
}

/// Buys for an empty store, a few rounds on; returns how many pieces were bought.
fn stocked(seed: u64) -> usize {
    let book = book(seed, Size::SMALL);
    let mut store =
        Store { title: "empty at first".into(), pieces: Vec::new(), cart_places: None, trays: Vec::new() };
    let mut bought = 0;
    for round in 0..3 {
        let scope = reached(&book, &store, seed);
        let shop = kit::choose_purchase(&book, &store, &scope, 1, &SolverBudget::sized());
        assert_eq!(shop.outcome.value, shop.buys.len() as f64);
        assert!(shop.outcome.bound <= shop.outcome.value);
        assert!(shop.owned.iter().all(|id| id.index() < store.pieces.len()));
        // No more than one for each gap that is closed: its own wish would do.
        let gaps = scope.duties.iter().filter(|d| d.workings.is_empty()).count();
        assert!(shop.buys.len() <= gaps - shop.left.len(), "{} bought for {gaps} gaps", shop.buys.len());
        let trade = kit::find_trade_off(&book, &store, &scope, 100, 1, &SolverBudget::sized());
        assert!(trade.is_whole && trade.shut as usize == shop.left.len());
        let least = trade.kits.first().map(|kit| (kit.to_buy as usize, kit.to_carry as usize));
        let carried = shop.buys.len() + shop.owned.len();
        assert_eq!(least.unwrap_or_default(), (shop.buys.len(), carried), "the end of the trade-off");
        for (at, buy) in shop.buys.iter().enumerate() {
            let mut piece = buy.piece.clone();
            piece.key = format!("bought-{round}-{at}");
            store.pieces.push(piece);
        }
        bought += shop.buys.len();
        let after = reached(&book, &store, seed);
        for duty in &after.duties {
            let Some(before) = scope.duty_position(duty.duty) else { continue };
            let promised = !shop.left.contains(&before);
            assert!(!promised || !duty.workings.is_empty(), "{:?} was promised", duty.duty);
        }
    }
    bought
}

#[test]
fn what_is_bought_does_what_it_was_bought_for() {
    let bought: usize = (0..12).map(stocked).sum();
    assert!(bought > 0, "the empty store lacks nothing");
}
