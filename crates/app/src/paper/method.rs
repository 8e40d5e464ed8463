//! Method sheet: the job as an illustrated procedure, from a plan or from a visit with its notes and pictures.

use model::plan::{Step, StepKind};
use print::paper::{PaperBlock, PaperSheet};

use super::words::{
    self, SERVICE_DATA, as_sentence, flow_sheet, phase_heading, step_line, title_block_cells,
};
use super::{PaperJob, SheetError, SheetKind};
use crate::job_hours::hours_words;
use crate::text::table::count_with_noun;
use crate::{draw, titles};

/// Height of a drawing beside its step.
const DRAWING_MM: f64 = 80.0;
/// Height of a picture.
const PHOTO_MM: f64 = 70.0;

pub(super) fn method_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let phases = job.plan.sequences();
    if phases.iter().all(|(_, sequence)| sequence.steps.is_empty()) {
        return Err(SheetError::Nothing { kind: SheetKind::Method, words: "the plan has no steps" });
    }
    let mut blocks = opening_blocks(job);
    let mut shown: Vec<String> = Vec::new();
    for (phase, sequence) in phases {
        let mut station = "";
        for step in &sequence.steps {
            if step.station != station {
                station = &step.station;
                blocks.push(PaperBlock::Heading(phase_heading(job.book, phase, station)));
            }
            blocks.push(step_block(job, step, &mut shown));
            blocks.extend(visit_remarks(job, step));
        }
    }
    let tasks: Vec<String> = job.plan.asked.tasks.iter().map(|t| titles::task_title(job.book, t)).collect();
    Ok(vec![flow_sheet("Method sheet", &tasks.join(", "), title_block_cells(job, &[]), blocks)])
}

/// What the job is, how long it takes, what to watch for before the first step.
fn opening_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let plan = job.plan;
    let time = hours_words(&job.hours());
    let mut blocks = vec![
        PaperBlock::Text(format!("{} {}", job.book.title, as_sentence(&job.book.origin))),
        PaperBlock::Text(format!(
            "{} to take off; {time}, in {} steps.",
            count_with_noun(plan.way_in.parts.len(), "part"),
            record::steps_of(plan).count()
        )),
    ];
    let cautions: Vec<&model::Caution> = job.book.stations.iter().flat_map(|s| s.cautions.iter()).collect();
    blocks.extend(cautions.into_iter().map(words::caution_block));
    blocks.push(PaperBlock::Small(SERVICE_DATA.into()));
    blocks.push(PaperBlock::Picture { drawing: draw::timeline_drawing(job.book, plan), height_mm: 90.0 });
    blocks
}

/// One step, with a drawing where it brings a stack or a pattern not shown before.
fn step_block(job: &PaperJob<'_>, step: &Step, shown: &mut Vec<String>) -> PaperBlock {
    let mut drawings = Vec::new();
    if step.kind == StepKind::Tighten {
        let drawing = draw::pattern_picture(job.book, job.plan, step);
        drawings.extend(drawing.map(|drawing| PaperBlock::Picture { drawing, height_mm: DRAWING_MM }));
    }
    for (id, duty, _) in words::stacks_of_steps(core::iter::once(step)) {
        let known = job.plan.duties.get(duty).map(|d| format!("{id} {} {}", d.fixing, d.access));
        let Some(known) = known.filter(|k| !shown.contains(k)) else { continue };
        shown.push(known);
        let Some(drawing) = draw::duty_picture(job.book, job.store, job.plan, duty) else { continue };
        let words = job.plan.stacks.iter().find(|s| s.id == id).map_or("", |s| s.words.as_str());
        drawings.push(PaperBlock::Together(vec![
            PaperBlock::Picture { drawing, height_mm: DRAWING_MM },
            PaperBlock::Small(words.to_owned()),
        ]));
    }
    let mut blocks = vec![PaperBlock::Steps(vec![step_line(job, step)])];
    let tip = step.part.as_deref().and_then(|key| job.book.part_by_key(key));
    if step.kind == StepKind::Remove
        && let Some(tip) = tip.and_then(|id| job.book.part(id).tip.clone())
        && !step.text.contains(tip.trim_end_matches('.'))
    {
        blocks.push(PaperBlock::Small(as_sentence(&tip)));
    }
    blocks.extend(side_by_side(drawings, 2));
    PaperBlock::Together(blocks)
}

/// What the visit knows of a step: notes, happenings, pictures.
fn visit_remarks(job: &PaperJob<'_>, step: &Step) -> Vec<PaperBlock> {
    let Some(visit) = &job.visit else { return Vec::new() };
    let here = |at: &record::EventPlace| at.step == Some(step.number);
    let notes = visit.state.notes.iter().filter(|n| here(&n.at)).map(|n| as_sentence(&n.words));
    let happenings = visit.state.happenings.values().filter(|h| here(&h.at) && !h.words.is_empty());
    let mut blocks: Vec<PaperBlock> =
        notes.chain(happenings.map(|h| as_sentence(&h.words))).map(PaperBlock::Text).collect();
    for picture in visit.state.pictures.iter().filter(|p| here(&p.at)) {
        if let Some(jpeg) = visit.photos.get(&picture.picture.to_string()) {
            let caption = format!("Step {}, {}", step.number, words::time_words(job, picture.stamp.at_ms));
            blocks.push(PaperBlock::Photo { jpeg: jpeg.clone(), caption, height_mm: PHOTO_MM });
        }
    }
    blocks
}

/// Drawings in rows of `columns`.
fn side_by_side(mut drawings: Vec<PaperBlock>, columns: usize) -> Vec<PaperBlock> {
    let mut rows = Vec::new();
    while !drawings.is_empty() {
        let row: Vec<PaperBlock> = drawings.drain(..drawings.len().min(columns.max(1))).collect();
        let mut row: Vec<Vec<PaperBlock>> = row.into_iter().map(|block| vec![block]).collect();
        row.resize_with(columns, Vec::new);
        rows.push(PaperBlock::Columns(row));
    }
    rows
}
