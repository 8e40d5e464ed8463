//! The state of a visit as the planner takes it to plan the rest: what is so now, what runs, and what stands open.
//!
//! What two devices differ about counts as it was before they differed. A broken fastener whose happening is dealt with is
//! out of its hole: a new one is run in.

use std::collections::BTreeSet;

use model::progress as rest;
use model::{Book, FastenerState, HoldsBack};

use crate::names::{Names, passes_of};
use crate::visit::{Happening, HappeningEnd, Made};
use crate::{EventId, HappeningKind, Stamp, StepTo, Visit};

impl Visit {
    /// What is done so far; `now_ms` is the time by the clock of whoever plans, milliseconds since 1970-01-01 UTC.
    #[must_use]
    pub fn progress(&self, book: &Book, now_ms: i64) -> rest::Progress {
        let names = Names::of(book);
        let now = |all: &std::collections::BTreeMap<String, Made>| keys(all, |m| m.now);
        let back = |all: &std::collections::BTreeMap<String, Made>| keys(all, Made::is_back);
        let openings = |is: fn(&crate::visit::Caps) -> bool| {
            self.openings.iter().filter(|(_, c)| is(c)).map(|(key, _)| key.clone()).collect()
        };
        let done = self.tasks.iter().filter(|(_, t)| t.to == StepTo::Done);
        let mut progress = rest::Progress {
            parts_off: now(&self.parts),
            parts_back: back(&self.parts),
            conditions: now(&self.conditions),
            conditions_undone: back(&self.conditions),
            capped: openings(|c| c.inside > 0),
            uncapped: openings(|c| c.inside == 0 && c.taken > 0),
            tasks_done: done.map(|(key, _)| key.clone()).collect(),
            running: self.running(&names, now_ms),
            ..rest::Progress::default()
        };
        for (fixing, hole, f) in self.fasteners.iter().filter(|(_, _, f)| f.state != FastenerState::InPlace) {
            let all = names.fixing(fixing).map_or(u8::MAX, passes_of);
            let state = self.state_for_planning(fixing, hole, f.state);
            progress.set(fixing, hole, rest::Fastener { state, passes: f.passes(all) });
        }
        progress
    }

    /// What happened off the plan and stands open or was given up, named by its event; the planner adds the usual steps.
    #[must_use]
    pub fn happenings_for_planning(&self) -> Vec<rest::Happening> {
        let open = self.happenings.iter().filter(|(_, h)| !is_dealt_with(h));
        open.map(|(event, happening)| happening_for_planning(event, happening)).collect()
    }

    /// Writes over a progress into which happenings were taken what the journal knows better: extra steps that are done, what
    /// is left of their waits, and how each fastener stands by the last word on it.
    ///
    /// Replanning is `take_in` of [`Visit::progress`] with [`Visit::happenings_for_planning`], then this, then the rest.
    pub fn settle_progress(&self, book: &Book, progress: &mut rest::Progress, now_ms: i64) {
        let done = self.extras.iter().filter(|(_, j)| j.to == StepTo::Done);
        for (key, job) in done {
            progress.do_extra(key);
            if let Some(extra) = progress.extra.iter_mut().find(|e| e.key == *key) {
                extra.hold_up_s = left_s(&job.stamp, extra.hold_up_s, now_ms).max(0.0);
            }
        }
        let names = Names::of(book);
        for (fixing, hole, f) in self.fasteners.iter() {
            let brought_out = progress.extra.iter().any(|e| {
                let holds = e.fixing.as_deref() == Some(fixing) && e.holes.iter().any(|h| h == hole);
                let later = self.extras.get(&e.key).is_some_and(|j| j.stamp.order > f.since.order);
                e.brings_out && e.done && holds && later
            });
            if !brought_out {
                let all = names.fixing(fixing).map_or(u8::MAX, passes_of);
                let state = self.state_for_planning(fixing, hole, f.state);
                progress.set(fixing, hole, rest::Fastener { state, passes: f.passes(all) });
            }
        }
    }

    fn state_for_planning(&self, fixing: &str, hole: &str, state: FastenerState) -> FastenerState {
        let mut told = self
            .happenings
            .values()
            .filter(|h| h.at.fixing.as_deref() == Some(fixing) && h.at.hole.as_deref() == Some(hole));
        match state {
            FastenerState::Broken => {
                let (mut any, mut open) = (false, false);
                told.by_ref().for_each(|h| (any, open) = (true, open || !is_dealt_with(h)));
                if any && !open { FastenerState::Missing } else { FastenerState::Broken }
            }
            other => other,
        }
    }

    /// Hold-ups of conditions and waits of parts that are not over by the clock, nor said to be over.
    fn running(&self, names: &Names<'_>, now_ms: i64) -> Vec<rest::Running> {
        let mut running = Vec::new();
        for (key, made) in self.conditions.iter().filter(|(_, m)| m.now) {
            let Some(condition) = names.condition(key) else { continue };
            let left_s = left_s(&made.since, condition.hold_up.as_s(), now_ms);
            if left_s > 0.0 && !self.is_said_over(&condition.title, &made.since) {
                running.push(rest::Running { condition: Some(key.clone()), part: None, wait: 0, left_s });
            }
        }
        for (key, made) in self.parts.iter().filter(|(_, m)| m.is_back()) {
            let Some(part) = names.part(key) else { continue };
            for (at, wait) in part.refit_waits.iter().enumerate() {
                let from = match wait.holds_back {
                    HoldsBack::Tightening => &made.since,
                    HoldsBack::Filling | HoldsBack::NextPart => self.last_on(names, key, &made.since),
                };
                let left_s = left_s(from, wait.time.as_s(), now_ms);
                if left_s > 0.0 && !self.is_said_over(&wait.title, from) {
                    let (part, wait) = (Some(key.clone()), u16::try_from(at).unwrap_or(u16::MAX));
                    running.push(rest::Running { condition: None, part, wait, left_s });
                }
            }
        }
        running
    }

    /// The last thing done to a part that is on: it was set in place, or a fastener of it was marked.
    fn last_on<'a>(&'a self, names: &Names<'_>, part: &str, on: &'a Stamp) -> &'a Stamp {
        let own = |fixing: &str| names.fixing(fixing).is_some_and(|f| names.part_of(f).key == part);
        let marks = self.fasteners.iter().filter(|(fixing, _, _)| own(fixing)).map(|(_, _, f)| &f.since);
        marks.chain([on]).max_by(|a, b| a.order.cmp(&b.order)).unwrap_or(on)
    }

    fn is_said_over(&self, title: &str, since: &Stamp) -> bool {
        let over = self.waits.values().filter(|w| w.waiting.what == title).filter_map(|w| w.over.as_ref());
        over.into_iter().any(|o| o.order > since.order)
    }
}

fn keys(all: &std::collections::BTreeMap<String, Made>, is: impl Fn(&Made) -> bool) -> BTreeSet<String> {
    all.iter().filter(|(_, m)| is(m)).map(|(key, _)| key.clone()).collect()
}

fn left_s(since: &Stamp, length_s: f64, now_ms: i64) -> f64 {
    length_s - now_ms.saturating_sub(since.at_ms) as f64 / 1_000.0
}

fn is_dealt_with(happening: &Happening) -> bool {
    matches!(happening.end, Some(HappeningEnd::DealtWith { .. }))
}

fn happening_for_planning(event: &EventId, happening: &Happening) -> rest::Happening {
    let at = &happening.at;
    let of_a_fastener = at.fixing.is_some() && at.hole.is_some();
    let kind = match happening.what {
        HappeningKind::Seized => rest::HappeningKind::Seized,
        HappeningKind::Rounded => rest::HappeningKind::Rounded,
        HappeningKind::Broken => rest::HappeningKind::Broken,
        HappeningKind::ThreadCameOut => rest::HappeningKind::ThreadCameOut,
        HappeningKind::Extra => rest::HappeningKind::ExtraPart,
        HappeningKind::WrongPart => rest::HappeningKind::WrongPart,
        HappeningKind::PartMissing => rest::HappeningKind::PartMissing,
        HappeningKind::Lost if of_a_fastener => rest::HappeningKind::Lost,
        HappeningKind::Lost => rest::HappeningKind::Dropped,
        HappeningKind::FoundLikeThis => rest::HappeningKind::FoundLikeThis,
    };
    rest::Happening {
        key: event.as_str().to_owned(),
        kind,
        fixing: at.fixing.clone(),
        holes: at.hole.iter().cloned().collect(),
        part: at.part.clone(),
        note: happening.words.clone(),
        extra: Vec::new(),
    }
}
