//! Method sheet: the job as an illustrated procedure, from a plan or from a visit with its notes and pictures.

use model::plan::{Step, StepKind};
use print::paper::{Block, Sheet};

use super::jobs::side_by_side;
use super::words::{self, SERVICE_DATA, flow, foot, phase_at, sentence, step_line};
use super::{Job, Kind, NoPaper};
use crate::{draw, text, titles};

/// Height of a drawing beside its step.
const DRAWING_MM: f64 = 40.0;
/// Height of a picture.
const PHOTO_MM: f64 = 70.0;

pub(super) fn sheets(job: &Job<'_>) -> Result<Vec<Sheet>, NoPaper> {
    let phases = words::phases(job.plan);
    if phases.iter().all(|(_, steps)| steps.is_empty()) {
        return Err(NoPaper::Nothing { kind: Kind::Method, words: "the plan has no steps" });
    }
    let mut blocks = opening(job);
    let mut shown: Vec<String> = Vec::new();
    for (phase, steps) in phases {
        let mut station = "";
        for step in steps {
            if step.station != station {
                station = &step.station;
                blocks.push(Block::Heading(phase_at(job.book, phase, station)));
            }
            blocks.push(one(job, step, &mut shown));
            blocks.extend(told(job, step));
        }
    }
    let tasks: Vec<String> = job.plan.asked.tasks.iter().map(|t| titles::task(job.book, t)).collect();
    Ok(vec![flow("Method sheet", &tasks.join(", "), foot(job, &[]), blocks)])
}

/// What the job is, how long it takes, what to mind before the first step.
fn opening(job: &Job<'_>) -> Vec<Block> {
    let plan = job.plan;
    let time = text::table::spoken(plan.total_s());
    let mut blocks = vec![
        Block::Text(format!("{} {}", job.book.title, sentence(&job.book.origin))),
        Block::Text(format!(
            "{} come off; about {time} of hands-on work and waiting in {} steps.",
            words::count(plan.way_in.parts.len(), "part"),
            journal::steps_of(plan).count()
        )),
    ];
    let cautions: Vec<&model::Caution> = job.book.stations.iter().flat_map(|s| s.cautions.iter()).collect();
    blocks.extend(cautions.into_iter().map(words::caution));
    blocks.push(Block::Small(SERVICE_DATA.into()));
    blocks.push(Block::Picture { drawing: draw::timeline_drawing(job.book, plan), height_mm: 90.0 });
    blocks
}

/// One step, with a drawing where it brings a stack or a pattern not shown before.
fn one(job: &Job<'_>, step: &Step, shown: &mut Vec<String>) -> Block {
    let mut drawings = Vec::new();
    if step.kind == StepKind::Tighten {
        let drawing = draw::pattern_picture(job.book, job.plan, step);
        drawings.extend(drawing.map(|drawing| Block::Picture { drawing, height_mm: DRAWING_MM }));
    }
    for (id, duty, _) in words::stacks(core::iter::once(step)) {
        let known = job.plan.duties.get(duty).map(|d| format!("{id} {} {}", d.fixing, d.access));
        let Some(known) = known.filter(|k| !shown.contains(k)) else { continue };
        shown.push(known);
        let Some(drawing) = draw::duty_picture(job.book, job.store, job.plan, duty) else { continue };
        let words = job.plan.stacks.iter().find(|s| s.id == id).map_or("", |s| s.words.as_str());
        drawings.push(Block::Together(vec![
            Block::Picture { drawing, height_mm: DRAWING_MM },
            Block::Small(format!("{id}: {words}")),
        ]));
    }
    let mut blocks = vec![Block::Steps(vec![step_line(job, step)])];
    let tip = step.part.as_deref().and_then(|key| job.book.part_by_key(key));
    if step.kind == StepKind::Remove
        && let Some(tip) = tip.and_then(|id| job.book.part(id).tip.clone())
    {
        blocks.push(Block::Small(sentence(&tip)));
    }
    blocks.extend(side_by_side(drawings, 2));
    Block::Together(blocks)
}

/// What the visit knows of a step: notes, happenings, pictures.
fn told(job: &Job<'_>, step: &Step) -> Vec<Block> {
    let Some(visit) = &job.visit else { return Vec::new() };
    let here = |at: &journal::At| at.step == Some(step.number);
    let notes = visit.state.notes.iter().filter(|n| here(&n.at)).map(|n| sentence(&n.words));
    let happenings = visit.state.happenings.values().filter(|h| here(&h.at) && !h.words.is_empty());
    let mut blocks: Vec<Block> =
        notes.chain(happenings.map(|h| sentence(&h.words))).map(Block::Text).collect();
    for picture in visit.state.pictures.iter().filter(|p| here(&p.at)) {
        if let Some(jpeg) = visit.photos.get(&picture.picture.to_string()) {
            let caption = format!("Step {}, {}", step.number, words::time(job, picture.stamp.at_ms));
            blocks.push(Block::Photo { jpeg: jpeg.clone(), caption, height_mm: PHOTO_MM });
        }
    }
    blocks
}
