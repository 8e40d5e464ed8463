//! The solver's own form of a problem: a first and a last node, costs in one block, and what can never follow what.

use crate::problem::SequencingProblem;
use crate::relation::NodeRelation;

/// A problem whose order starts at node 0 and ends at node `n − 1`; where none is given, one without cost is added.
#[derive(Debug)]
pub(crate) struct SequencingNet {
    pub(crate) n: usize,
    costs: Vec<i32>,
    /// Who comes after a node.
    pub(crate) after: NodeRelation,
    /// Who comes before a node.
    pub(crate) before: NodeRelation,
    /// Passages that some order may hold: not against the precedence, and nothing forced between.
    pub(crate) arcs: NodeRelation,
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

impl SequencingNet {
    pub(crate) fn new(problem: &SequencingProblem) -> Self {
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
        let after = rename_precedence(problem, &names);
        let before = reverse_relation(&after, n);
        let arcs = possible_passages(&after, &before, n);
        let (next, previous) = direct_neighbours(&after, &before, n);
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
    pub(crate) fn to_problem_order(&self, order: &[u32]) -> Vec<usize> {
        order.iter().filter_map(|node| self.names[*node as usize]).collect()
    }

    /// An order of the problem in the net's numbers.
    pub(crate) fn to_net_order(&self, order: &[usize]) -> Vec<u32> {
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

    pub(crate) fn order_value(&self, order: &[u32]) -> i64 {
        order.windows(2).map(|pair| self.cost(pair[0], pair[1])).sum()
    }
}

fn costs_of(problem: &SequencingProblem, names: &[Option<usize>]) -> Vec<i32> {
    let cost = |a: &Option<usize>, b: &Option<usize>| match (a, b) {
        (Some(a), Some(b)) => i32::try_from(problem.cost(*a, *b)).unwrap_or(i32::MAX),
        _ => 0,
    };
    names.iter().flat_map(|a| names.iter().map(move |b| cost(a, b))).collect()
}

fn rename_precedence(problem: &SequencingProblem, names: &[Option<usize>]) -> NodeRelation {
    let n = names.len();
    let mut after = NodeRelation::with_no_pairs(n);
    for (i, a) in names.iter().enumerate() {
        for (j, b) in names.iter().enumerate().filter(|(j, _)| *j != i) {
            let given = matches!((a, b), (Some(a), Some(b)) if problem.after().has(*a, *b));
            if given || i == 0 || j == n - 1 {
                after.add_pair(i, j);
            }
        }
    }
    after
}

fn reverse_relation(after: &NodeRelation, n: usize) -> NodeRelation {
    let mut before = NodeRelation::with_no_pairs(n);
    for a in 0..n {
        after.related_nodes(a).for_each(|b| before.add_pair(b, a));
    }
    before
}

fn possible_passages(after: &NodeRelation, before: &NodeRelation, n: usize) -> NodeRelation {
    let mut arcs = NodeRelation::with_no_pairs(n);
    for a in 0..n {
        for b in (0..n).filter(|b| *b != a) {
            if !after.has(b, a) && !after.shares_node(a, before, b) {
                arcs.add_pair(a, b);
            }
        }
    }
    arcs
}

/// The precedence without the pairs that follow from others, both ways.
fn direct_neighbours(
    after: &NodeRelation,
    before: &NodeRelation,
    n: usize,
) -> (Vec<Vec<u32>>, Vec<Vec<u32>>) {
    let mut previous = vec![Vec::new(); n];
    let mut next = Vec::with_capacity(n);
    for a in 0..n {
        let direct: Vec<u32> =
            after.related_nodes(a).filter(|b| !after.shares_node(a, before, *b)).map(|b| b as u32).collect();
        direct.iter().for_each(|b| previous[*b as usize].push(a as u32));
        next.push(direct);
    }
    (next, previous)
}
