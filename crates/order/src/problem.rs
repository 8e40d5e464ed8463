//! The problem as others give it: nodes, what it costs to go from one to the next, and who comes before whom.

use crate::relation::NodeRelation;

/// Maximum number of nodes of a problem; the costs of all pairs are kept in memory.
pub const MAX_NODES: usize = 8_000;
/// Largest cost of one passage, either sign; sums over all nodes stay far from overflow.
pub const MAX_COST: i64 = 1_000_000_000;

/// Nodes to be put in an order, costs from each to each, and the precedence, closed transitively.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SequencingProblem {
    count: usize,
    costs: Vec<i64>,
    after: NodeRelation,
}

/// Why numbers do not make a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SequencingError {
    /// There is no node.
    Empty,
    /// More nodes than [`MAX_NODES`].
    TooMany {
        /// Nodes given.
        count: usize,
    },
    /// The costs are not a full square.
    Ragged {
        /// Costs given.
        cells: usize,
        /// Nodes given.
        count: usize,
    },
    /// A cost beyond [`MAX_COST`].
    TooLarge {
        /// The passage.
        from: usize,
        /// The passage.
        to: usize,
        /// Its cost.
        cost: i64,
    },
    /// A pair names a node that there is not.
    Unknown {
        /// The number named.
        node: usize,
    },
    /// Nodes that wait for each other in a circle, or behind one.
    Circle(Vec<usize>),
}

impl core::fmt::Display for SequencingError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Empty => write!(f, "there is no node"),
            Self::TooMany { count } => {
                write!(f, "there are {count} nodes; at most {MAX_NODES} are supported")
            }
            Self::Ragged { cells, count } => {
                write!(f, "{cells} costs given; {count} nodes need {count} x {count}")
            }
            Self::TooLarge { from, to, cost } => {
                write!(f, "the cost {cost} from {from} to {to} exceeds {MAX_COST}")
            }
            Self::Unknown { node } => write!(f, "there is no node {node}"),
            Self::Circle(nodes) => {
                write!(f, "nodes {nodes:?} form a circle or follow one; remove one of the precedences")
            }
        }
    }
}

impl core::error::Error for SequencingError {}

impl SequencingProblem {
    /// Builds a problem from the costs, row by row, and pairs (before, after).
    ///
    /// # Errors
    /// [`SequencingError`] says what is wrong with the numbers.
    pub fn new(count: usize, costs: Vec<i64>, pairs: &[(usize, usize)]) -> Result<Self, SequencingError> {
        if count == 0 {
            return Err(SequencingError::Empty);
        }
        if count > MAX_NODES {
            return Err(SequencingError::TooMany { count });
        }
        if costs.len() != count * count {
            return Err(SequencingError::Ragged { cells: costs.len(), count });
        }
        if let Some(at) = costs.iter().position(|c| c.unsigned_abs() > MAX_COST.unsigned_abs()) {
            return Err(SequencingError::TooLarge { from: at / count, to: at % count, cost: costs[at] });
        }
        Ok(Self { count, costs, after: close_precedence(count, pairs)? })
    }

    /// Number of nodes.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// Cost of going from one node to the next.
    #[must_use]
    pub fn cost(&self, from: usize, to: usize) -> i64 {
        self.costs[from * self.count + to]
    }

    /// Whether a node comes before another in every order.
    #[must_use]
    pub fn precedes(&self, a: usize, b: usize) -> bool {
        self.after.has(a, b)
    }

    pub(crate) fn after(&self) -> &NodeRelation {
        &self.after
    }

    /// What an order costs: the sum of its passages.
    #[must_use]
    pub fn order_value(&self, order: &[usize]) -> i64 {
        order.windows(2).map(|pair| self.cost(pair[0], pair[1])).sum()
    }

    /// Whether an order holds every node once and respects the precedence.
    #[must_use]
    pub fn allows(&self, order: &[usize]) -> bool {
        let mut place = vec![usize::MAX; self.count];
        for (at, node) in order.iter().enumerate() {
            match place.get_mut(*node) {
                Some(free) if *free == usize::MAX => *free = at,
                _ => return false,
            }
        }
        order.len() == self.count
            && (0..self.count).all(|a| self.after.related_nodes(a).all(|b| place[a] < place[b]))
    }
}

/// The precedence closed transitively.
fn close_precedence(count: usize, pairs: &[(usize, usize)]) -> Result<NodeRelation, SequencingError> {
    if let Some(node) = pairs.iter().flat_map(|(a, b)| [*a, *b]).find(|n| *n >= count) {
        return Err(SequencingError::Unknown { node });
    }
    let mut before = vec![Vec::new(); count];
    let mut waits = vec![0_usize; count];
    let mut after = NodeRelation::with_no_pairs(count);
    for (a, b) in pairs {
        before[*b].push(*a);
        waits[*a] += 1;
        after.add_pair(*a, *b);
    }
    let mut free: Vec<usize> = (0..count).filter(|n| waits[*n] == 0).collect();
    let mut seen = 0;
    while let Some(node) = free.pop() {
        seen += 1;
        for previous in &before[node] {
            after.join_rows(*previous, node);
            waits[*previous] -= 1;
            if waits[*previous] == 0 {
                free.push(*previous);
            }
        }
    }
    if seen == count {
        Ok(after)
    } else {
        Err(SequencingError::Circle((0..count).filter(|n| waits[*n] > 0).collect()))
    }
}
