//! A plan of one course keeps its book's world, and each way to break it is told by its own code.

use crate::spoken::spoken;
use crate::things;
use crate::world_things::*;
use judge::Violation;
use judge::calendar::{JudgedHours, JudgedLimits, JudgedSteps, judge_calendar};
use model::plan::{Plan, Step, StepKind, StepSequence};
use model::progress::Progress;
use model::{
    ActWorld, Book, Caution, PartKind, PartStanding, SignalWord, SpecialTool, SpecialToolId, StationId,
};
use std::cell::RefCell;
use units::Duration;

thread_local! {
    /// What the judge said in this thread.
    static SAID: RefCell<Vec<Violation>> = const { RefCell::new(Vec::new()) };
}

/// All that the judge says of the plans of this file.
pub fn say_all() -> Vec<Violation> {
    breaking_loose_asks_less_than_taking_off();
    needs_of_stations_acts_and_ways();
    rules_hold_after_every_step();
    changes_of_settings_are_ways_of_the_book();
    effects_are_told_as_the_book_has_them();
    the_end();
    order_of_parts_and_plugs();
    moves_and_bounds();
    a_course_belongs_to_a_world();
    what_holds_the_engine_is_asked_where_no_rule_says_it();
    hanging_parts_tension_and_drains();
    a_state_is_reached_and_nothing_hangs();
    names_and_what_is_amiss();
    SAID.take()
}

/// Numbers, totals and the value of the course follow from the steps again, and counts of place, lift and tools are as given.
fn settle(plan: &mut Plan, (place, lift, tools): (u32, u32, u32)) {
    let mut number = 0;
    for sequence in [&mut plan.strip, &mut plan.work, &mut plan.refit] {
        for step in &mut sequence.steps {
            number += 1;
            step.number = number;
        }
        let sum = |of: fn(&Step) -> f64| sequence.steps.iter().map(of).sum::<f64>();
        (sequence.setup_s, sequence.work_s) = (sum(|s| s.setup_s), sum(|s| s.work_s));
        sequence.wait_s = sum(|s| s.wait_s);
    }
    let total_s = plan.total_s();
    let course = plan.course.as_mut().expect("a plan of one course");
    (course.moves.place.count, course.moves.lift.count, course.moves.tools.count) = (place, lift, tools);
    course.least_moves = 0;
    course.outcome.value = total_s + times::MOVE_PRICE_S * f64::from(place + lift);
}

fn codes_of(book: &Book, plan: &Plan) -> Vec<&'static str> {
    let found = judge::judge_plan(book, &things::store(), plan);
    SAID.with_borrow_mut(|said| said.extend(found.clone()));
    let mut codes: Vec<&str> = found.iter().map(|v| v.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

/// The codes of a changed plan, whose moves are as many as given.
fn check_moves(codes: &[&str], moves: (u32, u32, u32), change: impl Fn(&mut Book, &mut Plan)) {
    let (mut book, mut plan) = (book(), plan());
    change(&mut book, &mut plan);
    settle(&mut plan, moves);
    let plan = spoken(&book, plan);
    assert_eq!(codes_of(&book, &plan), codes);
}

/// The codes of a changed plan with the moves of the right one.
fn check(codes: &[&str], change: impl Fn(&mut Book, &mut Plan)) {
    check_moves(codes, (4, 2, 16), change);
}

#[test]
fn a_right_course_breaks_no_rule() {
    let found = judge::judge_plan(&book(), &things::store(), &plan());
    assert!(found.is_empty(), "{}", found.iter().map(|v| format!("{v}\n")).collect::<String>());
    check(&[], |_, _| {});
}

#[test]
fn needs_of_stations_acts_and_ways() {
    // The lift is never raised.
    check_moves(&["J621"], (4, 0, 16), |_, p| {
        p.refit.steps.remove(12);
        p.refit.steps.remove(10);
    });
    let needs = |needs| ActWorld { needs, sets: Vec::new() };
    check(&["J621"], |b, _| b.parts[2].world.taking_off.needs = vec![stands(LEFT, PartStanding::Held)]);
    check(&[], |b, _| b.parts[2].world.taking_off.needs = vec![stands(LEFT, PartStanding::Off)]);
    check(&["J621"], |b, _| b.parts[2].world.setting_on.needs = vec![at(BEAM, 1)]);
    check(&["J621"], |b, _| b.fixings[0].world.loosening.needs = vec![at(LIFT, 1)]);
    check(&["J621"], move |b, _| b.fixings[2].world.tightening = needs(vec![at(BEAM, 1)]));
    // A latch has nothing to tighten: it is done up when it is run in.
    let needs = |needs| ActWorld { needs, sets: Vec::new() };
    check(&["J621"], move |b, _| b.fixings[1].world.tightening = needs(vec![at(BEAM, 0)]));
    check(&["J621"], |b, _| b.conditions[0].making.needs = vec![at(BEAM, 1)]);
    check(&["J621"], |b, _| b.conditions[0].undoing.needs = vec![at(BEAM, 1)]);
    check(&["J621"], |b, _| b.tasks[1].world.needs = vec![stands(RIGHT, PartStanding::Loose)]);
    check(&["J621"], |b, _| b.settings[0].ways[0].needs = vec![at(BEAM, 1)]);
    check(&["J621"], |b, _| b.stations[0].needs = vec![at(LIFT, 1), at(LIFT, 0)]);
}

#[test]
fn breaking_loose_asks_less_than_taking_off() {
    // Told: the bolt may be broken loose before the beam carries, and the rest asks for the beam.
    check(&[], |b, _| b.parts[0].world.taking_off.needs = vec![at(BEAM, 1), at(CRANK, 1)]);
    // Not told: breaking loose is taking off already.
    check(&["J621"], |b, p| {
        b.parts[0].world.taking_off.needs = vec![at(CRANK, 1)];
        b.fixings[0].world.loosening = ActWorld::default();
        p.strip.steps[2].sets.clear();
    });
    check(&["J630"], |_, p| {
        let run_out = p.strip.steps.remove(3);
        p.strip.steps[2].actions.extend(run_out.actions);
        p.strip.steps[2].work_s += run_out.work_s;
    });
}

#[test]
fn rules_hold_after_every_step() {
    // No beam at all.
    check(&["J622"], |_, p| {
        p.refit.steps.remove(5);
        p.strip.steps.remove(1);
        p.strip.steps[1].setup_s += 10.0;
    });
    // The beam comes after the right mounting is broken loose, and goes while the left one is only set in place.
    check(&["J622"], |_, p| {
        p.strip.steps.swap(1, 2);
        (p.strip.steps[1].setup_s, p.strip.steps[2].setup_s) = (21.0, 0.0);
        p.strip.steps[3].setup_s = 3.0;
    });
    check(&["J622"], |b, p| {
        b.settings[1].ways[1].needs.clear();
        p.refit.steps.swap(4, 5);
        p.refit.steps[5].setup_s += 3.0;
    });
    // Never together; and asleep where its `while` does not hold.
    let raised = |b: &mut Book| b.rules[3].kind = never_with_right_held();
    check(&["J622"], move |b, _| raised(b));
    check(&[], move |b, _| {
        raised(b);
        b.rules[3].during = vec![at(BEAM, 1)];
    });
    // Up and down again while the beam carries.
    check_moves(&["J623"], (4, 4, 16), |_, p| {
        let (mut up, mut down) = (p.refit.steps[10].clone(), p.refit.steps[12].clone());
        (up.station, down.station) = ("front".into(), "front".into());
        p.strip.steps.splice(2..2, [up, down]);
    });
}

fn never_with_right_held() -> model::WorldRuleKind {
    model::WorldRuleKind::NeverTogether(vec![at(LIFT, 1), stands(RIGHT, PartStanding::Held)])
}

#[test]
fn changes_of_settings_are_ways_of_the_book() {
    check(&["J624"], |b, _| _ = b.settings[0].ways.remove(0));
    check(&["J624"], |b, _| b.settings[0].ways[0].from = 2);
    check(&["J624"], |b, _| b.settings[1].ways[0].station = Some(StationId::new(2)));
    check(&["J624"], |_, p| p.refit.steps[10].sets.truncate(1));
    // The first is its own: the latch is said to be changed, and the lift stays where it is.
    check_moves(&["J621", "J624"], (4, 1, 16), |_, p| p.refit.steps[10].sets.reverse());
    check(&["J624"], |b, _| b.settings[0].ways[0].sets[0].value = 0);
    check(&["J624"], |_, p| p.strip.steps[1].fixings.push("left-clip".into()));
    check_moves(&["J621", "J624"], (4, 1, 16), |_, p| p.refit.steps[10].sets.clear());
    // The beam is brought to a value that it does not have, and goes on carrying.
    check(&["J102", "J623", "J624", "J625"], |_, p| p.refit.steps[5].sets[0].value = "nowhere".into());
    check(&["J624"], |b, _| {
        let text = "The vehicle can fall. Stand clear.".into();
        b.settings[0].ways[1].cautions = vec![Caution { word: SignalWord::Warning, text }];
    });
    check(&["J654"], |_, p| p.strip.steps[1].work_s += 1.0);
    // Of two ways the one that is told is taken.
    check(&[], |b, _| {
        let mut other = b.settings[0].ways[0].clone();
        (other.station, other.needs) = (Some(StationId::new(1)), vec![at(BEAM, 1)]);
        b.settings[0].ways.insert(0, other);
    });
}

#[test]
fn the_tool_of_a_way_is_at_hand_or_shown_as_missing() {
    check(&["J906", "J915", "J916"], |b, _| {
        let (key, title, specification) = ("pole-jack".into(), "pole jack".into(), "500 kg".into());
        b.special_tools.push(SpecialTool { key, title, specification, can_be_made: false });
        b.settings[1].ways[0].special_tools.push(SpecialToolId::new(0));
    });
}

#[test]
fn effects_are_told_as_the_book_has_them() {
    check(&["J624"], |_, p| p.strip.steps[2].sets.clear());
    check(&["J624"], |_, p| p.refit.steps[11].sets[0].value = "any".into());
    check(&["J624"], |_, p| p.refit.steps[0].sets = p.strip.steps[2].sets.clone());
    check(&["J624"], |b, _| b.parts[2].world.taking_off.sets = vec![sets(LATCH, 1)]);
    // It comes off with its own step, not when its fasteners are undone.
    check(&[], |b, p| {
        b.parts[2].world.taking_off.sets = vec![sets(LATCH, 1)];
        let own = told(p.strip.steps[9].clone(), &[("latch", "open")]);
        p.strip.steps[9] = own;
    });
}

#[test]
fn the_end() {
    // The lift is left up.
    check_moves(&["J625"], (4, 1, 16), |_, p| _ = p.refit.steps.remove(12));
    check(&["J625"], |b, _| b.settings[3].end = 2);
    // Nothing brings the crank back to its mark.
    check(&["J625"], |b, p| {
        b.tasks[1].world.sets.clear();
        p.refit.steps[11].sets.clear();
    });
}

#[test]
fn order_of_parts_and_plugs() {
    check(&["J626"], |b, _| b.parts[0].world.on_after = vec![LEFT]);
    let bolt_first = |p: &mut Plan| {
        p.strip.steps.swap(7, 8);
        (p.strip.steps[7].setup_s, p.strip.steps[8].setup_s) = (11.0, 2.8);
        p.refit.steps[1].setup_s = 8.0;
    };
    check_moves(&["J631"], (4, 2, 20), move |_, p| bolt_first(p));
    let plug_first = |p: &mut Plan| {
        p.refit.steps.swap(8, 9);
        (p.refit.steps[8].setup_s, p.refit.steps[9].setup_s) = (2.8, 8.0);
    };
    check(&["J632"], move |_, p| plug_first(p));
    // A lock in the place of the plug keeps the same order, a washer the other one.
    check_moves(&["J637", "J711", "J712", "J805", "J811"], (4, 2, 20), move |b, p| {
        b.fixings[3].kind = model::FastenerKind::SplitPin;
        bolt_first(p);
    });
    check(&["J637", "J711", "J712", "J805", "J811"], move |b, p| {
        b.fixings[3].kind = model::FastenerKind::LockWire;
        plug_first(p);
    });
    check(&["J638", "J711", "J712", "J805", "J811"], |b, _| b.fixings[3].kind = model::FastenerKind::Washer);
    // The book overrules.
    let told = || ActWorld { needs: vec![at(LIFT, 0)], sets: Vec::new() };
    check_moves(&[], (4, 2, 20), move |b, p| {
        b.fixings[3].world.loosening = told();
        bolt_first(p);
    });
    check(&[], move |b, p| {
        b.fixings[3].world.tightening = told();
        plug_first(p);
    });
}

#[test]
fn work_stands_in_the_refit_on_the_clock_of_the_course() {
    let after_the_battery = |hold_up_s: f64| {
        move |b: &mut Book, _: &mut Plan| {
            b.parts[2].needs.clear();
            b.conditions[0].hold_up = Duration::from_s(hold_up_s);
            b.tasks[1].needs = vec![model::Need::Condition(model::ConditionId::new(0))];
        }
    };
    // It begins 486.2 - 14 - 20 - 35 = 417.2 s from the start, and the battery is off after 13 s.
    check(&[], after_the_battery(404.0));
    check(&["J614"], after_the_battery(405.0));
    check(&["J603"], |b, _| b.tasks[1].needs = vec![model::Need::Off(LEFT)]);
    check(&["J613"], |_, p| {
        let again = p.refit.steps[11].clone();
        p.refit.steps.insert(12, Step { setup_s: 0.0, ..again });
    });
    check(&["J613"], |b, _| b.tasks[1].kind = model::TaskKind::Measure);
}

#[test]
fn moves_and_bounds() {
    let check_course = |code: &str, change: fn(&mut Plan)| {
        let mut plan = plan();
        change(&mut plan);
        assert_eq!(codes_of(&book(), &plan), [code]);
    };
    check_course("J628", |p| course_of(p).moves.place.count = 5);
    check_course("J628", |p| course_of(p).moves.tools.count = 15);
    check_course("J628", |p| course_of(p).moves.lift.count = 3);
    check_course("J628", |p| course_of(p).outcome.value += 1.0);
    check_course("J629", |p| course_of(p).moves.lift.bound = 3);
    check_course("J629", |p| course_of(p).least_moves = 7);
    check_course("J629", |p| course_of(p).outcome.bound = 900.0);
}

fn course_of(plan: &mut Plan) -> &mut model::plan::CourseOutcome {
    plan.course.as_mut().expect("a plan of one course")
}

#[test]
fn a_course_belongs_to_a_world() {
    // Told as three sequences, each would begin anew at the first station, and nothing be set in them.
    assert!(codes_of(&book(), &Plan { course: None, ..plan() }).contains(&"J620"));
    // Told as no course nothing is set, and no work stands in the refit.
    let mut set = crate::known::plan();
    set.refit.steps.push(plan().strip.steps.remove(1));
    assert!(codes_of(&things::book(), &set).contains(&"J615"));
}

/// The rest of the right plan after some of its steps, and how far the job is.
fn rest_after(done: usize) -> (Plan, Progress) {
    let (book, mut rest) = (book(), plan());
    let mut progress = Progress::default();
    for step in rest.strip.steps.drain(..done) {
        progress.do_step(&book, &plan(), &step);
    }
    (rest, progress)
}

fn codes_of_rest(plan: &Plan, progress: &Progress) -> Vec<&'static str> {
    judge::judge_rest(&book(), &things::store(), plan, progress).iter().map(|v| v.code).collect()
}

#[test]
fn the_rest_of_a_job_goes_on_from_the_world_as_it_stands() {
    let (whole, begun) = rest_after(0);
    assert_eq!(codes_of_rest(&whole, &begun), Vec::<&str>::new());
    // The battery is off, the beam carries, and the mechanic is at the front.
    let (mut rest, mut progress) = rest_after(2);
    settle(&mut rest, (2, 2, 16));
    assert_eq!(codes_of_rest(&rest, &progress), Vec::<&str>::new());
    progress.settings.clear();
    // The beam does not: both ends are let go, and there is nothing to take away in the end.
    assert_eq!(codes_of_rest(&rest, &progress), ["J622", "J622", "J624"]);
    // The right mounting is off, and the right bolt is in its slot.
    let (mut rest, progress) = rest_after(5);
    settle(&mut rest, (2, 2, 14));
    assert_eq!(codes_of_rest(&rest, &progress), Vec::<&str>::new());
}

/// The steps one after the other from eight in the morning.
fn calendar_of(plan: &Plan) -> Vec<JudgedSteps> {
    let mut start_s = 28_800.0;
    let sequences: [&StepSequence; 3] = [&plan.strip, &plan.work, &plan.refit];
    let slot = |step: &Step| {
        let end_s = start_s + step.total_s();
        let slot = JudgedSteps { steps: vec![step.number], start_s, end_s };
        start_s = end_s;
        slot
    };
    sequences.into_iter().flat_map(|s| &s.steps).map(slot).collect()
}

#[test]
fn a_calendar_keeps_the_world_in_its_own_order() {
    let hours = JudgedHours {
        opens_s: 28_800.0,
        open_s: 28_800.0,
        days: [true; 7],
        first_day: 0,
        start_s: 28_800.0,
        interruption_fraction: 0.0,
    };
    let (store, plan, none) = (things::store(), plan(), JudgedLimits::default());
    let codes = |slots: &[JudgedSteps]| -> Vec<&str> {
        let found = judge_calendar(&book(), &store, &plan, &hours, slots, &none);
        found.iter().map(|v| v.code).collect()
    };
    let right = calendar_of(&plan);
    assert_eq!(codes(&right), Vec::<&str>::new());
    // The beam is left out.
    let mut without = right.clone();
    without.remove(1);
    assert_eq!(codes(&without), ["C101", "J622", "J622", "J624"]);
    // The right mounting is broken loose before the beam carries.
    let mut early = right;
    let (beam, bolt) = (early[1].steps.clone(), early[2].steps.clone());
    (early[1].steps, early[2].steps) = (bolt, beam);
    assert!(codes(&early).contains(&"J622"));
}

#[test]
fn what_holds_the_engine_is_asked_where_no_rule_says_it() {
    let mut untold = book();
    untold.rules.clear();
    let mountings = untold.parts.iter_mut().filter(|part| ["left", "right"].contains(&part.key.as_str()));
    mountings.for_each(|part| part.kind = Some(PartKind::Mounting));
    assert!(codes_of(&untold, &plan()).contains(&"J912"));
    let mut told = book();
    let mountings = told.parts.iter_mut().filter(|part| ["left", "right"].contains(&part.key.as_str()));
    mountings.for_each(|part| part.kind = Some(PartKind::Mounting));
    assert!(!codes_of(&told, &plan()).contains(&"J912"));
}

#[test]
fn hanging_parts_tension_and_drains() {
    // The sensor hangs on nothing while the battery is seen to.
    let (book_now, mut hangs) = (book(), plan());
    let lifts_it = |s: &Step| s.kind == StepKind::Remove && s.part.as_deref() == Some("sensor");
    let at = hangs.strip.steps.iter().position(lifts_it).expect("the sensor comes off");
    let other = hangs.strip.steps[0].clone();
    hangs.strip.steps.insert(at, other);
    settle(&mut hangs, (4, 2, 16));
    assert!(codes_of(&book_now, &hangs).contains(&"J633"));

    let mut belted = book();
    (belted.parts[0].kind, belted.parts[1].kind) = (Some(PartKind::Tensioner), Some(PartKind::Belt));
    assert!(
        codes_of(&belted, &plan()).contains(&"J634"),
        "the left part goes on after the right one is tight"
    );

    let (mut drained, mut filled) = (book(), plan());
    drained.conditions[0].kind = model::ConditionKind::Drained;
    drained.conditions[0].needs = vec![model::Need::Off(SENSOR)];
    drained.parts[2].kind = Some(PartKind::Drain);
    let refit = &mut filled.refit.steps;
    let at = refit.iter().position(|s| s.kind == StepKind::Restore).expect("the battery is seen to");
    let fill = Step { kind: StepKind::Fill, ..refit.remove(at) };
    refit.insert(0, fill);
    settle(&mut filled, (4, 2, 16));
    assert!(codes_of(&drained, &filled).contains(&"J635"));
}

/// What the judge says of a plan to a state from a progress.
fn codes_to_state(plan: &Plan, progress: &Progress) -> Vec<&'static str> {
    let found = judge::judge_rest(&book(), &things::store(), plan, progress);
    SAID.with_borrow_mut(|said| said.extend(found.clone()));
    found.iter().map(|v| v.code).collect()
}

#[test]
fn a_state_is_reached_and_nothing_hangs() {
    let mut to_roll = plan();
    (to_roll.strip, to_roll.work, to_roll.refit) = Default::default();
    to_roll.asked.goal = Some(model::GOAL_TO_ROLL.into());
    settle(&mut to_roll, (0, 0, 0));
    let mut progress = Progress::default();
    let ends = |progress: &Progress, plan: &Plan| -> Vec<&'static str> {
        let codes = codes_to_state(plan, progress);
        codes.into_iter().filter(|code| ["J625", "R806", "J102"].contains(code)).collect()
    };
    assert_eq!(ends(&progress, &to_roll), Vec::<&str>::new(), "untouched and on the ground");
    let loose = model::progress::FastenerProgress { state: model::FastenerState::Freed, passes: 0 };
    progress.set_fastener("right-bolt", &book().fixings[0].holes[0].label, loose);
    assert_eq!(ends(&progress, &to_roll), ["R806"]);
    progress.settings.insert("lift".into(), "up".into());
    assert_eq!(ends(&progress, &to_roll), ["R806", "J625"]);
    to_roll.asked.goal = Some("fly".into());
    assert!(ends(&progress, &to_roll).contains(&"J102"));
}

#[test]
fn names_and_what_is_amiss() {
    let mut twice = plan();
    for step in &mut twice.strip.steps[..2] {
        step.name = model::plan::StepName("undo.it".into());
    }
    assert!(codes_of(&book(), &twice).contains(&"J107"));
    // As a file has it: the first two steps change places, and a piece calls itself something else.
    let told = serde_json::to_value(plan()).expect("a plan has a shape");
    let read = |told: serde_json::Value| serde_json::from_value::<Plan>(told).expect("the shape of plans");
    assert_eq!(read(told.clone()), plan());
    let mut turned = told.clone();
    turned["steps"].as_array_mut().expect("a list").swap(0, 1);
    assert!(codes_of(&book(), &read(turned)).contains(&"J106"));
    let mut renamed = told;
    renamed["stacks"][0]["pieces"][0]["kind"] = "extension".into();
    assert!(codes_of(&book(), &read(renamed)).contains(&"J105"));
}
