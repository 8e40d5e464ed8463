//! Cautions and helpers: does each step tell what the book warns of there, no less and no more, and ask for a second pair of hands where it is needed?
//!
//! A place warns whenever it is entered. A part warns before the first step that undoes or takes off anything of it, and before it is set in place; a
//! condition before it is made; a task before its work; a change of a setting before it.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use model::plan::{Step, StepKind};
use model::progress::Progress;
use model::{Book, Caution, PartId};
use std::collections::BTreeSet;

/// Where the mechanic is while the steps are read.
struct CautionWatch<'a> {
    case: &'a PlanCase<'a>,
    progress: &'a Progress,
    station: Option<&'a str>,
    /// Parts whose undoing has begun.
    begun: BTreeSet<PartId>,
}

/// J641 a caution is missing, J642 one is told that the book does not have there, J643 helpers.
pub(crate) fn judge_cautions(case: &PlanCase, progress: &Progress, found: &mut FoundViolations) {
    let mut watch =
        CautionWatch { case, progress, station: progress.station.as_deref(), begun: BTreeSet::new() };
    for (name, sequence) in case.sequences() {
        if !case.is_course() {
            watch.station = progress.station.as_deref();
        }
        for step in &sequence.steps {
            let at = step_place(name, step);
            judge_told_cautions(
                step,
                watch.cautions_of_step(name == "strip", step),
                progress,
                case.book,
                &at,
                found,
            );
            if step.helper != watch.needs_helper(step) {
                let words = if step.helper { "nothing there needs" } else { "the book needs" };
                found.add("J643", at, format!("{words} a second pair of hands"));
            }
        }
    }
}

/// What is told against what the book has; each once.
fn judge_told_cautions(
    step: &Step,
    wanted: Vec<&Caution>,
    progress: &Progress,
    book: &Book,
    at: &str,
    found: &mut FoundViolations,
) {
    let mut told: Vec<&Caution> = step.cautions.iter().collect();
    for caution in wanted {
        match told.iter().position(|one| *one == caution) {
            Some(at) => _ = told.remove(at),
            None => found.add("J641", at, format!("{}: {} is not told", caution.word, caution.text)),
        }
    }
    // Those of a change of a setting are judged with the change.
    told.retain(|one| step.kind != StepKind::Set || !cautions_of_way(book, step).contains(one));
    // Of a job under way a rule may be broken as things stand, which is said before its first step.
    let is_of_rule = |one: &Caution| book.rules.iter().any(|rule| one.text.contains(rule.title.as_str()));
    told.retain(|one| *progress == Progress::default() || !is_of_rule(one));
    for caution in told {
        found.add("J642", at, format!("{}: {} is not in the book there", caution.word, caution.text));
    }
}

impl<'a> CautionWatch<'a> {
    /// The cautions of the book before a step; moves on to it.
    fn cautions_of_step(&mut self, is_strip: bool, step: &'a Step) -> Vec<&'a Caution> {
        let book = self.case.book;
        if step.kind == StepKind::Wait {
            return Vec::new();
        }
        let mut wanted = Vec::new();
        if self.station != Some(step.station.as_str()) {
            let entered = book.stations.iter().find(|s| s.key == step.station);
            wanted.extend(entered.into_iter().flat_map(|s| &s.cautions));
        }
        self.station = Some(&step.station);
        let part = self.case.part_of_step(step);
        match step.kind {
            StepKind::Open | StepKind::Drain => {
                let condition = self.case.condition_of_step(step).map(|id| book.condition(id));
                wanted.extend(condition.into_iter().flat_map(|c| &c.cautions));
            }
            StepKind::Undo | StepKind::Remove => {
                let first = part.filter(|id| is_strip && self.begun.insert(*id));
                wanted.extend(first.into_iter().flat_map(|id| &book.part(id).cautions));
            }
            StepKind::Refit => wanted.extend(part.into_iter().flat_map(|id| &book.part(id).refit_cautions)),
            StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
                let task = step.task.as_ref().and_then(|key| book.task_by_key(key));
                wanted.extend(task.into_iter().flat_map(|id| &book.task(id).cautions));
            }
            StepKind::Set
            | StepKind::Wait
            | StepKind::Cap
            | StepKind::Uncap
            | StepKind::RunIn
            | StepKind::Tighten
            | StepKind::Fill
            | StepKind::Restore
            | StepKind::Extra => {}
        }
        wanted
    }

    fn needs_helper(&self, step: &Step) -> bool {
        match step.kind {
            StepKind::Remove | StepKind::Refit => {
                self.case.part_of_step(step).is_some_and(|id| self.case.book.part(id).helper)
            }
            StepKind::Extra => {
                self.progress.extra.iter().any(|e| step.extra.as_ref() == Some(&e.key) && e.helper)
            }
            StepKind::Open
            | StepKind::Drain
            | StepKind::Wait
            | StepKind::Undo
            | StepKind::Cap
            | StepKind::Renew
            | StepKind::Inspect
            | StepKind::Measure
            | StepKind::Reseal
            | StepKind::Uncap
            | StepKind::RunIn
            | StepKind::Tighten
            | StepKind::Fill
            | StepKind::Restore
            | StepKind::Set => false,
        }
    }
}

/// The cautions of the way of a setting that a step takes by its words.
fn cautions_of_way<'a>(book: &'a Book, step: &Step) -> &'a [Caution] {
    let own = step.sets.first();
    let setting = own.and_then(|told| Some((book.setting(book.setting_by_key(&told.setting)?), told)));
    let Some((setting, told)) = setting else { return &[] };
    let to = setting.value_by_word(&told.value);
    let mut ways = setting.ways.iter().filter(|way| Some(way.to) == to);
    let by_words = ways.clone().find(|way| way.text == step.text);
    by_words.or_else(|| ways.next()).map_or(&[][..], |way| &way.cautions)
}
