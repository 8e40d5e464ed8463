//! Each rule broken once: the judge names its code.

#[path = "kept.rs"]
mod kept;

use crate::known::plan;
use crate::things;
use model::plan::{Plan, StepKind};
use model::{
    AccessBend, Book, CounterHold, FastenerKind, GripApproach, HistoryCause, OpeningId, Piece, PieceLink,
    PowerSource, SideRoom, StageTarget, Store, Swing,
};
use units::{Angle, Force, Length, Torque};

/// Changes the right job, and finds a code in what the judge says of it.
#[track_caller]
pub fn check(code: &str, change: impl Fn(&mut Book, &mut Store, &mut Plan)) {
    let (mut book, mut store, mut plan) = (things::book(), things::store(), plan());
    change(&mut book, &mut store, &mut plan);
    let found = judge::judge_plan(&book, &store, &plan);
    kept::note(&found);
    let codes: Vec<&str> = found.iter().map(|v| v.code).collect();
    assert!(codes.contains(&code), "{code} is not among {codes:?}");
}

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

#[test]
fn names() {
    check("J101", |_, _, p| p.format = "traywright-plan/0".into());
    check("J102", |_, _, p| p.strip.steps[1].actions[0].duty = 99);
    check("J102", |_, _, p| p.stacks[0].pieces[0] = "spoon".into());
    check("J102", |_, _, p| p.duties[0].access = 7);
    check("J102", |_, _, p| p.duties[0].fixing = "nothing".into());
    check("J102", |_, _, p| p.strip.steps[1].actions[0].holes[0] = "9".into());
    check("J103", |_, _, p| p.book = "other".into());
    check("J104", |_, _, p| p.asked.tasks.clear());
}

#[test]
fn ids() {
    check("J105", |_, _, p| p.stacks.push(p.stacks[0].clone()));
    check("J204", |b, _, _| {
        let way =
            |key: &str| model::Way { key: key.into(), title: key.into(), needs: Vec::new(), station: None };
        b.parts[0].ways = vec![way("above"), way("below")];
    });
    check("J906", |b, _, _| {
        let (key, title, specification) = ("pin".into(), "pin".into(), "5 mm".into());
        b.special_tools.push(model::SpecialTool { key, title, specification, can_be_made: true });
        b.tasks[0].special_tools.push(model::SpecialToolId::new(0));
    });
}

#[test]
fn way_in() {
    check("J201", |_, _, p| _ = p.way_in.parts.pop());
    check("J202", |_, _, p| _ = p.way_in.parts.remove(0));
    check("J202", |_, _, p| p.way_in.conditions.clear());
    check("J203", |_, _, p| p.way_in.parts.push(p.way_in.parts[0].clone()));
}

#[test]
fn duties() {
    check("J301", |_, _, p| _ = p.strip.steps[1].actions[0].holes.pop());
    check("J302", |_, _, p| p.duties[3].stage = Some(4));
    check("J303", |b, _, _| b.fixings[0].accesses[0].way = Some(1));
    check("J304", |_, _, p| p.duties[0].torque_n_m = Some(9.0));
    check("J305", |_, _, p| p.duties.push(p.duties[0].clone()));
    check("J306", |_, _, p| _ = p.way_in.parts.pop());
}

#[test]
fn fit_and_room() {
    check("J401", |_, s, _| s.pieces[0].grip.as_mut().unwrap().fits[0].low = 11.0);
    check("J402", |_, s, _| s.pieces[0].grip.as_mut().unwrap().depth = mm(3.5));
    check("J404", |b, _, _| b.fixings[0].accesses[0].corridor[0].clear = mm(17.9));
    check("J405", |b, _, _| b.fixings[0].accesses[0].corridor[0].length = Some(mm(34.0)));
    check("J405", |b, _, _| b.fixings[0].accesses[0].headroom = mm(66.0));
    let bend = AccessBend { at: mm(10.0), angle: Angle::from_deg(15.0) };
    check("J406", move |b, _, _| b.fixings[0].accesses[0].bends.push(bend));
    let swing = Swing { radius: mm(200.0), arc: Angle::from_deg(6.0) };
    check("J407", move |b, _, _| b.fixings[0].accesses[0].swings.push(swing));
}

#[test]
fn a_flat_tool_needs_room_beside_the_head() {
    let room = |height_mm| SideRoom {
        radial: mm(20.0),
        height: mm(height_mm),
        reach: mm(60.0),
        headroom: mm(200.0),
        swings: Vec::new(),
    };
    let flat = |s: &mut Store| s.pieces[0].grip.as_mut().unwrap().approach = GripApproach::Side;
    check("J408", |_, s, _| flat(s));
    check("J408", |b, s, _| {
        flat(s);
        b.fixings[0].accesses[0].side = Some(room(11.9));
    });
    let (mut book, mut store) = (things::book(), things::store());
    flat(&mut store);
    book.fixings[0].accesses[0].side = Some(room(12.0));
    // All that is left is that its square cannot be spun.
    let found = judge::judge_plan(&book, &store, &plan());
    assert_eq!(found.iter().map(|v| v.code).collect::<Vec<_>>(), ["J411", "J411"]);
    kept::note(&found);
}

#[test]
fn stacks_that_nobody_would_build() {
    check("J401", |b, _, _| b.fixings[0].kind = FastenerKind::Union);
    let drives = |s: &mut Store| {
        let max = Torque::from_n_m(100.0);
        s.pieces[1].power = Some(PowerSource { speed_rpm: 400.0, max, clutch: vec![Torque::from_n_m(2.0)] });
    };
    check("J411", move |b, s, _| {
        drives(s);
        b.fixings[0].critical = true;
    });
    check("J411", move |b, s, _| {
        drives(s);
        b.fixings[0].history.push((HistoryCause::Corrosion, 1.4));
    });
    check("J414", |_, s, p| {
        let [small, large] = [PieceLink::Square6, PieceLink::Square10];
        for (key, from, to) in [("up", small, large), ("down", large, small)] {
            let links = (Some(from), Some(to));
            let blank = Piece { key: key.into(), grip: None, ..s.pieces[0].clone() };
            s.pieces.push(Piece { toward_fastener: links.0, toward_hand: links.1, ..blank });
            let at = p.stacks[0].pieces.len() - 1;
            p.stacks[0].pieces.insert(at, key.into());
        }
    });
}

#[test]
fn load_and_measure() {
    check("J409", |_, s, _| s.pieces[0].strength = Torque::from_n_m(16.8));
    check("J410", |b, _, _| b.stations[0].hand_force = Force::from_n(134.0));
    check("J410", |_, s, _| s.pieces[2].handle.as_mut().unwrap().arm = mm(1810.0));
    check("J411", |_, _, p| p.stacks[2].pieces[1] = "ratchet".into());
    check("J411", |_, _, p| p.stacks[0].pieces[1] = "wrench".into());
    check("J411", |_, s, _| {
        let measure = s.pieces[2].measure.as_mut().unwrap();
        measure.range = units::Range::new(Torque::from_n_m(2.0), Torque::from_n_m(50.0)).unwrap();
    });
    check("J412", |b, _, _| {
        b.openings[0].cap = None;
        b.fixings[0].accesses[0].drop_over.push(OpeningId::new(0));
    });
    check("J413", |_, _, p| p.stacks[0].hold.push("socket".into()));
    check("J413", |b, _, _| {
        let own = b.fixings[0].accesses[0].clone();
        let hold = CounterHold { drive: b.fixings[0].drive, grip_height: mm(6.0), access: Box::new(own) };
        b.fixings[0].accesses[0].counter_hold = Some(hold);
    });
}

#[test]
fn chains_and_their_figures() {
    check("J414", |_, _, p| p.stacks[0].pieces.reverse());
    check("J414", |_, s, _| s.pieces[1].toward_fastener = None);
    check("J415", |_, _, p| p.duties[0].seconds = 6.9);
    check("J416", |_, _, p| p.duties[3].setting_n_m = Some(8.0));
    check("J417", |_, _, p| p.duties[0].force_n = None);
    check("J418", |_, s, _| s.pieces[0].lent = 1);
}

#[test]
fn kit() {
    check("J501", |_, _, p| _ = p.kit.pieces.pop());
    check("J502", |_, _, p| p.kit.pieces[0].count = 2);
    check("J503", |_, _, p| p.kit.pieces[0].place.drawer = "2".into());
    check("J504", |_, _, p| p.kit.pieces.push(p.kit.pieces[0].clone()));
    check("J505", |_, _, p| p.kit.special.push(("pin".into(), "socket".into())));
    check("J506", |_, _, p| p.kit.pieces[0].duties = 1);
}

#[test]
fn strip_order() {
    check("J601", |_, _, p| _ = p.strip.steps.remove(5));
    check("J601", |_, _, p| p.strip.steps.push(p.strip.steps[5].clone()));
    check("J602", |_, _, p| p.strip.steps.swap(1, 2));
    check("J603", |_, _, p| p.strip.steps.swap(0, 1));
    check("J604", |_, _, p| _ = p.strip.steps.remove(3));
    check("J604", |_, _, p| p.strip.steps.swap(3, 4));
    check("J605", |_, _, p| p.strip.steps[1].actions.swap(0, 1));
    check("J606", |_, _, p| _ = p.strip.steps.remove(0));
    check("J613", |_, _, p| p.work.steps.clear());
    check("J614", |b, _, _| b.conditions[0].hold_up = units::Duration::from_s(60.0));
    check("J615", |_, _, p| p.strip.steps[5].kind = StepKind::Fill);
}

#[test]
fn refit_order() {
    check("J607", |_, _, p| p.refit.steps.rotate_left(2));
    check("J607", |_, _, p| _ = p.refit.steps.remove(0));
    check("J608", |_, _, p| p.refit.steps.swap(2, 3));
    check("J608", |_, _, p| _ = p.refit.steps.remove(2));
    check("J609", |_, _, p| p.refit.steps.swap(3, 4));
    check("J609", |_, _, p| _ = p.refit.steps.remove(4));
    check("J610", |_, _, p| _ = p.refit.steps.remove(5));
    check("J610", |b, _, _| b.fixings[0].tightening.closing_pass = true);
    check("J636", |b, _, _| b.fixings[0].world.tighten_after = vec![model::FixingId::new(0)]);
    for code in ["J302", "J801", "J711"] {
        check(code, |b, _, _| b.fixings[0].slackened = true);
    }
    check("J711", |b, _, _| b.parts[0].world.is_started_by_hand_first = true);
    check("J611", |_, _, p| _ = p.refit.steps.pop());
    check("J611", |_, _, p| p.refit.steps.swap(5, 6));
    check("J612", |_, _, p| p.refit.steps[4].actions[0].stack = Some("S3".into()));
    check("J616", |_, _, p| p.refit.steps.swap(4, 5));
    check("J617", |_, _, p| p.refit.steps[4].fixings.clear());
    check("J618", |b, _, _| b.fixings[0].accesses[0].station = Some(model::StationId::new(1)));
}

#[test]
fn a_stage_goes_round_the_joint_before_the_next() {
    let two_stages = |b: &mut Book, p: &mut Plan, holes: [&[&str]; 4]| {
        let stages = &mut b.fixings[0].tightening.stages;
        stages.insert(0, model::Stage { target: StageTarget::Seat, as_written: "seat".into() });
        p.duties[3].stage = Some(1);
        p.duties.push(p.duties[3].clone());
        (p.duties[6].stage, p.duties[6].torque_n_m) = (Some(0), None);
        let action = p.refit.steps[5].actions[0].clone();
        let turn = |(at, holes): (usize, &&[&str])| {
            let duty = if at % 2 == 0 { 6 } else { 3 };
            let holes = holes.iter().map(|h| (*h).into()).collect();
            model::plan::StepAction { duty, holes, ..action.clone() }
        };
        p.refit.steps[5].actions = holes.iter().enumerate().map(turn).collect();
    };
    let count = |holes| {
        let (mut book, mut plan) = (things::book(), plan());
        two_stages(&mut book, &mut plan, holes);
        let found = judge::judge_plan(&book, &things::store(), &plan);
        found.iter().filter(|v| v.code == "J610").count()
    };
    assert_eq!(count([&["1", "2"], &["1", "2"], &[], &[]]), 0);
    assert_eq!(count([&["1"], &["1"], &["2"], &["2"]]), 1);
}

#[test]
fn sums_and_figures() {
    check("J651", |_, _, p| p.strip.work_s += 1.0);
    check("J652", |_, _, p| p.refit.steps[0].number = 7);
    check("J653", |_, _, p| p.strip.steps[1].setup_s = 3.0);
    check("J654", |_, _, p| p.strip.steps[2].work_s = 5.0);
    check("J655", |_, _, p| p.strip.steps[2].wait_s = 5.0);
    check("J701", |_, _, p| p.refit.steps[5].actions[0].figure = Some("10 N·m".into()));
}

#[test]
fn sheets() {
    check("J801", |_, _, p| _ = p.slots.pop());
    check("J802", |_, _, p| p.slots[0].count = 3);
    check("J803", |_, _, p| {
        p.slots[1].keep = model::KeepPlace::Tray;
        p.slots[1].slot = p.slots[0].slot.clone();
    });
    check("J804", |_, _, p| p.slots[1].slot = model::SlotAddress::InHole);
    check("J805", |_, _, p| p.slots[0].renewed = true);
    check("J901", |_, _, p| p.duties[0].stack = None);
    // Not cited and not invented: the torque is assumed, and nothing that rests on it is proven.
    check("J908", |b, _, _| b.is_invented = false);
    check("J908", |b, _, _| {
        let mut figures = b.fixings[0].told_figures();
        figures.accesses[0].headroom = model::Known::Between(mm(60.0), mm(500.0));
        b.fixings[0] = b.fixings[0].clone().with_figures(figures);
    });
    check("J908", |_, _, p| p.duties[0].sure = model::ReachVerdict::No);
    check("J908", |_, _, p| p.duties[0].sure = model::ReachVerdict::NotKnown);
    check("J909", |_, _, p| p.readiness.coverage.proven = 2);
    check("J910", |_, _, p| p.readiness.verdict.refit = model::plan::ReadinessVerdict::Open);
    check("J910", |_, _, p| p.readiness.go = false);
    check("J911", |_, _, p| p.duties[0].sure = model::ReachVerdict::Likely);
    check("J902", |_, _, p| p.readiness.against.push("no socket".into()));
    check("J903", |b, _, _| {
        let supply = model::Supply { name: "gasket".into(), count: 1, price_cents: None, before_start: true };
        b.parts[0].renew_with.push(supply);
    });
    check("J904", |b, _, _| b.fixings[0].one_time = true);
    check("J907", |b, _, _| {
        b.fixings[0].tightening.stages = vec![model::Stage::figure_missing()];
    });
    check("J907", |_, _, p| p.readiness.against_refit.push("a figure".into()));
    check("J905", |_, _, p| p.readiness.caps.clear());
}
