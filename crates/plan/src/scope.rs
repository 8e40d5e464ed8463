//! The scope: what is in the way in, every duty that follows from it, and the stacks that can do each duty.
//!
//! A hole may be served by several accesses. Those that belong to a way that is not taken are left out; of the rest one is
//! chosen for each hole, so that every hole is worked exactly once: the set of accesses that leaves the fewest acts
//! without a stack, then the fewest that are not proven, then costs the least by the cheapest stacks, then has the fewest members, then comes first.

use std::collections::BTreeMap;

use model::{
    Access, Act, Book, ConditionId, Duty, Fixing, FixingId, NearestMiss, PartId, ReachVerdict, SettingId,
    TaskId, VisitGoal, WorkingStack, duties_of_fixing,
};
use reach::DutyReach;

use crate::coverage::JudgedReach;
use crate::possible_rooms::DutyRooms;

/// More accesses to one fixing than this are not tried in all combinations; each hole then takes its best one.
const MAX_COMBINED_ACCESSES: usize = 10;

/// What is in the way in, with every duty and the stacks that can do it.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanScope {
    /// Tasks requested, rising.
    pub tasks: Vec<TaskId>,
    /// Parts that come off, rising, each with the position of the way taken where it has ways.
    pub parts: Vec<(PartId, Option<u16>)>,
    /// Conditions to make, rising.
    pub conditions: Vec<ConditionId>,
    /// Duties by fixing, access and order of work.
    pub duties: Vec<ScopedDuty>,
    /// Ways between settings that the plan takes, rising: the setting and the position of the way; known once the order is.
    pub ways_taken: Vec<(SettingId, usize)>,
    /// The state that the plan leads to, where that is not the whole job.
    pub goal: Option<VisitGoal>,
}

/// A duty, the holes that it is done to, and what can do it.
#[derive(Debug, Clone, PartialEq)]
pub struct ScopedDuty {
    /// The duty.
    pub duty: Duty,
    /// Positions in [`Fixing::holes`] that are worked through this access, rising.
    pub holes: Vec<u16>,
    /// Stacks that can do it, cheapest first; their times are for all holes of the access.
    pub workings: Vec<WorkingStack>,
    /// Why nothing can, where nothing can.
    pub miss: Option<NearestMiss>,
    /// What is known about whether it can be done.
    pub verdict: ReachVerdict,
    /// The possible rooms that each of the workings holds in, where the duty is likely and they are counted.
    pub rooms: Option<DutyRooms>,
}

impl ScopedDuty {
    /// Seconds for one fastener with one of the workings.
    #[must_use]
    pub fn seconds_each(&self, book: &Book, working: &WorkingStack) -> f64 {
        let holes = book.fixing(self.duty.fixing).accesses[usize::from(self.duty.access)].holes.len();
        working.time.as_s() / holes.max(1) as f64
    }
}

/// A hole that no access serves on the way that is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HoleWithoutAccess {
    /// The fixing.
    pub fixing: FixingId,
    /// Position of the hole.
    pub hole: u16,
}

/// Whether an access is open on the way that is taken.
#[must_use]
pub fn is_access_open(access: &Access, way: Option<u16>) -> bool {
    access.way.is_none() || access.way == way
}

/// The duties of all fixings of the parts that come off, through every access that is open.
#[must_use]
pub fn candidate_duties(book: &Book, parts: &[(PartId, Option<u16>)]) -> Vec<Duty> {
    let way_of: BTreeMap<PartId, Option<u16>> = parts.iter().copied().collect();
    let mut found = Vec::new();
    for id in book.fixing_ids() {
        let fixing = book.fixing(id);
        if let Some(way) = way_of.get(&fixing.part) {
            let open = |d: &Duty| is_access_open(&fixing.accesses[usize::from(d.access)], *way);
            found.extend(duties_of_fixing(fixing, id).into_iter().filter(open));
        }
    }
    found
}

impl PlanScope {
    /// The scope of a way in, from what reach found for its [`candidate_duties`], in the same order or any other.
    ///
    /// # Errors
    /// [`HoleWithoutAccess`] where a hole has no access on the way taken.
    pub fn new(
        book: &Book,
        tasks: Vec<TaskId>,
        parts: Vec<(PartId, Option<u16>)>,
        conditions: Vec<ConditionId>,
        reached: Vec<JudgedReach>,
    ) -> Result<Self, HoleWithoutAccess> {
        let mut by_fixing: BTreeMap<FixingId, Vec<ScopedDuty>> = BTreeMap::new();
        for JudgedReach { reach: DutyReach { duty, workings, miss }, verdict, rooms } in reached {
            let scoped = ScopedDuty { duty, holes: Vec::new(), workings, miss, verdict, rooms };
            by_fixing.entry(duty.fixing).or_default().push(scoped);
        }
        let mut duties = Vec::new();
        for id in book.fixing_ids().filter(|id| parts.iter().any(|(p, _)| *p == book.fixing(*id).part)) {
            let found = by_fixing.remove(&id).unwrap_or_default();
            duties.extend(choose_accesses(book, id, found)?);
        }
        Ok(Self { tasks, parts, conditions, duties, ways_taken: Vec::new(), goal: None })
    }

    /// The position of a duty.
    #[must_use]
    pub fn duty_position(&self, duty: Duty) -> Option<usize> {
        self.duties.iter().position(|d| d.duty == duty)
    }

    /// The way taken for a part that comes off; `None` if it stays on.
    #[must_use]
    pub fn way_of(&self, part: PartId) -> Option<Option<u16>> {
        let at = self.parts.binary_search_by_key(&part, |(p, _)| *p).ok()?;
        Some(self.parts[at].1)
    }
}

/// What an access offers: acts without a stack, and the cost of one fastener and of the set-ups.
#[derive(Debug, Clone, Copy, PartialEq)]
struct AccessOffer {
    access: u16,
    gaps: u32,
    /// Acts that are not proven.
    doubts: u32,
    each_s: f64,
    once_s: f64,
}

fn access_offer(book: &Book, access: u16, duties: &[ScopedDuty]) -> AccessOffer {
    let mut sum = AccessOffer { access, gaps: 0, doubts: 0, each_s: 0.0, once_s: 0.0 };
    for duty in duties.iter().filter(|d| d.duty.access == access) {
        sum.doubts += u32::from(duty.verdict != ReachVerdict::Proven);
        match duty.workings.first() {
            Some(working) => {
                sum.each_s += duty.seconds_each(book, working);
                sum.once_s += (working.cost - working.time).as_s();
            }
            None => sum.gaps += 1,
        }
    }
    sum
}

/// The duties of one fixing through the chosen accesses, with the holes that each serves.
fn choose_accesses(
    book: &Book,
    id: FixingId,
    mut duties: Vec<ScopedDuty>,
) -> Result<Vec<ScopedDuty>, HoleWithoutAccess> {
    let fixing = book.fixing(id);
    let mut open: Vec<u16> = duties.iter().map(|d| d.duty.access).collect();
    open.sort_unstable();
    open.dedup();
    let offers: Vec<AccessOffer> = open.iter().map(|a| access_offer(book, *a, &duties)).collect();
    let served = |h: &u16| offers.iter().any(|o| serves_hole(fixing, o, *h));
    if let Some(hole) = (0..fixing.holes.len() as u16).find(|h| !served(h)) {
        return Err(HoleWithoutAccess { fixing: id, hole });
    }
    let by_hole = best_access_by_hole(fixing, &offers);
    for duty in &mut duties {
        let here = by_hole.iter().enumerate().filter(|(_, access)| **access == duty.duty.access);
        duty.holes = here.map(|(hole, _)| hole as u16).collect();
    }
    duties.retain(|d| !d.holes.is_empty());
    duties.sort_by_key(|d| (d.duty.access, act_rank(d.duty.act), d.duty.stage));
    Ok(duties)
}

fn act_rank(act: Act) -> u8 {
    match act {
        Act::Free => 0,
        Act::RunOut => 1,
        Act::RunIn => 2,
        Act::Tighten => 3,
    }
}

fn serves_hole(fixing: &Fixing, offer: &AccessOffer, hole: u16) -> bool {
    fixing.accesses[usize::from(offer.access)].holes.contains(&hole)
}

/// A choice of accesses: acts without a stack and acts not proven, cost in seconds, members, the members as bits, holes.
type HoleChoice = ((u32, u32), f64, usize, u32, Vec<u16>);

/// The access of each hole.
fn best_access_by_hole(fixing: &Fixing, offers: &[AccessOffer]) -> Vec<u16> {
    let all: Vec<&AccessOffer> = offers.iter().collect();
    let fallback = assign_holes(fixing, &all);
    if offers.len() > MAX_COMBINED_ACCESSES {
        return fallback.map_or_else(Vec::new, |(holes, _)| holes);
    }
    let subsets = (1_u32..1 << offers.len()).filter_map(|mask| {
        let members: Vec<&AccessOffer> =
            offers.iter().enumerate().filter(|(i, _)| mask >> i & 1 == 1).map(|(_, o)| o).collect();
        let (holes, (gaps, doubts, cost_s)) = assign_holes(fixing, &members)?;
        Some(((gaps, doubts), cost_s, members.len(), mask, holes))
    });
    let better = |a: &HoleChoice, b: &HoleChoice| {
        (a.0.cmp(&b.0)).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)).then(a.3.cmp(&b.3))
    };
    subsets.min_by(better).map_or_else(Vec::new, |(.., holes)| holes)
}

/// Each hole through its best member, with the gaps, the doubts and the cost; `None` where a hole has no member.
fn assign_holes(fixing: &Fixing, members: &[&AccessOffer]) -> Option<(Vec<u16>, (u32, u32, f64))> {
    let mut holes = Vec::new();
    let (mut gaps, mut doubts) = (0, 0);
    let mut cost_s = 0.0;
    for hole in 0..fixing.holes.len() as u16 {
        let rank = |o: &&&AccessOffer| ((o.gaps, o.doubts), o.each_s);
        let best = members.iter().filter(|o| serves_hole(fixing, o, hole)).min_by(|a, b| {
            let ((ga, ca), (gb, cb)) = (rank(a), rank(b));
            ga.cmp(&gb).then(ca.total_cmp(&cb)).then(a.access.cmp(&b.access))
        })?;
        gaps += best.gaps;
        doubts += best.doubts;
        cost_s += best.each_s;
        holes.push(best.access);
    }
    let used = members.iter().filter(|o| holes.contains(&o.access));
    cost_s += used.map(|o| o.once_s).sum::<f64>();
    Some((holes, (gaps, doubts, cost_s)))
}
