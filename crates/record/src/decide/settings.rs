//! Settings of the vehicle: brought to a value by hand or by a step, and changed by the work of other steps.

use model::Setting;
use model::plan::{Plan, Step, StepKind};

use super::{Decision, DecisionContext, refuse_nothing_to_do, refuse_unknown};
use crate::refusal::{Refusal, RefusalKind};
use crate::steps::{StepRulesContext, StepStanding, steps_of};
use crate::visit::{SettingStanding, quote_words};
use crate::{Visit, VisitBody, apply_pretended_events};

impl DecisionContext<'_> {
    /// A setting of the book is brought to another value of its own.
    pub(super) fn check_setting_change(&self, key: &str, value: &str) -> Result<(), Refusal> {
        let setting = self.known_setting(key)?;
        if setting.value_by_word(value).is_none() {
            let what = format!("{} has no value “{value}”", setting.title);
            return Err(Refusal::new(RefusalKind::Unknown, what, one_of_words(&setting.values)));
        }
        let now = SettingStanding::of_setting(self.visit, setting);
        if now.value == value {
            return Err(refuse_nothing_to_do(format!("{} already", now.as_words())));
        }
        Ok(())
    }

    fn known_setting(&self, key: &str) -> Result<&Setting, Refusal> {
        let book = self.require_book()?;
        if let Some(setting) = self.names.setting(key) {
            return Ok(setting);
        }
        let what = format!("the book has no setting “{key}”");
        if book.settings.is_empty() {
            let closes = "the book tells of no settings; add them to the book first";
            return Err(Refusal::new(RefusalKind::Unknown, what, closes));
        }
        let keys: Vec<&String> = book.settings.iter().map(|setting| &setting.key).collect();
        Err(Refusal::new(RefusalKind::Unknown, what, one_of_words(keys)))
    }

    /// The tick of a step that sets a setting: its own new value, then what follows from it.
    pub(super) fn tick_setting(&self, step: &Step, scene: &StepRulesContext<'_>) -> Decision {
        Self::check_step_open(step, scene)?;
        let own =
            step.sets.first().ok_or_else(|| refuse_unknown("setting of step", &step.number.to_string()))?;
        self.check_setting_change(&own.setting, &own.value)?;
        Ok(bodies_of_step(step).collect())
    }

    /// What is written down for a command, and after it what the steps set that are done by it and were not before.
    pub(super) fn add_step_effects(&self, mut bodies: Vec<VisitBody>) -> Vec<VisitBody> {
        let Some(plan) = self.plan.filter(|_| self.names.book.is_some()) else { return bodies };
        let open = self.steps_to_take_effect(plan, self.visit);
        if open.is_empty() {
            return bodies;
        }
        let mut then = self.visit.clone();
        apply_pretended_events(&mut then, &bodies);
        let still_open = self.steps_to_take_effect(plan, &then);
        let is_done = |step: &&Step| !still_open.iter().any(|open| open.number == step.number);
        bodies.extend(open.into_iter().filter(is_done).flat_map(bodies_of_step));
        bodies
    }

    /// Steps that set something besides their own work and are not done.
    fn steps_to_take_effect<'p>(&self, plan: &'p Plan, visit: &Visit) -> Vec<&'p Step> {
        let sets = |step: &&Step| step.kind != StepKind::Set && !step.sets.is_empty();
        if !steps_of(plan).any(|step| sets(&step)) {
            return Vec::new();
        }
        let scene = StepRulesContext::new(visit, self.names, plan);
        steps_of(plan)
            .filter(sets)
            .filter(|step| scene.view_step(step).standing != StepStanding::Done)
            .collect()
    }
}

fn bodies_of_step(step: &Step) -> impl Iterator<Item = VisitBody> {
    let sets = step.sets.iter();
    sets.map(|set| VisitBody::SettingChanged { setting: set.setting.clone(), value: set.value.clone() })
}

/// "use “ground” or “low”".
fn one_of_words(words: impl IntoIterator<Item = impl AsRef<str>>) -> String {
    let words: Vec<_> = words.into_iter().collect();
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    format!("use {}", quote_words(&words))
}
