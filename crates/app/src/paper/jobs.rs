//! Job cards: the steps in order, twelve to a card, with the stacks that they need drawn to scale.
//!
//! A card goes on where the working position or the phase changes; a heading says so. Each stack of a card stands there in
//! words, and is drawn on the first card that needs it for that fixing; later cards say which one that is.

use std::collections::BTreeMap;

use model::plan::Step;
use print::paper::{Block, Cell, Column, Row, Sheet};

use super::words::{self, flow, foot, phase_at, step_line};
use super::{Job, Kind, NoPaper};
use crate::{draw, text, titles};

/// Most steps on a card: what is read at a glance and ticked with one pencil (assumption).
const MOST_STEPS: usize = 12;
/// Height of a drawing: three of them lie beside each other.
const DRAWING_MM: f64 = 44.0;

/// A step with its phase.
type Line<'p> = (&'static str, &'p Step);

/// What a drawing shows: stack, fixing and access.
type Drawn<'p> = (&'p str, &'p str, u16);

/// Drawings with the number of the card that bears each.
type OnCard<'p> = BTreeMap<Drawn<'p>, usize>;

pub(super) fn sheets(job: &Job<'_>) -> Result<Vec<Sheet>, NoPaper> {
    let lines: Vec<Line<'_>> = words::phases(job.plan)
        .into_iter()
        .flat_map(|(phase, steps)| steps.iter().map(move |step| (phase, step)))
        .collect();
    if lines.is_empty() {
        return Err(NoPaper::Nothing { kind: Kind::Jobs, words: "the plan has no steps" });
    }
    let cards: Vec<&[Line<'_>]> = lines.chunks(MOST_STEPS).collect();
    let of = cards.len();
    let mut drawn = OnCard::new();
    Ok(cards.iter().enumerate().map(|(at, card)| sheet(job, card, (at + 1, of), &mut drawn)).collect())
}

fn sheet<'p>(
    job: &Job<'p>,
    card: &[Line<'p>],
    (number, of): (usize, usize),
    drawn: &mut OnCard<'p>,
) -> Sheet {
    let steps = || card.iter().map(|(_, step)| *step);
    let (first, last) = (card[0], card[card.len() - 1]);
    let range = if card.len() == 1 {
        format!("step {}", first.1.number)
    } else {
        format!("steps {} to {}", first.1.number, last.1.number)
    };
    let phases = if first.0 == last.0 { first.0.into() } else { format!("{} to {}", first.0, last.0) };
    let seconds_s: f64 = steps().map(|s| s.setup_s + s.work_s).sum();
    let subtitle = format!("{phases}: {range}, about {}", text::table::spoken(seconds_s));
    let station = stations(job, card);
    let foot = foot(job, &[("card", format!("{number} of {of}")), ("station", station)]);
    let mut blocks = lines(job, card);
    blocks.extend(stacks(job, card, number, drawn));
    flow(&format!("Job card {number}"), &subtitle, foot, blocks)
}

/// The steps under a heading for each working position, cautions of the position once, before its first step.
fn lines(job: &Job<'_>, card: &[Line<'_>]) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut minded: Vec<&str> = Vec::new();
    for run in card.chunk_by(|a, b| a.0 == b.0 && a.1.station == b.1.station) {
        let (phase, step) = run[0];
        blocks.push(Block::Heading(phase_at(job.book, phase, &step.station)));
        if !minded.contains(&step.station.as_str()) {
            minded.push(&step.station);
            blocks.extend(station_cautions(job, step));
        }
        blocks.push(Block::Steps(run.iter().map(|(_, step)| step_line(job, step)).collect()));
    }
    blocks
}

/// The working position of a card, or how many others follow the first.
fn stations(job: &Job<'_>, card: &[Line<'_>]) -> String {
    let first = &card[0].1.station;
    let mut others: Vec<&str> = card.iter().map(|(_, s)| s.station.as_str()).filter(|s| s != first).collect();
    others.sort_unstable();
    others.dedup();
    let title = titles::station(job.book, first);
    if others.is_empty() { title } else { format!("{title} and {} more", others.len()) }
}

/// Cautions that hold while working at the position of a step, but for those that the step itself bears.
fn station_cautions(job: &Job<'_>, step: &Step) -> Vec<Block> {
    let known = job.book.stations.iter().find(|s| s.key == step.station);
    let cautions = known.into_iter().flat_map(|s| &s.cautions);
    cautions.filter(|caution| !step.cautions.contains(caution)).map(words::caution).collect()
}

/// The stacks of a card, all in words; those not drawn on an earlier card as drawings.
fn stacks<'p>(job: &Job<'p>, card: &[Line<'p>], number: usize, on_card: &mut OnCard<'p>) -> Vec<Block> {
    let used = words::stacks(card.iter().map(|(_, step)| *step));
    let mut rows = Vec::new();
    let mut drawn = Vec::new();
    for (id, duty, step) in used {
        let Some(stack) = job.plan.stacks.iter().find(|s| s.id == id) else { continue };
        let Some(line) = job.plan.duties.get(duty) else { continue };
        let shows = (id, line.fixing.as_str(), line.access);
        let on = match on_card.get(&shows) {
            Some(on) => format!("card {on}"),
            None => match picture(job, duty, &format!("{id}, step {step}")) {
                Some(block) => {
                    on_card.insert(shows, number);
                    drawn.push(block);
                    String::from("here")
                }
                None => String::new(),
            },
        };
        let cells = vec![Cell::Bold(stack.id.clone()), Cell::Words(stack.words.clone()), Cell::Words(on)];
        rows.push(Row::of(cells));
    }
    let columns = vec![
        Column::words("stack", 1.0),
        Column::words("from the fastener to the hand", 8.0),
        Column::words("drawn on", 1.3),
    ];
    let mut blocks = words::table(columns, rows);
    blocks.extend(side_by_side(drawn, 3));
    blocks
}

/// The drawing of a duty's stack with its name below.
fn picture(job: &Job<'_>, duty: usize, name: &str) -> Option<Block> {
    let drawing = draw::duty_picture(job.book, job.store, job.plan, duty)?;
    let line = job.plan.duties.get(duty)?;
    let words = format!("{name}: {}, {}", titles::fixing(job.book, &line.fixing), line.act);
    Some(Block::Together(vec![Block::Picture { drawing, height_mm: DRAWING_MM }, Block::Small(words)]))
}

/// Drawings in rows of so many.
pub(super) fn side_by_side(mut drawings: Vec<Block>, columns: usize) -> Vec<Block> {
    let mut rows = Vec::new();
    while !drawings.is_empty() {
        let row: Vec<Block> = drawings.drain(..drawings.len().min(columns.max(1))).collect();
        let mut row: Vec<Vec<Block>> = row.into_iter().map(|block| vec![block]).collect();
        row.resize_with(columns, Vec::new);
        rows.push(Block::Columns(row));
    }
    rows
}
