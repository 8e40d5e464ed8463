//! States of a visit that the pages are shown in, each worked up to by what the bench itself writes.

use app::model::plan::StepKind;
use app::model::{FastenerState, SlotAddress};
use app::record::{
    EventPlace, MarkedHole, PieceDestination, PutInKind, VisitBody, VisitHappeningKind, steps_of,
};
use app::workshop::{SolverBudget, VisitId, Workshop};

use crate::visits::{EventPen, begin_little_visit, begin_planned_visit, demo_folder, next_step};

/// One task of the demo's book: half stripped, something lost, something seized, work interrupted.
pub(crate) fn demo_half_way(workshop: &mut Workshop) -> VisitId {
    let book = demo_folder().join("books/tern-24");
    let visit = begin_planned_visit(workshop, book, &["reseal-rocker-cover"]);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    let half = workshop.visit(&visit).unwrap().plan().unwrap().strip.steps.len() / 2;
    let step = loop {
        let step = next_step(workshop, &visit).expect("the second half undoes something");
        if step.number as usize > half && step.kind == StepKind::Undo {
            break step;
        }
        pen.tick(workshop).unwrap();
    };
    let at = EventPlace { step: Some(step.number), ..EventPlace::default() };
    let hole = step.actions.first().and_then(|action| action.holes.first()).cloned();
    let lost = VisitBody::Happened {
        what: VisitHappeningKind::Lost,
        at: at.clone(),
        words: String::from("one M6 flange nut, dropped behind the manifold"),
    };
    let seized = VisitBody::Happened {
        what: VisitHappeningKind::Seized,
        at: EventPlace { fixing: step.fixings.first().cloned(), hole, ..at.clone() },
        words: String::from("does not move at the figure; soaking overnight"),
    };
    let paused = VisitBody::Paused { words: String::from("Owner on the telephone."), at };
    pen.say(workshop, vec![lost, seized, paused]);
    visit
}

/// The first fasteners are off and in their slot.
pub(crate) fn strip_begun(workshop: &mut Workshop) -> VisitId {
    let visit = begin_little_visit(workshop);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    while next_step(workshop, &visit).is_some_and(|step| step.kind != StepKind::Remove) {
        pen.tick(workshop).unwrap();
    }
    visit
}

/// One bolt of the first step broke off; the rest is planned anew.
pub(crate) fn bolt_broken(workshop: &mut Workshop) -> VisitId {
    let visit = begin_little_visit(workshop);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    let step = next_step(workshop, &visit).unwrap();
    let fixing = step.fixings.first().unwrap().clone();
    let hole = String::from("2");
    let holes = vec![MarkedHole { hole: hole.clone(), from: FastenerState::InPlace }];
    let freed = VisitBody::Marked {
        fixing: fixing.clone(),
        holes,
        to: FastenerState::Freed,
        slot: None,
        stage: None,
    };
    let at = EventPlace {
        part: Some(String::from("cover")),
        fixing: Some(fixing),
        hole: Some(hole),
        step: Some(step.number),
        ..EventPlace::default()
    };
    let broken =
        VisitBody::Happened { what: VisitHappeningKind::Broken, at, words: String::from("below the head") };
    pen.say(workshop, vec![freed, broken]);
    let replan = workshop.prepare_replan(&visit, "a bolt broke off").unwrap();
    let remade = replan.plan_rest(SolverBudget::sized()).unwrap();
    assert!(workshop.adopt_plan(&remade).unwrap());
    visit
}

/// The first step that tightens is next; gives its number, and a slot of the job.
pub(crate) fn refit_begun(workshop: &mut Workshop) -> (VisitId, u32, SlotAddress) {
    let visit = begin_little_visit(workshop);
    let plan = workshop.visit(&visit).unwrap().plan().unwrap();
    let slot = steps_of(plan).find_map(|step| step.slot.clone()).unwrap();
    let mut pen = EventPen::of_workshop(workshop, &visit);
    loop {
        let step = next_step(workshop, &visit).expect("the job has a step that tightens");
        if step.kind == StepKind::Tighten {
            return (visit, step.number, slot);
        }
        pen.tick(workshop).unwrap();
    }
}

/// Every step is done.
pub(crate) fn finished(workshop: &mut Workshop) -> VisitId {
    let visit = begin_little_visit(workshop);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    while pen.tick(workshop).is_some() {}
    visit
}

/// Every step is done, and the visit is closed.
pub(crate) fn closed(workshop: &mut Workshop) -> VisitId {
    let visit = finished(workshop);
    let device = workshop.device().clone();
    let close = VisitBody::Closed { name: String::from("test hand") };
    workshop.carry_out_command(&visit, &device, &close.into()).unwrap();
    visit
}

/// Tools on the cart and lent, a rag put in, something found for the owner.
pub(crate) fn tools_out(workshop: &mut Workshop) -> VisitId {
    let visit = begin_little_visit(workshop);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    let plan = workshop.visit(&visit).unwrap().plan().unwrap();
    let pieces: Vec<String> = plan.kit.pieces.iter().map(|line| line.piece.clone()).collect();
    let [first, second, ..] = pieces.as_slice() else { panic!("a kit of two pieces: {pieces:?}") };
    let to_cart = VisitBody::Piece { piece: first.clone(), count: 1, to: PieceDestination::Cart };
    let whom = PieceDestination::Lent(String::from("the next bay"));
    let lent = VisitBody::Piece { piece: second.clone(), count: 1, to: whom };
    let rag = VisitBody::PutIn {
        what: PutInKind::Rag,
        words: String::from("rag"),
        count: 2,
        at: EventPlace { step: Some(1), ..EventPlace::default() },
    };
    let found = VisitBody::Found {
        words: String::from("cover is cracked at a corner"),
        price_from_cents: Some(4_000),
        price_to_cents: Some(5_500),
        if_left: String::from("it will weep oil"),
        task: None,
        at: EventPlace::default(),
    };
    pen.say(workshop, vec![to_cart, lent, rag, found]);
    visit
}
