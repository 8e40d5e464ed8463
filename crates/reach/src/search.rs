//! The fast search: for each grip and handle, every least set of pieces that joins them in a given space.
//!
//! # Question
//!
//! Which chains obey the rules that look at the space alone (1 to 8), none of them holding all pieces of another?
//!
//! # Why least sets are enough
//!
//! Time depends on the grip, the handle and the number of bends, and every chain along a corridor takes the same
//! bends; what wobbles adds to it by piece. So of two chains with the same grip and handle one that is made of a part of the
//! other's pieces costs less, and domination is plain inclusion of what lies between. The other rules (9 to 12) look at one piece at a time; a part of a set of
//! strong pieces is a set of strong pieces, so they can be checked after the least sets are known, once for each act.
//!
//! # Method
//!
//! Behind each grip, prefixes grow breadth first, by 0, 1, 2 and 3 pieces and in rising order of ids, so that smaller
//! sets, and of the orders of one set the first, are met first. A prefix is cut as soon as a piece does not clear
//! its place, its links turn back, a joint can neither bend nor stay straight, a bend lies behind, no window of length can be met, or its
//! set holds, for every handle that its link can still reach, a set already found. Handles are bits of one word.

use crate::index::{LINKS, PieceBody, PieceIndex, link_position};
use crate::lane::ChainLane;
use crate::rules::bends::{ChainJoints, PlacedJoint};
use crate::rules::links::LinkCourse;
use crate::rules::style::{StackRole, suits_drive};
use crate::rules::{drive, engagement, side, swing};
use crate::site::ReachSite;
use model::rules::MAX_BETWEEN;
use model::{Grip, GripApproach, Handle};
use std::collections::BTreeMap;
use units::Torque;

/// A grip and a handle, and every least set of pieces between them.
#[derive(Debug)]
pub(crate) struct ChainGroup {
    /// Position in [`Index::bodies`].
    pub grip: usize,
    /// Position in [`Index::bodies`]; the grip's own where one piece is both.
    pub handle: usize,
    pub engaged_mm: f64,
    pub stroke_deg: f64,
    pub chains: Vec<LeastChain>,
}

/// One least set, in the order in which it joins.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LeastChain {
    /// Positions in [`Index::bodies`].
    pub between: [usize; MAX_BETWEEN],
    pub count: usize,
    pub top_mm: f64,
    /// Torque that the weakest piece may carry.
    pub capacity: Torque,
}

/// A set of handles of the current batch.
type HandleBits = u128;

/// Handles that are looked at in one pass.
const BATCH: usize = HandleBits::BITS as usize;

/// All least chains of a site, by grip, handle and order of finding.
pub(crate) fn search_chains(index: &PieceIndex, site: &ReachSite, role: StackRole) -> Vec<ChainGroup> {
    let mut groups = Vec::new();
    for &at in &index.grips {
        let body = &index.bodies[at];
        let Some(grip) = &body.piece.grip else { continue };
        if !drive::can_grip_take_hold(grip, site) {
            continue;
        }
        let engaged_mm = engagement::engaged_mm(grip, site);
        if engagement::engagement_short_mm(engaged_mm, site) > 0.0 || !has_place(site, grip, body, engaged_mm)
        {
            continue;
        }
        if body.piece.handle.is_some() {
            groups.extend(one_piece_group(site, role, at, body, engaged_mm));
        } else {
            groups_from_grip(index, site, role, (at, grip, engaged_mm), &mut groups);
        }
    }
    groups
}

fn lane_of<'a>(site: &'a ReachSite, grip: &Grip) -> Option<ChainLane<'a>> {
    match grip.approach {
        GripApproach::Axial => Some(ChainLane::Along(site)),
        GripApproach::Side => {
            let room = site.access.side.as_ref()?;
            Some(ChainLane::Beside { room, offset_mm: grip.offset.as_mm() })
        }
    }
}

fn has_place(site: &ReachSite, grip: &Grip, body: &PieceBody, engaged_mm: f64) -> bool {
    match grip.approach {
        GripApproach::Axial => ChainLane::Along(site).admits_piece(body, -engaged_mm),
        GripApproach::Side => {
            side::room_short_mm(site.access.side.as_ref(), grip) <= 0.0
                && body.bend.is_none_or(|b| b.may_stay_straight)
        }
    }
}

/// A piece that is grip and handle at once.
fn one_piece_group(
    site: &ReachSite,
    role: StackRole,
    at: usize,
    body: &PieceBody,
    engaged_mm: f64,
) -> Option<ChainGroup> {
    let (grip, handle) = (body.piece.grip.as_ref()?, body.piece.handle.as_ref()?);
    let swung = swing::swing_of_handle(site, grip, handle);
    let swings = role == StackRole::Hold || swung.short_deg <= 0.0;
    let start_mm = -engaged_mm;
    let lane = lane_of(site, grip)?;
    let fits = match grip.approach {
        GripApproach::Side => true,
        GripApproach::Axial => lane.reaches_out(body, handle, start_mm),
    };
    let mut joints = ChainJoints::default();
    push_joint(&mut joints, 0, start_mm, body);
    if !(swings && fits && suits_drive(site, role, body.piece) && lane.bends_hold(&joints)) {
        return None;
    }
    let top_mm = start_mm + body.length_mm;
    let found = LeastChain { between: [0; MAX_BETWEEN], count: 0, top_mm, capacity: body.capacity };
    Some(ChainGroup { grip: at, handle: at, engaged_mm, stroke_deg: swung.stroke_deg, chains: vec![found] })
}

fn push_joint(joints: &mut ChainJoints, piece: usize, start_mm: f64, body: &PieceBody) {
    if let Some(bend) = body.bend {
        joints.push(PlacedJoint { piece: piece as u8, centre_mm: start_mm + bend.at.as_mm(), bend });
    }
}

/// A handle that may close a chain.
struct ChainCloser<'s> {
    body: usize,
    handle: &'s Handle,
    link: usize,
    stroke_deg: f64,
}

fn groups_from_grip(
    index: &PieceIndex,
    site: &ReachSite,
    role: StackRole,
    (at, grip, engaged_mm): (usize, &Grip, f64),
    groups: &mut Vec<ChainGroup>,
) {
    let (Some(lane), Some(link)) = (lane_of(site, grip), index.bodies[at].piece.toward_hand) else { return };
    let closers: Vec<ChainCloser> =
        index.handles.iter().filter_map(|h| closer_for_grip(index, site, role, grip, *h)).collect();
    for batch in closers.chunks(BATCH) {
        let mut growth = ChainGrowth::new(index, lane, at, batch);
        growth.grow_all_levels(link_position(link), index.bodies[at].length_mm - engaged_mm, -engaged_mm);
        let found = batch.iter().zip(growth.found);
        groups.extend(found.filter(|(_, chains)| !chains.is_empty()).map(|(closer, chains)| ChainGroup {
            grip: at,
            handle: closer.body,
            engaged_mm,
            stroke_deg: closer.stroke_deg,
            chains,
        }));
    }
}

fn closer_for_grip<'s>(
    index: &PieceIndex<'s>,
    site: &ReachSite,
    role: StackRole,
    grip: &Grip,
    at: usize,
) -> Option<ChainCloser<'s>> {
    let piece = index.bodies[at].piece;
    let (handle, link) = (piece.handle.as_ref()?, piece.toward_fastener?);
    let swung = swing::swing_of_handle(site, grip, handle);
    let may = suits_drive(site, role, piece) && (role == StackRole::Hold || swung.short_deg <= 0.0);
    may.then(|| ChainCloser { body: at, handle, link: link_position(link), stroke_deg: swung.stroke_deg })
}

/// Pieces joined to the grip so far.
#[derive(Debug, Clone, Copy)]
struct ChainPrefix {
    /// Positions in [`Index::betweens`].
    used: [usize; MAX_BETWEEN],
    count: usize,
    links: LinkCourse,
    end_mm: f64,
    joints: usize,
    capacity: Torque,
    /// Handles for which a part of this set is already enough.
    dead: HandleBits,
}

impl ChainPrefix {
    fn used_pieces(&self) -> &[usize] {
        &self.used[..self.count]
    }
}

/// The state of the growth behind one grip.
struct ChainGrowth<'g, 's> {
    index: &'g PieceIndex<'s>,
    lane: ChainLane<'g>,
    grip: usize,
    start_mm: f64,
    closers: &'g [ChainCloser<'s>],
    /// Handles that a link can reach with at most that number of further pieces.
    reachable: [[HandleBits; LINKS]; MAX_BETWEEN + 1],
    low_mm: f64,
    high_mm: f64,
    found: Vec<Vec<LeastChain>>,
    /// Handles for which a single piece is enough, by piece.
    single: Vec<HandleBits>,
    /// The same for two pieces and for three, by sorted positions.
    pairs: BTreeMap<[usize; 2], HandleBits>,
    triples: BTreeMap<[usize; 3], HandleBits>,
}

impl<'g, 's> ChainGrowth<'g, 's> {
    fn new(
        index: &'g PieceIndex<'s>,
        lane: ChainLane<'g>,
        grip: usize,
        closers: &'g [ChainCloser<'s>],
    ) -> Self {
        let windows = closers.iter().map(|c| lane.window_mm(&index.bodies[c.body], c.handle));
        let (low_mm, high_mm) =
            windows.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), w| (w.0.min(low), w.1.max(high)));
        Self {
            index,
            lane,
            grip,
            start_mm: 0.0,
            closers,
            reachable: reachable_handles(index, closers),
            low_mm,
            high_mm,
            found: vec![Vec::new(); closers.len()],
            single: vec![0; index.betweens.len()],
            pairs: BTreeMap::new(),
            triples: BTreeMap::new(),
        }
    }

    fn grow_all_levels(&mut self, link: usize, end_mm: f64, start_mm: f64) {
        self.start_mm = start_mm;
        let grip = &self.index.bodies[self.grip];
        let joints = usize::from(grip.bend.is_some());
        let capacity = grip.capacity;
        let links = LinkCourse::from_grip(link);
        let root = ChainPrefix { used: [0; MAX_BETWEEN], count: 0, links, end_mm, joints, capacity, dead: 0 };
        let mut level = vec![root];
        while !level.is_empty() {
            for prefix in &mut level {
                self.close_prefix(prefix);
            }
            let mut next = Vec::new();
            for prefix in &mut level {
                // Another order of the same pieces may have been found since.
                self.refresh_dead(prefix);
                self.grow_prefix(prefix, &mut next);
            }
            level = next;
        }
    }

    /// Adds every piece that may follow.
    fn grow_prefix(&self, prefix: &ChainPrefix, next: &mut Vec<ChainPrefix>) {
        if prefix.count == MAX_BETWEEN || self.open_handles(prefix, MAX_BETWEEN - prefix.count) == 0 {
            return;
        }
        for &at in &self.index.from[prefix.links.last] {
            next.extend(self.grow_by_piece(prefix, at));
        }
    }

    /// Handles that a prefix may still be closed with.
    fn open_handles(&self, prefix: &ChainPrefix, more: usize) -> HandleBits {
        self.reachable[more][prefix.links.last] & !prefix.dead
    }

    fn grow_by_piece(&self, prefix: &ChainPrefix, at: usize) -> Option<ChainPrefix> {
        let between = &self.index.betweens[at];
        let body = &self.index.bodies[between.body];
        let more = MAX_BETWEEN - prefix.count - 1;
        let mut grown = *prefix;
        grown.used[prefix.count] = at;
        grown.count += 1;
        grown.links = prefix.links.go_on(between.to)?;
        grown.end_mm = prefix.end_mm + body.length_mm;
        grown.joints += usize::from(body.bend.is_some());
        grown.capacity = prefix.capacity.min(body.capacity);
        grown.dead |= self.single[at];
        let in_window = grown.end_mm <= self.high_mm
            && grown.end_mm + more as f64 * self.index.longest_between_mm >= self.low_mm;
        let times_used = prefix.used_pieces().iter().filter(|used| **used == at).count();
        if !in_window || times_used >= body.at_hand || self.open_handles(&grown, more) == 0 {
            return None;
        }
        for used in prefix.used_pieces().iter().filter(|_| !self.pairs.is_empty()) {
            grown.dead |= self.pairs.get(&sorted_array([*used, at])).copied().unwrap_or(0);
        }
        let may = self.open_handles(&grown, more) != 0
            && self.lane.admits_piece(body, prefix.end_mm)
            && self.lane.bends_passed(grown.joints, grown.end_mm);
        may.then_some(grown)
    }

    /// Notes the handles for which a prefix of two pieces is enough in this or the other order.
    fn refresh_dead(&self, prefix: &mut ChainPrefix) {
        if let [a, b] = *prefix.used_pieces() {
            prefix.dead |= self.pairs.get(&sorted_array([a, b])).copied().unwrap_or(0);
        }
    }

    /// Tries every handle on a prefix.
    fn close_prefix(&mut self, prefix: &mut ChainPrefix) {
        self.refresh_dead(prefix);
        let mut open = self.open_handles(prefix, 0);
        while open != 0 {
            let at = open.trailing_zeros() as usize;
            open &= open - 1;
            if self.can_close(prefix, at) && self.note_if_new(prefix, at) {
                prefix.dead |= 1 << at;
                let found = self.least_chain_with(prefix, at);
                self.found[at].push(found);
            }
        }
    }

    fn can_close(&self, prefix: &ChainPrefix, at: usize) -> bool {
        let closer = &self.closers[at];
        let body = &self.index.bodies[closer.body];
        let start_mm = prefix.end_mm;
        self.lane.reaches_out(body, closer.handle, start_mm)
            && self.lane.admits_piece(body, start_mm)
            && self.bends_hold(prefix, body)
    }

    fn bends_hold(&self, prefix: &ChainPrefix, handle: &PieceBody) -> bool {
        if prefix.joints == 0 && handle.bend.is_none() {
            return self.lane.is_straight();
        }
        let between = prefix.used_pieces().iter().map(|at| self.index.betweens[*at].body);
        let bodies = core::iter::once(self.grip).chain(between).map(|at| &self.index.bodies[at]);
        let mut joints = ChainJoints::default();
        let mut z_mm = self.start_mm;
        for (at, body) in bodies.chain([handle]).enumerate() {
            push_joint(&mut joints, at, z_mm, body);
            z_mm += body.length_mm;
        }
        self.lane.bends_hold(&joints)
    }

    /// Notes the set for a handle; false where another order of it is noted already.
    fn note_if_new(&mut self, prefix: &ChainPrefix, at: usize) -> bool {
        let bit = 1 << at;
        let mask = match *prefix.used_pieces() {
            [a] => &mut self.single[a],
            [a, b] => self.pairs.entry(sorted_array([a, b])).or_default(),
            [a, b, c] => self.triples.entry(sorted_array([a, b, c])).or_default(),
            _ => return true,
        };
        let new = *mask & bit == 0;
        *mask |= bit;
        new
    }

    fn least_chain_with(&self, prefix: &ChainPrefix, at: usize) -> LeastChain {
        let handle = &self.index.bodies[self.closers[at].body];
        let mut between = [0; MAX_BETWEEN];
        for (place, used) in between.iter_mut().zip(prefix.used_pieces()) {
            *place = self.index.betweens[*used].body;
        }
        LeastChain {
            between,
            count: prefix.count,
            top_mm: prefix.end_mm + handle.length_mm,
            capacity: prefix.capacity.min(handle.capacity),
        }
    }
}

fn sorted_array<const N: usize>(mut list: [usize; N]) -> [usize; N] {
    list.sort_unstable();
    list
}

/// By pieces still to add and by link: the handles that can be reached.
fn reachable_handles(index: &PieceIndex, closers: &[ChainCloser]) -> [[HandleBits; LINKS]; MAX_BETWEEN + 1] {
    let mut table = [[0; LINKS]; MAX_BETWEEN + 1];
    for (at, closer) in closers.iter().enumerate() {
        table[0][closer.link] |= 1 << at;
    }
    for more in 1..=MAX_BETWEEN {
        for link in 0..LINKS {
            let further = index.from[link].iter().map(|at| table[more - 1][index.betweens[*at].to]);
            table[more][link] = further.fold(table[0][link], |a, b| a | b);
        }
    }
    table
}
