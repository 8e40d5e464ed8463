//! Stretches over which a piece may stay on the cart, and the best set of them that overfills no step.

use effort::{SolverBudget, SolverStanding};
use units::math;

use crate::flow::CostNetwork;
use crate::load::LoadPiece;

/// Branches that suit any problem of the size of a visit (assumption).
const BRANCHES: u64 = 300;

/// A piece needed at two steps and not between.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct KeepStretch {
    pub piece: u16,
    pub start: usize,
    pub end: usize,
    /// Seconds saved by keeping it.
    pub saves_s: f64,
    places: u32,
}

/// The stretches kept.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct KeptStretches {
    pub kept: Vec<bool>,
    /// No set of stretches saves more.
    pub most_s: f64,
    pub standing: SolverStanding,
    /// Flows solved.
    pub effort: u64,
}

/// All stretches with steps between, by their end.
pub(crate) fn find_stretches(needs: &[Vec<u16>], pieces: &[LoadPiece]) -> Vec<KeepStretch> {
    let mut last: Vec<Option<usize>> = vec![None; pieces.len()];
    let mut all = Vec::new();
    for (end, piece) in needs.iter().enumerate().flat_map(|(at, n)| n.iter().map(move |p| (at, *p))) {
        let known = pieces[usize::from(piece)];
        if let Some(start) = last[usize::from(piece)].replace(end).filter(|start| start + 1 < end) {
            all.push(KeepStretch { piece, start, end, saves_s: known.fetch_s, places: known.places });
        }
    }
    all
}

/// The set of stretches that saves the most.
pub(crate) fn best_stretches(all: &[KeepStretch], free: &[u32], budget: &SolverBudget) -> KeptStretches {
    let scale = all.iter().map(|s| i64::from(s.places)).fold(1, least_common_multiple);
    let mut search = StretchSearch {
        all,
        scale,
        best: vec![false; all.len()],
        best_gain: 0,
        effort: 0,
        most: budget.effort.tries_or_sized(BRANCHES).max(1),
        cut_off: false,
        budget,
    };
    let mut choice = vec![None; all.len()];
    let most_gain = search.branch_on_split(free, &mut choice, 0);
    let standing = match (search.cut_off, budget.watch.should_stop()) {
        (false, _) => SolverStanding::Proven,
        (true, true) => SolverStanding::Stopped,
        (true, false) => SolverStanding::Found,
    };
    let most_s = most_gain as f64 / (scale as f64 * 1000.0);
    KeptStretches { kept: search.best, most_s, standing, effort: search.effort }
}

fn least_common_multiple(a: i64, b: i64) -> i64 {
    let (mut x, mut y) = (a, b);
    while y > 0 {
        (x, y) = (y, x % y);
    }
    a / x * b
}

/// Branching on the stretches that the flow splits. Gains are milliseconds times `scale`, so that all shares are whole.
struct StretchSearch<'a> {
    all: &'a [KeepStretch],
    scale: i64,
    best: Vec<bool>,
    best_gain: i64,
    effort: u64,
    most: u64,
    cut_off: bool,
    budget: &'a SolverBudget<'a>,
}

impl StretchSearch<'_> {
    fn gain_of(&self, stretch: &KeepStretch) -> i64 {
        math::round(stretch.saves_s * 1000.0) as i64 * self.scale
    }

    /// Looks for the best set under the choices made so far; gives the most that any such set can gain.
    fn branch_on_split(&mut self, free: &[u32], choice: &mut Vec<Option<bool>>, kept_gain: i64) -> i64 {
        if self.effort >= self.most || (self.effort > 0 && self.budget.watch.should_stop()) {
            self.cut_off = true;
            return i64::MAX;
        }
        self.effort += 1;
        let units = self.relaxed_units(free, choice);
        let share =
            |at: usize| i64::from(units[at]) * (self.gain_of(&self.all[at]) / i64::from(self.all[at].places));
        let most = kept_gain + (0..self.all.len()).map(share).sum::<i64>();
        self.round_units(free, choice, &units, kept_gain);
        if most <= self.best_gain {
            return most;
        }
        let split = (0..self.all.len()).filter(|at| units[*at] > 0 && units[*at] < self.all[*at].places);
        let Some(at) = split.max_by_key(|at| (self.gain_of(&self.all[*at]), usize::MAX - at)) else {
            return most;
        };
        if let Some(less) = places_without(free, &self.all[at]) {
            choice[at] = Some(true);
            self.branch_on_split(&less, choice, kept_gain + self.gain_of(&self.all[at]));
        }
        choice[at] = Some(false);
        self.branch_on_split(free, choice, kept_gain);
        choice[at] = None;
        most
    }

    /// Units of each undecided stretch in the cheapest flow.
    fn relaxed_units(&self, free: &[u32], choice: &[Option<bool>]) -> Vec<u32> {
        let mut network = CostNetwork::new(free.len() + 1);
        for at in 0..free.len() {
            network.add_arc(at, at + 1, i64::MAX / 4, 0);
        }
        let arcs: Vec<Option<usize>> = (0..self.all.len())
            .map(|at| {
                let stretch = &self.all[at];
                let cost = self.gain_of(stretch) / i64::from(stretch.places);
                let units = i64::from(stretch.places);
                let is_open = choice[at].is_none() && cost > 0;
                is_open.then(|| network.add_arc(stretch.start + 1, stretch.end, units, -cost))
            })
            .collect();
        let mut supplies = vec![0; free.len() + 1];
        for (at, free) in free.iter().enumerate() {
            supplies[at] += i64::from(*free);
            supplies[at + 1] -= i64::from(*free);
        }
        network.send_supplies(supplies);
        arcs.into_iter().map(|arc| arc.map_or(0, |a| network.flow_through(a) as u32)).collect()
    }

    /// Keeps the whole stretches, then what else fits, the most seconds a place and step first.
    fn round_units(&mut self, free: &[u32], choice: &[Option<bool>], units: &[u32], kept_gain: i64) {
        let mut free = free.to_vec();
        let mut kept: Vec<bool> = choice.iter().map(|c| *c == Some(true)).collect();
        let mut gain = kept_gain;
        let is_whole = |at: &usize| units[*at] == self.all[*at].places;
        let (whole, mut rest): (Vec<usize>, Vec<usize>) =
            (0..self.all.len()).filter(|at| choice[*at].is_none()).partition(is_whole);
        let worth = |at: usize| {
            let stretch = &self.all[at];
            stretch.saves_s / ((stretch.end - stretch.start - 1) as f64 * f64::from(stretch.places))
        };
        rest.sort_by(|a, b| worth(*b).total_cmp(&worth(*a)).then(a.cmp(b)));
        for at in whole.into_iter().chain(rest) {
            if let Some(less) = places_without(&free, &self.all[at]) {
                (free, kept[at], gain) = (less, true, gain + self.gain_of(&self.all[at]));
            }
        }
        if gain > self.best_gain || self.effort == 1 {
            (self.best, self.best_gain) = (kept, gain);
        }
    }
}

/// Places left when a stretch is kept; none where it does not fit.
fn places_without(free: &[u32], stretch: &KeepStretch) -> Option<Vec<u32>> {
    let between = stretch.start + 1..stretch.end;
    let fits = free[between.clone()].iter().all(|f| *f >= stretch.places);
    fits.then(|| {
        let mut less = free.to_vec();
        less[between].iter_mut().for_each(|f| *f -= stretch.places);
        less
    })
}
