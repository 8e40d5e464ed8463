//! The case: book, store and plan with the plan's keys looked up once.

use model::plan::{DutyLine, Plan, Step, StepAction, StepSequence};
use model::{
    Access, Book, ConditionId, Fixing, FixingId, Need, PartId, PartStanding, PieceId, StationId, Store,
    TaskId, WorldThing,
};
use std::collections::{BTreeMap, BTreeSet};
use times::TimeFigures;

/// A duty line whose names are known.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DutyFacts<'a> {
    pub id: FixingId,
    pub fixing: &'a Fixing,
    pub access: &'a Access,
    pub line: &'a DutyLine,
}

/// A stack line whose names are known.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct StackFacts {
    pub pieces: Vec<PieceId>,
    pub hold: Vec<PieceId>,
}

impl StackFacts {
    pub fn all_pieces(&self) -> impl Iterator<Item = PieceId> + '_ {
        self.pieces.iter().chain(&self.hold).copied()
    }
}

/// Book, store and plan with everything looked up.
#[derive(Debug)]
pub(crate) struct PlanCase<'a> {
    pub book: &'a Book,
    pub store: &'a Store,
    pub plan: &'a Plan,
    pub tasks: Vec<TaskId>,
    /// Parts that come off with the position of the way taken.
    pub off: BTreeMap<PartId, Option<u16>>,
    pub conditions: BTreeSet<ConditionId>,
    /// In the order of the plan's duties; `None` where names are unknown.
    pub duties: Vec<Option<DutyFacts<'a>>>,
    /// The holes that the steps do each duty to.
    pub holes: Vec<BTreeSet<u16>>,
    pub stacks: BTreeMap<&'a str, StackFacts>,
    /// What acts take.
    pub times: TimeFigures,
}

impl<'a> PlanCase<'a> {
    /// What a part needs on a way.
    pub fn needs_of_part(&self, part: PartId, way: Option<u16>) -> impl Iterator<Item = Need> + use<'a> {
        let part = self.book.part(part);
        let own = way.and_then(|w| part.ways.get(usize::from(w))).map_or(&[][..], |w| &w.needs);
        part.needs.iter().chain(own).copied()
    }

    /// Working position of a part on the way taken.
    pub fn station_of_part(&self, part: PartId) -> StationId {
        let it = self.book.part(part);
        let way = self.off.get(&part).copied().flatten().and_then(|w| it.ways.get(usize::from(w)));
        way.and_then(|w| w.station).unwrap_or(it.station)
    }

    /// Working position of a duty: the access's own, else the part's on the way taken.
    pub fn station_of_duty(&self, duty: &DutyFacts) -> StationId {
        duty.access.station.unwrap_or_else(|| self.station_of_part(duty.fixing.part))
    }

    /// The duty of an action.
    pub fn duty_of_action(&self, action: &StepAction) -> Option<DutyFacts<'a>> {
        self.duties.get(action.duty).copied().flatten()
    }

    /// The stack of an id.
    pub fn stack_by_id(&self, id: Option<&String>) -> Option<&StackFacts> {
        self.stacks.get(id?.as_str())
    }

    /// The positions of an action's holes that exist.
    pub fn holes_of_action(&self, action: &StepAction) -> Vec<u16> {
        let Some(duty) = self.duty_of_action(action) else { return Vec::new() };
        let at = |label: &String| duty.fixing.holes.iter().position(|h| h.label == *label);
        action.holes.iter().filter_map(at).map(|at| at as u16).collect()
    }

    /// What a person calls a need.
    pub fn need_words(&self, need: Need) -> String {
        match need {
            Need::Off(part) => format!("part `{}` off", self.book.part(part).key),
            Need::Condition(condition) => format!("condition `{}`", self.book.condition(condition).key),
        }
    }

    /// The three sequences with their names.
    pub fn sequences(&self) -> [(&'static str, &'a StepSequence); 3] {
        self.plan.sequences().map(|(phase, sequence)| (phase.file_word(), sequence))
    }

    /// Whether strip, work and refit are stretches of one course; else each of the three begins anew.
    pub const fn is_course(&self) -> bool {
        self.plan.course.is_some()
    }

    /// Whether a fixing is tightened only with a part on, or after something of a part that goes on no earlier than it.
    pub fn is_joint_after(&self, fixing: FixingId, part: PartId) -> bool {
        self.book
            .fixing(fixing)
            .world
            .tightening
            .needs
            .iter()
            .any(|need| need.thing == WorldThing::Part(part) && need.values & PartStanding::Off.bit() == 0)
            || crate::kinds::is_tension_on(self, fixing, part)
            || crate::tighten_order::is_tightened_behind(self, fixing, part)
    }

    /// Whether a part has a fixing that is tightened only with another part on.
    pub fn has_joint_after(&self, part: PartId, other: PartId) -> bool {
        self.book.fixings_of(part).any(|fixing| self.is_joint_after(fixing, other))
    }

    /// The fixings of the parts that come off.
    pub fn fixings_off(&self) -> impl Iterator<Item = FixingId> + '_ {
        self.book.fixing_ids().filter(|f| self.off.contains_key(&self.book.fixing(*f).part))
    }

    /// The part that a step names.
    pub fn part_of_step(&self, step: &Step) -> Option<PartId> {
        self.book.part_by_key(step.part.as_ref()?)
    }

    /// The condition that a step names.
    pub fn condition_of_step(&self, step: &Step) -> Option<ConditionId> {
        condition_by_key(self.book, step.condition.as_ref()?)
    }
}

/// The condition of a key.
pub(crate) fn condition_by_key(book: &Book, key: &str) -> Option<ConditionId> {
    book.conditions.iter().position(|c| c.key == key).map(ConditionId::new)
}

/// How a message names a step: `strip step 12`.
pub(crate) fn step_place(sequence: &str, step: &Step) -> String {
    format!("{sequence} step {}", step.number)
}
