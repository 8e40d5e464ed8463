//! The solver's own form of a problem: a first and a last node, costs in one block, and what can never follow what.

use crate::problem::Problem;
use crate::relation::Relation;

/// A problem whose order starts at node 0 and ends at node `n − 1`; where none is given, one without cost is added.
#[derive(Debug)]
pub(crate) struct Net {
    pub(crate) n: usize,
    costs: Vec<i32>,
    /// Who comes after a node.
    pub(crate) after: Relation,
    /// Who comes before a node.
    pub(crate) before: Relation,
    /// Passages that some order may hold: not against the precedence, and nothing forced between.
    pub(crate) arcs: Relation,
    /// Nodes directly after in the precedence, the transitive ones left out.
    pub(crate) next: Vec<Vec<u32>>,
    /// Nodes directly before in the precedence.
    pub(crate) previous: Vec<Vec<u32>>,
    /// Whether every way back between inner nodes costs what the way there does.
    pub(crate) is_even: bool,
    /// Whether less than half of all pairs are ordered by the precedence.
    pub(crate) is_loose: bool,
    /// Node of the problem; `None` for an added end.
    names: Vec<Option<usize>>,
}

impl Net {
    pub(crate) fn new(problem: &Problem) -> Self {
        let count = problem.count();
        let all = |test: &dyn Fn(usize, usize) -> bool| {
            (0..count).find(|a| (0..count).all(|b| b == *a || test(*a, b)))
        };
        let first = all(&|a, b| problem.precedes(a, b)).filter(|_| count > 1);
        let last = all(&|a, b| problem.precedes(b, a)).filter(|_| count > 1);
        let inner = (0..count).filter(|i| Some(*i) != first && Some(*i) != last);
        let mut names = vec![first];
        names.extend(inner.map(Some));
        names.push(last);
        let n = names.len();
        let after = renamed(problem, &names);
        let before = turned(&after, n);
        let arcs = possible(&after, &before, n);
        let (next, previous) = covers(&after, &before, n);
        let costs = costs_of(problem, &names);
        let inner = || (1..n - 1).flat_map(|a| (1..a).map(move |b| (a, b)));
        let loose = inner().filter(|(a, b)| !after.has(*a, *b) && !after.has(*b, *a)).count();
        let is_even =
            inner().all(|(a, b)| !arcs.has(a, b) || !arcs.has(b, a) || costs[a * n + b] == costs[b * n + a]);
        let is_loose = 2 * loose > inner().count();
        Self { n, costs, is_even, is_loose, after, before, arcs, next, previous, names }
    }

    pub(crate) fn cost(&self, from: u32, to: u32) -> i64 {
        i64::from(self.costs[from as usize * self.n + to as usize])
    }

    /// An order in the problem's own numbers.
    pub(crate) fn outside(&self, order: &[u32]) -> Vec<usize> {
        order.iter().filter_map(|node| self.names[*node as usize]).collect()
    }

    /// An order of the problem in the net's numbers.
    pub(crate) fn inside(&self, order: &[usize]) -> Vec<u32> {
        let mut numbers = vec![0_u32; self.n];
        for (at, name) in self.names.iter().enumerate() {
            if let Some(name) = name {
                numbers[*name] = at as u32;
            }
        }
        let mut inside: Vec<u32> = order.iter().map(|node| numbers[*node]).collect();
        if self.names[0].is_none() {
            inside.insert(0, 0);
        }
        if self.names[self.n - 1].is_none() {
            inside.push(self.n as u32 - 1);
        }
        inside
    }

    pub(crate) fn value(&self, order: &[u32]) -> i64 {
        order.windows(2).map(|pair| self.cost(pair[0], pair[1])).sum()
    }
}

fn costs_of(problem: &Problem, names: &[Option<usize>]) -> Vec<i32> {
    let cost = |a: &Option<usize>, b: &Option<usize>| match (a, b) {
        (Some(a), Some(b)) => i32::try_from(problem.cost(*a, *b)).unwrap_or(i32::MAX),
        _ => 0,
    };
    names.iter().flat_map(|a| names.iter().map(move |b| cost(a, b))).collect()
}

fn renamed(problem: &Problem, names: &[Option<usize>]) -> Relation {
    let n = names.len();
    let mut after = Relation::none(n);
    for (i, a) in names.iter().enumerate() {
        for (j, b) in names.iter().enumerate().filter(|(j, _)| *j != i) {
            let given = matches!((a, b), (Some(a), Some(b)) if problem.after().has(*a, *b));
            if given || i == 0 || j == n - 1 {
                after.add(i, j);
            }
        }
    }
    after
}

fn turned(after: &Relation, n: usize) -> Relation {
    let mut before = Relation::none(n);
    for a in 0..n {
        after.of(a).for_each(|b| before.add(b, a));
    }
    before
}

fn possible(after: &Relation, before: &Relation, n: usize) -> Relation {
    let mut arcs = Relation::none(n);
    for a in 0..n {
        for b in (0..n).filter(|b| *b != a) {
            if !after.has(b, a) && !after.meets(a, before, b) {
                arcs.add(a, b);
            }
        }
    }
    arcs
}

/// The precedence without the pairs that follow from others, both ways.
fn covers(after: &Relation, before: &Relation, n: usize) -> (Vec<Vec<u32>>, Vec<Vec<u32>>) {
    let mut previous = vec![Vec::new(); n];
    let mut next = Vec::with_capacity(n);
    for a in 0..n {
        let direct: Vec<u32> =
            after.of(a).filter(|b| !after.meets(a, before, *b)).map(|b| b as u32).collect();
        direct.iter().for_each(|b| previous[*b as usize].push(a as u32));
        next.push(direct);
    }
    (next, previous)
}
