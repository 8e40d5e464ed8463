//! Where the steps of a plan stand, and that a plan made anew finds the work that is done.

use std::rc::Rc;

use model::FastenerState;
use record::{FastenerKey, PlanStepsView, StepStanding, VisitBody, VisitCommand, steps_of};

use crate::common::{Bench, book, digest, plan_of_the_rest};

fn view(bench: &Bench) -> PlanStepsView {
    PlanStepsView::of_plan(bench.visit(), book(), &bench.plan)
}

fn next(bench: &Bench) -> Option<u32> {
    let view = view(bench);
    view.next.map(|at| view.steps[at].number)
}

#[test]
fn each_tick_brings_the_next_step() {
    let mut bench = Bench::begun();
    let mut seen = Vec::new();
    for _ in 0..60 {
        let Some(step) = next(&bench) else { break };
        if step == 13 && seen.last() != Some(&13) {
            bench.must(VisitCommand::Renew { fixing: "manifold-bolts".into(), holes: Default::default() });
        }
        bench.tick([step]);
        seen.push(step);
    }
    assert_eq!(
        seen,
        [1, 2, 3, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 14, 14, 15, 16, 17, 18, 18, 19],
        "the wait is ticked to begin and to end, a joint once a pass"
    );
    assert!((view(&bench).done_fraction() - 1.0).abs() < 1e-12);
}

#[test]
fn work_out_of_order_counts() {
    let mut bench = Bench::begun();
    bench.tick([5, 1]);
    let view = view(&bench);
    let standing: Vec<_> = view.steps[..6].iter().map(|s| s.standing).collect();
    use StepStanding::{Done, Open};
    assert_eq!(standing, [Done, Open, Open, Open, Done, Open]);
    assert_eq!(view.steps_ahead().next().unwrap().number, 2);
}

#[test]
fn a_wait_is_over_at_the_latest_when_the_work_behind_it_has_begun() {
    let mut bench = Bench::begun();
    bench.tick([1, 2, 3]);
    let step = |bench: &Bench| view(bench).step_numbered(3).unwrap().standing;
    assert_eq!(step(&bench), StepStanding::UnderWay);
    let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: "1".into() };
    bench.must(VisitCommand::TickHole { step: 4, fastener });
    assert_eq!(step(&bench), StepStanding::Done);
}

#[test]
fn a_plan_of_the_rest_finds_the_work_that_is_done_by_what_it_is() {
    let mut bench = Bench::begun();
    bench.tick([1, 2, 5]);
    let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: "1".into() };
    bench.must(VisitCommand::TickHole { step: 4, fastener });
    bench.must(VisitCommand::Say(VisitBody::Planned {
        plan: digest('d'),
        why: "seized".into(),
        again: Default::default(),
    }));
    bench.plan = plan_of_the_rest(&[1, 2, 5]);
    let view = view(&bench);
    assert_eq!(next(&bench), Some(102), "the wait is over, for work has begun behind it");
    assert_eq!(view.step_numbered(102).unwrap().standing, StepStanding::UnderWay);
    assert_eq!(view.step_numbered(102).unwrap().remaining_fasteners().len(), 11);
    bench.tick([102]);
    assert_eq!(next(&bench), Some(103));
}

#[test]
fn what_a_new_plan_undoes_again_is_open_again() {
    let mut bench = Bench::begun();
    bench.whole();
    assert_eq!(next(&bench), None);
    bench.must(VisitCommand::Say(VisitBody::Planned {
        plan: digest('d'),
        why: "the port was not clean".into(),
        again: Default::default(),
    }));
    let number_of = |text: u32, bench: &Bench| {
        steps_of(&bench.plan).find(|s| s.text == format!("Step {text}.")).unwrap().number
    };
    bench.plan = plan_of_the_rest(&[1, 3, 10]);
    let view = view(&bench);
    assert!(view.steps.iter().filter(|s| s.number > 100).all(|s| s.standing == StepStanding::Open));
    let undo = number_of(4, &bench);
    bench.tick([undo]);
    assert_eq!(bench.visit().fastener_state("cover-bolts", "1"), FastenerState::Off);
}

#[test]
fn an_undone_tick_opens_the_step_again() {
    let mut bench = Bench::begun();
    bench.tick([1, 2]);
    let before = view(&bench);
    bench.tick([4]);
    bench.undo_last();
    assert_eq!(view(&bench), before);
}

#[test]
fn an_undecided_hole_is_not_done() {
    let mut bench = Bench::begun();
    let mut phone = bench.other("zphone");
    bench.tick([4]);
    let holes = vec![record::MarkedHole { hole: "1".into(), from: FastenerState::InPlace }];
    let to = FastenerState::Freed;
    phone.write(VisitBody::Marked { fixing: "cover-bolts".into(), holes, to, slot: None, stage: None });
    bench.hear(&phone);
    assert_eq!(view(&bench).step_numbered(4).unwrap().remaining_fasteners().len(), 1);
}

#[test]
fn an_extra_step_is_done_by_its_tick_or_with_its_happening() {
    let mut bench = Bench::begun();
    let what = record::VisitHappeningKind::Seized;
    let event = bench
        .must(VisitCommand::Say(VisitBody::Happened { what, at: Default::default(), words: String::new() }))
        .remove(0)
        .id;
    let mut step = steps_of(&bench.plan).next().unwrap().clone();
    step.kind = model::plan::StepKind::Extra;
    step.condition = None;
    for (at, key) in [format!("{event}-soak"), format!("{event}-turn")].into_iter().enumerate() {
        let number = 200 + u32::try_from(at).unwrap();
        let extra = model::plan::Step { number, extra: Some(key), ..step.clone() };
        Rc::make_mut(&mut bench.plan).work.steps.push(extra);
    }
    let standing = |bench: &Bench| [200, 201].map(|n| view(bench).step_numbered(n).unwrap().standing);
    assert_eq!(standing(&bench), [StepStanding::Open, StepStanding::Open]);
    bench.tick([200]);
    assert_eq!(standing(&bench), [StepStanding::Done, StepStanding::Open]);
    bench.must(VisitCommand::Say(VisitBody::DealtWith { happening: event, how: "it turned".into() }));
    assert_eq!(standing(&bench), [StepStanding::Done, StepStanding::Done]);
}

#[test]
fn the_step_that_brings_a_rounded_bolt_out_leaves_it_off() {
    let mut bench = Bench::begun();
    let (fixing, hole) = (Some("cover-bolts".to_owned()), Some("4".to_owned()));
    let at = record::EventPlace { fixing, hole, ..Default::default() };
    let what = record::VisitHappeningKind::Rounded;
    let event =
        bench.must(VisitCommand::Say(VisitBody::Happened { what, at, words: String::new() })).remove(0).id;
    let mut step = steps_of(&bench.plan).next().unwrap().clone();
    (step.number, step.kind, step.condition) = (200, model::plan::StepKind::Extra, None);
    step.extra = Some(format!("{event}/1"));
    Rc::make_mut(&mut bench.plan).strip.steps.push(step);
    // Two events of one tap; one tap takes both back.
    let before = bench.visit().clone();
    bench.tick([200]);
    assert_eq!(bench.must(VisitCommand::UndoLast { device: bench.device.clone() }).len(), 2);
    assert_eq!(bench.visit(), &before);
    assert_eq!(bench.must(VisitCommand::Tick { step: 200 }).len(), 2);
    assert_eq!(bench.visit().fastener_state("cover-bolts", "4"), FastenerState::Off);
    bench.tick([4, 5, 6]);
}
