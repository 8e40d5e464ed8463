//! The assignment bound: every node but the last gets a follower of its own, as cheaply as that can be.
//!
//! An order is such an assignment too, so none costs less. Passages that no order can hold are left out: against the
//! precedence, or with a node forced between. Shortest augmenting paths, one for each node, in O(n³).
//!
//! The prices `u` (to leave) and `v` (to enter) with `u[i] + v[j] ≤ c[i][j]` prove the bound, and the reduced costs
//! `c[i][j] − u[i] − v[j] ≥ 0` say what each passage costs beyond it.

use crate::net::SequencingNet;

/// A bound with the prices that prove it.
#[derive(Debug, Clone)]
pub(crate) struct AssignmentBound {
    pub(crate) bound: i64,
    /// Price of leaving each node.
    pub(crate) leave: Vec<i64>,
    /// Price of entering each node.
    pub(crate) enter: Vec<i64>,
}

const FAR: i64 = i64::MAX / 4;

/// The bound on the passages that some order may hold.
pub(crate) fn assignment_of_net(net: &SequencingNet) -> AssignmentBound {
    let n = net.n;
    let mut costs = vec![FAR; n * n];
    for a in 0..n {
        net.arcs.related_nodes(a).for_each(|b| costs[a * n + b] = net.cost(a as u32, b as u32));
    }
    assign_followers(n, &costs)
}

/// The assignment bound on costs row by row, [`FAR`] where a passage is ruled out.
fn assign_followers(n: usize, costs: &[i64]) -> AssignmentBound {
    let mut work = AssignmentSolver { n, leave: vec![0; n], enter: vec![0; n], taken: vec![NOBODY; n] };
    for row in 0..n - 1 {
        work.augment_row(row, costs);
    }
    let last = n - 1;
    work.leave[last] = 0;
    work.enter[0] = 0;
    let bound = work.leave.iter().sum::<i64>() + work.enter.iter().sum::<i64>();
    AssignmentBound { bound, leave: work.leave, enter: work.enter }
}

const NOBODY: usize = usize::MAX;

struct AssignmentSolver {
    n: usize,
    leave: Vec<i64>,
    enter: Vec<i64>,
    /// Row that holds each column.
    taken: Vec<usize>,
}

impl AssignmentSolver {
    /// Gives one more row a column along the cheapest chain of changes.
    fn augment_row(&mut self, start: usize, costs: &[i64]) {
        let n = self.n;
        let mut least = vec![FAR; n];
        let mut from = vec![NOBODY; n];
        let mut done = vec![false; n];
        let (mut row, mut column) = (start, NOBODY);
        loop {
            if column != NOBODY {
                done[column] = true;
            }
            let (mut step, mut next) = (FAR, NOBODY);
            for j in (1..n).filter(|j| !done[*j]) {
                let cost = costs[row * n + j];
                if cost < FAR {
                    let over = cost - self.leave[row] - self.enter[j];
                    if over < least[j] {
                        (least[j], from[j]) = (over, column);
                    }
                }
                if least[j] < step {
                    (step, next) = (least[j], j);
                }
            }
            if next == NOBODY {
                return;
            }
            self.shift_prices(start, step, &done, &mut least);
            column = next;
            if self.taken[column] == NOBODY {
                break;
            }
            row = self.taken[column];
        }
        while column != NOBODY {
            let previous = from[column];
            self.taken[column] = if previous == NOBODY { start } else { self.taken[previous] };
            column = previous;
        }
    }

    fn shift_prices(&mut self, start: usize, step: i64, done: &[bool], least: &mut [i64]) {
        self.leave[start] += step;
        for j in 1..self.n {
            if done[j] {
                self.leave[self.taken[j]] += step;
                self.enter[j] -= step;
            } else if least[j] < FAR {
                least[j] -= step;
            }
        }
    }
}
