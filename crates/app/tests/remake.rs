//! The rest of a half-done job: from any prefix, with or without happenings, the plan made anew does what is left, each once.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{self, PlanRequest, SilentObserver};
use app::load;
use app::model::plan::{KitObjective, Plan, Step, StepKind};
use app::model::progress::{Happening, HappeningKind, Progress};
use app::model::{Book, Store};
use effort::{SolverBudget, SolverEffort, UnwatchedSolver};
use plan::PlanError;
use std::path::{Path, PathBuf};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn plan(book: &Book, store: &Store, seed: u64) -> Plan {
    let objective = [KitObjective::LeastToCarry, KitObjective::Quickest][seed as usize % 2];
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective,
        seconds: Some(2.0),
        stop_after_s: None,
        seed,
        threads: 1,
    };
    ask::make_judged_plan(book, store, &request, &SilentObserver).unwrap().plan
}

/// Numbers by a seed (splitmix64).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % count.max(1) as u64) as usize
    }
}

fn steps(plan: &Plan) -> Vec<&Step> {
    plan.strip.steps.iter().chain(&plan.work.steps).chain(&plan.refit.steps).collect()
}

/// Does the first steps of a plan, and some holes of the next one.
fn work_on(book: &Book, plan: &Plan, progress: &mut Progress, numbers: &mut Numbers) {
    let all = steps(plan);
    let count = numbers.below(all.len() + 1);
    all[..count].iter().for_each(|step| progress.do_step(book, plan, step));
    let Some(next) = all.get(count) else { return };
    let actions = numbers.below(next.actions.len() + 1);
    for (at, action) in next.actions.iter().take(actions).enumerate() {
        let mut some = action.clone();
        if at + 1 == actions {
            some.holes.truncate(numbers.below(action.holes.len() + 1));
        }
        progress.station = Some(next.station.clone());
        progress.do_action(book, plan, &some);
    }
}

fn budget() -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(300), watch: &UnwatchedSolver }
}

#[track_caller]
fn assert_holds(book: &Book, store: &Store, plan: &Plan, progress: &Progress, told: &str) {
    let found = judge::judge_rest(book, store, plan, progress);
    let words: Vec<String> = found.iter().take(6).map(ToString::to_string).collect();
    assert!(words.is_empty(), "{told}: {} violations\n{}", found.len(), words.join("\n"));
}

/// A plan is worked on, made anew, worked on and made anew again until nothing is left.
fn check_chain(book: &Book, store: &Store, first: &Plan, seed: u64) {
    let mut numbers = Numbers(seed);
    let mut progress = Progress::default();
    let mut now = first.clone();
    for round in 0..4 {
        work_on(book, &now, &mut progress, &mut numbers);
        let happenings =
            if numbers.below(2) == 0 { happenings(book, &now, round, &mut numbers) } else { Vec::new() };
        let (made, happenings) = match plan::remake_plan(book, store, &now, &progress, &happenings, budget())
        {
            // What is covered again has to be uncovered first, and the refusal says by which part.
            Err(error @ PlanError::NoOrder { .. }) => {
                assert!(error.to_string().contains(": off"), "seed {seed} round {round}: {error}");
                (plan::remake_plan(book, store, &now, &progress, &[], budget()), Vec::new())
            }
            made => (made, happenings),
        };
        now = made.unwrap_or_else(|e| panic!("seed {seed} round {round}: {e}"));
        progress = plan::happening::take_in(book, &progress, &happenings);
        assert_holds(book, store, &now, &progress, &format!("seed {seed} round {round}"));
    }
    for step in steps(&now.clone()) {
        progress.do_step(book, &now, step);
    }
    let end = plan::remake_plan(book, store, &now, &progress, &[], budget()).unwrap();
    assert_eq!(steps(&end).len(), 0, "seed {seed}: nothing is left at the end");
}

const KINDS: [HappeningKind; 12] = [
    HappeningKind::Seized,
    HappeningKind::Rounded,
    HappeningKind::Broken,
    HappeningKind::ThreadCameOut,
    HappeningKind::ExtraPart,
    HappeningKind::WrongPart,
    HappeningKind::PartMissing,
    HappeningKind::Lost,
    HappeningKind::Dropped,
    HappeningKind::MissingWhenFound,
    HappeningKind::FoundLikeThis,
    HappeningKind::Interrupted,
];

/// A happening to a fixing that is still to be worked, of a random kind.
fn happenings(book: &Book, plan: &Plan, round: usize, numbers: &mut Numbers) -> Vec<Happening> {
    let undone: Vec<&Step> = plan.strip.steps.iter().filter(|s| !s.actions.is_empty()).collect();
    let kind = KINDS[numbers.below(KINDS.len())];
    let fixing = (!undone.is_empty()).then(|| undone[numbers.below(undone.len())].fixings[0].clone());
    let hole = fixing.as_ref().map(|key| {
        let step = undone.iter().find(|s| s.fixings.contains(key)).unwrap();
        step.actions[0].holes[0].clone()
    });
    let part = fixing.as_ref().and_then(|f| book.fixing_by_key(f)).map(|id| book.part(book.fixing(id).part));
    vec![Happening {
        key: format!("h{round}"),
        kind,
        holes: hole.into_iter().collect(),
        part: part.map(|p| p.key.clone()),
        fixing,
        note: String::from("as seen"),
        extra: Vec::new(),
    }]
}

#[test]
fn generated_books_are_planned_on_from_any_prefix() {
    for seed in 0..6 {
        let (book, store) = generate::generate_book_and_store(seed, 25, 90, 250);
        let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
        let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
        let first = plan(&book, &store, seed);
        for chain in 0..12 {
            check_chain(&book, &store, &first, seed * 100 + chain);
        }
    }
}

#[test]
fn the_demo_books_are_planned_on_from_any_prefix() {
    let store = load::load_store(&demo("store")).unwrap();
    for name in ["tern-24", "curlew-30"] {
        let book = load::load_book(&demo("books").join(name)).unwrap();
        let first = plan(&book, &store, 7);
        for seed in 0..12 {
            check_chain(&book, &store, &first, seed);
        }
    }
}

#[test]
fn a_plan_for_the_rest_that_lies_is_found_out() {
    let store = load::load_store(&demo("store")).unwrap();
    let book = load::load_book(&demo("books").join("tern-24")).unwrap();
    let first = plan(&book, &store, 7);
    let mut progress = Progress::default();
    steps(&first)[..20].iter().for_each(|step| progress.do_step(&book, &first, step));
    let rest = plan::remake_plan(&book, &store, &first, &progress, &[], budget()).unwrap();
    assert_holds(&book, &store, &rest, &progress, "as made");
    let check = |change: &dyn Fn(&mut Plan), expected: &str| {
        let mut bad = rest.clone();
        change(&mut bad);
        let found = judge::judge_rest(&book, &store, &bad, &progress);
        assert!(found.iter().any(|v| v.code == expected), "{expected} not in {found:?}");
    };
    // What is done is done again; a step is left out; two change places; a hole is forgotten; figures are bent.
    check(&|p| p.strip.steps.insert(0, first.strip.steps[0].clone()), "R701");
    check(&|p| _ = p.refit.steps.pop(), "R702");
    check(&|p| p.strip.steps.reverse(), "R203");
    check(&|p| p.refit.steps.reverse(), "R102");
    let worked =
        |p: &mut Plan| -> usize { p.strip.steps.iter().position(|s| !s.actions.is_empty()).unwrap() };
    check(
        &|p| {
            let at = worked(p);
            p.strip.steps[at].actions.iter_mut().for_each(|a| _ = a.holes.pop());
        },
        "R202",
    );
    check(&|p| p.strip.steps[0].setup_s += 5.0, "J653");
    check(&|p| p.work.steps.clear(), "R804");
    check(&|p| p.refit.steps.retain(|s| s.part.is_none()), "R801");
    let mut less = progress.clone();
    less.parts_off.pop_first().expect("twenty steps take some part off");
    let found = judge::judge_rest(&book, &store, &rest, &less);
    assert!(!found.is_empty(), "a part in place again and yet not taken off");
}

#[test]
fn what_does_not_belong_together_is_said() {
    let store = load::load_store(&demo("store")).unwrap();
    let book = load::load_book(&demo("books").join("tern-24")).unwrap();
    let first = plan(&book, &store, 7);
    let check = |change: &dyn Fn(&mut Progress), expected: &str| {
        let mut progress = Progress::default();
        change(&mut progress);
        let error = plan::remake_plan(&book, &store, &first, &progress, &[], budget()).unwrap_err();
        assert!(error.to_string().contains(expected), "{error}");
    };
    check(&|p| _ = p.parts_off.insert("no-such-part".into()), "no-such-part");
    check(&|p| p.station = Some("the moon".into()), "the moon");
    check(&|p| p.in_hand.push("wand".into()), "wand");
    check(&|p| p.set_fastener("no-such-fixing", "1", Default::default()), "no-such-fixing");
    check(&|p| _ = p.tasks_done.insert("no-such-task".into()), "no-such-task");
}

/// What a step does, whatever its number, its holes and the settings before it.
fn name_of(step: &Step) -> (String, Option<&str>, Vec<&str>, Option<&str>, Option<&str>) {
    let fixings = step.fixings.iter().map(String::as_str).collect();
    let kind = format!("{:?}", step.kind);
    (kind, step.part.as_deref(), fixings, step.condition.as_deref(), step.task.as_deref())
}

/// What a happening does not touch keeps its order: of the neighbours still to do nine in ten stay neighbours.
#[test]
fn a_happening_leaves_nine_in_ten_neighbours_side_by_side() {
    let store = load::load_store(&demo("store")).unwrap();
    let (mut kept, mut all) = (0, 0);
    for name in ["tern-24", "curlew-30"] {
        let book = load::load_book(&demo("books").join(name)).unwrap();
        let first = plan(&book, &store, 7);
        for seed in 0..20 {
            let mut numbers = Numbers(seed);
            let mut progress = Progress::default();
            let before = steps(&first);
            let done = numbers.below(before.len());
            before[..done].iter().for_each(|step| progress.do_step(&book, &first, step));
            let told = happenings(&book, &first, 0, &mut numbers);
            let now = match plan::remake_plan(&book, &store, &first, &progress, &told, SolverBudget::sized())
            {
                Err(PlanError::NoOrder { .. }) => continue,
                now => now.unwrap(),
            };
            let fixed = |step: &&Step| !matches!(step.kind, StepKind::Wait | StepKind::Set | StepKind::Extra);
            let after: Vec<_> = steps(&now).into_iter().filter(fixed).map(name_of).collect();
            let old: Vec<_> = before[done..].iter().copied().filter(|s| fixed(s)).map(name_of).collect();
            for pair in old.windows(2).filter(|pair| pair.iter().all(|step| after.contains(step))) {
                all += 1;
                kept += usize::from(after.windows(2).any(|two| two == pair));
            }
        }
    }
    assert!(all > 2_000, "{all} neighbours");
    assert!(kept * 10 >= all * 9, "{kept} of {all} neighbours stay");
}
