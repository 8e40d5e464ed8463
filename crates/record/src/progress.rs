//! The state of a visit in the form the planner needs: what holds now, what is running, and what is open.
//!
//! What two devices disagree about counts as it was before they disagreed. A broken fastener whose happening is dealt with is
//! out of its hole: a new one is run in.

use std::collections::{BTreeMap, BTreeSet};

use model::progress as rest;
use model::{Book, FastenerState};

use crate::names::{BookByKey, passes_of_fixing};
use crate::visit::{HappeningEnd, ToggleState, VisitHappening};
use crate::waits::{WaitGround, wait_left_s};
use crate::{EventId, StepMark, Visit, VisitHappeningKind};

impl Visit {
    /// What is done so far; `now_ms` is the time by the clock of whoever plans, milliseconds since 1970-01-01 UTC.
    #[must_use]
    pub fn planning_progress(&self, book: &Book, now_ms: i64) -> rest::Progress {
        let names = BookByKey::new(Some(book));
        let now = |all: &BTreeMap<String, ToggleState>| keys_where(all, |m| m.now);
        let back = |all: &BTreeMap<String, ToggleState>| keys_where(all, ToggleState::is_back);
        let openings = |is: fn(&crate::visit::OpeningCaps) -> bool| {
            self.openings.iter().filter(|(_, c)| is(c)).map(|(key, _)| key.clone()).collect()
        };
        let done = self.tasks.iter().filter(|(_, t)| t.to == StepMark::Done);
        let mut progress = rest::Progress {
            parts_off: now(&self.parts),
            parts_back: back(&self.parts),
            conditions: now(&self.conditions),
            conditions_undone: back(&self.conditions),
            capped: openings(|c| c.inside > 0),
            uncapped: openings(|c| c.inside == 0 && c.taken > 0),
            tasks_done: done.map(|(key, _)| key.clone()).collect(),
            running: self.running_waits(&names, now_ms),
            settings: self.known_settings(&names),
            ..rest::Progress::default()
        };
        for (fixing, hole, f) in self.fasteners.iter().filter(|(_, _, f)| f.state != FastenerState::InPlace) {
            let all = names.fixing(fixing).map_or(u8::MAX, passes_of_fixing);
            let state = self.state_for_planning(fixing, hole, f.state);
            progress.set_fastener(fixing, hole, rest::FastenerProgress { state, passes: f.passes_done(all) });
        }
        progress
    }

    /// What happened off the plan and is open or was given up, named by its event; the planner adds the usual steps.
    #[must_use]
    pub fn happenings_for_planning(&self) -> Vec<rest::Happening> {
        let open = self.happenings.iter().filter(|(_, h)| !is_dealt_with(h));
        open.map(|(event, happening)| happening_for_planning(event, happening)).collect()
    }

    /// Overwrites, in a progress that already contains the happenings, whatever the journal knows better: extra steps that are done, what
    /// is left of their waits, and the state of each fastener by the latest report on it.
    ///
    /// Replanning is `take_in` of `VisitSubcommand::planning_progress` with [`Visit::happenings_for_planning`], then this, then the rest.
    pub fn settle_progress(&self, book: &Book, progress: &mut rest::Progress, now_ms: i64) {
        let done = self.extras.iter().filter(|(_, j)| j.to == StepMark::Done);
        for (key, job) in done {
            progress.do_extra(key);
            if let Some(extra) = progress.extra.iter_mut().find(|e| e.key == *key) {
                extra.hold_up_s = wait_left_s(&job.stamp, extra.hold_up_s, now_ms).max(0.0);
            }
        }
        let names = BookByKey::new(Some(book));
        for (fixing, hole, f) in self.fasteners.iter() {
            let brought_out = progress.extra.iter().any(|e| {
                let holds = e.fixing.as_deref() == Some(fixing) && e.holes.iter().any(|h| h == hole);
                let later = self.extras.get(&e.key).is_some_and(|j| j.stamp.order > f.since.order);
                e.brings_out && e.done && holds && later
            });
            if !brought_out {
                let all = names.fixing(fixing).map_or(u8::MAX, passes_of_fixing);
                let state = self.state_for_planning(fixing, hole, f.state);
                progress.set_fastener(
                    fixing,
                    hole,
                    rest::FastenerProgress { state, passes: f.passes_done(all) },
                );
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

    /// Settings that were changed, as far as the book knows them and their values.
    fn known_settings(&self, names: &BookByKey<'_>) -> BTreeMap<String, String> {
        let latest = self.settings.iter().filter_map(|(key, history)| Some((key, history.latest()?)));
        let known = latest.filter(|(key, report)| {
            names.setting(key).is_some_and(|setting| setting.value_by_word(&report.value).is_some())
        });
        known.map(|(key, report)| (key.clone(), report.value.clone())).collect()
    }

    /// Hold-ups of conditions and waits of parts that are not over by the clock, nor reported as over.
    fn running_waits(&self, names: &BookByKey<'_>, now_ms: i64) -> Vec<rest::BegunWait> {
        let mut running = Vec::new();
        for wait in self.begun_book_waits(names).into_iter().filter(|wait| !wait.is_told_over) {
            let Some(left_s) = wait.left_s(now_ms).filter(|left_s| *left_s > 0.0) else { continue };
            let (condition, part, at) = match wait.ground {
                WaitGround::Condition(key) => (Some(key.to_owned()), None, 0),
                WaitGround::Part(key, at) => (None, Some(key.to_owned()), at),
                WaitGround::Told(_) => continue,
            };
            let wait = u16::try_from(at).unwrap_or(u16::MAX);
            running.push(rest::BegunWait { condition, part, wait, left_s });
        }
        running
    }
}

fn keys_where(all: &BTreeMap<String, ToggleState>, is: impl Fn(&ToggleState) -> bool) -> BTreeSet<String> {
    all.iter().filter(|(_, m)| is(m)).map(|(key, _)| key.clone()).collect()
}

fn is_dealt_with(happening: &VisitHappening) -> bool {
    matches!(happening.end, Some(HappeningEnd::DealtWith { .. }))
}

fn happening_for_planning(event: &EventId, happening: &VisitHappening) -> rest::Happening {
    let at = &happening.at;
    let of_a_fastener = at.fixing.is_some() && at.hole.is_some();
    let kind = match happening.what {
        VisitHappeningKind::Seized => rest::HappeningKind::Seized,
        VisitHappeningKind::Rounded => rest::HappeningKind::Rounded,
        VisitHappeningKind::Broken => rest::HappeningKind::Broken,
        VisitHappeningKind::ThreadCameOut => rest::HappeningKind::ThreadCameOut,
        VisitHappeningKind::Extra => rest::HappeningKind::ExtraPart,
        VisitHappeningKind::WrongPart => rest::HappeningKind::WrongPart,
        VisitHappeningKind::PartMissing => rest::HappeningKind::PartMissing,
        VisitHappeningKind::Lost if of_a_fastener => rest::HappeningKind::Lost,
        VisitHappeningKind::Lost => rest::HappeningKind::Dropped,
        VisitHappeningKind::FoundLikeThis => rest::HappeningKind::FoundLikeThis,
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
