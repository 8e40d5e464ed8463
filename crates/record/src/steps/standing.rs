//! The rules by which a step is done, one for each kind of step.

use std::collections::BTreeSet;

use model::plan::{Plan, Step, StepKind};
use model::{Act, FastenerState};

use super::passes::{PassTargets, find_pass_targets};
use super::settings::{WorkStanding, find_set_steps_done};
use super::{PlanStepView, RemainingStepAct, StepStanding, steps_of};
use crate::names::{BookByKey, passes_of_fixing};
use crate::visit::{HappeningEnd, ToggleState, VisitFastener, is_in_hole};
use crate::{EventId, EventOrder, FastenerKey, StepMark, Visit};

/// Visit, book and plan, with what the rules ask more than once.
pub(crate) struct StepRulesContext<'a> {
    visit: &'a Visit,
    names: &'a BookByKey<'a>,
    plan: &'a Plan,
    /// The place in the order where the plan came into force.
    since: Option<&'a EventOrder>,
    targets: PassTargets<'a>,
    /// Fasteners, parts and conditions that the plan asks to undo and that are not undone yet.
    holes_to_undo: BTreeSet<(&'a str, &'a str)>,
    parts_to_remove: BTreeSet<&'a str>,
    conditions_to_make: BTreeSet<&'a str>,
    /// Numbers of the steps that set a setting and are done.
    set_steps_done: BTreeSet<u32>,
}

impl<'a> StepRulesContext<'a> {
    pub fn new(visit: &'a Visit, names: &'a BookByKey<'a>, plan: &'a Plan) -> Self {
        let mut scene = Self {
            visit,
            names,
            plan,
            since: visit.planned.as_ref().map(|p| &p.stamp.order),
            targets: find_pass_targets(plan, names),
            holes_to_undo: BTreeSet::new(),
            parts_to_remove: BTreeSet::new(),
            conditions_to_make: BTreeSet::new(),
            set_steps_done: BTreeSet::new(),
        };
        steps_of(plan).for_each(|step| scene.note_to_undo(step));
        if steps_of(plan).any(|step| step.kind == StepKind::Set) {
            let steps: Vec<&Step> = steps_of(plan).collect();
            let work: Vec<WorkStanding> = steps.iter().map(|step| scene.work_standing(step)).collect();
            scene.set_steps_done = find_set_steps_done(visit, names, scene.since, &steps, &work);
        }
        scene
    }

    /// How far a step's own work is, for telling apart the changes of a setting around it.
    fn work_standing(&self, step: &Step) -> WorkStanding {
        if matches!(step.kind, StepKind::Set | StepKind::Wait) {
            return WorkStanding::None;
        }
        match self.view_step(step).standing {
            StepStanding::Open => WorkStanding::Open,
            StepStanding::UnderWay => WorkStanding::Begun,
            StepStanding::Done => WorkStanding::Done,
        }
    }

    fn note_to_undo(&mut self, step: &'a Step) {
        match step.kind {
            StepKind::Undo => {
                for (fixing, hole) in self.holes_of(step) {
                    if !self.is_undone(fixing, hole) {
                        self.holes_to_undo.insert((fixing, hole));
                    }
                }
            }
            StepKind::Remove => {
                let open = step.part.as_deref().filter(|p| !self.was_made(self.visit.parts.get(*p)));
                self.parts_to_remove.extend(open);
            }
            StepKind::Open | StepKind::Drain => {
                let open =
                    step.condition.as_deref().filter(|c| !self.was_made(self.visit.conditions.get(*c)));
                self.conditions_to_make.extend(open);
            }
            _ => {}
        }
    }

    fn holes_of(&self, step: &'a Step) -> Vec<(&'a str, &'a str)> {
        let plan = self.plan;
        let of_action = |a: &'a model::plan::StepAction| {
            let fixing = plan.duties.get(a.duty).map(|d| d.fixing.as_str());
            a.holes.iter().filter_map(move |h| Some((fixing?, h.as_str())))
        };
        step.actions.iter().flat_map(of_action).collect()
    }

    /// The standing of a step.
    pub fn view_step(&self, step: &Step) -> PlanStepView {
        let (left, acts) = self.remaining_acts(step);
        let standing = if acts > 0 {
            match left.len() {
                0 => StepStanding::Done,
                n if n < acts => StepStanding::UnderWay,
                _ => StepStanding::Open,
            }
        } else {
            self.thing_standing(step)
        };
        let share = if acts > 0 { left.len() as f64 / acts as f64 } else { 1.0 };
        let left_s = match standing {
            StepStanding::Open => step.total_s(),
            StepStanding::UnderWay => step.work_s * share + step.wait_s,
            StepStanding::Done => 0.0,
        };
        let acts = u32::try_from(acts).unwrap_or(u32::MAX);
        PlanStepView { number: step.number, standing, left, acts, left_s }
    }

    /// Acts on fasteners that are left of a step, and how many it has in all.
    pub fn remaining_acts(&self, step: &Step) -> (Vec<RemainingStepAct>, usize) {
        let mut left = Vec::new();
        let mut acts = 0;
        for (at, action) in step.actions.iter().enumerate() {
            let Some(duty) = self.plan.duties.get(action.duty) else { continue };
            for hole in &action.holes {
                acts += 1;
                let pass = self.targets.get(&(step.number, at, hole.as_str())).copied();
                if !self.is_act_done(&duty.fixing, hole, duty.act, pass) {
                    let fastener = FastenerKey { fixing: duty.fixing.clone(), hole: hole.clone() };
                    left.push(RemainingStepAct { fastener, act: duty.act, pass });
                }
            }
        }
        (left, acts)
    }

    fn is_act_done(&self, fixing: &str, hole: &str, act: Act, pass: Option<u8>) -> bool {
        let fastener = self.visit.fasteners.get(fixing, hole);
        if fastener.is_some_and(VisitFastener::is_undecided) {
            return false;
        }
        let known = self.names.fixing(fixing);
        match act {
            Act::Free => {
                let freed = fastener.is_some_and(|f| f.state == FastenerState::Freed);
                (freed && known.is_some_and(model::Fixing::stays_when_freed)) || self.is_undone(fixing, hole)
            }
            Act::RunOut => self.is_undone(fixing, hole),
            Act::RunIn => self.is_in_again(fixing, hole, fastener),
            Act::Tighten => {
                let passes =
                    fastener.map_or(u8::MAX, |f| f.passes_done(known.map_or(u8::MAX, passes_of_fixing)));
                self.is_in_again(fixing, hole, fastener) && passes >= pass.unwrap_or(0)
            }
        }
    }

    /// Out of its hole, or it was since the plan came into force; of one that is only slackened, the same of its loosening.
    fn is_undone(&self, fixing: &str, hole: &str) -> bool {
        let fastener = self.visit.fasteners.get(fixing, hole);
        if self.names.fixing(fixing).is_some_and(|f| f.slackened) {
            let was_loosened =
                |f: &VisitFastener| f.loosened.as_ref().is_some_and(|stamp| self.is_since(&stamp.order));
            return fastener
                .is_some_and(|f| f.state == FastenerState::Freed || !f.is_in() || was_loosened(f));
        }
        fastener.is_some_and(|f| !f.is_in() || f.off.as_ref().is_some_and(|o| self.is_since(&o.order)))
    }

    fn is_in_again(&self, fixing: &str, hole: &str, fastener: Option<&VisitFastener>) -> bool {
        let state = fastener.map_or(FastenerState::InPlace, |f| f.state);
        !self.holes_to_undo.contains(&(fixing, hole)) && is_in_hole(state) && state != FastenerState::Freed
    }

    fn is_since(&self, order: &EventOrder) -> bool {
        self.since.is_none_or(|since| order > since)
    }

    fn was_made(&self, made: Option<&ToggleState>) -> bool {
        made.is_some_and(|m| m.now || m.made.as_ref().is_some_and(|s| self.is_since(&s.order)))
    }

    fn thing_standing(&self, step: &Step) -> StepStanding {
        let done = |is_done: bool| if is_done { StepStanding::Done } else { StepStanding::Open };
        let part = step.part.as_deref().unwrap_or_default();
        let condition = step.condition.as_deref().unwrap_or_default();
        match step.kind {
            StepKind::Open | StepKind::Drain => done(!self.conditions_to_make.contains(condition)),
            StepKind::Fill | StepKind::Restore => {
                done(!self.visit.condition_holds(condition) && !self.conditions_to_make.contains(condition))
            }
            StepKind::Remove => done(!self.parts_to_remove.contains(part)),
            StepKind::Refit => done(!self.visit.is_part_off(part) && !self.parts_to_remove.contains(part)),
            StepKind::Cap => self.cap_standing(step.opening.as_deref().unwrap_or_default()),
            StepKind::Uncap => self.uncap_standing(step.opening.as_deref().unwrap_or_default()),
            StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
                let job = self.visit.tasks.get(step.task.as_deref().unwrap_or_default());
                done(job.is_some_and(|j| j.to == StepMark::Done))
            }
            StepKind::Extra => done(self.is_extra_done(step.extra.as_deref().unwrap_or_default())),
            StepKind::Wait => self.wait_standing(step),
            StepKind::Set => done(self.set_steps_done.contains(&step.number)),
            StepKind::Undo | StepKind::RunIn | StepKind::Tighten => StepStanding::Done,
        }
    }

    /// Caps are in; or they were since the plan and are out again; or the parts are back and nothing is left to cap.
    fn cap_standing(&self, opening: &str) -> StepStanding {
        let wanted = self.names.opening(opening).map_or(0, |o| u32::from(o.count));
        let caps = self.visit.openings.get(opening);
        let inside = caps.map_or(0, |c| c.inside);
        let changed = caps.and_then(|c| c.since.as_ref()).is_some_and(|s| self.is_since(&s.order));
        let was_in = changed && caps.is_some_and(|c| c.put >= wanted && c.taken > 0);
        if inside >= wanted || was_in || self.is_covered_again(opening) {
            StepStanding::Done
        } else if inside > 0 {
            StepStanding::UnderWay
        } else {
            StepStanding::Open
        }
    }

    fn uncap_standing(&self, opening: &str) -> StepStanding {
        let caps = self.visit.openings.get(opening);
        match caps.map_or(0, |c| c.inside) {
            0 if self.cap_standing(opening) == StepStanding::Done => StepStanding::Done,
            0 => StepStanding::Open,
            _ if caps.is_some_and(|c| c.taken > 0) => StepStanding::UnderWay,
            _ => StepStanding::Open,
        }
    }

    /// Whether all parts that uncover an opening were off and are on again.
    fn is_covered_again(&self, opening: &str) -> bool {
        let mut parts =
            self.names.parts_uncovering(opening).filter_map(|p| self.visit.parts.get(&p.key)).peekable();
        parts.peek().is_some() && parts.all(|m| m.is_back() && self.was_made(Some(m)))
    }

    /// Ticked by itself, or its happening is dealt with: the key of an extra step starts with its happening's.
    fn is_extra_done(&self, key: &str) -> bool {
        let ticked = self.visit.extras.get(key).is_some_and(|j| j.to == StepMark::Done);
        let dealt = self.visit.happenings.iter().any(|(event, h)| {
            is_extra_of(key, event) && matches!(h.end, Some(HappeningEnd::DealtWith { .. }))
        });
        ticked || dealt
    }

    fn wait_standing(&self, step: &Step) -> StepStanding {
        let title = wait_title(&step.text);
        let waits = self.visit.waits.values().filter(|w| w.waiting.what == title);
        match waits.max_by(|a, b| a.stamp.order.cmp(&b.stamp.order)) {
            Some(wait) if wait.over.is_none() => StepStanding::UnderWay,
            Some(wait) if wait.over.as_ref().is_some_and(|o| self.is_since(&o.order)) => StepStanding::Done,
            _ => StepStanding::Open,
        }
    }
}

/// Whether an extra step was asked for by a happening: its key starts with the event's name.
pub(crate) fn is_extra_of(key: &str, event: &EventId) -> bool {
    let rest = key.strip_prefix(event.as_str());
    rest.is_some_and(|r| !r.starts_with(|c: char| c.is_alphanumeric()))
}

/// What a wait is for: the words after "Wait 40 min: ", without the full stop.
#[must_use]
pub fn wait_title(text: &str) -> &str {
    text.split_once(": ").map_or(text, |(_, title)| title).trim_end_matches('.')
}
