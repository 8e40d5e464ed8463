//! A program knows what it knows: the least book, and what a blurred book may say beside its full twin.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{PlanRequest, SilentObserver, make_judged_plan};
use app::load;
use model::plan::{KitObjective, Plan, ReadinessVerdict};
use model::{
    Book, FigureOrigins, Fixing, Known, ReachVerdict, RoomClass, SideFigures, Store, duties_of_book,
};
use plan::coverage::find_reach_under_doubt;
use std::path::PathBuf;

fn demo(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn store() -> Store {
    load::load_store(&demo("store")).unwrap()
}

const LEAST: &str = r#"
format = "traywright-book/2"
title = "a cover on an engine nobody has described"
[[part]]
title = "timing cover"
kind = "cover"
  [[part.fixing]]
  count = 10
  drive = "hexagon 10 mm"
  thread = "M6"
[[task]]
title = "look behind the cover"
off_first = ["timing-cover"]
"#;

fn read_text(text: &str) -> Book {
    let reading = book::read_book(&[(String::from("book.toml"), text.as_bytes().to_vec())]);
    reading.book.unwrap_or_else(|| panic!("{:?}", reading.faults))
}

fn plan_of(book: &Book, store: &Store) -> Plan {
    let request = PlanRequest {
        vehicle: "A".into(),
        tasks: Vec::new(),
        objective: KitObjective::Quickest,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 1,
    };
    let judged = make_judged_plan(book, store, &request, &SilentObserver).unwrap();
    assert_eq!(judged.violations, Vec::new());
    judged.plan
}

fn least_with(more: &str) -> Book {
    read_text(&LEAST.replace("thread = \"M6\"", &format!("thread = \"M6\"\n  {more}")))
}

#[test]
fn the_least_book_gives_a_plan_that_claims_nothing() {
    let plan = plan_of(&read_text(LEAST), &store());
    let coverage = plan.readiness.coverage;
    assert_eq!((coverage.fasteners(), coverage.not_known), (10, 10));
    assert!(!plan.readiness.go && !plan.slots.is_empty() && !plan.strip.steps.is_empty());
    assert_eq!(plan.readiness.verdict.first_bolt, ReadinessVerdict::Open);
    assert!(
        plan.readiness.open.iter().any(|line| line.words.contains("The room is not known for 10 fasteners"))
    );
}

#[test]
fn a_room_class_makes_it_likely_and_a_cited_figure_proves_it() {
    let store = store();
    let roomy = plan_of(&least_with("room = \"open\""), &store);
    assert_eq!(roomy.readiness.coverage.likely, 10, "{:?}", roomy.readiness.open);
    assert!(!roomy.readiness.go);
    let uncited = "room = \"open\"\n  tighten = \"10 N·m\"\n  source = \"a friend\"";
    assert_eq!(plan_of(&least_with(uncited), &store).readiness.coverage.likely, 10);
    let cited = "room = \"open\"\n  tighten = \"10 N·m\"\n  source = \"workshop manual p. 2-14 step 3\"";
    let plan = plan_of(&least_with(cited), &store);
    assert_eq!((plan.readiness.coverage.proven, plan.readiness.proven_by_class), (10, 10));
    assert!(plan.readiness.go, "{:?}", plan.readiness.open);
}

#[test]
fn a_look_says_what_each_answer_settles_and_keeps_its_word() {
    let store = store();
    let book = least_with("tighten = \"10 N·m\"\n  source = \"workshop manual p. 2-14 step 3\"");
    let looks = plan_of(&book, &store).readiness.looks;
    let open = looks[0].answers.iter().find(|answer| answer.answer == "open").unwrap();
    assert_eq!((looks[0].fixing.as_str(), open.settles), ("timing-cover-bolts", 10), "{looks:?}");
    let told = "room = \"open\"\n  tighten = \"10 N·m\"\n  source = \"workshop manual p. 2-14 step 3\"";
    assert_eq!(plan_of(&least_with(told), &store).readiness.coverage.proven, open.settles);
    assert!(plan_of(&least_with(told), &store).readiness.looks.is_empty());
}

#[test]
fn full_books_have_nothing_likely_and_nothing_unknown() {
    let store = store();
    for name in ["tern-24", "curlew-30"] {
        let book = load::load_book(&demo(&format!("books/{name}"))).unwrap();
        assert!(book.tight_readings().is_empty(), "{name}");
        let found = find_reach_under_doubt(&book, &store, &duties_of_book(&book), 2);
        let sure = |reach: &plan::coverage::JudgedReach| {
            reach.verdict
                == if reach.reach.workings.is_empty() { ReachVerdict::No } else { ReachVerdict::Proven }
        };
        assert!(found.iter().all(sure), "{name}");
    }
}

/// Dice of a linear congruential generator (Knuth, MMIX): enough to choose what is blurred.
struct BlurDice(u64);

impl BlurDice {
    fn below(&mut self, count: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % count
    }

    /// Drops a figure, widens it, or leaves it, by the dice; one in `of` is touched.
    fn blur(&mut self, figure: &mut Known<units::Length>, of: u64) {
        let Known::Exact(exact) = *figure else { return };
        *figure = match self.below(of) {
            0 => Known::Nothing,
            1 => {
                let (down, up) = (self.below(30) as f64 / 100.0, self.below(30) as f64 / 100.0);
                Known::between(exact * (1.0 - down), exact * (1.0 + up))
            }
            _ => Known::Exact(exact),
        };
    }
}

/// A fixing in which less is told.
fn blur_fixing(fixing: &Fixing, dice: &mut BlurDice) -> Fixing {
    let mut figures = fixing.told_figures();
    let standard = model::standard_grip_height(fixing.drive);
    if standard.allows(fixing.head.grip_height) {
        dice.blur(&mut figures.grip_height, 4);
    }
    if fixing.head.protrusion > units::Length::ZERO {
        dice.blur(&mut figures.protrusion, 6);
    }
    for (told, access) in figures.accesses.iter_mut().zip(&fixing.accesses) {
        let classes: Vec<RoomClass> =
            RoomClass::ALL.iter().copied().filter(|class| class.holds_room(access)).collect();
        if !classes.is_empty() && dice.below(3) == 0 {
            let class = classes[dice.below(classes.len() as u64) as usize];
            let hold = told.hold.take();
            let sight = told.sight;
            let tells_openings = told.tells_openings;
            *told =
                model::AccessFigures { room: Some(class), hold, sight, tells_openings, ..Default::default() };
            continue;
        }
        dice.blur(&mut told.headroom, 5);
        if let Some(segments) = &mut told.corridor {
            for segment in segments {
                dice.blur(&mut segment.clear, 8);
                if let Some(length) = &mut segment.length {
                    dice.blur(length, 8);
                }
            }
        }
        if dice.below(8) == 0 {
            told.swings = None;
        }
        if dice.below(8) == 0 {
            told.bends = None;
        }
        if dice.below(8) == 0 {
            told.side = SideFigures::NotKnown;
        }
        told.tells_openings &= dice.below(8) != 0;
    }
    let mut blurred = fixing.clone().with_figures(figures);
    if dice.below(6) == 0 && blurred.wants_tightening() {
        blurred.tightening.stages = vec![model::Stage::figure_missing()];
        blurred.tightening.end_torque = None;
    }
    blurred
}

/// A book in which less is told than in its full twin.
fn blur_book(full: &Book, dice: &mut BlurDice) -> Book {
    let mut blurred = full.clone();
    blurred.origins = FigureOrigins::default();
    for fixing in &mut blurred.fixings {
        *fixing = blur_fixing(fixing, dice);
    }
    blurred
}

/// What a blurred book says of each duty of its full twin; tightening is asked only where both have the stage.
fn check_twins(full: &Book, blurred: &Book, store: &Store, seed: u64) -> (usize, usize) {
    let duties = duties_of_book(blurred);
    let (mut proven, mut refused) = (0, 0);
    for found in find_reach_under_doubt(blurred, store, &duties, 2) {
        let duty = found.reach.duty;
        let is_twin =
            blurred.fixing(duty.fixing).tightening.stages == full.fixing(duty.fixing).tightening.stages;
        if duty.act == model::Act::Tighten && !is_twin {
            continue;
        }
        let twin = reach::find_reach(full, store, &[duty], reach::ReachOptions { threads: 1 });
        let key = &full.fixing(duty.fixing).key;
        match found.verdict {
            ReachVerdict::Proven => {
                proven += 1;
                for working in &found.reach.workings {
                    let fits = reach::work_with_stack(full, store, duty, &working.stack).is_some();
                    assert!(fits, "seed {seed}: {key} {} is proven by a stack that does not fit", duty.act);
                }
            }
            ReachVerdict::No => {
                refused += 1;
                assert!(
                    twin[0].workings.is_empty(),
                    "seed {seed}: {key} {} is refused and can be done",
                    duty.act
                );
            }
            ReachVerdict::Likely | ReachVerdict::NotKnown => {}
        }
    }
    (proven, refused)
}

#[test]
fn a_blurred_book_never_says_more_than_its_full_twin() {
    let store = store();
    let mut sums = (0, 0);
    for (name, seed) in [("tern-24", 1), ("tern-24", 2), ("curlew-30", 3), ("curlew-30", 4)] {
        let full = load::load_book(&demo(&format!("books/{name}"))).unwrap();
        let (proven, refused) = check_twins(&full, &blur_book(&full, &mut BlurDice(seed)), &store, seed);
        sums = (sums.0 + proven, sums.1 + refused);
    }
    assert!(sums.0 > 100, "nearly nothing is proven: {sums:?}");
}

#[test]
fn two_hundred_generated_books_keep_the_law_of_twins() {
    let store = store();
    let mut sums = (0, 0);
    for seed in 0..200 {
        let size = generate::GeneratedSize { parts: 6, fasteners: 24 };
        let full = read_text(&generate::generate_book(seed, size));
        let (proven, refused) = check_twins(&full, &blur_book(&full, &mut BlurDice(seed)), &store, seed);
        sums = (sums.0 + proven, sums.1 + refused);
    }
    assert!(sums.0 > 1000 && sums.1 > 10, "{sums:?}");
}
