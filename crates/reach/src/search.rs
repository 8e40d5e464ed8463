//! The fast search: for each grip and handle, every least set of pieces that joins them in a given space.
//!
//! # Question
//!
//! Which chains obey the rules that look at the space alone (1 to 8), none of them holding all pieces of another?
//!
//! # Why least sets are enough
//!
//! Time depends on the grip, the handle and the number of bends, and every chain along a corridor takes the same
//! bends. So of two chains with the same grip and handle the one with fewer pieces costs less, and domination is
//! plain inclusion of what stands between. The other rules (9 to 12) look at one piece at a time; a part of a set of
//! strong pieces is a set of strong pieces, so they can be asked after the least sets are known, once for each act.
//!
//! # Method
//!
//! Behind each grip, prefixes grow breadth first, by 0, 1, 2 and 3 pieces and in rising order of ids, so that smaller
//! sets, and of the orders of one set the first, are met first. A prefix is cut as soon as a piece does not clear
//! its place, a joint can neither bend nor stay straight, a bend lies behind, no window of length can be met, or its
//! set holds, for every handle that its link can still reach, a set already found. Handles are bits of one word.

use crate::index::{Body, Index, LINKS, link_at};
use crate::lane::Lane;
use crate::rules::bends::{Joint, Joints};
use crate::rules::style::{Role, suits_drive};
use crate::rules::{drive, engagement, side, swing};
use crate::site::Site;
use model::rules::MAX_BETWEEN;
use model::{Approach, Grip, Handle};
use std::collections::BTreeMap;
use units::Torque;

/// A grip and a handle, and every least set of pieces between them.
#[derive(Debug)]
pub(crate) struct Group {
    /// Position in [`Index::bodies`].
    pub grip: usize,
    /// Position in [`Index::bodies`]; the grip's own where one piece is both.
    pub handle: usize,
    pub engaged_mm: f64,
    pub stroke_deg: f64,
    pub chains: Vec<Found>,
}

/// One least set, in the order in which it joins.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Found {
    /// Positions in [`Index::bodies`].
    pub between: [usize; MAX_BETWEEN],
    pub count: usize,
    pub top_mm: f64,
    /// Torque that the weakest piece may be asked for.
    pub capacity: Torque,
}

/// A set of handles of the current batch.
type Handles = u128;

/// Handles that are looked at in one pass.
const BATCH: usize = Handles::BITS as usize;

/// All least chains of a site, by grip, handle and order of finding.
pub(crate) fn search(index: &Index, site: &Site, role: Role) -> Vec<Group> {
    let mut groups = Vec::new();
    for &at in &index.grips {
        let body = &index.bodies[at];
        let Some(grip) = &body.piece.grip else { continue };
        if !drive::fits(grip, site.drive) {
            continue;
        }
        let engaged_mm = engagement::engaged_mm(grip, site);
        if engagement::short_mm(engaged_mm, site) > 0.0 || !has_place(site, grip, body, engaged_mm) {
            continue;
        }
        if body.piece.handle.is_some() {
            groups.extend(alone(site, role, at, body, engaged_mm));
        } else {
            from_grip(index, site, role, (at, grip, engaged_mm), &mut groups);
        }
    }
    groups
}

fn lane_of<'a>(site: &'a Site, grip: &Grip) -> Option<Lane<'a>> {
    match grip.approach {
        Approach::Axial => Some(Lane::Along(site)),
        Approach::Side => {
            let room = site.access.side.as_ref()?;
            Some(Lane::Beside { room, offset_mm: grip.offset.as_mm() })
        }
    }
}

fn has_place(site: &Site, grip: &Grip, body: &Body, engaged_mm: f64) -> bool {
    match grip.approach {
        Approach::Axial => Lane::Along(site).admits(body, -engaged_mm),
        Approach::Side => {
            side::room_short_mm(site.access.side.as_ref(), grip) <= 0.0
                && body.bend.is_none_or(|b| b.may_stay_straight)
        }
    }
}

/// A piece that is grip and handle at once.
fn alone(site: &Site, role: Role, at: usize, body: &Body, engaged_mm: f64) -> Option<Group> {
    let (grip, handle) = (body.piece.grip.as_ref()?, body.piece.handle.as_ref()?);
    let swung = swing::swung(site, grip, handle);
    let swings = role == Role::Hold || swung.short_deg <= 0.0;
    let start_mm = -engaged_mm;
    let lane = lane_of(site, grip)?;
    let fits = match grip.approach {
        Approach::Side => true,
        Approach::Axial => lane.reaches_out(body, handle, start_mm),
    };
    let mut joints = Joints::default();
    push_joint(&mut joints, 0, start_mm, body);
    if !(swings && fits && suits_drive(site, role, body.piece) && lane.bends_hold(&joints)) {
        return None;
    }
    let top_mm = start_mm + body.length_mm;
    let found = Found { between: [0; MAX_BETWEEN], count: 0, top_mm, capacity: body.capacity };
    Some(Group { grip: at, handle: at, engaged_mm, stroke_deg: swung.stroke_deg, chains: vec![found] })
}

fn push_joint(joints: &mut Joints, piece: usize, start_mm: f64, body: &Body) {
    if let Some(bend) = body.bend {
        joints.push(Joint { piece: piece as u8, centre_mm: start_mm + bend.at.as_mm(), bend });
    }
}

/// A handle that may close a chain.
struct Closer<'s> {
    body: usize,
    handle: &'s Handle,
    link: usize,
    stroke_deg: f64,
}

fn from_grip(
    index: &Index,
    site: &Site,
    role: Role,
    (at, grip, engaged_mm): (usize, &Grip, f64),
    groups: &mut Vec<Group>,
) {
    let (Some(lane), Some(link)) = (lane_of(site, grip), index.bodies[at].piece.toward_hand) else { return };
    let closers: Vec<Closer> =
        index.handles.iter().filter_map(|h| closer(index, site, role, grip, *h)).collect();
    for batch in closers.chunks(BATCH) {
        let mut growth = Growth::new(index, lane, at, batch);
        growth.run(link_at(link), index.bodies[at].length_mm - engaged_mm, -engaged_mm);
        let found = batch.iter().zip(growth.found);
        groups.extend(found.filter(|(_, chains)| !chains.is_empty()).map(|(closer, chains)| Group {
            grip: at,
            handle: closer.body,
            engaged_mm,
            stroke_deg: closer.stroke_deg,
            chains,
        }));
    }
}

fn closer<'s>(index: &Index<'s>, site: &Site, role: Role, grip: &Grip, at: usize) -> Option<Closer<'s>> {
    let piece = index.bodies[at].piece;
    let (handle, link) = (piece.handle.as_ref()?, piece.toward_fastener?);
    let swung = swing::swung(site, grip, handle);
    let may = suits_drive(site, role, piece) && (role == Role::Hold || swung.short_deg <= 0.0);
    may.then(|| Closer { body: at, handle, link: link_at(link), stroke_deg: swung.stroke_deg })
}

/// Pieces joined to the grip so far.
#[derive(Debug, Clone, Copy)]
struct Prefix {
    /// Positions in [`Index::betweens`].
    used: [usize; MAX_BETWEEN],
    count: usize,
    link: usize,
    end_mm: f64,
    joints: usize,
    capacity: Torque,
    /// Handles for which a part of this set is already enough.
    dead: Handles,
}

impl Prefix {
    fn used(&self) -> &[usize] {
        &self.used[..self.count]
    }
}

/// The state of the growth behind one grip.
struct Growth<'g, 's> {
    index: &'g Index<'s>,
    lane: Lane<'g>,
    grip: usize,
    start_mm: f64,
    closers: &'g [Closer<'s>],
    /// Handles that a link leads to with at most so many more pieces between.
    reachable: [[Handles; LINKS]; MAX_BETWEEN + 1],
    low_mm: f64,
    high_mm: f64,
    found: Vec<Vec<Found>>,
    /// Handles for which a single piece is enough, by piece.
    single: Vec<Handles>,
    /// The same for two pieces and for three, by sorted positions.
    pairs: BTreeMap<[usize; 2], Handles>,
    triples: BTreeMap<[usize; 3], Handles>,
}

impl<'g, 's> Growth<'g, 's> {
    fn new(index: &'g Index<'s>, lane: Lane<'g>, grip: usize, closers: &'g [Closer<'s>]) -> Self {
        let windows = closers.iter().map(|c| lane.window_mm(&index.bodies[c.body], c.handle));
        let (low_mm, high_mm) =
            windows.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), w| (w.0.min(low), w.1.max(high)));
        Self {
            index,
            lane,
            grip,
            start_mm: 0.0,
            closers,
            reachable: reachable(index, closers),
            low_mm,
            high_mm,
            found: vec![Vec::new(); closers.len()],
            single: vec![0; index.betweens.len()],
            pairs: BTreeMap::new(),
            triples: BTreeMap::new(),
        }
    }

    fn run(&mut self, link: usize, end_mm: f64, start_mm: f64) {
        self.start_mm = start_mm;
        let grip = &self.index.bodies[self.grip];
        let joints = usize::from(grip.bend.is_some());
        let capacity = grip.capacity;
        let root = Prefix { used: [0; MAX_BETWEEN], count: 0, link, end_mm, joints, capacity, dead: 0 };
        let mut level = vec![root];
        while !level.is_empty() {
            for prefix in &mut level {
                self.close(prefix);
            }
            let mut next = Vec::new();
            for prefix in &mut level {
                // Another order of the same pieces may have been found since.
                self.refresh(prefix);
                self.grow(prefix, &mut next);
            }
            level = next;
        }
    }

    /// Adds every piece that may follow.
    fn grow(&self, prefix: &Prefix, next: &mut Vec<Prefix>) {
        if prefix.count == MAX_BETWEEN || self.open(prefix, MAX_BETWEEN - prefix.count) == 0 {
            return;
        }
        for &at in &self.index.from[prefix.link] {
            next.extend(self.grown(prefix, at));
        }
    }

    /// Handles that a prefix may still be closed with.
    fn open(&self, prefix: &Prefix, more: usize) -> Handles {
        self.reachable[more][prefix.link] & !prefix.dead
    }

    fn grown(&self, prefix: &Prefix, at: usize) -> Option<Prefix> {
        let between = &self.index.betweens[at];
        let body = &self.index.bodies[between.body];
        let more = MAX_BETWEEN - prefix.count - 1;
        let mut grown = *prefix;
        grown.used[prefix.count] = at;
        grown.count += 1;
        grown.link = between.to;
        grown.end_mm = prefix.end_mm + body.length_mm;
        grown.joints += usize::from(body.bend.is_some());
        grown.capacity = prefix.capacity.min(body.capacity);
        grown.dead |= self.single[at];
        let in_window = grown.end_mm <= self.high_mm
            && grown.end_mm + more as f64 * self.index.longest_between_mm >= self.low_mm;
        let times_used = prefix.used().iter().filter(|used| **used == at).count();
        if !in_window || times_used >= body.at_hand || self.open(&grown, more) == 0 {
            return None;
        }
        for used in prefix.used().iter().filter(|_| !self.pairs.is_empty()) {
            grown.dead |= self.pairs.get(&sorted([*used, at])).copied().unwrap_or(0);
        }
        let may = self.open(&grown, more) != 0
            && self.lane.admits(body, prefix.end_mm)
            && self.lane.bends_passed(grown.joints, grown.end_mm);
        may.then_some(grown)
    }

    /// Notes the handles for which a prefix of two pieces is enough in this or the other order.
    fn refresh(&self, prefix: &mut Prefix) {
        if let [a, b] = *prefix.used() {
            prefix.dead |= self.pairs.get(&sorted([a, b])).copied().unwrap_or(0);
        }
    }

    /// Tries every handle on a prefix.
    fn close(&mut self, prefix: &mut Prefix) {
        self.refresh(prefix);
        let mut open = self.open(prefix, 0);
        while open != 0 {
            let at = open.trailing_zeros() as usize;
            open &= open - 1;
            if self.closes(prefix, at) && self.is_new(prefix, at) {
                prefix.dead |= 1 << at;
                let found = self.found_with(prefix, at);
                self.found[at].push(found);
            }
        }
    }

    fn closes(&self, prefix: &Prefix, at: usize) -> bool {
        let closer = &self.closers[at];
        let body = &self.index.bodies[closer.body];
        let start_mm = prefix.end_mm;
        self.lane.reaches_out(body, closer.handle, start_mm)
            && self.lane.admits(body, start_mm)
            && self.bends_hold(prefix, body)
    }

    fn bends_hold(&self, prefix: &Prefix, handle: &Body) -> bool {
        if prefix.joints == 0 && handle.bend.is_none() {
            return self.lane.is_straight();
        }
        let between = prefix.used().iter().map(|at| self.index.betweens[*at].body);
        let bodies = core::iter::once(self.grip).chain(between).map(|at| &self.index.bodies[at]);
        let mut joints = Joints::default();
        let mut z_mm = self.start_mm;
        for (at, body) in bodies.chain([handle]).enumerate() {
            push_joint(&mut joints, at, z_mm, body);
            z_mm += body.length_mm;
        }
        self.lane.bends_hold(&joints)
    }

    /// Notes the set for a handle; false where another order of it is noted already.
    fn is_new(&mut self, prefix: &Prefix, at: usize) -> bool {
        let bit = 1 << at;
        let mask = match *prefix.used() {
            [a] => &mut self.single[a],
            [a, b] => self.pairs.entry(sorted([a, b])).or_default(),
            [a, b, c] => self.triples.entry(sorted([a, b, c])).or_default(),
            _ => return true,
        };
        let new = *mask & bit == 0;
        *mask |= bit;
        new
    }

    fn found_with(&self, prefix: &Prefix, at: usize) -> Found {
        let handle = &self.index.bodies[self.closers[at].body];
        let mut between = [0; MAX_BETWEEN];
        for (place, used) in between.iter_mut().zip(prefix.used()) {
            *place = self.index.betweens[*used].body;
        }
        Found {
            between,
            count: prefix.count,
            top_mm: prefix.end_mm + handle.length_mm,
            capacity: prefix.capacity.min(handle.capacity),
        }
    }
}

fn sorted<const N: usize>(mut list: [usize; N]) -> [usize; N] {
    list.sort_unstable();
    list
}

/// By pieces still to add and by link: the handles that can be reached.
fn reachable(index: &Index, closers: &[Closer]) -> [[Handles; LINKS]; MAX_BETWEEN + 1] {
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
