//! Readings sheet: what is to be measured, with limits where they are known, and room to write.

use journal::visit::Taken;
use model::{Fixing, StageTarget, Task, TaskKind};
use print::paper::{Block, Cell, Column, Row, Sheet};
use units::significant;

use super::Job;
use super::words::{self, flow, foot, under};

/// Empty rows below each task that measures.
const ROWS: usize = 8;
/// Empty rows below one that looks.
const FEW_ROWS: usize = 3;

pub(super) fn sheets(job: &Job<'_>) -> Vec<Sheet> {
    let mut blocks = vec![Block::Columns(vec![
        vec![Block::Blanks { label: "Date and odometer".into(), lines: 1 }],
        vec![Block::Blanks { label: "Engine cold or warm, temperature".into(), lines: 1 }],
    ])];
    let asked = job.book.tasks.iter().filter(|t| job.plan.asked.tasks.contains(&t.key));
    for task in asked.filter(|t| matches!(t.kind, TaskKind::Measure | TaskKind::Inspect)) {
        blocks.extend(of_task(job, task));
    }
    under(&mut blocks, "Taken so far", taken(job));
    under(&mut blocks, "Second look at critical fasteners", critical(job));
    blocks.push(Block::Heading("Besides".into()));
    blocks.push(table((0..ROWS).map(|_| empty("")).collect()));
    vec![flow("Readings sheet", "to be filled in by pencil", foot(job, &[]), blocks)]
}

fn columns() -> Vec<Column> {
    vec![
        Column::words("what", 5.0),
        Column::words("lowest", 1.6),
        Column::words("read", 2.2),
        Column::words("highest", 1.6),
        Column::words("unit", 1.3),
        Column::words("with what", 3.0),
    ]
}

fn table(rows: Vec<Row>) -> Block {
    Block::Table { columns: columns(), rows }
}

/// A row to write in.
fn empty(what: &str) -> Row {
    let what = if what.is_empty() { Cell::Blank } else { Cell::Words(what.into()) };
    let mut cells = vec![what];
    cells.resize(columns().len(), Cell::Blank);
    Row::of(cells)
}

fn of_task(job: &Job<'_>, task: &Task) -> Vec<Block> {
    let step = journal::steps_of(job.plan).find(|s| s.task.as_deref() == Some(task.key.as_str()));
    let at = step.map_or_else(String::new, |s| format!("Step {}: ", s.number));
    let mut blocks = vec![Block::Heading(format!("{at}{}", task.title))];
    blocks.extend(task.note.iter().map(|note| Block::Text(note.clone())));
    let limits =
        "The book holds no limits for this; write those of the maker's service data in before you measure.";
    blocks.push(Block::Small(limits.into()));
    let rows = if task.kind == TaskKind::Measure { ROWS } else { FEW_ROWS };
    blocks.push(table((0..rows).map(|_| empty("")).collect()));
    blocks
}

/// Readings of the visit with their limits.
fn taken(job: &Job<'_>) -> Vec<Block> {
    let readings = job.state().map_or(&[][..], |state| state.readings.as_slice());
    let figure = |value: Option<f64>| Cell::Words(value.map_or_else(|| "none".into(), |v| significant(v, 6)));
    let row = |taken: &Taken| {
        let reading = &taken.reading;
        let outside = if reading.is_within() == Some(false) { ", outside" } else { "" };
        Row::of(vec![
            Cell::Words(reading.what.clone()),
            figure(reading.low),
            Cell::Bold(format!("{}{outside}", significant(reading.value, 6))),
            figure(reading.high),
            Cell::Words(reading.unit.clone()),
            Cell::Words(reading.method.clone()),
        ])
    };
    if readings.is_empty() { Vec::new() } else { vec![table(readings.iter().map(row).collect())] }
}

/// Critical fasteners that are tightened in this job: torque within the book's deviation, and the stripe seen.
fn critical(job: &Job<'_>) -> Vec<Block> {
    let tightened = |key: &str| {
        journal::steps_of(job.plan)
            .any(|s| s.kind == model::plan::StepKind::Tighten && s.fixings.iter().any(|f| f == key))
    };
    let rows: Vec<Row> =
        job.book.fixings.iter().filter(|f| f.critical && tightened(&f.key)).flat_map(looks).collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::words("fastener", 5.0),
        Column::words("last torque, N·m", 2.6),
        Column::words("angle after it", 2.0),
        Column::words("wrench read", 2.0),
        Column::words("stripe seen by", 2.6),
    ];
    let note = "Limits are the book's figure with the deviation that it allows; they hold for the fastener, before a \
                correction for an offset.";
    vec![Block::Table { columns, rows }, Block::Small(note.into())]
}

/// A row for each hole.
fn looks(fixing: &Fixing) -> Vec<Row> {
    let torque = fixing.tightening.stages.iter().rev().find_map(|s| match s.target {
        StageTarget::Torque(torque) => Some(torque.as_n_m()),
        _ => None,
    });
    let part = fixing.tightening.tolerance_fraction;
    let limits = torque.map_or_else(String::new, |t_n_m| {
        format!("{} to {}", significant(t_n_m * (1.0 - part), 3), significant(t_n_m * (1.0 + part), 3))
    });
    let angles: Vec<String> = fixing
        .tightening
        .stages
        .iter()
        .filter(|s| matches!(s.target, StageTarget::Angle(_)))
        .map(|s| s.as_written.clone())
        .collect();
    let row = |hole: &model::Hole| {
        Row::of(vec![
            Cell::Words(format!("{} {}", words::sentence(&fixing.title).trim_end_matches('.'), hole.label)),
            Cell::Words(limits.clone()),
            Cell::Words(angles.join(", ")),
            Cell::Blank,
            Cell::Tick(String::new()),
        ])
    };
    fixing.holes.iter().map(row).collect()
}
