//! Work list: strip, work and refit in two columns, one box a part; every tool in words, what is set large, where fasteners go.
//!
//! A step is found again when the plan is made anew: its number may change, its part, fixing and holes stand beside it.

use model::plan::{JobPhase, Step, StepKind};
use model::{Act, ReachVerdict};
use print::paper::{PaperBlock, PaperSheet, PaperStep, PartBox, SheetBody};
use times::shown::range_words;

use super::cautions::CautionList;
use super::settings::{PassSetting, figure_of_step, settings_of_step};
use super::words::{self, as_sentence, phase_heading, title_block_cells, verdict_notes};
use super::{PaperJob, SheetError, SheetKind, tightening};
use crate::bench::effect_words;
use crate::titles::act_at_the_bench;
use crate::{text, titles};

/// Where the cautions stand in full.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CautionPlace {
    /// On the front page of the pack.
    FrontPage,
    /// At the head of the list.
    Here,
}

pub(super) fn work_list_sheets(
    job: &PaperJob<'_>,
    place: CautionPlace,
) -> Result<Vec<PaperSheet>, SheetError> {
    let steps: Vec<(JobPhase, &Step)> = job
        .plan
        .sequences()
        .into_iter()
        .flat_map(|(phase, sequence)| sequence.steps.iter().map(move |step| (phase, step)))
        .collect();
    if steps.is_empty() {
        return Err(SheetError::Nothing { kind: SheetKind::Jobs, words: "the plan has no steps" });
    }
    let cautions = CautionList::of_job(job);
    let mut blocks = if place == CautionPlace::Here { cautions.boxes(1) } else { Vec::new() };
    for run in steps.chunk_by(|a, b| a.0 == b.0 && a.1.station == b.1.station) {
        let (phase, first) = run[0];
        blocks.push(PaperBlock::Band(phase_heading(job.book, phase, &first.station)));
        for group in run.chunk_by(|a, b| subject_of_step(a.1) == subject_of_step(b.1)) {
            let steps: Vec<&Step> = group.iter().map(|(_, step)| *step).collect();
            let begins = core::ptr::eq(steps[0], first);
            blocks.push(PaperBlock::PartBox(box_of_steps(job, &steps, &cautions, begins)));
        }
    }
    blocks.extend(source_blocks(job));
    let hands_on = range_words(job.hours().hands_on);
    let subtitle = format!("{} steps, {hands_on}; tick each when it is done", steps.len());
    Ok(vec![PaperSheet {
        title: SheetKind::Jobs.title().into(),
        subtitle,
        foot: title_block_cells(job, &[]),
        body: SheetBody::TwoColumns(blocks),
    }])
}

/// What a step is about: its part, else its task; steps on neither follow each other in one box.
pub(crate) fn subject_of_step(step: &Step) -> (Option<&str>, Option<&str>) {
    (step.part.as_deref(), step.task.as_deref().filter(|_| step.part.is_none()))
}

pub(crate) fn box_of_steps(
    job: &PaperJob<'_>,
    steps: &[&Step],
    cautions: &CautionList<'_>,
    begins_position: bool,
) -> PartBox {
    let seconds: f64 = steps.iter().map(|step| step.setup_s + step.work_s).sum();
    let title = match subject_of_step(steps[0]) {
        (Some(part), _) => words::capitalised_title(&titles::part_title(job.book, part)),
        (None, Some(task)) => words::capitalised_title(&titles::task_title(job.book, task)),
        (None, None) => String::new(),
    };
    let mut told_cautions = Vec::new();
    let mut told_tips: Vec<String> = Vec::new();
    let mut lines = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let mut line = work_line(job, step);
        for tip in tips_of_step(job, step) {
            // A step that says the tip itself says it once.
            let is_said = steps.iter().any(|other| other.text.contains(tip.trim_end_matches('.')));
            if !is_said && !told_tips.contains(&tip) {
                line.details.push(tip.clone());
                told_tips.push(tip);
            }
        }
        let all = cautions.before_step(job, step, begins_position && at == 0);
        line.cautions = all.into_iter().filter(|caution| !told_cautions.contains(caution)).collect();
        told_cautions.extend(line.cautions.iter().cloned());
        lines.push(line);
    }
    PartBox { title, beside: format!("about {}", text::table::spoken_time(seconds)), lines }
}

/// A step as a line: its sentence, its holes, every tool in words, what is set, the slot.
pub(super) fn work_line(job: &PaperJob<'_>, step: &Step) -> PaperStep {
    let settings = settings_of_step(job, step);
    let (figure, beside) = figure_of_step(&settings);
    let helper = if step.helper { " (two people)" } else { "" };
    let mut details: Vec<String> = hole_words(job, step).into_iter().collect();
    details.extend(tool_words(job, step));
    details.extend(settings_by_hole(&settings));
    details.extend(renewed_words(job, step));
    details.extend(verdict_notes(job, step));
    details.extend(effect_words(job.book, step));
    PaperStep {
        anchor: step.name.0.clone(),
        number: step.number.to_string(),
        words: format!("{}{helper}", step.text),
        details,
        figure,
        beside,
        slot: step.slot.as_ref().map_or_else(String::new, ToString::to_string),
        cautions: Vec::new(),
        stop: stop_words(job, step),
    }
}

/// The holes of a step, each once, in the order of the work.
pub(super) fn holes_of_step(step: &Step) -> Vec<&str> {
    let mut holes: Vec<&str> = Vec::new();
    for hole in step.actions.iter().flat_map(|action| &action.holes) {
        if !holes.contains(&hole.as_str()) {
            holes.push(hole);
        }
    }
    holes
}

/// The holes by name where the step has not all of its fixings, and the order where it has one.
fn hole_words(job: &PaperJob<'_>, step: &Step) -> Option<String> {
    let holes = holes_of_step(step);
    let fixings = step.fixings.iter().filter_map(|key| titles::fixing_of(job.book, key));
    let all: usize = fixings.map(|fixing| fixing.holes.len()).sum();
    if all <= 1 || holes.is_empty() {
        return None;
    }
    if step.kind == StepKind::Tighten && holes.len() > 1 {
        if tightening::is_on_joint_sheet(job, step) {
            return Some(format!("holes and order: joint {}", step.number));
        }
        return Some(format!("holes {}", holes.join(" ")));
    }
    let noun = if holes.len() == 1 { "hole" } else { "holes" };
    (holes.len() < all).then(|| format!("{noun} {}", holes.join(" ")))
}

/// A stack of a step with the act, the holes and the passes that it is for.
struct StackUse<'p> {
    act: Act,
    words: String,
    holes: Vec<&'p str>,
    stages: Vec<Option<u8>>,
}

/// Every stack of a step in words: one line where it is one, else a line for each act, its holes and its passes.
fn tool_words(job: &PaperJob<'_>, step: &Step) -> Vec<String> {
    let mut uses: Vec<StackUse<'_>> = Vec::new();
    for action in &step.actions {
        let Some(duty) = job.plan.duties.get(action.duty) else { continue };
        let id = action.stack.as_ref().or(duty.stack.as_ref());
        let words = match id.and_then(|id| job.plan.stacks.iter().find(|stack| stack.id == *id)) {
            Some(stack) if duty.sure != ReachVerdict::Proven => format!("~ {}", stack.words),
            Some(stack) => stack.words.clone(),
            None if duty.sure != ReachVerdict::No => format!("not known yet: {}", duty.rests_on.join(", ")),
            None => continue,
        };
        let words = keep_sizes_whole(&words);
        let at = uses.iter().position(|known| known.act == duty.act && known.words == words);
        let at = at.unwrap_or_else(|| {
            uses.push(StackUse { act: duty.act, words, holes: Vec::new(), stages: Vec::new() });
            uses.len() - 1
        });
        for hole in action.holes.iter().map(String::as_str) {
            if !uses[at].holes.contains(&hole) {
                uses[at].holes.push(hole);
            }
        }
        if !uses[at].stages.contains(&duty.stage) {
            uses[at].stages.push(duty.stage);
        }
    }
    if uses.windows(2).all(|two| two[0].words == two[1].words) {
        return uses.into_iter().next().map(|one| one.words).into_iter().collect();
    }
    uses.iter().map(|one| use_words(one, &uses)).collect()
}

/// "tighten pass 2, S1 S3: 13 mm deep socket, torque wrench": holes and passes where the act has them with another stack too.
fn use_words(one: &StackUse<'_>, all: &[StackUse<'_>]) -> String {
    let same_act = || all.iter().filter(|other| other.act == one.act);
    let mut named: Vec<String> = Vec::new();
    let passes = one.stages.iter().flatten().map(|stage| (stage + 1).to_string());
    if same_act().any(|other| other.stages != one.stages) {
        named.push(format!("pass {}", passes.collect::<Vec<_>>().join(" and ")));
    }
    if same_act().any(|other| other.holes != one.holes) {
        named.push(one.holes.join(" "));
    }
    let act = act_at_the_bench(one.act);
    let named = named.join(", ");
    format!("{act} {named}").trim_end().to_owned() + ": " + &one.words
}

/// Words in which a figure and what it counts stay on one line: "10 mm", "1/4 in".
pub(super) fn keep_sizes_whole(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut after_figure = false;
    for (at, word) in words.split(' ').enumerate() {
        let is_unit = matches!(word.trim_end_matches([',', ';', ')']), "mm" | "in" | "N·m" | "°" | "deg");
        if at > 0 {
            out.push(if after_figure && is_unit { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
        after_figure = word.ends_with(|c: char| c.is_ascii_digit());
    }
    out
}

/// Which holes have which setting, where one pass has several.
fn settings_by_hole(settings: &[PassSetting]) -> Vec<String> {
    let differs = settings.iter().any(|a| settings.iter().any(|b| a.pass == b.pass && a.set != b.set));
    if !differs {
        return Vec::new();
    }
    let line = |setting: &PassSetting| {
        let beside = if setting.beside.is_empty() { String::new() } else { format!(" ({})", setting.beside) };
        format!("pass {}, {}: set {}{beside}", setting.pass, setting.holes.join(" "), setting.set)
    };
    settings.iter().map(line).collect()
}

/// That fasteners are renewed, where they are.
fn renewed_words(job: &PaperJob<'_>, step: &Step) -> Option<String> {
    let is_renewed = |key: &String| job.plan.slots.iter().any(|slot| slot.fixing == *key && slot.renewed);
    let moves = matches!(step.kind, StepKind::RunIn | StepKind::Undo | StepKind::Tighten);
    (moves && step.fixings.iter().any(is_renewed)).then(|| String::from("renewed each time: fit new ones"))
}

/// The tip of the part: that of the strip where a step undoes, else that of the refit.
fn tips_of_step(job: &PaperJob<'_>, step: &Step) -> Vec<String> {
    let Some(duty) = step.actions.iter().find_map(|action| job.plan.duties.get(action.duty)) else {
        return Vec::new();
    };
    let Some(fixing) = titles::fixing_of(job.book, &duty.fixing) else { return Vec::new() };
    let part = job.book.part(fixing.part);
    let is_strip = matches!(duty.act, Act::Free | Act::RunOut);
    let tip = if is_strip { &part.tip } else { &part.refit_tip };
    tip.iter().map(|tip| as_sentence(tip)).collect()
}

/// What no tool at hand does, with the rule that stands against it.
pub(super) fn stop_words(job: &PaperJob<'_>, step: &Step) -> String {
    let mut told: Vec<String> = Vec::new();
    for action in step.actions.iter().filter(|action| action.stack.is_none()) {
        let Some(duty) = job.plan.duties.get(action.duty) else { continue };
        if duty.stack.is_some() || duty.sure != ReachVerdict::No {
            continue;
        }
        let is_it = |gap: &&model::plan::Gap| {
            (&gap.fixing, gap.access, gap.act, gap.stage) == (&duty.fixing, duty.access, duty.act, duty.stage)
        };
        let why = job.plan.readiness.gaps.iter().find(is_it).map(|gap| format!(": {}", gap.words));
        let words = format!(
            "no tool of yours does it ({}){}; see Shopping",
            act_at_the_bench(duty.act),
            why.unwrap_or_default()
        );
        if !told.contains(&words) {
            told.push(words);
        }
    }
    told.join(" ")
}

/// Where the figures come from: each source once, with its steps.
fn source_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let mut sources: Vec<(&str, Vec<u32>)> = Vec::new();
    for step in record::steps_of(job.plan).filter(|step| step.kind == StepKind::Tighten) {
        for fixing in step.fixings.iter().filter_map(|key| titles::fixing_of(job.book, key)) {
            let source = fixing.tightening.source.trim().trim_end_matches('.');
            match sources.iter_mut().find(|(known, _)| *known == source) {
                _ if source.is_empty() => {}
                Some((_, steps)) if steps.last() == Some(&step.number) => {}
                Some((_, steps)) => steps.push(step.number),
                None => sources.push((source, vec![step.number])),
            }
        }
    }
    if sources.is_empty() {
        return Vec::new();
    }
    let is_one = sources.len() == 1;
    let line = |(source, steps): &(&str, Vec<u32>)| {
        let named: Vec<String> = steps.iter().map(u32::to_string).collect();
        let of = if is_one { String::from("all figures") } else { format!("steps {}", named.join(", ")) };
        PaperBlock::Small(format!("{of}: {}.", as_sentence(source).trim_end_matches('.')))
    };
    let mut blocks = vec![PaperBlock::Band(String::from("Where the figures come from"))];
    blocks.extend(sources.iter().map(line));
    blocks.push(PaperBlock::Small(words::SERVICE_DATA.into()));
    blocks
}
