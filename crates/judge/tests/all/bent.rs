//! Right plans, rests, calendars, cart loadings and claims of the small job, each bent in many ways and judged.

use super::note;
use crate::known::plan;
use crate::things;
use judge::calendar::{JudgedHours, JudgedLimits, JudgedSteps, judge_calendar};
use judge::worth::{WorthClaim, judge_worth};
use model::cart::{
    CART_FORMAT, CabinetWalk, CartLoad, CartPiece, CartPlacesLine, CartStage, CartTrip, HANDLE_S,
    StandingStackLine,
};
use model::plan::{DoubtedDuty, KitDoubt, Plan, RoomCounts, Step, StepKind, StepSequence};
use model::progress::{BegunWait, ExtraStep, FastenerProgress, JobPoint, Progress};
use model::{
    Book, FastenerState, HoldsBack, OutcomeUnit, RefitWait, SolverOutcome, SolverStanding, StorePlace, Way,
};
use units::{Duration, Money};

/// Every kind of step.
const KINDS: [StepKind; 18] = [
    StepKind::Open,
    StepKind::Drain,
    StepKind::Wait,
    StepKind::Undo,
    StepKind::Remove,
    StepKind::Cap,
    StepKind::Renew,
    StepKind::Inspect,
    StepKind::Measure,
    StepKind::Reseal,
    StepKind::Uncap,
    StepKind::Refit,
    StepKind::RunIn,
    StepKind::Tighten,
    StepKind::Fill,
    StepKind::Restore,
    StepKind::Extra,
    StepKind::Set,
];

/// Changes of one step.
const STEP_CHANGES: &[fn(&mut Step)] = &[
    |s| s.part = None,
    |s| s.part = Some("unit".into()),
    |s| s.part = Some("cover".into()),
    |s| s.fixings.clear(),
    |s| s.condition = None,
    |s| s.opening = None,
    |s| s.task = None,
    |s| s.extra = Some("drill".into()),
    |s| s.extra = Some("nothing".into()),
    |s| s.actions.clear(),
    |s| s.actions.iter_mut().for_each(|a| _ = a.holes.pop()),
    |s| s.actions.reverse(),
    |s| s.actions.extend(s.actions.clone()),
    |s| s.actions.iter_mut().for_each(|a| a.stack = None),
    |s| s.number += 1,
    |s| s.setup_s += 5.0,
    |s| s.work_s += 5.0,
    |s| s.wait_s += 5.0,
    |s| s.station = "below".into(),
];

/// The three sequences of a plan, by number.
fn sequence(plan: &mut Plan, at: usize) -> &mut StepSequence {
    match at {
        0 => &mut plan.strip,
        1 => &mut plan.work,
        _ => &mut plan.refit,
    }
}

/// The plan bent in every way: each step left out, doubled, moved, of another kind, and changed in each of its fields.
fn bent_plans(right: &Plan) -> Vec<Plan> {
    let mut all = Vec::new();
    for of in 0..3 {
        for at in 0..sequence(&mut right.clone(), of).steps.len() {
            let mut bend = |change: &dyn Fn(&mut Vec<Step>)| {
                let mut bent = right.clone();
                change(&mut sequence(&mut bent, of).steps);
                all.push(bent);
            };
            bend(&|steps| _ = steps.remove(at));
            bend(&|steps| steps.insert(at, steps[at].clone()));
            bend(&|steps| steps[..=at].rotate_right(1));
            bend(&|steps| steps[at..].rotate_left(1));
            for kind in KINDS {
                bend(&|steps| steps[at].kind = kind);
            }
            for change in STEP_CHANGES {
                bend(&|steps| change(&mut steps[at]));
            }
        }
    }
    all
}

pub fn bend_plans() {
    let (book, store) = (things::book(), things::store());
    for bent in bent_plans(&plan()) {
        note(&judge::judge_plan(&book, &store, &bent));
    }
}

/// The book as it is, and with waits, a closing pass and two stages.
fn books() -> Vec<Book> {
    let waiting = || {
        let mut book = things::book();
        book.conditions[0].hold_up = Duration::from_s(60.0);
        let time = Duration::from_s(600.0);
        let wait = |holds_back| RefitWait { title: "sealant cures".into(), time, holds_back };
        book.parts[1].refit_waits = vec![wait(HoldsBack::NextPart), wait(HoldsBack::Filling)];
        book.parts[0].refit_waits = vec![wait(HoldsBack::Tightening), wait(HoldsBack::Filling)];
        book
    };
    let mut staged = things::book();
    let tightening = &mut staged.fixings[0].tightening;
    tightening.stages.push(tightening.stages[0].clone());
    tightening.closing_pass = true;
    vec![things::book(), waiting(), staged]
}

fn extra(key: &str, after: JobPoint, before: JobPoint) -> ExtraStep {
    ExtraStep {
        key: key.into(),
        text: "Drill it out.".into(),
        part: Some("cover".into()),
        fixing: Some("bolts".into()),
        holes: vec!["1".into()],
        work_s: 60.0,
        hold_up_s: 900.0,
        after,
        before,
        brings_out: true,
        helper: false,
        done: false,
    }
}

/// Every point of the job that an extra step may come after or before.
fn points() -> Vec<JobPoint> {
    vec![
        JobPoint::Any,
        JobPoint::Undo("bolts".into()),
        JobPoint::PartOff("cover".into()),
        JobPoint::PartOn("cover".into()),
        JobPoint::RunIn("bolts".into()),
        JobPoint::Tighten("bolts".into()),
        JobPoint::Task("look".into()),
        JobPoint::Extra("soak".into()),
        JobPoint::Refit,
    ]
}

/// Half-done jobs: the first steps done, fasteners in other states, waits that run, extra steps.
fn half_done(book: &Book, plan: &Plan) -> Vec<Progress> {
    let steps: Vec<&Step> =
        [&plan.strip, &plan.work, &plan.refit].into_iter().flat_map(|s| &s.steps).collect();
    let mut all = vec![Progress::default()];
    for step in &steps {
        let mut next = all.last().cloned().unwrap_or_default();
        next.do_step(book, plan, step);
        all.push(next);
    }
    let states =
        [FastenerState::Broken, FastenerState::Missing, FastenerState::Freed, FastenerState::FingerTight];
    for state in states {
        let mut next = Progress::default();
        next.set_fastener("bolts", "1", FastenerProgress { state, passes: 1 });
        all.push(next);
    }
    let condition = Some(String::from("battery"));
    let running = vec![BegunWait { condition, part: None, wait: 0, left_s: 600.0 }];
    let conditions = [String::from("battery")].into();
    all.push(Progress { running, conditions, ..Progress::default() });
    for (at, point) in points().into_iter().enumerate() {
        let before = points().into_iter().nth_back(at).unwrap_or_default();
        let soak = ExtraStep { done: at % 2 == 0, ..extra("soak", JobPoint::Any, JobPoint::Any) };
        all.push(Progress { extra: vec![extra("drill", point, before), soak], ..Progress::default() });
    }
    all
}

/// A plan that also does the extra steps, soaking first.
fn with_extra_steps(right: &Plan) -> Plan {
    let mut plan = right.clone();
    let step = |key: &str, work_s| {
        let like = right.strip.steps[0].clone();
        Step { kind: StepKind::Extra, extra: Some(key.into()), condition: None, work_s, ..like }
    };
    plan.strip.steps.splice(1..1, [step("soak", 60.0), step("drill", 50.0), step("drill", 60.0)]);
    plan
}

pub fn bend_rests() {
    let (store, right) = (things::store(), plan());
    let extended = with_extra_steps(&right);
    let bent = bent_plans(&right);
    assert_eq!(judge::judge_rest(&things::book(), &store, &right, &Progress::default()), []);
    for book in books() {
        for progress in half_done(&book, &right) {
            note(&judge::judge_rest(&book, &store, &extended, &progress));
            note(&judge::judge_rest(&book, &store, &right, &progress));
        }
        let begun = half_done(&book, &right).swap_remove(4);
        for plan in &bent {
            note(&judge::judge_rest(&book, &store, plan, &Progress::default()));
            note(&judge::judge_rest(&book, &store, plan, &begun));
        }
    }
}

const HOURS: JudgedHours = JudgedHours {
    opens_s: 28_800.0,
    open_s: 28_800.0,
    days: [true, true, true, true, true, false, false],
    first_day: 0,
    start_s: 28_800.0,
    interruption_fraction: 0.0,
};

/// The steps of the small job one after the other from eight in the morning.
fn right_calendar(plan: &Plan) -> Vec<JudgedSteps> {
    let mut start_s = HOURS.start_s;
    let steps = [&plan.strip, &plan.work, &plan.refit].into_iter().flat_map(|s| &s.steps);
    steps
        .map(|step| {
            let end_s = start_s + step.setup_s + step.work_s;
            let slot = JudgedSteps { steps: vec![step.number], start_s, end_s };
            start_s = end_s;
            slot
        })
        .collect()
}

pub fn bend_calendars() {
    let (store, plan) = (things::store(), plan());
    let right = right_calendar(&plan);
    let hour_s = HOURS.start_s + 3_600.0;
    let late = JudgedLimits {
        arrivals: ["cover", "unit", "look"].map(|what| (what.to_owned(), hour_s)).to_vec(),
        gaps: vec![("cover".into(), 1.0), ("unit".into(), 1.0)],
    };
    let judged = |book: &Book, slots: &[JudgedSteps], limits: &JudgedLimits| {
        judge_calendar(book, &store, &plan, &HOURS, slots, limits)
    };
    assert_eq!(judged(&things::book(), &right, &JudgedLimits::default()), []);
    note(&judged(&things::book(), &right, &late));
    for book in books() {
        for at in 0..right.len() {
            let bend = |change: &dyn Fn(&mut Vec<JudgedSteps>)| {
                let mut bent = right.clone();
                change(&mut bent);
                note(&judged(&book, &bent, &JudgedLimits::default()));
            };
            bend(&|slots| _ = slots.remove(at));
            bend(&|slots| slots.insert(at, slots[at].clone()));
            bend(&|slots| slots[at].steps = vec![99]);
            bend(&|slots| slots[..=at].rotate_right(1));
            bend(&|slots| slots[at].end_s = slots[at].start_s);
        }
    }
}

/// One walk brings all three pieces for the whole job.
fn right_loading() -> CartLoad {
    let own = |all: &[&str]| all.iter().map(|key| (*key).to_owned()).collect::<Vec<_>>();
    let line = |key: &str, steps| CartPiece {
        piece: key.into(),
        title: key.into(),
        place: StorePlace { cabinet: "A".into(), drawer: "1".into() },
        count: 1,
        steps,
        brought: 1,
    };
    let all = own(&["ratchet", "socket", "wrench"]);
    let seconds = times::WALK_S + 3.0 * HANDLE_S;
    CartLoad {
        format: CART_FORMAT.into(),
        book: "bench".into(),
        store_title: "invented store".into(),
        currency: "EUR".into(),
        places: 3,
        walks: vec![CabinetWalk { cabinet: "A".into(), seconds: times::WALK_S }],
        pieces: vec![line("ratchet", 2), line("socket", 3), line("wrench", 1)],
        stages: vec![CartStage {
            from_step: 2,
            to_step: 14,
            trips: vec![CartTrip { cabinet: "A".into(), bring: all.clone() }],
            now: own(&["ratchet", "socket"]),
            next: own(&["wrench"]),
            back: all,
            places: 3,
            seconds,
        }],
        trips: 1,
        brought: 3,
        outcome: SolverOutcome {
            standing: SolverStanding::Found,
            value: seconds,
            bound: 0.0,
            unit: OutcomeUnit::Seconds,
            effort: 0,
        },
        standing: Vec::new(),
        second_pieces: Vec::new(),
        others: Vec::new(),
    }
}

fn standing(stack: &str, pieces: &[&str]) -> StandingStackLine {
    let pieces = pieces.iter().map(|p| (*p).into()).collect();
    StandingStackLine { stacks: vec![stack.into()], pieces, uses: 1, saves_s: 99.0 }
}

/// Changes of a loading.
const LOADING_CHANGES: &[fn(&mut CartLoad)] = &[
    |l| l.book = "another".into(),
    |l| l.stages[0].next.push("spoon".into()),
    |l| l.stages[0].to_step = 4,
    |l| l.stages[0].from_step = 3,
    |l| l.places = 1,
    |l| l.stages[0].places += 1,
    |l| l.stages[0].now.clear(),
    |l| l.stages[0].back.clear(),
    |l| l.stages.extend(l.stages.clone()),
    |l| l.stages[0].back.push("wrench".into()),
    |l| {
        l.stages[0].back.push("wrench".into());
        l.stages.extend(l.stages.clone());
    },
    |l| l.stages[0].trips[0].cabinet = "B".into(),
    |l| l.stages[0].trips[0].bring.clear(),
    |l| l.stages[0].trips.clear(),
    |l| l.stages[0].seconds -= 1.0,
    |l| l.trips += 1,
    |l| l.outcome.value -= 1.0,
    |l| l.others = vec![CartPlacesLine { places: 3, trips: 2, seconds: 1.0 }],
    |l| _ = l.pieces.pop(),
    |l| l.pieces[0].brought += 1,
    |l| l.standing = vec![standing("S1", &["socket"])],
    |l| l.standing = vec![standing("S1", &["ratchet", "socket"])],
];

pub fn bend_cart_loadings() {
    let (store, plan) = (things::store(), plan());
    assert_eq!(judge::judge_cart(&store, &plan, &right_loading()), []);
    for change in LOADING_CHANGES {
        let mut bent = right_loading();
        change(&mut bent);
        note(&judge::judge_cart(&store, &plan, &bent));
    }
}

/// Changes of a claim and of the book that it is about.
const CLAIM_CHANGES: &[fn(&mut Book, &mut WorthClaim<'static>)] = &[
    |_, c| c.added.push("no-such-task"),
    |_, c| c.parts.push(("no-such-part", None)),
    |_, c| c.conditions.push("no-such-condition"),
    |_, c| c.parts[0].1 = Some("no-such-way"),
    |_, c| c.parts.clear(),
    |_, c| c.conditions.clear(),
    |b, _| b.conditions[0].needs = b.parts[0].needs.clone(),
    |b, c| {
        let way = |key: &str| Way { key: key.into(), title: key.into(), needs: Vec::new(), station: None };
        b.parts[0].ways = vec![way("above"), way("below")];
        b.fixings[0].accesses[0].way = Some(0);
        c.parts[0].1 = Some("below");
    },
    |_, c| c.value = c.value + Money::from_cents(2_000),
];

pub fn bend_claims() {
    let claim = || WorthClaim {
        must: vec!["look"],
        added: Vec::new(),
        parts: vec![("cover", None), ("unit", None)],
        conditions: vec!["battery"],
        worth: Vec::new(),
        rate_per_h: Money::from_cents(6_000),
        value: Money::from_cents(-500),
    };
    for change in CLAIM_CHANGES {
        let (mut book, mut bent) = (things::book(), claim());
        change(&mut book, &mut bent);
        note(&judge_worth(&book, &bent));
    }
}

/// A plan of an exact book that tells of rooms in doubt, which there are not.
pub fn bend_doubts() {
    let duty = |p: &Plan| {
        let duty = &p.duties[0];
        let (fixing, access) = (duty.fixing.clone(), duty.access);
        DoubtedDuty {
            fixing,
            access,
            act: duty.act,
            stage: duty.stage,
            rooms: 8,
            by_stack: 4,
            by_kit: 6,
            instead: Vec::new(),
        }
    };
    let fasteners = RoomCounts { every: 1, ..RoomCounts::default() };
    for is_likely in [false, true] {
        let mut bent = plan();
        let told = duty(&bent);
        if is_likely {
            bent.duties[0].sure = model::ReachVerdict::Likely;
        }
        bent.kit.doubt = Some(KitDoubt { fasteners, duties: vec![told] });
        bent.kit.pieces[0].rooms = 3;
        note(&judge::judge_plan(&things::book(), &things::store(), &bent));
    }
}
