//! Settings of the vehicle: reported, taken back, set by steps, open in the ledger.

use std::rc::Rc;

use model::{Book, Setting, SettingKind};
use proptest::prelude::*;
use record::ledger::LedgerLineKind;
use record::visit::{SettingHistory, SettingStanding};
use record::{
    EventHistory, FastenerKey, Ledger, PlanStepsView, RefusalKind, StepStanding, Visit, VisitBody,
    VisitCommand, decide, replay_events,
};
use serde_json::{Value, json};

use crate::common::{Bench, book, device, digest, plan_of, step, visit_id};

/// A setting without ways, with the value that it starts and should end with first.
fn setting(key: &str, kind: SettingKind, values: &[&str]) -> Setting {
    Setting {
        key: key.into(),
        title: key.replace('-', " "),
        kind,
        values: values.iter().map(|value| (*value).to_owned()).collect(),
        start: 0,
        end: 1,
        ways: Vec::new(),
    }
}

/// The settings of the small engine.
pub fn small_settings() -> Vec<Setting> {
    vec![
        setting("lift", SettingKind::Lift, &["ground", "low", "chest", "up"]),
        setting("cam-pin", SettingKind::PutIn, &["out", "in"]),
        setting("beam", SettingKind::Support, &["off", "slack", "carrying"]),
        setting("crank", SettingKind::Other, &["mark", "any"]),
        setting("tap", SettingKind::Other, &["closed", "open"]),
    ]
}

fn changed(setting: &str, value: &str) -> VisitBody {
    VisitBody::SettingChanged { setting: setting.into(), value: value.into() }
}

fn sets(all: &[(&str, &str)]) -> Value {
    let set = |(setting, value): &(&str, &str)| json!({"setting": setting, "value": value});
    json!({"sets": all.iter().map(set).collect::<Vec<_>>()})
}

/// A step that sets a setting, and what follows from it.
fn set_step(number: u32, all: &[(&str, &str)]) -> Value {
    step(number, "set", sets(all), &[], 30.0)
}

/// A step with work of its own.
fn work_step(number: u32) -> Value {
    step(number, "extra", json!({"extra": format!("x{number}")}), &[], 60.0)
}

/// A visit that works by these steps.
fn bench_of(steps: &[Value]) -> Bench {
    let mut bench = Bench::begun();
    bench.plan = Rc::new(plan_of(steps, &[]));
    bench
}

/// Up, down and up again, with work in between.
fn up_and_down() -> Bench {
    bench_of(&[
        set_step(1, &[("lift", "up")]),
        work_step(2),
        set_step(3, &[("lift", "ground")]),
        work_step(4),
        set_step(5, &[("lift", "up")]),
        work_step(6),
        set_step(7, &[("lift", "ground")]),
    ])
}

/// Numbers of the steps that are done; the plan's own work, step 10, is none of them.
fn done(bench: &Bench) -> Vec<u32> {
    let view = PlanStepsView::of_plan(bench.visit(), book(), &bench.plan);
    view.steps.iter().filter(|s| s.standing == StepStanding::Done).map(|s| s.number).collect()
}

fn value<'a>(visit: &'a Visit, key: &str) -> &'a str {
    visit.settings.get(key).and_then(SettingHistory::latest).map_or("", |report| &report.value)
}

#[test]
fn a_lift_goes_up_down_and_up_again() {
    let mut bench = up_and_down();
    for number in 1..=7 {
        assert_eq!(done(&bench), (1..number).collect::<Vec<u32>>());
        bench.tick([number]);
    }
    assert_eq!(done(&bench), [1, 2, 3, 4, 5, 6, 7]);
    let words: Vec<&str> =
        bench.visit().settings["lift"].changes().iter().map(|c| c.value.as_str()).collect();
    assert_eq!(words, ["up", "ground", "up", "ground"]);
}

#[test]
fn who_lets_the_lift_down_and_has_done_nothing_there_has_gone_back() {
    let mut bench = up_and_down();
    bench.tick([1]);
    bench.must(changed("lift", "ground").into());
    assert_eq!(done(&bench), [0_u32; 0], "the lift is not up any more");
    bench.must(changed("lift", "up").into());
    assert_eq!(done(&bench), [1]);
    bench.tick([2, 3]);
    bench.must(changed("lift", "up").into());
    assert_eq!(done(&bench), [1, 2], "nothing of step 4 is begun, so that step 3 is asked for again");
    bench.tick([3, 4, 5]);
    assert_eq!(done(&bench), [1, 2, 3, 4, 5]);
}

#[test]
fn work_that_is_ticked_after_the_lift_was_moved_counts_from_then_on() {
    let mut bench = up_and_down();
    bench.tick([1, 3]);
    assert_eq!(done(&bench), [0_u32; 0]);
    bench.tick([2]);
    assert_eq!(done(&bench), [1, 2, 3]);
}

#[test]
fn nobody_has_to_stop_where_nothing_is_to_be_done() {
    let low_chest_up =
        [set_step(1, &[("lift", "low")]), set_step(2, &[("lift", "chest")]), set_step(3, &[("lift", "up")])];
    let mut bench = bench_of(&low_chest_up);
    bench.must(changed("lift", "up").into());
    assert_eq!(done(&bench), [1, 2, 3]);
    let with_work = [set_step(1, &[("lift", "low")]), work_step(2), set_step(3, &[("lift", "up")])];
    let mut bench = bench_of(&with_work);
    bench.must(changed("lift", "up").into());
    assert_eq!(done(&bench), [0_u32; 0], "step 2 is to be done at low");
    bench.tick([2]);
    assert_eq!(done(&bench), [1, 2, 3]);
}

#[test]
fn two_set_steps_without_work_in_between_are_told_apart_by_their_changes() {
    let mut bench = bench_of(&[
        set_step(1, &[("cam-pin", "in")]),
        set_step(2, &[("cam-pin", "out")]),
        set_step(3, &[("cam-pin", "in")]),
        set_step(4, &[("cam-pin", "out")]),
    ]);
    for number in 1..=4 {
        assert_eq!(done(&bench), (1..number).collect::<Vec<u32>>());
        bench.tick([number]);
    }
    assert_eq!(done(&bench), [1, 2, 3, 4]);
}

#[test]
fn a_setting_off_the_plan_opens_the_step_that_brought_it_there() {
    let mut bench = up_and_down();
    bench.tick([1, 2]);
    bench.must(changed("lift", "chest").into());
    assert_eq!(done(&bench), [2]);
    bench.tick([1]);
    assert_eq!(done(&bench), [1, 2]);
}

#[test]
fn a_plan_made_anew_counts_from_its_own_beginning() {
    let mut bench = up_and_down();
    bench.tick([1, 2, 3]);
    bench.must(
        VisitBody::Planned { plan: digest('d'), why: "seized".into(), again: Default::default() }.into(),
    );
    let rest = [set_step(11, &[("lift", "up")]), work_step(12), set_step(13, &[("lift", "ground")])];
    bench.plan = Rc::new(plan_of(&rest, &[]));
    assert_eq!(done(&bench), [0_u32; 0], "it was up before this plan, not by it");
    for number in 11..=13 {
        bench.tick([number]);
        assert_eq!(done(&bench), (11..=number).collect::<Vec<u32>>());
    }
}

#[test]
fn one_tap_records_all_that_a_step_sets_and_is_taken_back_as_one() {
    let mut bench = bench_of(&[set_step(1, &[("beam", "carrying"), ("crank", "any")])]);
    let written = bench.must(VisitCommand::Tick { step: 1 });
    let bodies: Vec<VisitBody> = written.into_iter().map(|event| event.body).collect();
    assert_eq!(bodies, [changed("beam", "carrying"), changed("crank", "any")]);
    assert_eq!(done(&bench), [1]);
    let again = bench.ask(VisitCommand::Tick { step: 1 }).unwrap_err();
    assert_eq!(again.why, RefusalKind::NothingToDo);
    let before = bench_of(&[]).visit().clone();
    bench.undo_last();
    assert_eq!(bench.visit(), &before);
    assert_eq!(done(&bench), [0_u32; 0]);
}

#[test]
fn taking_back_one_of_several_changes_leaves_the_one_before() {
    let mut bench = up_and_down();
    bench.tick([1, 2, 3]);
    bench.undo_last();
    assert_eq!((value(bench.visit(), "lift"), done(&bench)), ("up", vec![1, 2]));
    bench.undo_last();
    bench.undo_last();
    assert!(bench.visit().settings.is_empty());
}

#[test]
fn two_devices_that_report_one_move_report_it_once() {
    let mut tablet = up_and_down();
    let mut phone = tablet.other("phone");
    tablet.tick([1]);
    phone.tick([1]);
    phone.hear(&tablet);
    tablet.hear(&phone);
    assert_eq!(tablet.visit(), phone.visit());
    assert_eq!(tablet.visit().settings["lift"].changes().len(), 1);
    assert_eq!(done(&tablet), [1]);
}

#[test]
fn of_two_devices_that_say_different_things_the_later_counts() {
    let mut tablet = up_and_down();
    let mut phone = tablet.other("phone");
    tablet.write(changed("lift", "up"));
    phone.write(changed("lift", "chest"));
    phone.write(changed("lift", "low"));
    phone.hear(&tablet);
    tablet.hear(&phone);
    assert_eq!(tablet.visit(), phone.visit());
    assert_eq!(value(tablet.visit(), "lift"), "low");
    let events = tablet.history.events().iter().rev().cloned();
    assert_eq!(&replay_events::<Visit>(events.clone()), tablet.visit());
    assert_eq!(EventHistory::<Visit>::from_events(visit_id(), events).state(), phone.visit());
}

#[test]
fn other_steps_record_what_they_set_with_whatever_makes_them_done() {
    let about = |sets: Value| {
        let mut about = json!({"part": "cover", "fixings": ["cover-clips"]});
        about["sets"] = sets["sets"].clone();
        about
    };
    let steps = [
        step(1, "undo", about(sets(&[("crank", "any")])), &[2], 10.0),
        step(
            2,
            "drain",
            json!({"condition": "coolant-drained", "sets": sets(&[("tap", "open")])["sets"]}),
            &[],
            10.0,
        ),
        set_step(3, &[("tap", "closed")]),
    ];
    let mut bench = bench_of(&steps);
    let clip = |hole: &str| FastenerKey { fixing: "cover-clips".into(), hole: hole.into() };
    bench.must(VisitCommand::TickHole { step: 1, fastener: clip("13") });
    assert_eq!(value(bench.visit(), "crank"), "", "one clip is still on");
    let way = record::TapDirection::On;
    bench.must(VisitCommand::Tap { fastener: clip("14"), way });
    assert_eq!((value(bench.visit(), "crank"), done(&bench)), ("any", vec![1]));
    bench.must(VisitBody::Established { condition: "coolant-drained".into() }.into());
    assert_eq!((value(bench.visit(), "tap"), done(&bench)), ("open", vec![1, 2]));
    bench.tick([3]);
    assert_eq!((value(bench.visit(), "tap"), done(&bench)), ("closed", vec![1, 2, 3]));
    bench.undo_last();
    bench.undo_last();
    assert!(!bench.visit().settings.contains_key("tap"), "what the draining set is taken back with it");
}

#[test]
fn a_setting_by_hand_wants_a_book_that_knows_it() {
    let bench = Bench::begun();
    let ask = |book: Option<&Book>, setting: &str, value: &str| {
        decide(bench.visit(), book, None, changed(setting, value).into()).unwrap_err()
    };
    let refusals = [
        (ask(None, "lift", "up"), RefusalKind::NoBook, "the visit has no book: give it a book"),
        (
            ask(Some(book()), "ramp", "up"),
            RefusalKind::Unknown,
            "the book has no setting “ramp”: use “lift” or “cam-pin” or “beam” or “crank” or “tap”",
        ),
        (
            ask(Some(book()), "lift", "high"),
            RefusalKind::Unknown,
            "lift has no value “high”: use “ground” or “low” or “chest” or “up”",
        ),
        (
            ask(Some(book()), "lift", "ground"),
            RefusalKind::NothingToDo,
            "the lift stands at ground already: nothing to do",
        ),
    ];
    for (refusal, kind, words) in refusals {
        assert_eq!((refusal.why, refusal.to_string().as_str()), (kind, words));
    }
    let bare = Book { settings: Vec::new(), ..book().clone() };
    let refusal = ask(Some(&bare), "lift", "up").to_string();
    assert_eq!(
        refusal,
        "the book has no setting “lift”: the book tells of no settings; add them to the book first"
    );
}

#[test]
fn what_does_not_stand_as_it_should_at_the_end_is_open() {
    let mut bench = Bench::begun();
    assert!(bench.ledger().is_zero());
    for (setting, value) in [("lift", "chest"), ("cam-pin", "in"), ("beam", "carrying"), ("crank", "any")] {
        bench.must(changed(setting, value).into());
    }
    let ledger = bench.ledger();
    let lines: Vec<String> = ledger.lines.iter().map(|l| format!("{}: {}", l.what, l.closes)).collect();
    assert_eq!(
        lines,
        [
            "the beam is carrying: bring it to “off” before the engine is started",
            "the cam pin is in: take it out before the crank is turned",
            "the crank is “any”: bring it to “mark” before hand-over",
            "the lift stands at chest: bring it to ground before hand-over",
        ]
    );
    assert!(ledger.lines.iter().all(|line| line.kind == LedgerLineKind::Setting));
    let rules = |verdict: &record::ledger::VehicleVerdict| {
        verdict.reasons.iter().map(|r| format!("{} {}", r.rule, r.line)).collect::<Vec<_>>()
    };
    assert_eq!(rules(ledger.may_be_moved()), ["raised setting/lift"]);
    assert!(ledger.may_be_lowered().yes);
    assert_eq!(
        rules(ledger.may_be_started()),
        ["supported setting/beam", "pinned setting/cam-pin", "count setting/crank", "count setting/lift"]
    );
    let close = VisitCommand::Say(VisitBody::Closed { name: "Kim".into() });
    assert_eq!(bench.ask(close.clone()).unwrap_err().against.len(), 4);
    for (setting, value) in [("lift", "ground"), ("cam-pin", "out"), ("beam", "off"), ("crank", "mark")] {
        bench.must(changed(setting, value).into());
    }
    assert!(bench.ledger().is_zero());
    assert!(bench.ledger().counts.iter().all(record::ledger::LedgerCountRow::agrees));
    bench.must(close);
}

#[test]
fn what_came_in_wrong_is_open_from_the_beginning() {
    let mut wrong = book().clone();
    wrong.settings[4].end = 0b10;
    let bench = Bench::begun();
    let ledger = Ledger::draw_up(bench.visit(), &wrong);
    assert_eq!(ledger.lines.len(), 1);
    assert_eq!(ledger.lines[0].key, "setting/tap");
    assert_eq!(Some(&ledger.lines[0].since), bench.visit().based_on.as_ref().map(|texts| &texts.stamp));
    let standing = SettingStanding::of_setting(bench.visit(), &wrong.settings[4]);
    assert_eq!((standing.value, standing.since, standing.is_at_end()), ("closed", None, false));
    assert!(Ledger::draw_up(&Visit::default(), &wrong).is_zero(), "before the visit began nothing is open");
}

#[test]
fn without_a_book_no_setting_is_open_and_what_the_book_does_not_know_is_strange() {
    let mut bench = Bench::begun();
    bench.write(changed("lift", "up"));
    bench.write(changed("ramp", "up"));
    bench.write(changed("beam", "bent"));
    assert!(Ledger::draw_up(bench.visit(), None).is_zero());
    assert_eq!(bench.keys(), ["setting/lift", "strange/setting/beam", "strange/setting/ramp"]);
    let progress = bench.visit().planning_progress(book(), 0);
    assert_eq!(
        progress.settings,
        [("lift".to_owned(), "up".to_owned())].into(),
        "the planner is told what the book knows"
    );
}

/// A plan that brings the lift to each of these values in turn, with one piece of work after each, and a last one to the
/// ground.
fn course(values: &[usize]) -> (Vec<&'static str>, Vec<Value>) {
    const WORDS: [&str; 4] = ["ground", "low", "chest", "up"];
    let mut words: Vec<&str> = values.iter().map(|at| WORDS[*at % 4]).collect();
    words.push("ground");
    words.dedup();
    if words.first() == Some(&"ground") {
        words.remove(0);
    }
    let both = |(at, word): (usize, &&str)| {
        let number = 11 + 2 * u32::try_from(at).expect("a short plan");
        [set_step(number, &[("lift", word)]), work_step(number + 1)]
    };
    let steps = words.iter().enumerate().flat_map(both).collect();
    (words, steps)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whoever works by the plan, and now and then takes the lift elsewhere and back, is asked for the next step each time.
    #[test]
    fn going_elsewhere_and_back_changes_no_step(values in proptest::collection::vec(0..4_usize, 1..7), away in any::<u32>()) {
        let (words, steps) = course(&values);
        let mut bench = bench_of(&steps);
        let mut here = "ground";
        let mut away = away;
        for at in 0..2 * words.len() {
            let numbers: Vec<u32> = (11..).take(at).collect();
            let expected = |bench: &Bench| {
                let all = done(bench);
                prop_assert_eq!(all, numbers.clone(), "{:?}, at {}", words, here);
                Ok(())
            };
            expected(&bench)?;
            let elsewhere = ["ground", "low", "chest", "up"][(away % 4) as usize];
            away /= 4;
            if elsewhere != here && !away.is_multiple_of(3) {
                bench.must(changed("lift", elsewhere).into());
                bench.must(changed("lift", here).into());
                expected(&bench)?;
            }
            bench.tick([11 + u32::try_from(at).expect("a short plan")]);
            if at % 2 == 0 {
                here = words[at / 2];
            }
        }
        prop_assert_eq!(done(&bench).len(), 2 * words.len());
    }
}

#[test]
fn a_device_that_was_away_brings_its_changes_to_their_place() {
    let mut tablet = up_and_down();
    let mut phone = tablet.other("phone");
    phone.tick([1]);
    tablet.write(VisitBody::Noted { words: "w".into(), at: Default::default() });
    tablet.write(VisitBody::Noted { words: "w".into(), at: Default::default() });
    tablet.write(changed("lift", "chest"));
    tablet.hear(&phone);
    assert_eq!(tablet.visit().settings["lift"].changes()[0].stamp.order.device, device("phone"));
    assert_eq!(value(tablet.visit(), "lift"), "chest");
}
