//! What a plan wants and may have to wait for: supplies, tools not at hand, tasks, parts; and on which steps each is wanted.

use model::Book;
use model::plan::{Plan, Step, StepKind};
use record::Visit;

/// What kind of thing it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WantedKind {
    /// Bought for the work.
    Supply,
    /// A tool that is not at hand.
    Tool,
    /// What a task renews.
    Task,
    /// A part that goes back on.
    Part,
}

/// A thing that a plan wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WantedThing {
    /// Its key; its name where it has none.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Kind.
    pub kind: WantedKind,
    /// Task, part, condition or fixing keys that want it.
    wanted_by: Vec<String>,
    /// It must be here before the first step.
    is_wanted_first: bool,
    /// Nobody has it, and nobody ticked it as got.
    pub(super) is_missing: bool,
}

impl WantedThing {
    /// Whether a step cannot be done before it is here.
    pub(super) fn is_wanted_at(&self, step: &Step) -> bool {
        let named = |key: &Option<String>| key.as_ref().is_some_and(|key| self.wanted_by.contains(key));
        let is_fixing = || step.fixings.iter().any(|fixing| self.wanted_by.contains(fixing));
        let is_refit = matches!(
            step.kind,
            StepKind::Refit | StepKind::RunIn | StepKind::Tighten | StepKind::Fill | StepKind::Restore
        );
        match self.kind {
            _ if self.is_wanted_first => true,
            WantedKind::Supply => {
                named(&step.task)
                    || is_refit && (self.is_part_of(step) || is_fixing() || named(&step.condition))
            }
            WantedKind::Tool => {
                named(&step.task) || named(&step.part) || is_fixing() || named(&step.condition)
            }
            WantedKind::Task => named(&step.task),
            WantedKind::Part => step.kind == StepKind::Refit && named(&step.part),
        }
    }

    fn is_part_of(&self, step: &Step) -> bool {
        step.kind == StepKind::Refit && step.part.as_ref().is_some_and(|part| self.wanted_by.contains(part))
    }
}

/// Everything that a plan wants and that may have to come first, each key once.
pub(super) fn list_wanted_things(book: &Book, plan: &Plan, visit: &Visit) -> Vec<WantedThing> {
    let ready = &plan.readiness;
    let is_got = |words: &String| visit.gathered.contains(words);
    let mut all: Vec<WantedThing> = Vec::new();
    all.extend(ready.supplies.iter().map(|line| WantedThing {
        key: line.supply.name.clone(),
        title: line.supply.name.clone(),
        kind: WantedKind::Supply,
        wanted_by: line.wanted_by.clone(),
        is_wanted_first: line.supply.before_start,
        is_missing: false,
    }));
    all.extend(ready.not_at_hand.iter().map(|line| WantedThing {
        key: line.key.clone(),
        title: line.title.clone(),
        kind: WantedKind::Tool,
        wanted_by: line.wanted_by.clone(),
        is_wanted_first: false,
        is_missing: !is_got(&line.title),
    }));
    all.extend(ready.shopping.iter().map(|line| WantedThing {
        key: line.words.clone(),
        title: line.words.clone(),
        kind: WantedKind::Tool,
        wanted_by: line.unlocks.clone(),
        is_wanted_first: false,
        is_missing: !is_got(&line.words),
    }));
    let tasks = book.tasks.iter().filter(|task| plan.asked.tasks.contains(&task.key));
    all.extend(tasks.map(|task| named_thing(&task.key, &task.title, WantedKind::Task)));
    let mut refitted: Vec<&str> =
        plan.all_steps().filter(|s| s.kind == StepKind::Refit).filter_map(|s| s.part.as_deref()).collect();
    refitted.sort_unstable();
    refitted.dedup();
    all.extend(refitted.into_iter().map(|key| {
        let title = book.part_by_key(key).map_or(key, |id| book.part(id).title.as_str());
        named_thing(key, title, WantedKind::Part)
    }));
    let mut seen = std::collections::BTreeSet::new();
    all.retain(|thing| seen.insert(thing.key.clone()));
    all
}

fn named_thing(key: &str, title: &str, kind: WantedKind) -> WantedThing {
    let (key, title) = (key.to_owned(), title.to_owned());
    WantedThing { wanted_by: vec![key.clone()], key, title, kind, is_wanted_first: false, is_missing: false }
}

/// A thing with the day on which it comes.
#[derive(Debug, Clone)]
pub(super) struct ComingThing {
    pub(super) thing: WantedThing,
    /// When it is here.
    pub(super) at_s: u32,
}

/// What a step waits for that comes last.
pub(super) fn find_last_coming<'a>(coming: &'a [ComingThing], step: &Step) -> Option<&'a ComingThing> {
    coming.iter().filter(|coming| coming.thing.is_wanted_at(step)).max_by_key(|coming| coming.at_s)
}
