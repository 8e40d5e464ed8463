//! Sound plans of both demo books made wrong in every kind that is known, each found by the judge under the code of its rule.
//!
//! A kind is one way in which a plan can mislead: an order that leaves a bolt in, a figure doubled, a slot of another vehicle, a word that nobody
//! wrote. What the judge lets pass is listed with the reason in `free`.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]
#![expect(clippy::unit_arg, reason = "a bend is one expression, which says whether the plan had room for it")]

mod bending;
mod free;
mod naming;
mod sheets;
mod steps;
mod words;

use app::ask::{self, JudgedPlan, PlanRequest, SilentObserver};
use app::load;
use app::model::plan::{KitObjective, Plan};
use app::model::{Book, Store};
use bending::PlanMutation;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// At least as many kinds are found.
const LEAST_KINDS: usize = 150;
/// At most as many are let pass.
const MOST_FREE: usize = 20;
/// Both demo books with all their tasks.
const PLANS: [(&str, &[&str]); 2] = [("tern-24", &[]), ("curlew-30", &[])];
/// For what the long plans have no room for: one task with waits in it, and a thin book, in which rooms are in doubt.
const SHORT_PLANS: [(&str, &[&str]); 2] = [("tern-24", &["renew-thermostat"]), ("../dunlin-16-thin", &[])];

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn sound_plan((name, tasks): (&str, &[&str]), store: &Store) -> (Book, Plan) {
    let book = load::load_book(&demo("books").join(name)).unwrap();
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: tasks.iter().map(|task| (*task).to_owned()).collect(),
        objective: KitObjective::LeastToCarry,
        seconds: Some(4.0),
        stop_after_s: None,
        seed: 7,
        threads: 1,
    };
    let JudgedPlan { plan, violations, .. } =
        ask::make_judged_plan(&book, store, &request, &SilentObserver).unwrap();
    assert!(violations.is_empty(), "{name}: {violations:?}");
    (book, plan)
}

fn mutations() -> Vec<&'static PlanMutation> {
    let tables = [
        naming::NAMES,
        naming::WAYS_IN,
        naming::DUTIES,
        naming::STACKS,
        naming::KITS,
        naming::DOUBTS,
        steps::STRIP,
        steps::REFIT,
        steps::ORDERS,
        steps::WORLDS,
        steps::CAUTIONS,
        steps::SUMS,
        words::TEXTS,
        sheets::SLOTS,
        sheets::MIX_UPS,
        sheets::READINESS,
    ];
    tables.into_iter().flatten().collect()
}

/// What the judge says of each mutation that a plan has room for: the codes found.
fn judged(
    mutations: &[&'static PlanMutation],
    (book, store, plan): (&Book, &Store, &Plan),
) -> BTreeMap<&'static str, BTreeSet<&'static str>> {
    let mut found = BTreeMap::new();
    for mutation in mutations {
        let mut bent = plan.clone();
        // A small plan has no room for some of them.
        if (mutation.bend)(book, store, &mut bent).is_some() && bent != *plan {
            let violations = app::find_plan_violations(book, store, &bent);
            found.insert(mutation.name, violations.iter().map(|violation| violation.code).collect());
        }
    }
    found
}

#[test]
fn every_kind_of_mutation_is_found_by_its_rule() {
    let store = load::load_store(&demo("store")).unwrap();
    let names: BTreeSet<&str> = mutations().iter().map(|mutation| mutation.name).collect();
    assert_eq!(names.len(), mutations().len(), "a name twice");
    assert!(names.len() >= LEAST_KINDS, "{} kinds", names.len());
    let mut found: Vec<_> = std::thread::scope(|scope| {
        let store = &store;
        let judge = move |asked: (&'static str, &'static [&'static str])| {
            let (book, plan) = sound_plan(asked, store);
            (judged(&mutations(), (&book, store, &plan)), free_changes_pass(asked.0, &book, store, &plan))
        };
        let threads = PLANS.map(|asked| scope.spawn(move || judge(asked)));
        threads.map(|thread| thread.join().unwrap()).into()
    });
    let has_no_room =
        |mutation: &&&PlanMutation| found.iter().all(|(judged, _)| !judged.contains_key(mutation.name));
    let all = mutations();
    let left: Vec<&PlanMutation> = all.iter().filter(has_no_room).copied().collect();
    for asked in SHORT_PLANS {
        let (book, plan) = sound_plan(asked, &store);
        found.push((judged(&left, (&book, &store, &plan)), Vec::new()));
    }
    let mut faults = Vec::new();
    for mutation in mutations() {
        let on: Vec<_> = found.iter().filter_map(|(judged, _)| judged.get(mutation.name)).collect();
        if on.is_empty() {
            faults.push(format!("{}: no plan has room for it", mutation.name));
        }
        for codes in on.into_iter().filter(|codes| !codes.contains(mutation.code)) {
            faults.push(format!("{}: {} is not among {codes:?}", mutation.name, mutation.code));
        }
    }
    faults.extend(found.iter().flat_map(|(_, faults)| faults.clone()));
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
    let both = mutations()
        .iter()
        .filter(|m| found[..2].iter().all(|(judged, _)| judged.contains_key(m.name)))
        .count();
    println!("{} kinds found, {both} of them on both long plans; {} let pass", names.len(), free::FREE.len());
}

/// What is let pass is let pass, and has its reason.
fn free_changes_pass(name: &str, book: &Book, store: &Store, plan: &Plan) -> Vec<String> {
    assert!(free::FREE.len() <= MOST_FREE);
    let mut faults = Vec::new();
    for free in free::FREE {
        assert!(!free.why.is_empty(), "{}: without a reason", free.change.name);
        let mut bent = plan.clone();
        if (free.change.bend)(book, store, &mut bent).is_some() {
            let found = app::find_plan_violations(book, store, &bent);
            if !found.is_empty() {
                faults.push(format!("{name}: {} is let pass, and found: {found:?}", free.change.name));
            }
        }
    }
    faults
}

/// The JSON of a plan with one text in the place of another.
fn altered(json: &str, old: &str, new: &str) -> Plan {
    assert!(json.contains(old), "`{old}` is not in the plan");
    serde_json::from_str(&json.replacen(old, new, 1)).unwrap()
}

#[test]
fn a_plan_altered_in_its_file_is_found() {
    let store = load::load_store(&demo("store")).unwrap();
    let (book, plan) = sound_plan(PLANS[0], &store);
    let json = serde_json::to_string(&plan).unwrap();
    assert_eq!(serde_json::from_str::<Plan>(&json).unwrap(), plan, "read back as written");
    let tightening = plan.all_steps().find(|step| step.text.contains(" N·m")).unwrap().text.clone();
    let tenfold = tightening.replacen(" N·m", "0 N·m", 1);
    let cases: [(&str, &str, &str); 5] = [
        ("J711", &tightening, &tenfold),
        ("J711", "\"Undo 4 × ", "\"Undo 3 × "),
        ("J624", "\"word\":\"DANGER\"", "\"word\":\"NOTICE\""),
        ("J913", "Follow the maker's service data.", "Follow your nose."),
        ("J109", "\"words\":\"13 mm", "\"words\":\"12 mm"),
    ];
    for (code, old, new) in cases {
        let bent = altered(&json, old, new);
        let codes: BTreeSet<_> =
            app::find_plan_violations(&book, &store, &bent).iter().map(|violation| violation.code).collect();
        assert!(codes.contains(code), "{old} to {new}: {code} is not among {codes:?}");
    }
}
