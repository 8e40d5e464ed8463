//! Lasting names of steps: the same in every plan of a visit for as long as the step is to be done.
//!
//! A name says what is done to what, by the keys of the book: `undo.top-cover-bolts`, `remove.top-cover`, `cap.thermostat-outlet`,
//! `renew.coolant-pump`. Where one plan does the same in several steps, the first keeps the plain name and each other one names
//! the hole that it begins with: `undo.top-cover-bolts.from-5`. A wait and a way of a setting are named by what they are for:
//! `wait.before.remove.top-cover`, `set.lift.up.before.drain.coolant`.
//!
//! In a plan made anew a step takes the name of the old step of the same kind with which it shares the most holes and passes;
//! what the old plan does not have gets a name that the old plan does not use.

use std::collections::{BTreeMap, BTreeSet};

use model::Act;
use model::plan::{DutyLine, Plan, Step, StepKind, StepName};

/// One pass over one hole: fixing, hole, act, stage.
type HolePass<'p> = (&'p str, &'p str, Act, Option<u8>);

/// Writes the names into a plan; `old` is the plan that it takes the place of.
pub(crate) fn name_steps(plan: &mut Plan, old: Option<&Plan>) {
    let given = {
        let steps: Vec<&Step> = plan.all_steps().collect();
        let mut names = StepNames { used: BTreeSet::new(), given: vec![None; steps.len()] };
        if let Some(old) = old {
            names.used = old.all_steps().map(|step| step.name.0.clone()).collect();
            names.keep_old_names(plan, &steps, old);
        }
        names.name_the_others(&plan.duties, &steps);
        names.given
    };
    let steps = plan.strip.steps.iter_mut().chain(&mut plan.work.steps).chain(&mut plan.refit.steps);
    for (step, name) in steps.zip(given) {
        step.name = StepName(name.unwrap_or_default());
    }
}

struct StepNames {
    used: BTreeSet<String>,
    given: Vec<Option<String>>,
}

impl StepNames {
    /// Names of old steps of the same kind, the greatest share of holes first.
    fn keep_old_names(&mut self, plan: &Plan, steps: &[&Step], old: &Plan) {
        let mut old_of: BTreeMap<String, Vec<&Step>> = BTreeMap::new();
        for step in old.all_steps() {
            old_of.entry(plain_name(&old.duties, step, None)).or_default().push(step);
        }
        let mut pairs = Vec::new();
        for (at, step) in steps.iter().enumerate() {
            let passes = passes_of_step(&plan.duties, step);
            for like in old_of.get(&plain_name(&plan.duties, step, None)).into_iter().flatten() {
                let theirs = passes_of_step(&old.duties, like);
                let shared = passes.intersection(&theirs).count();
                if shared > 0 || (passes.is_empty() && theirs.is_empty() && is_named_by_itself(step)) {
                    pairs.push((core::cmp::Reverse(shared), at, like.number, like.name.0.clone()));
                }
            }
        }
        pairs.sort();
        let mut taken = BTreeSet::new();
        for (_, at, _, name) in pairs {
            if self.given[at].is_none() && taken.insert(name.clone()) {
                self.given[at] = Some(name);
            }
        }
    }

    fn name_the_others(&mut self, duties: &[DutyLine], steps: &[&Step]) {
        self.used.extend(self.given.iter().flatten().cloned());
        for (at, step) in steps.iter().enumerate().filter(|(_, step)| is_named_by_itself(step)) {
            if self.given[at].is_none() {
                self.given[at] = Some(self.take_free_name(plain_name(duties, step, None), step));
            }
        }
        let mut next = None;
        for (at, step) in steps.iter().enumerate().rev() {
            if is_named_by_itself(step) {
                next.clone_from(&self.given[at]);
            } else {
                let plain = plain_name(duties, step, Some(next.as_deref().unwrap_or("end")));
                // Nothing is done in them by hole, so the same wait before the same step is the same.
                self.given[at] = Some(self.take_lasting_name(plain));
            }
        }
    }

    fn take_free_name(&mut self, plain: String, step: &Step) -> String {
        if self.used.insert(plain.clone()) {
            return plain;
        }
        let hole = step.actions.iter().flat_map(|action| &action.holes).next();
        let from = hole.map_or_else(|| format!("{plain}.again"), |hole| format!("{plain}.from-{hole}"));
        self.take_numbered_name(from)
    }

    /// A name that an old plan may have used for the same.
    fn take_lasting_name(&mut self, plain: String) -> String {
        if self.given.iter().flatten().any(|name| *name == plain) {
            return self.take_numbered_name(plain);
        }
        self.used.insert(plain.clone());
        plain
    }

    fn take_numbered_name(&mut self, plain: String) -> String {
        let numbered = (2_u32..).map(|n| format!("{plain}.{n}"));
        let free = core::iter::once(plain.clone()).chain(numbered).find(|name| !self.used.contains(name));
        let name = free.unwrap_or(plain);
        self.used.insert(name.clone());
        name
    }
}

/// Waits and ways of settings have the name of what they are for.
const fn is_named_by_itself(step: &Step) -> bool {
    !matches!(step.kind, StepKind::Wait | StepKind::Set)
}

/// What is done to what, `next` the name of the step that follows.
fn plain_name(duties: &[DutyLine], step: &Step, next: Option<&str>) -> String {
    let act = |action: &model::plan::StepAction| duties.get(action.duty).map(|duty| duty.act);
    let verb = match step.kind {
        StepKind::Undo if step.actions.iter().all(|action| act(action) == Some(Act::Free)) => {
            if step.actions.is_empty() { "undo" } else { "loosen" }
        }
        kind => kind.file_word(),
    };
    let mut words = vec![verb.to_owned()];
    match step.kind {
        StepKind::Undo | StepKind::RunIn | StepKind::Tighten => words.extend(step.fixings.iter().cloned()),
        StepKind::Open | StepKind::Drain | StepKind::Fill | StepKind::Restore => {
            words.extend(step.condition.clone());
        }
        StepKind::Remove | StepKind::Refit => words.extend(step.part.clone()),
        StepKind::Cap | StepKind::Uncap => words.extend(step.opening.clone()),
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            words.extend(step.task.clone());
        }
        StepKind::Extra => words.extend(step.extra.clone()),
        StepKind::Set => words.extend(step.sets.first().map(|set| format!("{}.{}", set.setting, set.value))),
        StepKind::Wait => {}
    }
    if let Some(next) = next {
        words.push(format!("before.{next}"));
    }
    words.join(".")
}

fn passes_of_step<'p>(duties: &'p [DutyLine], step: &'p Step) -> BTreeSet<HolePass<'p>> {
    let of_action = |action: &'p model::plan::StepAction| {
        let duty = duties.get(action.duty);
        let holes = action.holes.iter();
        holes.filter_map(move |hole| Some((duty?.fixing.as_str(), hole.as_str(), duty?.act, duty?.stage)))
    };
    step.actions.iter().flat_map(of_action).collect()
}
