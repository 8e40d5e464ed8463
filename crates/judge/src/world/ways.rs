//! Changes of a setting: does a way of the book lead there from the present value, and is it told as the book has it?

use super::values::ReplayedWorld;
use crate::case::PlanCase;
use crate::{FoundViolations, same_figure, show_figure};
use model::plan::Step;
use model::{Book, Setting, SettingChange, SettingEffect, SettingId, SettingWay, SpecialToolId};
use std::collections::BTreeSet;

/// A change of a setting as the book has it.
#[derive(Default)]
pub(super) struct TakenWay {
    /// What it sets, its own new value first.
    pub effects: Vec<SettingEffect>,
    pub tools: Vec<SpecialToolId>,
    /// Codes and words of what is wrong.
    pub faults: Vec<(&'static str, String)>,
}

impl TakenWay {
    fn fault(code: &'static str, words: String) -> Self {
        Self { faults: vec![(code, words)], ..Self::default() }
    }
}

/// The way that a step takes; of several that lead to its value, the one with the fewest faults.
pub(super) fn read_set_step(case: &PlanCase, world: &ReplayedWorld, step: &Step, station: &str) -> TakenWay {
    let Some(own) = step.sets.first().and_then(|told| effect_by_names(case.book, told)) else {
        return TakenWay::fault("J624", String::from("the step tells no setting that it changes"));
    };
    let setting = case.book.setting(own.setting);
    let now = world.values().settings[own.setting.index()];
    let leads = |way: &&SettingWay| {
        way.to == own.value && now != own.value && super::values::is_value_in(way.from, now)
    };
    let ways = setting.ways.iter().filter(leads);
    let taken = ways.map(|way| judge_way(case, world, step, (own, setting, way), station));
    let mut taken = taken.min_by_key(|taken| taken.faults.len()).unwrap_or_else(|| {
        let (from, to) = (setting.word(now), setting.word(own.value));
        let words = format!("no way of the book leads `{}` from `{from}` to `{to}`", setting.key);
        TakenWay { effects: vec![own], ..TakenWay::fault("J624", words) }
    });
    if !is_bare(step) {
        let words = format!("a change of `{}` works on something else as well", setting.key);
        taken.faults.push(("J624", words));
    }
    taken
}

/// Whether a step names nothing to work on.
fn is_bare(step: &Step) -> bool {
    let named = [&step.part, &step.condition, &step.opening, &step.task, &step.extra];
    named.into_iter().all(Option::is_none) && step.fixings.is_empty() && step.actions.is_empty()
}

fn judge_way(
    case: &PlanCase,
    world: &ReplayedWorld,
    step: &Step,
    (own, setting, way): (SettingEffect, &Setting, &SettingWay),
    here: &str,
) -> TakenWay {
    let book = case.book;
    let name = format!("`{}` to `{}`", setting.key, setting.word(own.value));
    let effects: Vec<SettingEffect> = [own].into_iter().chain(way.sets.iter().copied()).collect();
    let mut faults = Vec::new();
    let station = way.station.map(|id| book.station(id));
    let place = station.map_or(here, |s| s.key.as_str());
    if step.station != place {
        faults.push(("J624", format!("{name} is done from `{place}`, not from `{}`", step.station)));
    }
    let wanted = changes_of_effects(book, &effects);
    if step.sets.first() != wanted.first() || sorted(&step.sets) != sorted(&wanted) {
        let (wanted, told) = (change_words(&wanted), change_words(&step.sets));
        faults.push(("J624", format!("{name} sets `{wanted}`, the plan tells `{told}`")));
    }
    let texts = [(name.clone(), &way.needs)];
    let of_station = station.map(|s| (format!("station `{}`", s.key), &s.needs));
    for (asker, needs) in texts.into_iter().chain(of_station) {
        for need in needs.iter().filter(|need| !world.values().allows(need)) {
            faults.push(("J621", world.values().unmet_words(book, &asker, need)));
        }
    }
    if way.cautions.iter().any(|caution| !step.cautions.contains(caution)) {
        faults.push(("J624", format!("{name} is told without a caution of the book")));
    }
    if !same_figure(way.time_s(), step.work_s) {
        let (right, told) = (show_figure(way.time_s()), show_figure(step.work_s));
        faults.push(("J654", format!("work takes {right} s, the plan says {told} s")));
    }
    TakenWay { effects, tools: way.special_tools.clone(), faults }
}

/// J624: a step tells what its acts set, no more and no less.
pub(super) fn judge_told_effects(
    book: &Book,
    step: &Step,
    effects: &[SettingEffect],
    at: &str,
    found: &mut FoundViolations,
) {
    let wanted = changes_of_effects(book, effects);
    if sorted(&wanted) != sorted(&step.sets) {
        let (wanted, told) = (change_words(&wanted), change_words(&step.sets));
        found.add("J624", at, format!("the step sets `{wanted}`, the plan tells `{told}`"));
    }
}

fn effect_by_names(book: &Book, told: &SettingChange) -> Option<SettingEffect> {
    let setting: SettingId = book.setting_by_key(&told.setting)?;
    let value = book.setting(setting).value_by_word(&told.value)?;
    Some(SettingEffect { setting, value })
}

fn changes_of_effects(book: &Book, effects: &[SettingEffect]) -> Vec<SettingChange> {
    let change = |effect: &SettingEffect| {
        let setting = book.setting(effect.setting);
        SettingChange { setting: setting.key.clone(), value: setting.word(effect.value).to_owned() }
    };
    effects.iter().map(change).collect()
}

fn sorted(changes: &[SettingChange]) -> BTreeSet<&SettingChange> {
    changes.iter().collect()
}

/// Changes as a message gives them: `lift = up, beam = off`.
fn change_words(changes: &[SettingChange]) -> String {
    if changes.is_empty() {
        return String::from("nothing");
    }
    changes.iter().map(|c| format!("{} = {}", c.setting, c.value)).collect::<Vec<_>>().join(", ")
}
