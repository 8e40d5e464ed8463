//! Two devices on one fastener: what is a contradiction, what is not, and how it is settled.

use model::FastenerState::{self, Checked, FingerTight, Freed, InPlace, Missing, Off, Tight};
use record::{FastenerKey, MarkedHole, RefusalKind, VisitBody, VisitCommand};

use crate::common::{Bench, device};

const FIXING: &str = "cover-bolts";

fn marked(from: FastenerState, to: FastenerState) -> VisitBody {
    let holes = vec![MarkedHole { hole: "1".into(), from }];
    VisitBody::Marked { fixing: FIXING.into(), holes, to, slot: None, stage: None }
}

/// Two devices that know the same, with a first state of the hole.
fn two(first: FastenerState) -> (Bench, Bench) {
    let mut tablet = Bench::begun();
    if first != InPlace {
        tablet.write(marked(InPlace, first));
    }
    let phone = tablet.other("zphone");
    (tablet, phone)
}

fn meet(tablet: &mut Bench, phone: &mut Bench) {
    tablet.hear(phone);
    phone.hear(tablet);
    assert_eq!(tablet.visit(), phone.visit());
    assert_eq!(tablet.visit().find_faults(), Vec::<String>::new());
}

fn fastener() -> FastenerKey {
    FastenerKey { fixing: FIXING.into(), hole: "1".into() }
}

#[test]
fn two_devices_that_differ_leave_it_undecided_until_a_person_settles_it() {
    let (mut tablet, mut phone) = two(FingerTight);
    tablet.write(marked(FingerTight, Tight));
    phone.write(marked(FingerTight, Off));
    meet(&mut tablet, &mut phone);
    let (fixing, hole, undecided) = tablet.visit().open_conflicts().next().unwrap();
    assert_eq!((fixing, hole), (FIXING, "1"));
    let claims: Vec<_> = undecided.claims.iter().map(|c| (c.stamp.order.device.as_str(), c.to)).collect();
    assert_eq!(claims, [("tablet", Tight), ("zphone", Off)]);
    assert_eq!(undecided.state, Tight);
    assert_eq!(tablet.keys(), ["undecided/cover-bolts/1"]);
    let line = &tablet.ledger().lines[0];
    assert_eq!(line.what, "cover bolts 1 (M6 × 25): tablet says tight, zphone says off");
    let over = VisitCommand::Say(VisitBody::Overridden {
        line: line.key.clone(),
        reason: "in a hurry".into(),
        name: "Kim".into(),
    });
    assert_eq!(tablet.ask(over).unwrap_err().why, RefusalKind::Undecided);
    let tap = VisitCommand::Tap { fastener: fastener(), way: record::TapDirection::On };
    assert_eq!(tablet.ask(tap).unwrap_err().why, RefusalKind::Undecided);
    assert_eq!(tablet.ask(VisitCommand::Tick { step: 18 }).unwrap_err().why, RefusalKind::Undecided);
    phone.must(VisitCommand::Say(VisitBody::Settled { fastener: fastener(), to: Tight }));
    meet(&mut tablet, &mut phone);
    assert!(tablet.visit().open_conflicts().next().is_none());
    assert_eq!(tablet.keys(), Vec::<String>::new());
    assert_eq!(
        tablet.ask(VisitCommand::Say(VisitBody::Settled { fastener: fastener(), to: Off })).unwrap_err().why,
        RefusalKind::NothingToDo
    );
}

#[test]
fn the_same_claim_twice_is_one_claim() {
    let (mut tablet, mut phone) = two(InPlace);
    tablet.write(marked(InPlace, Off));
    phone.write(marked(InPlace, Off));
    meet(&mut tablet, &mut phone);
    assert!(tablet.visit().open_conflicts().next().is_none());
    assert_eq!(tablet.keys(), ["off/cover-bolts/1"]);
}

#[test]
fn one_device_corrects_itself() {
    let (mut tablet, _) = two(Off);
    // Its own screen lagged behind: `from` is not how it stands.
    tablet.write(marked(InPlace, Tight));
    assert!(tablet.visit().open_conflicts().next().is_none());
    assert_eq!(tablet.visit().fastener_state(FIXING, "1"), Tight);
}

#[test]
fn a_device_that_saw_the_others_word_goes_on_from_it() {
    let (mut tablet, mut phone) = two(Off);
    tablet.write(marked(Off, FingerTight));
    meet(&mut tablet, &mut phone);
    phone.write(marked(FingerTight, Tight));
    meet(&mut tablet, &mut phone);
    assert!(tablet.visit().open_conflicts().next().is_none());
    assert_eq!(tablet.visit().fastener_state(FIXING, "1"), Tight);
}

#[test]
fn devices_that_come_to_the_same_leave_nothing_to_settle() {
    let (mut tablet, mut phone) = two(InPlace);
    tablet.write(marked(InPlace, Freed));
    phone.write(marked(InPlace, Off));
    tablet.write(marked(Freed, Off));
    meet(&mut tablet, &mut phone);
    assert!(tablet.visit().open_conflicts().next().is_none());
    assert_eq!(tablet.keys(), ["off/cover-bolts/1"]);
}

#[test]
fn settled_differently_on_two_devices_is_undecided_again() {
    let (mut tablet, mut phone) = two(FingerTight);
    tablet.write(marked(FingerTight, Tight));
    phone.write(marked(FingerTight, Off));
    meet(&mut tablet, &mut phone);
    tablet.must(VisitCommand::Say(VisitBody::Settled { fastener: fastener(), to: Checked }));
    phone.must(VisitCommand::Say(VisitBody::Settled { fastener: fastener(), to: Missing }));
    meet(&mut tablet, &mut phone);
    assert_eq!(tablet.keys(), ["undecided/cover-bolts/1"]);
}

#[test]
fn three_devices_have_a_claim_each() {
    let (mut tablet, mut phone) = two(FingerTight);
    let mut laptop = tablet.other("alaptop");
    tablet.write(marked(FingerTight, Tight));
    phone.write(marked(FingerTight, Off));
    laptop.write(marked(FingerTight, Missing));
    tablet.hear(&laptop);
    meet(&mut tablet, &mut phone);
    let claims = &tablet.visit().fasteners.get(FIXING, "1").unwrap().claims;
    assert_eq!(claims.len(), 3);
    assert_eq!(claims[0].stamp.order.device, device("alaptop"));
    let first = claims[0].stamp.event.clone();
    // Taking back one of the words leaves the others to be settled.
    tablet.must(VisitCommand::Say(VisitBody::Undone { event: first }));
    assert_eq!(tablet.visit().fasteners.get(FIXING, "1").unwrap().claims.len(), 2);
}

#[test]
fn a_broken_bolt_against_a_tight_one_is_the_last_word() {
    let (mut tablet, mut phone) = two(FingerTight);
    tablet.write(marked(FingerTight, Tight));
    let at = record::EventPlace { fixing: Some(FIXING.into()), hole: Some("1".into()), ..Default::default() };
    phone.must(VisitCommand::Say(VisitBody::Happened {
        what: record::VisitHappeningKind::Broken,
        at,
        words: String::new(),
    }));
    meet(&mut tablet, &mut phone);
    assert_eq!(tablet.keys(), ["broken/cover-bolts/1", "happening/zphone-1"]);
}
