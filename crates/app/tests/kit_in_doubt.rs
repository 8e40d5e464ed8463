//! The kit under doubt: what it serves of the rooms that a thin book allows, against trying every piece by hand.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{PlanRequest, SilentObserver, make_judged_plan};
use app::load;
use effort::SolverBudget;
use model::plan::{KitObjective, Plan, PlanInputs};
use model::{Book, BookReading, PieceId, Store, duties_of_book};
use plan::kit::{KitAnswer, choose_kit};
use plan::scope::{PlanScope, ScopedDuty};
use std::path::PathBuf;
use times::WALK_S;
use times::{PICK_S, PUT_S};

fn demo(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn store() -> Store {
    load::load_store(&demo("store")).unwrap()
}

/// A book of covers, each on bolts of one size in a room of one class.
fn covers(rooms: &[(&str, &str)]) -> Book {
    let mut text = String::from(
        "format = \"traywright-book/2\"\ntitle = \"invented covers\"\n\
         [[task]]\ntitle = \"look behind them\"\noff_first = [",
    );
    let keys: Vec<String> = (0..rooms.len()).map(|n| format!("\"cover-{n}\"")).collect();
    text.push_str(&format!("{}]\n", keys.join(", ")));
    for (n, (drive, room)) in rooms.iter().enumerate() {
        text.push_str(&format!(
            "[[part]]\ntitle = \"cover {n}\"\nkind = \"cover\"\n  [[part.fixing]]\n  count = 4\n  \
             drive = \"{drive}\"\n  thread = \"M6\"\n  tighten = \"9 N·m\"\n  room = \"{room}\"\n"
        ));
    }
    let reading = book::read_book(&[(String::from("book.toml"), text.into_bytes())]);
    reading.book.unwrap_or_else(|| panic!("{:?}", reading.faults))
}

fn thin_books() -> Vec<Book> {
    let sizes = ["hexagon 10 mm", "hexagon 8 mm", "T30", "hexagon 13 mm"];
    let classes = ["open", "arms-length", "deep", "beside-only", "blind"];
    let mut books: Vec<Book> = (0..4)
        .map(|from| {
            let rooms: Vec<(&str, &str)> = (0..4)
                .map(|n| (sizes[(from + n) % sizes.len()], classes[(from + 2 * n) % classes.len()]))
                .collect();
            covers(&rooms)
        })
        .collect();
    books.push(load::load_book(&demo("dunlin-16-thin")).unwrap());
    books
}

fn scope_of(book: &Book, store: &Store) -> PlanScope {
    let asked = PlanInputs {
        vehicle: String::from("A"),
        tasks: book.tasks.iter().map(|task| task.key.clone()).collect(),
        objective: KitObjective::Balanced,
        goal: None,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 1,
    };
    plan::assemble::find_plan_scope(book, store, &asked, &effort::UnwatchedSolver).unwrap().1
}

/// Seconds of walks that a kit leaves over all duties in doubt, counted room by room.
fn walks_s(kit: &KitAnswer, scope: &PlanScope) -> f64 {
    let missing = |duty: &ScopedDuty| {
        let Some(rooms) = &duty.rooms else { return 0.0 };
        let open = (0..rooms.of).filter(|room| {
            let holds = |at: &usize| rooms.held[*at] >> room & 1 == 1;
            !(0..duty.workings.len()).filter(holds).any(|at| kit.holds_stack(&duty.workings[at].stack))
        });
        WALK_S * open.count() as f64 / f64::from(rooms.of)
    };
    scope.duties.iter().map(missing).sum()
}

/// The kit with further copies of some pieces.
fn with_pieces(kit: &KitAnswer, more: &[PieceId]) -> KitAnswer {
    let mut wider = kit.clone();
    for piece in more {
        match wider.pieces.binary_search_by_key(piece, |(id, _)| *id) {
            Ok(at) => wider.pieces[at].1 += 1,
            Err(at) => wider.pieces.insert(at, (*piece, 1)),
        }
    }
    wider
}

#[test]
fn no_piece_and_no_pair_left_in_the_cabinet_is_worth_carrying() {
    let mut store = store();
    store.cart_places = Some(200);
    let mut in_doubt = 0;
    for book in thin_books() {
        let scope = scope_of(&book, &store);
        in_doubt += scope.duties.iter().filter(|duty| duty.rooms.is_some()).count();
        let kit = choose_kit(&book, &store, &scope, KitObjective::Balanced, &SolverBudget::sized());
        let left_s = walks_s(&kit, &scope);
        let of_doubt = scope.duties.iter().filter(|duty| duty.rooms.is_some());
        let mut pieces: Vec<PieceId> =
            of_doubt.flat_map(|duty| &duty.workings).flat_map(|w| w.stack.all_pieces()).collect();
        pieces.sort_unstable();
        pieces.dedup();
        for (at, a) in pieces.iter().enumerate() {
            for more in pieces[at..].iter().map(|b| if a == b { vec![*a] } else { vec![*a, *b] }) {
                let saved_s = left_s - walks_s(&with_pieces(&kit, &more), &scope);
                let cost_s = (PICK_S + PUT_S) * more.len() as f64;
                assert!(saved_s <= cost_s + 0.01, "{}: {more:?} saves {saved_s} s", book.title);
            }
        }
    }
    assert!(in_doubt > 20, "{in_doubt} duties in doubt");
}

#[test]
fn a_stack_that_holds_at_every_tight_reading_holds_in_every_possible_room() {
    let store = store();
    let mut firm = 0;
    for book in thin_books() {
        let tight = book.tight_readings();
        let corners: Vec<Book> = BookReading::all_corners().into_iter().map(|r| book.at_reading(r)).collect();
        let duties = duties_of_book(&book);
        for found in reach::find_reach(&book, &store, &duties, reach::ReachOptions { threads: 2 }) {
            for working in found.workings.iter().take(20) {
                let holds =
                    |read: &Book| reach::work_with_stack(read, &store, found.duty, &working.stack).is_some();
                if tight.iter().all(holds) {
                    firm += 1;
                    assert!(corners.iter().all(holds), "{}: {:?}", book.title, found.duty);
                }
            }
        }
    }
    assert!(firm > 20, "{firm} stacks hold at every tight reading");
}

fn plan_for(book: &Book, store: &Store, objective: KitObjective) -> Plan {
    let request = PlanRequest {
        vehicle: "A".into(),
        tasks: Vec::new(),
        objective,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 1,
    };
    let judged = make_judged_plan(book, store, &request, &SilentObserver).unwrap();
    assert_eq!(judged.violations, Vec::new(), "{}", book.title);
    judged.plan
}

/// Rooms served over all duties in doubt of a plan, and all of them.
fn rooms_told(plan: &Plan) -> (u32, u32) {
    let told = plan.kit.doubt.iter().flat_map(|doubt| &doubt.duties);
    told.fold((0, 0), |(served, all), line| (served + line.by_kit, all + line.rooms))
}

#[test]
fn the_judge_counts_the_same_rooms_and_the_cart_serves_more_than_the_least_one() {
    let (store, mut sums) = (store(), [(0, 0); 2]);
    for book in thin_books() {
        for (sum, objective) in sums.iter_mut().zip([KitObjective::LeastToCarry, KitObjective::Balanced]) {
            let plan = plan_for(&book, &store, objective);
            let (served, all) = rooms_told(&plan);
            *sum = (sum.0 + served, sum.1 + all);
            let carried: u32 = plan.kit.pieces.iter().map(|line| u32::from(line.count)).sum();
            let words = app::text::plan_text::format_kit(&plan, app::text::table::PageWidth::USUAL);
            println!("{} {objective:?}: {carried} pieces, {served} of {all}\n{words}", book.title);
            assert!(plan.kit.doubt.is_none() || words.contains("in doubt"), "{words}");
        }
    }
    let [least, balanced] = sums;
    assert_eq!(least.1, balanced.1);
    assert!(balanced.0 >= least.0 && balanced.1 > 0, "{sums:?}");
}
