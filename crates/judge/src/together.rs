//! Replays the worlds of all open visits side by side, step after step as a calendar lays them: nothing of the workshop is at two vehicles
//! at once, no compartment is given twice.
//!
//! What a vehicle has is read from its book by code of the judge's own: of each setting that is not as it is at hand-over the lift, the
//! tools that its ways there name, or the support or pin itself. What was at several vehicles when the replay begins is there so often.
//!
//! | code | what is wrong |
//! |---|---|
//! | C608 | a compartment of two visits, or a letter of two visits |
//! | C610 | the lift, a support or a piece at more vehicles than there are of it |
//! | C611 | a step wants a piece that stays on another vehicle |

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Plan, Step};
use model::{Book, SettingKind, Store};

use crate::{FoundViolations, Violation};

/// Something that vehicles share.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum SharedThing {
    Lift,
    Piece(String),
    Called(String),
}

impl SharedThing {
    fn words(&self) -> String {
        match self {
            Self::Lift => String::from("lift"),
            Self::Piece(name) | Self::Called(name) => format!("`{name}`"),
        }
    }
}

/// A step as far as it takes, gives back or wants something.
#[derive(Debug, Clone, PartialEq, Eq)]
struct WorldStep {
    number: u32,
    /// What the vehicle has after it.
    has: BTreeSet<SharedThing>,
    /// What the step is done with.
    wants: BTreeSet<SharedThing>,
}

/// The world of one visit, read from its book, its tools and its plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JudgedWorld {
    letter: char,
    has_now: BTreeSet<SharedThing>,
    /// The steps of each item.
    items: Vec<Vec<WorldStep>>,
    counts: BTreeMap<SharedThing, u32>,
    /// Tray and number of each compartment that the plan has.
    compartments: BTreeSet<(String, u32)>,
}

/// Reads a world: where its settings stand now, and the numbers of the steps of each item. Steps that are not in the plan are passed over.
#[must_use]
pub fn read_world(
    letter: char,
    (book, store, plan): (&Book, &Store, &Plan),
    values: &BTreeMap<String, String>,
    items: &[Vec<u32>],
) -> JudgedWorld {
    let mut counts = BTreeMap::new();
    let takers: Vec<(usize, BTreeSet<SharedThing>)> =
        (0..book.settings.len()).map(|at| (at, things_taken((book, store), at, &mut counts))).collect();
    let mut values = values.clone();
    let has = |values: &BTreeMap<String, String>| -> BTreeSet<SharedThing> {
        let is_away = |at: usize| {
            let setting = &book.settings[at];
            let value = values.get(&setting.key).and_then(|word| setting.value_by_word(word));
            value.is_some_and(|value| setting.end & (1 << value) == 0)
        };
        takers.iter().filter(|(at, _)| is_away(*at)).flat_map(|(_, things)| things).cloned().collect()
    };
    let has_now = has(&values);
    let mut steps_of = |numbers: &Vec<u32>| -> Vec<WorldStep> {
        let mut row = Vec::new();
        for number in numbers {
            let Some(step) = plan.all_steps().find(|step| step.number == *number) else { continue };
            for change in &step.sets {
                values.insert(change.setting.clone(), change.value.clone());
            }
            row.push(WorldStep {
                number: *number,
                has: has(&values),
                wants: pieces_wanted(book, plan, step),
            });
        }
        row
    };
    let items = items.iter().map(&mut steps_of).collect();
    JudgedWorld { letter, has_now, items, counts, compartments: compartments_of(store, plan) }
}

/// What a setting takes while it is not as it is at hand-over; how many there are is noted.
fn things_taken(
    (book, store): (&Book, &Store),
    at: usize,
    counts: &mut BTreeMap<SharedThing, u32>,
) -> BTreeSet<SharedThing> {
    let setting = &book.settings[at];
    let mut taken = BTreeMap::new();
    if setting.kind == SettingKind::Lift {
        taken.insert(SharedThing::Lift, 1);
    } else {
        for way in setting.ways.iter().filter(|way| setting.end & (1 << way.to) == 0) {
            for id in &way.special_tools {
                let tool = &book.special_tools[id.index()];
                let mut at_hand = Vec::new();
                for piece in &store.pieces {
                    if piece.answers.contains(&tool.key) && piece.at_hand() > 0 {
                        at_hand.push(piece);
                    }
                }
                let count = at_hand.iter().map(|piece| u32::from(piece.at_hand())).sum::<u32>();
                match at_hand.first() {
                    Some(piece) => taken.insert(SharedThing::Piece(piece.key.clone()), count),
                    None => taken.insert(SharedThing::Called(tool.title.to_lowercase()), 1),
                };
            }
        }
        if taken.is_empty() && matches!(setting.kind, SettingKind::Support | SettingKind::PutIn) {
            taken.insert(SharedThing::Called(setting.title.to_lowercase()), 1);
        }
    }
    counts.extend(taken.iter().map(|(thing, count)| (thing.clone(), *count)));
    taken.into_keys().collect()
}

/// The pieces that a step is done with.
fn pieces_wanted(book: &Book, plan: &Plan, step: &Step) -> BTreeSet<SharedThing> {
    let mut wanted = BTreeSet::new();
    for action in &step.actions {
        for stack in plan.stacks.iter().filter(|stack| action.stack.as_ref() == Some(&stack.id)) {
            wanted.extend(stack.pieces.iter().chain(&stack.hold).cloned().map(SharedThing::Piece));
        }
    }
    let mut tools: Vec<&model::SpecialToolId> = Vec::new();
    if let Some(task) = step.task.as_ref().and_then(|key| book.task_by_key(key)) {
        tools.extend(&book.task(task).special_tools);
    }
    if let Some(part) = step.part.as_ref().and_then(|key| book.part_by_key(key)) {
        tools.extend(&book.part(part).special_tools);
    }
    for tool in tools {
        let key = &book.special_tools[tool.index()].key;
        for (_, piece) in plan.kit.special.iter().filter(|(named, _)| named == key) {
            wanted.insert(SharedThing::Piece(piece.clone()));
        }
    }
    wanted
}

fn compartments_of(store: &Store, plan: &Plan) -> BTreeSet<(String, u32)> {
    let mut all = BTreeSet::new();
    for line in &plan.slots {
        for tray in &store.trays {
            if let Some(number) = line.slot.compartment_of(&plan.asked.vehicle, &tray.key) {
                all.insert((tray.key.clone(), number));
            }
        }
    }
    all
}

/// Everything that is at two places at once; `starts` has the start of each item of each world, s. Items without a start are passed over.
#[must_use]
pub fn judge_together(worlds: &[JudgedWorld], starts: &[Vec<u32>]) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    judge_shares(worlds, &mut found);
    let mut moments: Vec<(u32, usize, usize)> = Vec::new();
    for (at, world) in worlds.iter().enumerate() {
        let of_world = starts.get(at).map_or(&[][..], Vec::as_slice);
        moments.extend(of_world.iter().take(world.items.len()).enumerate().map(|(i, s)| (*s, at, i)));
    }
    moments.sort_unstable();
    let mut has: Vec<&BTreeSet<SharedThing>> = worlds.iter().map(|world| &world.has_now).collect();
    let counts = counts_at_start(worlds);
    let mut told = BTreeSet::new();
    for (_, at, item) in moments {
        let world = &worlds[at];
        for step in &world.items[item] {
            let place = || format!("{}: step {}", world.letter, step.number);
            let others = |thing: &SharedThing| -> Vec<char> {
                let with = (0..worlds.len()).filter(|other| *other != at && has[*other].contains(thing));
                with.map(|other| worlds[other].letter).collect()
            };
            for thing in step.has.difference(has[at]) {
                let with = others(thing);
                if with.len() as u32 >= counts.get(thing).copied().unwrap_or(1) {
                    let words = format!("takes the {}, which {} has", thing.words(), letters(&with));
                    found.add("C610", place(), words);
                }
            }
            for thing in step.wants.difference(&step.has).filter(|thing| !has[at].contains(thing)) {
                let with = others(thing);
                let is_all = counts.get(thing).is_some_and(|count| with.len() as u32 >= *count);
                if is_all && told.insert((at, thing.clone())) {
                    let words = format!("wants the {}, which {} has", thing.words(), letters(&with));
                    found.add("C611", place(), words);
                }
            }
            has[at] = &step.has;
        }
    }
    found.0
}

/// How many there are of each thing: as told, or as many as vehicles have it at the start.
fn counts_at_start(worlds: &[JudgedWorld]) -> BTreeMap<SharedThing, u32> {
    let mut counts = BTreeMap::new();
    for world in worlds {
        counts.extend(world.counts.iter().map(|(thing, count)| (thing.clone(), *count)));
    }
    for (thing, count) in &mut counts {
        let now = worlds.iter().filter(|world| world.has_now.contains(thing)).count() as u32;
        *count = now.max(*count);
    }
    counts
}

fn letters(letters: &[char]) -> String {
    letters.iter().map(char::to_string).collect::<Vec<_>>().join(" and ")
}

/// Compartments and letters of two.
fn judge_shares(worlds: &[JudgedWorld], found: &mut FoundViolations) {
    for (at, world) in worlds.iter().enumerate() {
        for other in &worlds[..at] {
            for (tray, number) in world.compartments.intersection(&other.compartments) {
                let words = format!("is in use for {} and {}", other.letter, world.letter);
                found.add("C608", format!("tray {tray}, compartment {number}"), words);
            }
            if world.letter == other.letter {
                found.add("C608", format!("letter {}", world.letter), "is of two visits");
            }
        }
    }
}
