//! A tick of a step: all of its fasteners that are ready, one pass at a time; or its part, its caps, its condition.

use std::collections::BTreeMap;

use model::plan::{Step, StepKind};
use model::{FastenerState, TaskKind};

use super::marks::{MarkTarget, pass_mark, run_in_mark};
use super::{Decision, DecisionContext, refuse_nothing_to_do, refuse_unknown};
use crate::names::passes_of_fixing;
use crate::refusal::{Refusal, RefusalKind};
use crate::steps::{RemainingStepAct, StepRulesContext, StepStanding, is_extra_of, steps_of, wait_title};
use crate::visit::is_in_hole;
use crate::{EventPlace, ExpectedWait, StepMark, VisitBody, VisitHappeningKind};

impl DecisionContext<'_> {
    /// The tick of a step, of one fixing of it, or of one hole.
    pub(super) fn tick_step(&self, number: u32, fixing: Option<&str>, hole: Option<&str>) -> Decision {
        let plan = self.require_plan()?;
        self.require_book()?;
        let step = steps_of(plan).find(|s| s.number == number);
        let step = step.ok_or_else(|| refuse_unknown("step", &number.to_string()))?;
        let scene = StepRulesContext::new(self.visit, self.names, plan);
        if step.actions.is_empty() {
            return self.tick_thing(step, &scene);
        }
        let (left, _) = scene.remaining_acts(step);
        let wanted = |l: &&RemainingStepAct| {
            fixing.is_none_or(|f| f == l.fastener.fixing) && hole.is_none_or(|h| h == l.fastener.hole)
        };
        let left: Vec<&RemainingStepAct> = left.iter().filter(wanted).collect();
        if left.is_empty() {
            return Err(refuse_nothing_to_do("already done"));
        }
        match step.kind {
            StepKind::Undo => self.undo_holes(&left),
            StepKind::RunIn => self.run_in_holes(&left),
            StepKind::Tighten => self.tighten_holes(&left),
            _ => Err(refuse_unknown("act of step", &number.to_string())),
        }
    }

    /// Holes of what is left, by fixing; each once, in the order of the work.
    fn group_by_fixing<'l>(
        &self,
        left: &[&'l RemainingStepAct],
    ) -> Result<Vec<(&'l str, Vec<&'l str>)>, Refusal> {
        let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
        for it in left {
            let (fixing, hole) = (it.fastener.fixing.as_str(), it.fastener.hole.as_str());
            match all.iter_mut().find(|(f, _)| *f == fixing) {
                Some((_, holes)) if holes.contains(&hole) => {}
                Some((_, holes)) => holes.push(hole),
                None => all.push((fixing, vec![hole])),
            }
        }
        for (key, holes) in &all {
            let fixing = self.known_fixing(key)?;
            self.check_holes_known(fixing, holes.iter().copied())?;
            self.check_decided(fixing, holes.iter().copied())?;
        }
        Ok(all)
    }

    fn undo_holes(&self, left: &[&RemainingStepAct]) -> Decision {
        let mut bodies = Vec::new();
        for (key, holes) in self.group_by_fixing(left)? {
            let fixing = self.known_fixing(key)?;
            let to = if fixing.slackened { FastenerState::Freed } else { FastenerState::Off };
            bodies.push(self.mark_body(fixing, &holes, (to, None)));
        }
        Ok(bodies)
    }

    fn run_in_holes(&self, left: &[&RemainingStepAct]) -> Decision {
        let mut bodies = Vec::new();
        for (key, holes) in self.group_by_fixing(left)? {
            let fixing = self.known_fixing(key)?;
            self.check_ready(
                key,
                &holes,
                |state| state == FastenerState::Off || (fixing.slackened && state == FastenerState::Freed),
                "take a new one, or undo it first",
            )?;
            let aim = run_in_mark(passes_of_fixing(fixing));
            self.check_may_go(fixing, &holes, aim.0)?;
            bodies.push(self.mark_body(fixing, &holes, aim));
        }
        Ok(bodies)
    }

    /// One pass over the holes that are furthest behind; nothing is tightened that was not run in.
    fn tighten_holes(&self, left: &[&RemainingStepAct]) -> Decision {
        for (key, holes) in self.group_by_fixing(left)? {
            let is_slackened = self.known_fixing(key)?.slackened;
            let run_in = |state| is_in_hole(state) && (is_slackened || state != FastenerState::Freed);
            self.check_ready(key, &holes, run_in, "run it in first")?;
            self.check_may_go(self.known_fixing(key)?, &holes, FastenerState::Tight)?;
        }
        let next = left.iter().filter_map(|l| l.pass).min();
        let mut marks: BTreeMap<(&str, MarkTarget), Vec<&str>> = BTreeMap::new();
        for it in left.iter().filter(|l| l.pass == next) {
            let (key, hole) = (it.fastener.fixing.as_str(), it.fastener.hole.as_str());
            let aim = pass_mark(next.unwrap_or(u8::MAX), passes_of_fixing(self.known_fixing(key)?));
            let holes = marks.entry((key, aim)).or_default();
            if !holes.contains(&hole) {
                holes.push(hole);
            }
        }
        let mut bodies = Vec::new();
        for ((key, aim), holes) in marks {
            bodies.push(self.mark_body(self.known_fixing(key)?, &holes, aim));
        }
        Ok(bodies)
    }

    /// Every hole is in a state that the act starts from.
    fn check_ready(
        &self,
        key: &str,
        holes: &[&str],
        is_ready: impl Fn(FastenerState) -> bool,
        closes: &str,
    ) -> Result<(), Refusal> {
        let fixing = self.known_fixing(key)?;
        let late = holes.iter().filter(|h| !is_ready(self.visit.fastener_state(key, h)));
        let against: Vec<_> = late.map(|h| self.hole_reason(fixing, h, closes)).collect();
        Refusal::unless_empty(RefusalKind::StillOff, against)
    }

    /// The tick of a step without fasteners.
    fn tick_thing(&self, step: &Step, scene: &StepRulesContext<'_>) -> Decision {
        let part = step.part.clone().unwrap_or_default();
        let condition = step.condition.clone().unwrap_or_default();
        let opening = step.opening.clone().unwrap_or_default();
        match step.kind {
            StepKind::Open | StepKind::Drain => self.say_checked(VisitBody::Established { condition }),
            StepKind::Fill | StepKind::Restore => self.say_checked(VisitBody::Restored { condition }),
            StepKind::Remove => self.say_checked(VisitBody::PartOff { part }),
            StepKind::Refit => self.say_checked(VisitBody::PartOn { part }),
            StepKind::Cap => self.cap_opening(opening, None),
            StepKind::Uncap => self.uncap_opening(opening, None),
            StepKind::Renew => self.tick_task(step, TaskKind::Renew, scene),
            StepKind::Inspect => self.tick_task(step, TaskKind::Inspect, scene),
            StepKind::Measure => self.tick_task(step, TaskKind::Measure, scene),
            StepKind::Reseal => self.tick_task(step, TaskKind::Reseal, scene),
            StepKind::Extra => self.tick_extra(step, scene),
            StepKind::Wait => self.tick_wait(step, scene),
            StepKind::Set => self.tick_setting(step, scene),
            StepKind::Undo | StepKind::RunIn | StepKind::Tighten => {
                Err(refuse_nothing_to_do("the step has no fasteners"))
            }
        }
    }

    pub(super) fn check_step_open(step: &Step, scene: &StepRulesContext<'_>) -> Result<(), Refusal> {
        if scene.view_step(step).standing == StepStanding::Done {
            return Err(refuse_nothing_to_do("already done"));
        }
        Ok(())
    }

    fn tick_task(&self, step: &Step, work: TaskKind, scene: &StepRulesContext<'_>) -> Decision {
        Self::check_step_open(step, scene)?;
        let task = step.task.clone().unwrap_or_default();
        Ok(vec![VisitBody::Task { task, work, to: StepMark::Done }])
    }

    /// The extra step that brings a rounded fastener out leaves it off, as no other step of the plan says so.
    fn tick_extra(&self, step: &Step, scene: &StepRulesContext<'_>) -> Decision {
        Self::check_step_open(step, scene)?;
        let key = step.extra.clone().unwrap_or_default();
        let happening = self.visit.happenings.iter().find(|(event, _)| is_extra_of(&key, event));
        let rounded = happening.map(|(_, h)| h).filter(|h| h.what == VisitHappeningKind::Rounded);
        let place = rounded.and_then(|h| h.at.fixing.as_deref().zip(h.at.hole.as_deref()));
        let mut bodies = vec![VisitBody::Extra { step: key.clone(), to: StepMark::Done }];
        if let Some((fixing, hole)) = place.filter(|(f, h)| is_in_hole(self.visit.fastener_state(f, h)))
            && let Some(known) = self.names.fixing_with_hole(fixing, hole)
        {
            self.check_decided(known, [hole])?;
            bodies.push(self.mark_body(known, &[hole], (FastenerState::Off, None)));
        }
        Ok(bodies)
    }

    /// The first tick begins the wait, the second ends it.
    fn tick_wait(&self, step: &Step, scene: &StepRulesContext<'_>) -> Decision {
        Self::check_step_open(step, scene)?;
        let title = wait_title(&step.text);
        let mut running =
            self.visit.waits.iter().filter(|(_, w)| w.waiting.what == title && w.over.is_none());
        if let Some((event, _)) = running.next() {
            return Ok(vec![VisitBody::WaitOver { wait: event.clone() }]);
        }
        let seconds = (step.wait_s.is_finite() && step.wait_s >= 0.0).then(|| step.wait_s.round() as u64);
        let at = EventPlace { part: step.part.clone(), step: Some(step.number), ..EventPlace::default() };
        Ok(vec![VisitBody::WaitBegan { waiting: ExpectedWait { what: title.to_owned(), seconds }, at }])
    }
}
