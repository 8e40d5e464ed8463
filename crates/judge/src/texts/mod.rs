//! Words of steps: does each sentence say what its step does, and nothing that neither step nor book explains?
//!
//! # Question
//! The mechanic reads the sentence and not the fields. Does it name the step's own part, fasteners, count and figure, and could a word or a
//! figure in it send him elsewhere?
//!
//! # Method
//! What the step's fields and the book make of it is a list of phrases that the sentence has to say, each once: "6 × cover bolts", the figure as
//! the book writes it, the book's own tip. They are taken out of the sentence (J711 where one is missing). What is left may only be plain words of
//! its kind of step ("Tighten", "and"); any other word, and any figure, is explained by nothing (J712). Sentences that the book
//! writes itself are taken as a whole.
//!
//! # Limits
//! The order of the phrases and the punctuation are not judged.
//!
//! # Worked example
//! "Tighten 6 × cover bolts in pattern order: 90 N·m." of a step whose book says 9 N·m: "9 N·m" is not said (J711), and "90" and "N·m" are left over
//! (J712).

mod fasteners;
mod reading;

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::replay::opening_of_step;
use model::plan::{Step, StepKind};
use model::progress::Progress;
use model::{Condition, FastenerKind, Part, PartId};
use units::Duration;

pub(crate) use reading::{TextReading, figures_in};

/// What a sentence has to say, phrase by phrase, and the plain words that may stand between.
#[derive(Debug, Default, Clone, PartialEq)]
struct StepSentence {
    says: Vec<String>,
    plain: &'static [&'static str],
}

impl StepSentence {
    /// A sentence of one phrase.
    fn whole(text: impl Into<String>) -> Self {
        Self { says: vec![text.into()], plain: &[] }
    }

    fn say(&mut self, phrase: impl Into<String>) {
        self.says.push(phrase.into());
    }
}

/// J711 a sentence does not say what its step is, J712 it says what nothing explains.
pub(crate) fn judge_texts(case: &PlanCase, progress: &Progress, found: &mut FoundViolations) {
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            let wanted = sentences_of_step(case, progress, step);
            let faults = wanted.iter().map(|sentence| read_sentence(sentence, &step.text));
            for (code, words) in faults.min_by_key(Vec::len).unwrap_or_default() {
                found.add(code, step_place(name, step), words);
            }
        }
    }
}

/// What is wrong with a text that should be a sentence.
fn read_sentence(sentence: &StepSentence, text: &str) -> Vec<(&'static str, String)> {
    let mut reading = TextReading::new(text);
    let mut faults = Vec::new();
    let mut says: Vec<&String> = sentence.says.iter().collect();
    says.sort_by_key(|phrase| core::cmp::Reverse(phrase.len()));
    for phrase in says.into_iter().filter(|phrase| !reading.take(phrase)) {
        faults.push(("J711", format!("`{text}` does not say `{phrase}`")));
    }
    let strange = reading.words_left().into_iter().filter(|word| !sentence.plain.contains(word));
    let strange: Vec<&str> = strange.collect();
    if !strange.is_empty() {
        let words = format!("`{text}` says `{}`, which neither step nor book explains", strange.join(" "));
        faults.push(("J712", words));
    }
    faults
}

/// The sentences that would be right for a step; the first of them that fits best is taken. None where the step names nothing known, which is
/// told elsewhere.
fn sentences_of_step(case: &PlanCase, progress: &Progress, step: &Step) -> Vec<StepSentence> {
    let part = || case.part_of_step(step).map(|id| case.book.part(id));
    let condition = || case.condition_of_step(step).map(|id| case.book.condition(id));
    let one = match step.kind {
        StepKind::Open | StepKind::Drain => condition().map(|c| StepSentence::whole(&c.establish)),
        StepKind::Fill | StepKind::Restore => {
            condition().map(|c| StepSentence::whole(c.restore.clone().unwrap_or_default()))
        }
        StepKind::Wait => return waits(case, progress, step, condition()),
        StepKind::Set => return changes_of_settings(case, step),
        StepKind::Undo => fasteners::undoing(case, step),
        StepKind::RunIn => fasteners::running_in(case, step),
        StepKind::Tighten => fasteners::tightening(case, step),
        StepKind::Remove => part().map(taking_off),
        StepKind::Refit => case.part_of_step(step).map(|id| setting_in_place(case, id)),
        StepKind::Cap | StepKind::Uncap => capping(case, step),
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => work(case, step),
        StepKind::Extra => {
            let extra = progress.extra.iter().find(|e| step.extra.as_ref() == Some(&e.key));
            extra.map(|e| StepSentence::whole(&e.text))
        }
    };
    one.into_iter().collect()
}

/// A wait says what is waited for and how long: the condition of the step, else a wait of a part or of an extra step.
fn waits(
    case: &PlanCase,
    progress: &Progress,
    step: &Step,
    condition: Option<&Condition>,
) -> Vec<StepSentence> {
    let lasts = Duration::from_s(step.wait_s).spoken_text();
    let sentence =
        |title: &str| StepSentence { says: vec![title.to_owned(), lasts.clone()], plain: &["Wait"] };
    if let Some(condition) = condition {
        return vec![sentence(&condition.title)];
    }
    let parts = case.off.keys().flat_map(|id| &case.book.part(*id).refit_waits);
    let extras = progress.extra.iter().map(|extra| extra.text.trim_end_matches('.'));
    parts.map(|wait| wait.title.as_str()).chain(extras).map(sentence).collect()
}

/// A change of a setting is told in the words of a way of the book that leads to its value.
fn changes_of_settings(case: &PlanCase, step: &Step) -> Vec<StepSentence> {
    let own = step.sets.first();
    let setting =
        own.and_then(|told| Some((case.book.setting(case.book.setting_by_key(&told.setting)?), told)));
    let Some((setting, told)) = setting else { return Vec::new() };
    let to = setting.value_by_word(&told.value);
    let ways = setting.ways.iter().filter(|way| Some(way.to) == to);
    ways.map(|way| StepSentence::whole(&way.text)).collect()
}

/// Who helps, in words.
const HELPER_WORDS: &str = "with a second pair of hands";

fn taking_off(part: &Part) -> StepSentence {
    let mut sentence = StepSentence { says: vec![part.title_in_sentence()], plain: &["Take", "off"] };
    if let Some((low, high)) = part.mass.ends() {
        let low_kg = units::significant(low.as_kg(), 2);
        sentence.say(if low == high { low.to_string() } else { format!("~ {low_kg} to {high}") });
    }
    if part.helper {
        sentence.say(HELPER_WORDS);
    }
    sentence.says.extend(part.tip.clone());
    sentence
}

fn setting_in_place(case: &PlanCase, id: PartId) -> StepSentence {
    let part = case.book.part(id);
    let plain = &["Set", "in", "place", "with", "new", "parts"];
    let mut sentence = StepSentence { says: vec![part.title_in_sentence()], plain };
    if part.helper {
        sentence.say(HELPER_WORDS);
    }
    sentence.says.extend(part.renew_with.iter().map(|supply| supply.name.clone()));
    if case.book.fixings_of(id).any(|own| case.book.fixing(own).kind == FastenerKind::TabPlate) {
        sentence.say("its tab plates under their bolts");
    }
    sentence.says.extend(part.refit_tip.clone());
    sentence
}

fn capping(case: &PlanCase, step: &Step) -> Option<StepSentence> {
    let opening = case.book.opening(opening_of_step(case, step)?);
    let cap = opening.cap.as_ref()?;
    let plain: &[&str] = match step.kind {
        StepKind::Uncap => &["Take", "the", "caps", "off", "and", "count", "them"],
        _ => &["Cap", "at", "once"],
    };
    let caps = if opening.count > 1 { format!("{} × {cap}", opening.count) } else { cap.clone() };
    Some(StepSentence { says: vec![format!("the {}", opening.title), caps], plain })
}

fn work(case: &PlanCase, step: &Step) -> Option<StepSentence> {
    let task = case.book.task(case.book.task_by_key(step.task.as_ref()?)?);
    let mut letters = task.title.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase).collect::<String>();
    let mut sentence = StepSentence::whole(format!("{first}{}", letters.as_str()));
    sentence.says.extend(task.note.clone());
    Some(sentence)
}
