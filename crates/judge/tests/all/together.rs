//! Two worlds side by side, clean one after the other, then with something at two places at once.

use std::collections::BTreeMap;

use judge::Violation;
use judge::together::{JudgedWorld, judge_together, read_world};
use model::plan::Plan;
use model::{Book, SpecialTool, SpecialToolId, Store};

use crate::things;
use crate::world_things::{BEAM, book, plan};

/// A vehicle's steps in two items: to the step after which the beam carries, and the rest.
fn halves(plan: &Plan) -> Vec<Vec<u32>> {
    let steps: Vec<_> = plan.all_steps().collect();
    let carries = |step: &&model::plan::Step| {
        step.sets.iter().any(|change| change.setting == "beam" && change.value == "carrying")
    };
    let last = steps.iter().position(carries).expect("the beam comes to carry");
    let numbers = |steps: &[&model::plan::Step]| steps.iter().map(|step| step.number).collect();
    vec![numbers(&steps[..=last]), numbers(&steps[last + 1..])]
}

fn world(letter: char, (book, store, plan): (&Book, &Store, &Plan)) -> JudgedWorld {
    let values: BTreeMap<String, String> = book
        .settings
        .iter()
        .map(|setting| (setting.key.clone(), setting.word(setting.start).into()))
        .collect();
    read_world(letter, (book, store, plan), &values, &halves(plan))
}

/// The plan of a vehicle with another letter, its slots with it.
fn lettered(letter: &str) -> Plan {
    let mut plan = plan();
    plan.asked.vehicle = letter.into();
    for line in &mut plan.slots {
        if let model::SlotAddress::Compartment { tray, number } = &line.slot {
            let key = tray.split_once('-').expect("a letter and a tray").1;
            line.slot = model::SlotAddress::in_tray(letter, key, *number);
        }
    }
    plan
}

/// What is said of two vehicles whose items begin at these times, compartments aside.
fn said((book, store): (&Book, &Store), letters: [char; 2], starts: [[u32; 2]; 2]) -> Vec<Violation> {
    let worlds = letters.map(|letter| world(letter, (book, store, &lettered(&letter.to_string()))));
    judge_together(&worlds, &starts.map(Vec::from))
}

#[track_caller]
fn check(code: &str, found: Vec<Violation>) -> Vec<Violation> {
    assert!(found.iter().any(|violation| violation.code == code), "{code} is not among {found:?}");
    found
}

/// A beam that is a piece with which other steps are done too.
fn with_piece() -> (Book, Store) {
    let (mut book, mut store) = (book(), things::store());
    let piece = plan().stacks.first().and_then(|stack| stack.pieces.first().cloned()).expect("a piece");
    let tool = SpecialTool {
        key: "beam".into(),
        title: "beam".into(),
        specification: "300 kg".into(),
        can_be_made: false,
    };
    book.special_tools.push(tool);
    let id = SpecialToolId::new(book.special_tools.len() - 1);
    book.settings[BEAM.index()].ways[0].special_tools.push(id);
    let own = store.pieces.iter_mut().find(|own| own.key == piece).expect("it is in the store");
    own.answers.push("beam".into());
    (book, store)
}

#[test]
fn one_vehicle_after_the_other_is_clean() {
    let (book, store) = (book(), things::store());
    let found = said((&book, &store), ['A', 'B'], [[0, 10], [20, 30]]);
    assert!(found.iter().all(|violation| violation.code == "C608"), "{found:?}");
    let (book, mut store) = with_piece();
    for piece in &mut store.pieces {
        piece.count = 2;
    }
    let found = said((&book, &store), ['A', 'B'], [[0, 20], [10, 30]]);
    assert!(
        found.iter().all(|v| v.code != "C611" && !v.words.contains("socket")),
        "two are there: {found:?}"
    );
}

#[test]
fn what_is_at_two_places_is_told_by_its_own_code() {
    assert!(say_all().len() >= 5);
}

/// Each thing at two places at once; all that is said of it.
pub fn say_all() -> Vec<Violation> {
    let (plain, store) = (book(), things::store());
    let (piece, of_piece) = with_piece();
    [
        check("C610", said((&plain, &store), ['A', 'B'], [[0, 20], [10, 30]])),
        check("C610", said((&piece, &of_piece), ['A', 'B'], [[0, 20], [10, 30]])),
        check("C611", said((&piece, &of_piece), ['A', 'B'], [[0, 40], [10, 30]])),
        check("C608", said((&plain, &store), ['A', 'A'], [[0, 10], [20, 30]])),
        check("C608", said((&plain, &store), ['A', 'B'], [[0, 10], [20, 30]])),
    ]
    .concat()
}
