//! What all sheets share: names, title block, steps as lines to tick, times.

use std::collections::BTreeMap;

use model::plan::{JobPhase, Plan, SlotLine, Step};
use model::{Act, ReachVerdict};
use print::paper::{PaperBlock, PaperColumn, PaperFoot, PaperRow, PaperSheet, PaperStep, SheetBody};

use super::PaperJob;
use crate::bench::capitalise_first;
use crate::bolting_answers::verdict_note;
use crate::titles;

/// Printed on every sheet that gives a figure.
pub(super) const SERVICE_DATA: &str = "The maker's service data always win over anything worked out here.";

/// Letter and name of the vehicle; the engine where it has no name.
pub(super) fn vehicle_title(job: &PaperJob<'_>) -> String {
    let opened = job.state().and_then(|state| state.opened.as_ref());
    let name = opened.map_or_else(|| job.book.title.clone(), |o| o.name.clone());
    format!("{}  {name}", job.plan.asked.vehicle)
}

/// The title block of a sheet: vehicle, engine and visit, then what is its own.
pub(super) fn title_block_cells(job: &PaperJob<'_>, own: &[(&str, String)]) -> PaperFoot {
    let mut foot = vec![(String::from("vehicle"), vehicle_title(job))];
    if let Some(visit) = &job.visit {
        foot.push((String::from("engine"), job.book.title.clone()));
        foot.push((String::from("visit"), visit.id.clone()));
    }
    foot.extend(own.iter().map(|(name, value)| ((*name).to_owned(), value.clone())));
    let is_likely = job.plan.duties.iter().any(|duty| duty.sure != ReachVerdict::Proven);
    let figures = match (job.book.is_invented, is_likely) {
        (true, true) => "invented; ~ = likely",
        (true, false) => "all invented",
        (false, true) => "~ = likely",
        (false, false) => return foot,
    };
    foot.push((String::from("figures"), String::from(figures)));
    foot
}

/// A sheet of blocks.
pub(super) fn flow_sheet(
    title: &str,
    subtitle: &str,
    foot: PaperFoot,
    blocks: Vec<PaperBlock>,
) -> PaperSheet {
    PaperSheet { title: title.into(), subtitle: subtitle.into(), foot, body: SheetBody::Flow(blocks) }
}

/// A heading with what follows, where anything does.
pub(super) fn push_section(blocks: &mut Vec<PaperBlock>, heading: &str, below: Vec<PaperBlock>) {
    if !below.is_empty() {
        blocks.push(PaperBlock::Heading(heading.into()));
        blocks.extend(below);
    }
}

/// A table, where it has any rows.
pub(super) fn table_if_any(columns: Vec<PaperColumn>, rows: Vec<PaperRow>) -> Vec<PaperBlock> {
    if rows.is_empty() { Vec::new() } else { vec![PaperBlock::Table { columns, rows }] }
}

/// Set-ups and work of all phases as planned, waits left out.
pub(crate) fn hands_s(plan: &Plan) -> f64 {
    [&plan.strip, &plan.work, &plan.refit].iter().map(|s| s.setup_s + s.work_s).sum()
}

/// Address of a page of the visit; empty where no bench is served.
pub(super) fn visit_page_link(job: &PaperJob<'_>, page: &str) -> String {
    match &job.visit {
        Some(visit) if !job.base.is_empty() => format!("{}/v/{}/{page}", job.base, visit.id),
        _ => String::new(),
    }
}

/// A caution of the book as a block.
pub(super) fn caution_block(caution: &model::Caution) -> PaperBlock {
    PaperBlock::Caution { signal: caution.word, text: caution.text.clone() }
}

/// A step as a line to tick, with its cautions in full.
pub(super) fn step_line(job: &PaperJob<'_>, step: &Step) -> PaperStep {
    let cautions = step.cautions.iter().map(|c| (c.word, c.text.clone())).collect();
    PaperStep { cautions, ..super::jobs::work_line(job, step) }
}

/// A title with a large first letter.
pub(super) fn capitalised_title(title: &str) -> String {
    capitalise_first(title.trim())
}

/// "unusual: …; ask first": what stands against the figures of a step, each once.
pub(super) fn verdict_notes(job: &PaperJob<'_>, step: &Step) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    let duties = step.actions.iter().filter_map(|action| job.plan.duties.get(action.duty));
    for duty in duties.filter(|duty| duty.act == Act::Tighten) {
        let Some(fixing) = job.book.fixing_by_key(&duty.fixing) else { continue };
        let note = verdict_note(job.book, job.book.fixing(fixing));
        if let Some(note) = note
            && !told.contains(&note)
        {
            told.push(note);
        }
    }
    told
}

/// Heading where the phase or the working position changes: "Strip: over the front".
pub(super) fn phase_heading(book: &model::Book, phase: JobPhase, station: &str) -> String {
    let title = titles::station_title(book, station);
    as_sentence(&format!("{}: {title}", phase.spoken_word())).trim_end_matches('.').into()
}

/// Ids of the stacks of steps with the duty that shows each first, in the order of the work.
pub(super) fn stacks_of_steps<'s>(steps: impl Iterator<Item = &'s Step>) -> Vec<(&'s str, usize, u32)> {
    let mut found: Vec<(&str, usize, u32)> = Vec::new();
    for step in steps {
        for action in &step.actions {
            if let Some(id) = action.stack.as_deref()
                && !found.iter().any(|(known, _, _)| *known == id)
            {
                found.push((id, action.duty, step.number));
            }
        }
    }
    found
}

/// Whether fasteners lie in a compartment of a tray.
pub(super) fn lies_in_tray(job: &PaperJob<'_>, line: &SlotLine) -> bool {
    let number = |key: &str| line.slot.compartment_of(&job.plan.asked.vehicle, key);
    job.store.trays.iter().any(|tray| number(&tray.key).is_some())
}

/// First and last step that use each piece, by key of the piece.
pub(super) fn piece_spans(plan: &Plan) -> BTreeMap<&str, (u32, u32)> {
    let mut spans: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for step in record::steps_of(plan) {
        for id in step.actions.iter().filter_map(|a| a.stack.as_ref()) {
            let Some(stack) = plan.stacks.iter().find(|s| s.id == *id) else { continue };
            for piece in stack.pieces.iter().chain(&stack.hold) {
                let span = spans.entry(piece).or_insert((step.number, step.number));
                *span = (span.0.min(step.number), span.1.max(step.number));
            }
        }
    }
    spans
}

/// A time as it is on the sheets.
pub(super) fn time_words(job: &PaperJob<'_>, at_ms: i64) -> String {
    jiff::Timestamp::from_millisecond(at_ms).map_or_else(
        |_| String::from("at an unknown time"),
        |at| at.to_zoned_datetime(job.zone.clone()).strftime("%Y-%m-%d %H:%M").to_string(),
    )
}

/// A sentence: large first letter, full stop.
pub(super) fn as_sentence(words: &str) -> String {
    let words = capitalise_first(words.trim());
    if words.is_empty() || words.ends_with(['.', '!', '?']) { words } else { format!("{words}.") }
}
