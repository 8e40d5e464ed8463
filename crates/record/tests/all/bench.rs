//! The whole job from the first tick to the closing, and the values of the workshop's list of omissions.

use model::FastenerState;
use record::visit::WorkKind;
use record::{MAX_LOOK_BACK, PlanStepsView, RefusalKind, StepStanding, VisitBody, VisitCommand, look_again};

use crate::common::{Bench, book};

#[test]
fn a_whole_job_ends_with_a_ledger_at_zero_and_closes() {
    let mut bench = Bench::begun();
    assert_eq!(bench.keys(), Vec::<String>::new());
    bench.whole();
    assert_eq!(bench.keys(), Vec::<String>::new());
    assert!(bench.ledger().may_be_started().yes);
    let steps = PlanStepsView::of_plan(bench.visit(), book(), &bench.plan);
    assert_eq!((steps.next, steps.done, steps.left_s), (None, 19, 0.0));
    bench.must(VisitCommand::Say(VisitBody::Closed { name: "Kim".into() }));
    assert_eq!(bench.visit().closed.as_ref().unwrap().name, "Kim");
    let refused = bench.ask(VisitCommand::Tick { step: 4 }).unwrap_err();
    assert_eq!(refused.why, RefusalKind::Closed);
}

#[test]
fn a_group_tick_is_one_event_with_the_slot() {
    let mut bench = Bench::begun();
    let events = bench.must(VisitCommand::Tick { step: 4 });
    assert_eq!(events.len(), 1);
    let first = bench.visit().fasteners.get("cover-bolts", "1").unwrap();
    assert_eq!((first.state, first.slot.as_deref()), (FastenerState::Off, Some("A-B03")));
    assert_eq!(bench.keys().len(), 12);
    let line = bench.ledger().lines[0].clone();
    assert_eq!(line.what, "cover bolts 1 (M6 × 25) is off, in A-B03");
    assert_eq!(line.closes, "run it in, then tighten it: 5 N·m, then 9 N·m");
    bench.undo_last();
    assert_eq!(bench.keys(), Vec::<String>::new());
}

/// Of the project's own list of check values: "12 bolts off, 11 torqued, 1 finger-tight: not closed".
#[test]
fn twelve_off_eleven_tight_one_finger_tight_is_not_closed() {
    let mut bench = Bench::begun();
    bench.strip();
    bench.refit();
    for hole in 1..=11 {
        let fastener = record::FastenerKey { fixing: "cover-bolts".into(), hole: hole.to_string() };
        bench.must(VisitCommand::TickHole { step: 18, fastener: fastener.clone() });
        bench.must(VisitCommand::TickHole { step: 18, fastener });
    }
    assert_eq!(bench.keys(), ["finger-tight/cover-bolts/12", "condition/coolant-drained"]);
    // The coolant belongs to the manifold, which is tight.
    bench.tick([19]);
    assert_eq!(bench.keys(), ["finger-tight/cover-bolts/12"]);
    let refused = bench.ask(VisitCommand::Say(VisitBody::Closed { name: "Kim".into() })).unwrap_err();
    assert_eq!(refused.why, RefusalKind::LedgerOpen);
    assert_eq!(
        refused.to_string(),
        "cover bolts 12 (M6 × 25) is finger-tight: tighten it: 5 N·m, then 9 N·m"
    );
    bench.tick([18, 18]);
    bench.must(VisitCommand::Say(VisitBody::Closed { name: "Kim".into() }));
}

/// Of the project's own list of check values: "6 ports open, 6 plugs in, 5 out: start blocked".
#[test]
fn six_ports_six_plugs_in_five_out_blocks_the_start() {
    let mut bench = Bench::begun();
    bench.strip();
    let uncap = |count| VisitCommand::Uncap { opening: "ports".into(), count };
    bench.must(uncap(Some(5)));
    let refused = bench.ask(VisitCommand::Say(VisitBody::PartOn { part: "manifold".into() })).unwrap_err();
    assert_eq!(refused.why, RefusalKind::StillInside);
    // A tablet that was away says that the manifold is on: a fact, kept; the cap is seen by the count.
    bench.write(VisitBody::PartOn { part: "manifold".into() });
    bench.must(VisitCommand::Renew { fixing: "manifold-bolts".into(), holes: Default::default() });
    bench.tick([13, 14, 14, 14, 15, 16, 17, 18, 18, 19]);
    assert_eq!(bench.keys(), ["caps-in/ports"]);
    let ledger = bench.ledger();
    assert_eq!(ledger.lines[0].what, "inlet ports: 6 caps fitted, 5 removed, 1 still in");
    assert!(!ledger.may_be_started().yes);
    assert_eq!(ledger.may_be_started().reasons[0].line, "caps-in/ports");
    assert!(ledger.may_be_moved().yes && ledger.may_be_lowered().yes);
    bench.must(uncap(None));
    assert!(bench.ledger().may_be_started().yes);
}

#[test]
fn a_break_asks_for_three_things_to_be_looked_at_another_way() {
    let mut bench = Bench::begun();
    bench.strip();
    bench.must(VisitCommand::Say(VisitBody::Paused { words: "the phone".into(), at: Default::default() }));
    let deeds: Vec<WorkKind> = look_again(bench.visit()).iter().map(|l| l.work.deed).collect();
    assert_eq!(deeds, [WorkKind::Capped, WorkKind::PartOff, WorkKind::Marked(FastenerState::Off)]);
    assert_eq!(deeds.len(), MAX_LOOK_BACK);
    bench.must(VisitCommand::Say(VisitBody::Resumed));
    let event = look_again(bench.visit())[0].work.stamp.event.clone();
    let look = |method: &str| {
        VisitCommand::Say(VisitBody::LookedAgain { event: event.clone(), method: method.into() })
    };
    let refused = bench.ask(look("Counted during the work ")).unwrap_err();
    assert_eq!(refused.why, RefusalKind::SameMethod);
    bench.must(look("touch each cap"));
    let items = look_again(bench.visit());
    assert_eq!(items[0].done.unwrap().method, "touch each cap");
    assert!(items[1].done.is_none());
    // The next break asks anew, and what was done once is no other method any more.
    bench.must(VisitCommand::Say(VisitBody::Paused { words: String::new(), at: Default::default() }));
    let items = look_again(bench.visit());
    assert!(items[0].done.is_none());
    assert!(!items[0].ways.contains(&"touch each cap"));
    assert_eq!(
        bench
            .ask(VisitCommand::Say(VisitBody::Paused { words: String::new(), at: Default::default() }))
            .unwrap_err()
            .why,
        RefusalKind::NothingToDo
    );
}

#[test]
fn single_taps_in_a_row_are_one_piece_of_work() {
    let mut bench = Bench::begun();
    bench.tick([5, 7]);
    for hole in ["1", "2", "3"] {
        let fastener = record::FastenerKey { fixing: "cover-bolts".into(), hole: hole.into() };
        bench.must(VisitCommand::TickHole { step: 4, fastener });
    }
    let works = &bench.visit().works;
    assert_eq!(works.len(), 3);
    assert_eq!((works[0].key.as_str(), works[0].holes.len()), ("cover-bolts", 3));
}

#[test]
fn a_step_is_open_then_under_way_then_done() {
    let mut bench = Bench::begun();
    let view = |bench: &Bench| {
        PlanStepsView::of_plan(bench.visit(), book(), &bench.plan).step_numbered(4).unwrap().clone()
    };
    assert_eq!((view(&bench).standing, view(&bench).left_s), (StepStanding::Open, 250.0));
    let fastener = record::FastenerKey { fixing: "cover-bolts".into(), hole: "1".into() };
    bench.must(VisitCommand::Tap { fastener: fastener.clone(), way: record::TapDirection::On });
    assert_eq!(view(&bench).standing, StepStanding::UnderWay);
    assert_eq!(
        (view(&bench).acts, view(&bench).left.len(), view(&bench).remaining_fasteners().len()),
        (24, 23, 12)
    );
    bench.must(VisitCommand::Tap { fastener, way: record::TapDirection::On });
    assert_eq!(view(&bench).remaining_fasteners().len(), 11);
    bench.tick([4]);
    assert_eq!((view(&bench).standing, view(&bench).left_s), (StepStanding::Done, 0.0));
}

#[test]
fn a_slot_says_what_lies_in_it_now() {
    let mut bench = Bench::begun();
    bench.tick([4]);
    assert_eq!(bench.visit().slot_contents()["A-B03"].len(), 12);
    bench.tick([5, 6]);
    bench.must(VisitCommand::Say(VisitBody::PartOn { part: "cover".into() }));
    let fastener = record::FastenerKey { fixing: "cover-bolts".into(), hole: "1".into() };
    bench.must(VisitCommand::TickHole { step: 16, fastener });
    assert_eq!(bench.visit().slot_contents()["A-B03"].len(), 11);
}
