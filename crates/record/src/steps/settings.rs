//! Which steps that set a setting are done: the place in the plan that contradicts least what is reported.
//!
//! # Question
//! A plan may bring the lift up, down and up again. Which of its steps are done, by what was reported alone?
//!
//! # Rule
//! For each setting, the values that the plan asks for are taken in the order of its steps, `sets` of other steps included. The
//! setting is at one place among them: so many of the values are passed, and the rest are still to come. Against a place
//! stand, with one point each,
//!
//! * every other step before it that is not done, for it is to be done with an earlier value;
//! * every other step after the next value that is begun, for nobody begins it before;
//! * a value that is not the one that the plan has at this place.
//!
//! The place with the fewest points is taken. Between equals the changes since the plan came into force decide: the furthest
//! place whose values they went through in order, so that of steps without work in between the n-th change to a value
//! answers the n-th step that asks for it; else the first.
//!
//! A step is done when its value is passed. The last value that is passed counts only as long as it holds: who lets the lift
//! down to fetch something is asked to bring it up again.
//!
//! # Example
//! Up (1), work there (2), ground (3), work there (4), up (5). With the lift up and 2 open the setting is behind 1: behind 5
//! two steps would be left out. With 2 done and the lift on the ground it is behind 3. Up again with 4 open it is behind 1
//! once more, and 3 is still to be done: the work of 4 waits on the ground.
//!
//! # Limits
//! Whether work is done is asked of now, not of the time of a change: a step that sets something shows as done when the work
//! that belongs before it is ticked. Waits and other settings say nothing.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Step, StepKind};

use crate::names::BookByKey;
use crate::visit::SettingHistory;
use crate::{EventOrder, Visit};

/// How far one step's own work is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WorkStanding {
    /// The step is a wait or sets a setting: it has no work that could tell.
    None,
    /// Nothing is done.
    Open,
    /// Some is done.
    Begun,
    /// All is done.
    Done,
}

/// A value that the plan asks for.
struct AskedValue<'a> {
    /// Position of the first step that asks for it.
    at: usize,
    value: &'a str,
}

/// What a plan asks of one setting.
struct SettingCourse<'a> {
    /// The value when the plan came into force.
    first: &'a str,
    /// The values reported since.
    reported: Vec<&'a str>,
    /// The values asked for, each another than the one before.
    asked: Vec<AskedValue<'a>>,
    /// Steps that set it: number, and how many values are passed when it is done.
    own: Vec<(u32, usize)>,
}

impl<'a> SettingCourse<'a> {
    /// The course of a setting before the plan asks anything of it.
    fn of_setting(
        visit: &'a Visit,
        names: &BookByKey<'a>,
        since: Option<&EventOrder>,
        setting: &str,
    ) -> Self {
        let all = visit.settings.get(setting).map_or(&[][..], SettingHistory::changes);
        let is_before = |order: &EventOrder| since.is_some_and(|since| order <= since);
        let (before, after) = all.split_at(all.partition_point(|report| is_before(&report.stamp.order)));
        let start = names.setting(setting).map_or("", |known| known.word(known.start));
        Self {
            first: before.last().map_or(start, |report| report.value.as_str()),
            reported: after.iter().map(|report| report.value.as_str()).collect(),
            asked: Vec::new(),
            own: Vec::new(),
        }
    }

    /// The value that the plan has once so many are passed.
    fn value_after(&self, passed: usize) -> &'a str {
        passed.checked_sub(1).and_then(|at| self.asked.get(at)).map_or(self.first, |asked| asked.value)
    }

    fn ask_value(&mut self, at: usize, step: &Step, value: &'a str, is_own: bool) {
        if self.value_after(self.asked.len()) != value {
            self.asked.push(AskedValue { at, value });
        }
        if is_own {
            self.own.push((step.number, self.asked.len()));
        }
    }

    /// Whether its value is the one that the plan has there.
    fn holds(&self, passed: usize) -> bool {
        self.reported.last().copied().unwrap_or(self.first) == self.value_after(passed)
    }

    /// How much contradicts that so many values are passed.
    fn count_against(&self, passed: usize, work: &[WorkStanding]) -> usize {
        let (before, _) = work.split_at(passed.checked_sub(1).map_or(0, |last| self.asked[last].at + 1));
        let left_out =
            before.iter().filter(|w| matches!(w, WorkStanding::Open | WorkStanding::Begun)).count();
        let after = self.asked.get(passed).map_or(&[][..], |next| &work[next.at + 1..]);
        let early = after.iter().filter(|w| matches!(w, WorkStanding::Begun | WorkStanding::Done)).count();
        left_out + early + usize::from(!self.holds(passed))
    }

    /// How many of the values asked for the reports went through, in order.
    fn count_reported(&self) -> usize {
        let next = |passed: usize, value: &&str| {
            passed + usize::from(self.asked.get(passed).is_some_and(|asked| asked.value == *value))
        };
        self.reported.iter().fold(0, next)
    }

    /// How many values are passed.
    fn find_passed(&self, work: &[WorkStanding]) -> usize {
        let reported = self.count_reported();
        let rank = |passed: &usize| {
            let is_reported = *passed <= reported;
            let further = if is_reported { self.asked.len() - *passed } else { *passed };
            (self.count_against(*passed, work), !is_reported, further)
        };
        (0..=self.asked.len()).min_by_key(rank).unwrap_or_default()
    }

    /// Adds the numbers of the steps that are done.
    fn note_done(&self, work: &[WorkStanding], done: &mut BTreeSet<u32>) {
        let passed = self.find_passed(work);
        let is_done = |at: usize| at < passed || (at == passed && self.holds(passed));
        done.extend(self.own.iter().filter(|(_, at)| is_done(*at)).map(|(number, _)| *number));
    }
}

/// The numbers of the steps of [`StepKind::Set`] that are done; `work` has the standing of every other step's own work.
pub(super) fn find_set_steps_done(
    visit: &Visit,
    names: &BookByKey<'_>,
    since: Option<&EventOrder>,
    steps: &[&Step],
    work: &[WorkStanding],
) -> BTreeSet<u32> {
    let mut courses: BTreeMap<&str, SettingCourse<'_>> = BTreeMap::new();
    for (at, step) in steps.iter().enumerate() {
        for (nth, set) in step.sets.iter().enumerate() {
            let new = || SettingCourse::of_setting(visit, names, since, &set.setting);
            let course = courses.entry(&set.setting).or_insert_with(new);
            course.ask_value(at, step, &set.value, step.kind == StepKind::Set && nth == 0);
        }
    }
    let mut done = BTreeSet::new();
    courses.values().for_each(|course| course.note_done(work, &mut done));
    done
}
