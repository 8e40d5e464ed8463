//! Job cards: the steps in order, at most twelve to a card, with the stacks that they need drawn to scale.

use model::plan::Step;
use print::paper::{Block, Cell, Column, Row, Sheet};

use super::words::{self, flow, foot, step_line};
use super::{Job, Kind, NoPaper};
use crate::{draw, text, titles};

/// Most steps on a card: what is read at a glance and ticked with one pencil (assumption).
const MOST_STEPS: usize = 12;
/// Most different stacks on a card: four drawings fill the space beside and below twelve lines.
const MOST_STACKS: usize = 4;
/// Height of a drawing.
const DRAWING_MM: f64 = 46.0;

/// The steps of one card.
struct Card<'p> {
    phase: &'static str,
    steps: Vec<&'p Step>,
}

pub(super) fn sheets(job: &Job<'_>) -> Result<Vec<Sheet>, NoPaper> {
    let cards = cards(job);
    if cards.is_empty() {
        return Err(NoPaper::Nothing { kind: Kind::Jobs, words: "the plan has no steps" });
    }
    let of = cards.len();
    Ok(cards.iter().enumerate().map(|(at, card)| sheet(job, card, at + 1, of)).collect())
}

/// All steps, in order, each on one card.
fn cards<'p>(job: &Job<'p>) -> Vec<Card<'p>> {
    let mut cards: Vec<Card<'p>> = Vec::new();
    for (phase, steps) in words::phases(job.plan) {
        for step in steps {
            let fits = cards.last().is_some_and(|card| card.phase == phase && goes_on(card, step));
            match cards.last_mut() {
                Some(card) if fits => card.steps.push(step),
                _ => cards.push(Card { phase, steps: vec![step] }),
            }
        }
    }
    cards
}

/// Whether a step still goes on a card: same working position, room for its line and for its stacks.
fn goes_on(card: &Card<'_>, step: &Step) -> bool {
    let same_station = card.steps.last().is_some_and(|last| last.station == step.station);
    let steps = card.steps.iter().copied().chain(core::iter::once(step));
    same_station && card.steps.len() < MOST_STEPS && words::stacks(steps).len() <= MOST_STACKS
}

fn sheet(job: &Job<'_>, card: &Card<'_>, number: usize, of: usize) -> Sheet {
    let (first, last) = (card.steps[0], card.steps[card.steps.len() - 1]);
    let station = titles::station(job.book, &first.station);
    let steps = if first.number == last.number {
        format!("step {}", first.number)
    } else {
        format!("steps {} to {}", first.number, last.number)
    };
    let seconds: f64 = card.steps.iter().map(|s| s.setup_s + s.work_s).sum();
    let subtitle = format!("{}: {station}, {steps}, about {}", card.phase, text::table::spoken(seconds));
    let foot = foot(job, &[("card", format!("{number} of {of}")), ("station", station)]);
    let mut blocks: Vec<Block> = station_cautions(job, &first.station);
    blocks.push(Block::Steps(card.steps.iter().map(|step| step_line(job.plan, step)).collect()));
    blocks.extend(stacks(job, card));
    flow(&format!("Job card {number}"), &subtitle, foot, blocks)
}

/// Cautions that hold while working at the station.
fn station_cautions(job: &Job<'_>, station: &str) -> Vec<Block> {
    let known = job.book.stations.iter().find(|s| s.key == station);
    known.map_or_else(Vec::new, |s| s.cautions.iter().map(words::caution).collect())
}

/// The stacks of a card: those with room to show as drawings, all in words.
fn stacks(job: &Job<'_>, card: &Card<'_>) -> Vec<Block> {
    let used = words::stacks(card.steps.iter().copied());
    let mut rows = Vec::new();
    let mut drawn = Vec::new();
    for (id, duty, number) in used {
        let Some(stack) = job.plan.stacks.iter().find(|s| s.id == id) else { continue };
        rows.push(Row::of(vec![Cell::Bold(stack.id.clone()), Cell::Words(stack.words.clone())]));
        drawn.extend(picture(job, duty, &format!("{id}, step {number}")));
    }
    let mut blocks = Vec::new();
    if !rows.is_empty() {
        let columns = vec![Column::words("stack", 1.0), Column::words("from the fastener to the hand", 9.0)];
        blocks.push(Block::Table { columns, rows });
    }
    blocks.extend(side_by_side(drawn));
    blocks
}

/// The drawing of a duty's stack with its name below.
pub(super) fn picture(job: &Job<'_>, duty: usize, name: &str) -> Option<Block> {
    let drawing = draw::duty_picture(job.book, job.store, job.plan, duty)?;
    let line = job.plan.duties.get(duty)?;
    let words = format!("{name}: {}, {}", titles::fixing(job.book, &line.fixing), line.act);
    Some(Block::Together(vec![Block::Picture { drawing, height_mm: DRAWING_MM }, Block::Small(words)]))
}

/// Drawings two by two.
pub(super) fn side_by_side(mut drawings: Vec<Block>) -> Vec<Block> {
    let mut rows = Vec::new();
    while !drawings.is_empty() {
        let two: Vec<Block> = drawings.drain(..drawings.len().min(2)).collect();
        let mut columns: Vec<Vec<Block>> = two.into_iter().map(|block| vec![block]).collect();
        columns.resize_with(2, Vec::new);
        rows.push(Block::Columns(columns));
    }
    rows
}
