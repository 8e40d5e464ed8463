//! What to buy: with any one size of the demo's store taken away, the plan is judged clean, what it asks for is something that shops sell
//! with the job that it is for, and that piece closes what its absence opened.

use app::ask::{self, PlanRequest, SilentObserver};
use app::load;
use app::model::plan::{KitObjective, Readiness};
use app::model::{Book, Piece, Retention, Store};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// What a person would call one size: kind, drive, length and square.
fn size_of_piece(piece: &Piece) -> String {
    let fit = piece.grip.as_ref().and_then(|grip| grip.fits.first());
    let fit = fit.map(|fit| format!("{:?} {} to {}", fit.form, fit.low, fit.high)).unwrap_or_default();
    format!("{} {fit} {:?} {:?}", piece.kind.spoken_word(), piece.toward_fastener, piece.toward_hand)
}

fn request(seconds: f64) -> PlanRequest {
    PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: Some(seconds),
        stop_after_s: Some(0.01),
        seed: 7,
        threads: 2,
    }
}

fn readiness(book: &Book, store: &Store) -> Readiness {
    ask::assess_readiness(book, store, &request(1.0)).unwrap_or_else(|error| panic!("{error}"))
}

/// The acts that nothing at hand can do.
fn open_acts(sheet: &Readiness) -> BTreeSet<String> {
    sheet
        .gaps
        .iter()
        .map(|gap| format!("{} {} {} {:?}", gap.fixing, gap.access, gap.act, gap.stage))
        .collect()
}

/// A store with pieces over the counter that a line's words begin with, one for each line.
fn with_bought(store: &Store, sheet: &Readiness, new: &BTreeSet<String>) -> Store {
    let mut bought = store.clone();
    for line in &sheet.shopping {
        let is_for = line.closes.iter().any(|at| {
            let gap = &sheet.gaps[*at];
            new.contains(&format!("{} {} {} {:?}", gap.fixing, gap.access, gap.act, gap.stage))
        });
        let sold = tools::sold_pieces().iter().filter(|piece| line.words.starts_with(&piece.title));
        let longest = sold.max_by_key(|piece| piece.title.len());
        bought.pieces.extend(longest.filter(|_| is_for).map(|piece| as_bought(piece, &line.words)));
    }
    bought
}

/// A sold piece as the line asks for it.
fn as_bought(piece: &Piece, words: &str) -> Piece {
    let mut bought = Piece { key: format!("bought-{}", piece.key), count: 2, ..piece.clone() };
    if let Some(grip) = bought.grip.as_mut().filter(|_| words.contains("retaining the fastener")) {
        grip.retention = Retention::Magnet;
    }
    bought
}

/// Sizes of which every third is taken away in an ordinary run, all of them in the long one.
const EVERY: usize = 3;

#[test]
fn a_size_that_is_missing_is_asked_for_by_a_name_that_shops_know_and_closes_its_gaps() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let store = load::load_store(&demo.join("store")).unwrap_or_else(|error| panic!("{error}"));
    let every = if std::env::var_os("TRAYWRIGHT_LONG").is_some() { 1 } else { EVERY };
    let mut opened = 0;
    for name in ["tern-24", "curlew-30"] {
        let book = load::load_book(&demo.join("books").join(name)).unwrap_or_else(|error| panic!("{error}"));
        let plan = ask::make_judged_plan(&book, &store, &request(1.0), &SilentObserver).unwrap().plan;
        let used: BTreeSet<&String> = plan.stacks.iter().flat_map(|stack| &stack.pieces).collect();
        let mut sizes: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for piece in store.pieces.iter().filter(|piece| used.contains(&piece.key)) {
            sizes.entry(size_of_piece(piece)).or_default().push(piece.key.clone());
        }
        let before = open_acts(&readiness(&book, &store));
        for size in sizes.keys().step_by(every) {
            let mut poorer = store.clone();
            poorer.pieces.retain(|piece| size_of_piece(piece) != *size);
            let answer = ask::make_judged_plan(&book, &poorer, &request(1.0), &SilentObserver).unwrap();
            let said: Vec<String> = answer
                .violations
                .iter()
                .take(3)
                .map(|v| format!("{} {}: {}", v.code, v.place, v.words))
                .collect();
            assert!(said.is_empty(), "{name} without {size}: {said:?}");
            let sheet = &answer.plan.readiness;
            for line in sheet.shopping.iter().filter(|line| line.spec.is_some()) {
                assert!(!line.words.is_empty() && !line.closes.is_empty(), "{name} without {size}: {line:?}");
            }
            // Where something else stands in the way already, the size alone opens nothing.
            let was_open =
                |act: &&String| before.iter().any(|old| old.split(' ').next() == act.split(' ').next());
            let now = open_acts(sheet);
            let new: BTreeSet<String> = now.iter().filter(|act| !was_open(act)).cloned().collect();
            let after = open_acts(&readiness(&book, &with_bought(&poorer, sheet, &new)));
            let left: Vec<&String> = new.intersection(&after).collect();
            assert!(left.is_empty(), "{name} without {size}: {left:?} stay open with what is asked for");
            opened += new.len();
        }
    }
    assert!(opened > 20, "{opened} acts opened and closed again");
}
