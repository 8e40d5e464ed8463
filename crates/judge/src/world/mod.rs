//! The world of a plan, replayed from the book alone: does every step find what it needs, and does every rule hold throughout?
//!
//! # Question
//! A book tells settings with ways between their values, needs and rules. Played step by step from the world as it stands at
//! the start, is the plan safe at every moment, does it change the world only as the book says, and does it end where it should?
//!
//! # Model
//! The world is the value of each setting and the standing of each part: *off* once it is lifted off, else *loose* while one
//! of its fasteners is undone, else *held*. A fastener is undone from its first loosening to the last of its passes; where
//! nothing is tightened, to its running in. A part without fasteners is held while it is in place.
//!
//! A step begins when the needs of its station and of its acts hold: breaking loose those of the fixing, or, where it tells
//! nothing of loosening, those of taking its part off; running out those of taking off; and so on, see `acts`. A change of a
//! setting takes a way from the present value; its station's needs count where it has a station of its own. Then the acts
//! take effect, then their `sets`, all as the book has them and not as the plan tells them. After each change all rules hold;
//! one that is broken is reported once, until it holds again.
//!
//! # Limits
//! What happens within one step is judged by how it ends: its fasteners are of one part, and all of them done is the only
//! state that differs from one of them undone.
//!
//! # Worked example
//! A rule asks that the right mounting is held or the beam carries. Breaking the mounting's one bolt loose makes it loose. If the
//! beam is off then, the rule is broken after this very step (J622), whatever follows.

mod acts;
mod hanging;
mod moves;
mod rules;
mod trade;
mod values;
mod ways;

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use model::plan::{Step, StepKind};
use model::progress::Progress;
use model::{SettingEffect, SettingKind, SpecialToolId, WorldNeed};
use std::collections::BTreeSet;

use acts::AskedNeeds;
use hanging::HangingWatch;
use rules::RuleWatch;
use trade::TradeWatch;
use values::ReplayedWorld;

/// J620 no course, J621 needs, J622 and J623 rules, J624 ways and effects, J625 the end, J626 order of parts, J628 and J629
/// moves, J630 loosening, J631 and J632 plugs, J633 and J634 hanging parts and tension, J654 times of ways; returns the special tools of the ways taken.
pub(crate) fn judge_world(case: &PlanCase, found: &mut FoundViolations) -> BTreeSet<SpecialToolId> {
    judge_course_of_progress(case, &Progress::default(), found)
}

/// The same for a job that has begun.
pub(crate) fn judge_course_of_progress(
    case: &PlanCase,
    progress: &Progress,
    found: &mut FoundViolations,
) -> BTreeSet<SpecialToolId> {
    let mut replay = WorldReplay::begin(case, progress);
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            replay.replay_step(step, &step_place(name, step), found);
        }
    }
    replay.judge_end(found);
    moves::judge_moves(case, progress, replay.lift_moves, found);
    replay.tools
}

/// The same for steps in another order, without the counts of moves.
pub(crate) fn judge_world_in_order<'a>(
    case: &PlanCase,
    steps: impl Iterator<Item = &'a Step>,
    name: &str,
    found: &mut FoundViolations,
) {
    let progress = Progress::default();
    let mut replay = WorldReplay::begin(case, &progress);
    for step in steps {
        replay.replay_step(step, &step_place(name, step), found);
    }
    replay.judge_end(found);
}

/// The world while the steps are replayed.
struct WorldReplay<'a> {
    case: &'a PlanCase<'a>,
    world: ReplayedWorld<'a>,
    /// Key of the station where the mechanic is.
    station: String,
    lift_moves: u32,
    tools: BTreeSet<SpecialToolId>,
    progress: &'a Progress,
    rules: RuleWatch,
    trade: TradeWatch,
    hanging: HangingWatch,
}

impl<'a> WorldReplay<'a> {
    fn begin(case: &'a PlanCase<'a>, progress: &'a Progress) -> Self {
        let world = ReplayedWorld::begin(case.book, progress);
        let rules = RuleWatch::begin(case.book, world.values());
        Self {
            case,
            world,
            station: moves::start_station(case, progress),
            lift_moves: 0,
            tools: BTreeSet::new(),
            progress,
            rules,
            trade: TradeWatch::default(),
            hanging: HangingWatch::default(),
        }
    }

    fn replay_step(&mut self, step: &Step, at: &str, found: &mut FoundViolations) {
        if step.kind == StepKind::Wait {
            return;
        }
        let before = self.world.values().clone();
        if step.kind == StepKind::Set {
            self.replay_set_step(step, at, found);
        } else {
            self.replay_act_step(step, at, found);
        }
        if *self.world.values() != before {
            self.rules.judge_rules(self.case.book, &before, self.world.values(), at, found);
        }
        self.station.clone_from(&step.station);
    }

    fn replay_act_step(&mut self, step: &Step, at: &str, found: &mut FoundViolations) {
        acts::judge_loosening_alone(self.case, step, at, found);
        let asked = acts::needs_of_step(self.case, step);
        for text in &asked {
            self.judge_needs(text, at, found);
        }
        self.judge_order_of_parts(step, at, found);
        self.trade.judge_fastener_order(self.case, &self.world, step, at, found);
        self.hanging.judge_hanging(self.case, step, at, found);
        hanging::judge_kinds(self.case, &self.world, step, at, found);
        acts::take_effect(self.case, step, &mut self.world);
        acts::bring_out_extra(self.case, self.progress, step, &mut self.world);
        let sets: Vec<SettingEffect> = asked.iter().flat_map(|text| text.sets).copied().collect();
        ways::judge_told_effects(self.case.book, step, &sets, at, found);
        self.world.apply_effects(&sets);
    }

    fn replay_set_step(&mut self, step: &Step, at: &str, found: &mut FoundViolations) {
        let taken = ways::read_set_step(self.case, &self.world, step, &self.station);
        for (code, words) in taken.faults {
            found.add(code, at, words);
        }
        self.tools.extend(taken.tools);
        self.world.apply_effects(&taken.effects);
        let own = taken.effects.first().map(|effect| self.case.book.setting(effect.setting));
        self.lift_moves += u32::from(own.is_some_and(|setting| setting.kind == SettingKind::Lift));
    }

    fn judge_needs(&self, asked: &AskedNeeds, at: &str, found: &mut FoundViolations) {
        let failing = |need: &&WorldNeed| !self.world.values().allows(need);
        for need in asked.needs.iter().filter(failing) {
            found.add("J621", at, self.world.values().unmet_words(self.case.book, &asked.asker, need));
        }
    }

    /// J626: a part goes on after the parts that its book names.
    fn judge_order_of_parts(&self, step: &Step, at: &str, found: &mut FoundViolations) {
        let Some(id) = self.case.part_of_step(step).filter(|_| step.kind == StepKind::Refit) else { return };
        let part = self.case.book.part(id);
        for other in part.world.on_after.iter().filter(|p| self.world.values().is_off(**p)) {
            let other = &self.case.book.part(*other).key;
            found.add("J626", at, format!("part `{}` goes on before `{other}` is in place", part.key));
        }
    }

    /// J625: every setting is at one of its end values.
    fn judge_end(&self, found: &mut FoundViolations) {
        let asked = self.case.plan.asked.goal.as_ref();
        if let Some(key) = asked {
            return self.judge_state_reached(key, found);
        }
        for (setting, value) in self.case.book.settings.iter().zip(&self.world.values().settings) {
            if !values::is_value_in(setting.end, *value) {
                let words = format!(
                    "`{}` is left at `{}`, and is to be at `{}`",
                    setting.key,
                    setting.word(*value),
                    values::value_words(setting, setting.end)
                );
                found.add("J625", "end", words);
            }
        }
    }

    /// J625 for a plan to a state: all that the state asks holds at the end.
    fn judge_state_reached(&self, key: &str, found: &mut FoundViolations) {
        let book = self.case.book;
        let Some(goal) = book.goal_by_key(key) else {
            found.add("J102", "asked", format!("there is no goal `{key}`"));
            return;
        };
        let end = self.world.values();
        for need in goal.needs.iter().filter(|need| !end.allows(need)) {
            found.add("J625", "end", end.unmet_words(book, &goal.title, need));
        }
    }
}
