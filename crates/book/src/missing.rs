//! What a book does not tell yet, and what each of it would bring; apart from what is wrong with it.

use model::{Book, DriveForm, FigureGrade, Fixing, FixingId, StageTarget};
use serde::Serialize;

/// Something that a book does not tell.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MissingFigures {
    /// What is not told: "the room".
    pub figure: &'static str,
    /// What it would bring.
    pub brings: &'static str,
    /// For how many fasteners, or parts.
    pub count: usize,
    /// What is counted: `fastener`, `part`, `task`, `station`.
    pub of: &'static str,
    /// Keys of the fixings, parts, tasks or stations, in the order of the book.
    pub keys: Vec<String>,
}

/// A question to every fixing.
type FixingQuestion = (&'static str, &'static str, fn(&Book, FixingId, &Fixing) -> bool);

/// What is asked of fixings, in the order in which it helps most.
const FIXING_QUESTIONS: &[FixingQuestion] = &[
    ("the drive", "which tools to lay out", |_, _, fixing| fixing.drive.form() == DriveForm::NotKnown),
    ("the room", "whether a tool reaches; one word of five is enough", |book, id, fixing| {
        let accesses = 0..u16::try_from(fixing.accesses.len()).unwrap_or(u16::MAX);
        fixing.drive.is_turned()
            && accesses
                .into_iter()
                .any(|access| book.reach_doubts(id, access).not_known.contains(&"the room"))
    }),
    (
        "the tightening figure",
        "that it can end tight; until then it stays run in and open",
        |_, _, fixing| fixing.is_figure_missing(),
    ),
    ("the citation of the tightening figure", "that the figure counts as firm", |book, _, fixing| {
        let by_figure =
            |stage: &model::Stage| matches!(stage.target, StageTarget::Torque(_) | StageTarget::Angle(_));
        fixing.tightening.stages.iter().any(by_figure)
            && book.tightening_grade(fixing) == FigureGrade::Assumed
    }),
    ("how far the stud stands above the nut", "whether a plain socket takes hold", |_, _, fixing| {
        fixing.drive.is_turned() && !fixing.told_figures().protrusion.is_known()
    }),
    ("the property class", "that look-alikes of another class are told apart", |_, _, fixing| {
        let by_torque = fixing.tightening.stages.iter().any(|stage| stage.target.torque().is_some());
        fixing.kind == model::FastenerKind::Bolt && by_torque && fixing.class.is_none()
    }),
    ("the price of a new fastener", "a shopping list with its sum", |_, _, fixing| {
        fixing.one_time && fixing.price.is_none()
    }),
    ("the thread", "which torque is plausible, and which fasteners can be mixed up", |_, _, fixing| {
        fixing.wants_tightening() && fixing.thread.is_none()
    }),
    ("the places of the holes", "an order of tightening, and hole cards", |_, _, fixing| {
        fixing.holes.len() > 2 && !fixing.are_places_known && fixing.kind.clamps_a_face()
    }),
];

/// What a book does not tell, most useful first.
#[must_use]
pub fn list_missing_figures(book: &Book) -> Vec<MissingFigures> {
    let of_fixings = FIXING_QUESTIONS.iter().map(|(figure, brings, asks)| {
        let open = book.fixing_ids().filter(|id| asks(book, *id, book.fixing(*id)));
        let open: Vec<&Fixing> = open.map(|id| book.fixing(id)).collect();
        MissingFigures {
            figure,
            brings,
            count: open.iter().map(|fixing| fixing.holes.len()).sum(),
            of: "fastener",
            keys: open.iter().map(|fixing| fixing.key.clone()).collect(),
        }
    });
    let of = |figure, brings, of, keys: Vec<String>| MissingFigures {
        figure,
        brings,
        count: keys.len(),
        of,
        keys,
    };
    let parts = |is_open: fn(&model::Part) -> bool| {
        book.parts.iter().filter(|part| is_open(part)).map(|part| part.key.clone()).collect::<Vec<_>>()
    };
    let tasks = book.tasks.iter().filter(|task| !task.work.is_known()).map(|task| task.key.clone()).collect();
    let times = parts(|part| !part.lift_time.is_known() || !part.place_time.is_known());
    let others = [
        of("the mass", "who lifts it", "part", parts(|part| !part.mass.is_known())),
        of("times to lift off and to set in place", "a finish that is not assumed", "part", times),
        of("the time of the work itself", "a finish that is not assumed", "task", tasks),
    ];
    of_fixings.chain(others).filter(|missing| missing.count > 0).collect()
}
