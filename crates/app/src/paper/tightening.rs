//! Joints: about six a page, each with its holes by name, their order, what is set in each pass, and with what.
//!
//! A screw by itself with one pass stands in the work list alone: there is nothing about it that a drawing would tell.

use bolting::verdict::GroundWeight;
use model::plan::{Step, StepKind};
use model::{Fixing, HoleOrderOrigin};
use print::paper::{PaperBlock, PaperSheet, PaperStep, PartBox, SheetBody};

use super::settings::{PassSetting, settings_of_step};
use super::words::{self, SERVICE_DATA, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::bolting_answers::why::{self, FixingReasons};
use crate::size_letters::SizeLetters;
use crate::{draw, titles};

/// Greatest height of a pattern.
const PATTERN_MM: f64 = 50.0;
/// A pattern of fewer holes tells no more than their names.
const FEWEST_DRAWN: usize = 3;
/// A longer note is not told a second time.
const MAX_REPEATED_LETTERS: usize = 80;
/// What is said once at the head of the sheet where most joints say it.
const USUAL_REUSE: &str = "reuse if clean and undamaged";

pub(super) fn tightening_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let steps = || record::steps_of(job.plan).filter(|step| is_on_joint_sheet(job, step));
    let alone = record::steps_of(job.plan).filter(|step| step.kind == StepKind::Tighten).count();
    if alone == 0 {
        return Err(SheetError::Nothing {
            kind: SheetKind::Tightening,
            words: "no step of the plan tightens to a figure",
        });
    }
    let shown = steps().count();
    if shown == 0 {
        return Err(SheetError::Nothing {
            kind: SheetKind::Tightening,
            words: "every fastener is tightened by itself in one pass; the work list has the figures",
        });
    }
    let usual = UsualNotes::of_steps(job, steps());
    let mut blocks = vec![PaperBlock::Small(format!(
        "Large is what the tool is set to. Tick each pass once every hole has had it. {} {SERVICE_DATA}",
        usual.words()
    ))];
    let mut told = Vec::new();
    blocks.extend(steps().map(|step| joint_block(job, step, &usual, &mut told)));
    let others = alone - shown;
    let subtitle = match others {
        0 => String::from("in the order of the work"),
        _ => format!("in the order of the work; {others} single ones stand in the work list alone"),
    };
    Ok(vec![PaperSheet {
        title: SheetKind::Tightening.title().into(),
        subtitle,
        foot: title_block_cells(job, &[]),
        body: SheetBody::TwoColumns(blocks),
    }])
}

/// Whether a step is a joint with an order, more than one pass, or something to be asked first.
pub(super) fn is_on_joint_sheet(job: &PaperJob<'_>, step: &Step) -> bool {
    let fixings = fixings_of_step(job, step);
    let passes = fixings.iter().map(|fixing| fixing.tightening.stages.len()).max().unwrap_or(0);
    let holes: usize = super::jobs::holes_of_step(step).len();
    step.kind == StepKind::Tighten
        && holes > 0
        && (passes > 1 || (holes > 1 && HoleOrderOrigin::of_fixings(&fixings).has_order()))
}

fn fixings_of_step<'b>(job: &PaperJob<'b>, step: &Step) -> Vec<&'b Fixing> {
    let ids = step.fixings.iter().filter_map(|key| job.book.fixing_by_key(key));
    ids.map(|id| job.book.fixing(id)).collect()
}

/// What most joints of a sheet have in common, said once at its head.
struct UsualNotes {
    allowed_percent: Option<String>,
}

impl UsualNotes {
    fn of_steps<'p>(job: &PaperJob<'_>, steps: impl Iterator<Item = &'p Step>) -> Self {
        let mut counted: Vec<(String, usize)> = Vec::new();
        for fixing in steps.flat_map(|step| fixings_of_step(job, step)) {
            let percent = percent_words(fixing.tightening.tolerance_fraction);
            match counted.iter_mut().find(|(known, _)| *known == percent) {
                Some((_, count)) => *count += 1,
                None => counted.push((percent, 1)),
            }
        }
        let most = counted.into_iter().max_by(|a, b| a.1.cmp(&b.1).then_with(|| b.0.cmp(&a.0)));
        Self { allowed_percent: most.map(|(percent, _)| percent) }
    }

    /// What goes for every joint that says nothing else.
    fn words(&self) -> String {
        let allowed = self.allowed_percent.as_ref();
        let allowed = allowed.map_or_else(String::new, |p| format!("allowed deviation ± {p} %; "));
        format!(
            "Where a joint says nothing else: {allowed}fasteners: {USUAL_REUSE}; {}.",
            HoleOrderOrigin::Positions.words()
        )
    }
}

fn percent_words(fraction: f64) -> String {
    units::significant(fraction * 100.0, 2)
}

/// One joint: its passes, its holes as they lie, their order, and what is to be known.
fn joint_block(
    job: &PaperJob<'_>,
    step: &Step,
    usual: &UsualNotes,
    told: &mut Vec<(String, u32)>,
) -> PaperBlock {
    let settings = settings_of_step(job, step);
    let mut blocks = vec![PaperBlock::PartBox(pass_box(job, step, &settings))];
    let drawing = draw::pattern_for_paper(job.book, job.plan, step);
    if let Some(drawing) = drawing.filter(|_| draw::last_pass(job.plan, step).len() >= FEWEST_DRAWN) {
        blocks.push(PaperBlock::Picture { drawing, height_mm: PATTERN_MM });
    }
    let reasons = why::explain_step_with_tools(job.book, job.plan, Some(job.store), step.number);
    let mut said = vec![order_words(job, step)];
    for note in reasons.map(|found| note_lines(&found.fixings, usual)).unwrap_or_default() {
        // A long note that several joints share is told at the first.
        match told.iter().find(|(known, _)| *known == note) {
            Some((_, first)) if note.chars().count() > MAX_REPEATED_LETTERS => {
                let words: Vec<&str> = note.split(' ').take(4).collect();
                said.push(format!("{} …: as at joint {first}.", words.join(" ")));
            }
            Some(_) => said.push(note),
            None => {
                told.push((note.clone(), step.number));
                said.push(note);
            }
        }
    }
    blocks.push(PaperBlock::Small(said.join(" ")));
    let link = words::visit_page_link(job, &format!("step/{}", step.name));
    if !link.is_empty() {
        let words = String::from("opens this step on the bench, whatever its number then is");
        blocks.push(PaperBlock::Code { link, words });
    }
    PaperBlock::Together(blocks)
}

/// Every pass with what is set, large; the tools once where all passes have them.
fn pass_box(job: &PaperJob<'_>, step: &Step, settings: &[PassSetting]) -> PartBox {
    let part = step.part.as_deref().map(|key| titles::part_title(job.book, key)).unwrap_or_default();
    let fixings = fixings_of_step(job, step);
    let letters = SizeLetters::of_fixings(job.book, &fixings);
    let size = |fixing: &Fixing| {
        let letter = letters.letter_of_fixing(fixing);
        let letter = if letter.is_empty() { String::new() } else { format!("{letter} = ") };
        format!("{letter}{}", fixing.size_or_drive_words())
    };
    let mut sizes: Vec<String> = fixings.iter().map(|fixing| size(fixing)).collect();
    sizes.dedup();
    let named: Vec<&str> = fixings.iter().map(|fixing| fixing.title.as_str()).collect();
    let mut lines: Vec<PaperStep> = Vec::new();
    let mut told: Vec<&PassSetting> = Vec::new();
    for setting in settings {
        let same_set = |known: &&&PassSetting| {
            (known.pass, &known.set, &known.beside) == (setting.pass, &setting.set, &setting.beside)
        };
        if told.iter().any(|known| same_set(&known)) {
            continue;
        }
        told.push(setting);
        let of_pass: Vec<&PassSetting> = settings.iter().filter(|known| same_set(&known)).collect();
        let is_first = lines.is_empty();
        let stacks = stacks_words(&of_pass, settings);
        let is_known = !is_first && stacks == stacks_words_of_pass(settings, 1);
        let details = if is_known { vec![String::from("with the same")] } else { stacks };
        lines.push(PaperStep {
            number: format!("{}/{}", setting.pass, setting.passes.max(1)),
            words: if is_first {
                format!("{}: {}.", words::capitalised_title(&named.join(", ")), sizes.join("; "))
            } else {
                String::from("Then:")
            },
            details,
            figure: setting.set.clone(),
            beside: setting.beside.clone(),
            ..PaperStep::default()
        });
    }
    if let Some(first) = lines.first_mut() {
        first.stop = super::jobs::stop_words(job, step);
    }
    let title = format!("{}  {}", step.number, words::capitalised_title(&part));
    PartBox { title, beside: format!("joint {}", step.number), lines }
}

/// The stacks of some settings; with their holes where the pass has several.
fn stacks_words(of: &[&PassSetting], all: &[PassSetting]) -> Vec<String> {
    let is_split = of.first().is_some_and(|one| all.iter().filter(|s| s.pass == one.pass).count() > 1);
    let line = |setting: &&PassSetting| {
        let stack = super::jobs::keep_sizes_whole(&setting.stack);
        if is_split { format!("{}: {stack}", setting.holes.join(" ")) } else { stack }
    };
    of.iter().map(line).collect()
}

fn stacks_words_of_pass(settings: &[PassSetting], pass: u32) -> Vec<String> {
    let of: Vec<&PassSetting> = settings.iter().filter(|setting| setting.pass == pass).collect();
    stacks_words(&of, settings)
}

/// The holes in the order of the last pass.
fn order_words(job: &PaperJob<'_>, step: &Step) -> String {
    let order = draw::last_pass(job.plan, step);
    let origin = HoleOrderOrigin::of_fixings(&fixings_of_step(job, step));
    match origin {
        _ if order.len() == 1 => format!("Hole {}, by itself.", order[0]),
        HoleOrderOrigin::Unrelated | HoleOrderOrigin::NotKnown => {
            format!("Holes {}. {}", order.join(" "), words::as_sentence(origin.words()))
        }
        HoleOrderOrigin::MakersSequence => {
            format!("In the order {}. {}", order.join(" "), words::as_sentence(origin.words()))
        }
        HoleOrderOrigin::Positions => format!("In the order {}.", order.join(" ")),
    }
}

/// Allowed deviation, correction of the setting, renewal, what is to be asked first: each once.
fn note_lines(fixings: &[FixingReasons], usual: &UsualNotes) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut tell = |line: String| {
        if !lines.contains(&line) {
            lines.push(line);
        }
    };
    for fixing in fixings {
        if fixing.torque_n_m.is_some() {
            let percent = percent_words(fixing.allowed_fraction);
            if usual.allowed_percent.as_ref() != Some(&percent) {
                tell(format!("Allowed deviation ± {percent} %."));
            }
        }
        for pass in fixing.passes.iter().filter(|p| p.setting_n_m.is_some() && p.setting_n_m != p.torque_n_m)
        {
            tell(format!("Setting {}.", pass.correction));
            if let Some(lever) = pass.lever {
                tell(words::as_sentence(&lever.words()));
                if let Some(doubt) = lever.doubt {
                    tell(words::as_sentence(&doubt.words()));
                }
            }
        }
        if let Some(seal) = fixing.seal {
            tell(words::as_sentence(&format!("{}: {seal}", fixing.title)));
        }
        if let Some(reuse) = fixing.reuse.filter(|reuse| *reuse != USUAL_REUSE) {
            tell(words::as_sentence(&format!("{}: {reuse}", fixing.title)));
        }
        for ground in fixing.grounds.iter().filter(|g| g.weight > GroundWeight::Note) {
            tell(words::as_sentence(&format!("ASK FIRST, {}: {}", fixing.title, ground.words)));
        }
        if fixing.is_critical {
            tell(format!("{}: never finish with a power driver; look at it a second time.", fixing.title));
        }
    }
    lines
}
