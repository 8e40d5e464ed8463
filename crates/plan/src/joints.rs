//! Joints: which holes are tightened as one pattern and in which order, and the positions of each hole's duties in the scope.
//!
//! Unrelated fasteners (unions, clamps, plugs, sensors without a stated pattern) have no pattern: they keep the book's order.
//! Fixings of one part with the same joint name make one group; any other fixing is a group of its own. A group without
//! a joint name and without a stated pattern whose accesses lie at different stations is worked station by station.

use std::collections::BTreeMap;

use bolting::pattern::{HolePattern, HolePosition, tightening_order};
use model::{Act, Book, Duty, FixingId, HoleOrderOrigin, PartId, PatternRule, StationId};

use crate::scope::PlanScope;
use crate::strip::part_station;

/// Holes that are tightened as one, in the order of tightening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScopeJointGroup {
    /// The part.
    pub part: PartId,
    /// Fixings, rising.
    pub fixings: Vec<FixingId>,
    /// Holes in the order of tightening.
    pub holes: Vec<(FixingId, u16)>,
    /// Whether a change of station may break the pattern.
    pub by_station: bool,
}

/// Look-up tables of a scope.
#[derive(Debug, Clone, PartialEq)]
pub struct ScopeIndex {
    duties: BTreeMap<Duty, usize>,
    accesses: BTreeMap<(FixingId, u16), u16>,
    groups: Vec<ScopeJointGroup>,
    group_of: BTreeMap<FixingId, usize>,
}

impl ScopeIndex {
    /// The tables of a scope.
    #[must_use]
    pub fn new(book: &Book, scope: &PlanScope) -> Self {
        let duties = scope.duties.iter().enumerate().map(|(at, d)| (d.duty, at)).collect();
        let holes = scope.duties.iter().flat_map(|d| d.holes.iter().map(move |h| (d.duty, *h)));
        let accesses = holes.map(|(duty, hole)| ((duty.fixing, hole), duty.access)).collect();
        let groups: Vec<ScopeJointGroup> =
            scope.parts.iter().flat_map(|(part, _)| joint_groups(book, *part)).collect();
        let numbered = groups.iter().enumerate();
        let group_of = numbered.flat_map(|(at, g)| g.fixings.iter().map(move |f| (*f, at))).collect();
        Self { duties, accesses, groups, group_of }
    }

    /// Position of a duty in the scope.
    #[must_use]
    pub fn duty_position(&self, fixing: FixingId, access: u16, act: Act, stage: Option<u8>) -> Option<usize> {
        self.duties.get(&Duty { fixing, access, act, stage }).copied()
    }

    /// The access through which a hole is worked.
    #[must_use]
    pub fn access_of_hole(&self, fixing: FixingId, hole: u16) -> Option<u16> {
        self.accesses.get(&(fixing, hole)).copied()
    }

    /// The accesses in use of a fixing, rising.
    #[must_use]
    pub fn accesses_in_use(&self, fixing: FixingId) -> Vec<u16> {
        let range = (fixing, 0)..=(fixing, u16::MAX);
        let mut all: Vec<u16> = self.accesses.range(range).map(|(_, a)| *a).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// All groups.
    #[must_use]
    pub fn groups(&self) -> &[ScopeJointGroup] {
        &self.groups
    }

    /// The group of a fixing of the scope.
    #[must_use]
    pub fn group_of_fixing(&self, fixing: FixingId) -> &ScopeJointGroup {
        &self.groups[self.group_of[&fixing]]
    }

    /// Working position of an access: its own, else the way's, else the part's.
    #[must_use]
    pub fn access_station(&self, book: &Book, fixing: FixingId, access: u16, way: Option<u16>) -> StationId {
        let it = book.fixing(fixing);
        let own = it.accesses.get(usize::from(access)).and_then(|a| a.station);
        own.unwrap_or_else(|| part_station(book, it.part, way))
    }
}

fn joint_groups(book: &Book, part: PartId) -> Vec<ScopeJointGroup> {
    let mut sets: Vec<(Option<&String>, Vec<FixingId>)> = Vec::new();
    for id in book.fixings_of(part) {
        let joint = book.fixing(id).joint.as_ref();
        match sets.iter_mut().find(|(name, _)| joint.is_some() && *name == joint) {
            Some((_, set)) => set.push(id),
            None => sets.push((joint, vec![id])),
        }
    }
    sets.into_iter().map(|(joint, fixings)| make_joint_group(book, part, joint.is_some(), fixings)).collect()
}

fn make_joint_group(book: &Book, part: PartId, named: bool, fixings: Vec<FixingId>) -> ScopeJointGroup {
    let rules = fixings.iter().map(|f| &book.fixing(*f).tightening.pattern);
    let stated = rules.clone().find(|r| **r != PatternRule::Auto);
    let all: Vec<(FixingId, u16)> =
        fixings.iter().flat_map(|f| (0..book.fixing(*f).holes.len() as u16).map(move |h| (*f, h))).collect();
    let members: Vec<&model::Fixing> = fixings.iter().map(|f| book.fixing(*f)).collect();
    let holes = match HoleOrderOrigin::of_fixings(&members) {
        HoleOrderOrigin::Unrelated | HoleOrderOrigin::NotKnown => all,
        HoleOrderOrigin::MakersSequence | HoleOrderOrigin::Positions => {
            order_holes(book, &all, stated.unwrap_or(&PatternRule::Auto))
        }
    };
    ScopeJointGroup { part, fixings, holes, by_station: !named && stated.is_none() }
}

fn order_holes(book: &Book, holes: &[(FixingId, u16)], rule: &PatternRule) -> Vec<(FixingId, u16)> {
    let hole = |at: &(FixingId, u16)| &book.fixing(at.0).holes[usize::from(at.1)];
    let places: Vec<HolePosition> =
        holes.iter().map(|h| HolePosition { x_mm: hole(h).x.as_mm(), y_mm: hole(h).y.as_mm() }).collect();
    let pattern = match rule {
        PatternRule::Auto => HolePattern::Auto,
        PatternRule::CrissCross => HolePattern::CrissCross,
        PatternRule::Spiral => HolePattern::Spiral,
        PatternRule::Given(labels) => {
            let named = |label: &String| holes.iter().position(|h| hole(h).label == *label);
            HolePattern::Given(labels.iter().filter_map(named).collect())
        }
    };
    let found =
        tightening_order(&places, &pattern).or_else(|_| tightening_order(&places, &HolePattern::Auto));
    // A sequence that does not name each hole once is a fault of the book, reported there; its own order is then used.
    let found = found.unwrap_or_else(|_| (0..holes.len()).collect());
    found.into_iter().map(|at| holes[at]).collect()
}
