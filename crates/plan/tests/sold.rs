//! Sold wishes: what is wanted is a usual piece where one closes the gap, and getting it closes what its absence opened.
mod common;

use common::{Size, book, some_tasks};
use effort::UnwatchedSolver;
use model::plan::{KitObjective, PlanInputs};
use model::{Book, MissKind, ObtainKind, Store};
use plan::assemble::find_plan_scope;
use plan::scope::PlanScope;

fn reached(book: &Book, store: &Store, seed: u64) -> PlanScope {
    let tasks = some_tasks(book, seed).iter().map(|t| book.task(*t).key.clone()).collect();
    let asked = PlanInputs {
        vehicle: "A".into(),
        seconds: None,
        stop_after_s: None,
        goal: None,
        tasks,
        objective: KitObjective::Balanced,
        seed,
        threads: 1,
    };
    find_plan_scope(book, store, &asked, &UnwatchedSolver).expect("a random book has a way in").1
}

/// A store of all that shops sell, less what is left out.
fn shop_store(leave_out: impl Fn(&model::Piece) -> bool) -> Store {
    let pieces = tools::sold_pieces().iter().filter(|p| !leave_out(p)).cloned().collect();
    Store { title: "all that is sold".into(), pieces, cart_places: None, trays: Vec::new() }
}

/// Every wish for a sold piece of a size that is missing does what it says.
fn wishes_met(seed: u64) -> usize {
    let book = book(seed, Size::SMALL);
    let whole = reached(&book, &shop_store(|_| false), seed);
    let sizes: Vec<model::Drive> = book.fixings.iter().map(|f| f.drive).collect();
    let missing = sizes[seed as usize % sizes.len()];
    let fits = |piece: &model::Piece| {
        let fits = piece.grip.iter().flat_map(|g| &g.fits);
        fits.clone().any(|f| f.form == missing.form() && f.low <= missing.size() && missing.size() <= f.high)
    };
    let store = shop_store(fits);
    let scope = reached(&book, &store, seed);
    let mut met = 0;
    for (at, duty) in scope.duties.iter().enumerate() {
        let Some(miss) = duty.miss.as_ref().filter(|miss| miss.kind == MissKind::NoGrip) else { continue };
        let could = !whole.duties[at].workings.is_empty();
        let Some(sold) = tools::sold_pieces().iter().find(|p| miss.wanted.words == p.title) else {
            continue;
        };
        assert!(could && miss.wanted.how != ObtainKind::Make, "{}", miss.words);
        assert!(miss.words.ends_with(&format!("needed: {}", sold.title)), "{}", miss.words);
        let mut more = store.clone();
        more.pieces.push(sold.clone());
        let after = reached(&book, &more, seed);
        assert!(!after.duties[at].workings.is_empty(), "{} does not close {:?}", sold.title, duty.duty);
        met += 1;
    }
    met
}

#[test]
fn a_missing_size_is_asked_for_as_a_usual_piece_that_closes_the_gap() {
    let met: usize = (0..12).map(wishes_met).sum();
    assert!(met > 10, "{met} wishes for a usual piece");
}
