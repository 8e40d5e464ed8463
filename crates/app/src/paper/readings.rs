//! Readings sheet: what is to be measured, with limits where they are known, and room to write.

use model::{Fixing, Task, TaskKind};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use record::visit::VisitReading;
use units::significant;

use super::PaperJob;
use super::words::{self, flow_sheet, push_section, title_block_cells};

/// Empty rows below each task that measures.
const ROWS: usize = 8;
/// Empty rows below one that looks.
const FEW_ROWS: usize = 3;

pub(super) fn readings_sheets(job: &PaperJob<'_>) -> Vec<PaperSheet> {
    let mut blocks = vec![PaperBlock::Columns(vec![
        vec![PaperBlock::Blanks { label: "Date and odometer".into(), lines: 1 }],
        vec![PaperBlock::Blanks { label: "Engine cold or warm, temperature".into(), lines: 1 }],
    ])];
    let asked = job.book.tasks.iter().filter(|t| job.plan.asked.tasks.contains(&t.key));
    for task in asked.filter(|t| matches!(t.kind, TaskKind::Measure | TaskKind::Inspect)) {
        blocks.extend(blocks_of_task(job, task));
    }
    push_section(&mut blocks, "Taken so far", taken_readings(job));
    push_section(&mut blocks, "Second look at critical fasteners", second_look_blocks(job));
    blocks.push(PaperBlock::Heading("Other readings".into()));
    blocks.push(readings_table((0..ROWS).map(|_| row_to_write_in("")).collect()));
    vec![flow_sheet("Readings sheet", "fill in with a pencil", title_block_cells(job, &[]), blocks)]
}

fn reading_columns() -> Vec<PaperColumn> {
    vec![
        PaperColumn::of_words("what", 5.0),
        PaperColumn::of_words("lowest", 1.6),
        PaperColumn::of_words("read", 2.2),
        PaperColumn::of_words("highest", 1.6),
        PaperColumn::of_words("unit", 1.3),
        PaperColumn::of_words("with what", 3.0),
    ]
}

fn readings_table(rows: Vec<PaperRow>) -> PaperBlock {
    PaperBlock::Table { columns: reading_columns(), rows }
}

/// A row to write in.
fn row_to_write_in(what: &str) -> PaperRow {
    let what = if what.is_empty() { PaperCell::Blank } else { PaperCell::Words(what.into()) };
    let mut cells = vec![what];
    cells.resize(reading_columns().len(), PaperCell::Blank);
    PaperRow::of_cells(cells)
}

fn blocks_of_task(job: &PaperJob<'_>, task: &Task) -> Vec<PaperBlock> {
    let step = record::steps_of(job.plan).find(|s| s.task.as_deref() == Some(task.key.as_str()));
    let at = step.map_or_else(String::new, |s| format!("Step {}: ", s.number));
    let mut blocks = vec![PaperBlock::Heading(format!("{at}{}", task.title))];
    blocks.extend(task.note.iter().map(|note| PaperBlock::Text(note.clone())));
    let limits =
        "The book gives no limits for this; write in those of the maker's service data before you measure.";
    blocks.push(PaperBlock::Small(limits.into()));
    let rows = if task.kind == TaskKind::Measure { ROWS } else { FEW_ROWS };
    blocks.push(readings_table((0..rows).map(|_| row_to_write_in("")).collect()));
    blocks
}

/// Readings of the visit with their limits.
fn taken_readings(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let readings = job.state().map_or(&[][..], |state| state.readings.as_slice());
    let figure =
        |value: Option<f64>| PaperCell::Words(value.map_or_else(|| "none".into(), |v| significant(v, 6)));
    let row = |taken: &VisitReading| {
        let reading = &taken.reading;
        let outside = if reading.is_within() == Some(false) { ", outside" } else { "" };
        PaperRow::of_cells(vec![
            PaperCell::Words(reading.what.clone()),
            figure(reading.low),
            PaperCell::Bold(format!("{}{outside}", significant(reading.value, 6))),
            figure(reading.high),
            PaperCell::Words(reading.unit.clone()),
            PaperCell::Words(reading.method.clone()),
        ])
    };
    if readings.is_empty() { Vec::new() } else { vec![readings_table(readings.iter().map(row).collect())] }
}

/// Critical fasteners that are tightened in this job: torque within the book's deviation, and the stripe seen.
fn second_look_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let tightened = |key: &str| {
        record::steps_of(job.plan)
            .any(|s| s.kind == model::plan::StepKind::Tighten && s.fixings.iter().any(|f| f == key))
    };
    let rows: Vec<PaperRow> = job
        .book
        .fixings
        .iter()
        .filter(|f| f.critical && tightened(&f.key))
        .flat_map(second_look_rows)
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        PaperColumn::of_words("fastener", 5.0),
        PaperColumn::of_words("last torque, N·m", 2.6),
        PaperColumn::of_words("angle after it", 2.0),
        PaperColumn::of_words("wrench reading", 2.0),
        PaperColumn::of_words("torque stripe seen by", 2.6),
    ];
    let note = "Limits are the book's figure with the deviation that it allows; they apply at the \
                fastener, before any \
                correction for an offset.";
    vec![PaperBlock::Table { columns, rows }, PaperBlock::Small(note.into())]
}

/// A row for each hole.
fn second_look_rows(fixing: &Fixing) -> Vec<PaperRow> {
    let torque = fixing.tightening.stages.iter().rev().find_map(|s| s.target.torque());
    let allowed = fixing.tightening.tolerance_fraction;
    let limits = torque.map_or_else(String::new, |torque| {
        let at = |factor: f64| significant(torque.as_n_m() * factor, 3);
        format!("{} to {}", at(1.0 - allowed), at(1.0 + allowed))
    });
    let angles: Vec<String> = fixing
        .tightening
        .stages
        .iter()
        .filter(|s| s.target.angle().is_some())
        .map(|s| s.as_written.clone())
        .collect();
    let row = |hole: &model::Hole| {
        PaperRow::of_cells(vec![
            PaperCell::Words(format!(
                "{} {}",
                words::as_sentence(&fixing.title).trim_end_matches('.'),
                hole.label
            )),
            PaperCell::Words(limits.clone()),
            PaperCell::Words(angles.join(", ")),
            PaperCell::Blank,
            PaperCell::Tick(String::new()),
        ])
    };
    fixing.holes.iter().map(row).collect()
}
