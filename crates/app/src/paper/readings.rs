//! Readings sheet: what is to be measured, with limits where they are known, and room to write.

use model::{Fixing, Measure, Task, TaskKind};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use units::significant;

use super::PaperJob;
use super::words::{self, flow_sheet, push_section, title_block_cells};
use crate::evidence::readings::boards_of_visit;

/// Empty rows below each task that measures.
const ROWS: usize = 5;
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
    let anywhere: Vec<&Measure> = job.book.measures.iter().filter(|m| m.task.is_none()).collect();
    if !anywhere.is_empty() {
        push_section(&mut blocks, "Whenever it can be got at", measure_blocks(&anywhere));
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
    let measures = job.book.measures.iter();
    let of_task = measures.filter(|m| m.task.is_some_and(|id| job.book.task(id).key == task.key));
    let of_task: Vec<&Measure> = of_task.collect();
    if of_task.is_empty() {
        let limits = "The book gives no limits for this; write in those of the maker's service data before you measure.";
        blocks.push(PaperBlock::Small(limits.into()));
        let rows = if task.kind == TaskKind::Measure { ROWS } else { FEW_ROWS };
        blocks.push(readings_table((0..rows).map(|_| row_to_write_in("")).collect()));
    } else {
        blocks.extend(measure_blocks(&of_task));
    }
    blocks
}

/// Measures with their limits, a row for each place, and where the limits come from.
fn measure_blocks(measures: &[&Measure]) -> Vec<PaperBlock> {
    let rows = measures.iter().flat_map(|measure| measure_rows(measure)).collect();
    let mut sources: Vec<&str> =
        measures.iter().map(|m| m.source.as_str()).filter(|s| !s.is_empty()).collect();
    sources.dedup();
    let told = if sources.is_empty() { String::from("not told") } else { sources.join("; ") };
    vec![readings_table(rows), PaperBlock::Small(format!("Source of the limits: {told}."))]
}

fn measure_rows(measure: &Measure) -> Vec<PaperRow> {
    let number = |limit: Option<&String>| {
        let told = limit.map(|text| text.split_once(' ').map_or(text.as_str(), |(figure, _)| figure));
        PaperCell::Words(told.unwrap_or("none").to_owned())
    };
    let unit = measure.limits().unit;
    let row = |place: &str| {
        let highest = match &measure.worst {
            Some(worst) => PaperCell::Words(worst.clone()),
            None => number(measure.high.as_ref()),
        };
        PaperRow::of_cells(vec![
            PaperCell::Words(measure.name_at(place)),
            number(measure.low.as_ref()),
            PaperCell::Blank,
            highest,
            PaperCell::Words(unit.clone()),
            PaperCell::Words(measure.with.clone().unwrap_or_default()),
        ])
    };
    measure.named_places().into_iter().map(row).collect()
}

/// Readings of the visit with their limits and how they stand.
fn taken_readings(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let boards = boards_of_visit(Some(job.book), &job.plan.asked.tasks, visit);
    let figure =
        |value: Option<f64>| PaperCell::Words(value.map_or_else(|| "none".into(), |v| significant(v, 6)));
    let mut rows = Vec::new();
    for board in boards.iter().filter(|board| board.is_begun()) {
        for place in &board.places {
            let Some(shown) = &place.shown else { continue };
            let says =
                place.verdict.as_ref().map_or_else(String::new, |verdict| format!(", {}", verdict.words));
            rows.push(PaperRow::of_cells(vec![
                PaperCell::Words(place.what.clone()),
                figure(board.limits.low),
                PaperCell::Bold(format!("{shown}{says}")),
                figure(board.limits.high),
                PaperCell::Words(board.unit.clone()),
                PaperCell::Words(place.readings.last().map_or_else(String::new, |last| last.method.clone())),
            ]));
        }
    }
    if rows.is_empty() { Vec::new() } else { vec![readings_table(rows)] }
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
        .flat_map(|fixing| second_look_rows(job, fixing))
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        PaperColumn::of_words("fastener", 5.0),
        PaperColumn::of_words("right on the wrench, N·m", 2.6),
        PaperColumn::of_words("angle after it", 2.0),
        PaperColumn::of_words("read on the wrench", 2.0),
        PaperColumn::of_words("torque stripe seen by", 2.6),
    ];
    let note = "Limits are the book's figure with the deviation that it allows, as the wrench shows it with the adapter of its step. \
                What is turned on by an angle is not read again: it would show far more than its torque, or be loosened by the check.";
    vec![PaperBlock::Table { columns, rows }, PaperBlock::Small(note.into())]
}

/// A row for the holes of a fixing that have the same limits.
fn second_look_rows(job: &PaperJob<'_>, fixing: &Fixing) -> Vec<PaperRow> {
    let stages = &fixing.tightening.stages;
    let torque = stages.iter().rev().find_map(|s| s.target.torque());
    let is_turned_on = stages.last().is_some_and(|s| s.target.angle().is_some());
    let allowed = fixing.tightening.tolerance_fraction;
    let limits = |hole: &str| {
        let Some(torque) = torque.filter(|_| !is_turned_on) else { return String::from("not read") };
        let at = |factor: f64| {
            significant(torque.as_n_m() * factor * wrench_ratio(job, &fixing.key, hole, torque.as_n_m()), 3)
        };
        format!("{} to {}", at(1.0 - allowed), at(1.0 + allowed))
    };
    let angled = fixing.tightening.stages.iter().filter(|s| s.target.angle().is_some());
    let angles: Vec<&str> = angled.map(|s| s.as_written.as_str()).collect();
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for hole in &fixing.holes {
        let own = limits(&hole.label);
        match groups.iter_mut().find(|(known, _)| *known == own) {
            Some((_, holes)) => holes.push(&hole.label),
            None => groups.push((own, vec![&hole.label])),
        }
    }
    let title = words::as_sentence(&fixing.title);
    let row = |(limits, holes): (String, Vec<&str>)| {
        PaperRow::of_cells(vec![
            PaperCell::Words(format!("{} {}", title.trim_end_matches('.'), holes.join(" "))),
            PaperCell::Words(limits),
            PaperCell::Words(angles.join(", ")),
            PaperCell::Blank,
            PaperCell::Tick(String::new()),
        ])
    };
    groups.into_iter().map(row).collect()
}

/// What the wrench shows over the torque at the fastener, with the stack that tightens a hole last; 1 in line with it.
fn wrench_ratio(job: &PaperJob<'_>, fixing: &str, hole: &str, torque_n_m: f64) -> f64 {
    let actions = record::steps_of(job.plan).flat_map(|step| &step.actions);
    let of_hole = actions.filter(|action| action.holes.iter().any(|label| label == hole));
    let duties = of_hole.filter_map(|action| job.plan.duties.get(action.duty));
    let last = duties
        .filter(|duty| {
            duty.fixing == fixing && duty.act == model::Act::Tighten && duty.torque_n_m == Some(torque_n_m)
        })
        .last();
    let set = last.and_then(|duty| duty.setting_n_m.zip(duty.torque_n_m));
    set.map_or(1.0, |(set_n_m, torque_n_m)| set_n_m / torque_n_m)
}
