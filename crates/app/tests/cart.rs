//! The cart: worked by hand, random plans judged, wrong loadings refused, and the demo within 80 columns.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use app::ask::{self, PlanRequest, SilentObserver};
use app::cart_loading::load_judged_cart;
use app::model::SolverStanding;
use app::model::Store;
use app::model::cart::{CartLoad, StandingStackLine};
use app::model::plan::{KitObjective, Plan, StackLine, StepAction};
use app::{load as read, text};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

/// The demo's store and a small plan of it; the tests put their own steps in.
fn small() -> &'static (Store, Plan) {
    static SMALL: OnceLock<(Store, Plan)> = OnceLock::new();
    SMALL.get_or_init(|| {
        let (book, store) =
            (read::load_book(&demo("books/tern-24")).unwrap(), read::load_store(&demo("store")).unwrap());
        let request = PlanRequest {
            vehicle: "A".into(),
            tasks: vec!["renew-thermostat".into()],
            objective: KitObjective::LeastToCarry,
            seconds: None,
            stop_after_s: None,
            seed: 1,
            threads: 1,
        };
        let plan = ask::make_judged_plan(&book, &store, &request, &SilentObserver).unwrap().plan;
        (store, plan)
    })
}

/// A store of three pieces a cabinet, one of each, and a plan whose steps use these stacks in turn.
fn case(cabinets: usize, stacks: &[&[usize]], steps: &[usize]) -> (Store, Plan) {
    let (mut store, mut plan) = small().clone();
    store.pieces.truncate(3 * cabinets);
    for (at, piece) in store.pieces.iter_mut().enumerate() {
        (piece.key, piece.count) = (format!("p{at}"), 1);
        (piece.lent, piece.in_calibration) = (0, 0);
        piece.place.cabinet = format!("cabinet {}", at / 3);
    }
    let line = |(at, pieces): (usize, &&[usize])| StackLine {
        id: format!("S{}", at + 1),
        pieces: pieces.iter().map(|p| format!("p{p}")).collect(),
        shapes: pieces.iter().map(|p| (&store.pieces[*p]).into()).collect(),
        hold: Vec::new(),
        words: String::new(),
    };
    plan.stacks = stacks.iter().enumerate().map(line).collect();
    let mut step = plan.strip.steps[0].clone();
    step.actions.clear();
    plan.work.steps.clear();
    plan.refit.steps.clear();
    plan.strip.steps = (1..)
        .zip(steps)
        .map(|(number, stack)| {
            let action = StepAction {
                duty: 0,
                holes: Vec::new(),
                stack: Some(format!("S{}", stack + 1)),
                figure: None,
            };
            let mut step = step.clone();
            (step.number, step.actions) = (number, vec![action]);
            step
        })
        .collect();
    (store, plan)
}

fn loaded((store, plan): &(Store, Plan), places: u16) -> CartLoad {
    let loaded = load_judged_cart(store, plan, Some(places), &[]).unwrap();
    assert_eq!(loaded.violations, Vec::new());
    loaded.load
}

/// The lecture's example: with two places three walks and four pieces, with three one walk and three pieces; a walk takes
/// 12 s and a piece 5.4 s.
#[test]
fn the_worked_example() {
    let four = case(1, &[&[0], &[1], &[2], &[0, 1]], &[0, 1, 2, 3]);
    let two = loaded(&four, 2);
    assert!((two.outcome.value - (3.0 * 12.0 + 4.0 * 5.4)).abs() < 1e-9, "{two:?}");
    assert_eq!((two.trips, two.brought, two.outcome.standing), (3, 4, SolverStanding::Proven));
    let zones: Vec<_> = two
        .stages
        .iter()
        .map(|s| (s.from_step, s.to_step, s.now.len(), s.next.len(), s.back.len()))
        .collect();
    assert_eq!(zones, [(1, 2, 1, 1, 1), (3, 3, 1, 1, 1), (4, 4, 2, 0, 2)]);
    let three = loaded(&four, 3);
    assert!((three.outcome.value - (12.0 + 3.0 * 5.4)).abs() < 1e-9);
    assert_eq!((three.trips, three.brought, three.stages.len()), (1, 3, 1));
}

/// Two stacks that share a ratchet take turns forty times. From the bare hand 8 s, then 9.4 s and 6.8 s in turn; were both
/// joined, 4 s and then 5.4 s each time: 8 − 4 + 20 · 4.0 + 19 · 1.4 = 110.6 s saved by a second ratchet (piece 0).
#[test]
fn a_second_ratchet_lets_both_stand() {
    let turns: Vec<usize> = (0..40).map(|at| at % 2).collect();
    let (mut store, plan) = case(2, &[&[0, 1], &[0, 2, 3]], &turns);
    let one = loaded(&(store.clone(), plan.clone()), 6);
    assert_eq!(one.standing, Vec::new());
    let second = one.second_pieces.iter().find(|s| s.piece == "p0").unwrap();
    assert!((second.saves_s - 110.6).abs() < 1e-9, "{second:?}");
    assert_eq!(second.stacks, ["S1", "S2"]);
    store.pieces[0].count = 2;
    let two = loaded(&(store, plan), 6);
    assert_eq!(two.second_pieces, Vec::new());
    assert!((two.standing.iter().map(|s| s.saves_s).sum::<f64>() - 110.6).abs() < 1e-9);
}

#[test]
fn pieces_that_live_on_the_cart_are_never_fetched() {
    let (mut store, plan) = case(2, &[&[0], &[3], &[4]], &[0, 1, 2, 0]);
    for piece in store.pieces.iter_mut().skip(3) {
        piece.place.cabinet = "cart".into();
    }
    let load = loaded(&(store, plan), 1);
    assert_eq!((load.trips, load.brought, load.pieces.len()), (1, 1, 1));
}

#[test]
fn what_cannot_be_loaded_is_told() {
    let two = case(1, &[&[0, 1]], &[0]);
    let fault =
        |places, walks: &[String]| load_judged_cart(&two.0, &two.1, places, walks).unwrap_err().to_string();
    assert!(fault(Some(1), &[]).contains("step 1 needs 2 pieces"));
    assert!(fault(Some(2), &["attic=3".into()]).contains("attic"));
    assert!(fault(Some(2), &["cabinet 0=-1".into()]).contains("0 to 3600 s"));
    assert!(fault(Some(2), &["cabinet 0".into()]).contains("cabinet 0=20"));
    let mut other = two.clone();
    other.0.pieces.clear();
    assert!(
        load_judged_cart(&other.0, &other.1, Some(2), &[]).unwrap_err().to_string().contains("no piece `p0`")
    );
    other.0.cart_places = None;
    assert!(load_judged_cart(&other.0, &other.1, None, &[]).unwrap_err().to_string().contains("--places"));
}

/// Numbers by a seed (splitmix64).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % count as u64) as usize
    }
}

fn random(seed: u64, cabinets: usize) -> (Store, Plan) {
    let mut numbers = Numbers(seed);
    let stacks: Vec<Vec<usize>> = (0..6)
        .map(|_| {
            let mut pieces: Vec<usize> =
                (0..1 + numbers.below(3)).map(|_| numbers.below(3 * cabinets)).collect();
            pieces.sort_unstable();
            pieces.dedup();
            pieces
        })
        .collect();
    let steps: Vec<usize> = (0..numbers.below(30)).map(|_| numbers.below(6)).collect();
    let stacks: Vec<&[usize]> = stacks.iter().map(Vec::as_slice).collect();
    case(cabinets, &stacks, &steps)
}

#[test]
fn every_loading_is_judged_clean() {
    for seed in 0..150 {
        let cabinets = 1 + (seed % 4) as usize;
        let case = random(seed, cabinets);
        let mut before_s = f64::INFINITY;
        for places in 3..8 {
            let load = loaded(&case, places);
            assert!(load.outcome.bound <= load.outcome.value, "seed {seed}");
            if cabinets == 1 {
                assert_eq!(load.outcome.standing, SolverStanding::Proven, "seed {seed}, {places} places");
                assert!(load.outcome.value <= before_s, "seed {seed}, {places} places");
                before_s = load.outcome.value;
            }
            assert_eq!(load, loaded(&case, places), "the same twice");
        }
    }
}

/// Each change breaks the rule beside it.
#[test]
fn the_judge_refuses_what_is_wrong() {
    let (store, plan) = case(2, &[&[0], &[1], &[3], &[0, 1]], &[0, 1, 2, 3, 2]);
    let good = loaded(&(store.clone(), plan.clone()), 2);
    let check = |code: &str, change: &dyn Fn(&mut CartLoad)| {
        let mut bad = good.clone();
        change(&mut bad);
        let found = judge::judge_cart(&store, &plan, &bad);
        assert!(found.iter().any(|v| v.code == code), "{code}: {found:?}");
    };
    check("J001", &|l| l.book = "another".into());
    check("J001", &|l| l.stages[0].next.push("nothing".into()));
    check("J002", &|l| l.stages[0].to_step = 4);
    check("J003", &|l| l.places = 1);
    check("J003", &|l| l.stages[0].places += 1);
    check("J004", &|l| l.stages[0].now.clear());
    check("J004", &|l| l.stages[0].back.clear());
    check("J004", &|l| l.stages[0].back.push("p4".into()));
    check("J005", &|l| l.stages[0].trips[0].cabinet = "cabinet 7".into());
    check("J005", &|l| l.stages[0].trips.clear());
    check("J005", &|l| l.trips += 1);
    check("J006", &|l| l.stages[0].seconds -= 1.0);
    check("J006", &|l| l.outcome.value -= 1.0);
    check("J006", &|l| l.outcome.bound = l.outcome.value + 1.0);
    check("J007", &|l| drop(l.stages.pop()));
    check("J008", &|l| drop(l.pieces.pop()));
    check("J008", &|l| l.pieces[0].brought += 1);
    let line = |stack: &str, saves_s| StandingStackLine {
        stacks: vec![stack.into()],
        pieces: vec!["p0".into(), "p1".into()],
        uses: 1,
        saves_s,
    };
    check("J009", &|l| l.standing.push(line("S4", 99.0)));
    check("J009", &|l| l.standing.push(line("S1", 0.0)));
}

#[test]
fn the_text_fits_eighty_columns() {
    let (store, plan) = small();
    let load = loaded(&(store.clone(), plan.clone()), 9);
    let shown = text::cart_text::format_cart(&load, text::table::PageWidth::USUAL);
    for line in shown.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(shown.starts_with("9 places on the cart"), "{shown}");
    assert!(shown.contains("THE CART, WALK BY WALK") && shown.contains("  now    "), "{shown}");
}
