//! Tightening sheet: for each joint its passes, order, figure, wrench setting, and the source of each figure.

use model::plan::{Step, StepKind};
use print::paper::{Block, Cell, Column, Row, Sheet};

use super::words::{self, SERVICE_DATA, flow, foot};
use super::{Job, Kind, NoPaper};
use crate::bolting::why::{self, FixingWhy, PassWhy};
use crate::draw;

/// Height of a pattern.
const PATTERN_MM: f64 = 48.0;

pub(super) fn sheets(job: &Job<'_>) -> Result<Vec<Sheet>, NoPaper> {
    let mut blocks = vec![Block::Small(format!(
        "Figures are the book's. {SERVICE_DATA} Tick each pass when it has gone round all holes."
    ))];
    let before = blocks.len();
    for step in journal::steps_of(job.plan).filter(|s| s.kind == StepKind::Tighten) {
        blocks.extend(joint(job, step));
    }
    if blocks.len() == before {
        return Err(NoPaper::Nothing {
            kind: Kind::Tightening,
            words: "no step of the plan tightens to a figure",
        });
    }
    Ok(vec![flow("Tightening sheet", &job.book.title, foot(job, &[]), blocks)])
}

/// One step with its cautions, pattern, passes and sources.
fn joint(job: &Job<'_>, step: &Step) -> Option<Block> {
    let found = why::why(job.book, job.plan, step.number).ok()?;
    let mut blocks = vec![Block::Heading(format!("Step {}: {}", step.number, step.text))];
    blocks.extend(step.cautions.iter().map(words::caution));
    let passes = passes(&found.fixings);
    match draw::pattern_picture(job.book, job.plan, step) {
        Some(drawing) => {
            blocks.push(Block::Columns(vec![
                vec![Block::Picture { drawing, height_mm: PATTERN_MM }],
                vec![passes, order(job, step)],
            ]));
        }
        None => blocks.push(passes),
    }
    blocks.push(Block::Small(sources(&found.fixings)));
    Some(Block::Together(blocks))
}

fn passes(fixings: &[FixingWhy]) -> Block {
    let columns = vec![
        Column::words("pass", 1.4),
        Column::words("figure", 2.4),
        Column::words("set", 2.0),
        Column::words("with", 5.0),
    ];
    let mut rows = Vec::new();
    for fixing in fixings {
        rows.push(Row::heading(&format!("{}, {}", fixing.title, fixing.size)));
        rows.extend(fixing.passes.iter().map(pass));
    }
    Block::Table { columns, rows }
}

fn pass(pass: &PassWhy) -> Row {
    let set = pass
        .setting_n_m
        .map_or_else(String::new, |set_n_m| format!("{} N·m", units::significant(set_n_m, 3)));
    Row::of(vec![
        Cell::Tick(pass.pass.to_string()),
        Cell::Bold(pass.figure.clone()),
        Cell::Words(set),
        Cell::Words(pass.stack.clone()),
    ])
}

/// The holes in the order of the last pass.
fn order(job: &Job<'_>, step: &Step) -> Block {
    let order = draw::last_pass(job.plan, step);
    if order.len() > 1 {
        Block::Text(format!("In the order {}.", order.join(" ")))
    } else {
        Block::Small(String::from("One fastener."))
    }
}

/// Source, allowed deviation, correction of the setting, renewal, each once.
fn sources(fixings: &[FixingWhy]) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut tell = |line: String| {
        if !lines.contains(&line) {
            lines.push(line);
        }
    };
    for fixing in fixings {
        tell(format!("Source: {}.", fixing.source.trim_end_matches('.')));
        let percent = units::significant(fixing.allowed_fraction * 100.0, 2);
        tell(format!("Allowed deviation ± {percent} %."));
        for pass in fixing.passes.iter().filter(|p| p.setting_n_m != p.torque_n_m) {
            tell(format!("Pass {}: setting {}.", pass.pass, pass.correction));
        }
        if let Some(reuse) = fixing.reuse {
            tell(words::sentence(&format!("{}: {reuse}", fixing.title)));
        }
        if fixing.is_critical {
            tell(format!("{}: never finished by a driver; looked at a second time.", fixing.title));
        }
    }
    lines.join(" ")
}
