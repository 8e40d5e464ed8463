//! A tick of a step: all of its fasteners that are ready, one pass at a time; or its part, its caps, its condition.

use std::collections::BTreeMap;

use model::plan::{Step, StepKind};
use model::{FastenerState, TaskKind};

use super::marks::{Aim, pass, run_in};
use super::{Bench, Decision, nothing, unknown};
use crate::names::passes_of;
use crate::refusal::{Refusal, Why};
use crate::steps::{Left, Scene, StepStanding, is_extra_of, steps_of, wait_title};
use crate::visit::is_in;
use crate::{At, Body, HappeningKind, StepTo, Waiting};

impl Bench<'_> {
    /// The tick of a step, of one fixing of it, or of one hole.
    pub(super) fn tick(&self, number: u32, fixing: Option<&str>, hole: Option<&str>) -> Decision {
        let step = steps_of(self.plan).find(|s| s.number == number);
        let step = step.ok_or_else(|| unknown("step", &number.to_string()))?;
        let scene = Scene::of(self.visit, self.names, self.plan);
        if step.actions.is_empty() {
            return self.tick_thing(step, &scene);
        }
        let (left, _) = scene.left(step);
        let wanted = |l: &&Left| {
            fixing.is_none_or(|f| f == l.fastener.fixing) && hole.is_none_or(|h| h == l.fastener.hole)
        };
        let left: Vec<&Left> = left.iter().filter(wanted).collect();
        if left.is_empty() {
            return Err(nothing("it is done already"));
        }
        match step.kind {
            StepKind::Undo => self.undo_holes(&left),
            StepKind::RunIn => self.run_in_holes(&left),
            StepKind::Tighten => self.tighten_holes(&left),
            _ => Err(unknown("act of step", &number.to_string())),
        }
    }

    /// Holes of what is left, by fixing; each once, in the order of the work.
    fn by_fixing<'l>(&self, left: &[&'l Left]) -> Result<Vec<(&'l str, Vec<&'l str>)>, Refusal> {
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
            let fixing = self.fixing(key)?;
            self.holes_known(fixing, holes.iter().copied())?;
            self.decided(fixing, holes.iter().copied())?;
        }
        Ok(all)
    }

    fn undo_holes(&self, left: &[&Left]) -> Decision {
        let mut bodies = Vec::new();
        for (key, holes) in self.by_fixing(left)? {
            bodies.push(self.marked(self.fixing(key)?, &holes, (FastenerState::Off, None)));
        }
        Ok(bodies)
    }

    fn run_in_holes(&self, left: &[&Left]) -> Decision {
        let mut bodies = Vec::new();
        for (key, holes) in self.by_fixing(left)? {
            let fixing = self.fixing(key)?;
            self.ready(key, &holes, |state| state == FastenerState::Off, "take a new one, or undo it first")?;
            let aim = run_in(passes_of(fixing));
            self.may_go(fixing, &holes, aim.0)?;
            bodies.push(self.marked(fixing, &holes, aim));
        }
        Ok(bodies)
    }

    /// One pass over the holes that are furthest behind; nothing is tightened that was not run in.
    fn tighten_holes(&self, left: &[&Left]) -> Decision {
        for (key, holes) in self.by_fixing(left)? {
            let run_in = |state| is_in(state) && state != FastenerState::Freed;
            self.ready(key, &holes, run_in, "run it in first")?;
            self.may_go(self.fixing(key)?, &holes, FastenerState::Tight)?;
        }
        let next = left.iter().filter_map(|l| l.pass).min();
        let mut marks: BTreeMap<(&str, Aim), Vec<&str>> = BTreeMap::new();
        for it in left.iter().filter(|l| l.pass == next) {
            let (key, hole) = (it.fastener.fixing.as_str(), it.fastener.hole.as_str());
            let aim = pass(next.unwrap_or(u8::MAX), passes_of(self.fixing(key)?));
            let holes = marks.entry((key, aim)).or_default();
            if !holes.contains(&hole) {
                holes.push(hole);
            }
        }
        let mut bodies = Vec::new();
        for ((key, aim), holes) in marks {
            bodies.push(self.marked(self.fixing(key)?, &holes, aim));
        }
        Ok(bodies)
    }

    /// Every hole is in a state that the act starts from.
    fn ready(
        &self,
        key: &str,
        holes: &[&str],
        is_ready: impl Fn(FastenerState) -> bool,
        closes: &str,
    ) -> Result<(), Refusal> {
        let fixing = self.fixing(key)?;
        let late = holes.iter().filter(|h| !is_ready(self.visit.state(key, h)));
        let against: Vec<_> = late.map(|h| self.against(fixing, h, closes)).collect();
        Refusal::unless_none(Why::StillOff, against)
    }

    /// The tick of a step without fasteners.
    fn tick_thing(&self, step: &Step, scene: &Scene<'_>) -> Decision {
        let part = step.part.clone().unwrap_or_default();
        let condition = step.condition.clone().unwrap_or_default();
        let opening = step.opening.clone().unwrap_or_default();
        match step.kind {
            StepKind::Open | StepKind::Drain => self.establish(condition),
            StepKind::Fill | StepKind::Restore => self.restore(condition),
            StepKind::Remove => self.part_off(part),
            StepKind::Refit => self.part_on(part),
            StepKind::Cap => self.cap(opening, None),
            StepKind::Uncap => self.uncap(opening, None),
            StepKind::Renew => self.task_done(step, TaskKind::Renew, scene),
            StepKind::Inspect => self.task_done(step, TaskKind::Inspect, scene),
            StepKind::Measure => self.task_done(step, TaskKind::Measure, scene),
            StepKind::Reseal => self.task_done(step, TaskKind::Reseal, scene),
            StepKind::Extra => self.extra_done(step, scene),
            StepKind::Wait => self.wait(step, scene),
            StepKind::Undo | StepKind::RunIn | StepKind::Tighten => Err(nothing("the step has no fasteners")),
        }
    }

    fn open(step: &Step, scene: &Scene<'_>) -> Result<(), Refusal> {
        if scene.view(step).standing == StepStanding::Done {
            return Err(nothing("it is done already"));
        }
        Ok(())
    }

    fn task_done(&self, step: &Step, work: TaskKind, scene: &Scene<'_>) -> Decision {
        Self::open(step, scene)?;
        let task = step.task.clone().unwrap_or_default();
        Ok(vec![Body::Task { task, work, to: StepTo::Done }])
    }

    /// The extra step that brings a rounded fastener out leaves it off, as no other step of the plan says so.
    fn extra_done(&self, step: &Step, scene: &Scene<'_>) -> Decision {
        Self::open(step, scene)?;
        let key = step.extra.clone().unwrap_or_default();
        let happening = self.visit.happenings.iter().find(|(event, _)| is_extra_of(&key, event));
        let rounded = happening.map(|(_, h)| h).filter(|h| h.what == HappeningKind::Rounded);
        let place = rounded.and_then(|h| h.at.fixing.as_deref().zip(h.at.hole.as_deref()));
        let mut bodies = vec![Body::Extra { step: key.clone(), to: StepTo::Done }];
        if let Some((fixing, hole)) = place.filter(|(f, h)| is_in(self.visit.state(f, h)))
            && let Some(known) = self.names.hole(fixing, hole)
        {
            self.decided(known, [hole])?;
            bodies.push(self.marked(known, &[hole], (FastenerState::Off, None)));
        }
        Ok(bodies)
    }

    /// The first tick begins the wait, the second ends it.
    fn wait(&self, step: &Step, scene: &Scene<'_>) -> Decision {
        Self::open(step, scene)?;
        let title = wait_title(&step.text);
        let mut running =
            self.visit.waits.iter().filter(|(_, w)| w.waiting.what == title && w.over.is_none());
        if let Some((event, _)) = running.next() {
            return Ok(vec![Body::WaitOver { wait: event.clone() }]);
        }
        let seconds = (step.wait_s.is_finite() && step.wait_s >= 0.0).then(|| step.wait_s.round() as u64);
        let at = At { part: step.part.clone(), step: Some(step.number), ..At::default() };
        Ok(vec![Body::WaitBegan { waiting: Waiting { what: title.to_owned(), seconds }, at }])
    }
}
