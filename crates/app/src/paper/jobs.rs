//! Job cards: the steps in order, twelve to a card, with the stacks that they need drawn to scale.
//!
//! A card goes on where the working position or the phase changes; a heading says so. Each stack of a card is there in
//! words, and is drawn on the first card that needs it for that fixing; later cards say which one that is.

use std::collections::BTreeMap;

use model::plan::{JobPhase, Step};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};

use super::words::{self, flow_sheet, phase_heading, step_line, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::{draw, text, titles};

/// Maximum number of steps on a card: what is read at a glance and ticked with one pencil (assumption).
const MAX_STEPS_ON_CARD: usize = 12;
/// Height of a drawing: three of them lie beside each other.
const DRAWING_MM: f64 = 44.0;

/// A step with its phase.
type PhaseStep<'p> = (JobPhase, &'p Step);

/// What a drawing shows: stack, fixing and access.
type DrawnStack<'p> = (&'p str, &'p str, u16);

/// Drawings with the number of the card that bears each.
type CardOfDrawing<'p> = BTreeMap<DrawnStack<'p>, usize>;

pub(super) fn job_card_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let lines: Vec<PhaseStep<'_>> = job
        .plan
        .sequences()
        .into_iter()
        .flat_map(|(phase, sequence)| sequence.steps.iter().map(move |step| (phase, step)))
        .collect();
    if lines.is_empty() {
        return Err(SheetError::Nothing { kind: SheetKind::Jobs, words: "the plan has no steps" });
    }
    let cards: Vec<&[PhaseStep<'_>]> = lines.chunks(MAX_STEPS_ON_CARD).collect();
    let of = cards.len();
    let mut drawn = CardOfDrawing::new();
    Ok(cards.iter().enumerate().map(|(at, card)| job_card(job, card, (at + 1, of), &mut drawn)).collect())
}

fn job_card<'p>(
    job: &PaperJob<'p>,
    card: &[PhaseStep<'p>],
    (number, of): (usize, usize),
    drawn: &mut CardOfDrawing<'p>,
) -> PaperSheet {
    let steps = || card.iter().map(|(_, step)| *step);
    let (first, last) = (card[0], card[card.len() - 1]);
    let range = if card.len() == 1 {
        format!("step {}", first.1.number)
    } else {
        format!("steps {} to {}", first.1.number, last.1.number)
    };
    let (from, to) = (first.0.spoken_word(), last.0.spoken_word());
    let phases = if from == to { from.into() } else { format!("{from} to {to}") };
    let hands_on_s: f64 = steps().map(|s| s.setup_s + s.work_s).sum();
    let subtitle = format!("{phases}: {range}, about {}", text::table::spoken_time(hands_on_s));
    let station = station_words(job, card);
    let foot = title_block_cells(job, &[("card", format!("{number} of {of}")), ("station", station)]);
    let mut blocks = steps_by_station(job, card);
    blocks.extend(card_stacks(job, card, number, drawn));
    flow_sheet(&format!("Job card {number}"), &subtitle, foot, blocks)
}

/// The steps under a heading for each working position, cautions of the position once, before its first step.
fn steps_by_station(job: &PaperJob<'_>, card: &[PhaseStep<'_>]) -> Vec<PaperBlock> {
    let mut blocks = Vec::new();
    let mut minded: Vec<&str> = Vec::new();
    for run in card.chunk_by(|a, b| a.0 == b.0 && a.1.station == b.1.station) {
        let (phase, step) = run[0];
        blocks.push(PaperBlock::Heading(phase_heading(job.book, phase, &step.station)));
        if !minded.contains(&step.station.as_str()) {
            minded.push(&step.station);
            blocks.extend(station_cautions(job, step));
        }
        blocks.push(PaperBlock::Steps(run.iter().map(|(_, step)| step_line(job, step)).collect()));
    }
    blocks
}

/// The working position of a card, or how many others follow the first.
fn station_words(job: &PaperJob<'_>, card: &[PhaseStep<'_>]) -> String {
    let first = &card[0].1.station;
    let mut others: Vec<&str> = card.iter().map(|(_, s)| s.station.as_str()).filter(|s| s != first).collect();
    others.sort_unstable();
    others.dedup();
    let title = titles::station_title(job.book, first);
    if others.is_empty() { title } else { format!("{title} and {} more", others.len()) }
}

/// Cautions for the working position of a step, without those that the step repeats.
fn station_cautions(job: &PaperJob<'_>, step: &Step) -> Vec<PaperBlock> {
    let known = job.book.stations.iter().find(|s| s.key == step.station);
    let cautions = known.into_iter().flat_map(|s| &s.cautions);
    cautions.filter(|caution| !step.cautions.contains(caution)).map(words::caution_block).collect()
}

/// The stacks of a card, all in words; those not drawn on an earlier card as drawings.
fn card_stacks<'p>(
    job: &PaperJob<'p>,
    card: &[PhaseStep<'p>],
    number: usize,
    on_card: &mut CardOfDrawing<'p>,
) -> Vec<PaperBlock> {
    let used = words::stacks_of_steps(card.iter().map(|(_, step)| *step));
    let mut rows = Vec::new();
    let mut drawn = Vec::new();
    for (id, duty, step) in used {
        let Some(stack) = job.plan.stacks.iter().find(|s| s.id == id) else { continue };
        let Some(line) = job.plan.duties.get(duty) else { continue };
        let shows = (id, line.fixing.as_str(), line.access);
        let on = match on_card.get(&shows) {
            Some(on) => format!("card {on}"),
            None => match stack_picture(job, duty, &format!("{id}, step {step}")) {
                Some(block) => {
                    on_card.insert(shows, number);
                    drawn.push(block);
                    String::from("here")
                }
                None => String::new(),
            },
        };
        let cells = vec![
            PaperCell::Bold(stack.id.clone()),
            PaperCell::Words(stack.words.clone()),
            PaperCell::Words(on),
        ];
        rows.push(PaperRow::of_cells(cells));
    }
    let columns = vec![
        PaperColumn::of_words("stack", 1.0),
        PaperColumn::of_words("from the fastener to the hand", 8.0),
        PaperColumn::of_words("drawn on", 1.3),
    ];
    let mut blocks = words::table_if_any(columns, rows);
    blocks.extend(side_by_side(drawn, 3));
    blocks
}

/// The drawing of a duty's stack with its name below.
fn stack_picture(job: &PaperJob<'_>, duty: usize, name: &str) -> Option<PaperBlock> {
    let drawing = draw::duty_picture(job.book, job.store, job.plan, duty)?;
    let line = job.plan.duties.get(duty)?;
    let words = format!("{name}: {}, {}", titles::fixing_title(job.book, &line.fixing), line.act);
    Some(PaperBlock::Together(vec![
        PaperBlock::Picture { drawing, height_mm: DRAWING_MM },
        PaperBlock::Small(words),
    ]))
}

/// Drawings in rows of `columns`.
pub(super) fn side_by_side(mut drawings: Vec<PaperBlock>, columns: usize) -> Vec<PaperBlock> {
    let mut rows = Vec::new();
    while !drawings.is_empty() {
        let row: Vec<PaperBlock> = drawings.drain(..drawings.len().min(columns.max(1))).collect();
        let mut row: Vec<Vec<PaperBlock>> = row.into_iter().map(|block| vec![block]).collect();
        row.resize_with(columns, Vec::new);
        rows.push(PaperBlock::Columns(row));
    }
    rows
}
