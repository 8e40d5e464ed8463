//! What the bench refuses, what it says then, and what it never refuses.

use model::FastenerState::{self, Checked, FingerTight, Freed, InPlace, Off, Tight};
use record::{
    ContentDigest, Event, EventOrder, EventPlace, FastenerKey, MarkedHole, MeasuredReading, NeedsAttention,
    RefusalKind, TapDirection, VisitBody, VisitCommand, VisitId, accept_event, read_event,
};

use crate::common::{Bench, book, device, holes_of, id, visit_id};

fn key(fixing: &str, hole: &str) -> FastenerKey {
    FastenerKey { fixing: fixing.into(), hole: hole.into() }
}

/// A tap on the first hole.
fn tap(bench: &mut Bench, fixing: &str, way: TapDirection) -> FastenerState {
    let hole = holes_of(fixing).remove(0);
    bench.must(VisitCommand::Tap { fastener: key(fixing, &hole), way });
    bench.visit().fastener_state(fixing, &hole)
}

fn why(bench: &mut Bench, command: VisitCommand) -> RefusalKind {
    bench.ask(command).expect_err("a refusal").why
}

#[test]
fn taps_go_through_all_marks_and_back() {
    let mut bench = Bench::begun();
    let on: Vec<_> = (0..6).map(|_| tap(&mut bench, "cover-bolts", TapDirection::On)).collect();
    assert_eq!(on, [Freed, Off, FingerTight, FingerTight, Tight, Checked]);
    assert_eq!(
        why(&mut bench, VisitCommand::Tap { fastener: key("cover-bolts", "1"), way: TapDirection::On }),
        RefusalKind::NothingToDo
    );
    let back: Vec<_> = (0..6).map(|_| tap(&mut bench, "cover-bolts", TapDirection::Back)).collect();
    assert_eq!(back, [Tight, FingerTight, FingerTight, Off, Freed, InPlace]);
    assert!(bench.ledger().is_zero());
}

#[test]
fn a_clip_has_two_marks() {
    let mut bench = Bench::begun();
    assert_eq!(tap(&mut bench, "cover-clips", TapDirection::On), Off);
    assert_eq!(tap(&mut bench, "cover-clips", TapDirection::On), Tight);
    assert_eq!(tap(&mut bench, "cover-clips", TapDirection::Back), Off);
    assert_eq!(tap(&mut bench, "cover-clips", TapDirection::Back), InPlace);
}

#[test]
fn a_part_stays_on_while_a_bolt_is_in_and_says_which() {
    let mut bench = Bench::begun();
    bench.tick([4]);
    let refused = bench.ask(VisitCommand::Tick { step: 6 }).unwrap_err();
    assert_eq!(refused.why, RefusalKind::StillIn);
    assert_eq!(
        refused.to_string(),
        "clips of the loom 13 is in place: take it out first; clips of the loom 14 is in place: take it out first"
    );
    // Captive clips only have to be loose.
    let holes = holes_of("cover-clips").into_iter().collect();
    bench.must(VisitCommand::Mark { fixing: "cover-clips".into(), holes, to: Freed, slot: None });
    bench.tick([6]);
    assert_eq!(why(&mut bench, VisitCommand::Tick { step: 6 }), RefusalKind::NothingToDo);
}

#[test]
fn a_broken_bolt_does_not_hold_the_part() {
    let mut bench = Bench::begun();
    bench.tick([5]);
    let at =
        EventPlace { fixing: Some("cover-bolts".into()), hole: Some("4".into()), ..EventPlace::default() };
    bench.must(VisitCommand::Say(VisitBody::Happened {
        what: record::VisitHappeningKind::Broken,
        at,
        words: String::new(),
    }));
    bench.tick([4, 6]);
    assert_eq!(
        bench.visit().fastener_state("cover-bolts", "4"),
        FastenerState::Broken,
        "the group tick left it alone"
    );
    bench.must(VisitCommand::Say(VisitBody::PartOn { part: "cover".into() }));
    let refused = bench.ask(VisitCommand::Tick { step: 16 }).unwrap_err();
    assert_eq!(refused.to_string(), "cover bolts 4 is broken: take a new one, or undo it first");
    let holes = ["4".to_owned()].into_iter().collect();
    bench.must(VisitCommand::Renew { fixing: "cover-bolts".into(), holes });
    bench.tick([16]);
}

#[test]
fn nothing_is_run_in_without_its_part_and_nothing_tightened_that_is_not_in() {
    let mut bench = Bench::begun();
    bench.strip();
    assert_eq!(why(&mut bench, VisitCommand::Tick { step: 16 }), RefusalKind::StillOff);
    let refused = bench.ask(VisitCommand::Tick { step: 15 }).unwrap_err();
    assert_eq!(refused.to_string(), "inlet manifold is off: refit it first; it goes behind this part");
    bench.tick([11, 12]);
    assert_eq!(bench.ask(VisitCommand::Tick { step: 14 }).unwrap_err().against[0].closes, "run it in first");
}

#[test]
fn what_is_renewed_each_time_is_not_tightened_old() {
    let mut bench = Bench::begun();
    bench.strip();
    assert_eq!(why(&mut bench, VisitCommand::Tick { step: 12 }), RefusalKind::StillInside);
    bench.tick([11, 12]);
    let refused = bench.ask(VisitCommand::Tick { step: 13 }).unwrap_err();
    assert_eq!((refused.why, refused.against.len()), (RefusalKind::NotRenewed, 4));
    let renew = VisitCommand::Renew { fixing: "manifold-bolts".into(), holes: Default::default() };
    bench.must(renew.clone());
    assert_eq!(why(&mut bench, renew), RefusalKind::NothingToDo);
    bench.tick([13]);
    // A new one that was only run in goes out and in again; one that was tight is spent.
    assert_eq!(tap(&mut bench, "manifold-bolts", TapDirection::Back), Off);
    assert_eq!(tap(&mut bench, "manifold-bolts", TapDirection::On), FingerTight);
    bench.tick([14]);
    let holes = ["1".to_owned()].into_iter().collect();
    bench.must(VisitCommand::Mark { fixing: "manifold-bolts".into(), holes, to: Off, slot: None });
    assert_eq!(
        why(&mut bench, VisitCommand::Tap { fastener: key("manifold-bolts", "1"), way: TapDirection::On }),
        RefusalKind::NotRenewed
    );
    let holes = ["2".to_owned()].into_iter().collect();
    assert_eq!(
        why(&mut bench, VisitCommand::Renew { fixing: "manifold-bolts".into(), holes }),
        RefusalKind::StillIn
    );
}

#[test]
fn the_closing_pass_is_a_pass() {
    let mut bench = Bench::begun();
    bench.strip();
    bench.tick([11, 12]);
    bench.must(VisitCommand::Renew { fixing: "manifold-bolts".into(), holes: Default::default() });
    bench.tick([13]);
    let mut stages = Vec::new();
    for _ in 0..3 {
        bench.tick([14]);
        let f = bench.visit().fasteners.get("manifold-bolts", "4").unwrap();
        stages.push((f.state, f.stage));
    }
    assert_eq!(stages, [(FingerTight, Some(1)), (FingerTight, Some(2)), (Tight, Some(3))]);
    assert_eq!(why(&mut bench, VisitCommand::Tick { step: 14 }), RefusalKind::NothingToDo);
}

#[test]
fn coolant_is_filled_when_the_joint_is_tight() {
    let mut bench = Bench::begun();
    bench.strip();
    bench.tick([11]);
    assert_eq!(
        bench.ask(VisitCommand::Tick { step: 19 }).unwrap_err().against[0].line.as_deref(),
        Some("off/manifold-bolts/1")
    );
    bench.tick([12]);
    bench.must(VisitCommand::Renew { fixing: "manifold-bolts".into(), holes: Default::default() });
    bench.tick([13]);
    assert_eq!(why(&mut bench, VisitCommand::Tick { step: 19 }), RefusalKind::OtherFirst);
    bench.tick([14, 14, 14, 19]);
}

#[test]
fn something_put_in_behind_a_part_comes_out_first_or_is_answered_for() {
    let mut bench = Bench::begun();
    bench.strip();
    bench.tick([11]);
    let at = EventPlace { opening: Some("ports".into()), ..EventPlace::default() };
    let what = record::PutInKind::Rag;
    let event = bench
        .must(VisitCommand::Say(VisitBody::PutIn { what, words: String::new(), count: 1, at }))
        .remove(0)
        .id;
    let on = VisitCommand::Say(VisitBody::PartOn { part: "manifold".into() });
    assert_eq!(why(&mut bench, on.clone()), RefusalKind::StillInside);
    let line = format!("put-in/{event}");
    bench.must(VisitCommand::Say(VisitBody::Overridden {
        line,
        reason: "it is a filter".into(),
        name: "Kim".into(),
    }));
    bench.must(on);
}

#[test]
fn a_visit_begins_once_and_nothing_comes_before() {
    let mut bench = Bench::new("tablet");
    assert_eq!(why(&mut bench, VisitCommand::Tick { step: 1 }), RefusalKind::NotBegun);
    let begin = |letter: &str| {
        let (letter, name) = (letter.into(), String::new());
        VisitCommand::Say(VisitBody::Opened { vehicle: None, letter, name, odometer: None })
    };
    assert_eq!(why(&mut bench, begin("")), RefusalKind::NameWanted);
    let first = bench.must(begin("A")).remove(0).id;
    assert_eq!(why(&mut bench, begin("A")), RefusalKind::Begun);
    assert_eq!(why(&mut bench, VisitCommand::Say(VisitBody::Undone { event: first })), RefusalKind::Begun);
    assert_eq!(why(&mut bench, VisitCommand::UndoLast { device: device("tablet") }), RefusalKind::Begun);
    assert_eq!(why(&mut bench, VisitCommand::UndoLast { device: device("phone") }), RefusalKind::NothingToDo);
}

#[test]
fn unknown_names_are_refused_at_the_screen() {
    let mut bench = Bench::begun();
    for command in [
        VisitCommand::Tick { step: 99 },
        VisitCommand::TickFixing { step: 4, fixing: "x".into() },
        VisitCommand::Say(VisitBody::PartOff { part: "x".into() }),
        VisitCommand::Say(VisitBody::PartOn { part: "x".into() }),
        VisitCommand::Say(VisitBody::Established { condition: "x".into() }),
        VisitCommand::Say(VisitBody::Restored { condition: "x".into() }),
        VisitCommand::Cap { opening: "x".into(), count: None },
        VisitCommand::Uncap { opening: "x".into(), count: None },
        VisitCommand::Task { task: "x".into(), to: record::StepMark::Done },
        VisitCommand::Tap { fastener: key("cover-bolts", "13"), way: TapDirection::On },
        VisitCommand::Renew { fixing: "x".into(), holes: Default::default() },
        VisitCommand::Say(VisitBody::WaitOver { wait: id("x") }),
        VisitCommand::TakeOut { put_in: id("x"), count: None },
        VisitCommand::Say(VisitBody::DealtWith { happening: id("x"), how: String::new() }),
        VisitCommand::Say(VisitBody::LookedAgain { event: id("x"), method: "eyes".into() }),
    ] {
        let refusal = bench.ask(command.clone()).expect_err("refused");
        assert!(
            matches!(refusal.why, RefusalKind::Unknown | RefusalKind::NothingToDo),
            "{command:?}: {refusal:?}"
        );
    }
    assert_eq!(bench.history.event_count(), 3);
}

#[test]
fn undo_takes_back_the_last_word_of_this_device_only() {
    let mut tablet = Bench::begun();
    let mut phone = tablet.other("zphone");
    tablet.tick([1]);
    phone.tick([2]);
    tablet.hear(&phone);
    tablet.undo_last();
    assert!(
        !tablet.visit().condition_holds("engine-cold") && tablet.visit().condition_holds("coolant-drained")
    );
    // Taking the taking back back.
    let undo = tablet.history.events().last().unwrap().id.clone();
    tablet.must(VisitCommand::Say(VisitBody::Undone { event: undo }));
    assert!(tablet.visit().condition_holds("engine-cold"));
}

fn event(body: VisitBody) -> Event {
    let order = EventOrder { round: 1, device: device("phone"), count: 1 };
    Event { stream: visit_id().into(), id: id("e1"), order, person: None, at_ms: 0, body }
}

#[test]
fn facts_are_let_in_whatever_the_rules_say() {
    let mut bench = Bench::begun();
    let holes = vec![MarkedHole { hole: "99".into(), from: Off }];
    for body in [
        VisitBody::PartOff { part: "cover".into() },
        VisitBody::PartOn { part: "nowhere".into() },
        VisitBody::Marked { fixing: "nothing".into(), holes, to: Tight, slot: None, stage: Some(9) },
        VisitBody::Closed { name: String::new() },
        VisitBody::Uncapped { opening: "ports".into(), count: 60_000 },
        VisitBody::Undone { event: id("never-was") },
    ] {
        let event = bench.write(body);
        assert_eq!(accept_event(&visit_id().into(), &event), Ok(()));
    }
    assert_eq!(bench.history.event_count(), 9);
    assert_eq!(bench.visit().find_faults(), Vec::<String>::new());
}

#[test]
fn only_what_has_no_shape_needs_attention() {
    let other = VisitId::new("visit-2").unwrap().into();
    let good = event(VisitBody::Resumed);
    assert_eq!(accept_event(&other, &good), Err(NeedsAttention::OtherStream(visit_id().into())));
    let reading = MeasuredReading::plain("lift", f64::NAN, "mm");
    let empty =
        |holes| VisitBody::Marked { fixing: "cover-bolts".into(), holes, to: Off, slot: None, stage: None };
    let forged: ContentDigest = serde_json::from_str("\"../../etc\"").unwrap();
    for body in [
        VisitBody::Read { reading: Box::new(reading), at: EventPlace::default() },
        empty(Vec::new()),
        empty(vec![MarkedHole { hole: " ".into(), from: Off }]),
        VisitBody::PartOff { part: String::new() },
        VisitBody::Planned { plan: forged, why: String::new(), again: Default::default() },
        VisitBody::Undone { event: serde_json::from_str("\"a/b\"").unwrap() },
    ] {
        let broken = accept_event(&visit_id().into(), &event(body.clone()));
        assert!(matches!(broken, Err(NeedsAttention::Broken(_))), "{body:?}");
    }
    let mut racing = good.clone();
    racing.order.round = u64::MAX;
    assert!(accept_event(&visit_id().into(), &racing).is_err());
    let text = serde_json::to_string(&good).unwrap();
    assert_eq!(read_event(&visit_id().into(), &text), Ok(good));
    for text in ["", "{}", "[1]", &text[..text.len() - 2], &text.replace("resumed", "sang")] {
        assert!(
            matches!(read_event::<VisitBody>(&visit_id().into(), text), Err(NeedsAttention::Unreadable(_))),
            "{text}"
        );
    }
}

#[test]
fn the_progress_tells_the_planner_what_is_so() {
    use model::progress as rest;
    let mut bench = Bench::begun();
    bench.tick([1, 2, 5]);
    let at =
        EventPlace { fixing: Some("cover-bolts".into()), hole: Some("4".into()), ..EventPlace::default() };
    let what = record::VisitHappeningKind::Broken;
    let broken =
        bench.must(VisitCommand::Say(VisitBody::Happened { what, at, words: String::new() })).remove(0).id;
    bench.tick([4, 6]);
    let began = bench.visit().conditions["engine-cold"].since.at_ms;
    let progress = bench.visit().planning_progress(book(), began + 60_000);
    assert_eq!(progress.parts_off.iter().collect::<Vec<_>>(), ["cover"]);
    assert_eq!(progress.running.len(), 1);
    assert_eq!(progress.running[0].left_s, 39.0 * 60.0);
    assert_eq!(progress.fastener("cover-bolts", "4").state, FastenerState::Broken);
    assert_eq!(progress.fastener("cover-bolts", "5").state, Off);
    assert_eq!(progress.fastener("manifold-bolts", "1").state, InPlace);
    let happening = &bench.visit().happenings_for_planning()[0];
    assert_eq!((happening.key.as_str(), happening.kind), (broken.as_str(), rest::HappeningKind::Broken));
    bench.must(VisitCommand::Say(VisitBody::DealtWith { happening: broken, how: "drilled".into() }));
    let progress = bench.visit().planning_progress(book(), began + 3_600_000);
    assert_eq!(progress.fastener("cover-bolts", "4").state, FastenerState::Missing);
    assert!(progress.running.is_empty() && bench.visit().happenings_for_planning().is_empty());
}

#[test]
fn what_the_journal_knows_better_goes_over_the_usual_steps() {
    use model::progress as rest;
    let mut bench = Bench::begun();
    let at = |hole: &str| EventPlace {
        fixing: Some("cover-bolts".into()),
        hole: Some(hole.into()),
        ..EventPlace::default()
    };
    let what = record::VisitHappeningKind::Broken;
    let event = bench
        .must(VisitCommand::Say(VisitBody::Happened { what, at: at("4"), words: String::new() }))
        .remove(0)
        .id;
    let extra = |at: u32, brings_out| rest::ExtraStep {
        key: format!("{event}/{at}"),
        text: String::new(),
        part: None,
        fixing: Some("cover-bolts".into()),
        holes: vec!["4".into()],
        work_s: 60.0,
        hold_up_s: 900.0,
        after: rest::JobPoint::Any,
        before: rest::JobPoint::Any,
        brings_out,
        helper: false,
        done: false,
    };
    let settled = |bench: &Bench| {
        let mut progress = bench.visit().planning_progress(book(), 0);
        progress.extra = vec![extra(1, true), extra(2, false)];
        let now_ms = bench.history.events().last().map_or(0, |e| e.at_ms) + 100_000;
        bench.visit().settle_progress(book(), &mut progress, now_ms);
        (progress.fastener("cover-bolts", "4").state, progress.extra[0].done, progress.extra[0].hold_up_s)
    };
    assert_eq!(settled(&bench), (FastenerState::Broken, false, 900.0));
    bench
        .must(VisitCommand::Say(VisitBody::Extra { step: format!("{event}/1"), to: record::StepMark::Done }));
    assert_eq!(settled(&bench), (FastenerState::Missing, true, 800.0));
    let holes = ["4".to_owned()].into_iter().collect();
    bench.must(VisitCommand::Mark { fixing: "cover-bolts".into(), holes, to: FingerTight, slot: None });
    assert_eq!(settled(&bench).0, FingerTight);
}
