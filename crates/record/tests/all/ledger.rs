//! What opens a line and what closes it, what may be accepted, and what stands against moving, lowering and starting.

use model::FastenerState::{self, FingerTight, Freed, InPlace, Off, Tight};
use record::ledger::{LedgerLineKind, RULES, VehicleVerdict};
use record::visit::HappeningEnd;
use record::{
    EventPlace, ExpectedWait, MarkedHole, OwnerWord, PutInKind, RefusalKind, VisitBody, VisitCommand,
    VisitHappeningKind,
};

use crate::common::{Bench, id};

fn mark(bench: &mut Bench, fixing: &str, hole: &str, to: FastenerState) {
    let holes = [hole.to_owned()].into_iter().collect();
    bench.must(VisitCommand::Mark { fixing: fixing.into(), holes, to, slot: None });
}

fn at_hole(fixing: &str, hole: &str) -> EventPlace {
    EventPlace { fixing: Some(fixing.into()), hole: Some(hole.into()), ..EventPlace::default() }
}

fn reasons(verdict: &VehicleVerdict) -> Vec<(&str, &str)> {
    verdict.reasons.iter().map(|r| (r.rule.as_str(), r.line.as_str())).collect()
}

fn accept(bench: &mut Bench, line: &str) {
    bench.must(VisitCommand::Say(VisitBody::Overridden {
        line: line.into(),
        reason: "seen".into(),
        name: "Kim".into(),
    }));
}

#[test]
fn every_state_of_a_fastener_has_its_line() {
    for (to, key) in [
        (Freed, "freed/cover-bolts/7"),
        (Off, "off/cover-bolts/7"),
        (FingerTight, "finger-tight/cover-bolts/7"),
        (FastenerState::Broken, "broken/cover-bolts/7"),
        (FastenerState::Missing, "missing/cover-bolts/7"),
    ] {
        let mut bench = Bench::begun();
        mark(&mut bench, "cover-bolts", "7", to);
        assert_eq!(bench.keys(), [key]);
        mark(&mut bench, "cover-bolts", "7", Tight);
        assert_eq!(bench.keys(), Vec::<String>::new(), "{key}");
    }
}

#[test]
fn tight_after_one_of_two_passes_is_not_tight() {
    let mut bench = Bench::begun();
    let holes = vec![MarkedHole { hole: "7".into(), from: InPlace }];
    bench.write(VisitBody::Marked {
        fixing: "cover-bolts".into(),
        holes,
        to: Tight,
        slot: None,
        stage: Some(1),
    });
    assert_eq!(bench.keys(), ["finger-tight/cover-bolts/7"]);
    assert_eq!(bench.ledger().lines[0].what, "cover bolts 7 (M6 × 25): 1 of 2 passes done");
}

#[test]
fn the_lost_bolt_the_finger_tight_one_and_the_open_port_each_keep_the_visit_open() {
    let mut bench = Bench::begun();
    bench.whole();
    let close = VisitCommand::Say(VisitBody::Closed { name: "Kim".into() });
    let lost = VisitCommand::Say(VisitBody::Happened {
        what: VisitHappeningKind::Lost,
        at: EventPlace::default(),
        words: "10 mm nut".into(),
    });
    let event = bench.must(lost).remove(0).id;
    assert_eq!(bench.ask(close.clone()).unwrap_err().against[0].line, Some(format!("lost/{event}")));
    bench.must(VisitCommand::Say(VisitBody::DealtWith { happening: event, how: "magnet".into() }));
    mark(&mut bench, "cover-bolts", "3", FingerTight);
    assert_eq!(
        bench.ask(close.clone()).unwrap_err().against[0].line.as_deref(),
        Some("finger-tight/cover-bolts/3")
    );
    mark(&mut bench, "cover-bolts", "3", Tight);
    bench.write(VisitBody::PartOff { part: "manifold".into() });
    let against = bench.ask(close.clone()).unwrap_err().against;
    let lines: Vec<_> = against.iter().map(|a| a.line.as_deref().unwrap()).collect();
    assert_eq!(lines, ["part-off/manifold", "uncapped/ports"]);
    bench.write(VisitBody::PartOn { part: "manifold".into() });
    bench.must(close);
}

#[test]
fn an_accepted_line_stays_and_holds_until_it_opens_anew() {
    let mut bench = Bench::begun();
    mark(&mut bench, "cover-bolts", "3", FingerTight);
    let line = "finger-tight/cover-bolts/3";
    let no_name = VisitCommand::Say(VisitBody::Overridden {
        line: line.into(),
        reason: "seen".into(),
        name: " ".into(),
    });
    assert_eq!(bench.ask(no_name).unwrap_err().why, RefusalKind::NameWanted);
    let not_open = VisitCommand::Say(VisitBody::Overridden {
        line: "off/cover-bolts/3".into(),
        reason: "a".into(),
        name: "b".into(),
    });
    assert_eq!(bench.ask(not_open).unwrap_err().why, RefusalKind::Unknown);
    accept(&mut bench, line);
    let ledger = bench.ledger();
    assert!(!ledger.is_zero() && ledger.is_settled() && ledger.may_be_started().yes);
    assert_eq!(ledger.line_by_key(line).unwrap().accepted.as_ref().unwrap().name, "Kim");
    mark(&mut bench, "cover-bolts", "3", Tight);
    mark(&mut bench, "cover-bolts", "3", FingerTight);
    assert!(!bench.ledger().is_settled(), "it opened anew");
}

#[test]
fn what_was_given_up_is_answered_for_by_name_and_can_still_be_found() {
    let mut bench = Bench::begun();
    let lost = VisitCommand::Say(VisitBody::Happened {
        what: VisitHappeningKind::Lost,
        at: at_hole("cover-bolts", "3"),
        words: String::new(),
    });
    let event = bench.must(lost).remove(0).id;
    assert_eq!(bench.keys(), [format!("lost/{event}"), "missing/cover-bolts/3".into()]);
    bench.must(VisitCommand::Say(VisitBody::GivenUp {
        happening: event.clone(),
        searched: "tray, floor".into(),
        name: "Kim".into(),
    }));
    let line = bench.ledger().lines[0].clone();
    assert_eq!(line.accepted.unwrap().reason, "not found; searched: tray, floor");
    bench.must(VisitCommand::Say(VisitBody::DealtWith {
        happening: event.clone(),
        how: "behind the pump".into(),
    }));
    assert!(matches!(bench.visit().happenings[&event].end, Some(HappeningEnd::DealtWith { .. })));
    assert_eq!(bench.keys(), ["missing/cover-bolts/3"]);
}

#[test]
fn an_opening_wants_its_caps_while_its_part_is_off_and_gives_them_back() {
    let mut bench = Bench::begun();
    bench.write(VisitBody::PartOff { part: "manifold".into() });
    assert_eq!(bench.keys(), ["part-off/manifold", "uncapped/ports"]);
    bench.must(VisitCommand::Cap { opening: "ports".into(), count: Some(4) });
    assert_eq!(bench.keys(), ["part-off/manifold", "uncapped/ports", "caps-in/ports"]);
    assert_eq!(bench.ledger().lines[1].what, "inlet ports: open, 4 of 6 caps fitted");
    bench.must(VisitCommand::Cap { opening: "ports".into(), count: None });
    assert_eq!(bench.keys(), ["part-off/manifold", "caps-in/ports"]);
    bench.must(VisitCommand::Uncap { opening: "ports".into(), count: None });
    bench.must(VisitCommand::Say(VisitBody::PartOn { part: "manifold".into() }));
    assert!(bench.ledger().is_zero());
}

#[test]
fn waits_findings_and_happenings_stand_open_until_they_end() {
    let mut bench = Bench::begun();
    let waiting = ExpectedWait { what: "sealant".into(), seconds: Some(600) };
    let wait =
        bench.must(VisitCommand::Say(VisitBody::WaitBegan { waiting, at: EventPlace::default() })).remove(0);
    let line = bench.ledger().lines[0].clone();
    assert_eq!((line.kind, line.ends_ms), (LedgerLineKind::Wait, Some(wait.at_ms + 600_000)));
    bench.must(VisitCommand::Say(VisitBody::WaitOver { wait: wait.id }));
    let found = VisitCommand::Say(VisitBody::Found {
        words: "belt cracked".into(),
        price_from_cents: Some(9_000),
        price_to_cents: None,
        if_left: "it may tear".into(),
        task: None,
        at: EventPlace::default(),
    });
    let finding = bench.must(found).remove(0).id;
    let answer = |word| {
        VisitCommand::Say(VisitBody::Answered { finding: finding.clone(), word, by: "by phone".into() })
    };
    bench.must(answer(OwnerWord::Call));
    assert_eq!(bench.ledger().lines[0].what, "belt cracked: the owner wants to talk");
    bench.must(answer(OwnerWord::No));
    assert!(bench.ledger().is_zero());
    let seized = VisitCommand::Say(VisitBody::Happened {
        what: VisitHappeningKind::Seized,
        at: at_hole("cover-bolts", "3"),
        words: "corroded".into(),
    });
    let event = bench.must(seized).remove(0).id;
    assert_eq!(bench.ledger().lines[0].what, "seized, cover bolts 3: corroded");
    bench.must(VisitCommand::Say(VisitBody::DealtWith { happening: event.clone(), how: "heat".into() }));
    assert!(bench.ledger().is_zero());
    let again = bench
        .ask(VisitCommand::Say(VisitBody::DealtWith { happening: event, how: "heat".into() }))
        .unwrap_err();
    assert_eq!(again.why, RefusalKind::NothingToDo);
}

#[test]
fn what_the_book_does_not_know_is_shown_and_never_lost() {
    let mut bench = Bench::begun();
    let holes = vec![MarkedHole { hole: "13".into(), from: InPlace }];
    bench.write(VisitBody::Marked { fixing: "cover-bolts".into(), holes, to: Off, slot: None, stage: None });
    bench.write(VisitBody::PartOff { part: "turbo/charger".into() });
    bench.write(VisitBody::Established { condition: "frozen".into() });
    bench.write(VisitBody::Capped { opening: "hatch".into(), count: 1 });
    bench.write(VisitBody::DealtWith { happening: id("nobody"), how: "?".into() });
    assert_eq!(
        bench.keys(),
        [
            "strange/condition/frozen",
            "strange/event/tablet-8",
            "strange/fastener/cover-bolts/13",
            "strange/opening/hatch",
            "strange/part/turbo%2Fcharger",
        ]
    );
    for key in bench.keys() {
        accept(&mut bench, &key);
    }
    assert!(bench.ledger().is_settled());
}

#[test]
fn a_cover_that_hangs_by_nothing_tight_is_not_moved() {
    let mut bench = Bench::begun();
    bench.tick([4]);
    assert!(bench.ledger().may_be_moved().yes, "the clips still hold it");
    bench.tick([5]);
    let ledger = bench.ledger();
    assert_eq!(reasons(ledger.may_be_moved()).len(), 14);
    assert_eq!(reasons(ledger.may_be_lowered())[0], ("hanging", "off/cover-bolts/1"));
    bench.tick([6]);
    assert!(bench.ledger().may_be_moved().yes, "what is off cannot fall off");
}

#[test]
fn each_rule_of_moving_and_lowering_is_met() {
    let mut bench = Bench::begun();
    mark(&mut bench, "manifold-bolts", "1", Freed);
    let put = |what| {
        VisitCommand::Say(VisitBody::PutIn {
            what,
            words: String::new(),
            count: 1,
            at: EventPlace::default(),
        })
    };
    bench.must(put(PutInKind::Rag));
    let pin = bench.must(put(PutInKind::LockingPin)).remove(0).id;
    bench.must(VisitCommand::Say(VisitBody::Established { condition: "raised".into() }));
    let at = EventPlace { part: Some("cover".into()), ..EventPlace::default() };
    let wait = bench
        .must(VisitCommand::Say(VisitBody::WaitBegan {
            waiting: ExpectedWait { what: "sealant".into(), seconds: None },
            at,
        }))
        .remove(0)
        .id;
    bench.write(VisitBody::PartOff { part: "turbo".into() });
    let ledger = bench.ledger();
    let (pin, wait) = (format!("put-in/{pin}"), format!("wait/{wait}"));
    let moved = [
        ("critical", "freed/manifold-bolts/1"),
        ("sticks-out", pin.as_str()),
        ("set", "condition/raised"),
        ("curing", wait.as_str()),
        ("undecided", "strange/part/turbo"),
    ];
    assert_eq!(reasons(ledger.may_be_moved()), moved);
    let lowered: Vec<_> = moved.into_iter().filter(|(rule, _)| *rule != "set").collect();
    assert_eq!(reasons(ledger.may_be_lowered()), lowered);
    assert_eq!(ledger.may_be_started().reasons.len(), 6);
    accept(&mut bench, "freed/manifold-bolts/1");
    assert_eq!(reasons(bench.ledger().may_be_moved()).len(), 4);
}

#[test]
fn every_rule_says_why_in_a_sentence() {
    for rule in RULES {
        assert!(rule.why.ends_with('.') && rule.why.len() > 30, "{}", rule.name);
        assert!(!rule.questions.is_empty(), "{}", rule.name);
    }
}

#[test]
fn kinds_have_names_of_their_own() {
    let names: std::collections::BTreeSet<_> = LedgerLineKind::ALL.iter().map(|k| k.name()).collect();
    assert_eq!(names.len(), LedgerLineKind::ALL.len());
    assert!(LedgerLineKind::ALL.is_sorted());
}
