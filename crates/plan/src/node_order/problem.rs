//! The order problem in the solver's own indexed form.

use std::collections::{BTreeMap, BTreeSet};

use model::PieceId;

/// Maximum number of choices of stacks that one node keeps; the cheapest stay.
pub const MAX_CHOICES: usize = 6;

/// The bare hand, and what is in hand before the first step.
pub const EMPTY_HAND: u16 = 0;

/// Stacks as multisets of pieces, each set once; the first is the bare hand.
#[derive(Debug, Clone, PartialEq)]
pub struct StackSets {
    sets: Vec<Vec<PieceId>>,
    ids: BTreeMap<Vec<PieceId>, u16>,
    /// Pieces of each, and those in common by pair; filled by [`Problem::new`].
    sizes: Vec<u8>,
    common: Vec<u8>,
}

impl Default for StackSets {
    fn default() -> Self {
        Self {
            sets: vec![Vec::new()],
            ids: BTreeMap::from([(Vec::new(), EMPTY_HAND)]),
            sizes: Vec::new(),
            common: Vec::new(),
        }
    }
}

impl StackSets {
    /// The id of a multiset of pieces, sorted; a new one if it was not seen before.
    ///
    /// Beyond 65,535 sets the bare hand is used instead, which no plan comes near.
    pub fn intern_pieces(&mut self, pieces: Vec<PieceId>) -> u16 {
        if let Some(id) = self.ids.get(&pieces) {
            return *id;
        }
        let Ok(id) = u16::try_from(self.sets.len()) else { return EMPTY_HAND };
        self.sets.push(pieces.clone());
        self.ids.insert(pieces, id);
        id
    }

    /// The pieces of a stack, sorted.
    #[must_use]
    pub fn pieces(&self, id: u16) -> &[PieceId] {
        &self.sets[usize::from(id)]
    }

    fn compare_all(&mut self) {
        let count = self.sets.len();
        let size = |set: &Vec<PieceId>| u8::try_from(set.len()).unwrap_or(u8::MAX);
        self.sizes = self.sets.iter().map(size).collect();
        self.common = vec![0; count * count];
        for a in 0..count {
            for b in a..count {
                let both = count_common(&self.sets[a], &self.sets[b]);
                self.common[a * count + b] = both;
                self.common[b * count + a] = both;
            }
        }
    }

    /// Seconds from one stack in hand to another.
    #[must_use]
    pub fn swap_s(&self, from: u16, to: u16) -> f64 {
        let (from, to) = (usize::from(from), usize::from(to));
        let both = self.common[from * self.sizes.len() + to];
        let (picks, puts) = (self.sizes[to] - both, self.sizes[from] - both);
        f64::from(picks) * times::PICK_S + f64::from(puts) * times::PUT_S
    }
}

/// Pieces that two sorted multisets have in common.
fn count_common(a: &[PieceId], b: &[PieceId]) -> u8 {
    let (mut i, mut j, mut both) = (0, 0, 0_u8);
    while i < a.len() && j < b.len() {
        match a[i].cmp(&b[j]) {
            core::cmp::Ordering::Less => i += 1,
            core::cmp::Ordering::Greater => j += 1,
            core::cmp::Ordering::Equal => (i, j, both) = (i + 1, j + 1, both.saturating_add(1)),
        }
    }
    both
}

/// Pieces put down and taken up from one set in hand to another, both sorted.
#[must_use]
pub fn swapped_pieces(from: &[PieceId], to: &[PieceId]) -> u32 {
    let both = usize::from(count_common(from, to));
    (from.len() + to.len()).saturating_sub(2 * both) as u32
}

/// Seconds from one set of pieces in hand to another, both sorted.
#[must_use]
pub fn hand_swap_s(from: &[PieceId], to: &[PieceId]) -> f64 {
    let both = f64::from(count_common(from, to));
    (to.len() as f64 - both) * times::PICK_S + (from.len() as f64 - both) * times::PUT_S
}

/// One way to do a node: a stack for each of its duties.
#[derive(Debug, Clone, PartialEq)]
pub struct StackChoice {
    /// Stack of its first action.
    pub first: u16,
    /// Stack of its last action, in hand afterwards.
    pub last: u16,
    /// Its actions and the swaps between them, s.
    pub inside_s: f64,
    /// Position of the working of each of its duties; `None` for a gap.
    pub workings: Vec<Option<u16>>,
}

/// A piece of work that is not torn apart.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkNode {
    /// Working position where it starts.
    pub station: u16,
    /// Working position where it ends.
    pub leaves: u16,
    /// Part that it is about.
    pub part: Option<u32>,
    /// Seconds that do not depend on stacks, changes of station inside it included.
    pub fixed_s: f64,
    /// Ways to do it; empty where the hand's stack does not matter and stays as it is.
    pub choices: Vec<StackChoice>,
}

/// The first of some nodes may not start before a time after the last of others has ended.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeLag {
    /// Nodes of which the last counts.
    pub from: Vec<usize>,
    /// Nodes of which the first counts; each comes after every node of `from`.
    pub to: Vec<usize>,
    /// The time between.
    pub wait_s: f64,
}

/// Nodes, what goes before what, waits, and what set-ups cost.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeOrderProblem {
    /// The nodes.
    pub nodes: Vec<WorkNode>,
    /// For each node those that come directly after it in the precedence, rising.
    pub after: Vec<Vec<usize>>,
    /// For each node those that come directly before it, rising.
    pub before: Vec<Vec<usize>>,
    /// Waits.
    pub lags: Vec<NodeLag>,
    /// Entering time of each station, s; work starts at the first.
    pub enter_s: Vec<f64>,
    /// The stacks of the choices.
    pub stacks: StackSets,
    reach: PrecedenceBits,
}

/// What is left of nodes that never start once those that only lead to a circle are out.
fn circle_among(mut left: Vec<usize>, before: &[Vec<usize>]) -> PrecedenceCircle {
    loop {
        let waits = |node: &usize| before[*node].iter().any(|earlier| left.contains(earlier));
        let kept: Vec<usize> = left.iter().copied().filter(waits).collect();
        if kept.len() == left.len() {
            return PrecedenceCircle(left);
        }
        left = kept;
    }
}

/// Nodes that wait for each other in a circle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrecedenceCircle(pub Vec<usize>);

impl NodeOrderProblem {
    /// Builds the problem from pairs (before, after).
    ///
    /// # Errors
    /// [`PrecedenceCircle`] with the nodes that can never start.
    pub fn new(
        nodes: Vec<WorkNode>,
        pairs: &[(usize, usize)],
        lags: Vec<NodeLag>,
        enter_s: Vec<f64>,
        mut stacks: StackSets,
    ) -> Result<Self, PrecedenceCircle> {
        let mut pairs = pairs.to_vec();
        for lag in &lags {
            pairs.extend(lag.from.iter().flat_map(|f| lag.to.iter().map(move |t| (*f, *t))));
        }
        pairs.sort_unstable();
        pairs.dedup();
        let mut after = vec![Vec::new(); nodes.len()];
        let mut before = vec![Vec::new(); nodes.len()];
        for (a, b) in pairs {
            after[a].push(b);
            before[b].push(a);
        }
        let reach = PrecedenceBits::new(&after, &before)?;
        let mut lags: Vec<NodeLag> =
            lags.into_iter().filter(|l| !l.from.is_empty() && !l.to.is_empty() && l.wait_s > 0.0).collect();
        for lag in &mut lags {
            reach.reduce_lag(lag);
        }
        stacks.compare_all();
        Ok(Self { nodes, after, before, lags, enter_s, stacks, reach })
    }

    /// The id of a set of pieces that is in hand at the start.
    pub fn intern_hand(&mut self, pieces: Vec<PieceId>) -> u16 {
        let id = self.stacks.intern_pieces(pieces);
        self.stacks.compare_all();
        id
    }

    /// Whether a node comes before another in every order.
    #[must_use]
    pub fn precedes(&self, a: usize, b: usize) -> bool {
        self.reach.has_pair(a, b)
    }

    /// Change of station and of part from one node to the next, s.
    #[must_use]
    pub fn turn_s(&self, from: Option<usize>, to: usize) -> f64 {
        let next = &self.nodes[to];
        let at = from.map_or(0, |n| self.nodes[n].leaves);
        let enter_s = if at == next.station { 0.0 } else { self.enter_s[usize::from(next.station)] };
        let same = next.part.is_none() || from.is_some_and(|n| self.nodes[n].part == next.part);
        if same { enter_s } else { enter_s + times::ATTENTION_S }
    }

    /// The order nearest to wanted places that respects the precedence: of the nodes that may come next the one with the least place.
    #[must_use]
    pub fn order_by_places(&self, places: &[usize]) -> Vec<usize> {
        let mut waits: Vec<usize> = self.before.iter().map(Vec::len).collect();
        let mut ready: BTreeSet<(usize, usize)> =
            (0..places.len()).filter(|n| waits[*n] == 0).map(|n| (places[n], n)).collect();
        let mut order = Vec::with_capacity(places.len());
        while let Some((_, node)) = ready.pop_first() {
            order.push(node);
            for next in &self.after[node] {
                waits[*next] -= 1;
                if waits[*next] == 0 {
                    ready.insert((places[*next], *next));
                }
            }
        }
        order
    }

    /// Whether an order holds every node once and respects the precedence.
    #[must_use]
    pub fn allows(&self, order: &[usize]) -> bool {
        let mut done = vec![false; self.nodes.len()];
        for node in order {
            if done.get(*node) != Some(&false) || !self.before[*node].iter().all(|b| done[*b]) {
                return false;
            }
            done[*node] = true;
        }
        order.len() == self.nodes.len()
    }
}

/// Who comes before whom, through any number of nodes between.
#[derive(Debug, Clone, PartialEq)]
struct PrecedenceBits {
    words: usize,
    bits: Vec<u64>,
}

impl PrecedenceBits {
    fn new(after: &[Vec<usize>], before: &[Vec<usize>]) -> Result<Self, PrecedenceCircle> {
        let count = after.len();
        let words = count.div_ceil(64);
        let mut reach = Self { words, bits: vec![0; words * count] };
        let mut waits: Vec<usize> = after.iter().map(Vec::len).collect();
        let mut free: Vec<usize> = (0..count).filter(|n| waits[*n] == 0).collect();
        let mut seen = 0;
        while let Some(node) = free.pop() {
            seen += 1;
            for next in &after[node] {
                reach.add_behind(node, *next);
            }
            for previous in &before[node] {
                waits[*previous] -= 1;
                if waits[*previous] == 0 {
                    free.push(*previous);
                }
            }
        }
        if seen == count {
            Ok(reach)
        } else {
            Err(circle_among((0..count).filter(|n| waits[*n] > 0).collect(), before))
        }
    }

    fn add_behind(&mut self, node: usize, next: usize) {
        for word in 0..self.words {
            self.bits[node * self.words + word] |= self.bits[next * self.words + word];
        }
        self.bits[node * self.words + next / 64] |= 1 << (next % 64);
    }

    fn has_pair(&self, a: usize, b: usize) -> bool {
        self.bits[a * self.words + b / 64] >> (b % 64) & 1 == 1
    }

    /// Leaves only the nodes of a lag that can be the last and the first.
    fn reduce_lag(&self, lag: &mut NodeLag) {
        let from = lag.from.clone();
        lag.from.retain(|a| !from.iter().any(|b| self.has_pair(*a, *b)));
        let to = lag.to.clone();
        lag.to.retain(|b| !to.iter().any(|a| self.has_pair(*a, *b)));
    }
}
