//! A plan made by hand, every figure worked out on paper from [`model::rules`].
//!
//! Engagement 6 mm, top 47 mm, arm plane 33 mm; stroke 120°. Free `2.5 + 0.9`, run out `2.5 + 36 · 0.9 + 3.8`, run in
//! `7.5 + 32 · 0.9`, tighten `2.5 + 0.9 + 1.5`, by hand `3.6`, all in seconds for one fastener.

use crate::things;
use model::plan::{
    CapLine, ConditionMade, Coverage, DutyLine, Kit, KitLine, KitObjective, PLAN_FORMAT, PartOff, Plan,
    PlanInputs, Readiness, ReadinessVerdict, ReadinessVerdicts, SlotLine, StackLine, Step, StepAction,
    StepKind, StepName, StepSequence, WayIn,
};
use model::{
    Act, Book, HoleOrderOrigin, KeepPlace, OutcomeUnit, ReachVerdict, SlotAddress, SolverOutcome,
    SolverStanding, StorePlace,
};

pub fn outcome() -> SolverOutcome {
    SolverOutcome {
        standing: SolverStanding::Found,
        value: 0.0,
        bound: 0.0,
        unit: OutcomeUnit::Seconds,
        effort: 0,
    }
}

pub fn plan() -> Plan {
    let off = |part: &str| PartOff { part: part.into(), way: None, because: Vec::new() };
    let plan = Plan {
        format: PLAN_FORMAT.into(),
        book: "bench".into(),
        book_title: "invented bench".into(),
        store_title: "invented store".into(),
        currency: "EUR".into(),
        asked: PlanInputs {
            vehicle: "A".into(),
            tasks: vec!["look".into()],
            objective: KitObjective::LeastToCarry,
            seed: 1,
            threads: 1,
            seconds: None,
            stop_after_s: None,
            goal: None,
        },
        way_in: WayIn {
            parts: vec![off("cover"), off("unit")],
            conditions: vec![ConditionMade { condition: "battery".into(), because: Vec::new() }],
            outcome: outcome(),
            also_open: Vec::new(),
        },
        duties: duties(),
        stacks: vec![
            stack("S1", &["socket", "ratchet"]),
            stack("S2", &[]),
            stack("S3", &["socket", "wrench"]),
        ],
        kit: Kit {
            pieces: vec![kit_line("ratchet", 3), kit_line("socket", 4), kit_line("wrench", 1)],
            special: Vec::new(),
            outcome: outcome(),
            doubt: None,
        },
        strip: strip(),
        work: sequence(vec![work_step()]),
        refit: refit(),
        slots: vec![
            slot(&things::book(), "bolts", "A-T1-01", KeepPlace::Tray, 2),
            slot(&things::book(), "plug", "on part", KeepPlace::OnPart, 1),
        ],
        mix_ups: Vec::new(),
        readiness: readiness(),
        amiss: Vec::new(),
        course: None,
    };
    crate::spoken::spoken(&things::book(), plan)
}

/// Torque, time, setting and force of a duty.
pub type DutyNumbers = (Option<f64>, f64, Option<f64>, Option<f64>);

pub fn duty(fixing: &str, act: Act, stage: Option<u8>, stack: &str, figures: DutyNumbers) -> DutyLine {
    DutyLine {
        fixing: fixing.into(),
        access: 0,
        act,
        stage,
        torque_n_m: figures.0,
        stack: Some(stack.into()),
        sure: ReachVerdict::Proven,
        rests_on: Vec::new(),
        seconds: figures.1,
        setting_n_m: figures.2,
        force_n: figures.3,
        hole_order: (act == Act::Tighten).then_some(HoleOrderOrigin::Positions),
    }
}

fn duties() -> Vec<DutyLine> {
    vec![
        duty("bolts", Act::Free, None, "S1", (Some(13.5), 6.8, None, Some(135.0))),
        duty("bolts", Act::RunOut, None, "S1", (Some(2.25), 77.4, None, Some(22.5))),
        duty("bolts", Act::RunIn, None, "S1", (Some(2.25), 72.6, None, Some(22.5))),
        duty("bolts", Act::Tighten, Some(0), "S3", (Some(9.0), 9.8, Some(9.0), Some(60.0))),
        duty("plug", Act::Free, None, "S2", (None, 3.6, None, None)),
        duty("plug", Act::RunIn, None, "S2", (None, 3.6, None, None)),
    ]
}

pub fn stack(id: &str, pieces: &[&str]) -> StackLine {
    let pieces: Vec<String> = pieces.iter().map(|p| (*p).into()).collect();
    let store = things::store();
    let shape = |key: &String| store.pieces.iter().find(|piece| piece.key == *key).map(Into::into);
    let shapes = pieces.iter().filter_map(shape).collect();
    let words = match id {
        "S1" => "10 mm 1/4 in, ratchet",
        "S2" => "bare hand",
        _ => "10 mm 1/4 in, wrench",
    };
    StackLine { id: id.into(), pieces, shapes, hold: Vec::new(), words: words.into() }
}

pub fn kit_line(key: &str, duties: u32) -> KitLine {
    let place = StorePlace { cabinet: "A".into(), drawer: "1".into() };
    KitLine { piece: key.into(), title: key.into(), count: 1, place, duties, rooms: 0 }
}

pub fn slot(book: &Book, fixing: &str, slot: &str, keep: KeepPlace, count: u16) -> SlotLine {
    let it = book.fixings.iter().find(|f| f.key == fixing).expect("the book has it");
    SlotLine {
        fixing: fixing.into(),
        slot: SlotAddress::parse(slot).expect("an address of this test"),
        keep,
        count,
        renewed: false,
        kind: it.kind,
        size: String::new(),
        drive: it.drive,
    }
}

pub fn readiness() -> Readiness {
    let cap =
        CapLine { opening: "port".into(), cap: Some("plug".into()), count: 1, uncovered_by: "cover".into() };
    Readiness {
        coverage: Coverage { proven: 3, ..Coverage::default() },
        proven_by_class: 0,
        verdict: ReadinessVerdicts {
            first_bolt: ReadinessVerdict::Go,
            refit: ReadinessVerdict::Go,
            first_start: ReadinessVerdict::Go,
        },
        go: true,
        open: Vec::new(),
        looks: Vec::new(),
        assumed: Vec::new(),
        book_note: None,
        against_refit: Vec::new(),
        figures_missing: Vec::new(),
        against: Vec::new(),
        gaps: Vec::new(),
        shopping: Vec::new(),
        not_at_hand: Vec::new(),
        supplies: Vec::new(),
        rescue: Vec::new(),
        caps: vec![cap],
        safety: Vec::new(),
        brittle: Vec::new(),
    }
}

pub fn step(number: u32, kind: StepKind, part: Option<&str>, (setup_s, work_s): (f64, f64)) -> Step {
    Step {
        number,
        name: StepName::default(),
        kind,
        station: "front".into(),
        text: String::new(),
        part: part.map(Into::into),
        fixings: Vec::new(),
        condition: None,
        opening: None,
        task: None,
        extra: None,
        actions: Vec::new(),
        slot: None,
        setup_s,
        work_s,
        wait_s: 0.0,
        cautions: Vec::new(),
        helper: false,
        sets: Vec::new(),
    }
}

pub fn with(step: Step, fixing: &str, actions: &[(usize, &[&str], &str, Option<&str>)]) -> Step {
    let action = |(duty, holes, stack, figure): &(usize, &[&str], &str, Option<&str>)| StepAction {
        duty: *duty,
        holes: holes.iter().map(|h| (*h).into()).collect(),
        stack: Some((*stack).into()),
        figure: figure.map(Into::into),
    };
    Step { fixings: vec![fixing.into()], actions: actions.iter().map(action).collect(), ..step }
}

pub fn sequence(steps: Vec<Step>) -> StepSequence {
    StepSequence::of_steps(steps)
}

fn strip() -> StepSequence {
    let both: &[&str] = &["2", "1"];
    let open = Step { condition: Some("battery".into()), ..step(1, StepKind::Open, None, (0.0, 8.0)) };
    let undo = step(2, StepKind::Undo, Some("cover"), (11.0, 84.2));
    let cap = Step { opening: Some("port".into()), ..step(4, StepKind::Cap, Some("cover"), (0.0, 6.0)) };
    sequence(vec![
        open,
        with(undo, "bolts", &[(0, both, "S1", None), (1, both, "S1", None)]),
        step(3, StepKind::Remove, Some("cover"), (0.0, 6.0)),
        cap,
        with(step(5, StepKind::Undo, Some("unit"), (5.8, 3.6)), "plug", &[(4, &["1"], "S2", None)]),
        step(6, StepKind::Remove, Some("unit"), (0.0, 4.0)),
    ])
}

fn work_step() -> Step {
    Step { task: Some("look".into()), ..step(7, StepKind::Inspect, None, (0.0, 30.0)) }
}

fn refit() -> StepSequence {
    let both: &[&str] = &["1", "2"];
    let uncap = Step { opening: Some("port".into()), ..step(10, StepKind::Uncap, Some("cover"), (3.0, 6.0)) };
    let restore = Step { condition: Some("battery".into()), ..step(14, StepKind::Restore, None, (0.0, 9.0)) };
    let tighten = step(13, StepKind::Tighten, Some("cover"), (5.4, 9.8));
    sequence(vec![
        step(8, StepKind::Refit, Some("unit"), (3.0, 5.0)),
        with(step(9, StepKind::RunIn, Some("unit"), (0.0, 3.6)), "plug", &[(5, &["1"], "S2", None)]),
        uncap,
        step(11, StepKind::Refit, Some("cover"), (0.0, 7.0)),
        with(step(12, StepKind::RunIn, Some("cover"), (8.0, 72.6)), "bolts", &[(2, both, "S1", None)]),
        with(tighten, "bolts", &[(3, both, "S3", Some("9 N·m"))]),
        restore,
    ])
}

#[test]
fn a_right_plan_breaks_no_rule() {
    let found = judge::judge_plan(&things::book(), &things::store(), &plan());
    assert!(found.is_empty(), "{}", found.iter().map(|v| format!("{v}\n")).collect::<String>());
}
