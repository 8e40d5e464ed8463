//! Strip, work and refit of random books: every rule of the order, told again from the steps alone.

#![expect(clippy::unwrap_used, reason = "what a test expects to be there")]

mod common;

use std::collections::BTreeMap;

use common::{Size, book, scope, some_tasks};
use effort::{RandomSeed, SolverBudget, SolverEffort, UnwatchedSolver};
use model::plan::{Step, StepKind, StepSequence};
use model::{Act, Book, ConditionKind, FastenerKind, HoldsBack, Need, PartId, PieceId, StageTarget};
use plan::assemble::plan_sequences;
use plan::course::CourseSettings;
use plan::course::operators::CourseOperators;
use plan::scope::PlanScope;
use plan::way_in;
use proptest::prelude::*;

struct Made {
    book: Book,
    scope: PlanScope,
    strip: StepSequence,
    work: StepSequence,
    refit: StepSequence,
    picked: Vec<Option<u16>>,
}

fn made(seed: u64, size: Size) -> Made {
    let book = book(seed, size);
    let found = way_in::find_least_way_in(&book, &some_tasks(&book, seed), &SolverBudget::sized()).unwrap();
    let (scope, usable) = scope(&book, &found, seed);
    let budget = SolverBudget { effort: SolverEffort::Tries(1_500), watch: &UnwatchedSolver };
    let (writer, [strip, work, refit], _) = plan_sequences(
        &book,
        &scope,
        &usable,
        &budget,
        CourseSettings { seed: RandomSeed(seed), threads: 2, operators: CourseOperators::default() },
    )
    .unwrap();
    let picked = writer.picked.clone();
    Made { book, scope, strip, work, refit, picked }
}

impl Made {
    fn needs(&self, part: PartId) -> Vec<Need> {
        let it = self.book.part(part);
        let way = self.scope.way_of(part).unwrap();
        let of_way = way.map_or(&[][..], |w| &it.ways[usize::from(w)].needs);
        [&it.needs[..], of_way].concat()
    }
}

fn on_part<'a>(steps: &'a [Step], key: &'a str) -> impl Iterator<Item = (usize, &'a Step)> {
    steps.iter().enumerate().filter(move |(_, s)| s.part.as_deref() == Some(key))
}

fn of_kind(steps: &[Step], kind: StepKind, key: &str) -> usize {
    on_part(steps, key).find(|(_, s)| s.kind == kind).map(|(at, _)| at).unwrap()
}

fn made_at(steps: &[Step], key: &str) -> usize {
    let is = |s: &Step| s.condition.as_deref() == Some(key) && s.kind != StepKind::Wait;
    steps.iter().position(is).unwrap()
}

/// End of each step on the clock, s.
fn clock(steps: &[Step], from_s: f64) -> Vec<f64> {
    let ends = steps.iter().scan(from_s, |now_s, s| {
        *now_s += s.setup_s + s.work_s + s.wait_s;
        Some(*now_s)
    });
    ends.collect()
}

fn strip_is_in_order(m: &Made) {
    let steps = &m.strip.steps;
    let ends_s = clock(steps, 0.0);
    let at = |need: &Need| match need {
        Need::Off(p) => of_kind(steps, StepKind::Remove, &m.book.part(*p).key),
        Need::Condition(c) => made_at(steps, &m.book.condition(*c).key),
    };
    let holds_s = |need: &Need| match need {
        Need::Off(_) => 0.0,
        Need::Condition(c) => ends_s[at(need)] + m.book.condition(*c).hold_up.as_s(),
    };
    let check = |step: usize, needs: &[Need]| {
        for need in needs {
            assert!(at(need) < step);
            let start_s = ends_s[step] - steps[step].setup_s - steps[step].work_s;
            assert!(holds_s(need) <= start_s + 1e-6, "step {step} before {need:?} holds");
        }
    };
    for (part, _) in &m.scope.parts {
        let key = &m.book.part(*part).key;
        let off = of_kind(steps, StepKind::Remove, key);
        for (step, _) in on_part(steps, key).filter(|(_, s)| s.kind != StepKind::Cap) {
            assert!(step <= off);
            check(step, &m.needs(*part));
        }
    }
    for condition in &m.scope.conditions {
        check(made_at(steps, &m.book.condition(*condition).key), &m.book.condition(*condition).needs);
    }
}

fn openings_are_capped_at_once(m: &Made) {
    for (cap, step) in m.strip.steps.iter().enumerate().filter(|(_, s)| s.kind == StepKind::Cap) {
        let opening = step.opening.as_ref().unwrap();
        let uncovers = |s: &Step| {
            let part = s.part.as_deref().and_then(|p| m.book.part_by_key(p));
            let mut openings = part.iter().flat_map(|p| &m.book.part(*p).uncovers);
            s.kind == StepKind::Remove && openings.any(|o| m.book.opening(*o).key == *opening)
        };
        let first = m.strip.steps.iter().position(uncovers).unwrap();
        assert!(first < cap && m.strip.steps[first + 1..cap].iter().all(|s| s.kind == StepKind::Cap));
        let again = m.refit.steps.iter().position(|s| s.kind == StepKind::Uncap && s.opening == step.opening);
        let covers = |s: &Step| {
            let part = s.part.as_deref().and_then(|p| m.book.part_by_key(p));
            let mut openings = part.iter().flat_map(|p| &m.book.part(*p).uncovers);
            s.kind == StepKind::Refit && openings.any(|o| m.book.opening(*o).key == *opening)
        };
        let covered = m.refit.steps.iter().position(covers).unwrap();
        let again = again.unwrap();
        assert!(again < covered && m.refit.steps[again..covered].iter().all(|s| s.kind == StepKind::Uncap));
    }
}

/// How often each hole of each fixing is worked by an act and stage.
fn counts(m: &Made, steps: &[Step]) -> BTreeMap<(String, String, Act, Option<u8>), usize> {
    let mut counts = BTreeMap::new();
    for action in steps.iter().flat_map(|s| &s.actions) {
        let duty = m.scope.duties[action.duty].duty;
        for hole in &action.holes {
            let key = m.book.fixing(duty.fixing).key.clone();
            *counts.entry((key, hole.clone(), duty.act, duty.stage)).or_insert(0) += 1;
        }
    }
    counts
}

fn every_hole_is_out_once_and_in_once(m: &Made) {
    let (out, back) = (counts(m, &m.strip.steps), counts(m, &m.refit.steps));
    let inside = |p: PartId| m.scope.way_of(p).is_some();
    let mut expected = 0;
    for fixing in m.book.fixings.iter().filter(|f| inside(f.part)) {
        for hole in &fixing.holes {
            let of = |act, stage| (fixing.key.clone(), hole.label.clone(), act, stage);
            assert_eq!(out.get(&of(Act::Free, None)), Some(&1));
            assert_eq!(out.get(&of(Act::RunOut, None)), fixing.drive.is_turned().then_some(&1));
            assert_eq!(back.get(&of(Act::RunIn, None)), Some(&1));
            let stages = &fixing.tightening.stages;
            let last = stages.iter().rposition(|s| matches!(s.target, StageTarget::Torque(_)));
            for stage in 0..stages.len() {
                let twice = fixing.tightening.closing_pass && last == Some(stage);
                let times = if twice { 2 } else { 1 };
                assert_eq!(back.get(&of(Act::Tighten, Some(stage as u8))), Some(&times));
            }
            expected += 2 + usize::from(fixing.drive.is_turned()) + stages.len();
        }
    }
    assert_eq!(out.len() + back.len(), expected);
}

fn refit_is_in_order(m: &Made) {
    let steps = &m.refit.steps;
    let ends_s = clock(steps, 0.0);
    let start_s = |at: usize| ends_s[at] - steps[at].setup_s - steps[at].work_s;
    let undone =
        |c: &str| steps.iter().position(|s| s.condition.as_deref() == Some(c) && s.kind != StepKind::Wait);
    for (part, _) in &m.scope.parts {
        let it = m.book.part(*part);
        let on = of_kind(steps, StepKind::Refit, &it.key);
        let own: Vec<(usize, &Step)> =
            on_part(steps, &it.key).filter(|(_, s)| s.kind != StepKind::Uncap).collect();
        let last = own.iter().map(|(at, _)| *at).max().unwrap();
        assert_eq!(own[0].0, on);
        let is_plug = |s: &Step| {
            let fixing = m.book.fixing(m.book.fixing_by_key(&s.fixings[0]).unwrap());
            fixing.kind == FastenerKind::Connector
        };
        let run_in = own.iter().filter(|(_, s)| s.kind == StepKind::RunIn);
        let ran_in = run_in.clone().filter(|(_, s)| !is_plug(s)).map(|(at, _)| *at).max();
        let plugged = run_in.filter(|(_, s)| is_plug(s)).map(|(at, _)| *at).min();
        let tightened = own.iter().filter(|(_, s)| s.kind == StepKind::Tighten).map(|(at, _)| *at).max();
        assert!(plugged.is_none_or(|plug| tightened.is_none_or(|tight| tight < plug)), "plugs go on last");
        let tight = own.iter().filter(|(_, s)| s.kind == StepKind::Tighten).map(|(at, _)| *at).min();
        assert!(tight.is_none() || ran_in < tight);
        for need in m.needs(*part) {
            match need {
                Need::Off(other) => {
                    assert!(last < of_kind(steps, StepKind::Refit, &m.book.part(other).key));
                }
                Need::Condition(c) => assert!(undone(&m.book.condition(c).key).is_none_or(|u| last < u)),
            }
        }
        for wait in &it.refit_waits {
            let ready_s = |at: usize| ends_s[at] + wait.time.as_s() - 1e-6;
            match wait.holds_back {
                HoldsBack::Tightening => assert!(tight.is_none_or(|t| start_s(t) >= ready_s(on))),
                HoldsBack::NextPart => {
                    for need in m.needs(*part) {
                        let Need::Off(other) = need else { continue };
                        let next = of_kind(steps, StepKind::Refit, &m.book.part(other).key);
                        let uncaps =
                            steps[..next].iter().rev().take_while(|s| s.kind == StepKind::Uncap).count();
                        assert!(start_s(next - uncaps) >= ready_s(last));
                    }
                }
                HoldsBack::Filling => {
                    let fills = steps.iter().enumerate().filter(|(_, s)| s.kind == StepKind::Fill);
                    assert!(fills.filter(|(at, _)| *at > last).all(|(at, _)| start_s(at) >= ready_s(last)));
                }
            }
        }
    }
    for condition in m.scope.conditions.iter().map(|c| m.book.condition(*c)) {
        let Some(at) = undone(&condition.key) else {
            assert!(condition.restore.is_none());
            continue;
        };
        assert_eq!(steps[at].kind == StepKind::Fill, condition.kind == ConditionKind::Drained);
        for need in &condition.needs {
            match need {
                Need::Off(p) => assert!(at < of_kind(steps, StepKind::Refit, &m.book.part(*p).key)),
                Need::Condition(c) => assert!(undone(&m.book.condition(*c).key).is_none_or(|u| at < u)),
            }
        }
    }
}

/// Stages rise, and within one stage no hole comes twice, over all tightening of each fixing.
fn stages_rise(m: &Made) {
    let mut last: BTreeMap<(usize, String), u8> = BTreeMap::new();
    for action in m.refit.steps.iter().filter(|s| s.kind == StepKind::Tighten).flat_map(|s| &s.actions) {
        let duty = m.scope.duties[action.duty].duty;
        let fixing = m.book.fixing(duty.fixing);
        for hole in &action.holes {
            let stage = duty.stage.unwrap();
            let before = last.insert((duty.fixing.index(), hole.clone()), stage);
            let is_closing = before == Some(fixing.tightening.stages.len() as u8 - 1);
            assert!(before.map_or(stage == 0, |b| stage == b + 1 || is_closing));
        }
    }
}

/// Works set-ups, work and waits out again from actions, stations and parts.
fn seconds_are_as_the_rules_say(m: &Made) {
    let sequences = [&m.strip, &m.work, &m.refit];
    let mut station = m.book.stations[0].key.clone();
    let mut part: Option<String> = None;
    let mut hand: Vec<PieceId> = Vec::new();
    let count = |set: &[PieceId], p: PieceId| set.iter().filter(|q| **q == p).count();
    let extra = |of: &[PieceId], over: &[PieceId]| -> usize {
        (0..20).map(PieceId::new).map(|p| count(of, p).saturating_sub(count(over, p))).sum()
    };
    for step in sequences.iter().flat_map(|s| &s.steps) {
        if step.kind == StepKind::Wait {
            assert!(
                step.wait_s > 0.0 && step.setup_s == 0.0 && step.work_s == 0.0 && step.station == station
            );
            continue;
        }
        let mut setup_s = 0.0;
        if step.station != station {
            setup_s += m.book.stations.iter().find(|s| s.key == step.station).unwrap().enter_s();
        }
        if step.part.is_some() && step.part != part {
            setup_s += times::ATTENTION_S;
        }
        let mut acts_s = 0.0;
        for action in step.actions.iter().filter(|a| a.stack.is_some()) {
            let duty = &m.scope.duties[action.duty];
            let working = &duty.workings[usize::from(m.picked[action.duty].unwrap())];
            let pieces = working.stack.all_pieces();
            setup_s +=
                extra(&pieces, &hand) as f64 * times::PICK_S + extra(&hand, &pieces) as f64 * times::PUT_S;
            acts_s += duty.seconds_each(&m.book, working) * action.holes.len() as f64;
            hand = pieces;
        }
        assert!((setup_s - step.setup_s).abs() < 1e-6);
        assert!(step.work_s + 1e-6 >= acts_s && step.wait_s == 0.0);
        (station, part) = (step.station.clone(), step.part.clone());
    }
    for sequence in sequences {
        let sum: f64 = sequence.steps.iter().map(Step::total_s).sum();
        assert!((sum - sequence.total_s()).abs() < 1e-6);
    }
}

fn work_waits_for_its_conditions(m: &Made) {
    let strip_s = clock(&m.strip.steps, 0.0);
    let later: Vec<Step> = m.work.steps.iter().chain(&m.refit.steps).cloned().collect();
    let ends_s = clock(&later, strip_s.last().copied().unwrap_or(0.0));
    for (at, step) in later.iter().enumerate().filter(|(_, s)| s.task.is_some()) {
        let task = m.book.task(m.book.task_by_key(step.task.as_ref().unwrap()).unwrap());
        for need in &task.needs {
            let Need::Condition(c) = need else { continue };
            let condition = m.book.condition(*c);
            let holds_s = strip_s[made_at(&m.strip.steps, &condition.key)] + condition.hold_up.as_s();
            assert!(ends_s[at] - step.setup_s - step.work_s >= holds_s - 1e-6);
        }
    }
    assert_eq!(later.iter().filter(|s| s.task.is_some()).count(), m.scope.tasks.len());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn every_rule_holds_on_random_books(seed in any::<u64>()) {
        let m = made(seed, Size::SMALL);
        strip_is_in_order(&m);
        openings_are_capped_at_once(&m);
        every_hole_is_out_once_and_in_once(&m);
        refit_is_in_order(&m);
        stages_rise(&m);
        work_waits_for_its_conditions(&m);
        seconds_are_as_the_rules_say(&m);
        let numbers = [&m.strip, &m.work, &m.refit].into_iter().flat_map(|s| &s.steps).map(|s| s.number);
        prop_assert!(numbers.eq(1..=(m.strip.steps.len() + m.work.steps.len() + m.refit.steps.len()) as u32));
    }

    #[test]
    fn the_same_seed_gives_the_same_steps(seed in any::<u64>()) {
        let (a, b) = (made(seed, Size::SMALL), made(seed, Size::SMALL));
        prop_assert_eq!((a.strip, a.work, a.refit), (b.strip, b.work, b.refit));
    }
}

#[test]
fn a_book_of_the_demos_size_is_in_order() {
    let m = made(5, Size::DEMO);
    strip_is_in_order(&m);
    refit_is_in_order(&m);
    every_hole_is_out_once_and_in_once(&m);
}
