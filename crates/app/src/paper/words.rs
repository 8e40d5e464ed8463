//! What all sheets share: names, title block, steps as lines to tick, times.

use std::collections::BTreeMap;

use model::plan::{JobPhase, Plan, Step, StepAction, StepKind};
use model::{Act, ReachVerdict};
use print::paper::{PaperBlock, PaperColumn, PaperFoot, PaperRow, PaperSheet, PaperStep, SheetBody};

use super::PaperJob;
use crate::bench::{capitalise_first, effect_words};
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
    match &job.visit {
        Some(visit) => {
            foot.push((String::from("engine"), job.book.title.clone()));
            foot.push((String::from("visit"), visit.id.clone()));
        }
        None => foot.push((String::from("book"), job.book.key.clone())),
    }
    foot.extend(own.iter().map(|(name, value)| ((*name).to_owned(), value.clone())));
    if job.book.is_invented {
        foot.push((String::from("figures"), String::from("all invented")));
    }
    if job.plan.duties.iter().any(|duty| duty.sure != ReachVerdict::Proven) {
        foot.push((String::from("~"), String::from("likely, not proven")));
    }
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
pub(super) fn hands_s(plan: &Plan) -> f64 {
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

/// A step as a line to tick: its sentence, its acts with their stacks, its figure and slot.
pub(super) fn step_line(job: &PaperJob<'_>, step: &Step) -> PaperStep {
    let plan = job.plan;
    let helper = if step.helper { " (two people)" } else { "" };
    PaperStep {
        number: step.number.to_string(),
        words: format!("{}{helper}", step.text),
        details: step_acts(plan, step)
            .into_iter()
            .chain(source_note(job, step))
            .chain(verdict_notes(job, step))
            .chain(effect_words(job.book, step))
            .collect(),
        figure: step_figure(plan, step),
        slot: step.slot.as_ref().map_or_else(String::new, ToString::to_string),
        cautions: step.cautions.iter().map(|c| (c.word, c.text.clone())).collect(),
    }
}

/// Longest source on a card, in letters; the tightening sheet has it in full.
const MAX_SOURCE_LETTERS: usize = 160;

/// "figure: invented": where the torques of a step come from, in short, each once.
fn source_note(job: &PaperJob<'_>, step: &Step) -> Option<String> {
    let mut told: Vec<String> = Vec::new();
    let duties = step.actions.iter().filter_map(|a| job.plan.duties.get(a.duty));
    for duty in duties.filter(|duty| duty.act == Act::Tighten) {
        let Some(fixing) = job.book.fixing_by_key(&duty.fixing) else { continue };
        let source = shorten_source(&job.book.fixing(fixing).tightening.source);
        if !source.is_empty() && !told.contains(&source) {
            told.push(source);
        }
    }
    if told.is_empty() { None } else { Some(format!("source: {}", told.join("; "))) }
}

/// "unusual: …; ask first": what stands against the figures of a step, each once.
fn verdict_notes(job: &PaperJob<'_>, step: &Step) -> Vec<String> {
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

/// The whole source; where it is longer than a card has room for, cut at a word with "…".
fn shorten_source(source: &str) -> String {
    let source = source.trim().trim_end_matches('.');
    if source.chars().count() <= MAX_SOURCE_LETTERS {
        return source.to_owned();
    }
    let cut: String = source.chars().take(MAX_SOURCE_LETTERS).collect();
    let whole = cut.rsplit_once(' ').map_or(cut.as_str(), |(words, _)| words);
    format!("{whole} …")
}

/// Heading where the phase or the working position changes: "Strip: over the front".
pub(super) fn phase_heading(book: &model::Book, phase: JobPhase, station: &str) -> String {
    let title = titles::station_title(book, station);
    as_sentence(&format!("{}: {title}", phase.spoken_word())).trim_end_matches('.').into()
}

/// The acts of a step, each once: "free with S3; run out with S7".
fn step_acts(plan: &Plan, step: &Step) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for action in &step.actions {
        let words = act_words(plan, action);
        if !words.is_empty() && !told.contains(&words) {
            told.push(words);
        }
    }
    if told.is_empty() { Vec::new() } else { vec![told.join("; ")] }
}

fn act_words(plan: &Plan, action: &StepAction) -> String {
    let Some(duty) = plan.duties.get(action.duty) else { return String::new() };
    let with = match (&action.stack, duty.sure) {
        (Some(id), ReachVerdict::Proven) => format!("with {id}"),
        (Some(id), _) => format!("~ with {id}"),
        (None, ReachVerdict::No) => String::from("no tool at hand"),
        (None, _) => format!("not known: {}", duty.rests_on.join(", ")),
    };
    if duty.act != Act::Tighten {
        return format!("{} {with}", duty.act);
    }
    let figure = action.figure.clone().unwrap_or_default();
    format!("{figure} {with}{}", differing_setting_words(duty.setting_n_m, duty.torque_n_m))
        .trim_start()
        .to_owned()
}

/// "set to 8.4 N·m" where the setting differs from the torque.
fn differing_setting_words(setting_n_m: Option<f64>, torque_n_m: Option<f64>) -> String {
    match setting_n_m.zip(torque_n_m) {
        Some((set_n_m, torque_n_m)) if (set_n_m - torque_n_m).abs() > 1e-9 => {
            format!(", set to {} N·m", units::significant(set_n_m, 3))
        }
        _ => String::new(),
    }
}

/// The last figure of a step that tightens, else how many fasteners it moves.
fn step_figure(plan: &Plan, step: &Step) -> String {
    if step.kind == StepKind::Tighten
        && let Some(written) = step.actions.iter().rev().find_map(|a| a.figure.clone())
    {
        return written;
    }
    let mut holes: Vec<(&str, &str)> = step
        .actions
        .iter()
        .filter_map(|a| plan.duties.get(a.duty).map(|d| (d, a)))
        .flat_map(|(d, a)| a.holes.iter().map(move |h| (d.fixing.as_str(), h.as_str())))
        .collect();
    holes.sort_unstable();
    holes.dedup();
    if holes.is_empty() { String::new() } else { format!("{} pcs", holes.len()) }
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
