//! The fast reach: duties that look at the same space are answered together, spaces are shared out over threads.
//!
//! Free, run out, run in and tighten look at the same space, and so do fixings that are alike. Each space is searched
//! once (see [`crate::search`]); each duty then checks strength, force, figures and retention of what was found. Threads
//! take spaces from one list, and answers are put back by the position of their duty, so the number of threads changes
//! nothing.

use crate::answer::{bare_hand_working, compare_workings};
use crate::duty_times::{HandleMotion, steadying_time_s, time_with_tool_s, working_cost_s};
use crate::hold::workings_with_hold;
use crate::index::PieceIndex;
use crate::key::{SpaceKey, space_key};
use crate::miss::{self, ReachShelf};
use crate::rules::bends::ChainJoints;
use crate::rules::style::{StackRole, may_grip_spin, suits_act};
use crate::rules::{bends, force, measure, strength};
use crate::search::{ChainGroup, LeastChain, search_chains};
use crate::site::{ReachSite, ReachWork};
use crate::{DutyReach, ReachOptions};
use core::sync::atomic::{AtomicUsize, Ordering};
use model::rules::MAX_BETWEEN;
use model::{
    Book, Duty, GripApproach, HandleStyle, NearestMiss, PieceId, Retention, Stack, Store, WorkingStack,
};
use std::collections::BTreeMap;
use units::{Duration, Force, Length, Torque};

/// Every non-dominated working of each duty, cheapest first, or the nearest miss; in the order of the duties.
#[must_use]
pub fn find_reach(book: &Book, store: &Store, duties: &[Duty], options: ReachOptions) -> Vec<DutyReach> {
    let whole = miss::store_fetched_back(store);
    let shelf =
        ReachShelf { store, index: PieceIndex::new(store), whole: whole.as_ref().map(PieceIndex::new) };
    let jobs = group_duties_by_space(book, duties);
    let next = AtomicUsize::new(0);
    let threads = usize::from(options.threads.max(1)).min(jobs.len().max(1));
    let take = || {
        let mut answers = Vec::new();
        while let Some(job) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
            answer_space(book, &shelf, (job, duties), &mut answers);
        }
        answers
    };
    let mut answers: Vec<(usize, DutyReach)> = if threads == 1 {
        take()
    } else {
        std::thread::scope(|scope| {
            let threads: Vec<_> = (0..threads).map(|_| scope.spawn(take)).collect();
            threads
                .into_iter()
                .flat_map(|t| t.join().unwrap_or_else(|e| std::panic::resume_unwind(e)))
                .collect()
        })
    };
    answers.sort_by_key(|(at, _)| *at);
    answers.into_iter().map(|(_, reach)| reach).collect()
}

/// Positions of the duties that look at the same space.
fn group_duties_by_space(book: &Book, duties: &[Duty]) -> Vec<Vec<usize>> {
    let mut by_access = BTreeMap::new();
    let mut by_space: BTreeMap<SpaceKey, Vec<usize>> = BTreeMap::new();
    for (at, duty) in duties.iter().enumerate() {
        by_access.entry((duty.fixing, duty.access)).or_insert_with(Vec::new).push(at);
    }
    for (_, positions) in by_access {
        let key = space_key(book, duties[positions[0]]);
        by_space.entry(key).or_default().extend(positions);
    }
    by_space.into_values().collect()
}

/// Answers the duties of one space.
fn answer_space(
    book: &Book,
    shelf: &ReachShelf,
    (job, duties): (&[usize], &[Duty]),
    answers: &mut Vec<(usize, DutyReach)>,
) {
    let index = &shelf.index;
    let mut searched: Option<(Vec<ChainGroup>, Option<Vec<ChainGroup>>)> = None;
    let mut misses: BTreeMap<SpaceKey, Option<NearestMiss>> = BTreeMap::new();
    for &at in job {
        let duty = duties[at];
        let workings = sides_of_duty(book, duty).map_or_else(Vec::new, |(site, hold, work)| {
            let (groups, held) = searched.get_or_insert_with(|| {
                let held = hold.as_ref().map(|h| search_chains(index, h, StackRole::Hold));
                (search_chains(index, &site, StackRole::Work), held)
            });
            match (&hold, held) {
                (Some(other), Some(held)) => workings_with_hold(index, (&site, groups), (other, held), &work),
                _ => workings_without_hold(index, &site, &work, groups),
            }
        });
        let miss = if workings.is_empty() {
            let of_duty = || miss::nearest_miss(book, shelf, duty);
            misses.entry(SpaceKey::of_miss(book, duty)).or_insert_with(of_duty).clone()
        } else {
            None
        };
        answers.push((at, DutyReach { duty, workings, miss }));
    }
}

/// Both sides of a duty's fastener and what the act needs.
pub(crate) fn sides_of_duty(
    book: &Book,
    duty: Duty,
) -> Option<(ReachSite<'_>, Option<ReachSite<'_>>, ReachWork)> {
    Some((ReachSite::of_duty(book, duty)?, ReachSite::of_hold(book, duty), ReachWork::of_duty(book, duty)?))
}

pub(crate) fn workings_without_hold(
    index: &PieceIndex,
    site: &ReachSite,
    work: &ReachWork,
    groups: &[ChainGroup],
) -> Vec<WorkingStack> {
    let bare = site.takes_bare_hand().then(|| bare_hand_working(work, &[]));
    let hits = find_hits(index, site, work, groups);
    let Some(bare) = bare else {
        return hits.iter().map(|h| h.written_working(index, site, &[])).collect();
    };
    // The bare hand uses no piece, so it dominates all that cost as much or more.
    let cheaper = hits.iter().filter(|h| h.cost_s < bare.cost.as_s());
    let mut workings: Vec<WorkingStack> = cheaper.map(|h| h.written_working(index, site, &[])).collect();
    workings.push(bare);
    workings.sort_by(compare_workings);
    workings
}

/// What is the same for all chains of one grip and handle in one duty, and the time, to which each chain adds what wobbles.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EndFigures {
    pub time_s: f64,
    force: Option<Force>,
    setting: Option<Torque>,
    joint_error_fraction: f64,
}

/// A chain that works, before it is written out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ChainHit<'g> {
    pub cost_s: f64,
    pub count: usize,
    /// Ids from the fastener to the hand, counted from 1; 0 behind the last.
    pub ids: [u32; MAX_BETWEEN + 2],
    pub ends: EndFigures,
    pub group: &'g ChainGroup,
    found: &'g LeastChain,
}

/// The chains of a space that work in a duty, cheapest first; then fewer pieces, then by ids.
pub(crate) fn find_hits<'g>(
    index: &PieceIndex,
    site: &ReachSite,
    work: &ReachWork,
    groups: &'g [ChainGroup],
) -> Vec<ChainHit<'g>> {
    let mut hits = Vec::new();
    for group in groups {
        let Some(ends) = end_figures(index, site, work, group) else { continue };
        let strong =
            group.chains.iter().filter(|f| strength::strength_short_n_m(f.capacity, work.torque) <= 0.0);
        hits.extend(strong.map(|found| hit_of_chain(index, work, ends, (group, found))));
    }
    hits.sort_unstable_by(|a, b| {
        a.cost_s.total_cmp(&b.cost_s).then_with(|| (a.count, a.ids).cmp(&(b.count, b.ids)))
    });
    hits
}

/// Ids of a chain's pieces, counted from 1, and their number.
pub(crate) fn ids_of_chain(
    index: &PieceIndex,
    group: &ChainGroup,
    found: &LeastChain,
) -> ([u32; MAX_BETWEEN + 2], usize) {
    let mut ids = [0; MAX_BETWEEN + 2];
    let mut count = 0;
    for (place, at) in ids.iter_mut().zip(body_positions(group, found)) {
        *place = index.bodies[at].id.index() as u32 + 1;
        count += 1;
    }
    (ids, count)
}

fn hit_of_chain<'g>(
    index: &PieceIndex,
    work: &ReachWork,
    ends: EndFigures,
    (group, found): (&'g ChainGroup, &'g LeastChain),
) -> ChainHit<'g> {
    let (ids, count) = ids_of_chain(index, group, found);
    let wobbling = body_positions(group, found).filter(|at| index.bodies[*at].is_wobbly).count();
    let ends = EndFigures { time_s: ends.time_s + steadying_time_s(work, wobbling), ..ends };
    ChainHit { cost_s: working_cost_s(ends.time_s, count), count, ids, ends, group, found }
}

/// Positions of a chain's pieces from the fastener to the hand.
fn body_positions<'g>(group: &'g ChainGroup, found: &'g LeastChain) -> impl Iterator<Item = usize> + 'g {
    let handle = (group.handle != group.grip).then_some(group.handle);
    let between = found.between[..found.count].iter().copied();
    core::iter::once(group.grip).chain(between).chain(handle)
}

/// Rules 10 to 12 for a grip and a handle; `None` where one of them fails.
fn end_figures(
    index: &PieceIndex,
    site: &ReachSite,
    work: &ReachWork,
    group: &ChainGroup,
) -> Option<EndFigures> {
    let (first, last) = (index.bodies[group.grip].piece, index.bodies[group.handle].piece);
    let (grip, handle) = (first.grip.as_ref()?, last.handle.as_ref()?);
    let force = allowed_force(site, work, last)?;
    let axial = grip.approach == GripApproach::Axial;
    let joint_error_fraction = if axial { corridor_error_fraction(site) } else { 0.0 };
    let loose = work.wants_retention && grip.retention == Retention::None;
    let spins = may_grip_spin(work, grip, group.grip == group.handle);
    if loose || !spins || !suits_act(work, last) {
        return None;
    }
    let measured = last.measure.as_ref().zip(work.torque.filter(|_| work.wants_measure()));
    let setting = measured.map(|(tool, torque)| measure::wrench_setting(tool, grip, torque));
    if let (Some((tool, _)), Some(setting)) = (measured, setting) {
        let true_enough = joint_error_fraction - work.tolerance_fraction <= 0.0;
        if measure::range_short_n_m(tool, setting) > 0.0 || !true_enough {
            return None;
        }
    }
    let by_hand = !matches!(handle.style, HandleStyle::Power | HandleStyle::Squeeze);
    let bends = if axial { site.count_true_bends() } else { 0 };
    let motion = HandleMotion::of_handle(last, handle.style, group.stroke_deg);
    let time_s = time_with_tool_s(work, motion, bends);
    Some(EndFigures { time_s, force: force.filter(|_| by_hand), setting, joint_error_fraction })
}

/// Rule 10; `None` where it fails, else the force where there is one.
pub(crate) fn allowed_force(
    site: &ReachSite,
    work: &ReachWork,
    handle_piece: &model::Piece,
) -> Option<Option<Force>> {
    let force = force::force_at_handle(work, handle_piece.handle.as_ref()?);
    (force::force_short_n(site, force) <= 0.0 && force::feel_short_n(work, force) <= 0.0).then_some(force)
}

/// What joints at the corridor's bends do to a torque: the same for every chain along it.
fn corridor_error_fraction(site: &ReachSite) -> f64 {
    let taken = |b: &model::AccessBend| model::BendTaken { piece: 0, angle: b.angle };
    let taken: Vec<_> = site.access.bends.iter().map(taken).collect();
    measure::joint_error_fraction(&taken)
}

impl ChainHit<'_> {
    /// Ids from the fastener to the hand.
    pub fn piece_ids(&self) -> Vec<PieceId> {
        self.ids[..self.count].iter().map(|id| PieceId::new(*id as usize - 1)).collect()
    }

    /// The working written out.
    pub fn written_working(&self, index: &PieceIndex, site: &ReachSite, hold: &[PieceId]) -> WorkingStack {
        WorkingStack {
            stack: Stack {
                pieces: self.piece_ids(),
                bends: self.taken_bends(index, site),
                hold: hold.to_vec(),
            },
            time: Duration::from_s(self.ends.time_s),
            cost: Duration::from_s(working_cost_s(self.ends.time_s, self.count + hold.len())),
            top: Length::from_mm(self.found.top_mm),
            force: self.ends.force,
            setting: self.ends.setting,
            joint_error_fraction: self.ends.joint_error_fraction,
        }
    }

    fn taken_bends(&self, index: &PieceIndex, site: &ReachSite) -> Vec<model::BendTaken> {
        let first = index.bodies[self.group.grip].piece;
        let axial = first.grip.as_ref().is_some_and(|g| g.approach == GripApproach::Axial);
        if !axial || site.access.bends.is_empty() {
            return Vec::new();
        }
        let chain: Vec<_> = body_positions(self.group, self.found).map(|at| index.bodies[at].piece).collect();
        let joints: ChainJoints = crate::chain::joints_of_chain(-self.group.engaged_mm, &chain);
        let taken = bends::match_bends(&site.access.bends, &joints).unwrap_or_default();
        crate::chain::list_bends_taken(&taken)
    }
}
