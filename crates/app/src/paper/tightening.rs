//! Tightening sheet: for each joint its passes, order, figure, wrench setting, and the source of each figure.

use bolting::verdict::GroundWeight;
use model::plan::{Step, StepKind};
use model::{Fixing, HoleOrderOrigin};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};

use super::words::{self, SERVICE_DATA, flow_sheet, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::bolting_answers::why::{self, FixingReasons, PassReasons};
use crate::draw;
use crate::size_letters::SizeLetters;

/// Height of a pattern.
const PATTERN_MM: f64 = 48.0;

pub(super) fn tightening_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let mut blocks = vec![PaperBlock::Small(format!(
        "Figures come from the book. {SERVICE_DATA} Tick each pass once every hole has had it."
    ))];
    let before = blocks.len();
    for step in record::steps_of(job.plan).filter(|s| s.kind == StepKind::Tighten) {
        blocks.extend(joint_block(job, step));
    }
    if blocks.len() == before {
        return Err(SheetError::Nothing {
            kind: SheetKind::Tightening,
            words: "no step of the plan tightens to a figure",
        });
    }
    Ok(vec![flow_sheet("Tightening sheet", &job.book.title, title_block_cells(job, &[]), blocks)])
}

/// One step with its cautions, pattern, passes and sources.
fn joint_block(job: &PaperJob<'_>, step: &Step) -> Option<PaperBlock> {
    let found = why::explain_step_with_tools(job.book, job.plan, Some(job.store), step.number).ok()?;
    let mut blocks = vec![PaperBlock::Heading(format!("Step {}: {}", step.number, step.text))];
    blocks.extend(step.cautions.iter().map(words::caution_block));
    let passes = passes_table(job, step, &found.fixings);
    match draw::pattern_picture(job.book, job.plan, step) {
        Some(drawing) => {
            blocks.push(PaperBlock::Columns(vec![
                vec![PaperBlock::Picture { drawing, height_mm: PATTERN_MM }],
                vec![passes, order_block(job, step)],
            ]));
        }
        None => {
            blocks.push(passes);
            blocks.push(order_block(job, step));
        }
    }
    blocks.push(PaperBlock::Small(source_words(&found.fixings)));
    Some(PaperBlock::Together(blocks))
}

fn passes_table(job: &PaperJob<'_>, step: &Step, fixings: &[FixingReasons]) -> PaperBlock {
    let ids = step.fixings.iter().filter_map(|key| job.book.fixing_by_key(key));
    let of_step: Vec<&Fixing> = ids.map(|id| job.book.fixing(id)).collect();
    let letters = SizeLetters::of_fixings(job.book, &of_step).letters_with_sizes();
    let letter = |size: &str| {
        let known = letters.iter().find(|(letter, known)| known == size && !letter.is_empty());
        known.map_or_else(String::new, |(letter, _)| format!("{letter}: "))
    };
    let columns = vec![
        PaperColumn::of_words("pass", 1.4),
        PaperColumn::of_words("figure", 2.4),
        PaperColumn::of_words("set", 2.0),
        PaperColumn::of_words("with", 5.0),
    ];
    let mut rows = Vec::new();
    for fixing in fixings {
        rows.push(PaperRow::heading(&format!("{}{}, {}", letter(&fixing.size), fixing.title, fixing.size)));
        rows.extend(fixing.passes.iter().map(pass_row));
    }
    PaperBlock::Table { columns, rows }
}

fn pass_row(pass: &PassReasons) -> PaperRow {
    // A guessed lever carries the mark; what it means stands below.
    let mark = if pass.lever.is_some_and(|lever| lever.doubt.is_some()) { "~ " } else { "" };
    let set = pass
        .to_set_n_m()
        .map_or_else(String::new, |set_n_m| format!("{mark}{} N·m", units::significant(set_n_m, 4)));
    PaperRow::of_cells(vec![
        PaperCell::Tick(pass.pass.to_string()),
        PaperCell::Bold(pass.figure.clone()),
        PaperCell::Words(set),
        PaperCell::Words(pass.stack.clone()),
    ])
}

/// The holes in the order of the last pass.
fn order_block(job: &PaperJob<'_>, step: &Step) -> PaperBlock {
    let order = draw::last_pass(job.plan, step);
    let ids = step.fixings.iter().filter_map(|key| job.book.fixing_by_key(key));
    let fixings: Vec<&Fixing> = ids.map(|id| job.book.fixing(id)).collect();
    let origin = HoleOrderOrigin::of_fixings(&fixings);
    if order.len() <= 1 {
        return PaperBlock::Small(String::from("One fastener."));
    }
    let said = words::as_sentence(origin.words());
    match origin {
        HoleOrderOrigin::Unrelated | HoleOrderOrigin::NotKnown => PaperBlock::Small(said),
        HoleOrderOrigin::MakersSequence | HoleOrderOrigin::Positions => {
            PaperBlock::Text(format!("In the order {}. {said}", order.join(" ")))
        }
    }
}

/// Source, allowed deviation, correction of the setting, renewal, each once.
fn source_words(fixings: &[FixingReasons]) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut tell = |line: String| {
        if !lines.contains(&line) {
            lines.push(line);
        }
    };
    for fixing in fixings {
        if !fixing.source.is_empty() {
            tell(format!("Source of the figures: {}.", fixing.source.trim_end_matches('.')));
        }
        if fixing.torque_n_m.is_some() {
            let percent = units::significant(fixing.allowed_fraction * 100.0, 2);
            tell(format!("Allowed deviation ± {percent} %."));
        }
        for pass in fixing.passes.iter().filter(|p| p.setting_n_m != p.torque_n_m) {
            tell(format!("Pass {}: setting {}.", pass.pass, pass.correction));
            if let Some(lever) = pass.lever {
                tell(format!("Pass {}: {}.", pass.pass, lever.words()));
                if let Some(doubt) = lever.doubt {
                    tell(format!("Pass {}: {}.", pass.pass, doubt.words()));
                }
            }
        }
        if let Some(reuse) = fixing.reuse {
            tell(words::as_sentence(&format!("{}: {reuse}", fixing.title)));
        }
        for ground in fixing.grounds.iter().filter(|g| g.weight > GroundWeight::Note) {
            tell(words::as_sentence(&format!("ASK FIRST, {}: {}", fixing.title, ground.words)));
        }
        if fixing.is_critical {
            tell(format!("{}: never finish with a power driver; look at it a second time.", fixing.title));
        }
    }
    lines.join(" ")
}
