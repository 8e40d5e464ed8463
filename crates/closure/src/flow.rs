//! Maximum flow by levels and blocking flows, with an explicit stack: chains of any length need no recursion.
//!
//! Question: how much can flow from one node to another when no arc carries more than its capacity? Capacities are whole
//! numbers, so the answer is exact. Each phase finds the distance of every node to the sink along arcs with room left,
//! then fills paths that come one step closer with every arc until none is left. With `n` nodes there are fewer than `n`
//! phases. Worked example: source → a (3), a → sink (2), source → sink (1): flow 3, and `a` stays within reach of the
//! source through the one unit of room that is left.

use effort::SolverWatch;

/// More than any sum of values; a flow this large means that something forced in needs something forced out.
pub const WITHOUT_END: i64 = i64::MAX / 8;

/// A node that has no level because the sink is out of its reach.
const FAR: u32 = u32::MAX;

/// Arcs of a network under construction.
#[derive(Debug, Clone, Default)]
pub struct NetworkDraft {
    arcs: Vec<(u32, u32, i64)>,
}

/// A network with the flow found so far: arcs of node `v` are `first[v]..first[v + 1]`.
#[derive(Debug, Clone)]
pub struct FlowNetwork {
    first: Vec<u32>,
    head: Vec<u32>,
    back: Vec<u32>,
    room: Vec<i64>,
    level: Vec<u32>,
    next: Vec<u32>,
    queue: Vec<u32>,
}

impl NetworkDraft {
    /// Adds an arc.
    pub fn add_arc(&mut self, from: u32, to: u32, capacity: i64) {
        self.arcs.push((from, to, capacity));
    }

    /// The network of the arcs drawn, each with its way back, sorted by node.
    #[must_use]
    pub fn to_network(&self, nodes: usize) -> FlowNetwork {
        let mut first = vec![0_u32; nodes + 1];
        for (from, to, _) in &self.arcs {
            first[*from as usize + 1] += 1;
            first[*to as usize + 1] += 1;
        }
        for v in 0..nodes {
            first[v + 1] += first[v];
        }
        let mut free = first.clone();
        let ends = 2 * self.arcs.len();
        let (mut head, mut back, mut room) = (vec![0; ends], vec![0; ends], vec![0; ends]);
        let mut place = |v: u32| {
            let at = free[v as usize];
            free[v as usize] += 1;
            at
        };
        for (from, to, capacity) in &self.arcs {
            let (out, home) = (place(*from), place(*to));
            (head[out as usize], back[out as usize], room[out as usize]) = (*to, home, *capacity);
            (head[home as usize], back[home as usize]) = (*from, out);
        }
        FlowNetwork {
            level: vec![FAR; nodes],
            next: vec![0; nodes],
            queue: Vec::new(),
            first,
            head,
            back,
            room,
        }
    }
}

impl FlowNetwork {
    fn arcs_of(&self, v: u32) -> std::ops::Range<usize> {
        self.first[v as usize] as usize..self.first[v as usize + 1] as usize
    }

    /// Adds as much flow as fits, phase by phase; stops early at [`WITHOUT_END`] or when the watch says
    /// so, checked once a phase. Gives the flow added and whether it is all there is.
    pub fn push_flow(&mut self, source: u32, sink: u32, watch: &dyn SolverWatch) -> (i64, bool) {
        let mut flow = 0;
        while self.find_levels(source, sink) {
            if watch.should_stop() {
                return (flow, false);
            }
            flow += self.block_flow(source, sink, WITHOUT_END - flow);
            if flow >= WITHOUT_END {
                break;
            }
        }
        (flow, true)
    }

    /// Distances to the sink, searched from the sink until the source is found; says whether it was.
    fn find_levels(&mut self, source: u32, sink: u32) -> bool {
        self.level.fill(FAR);
        self.queue.clear();
        self.queue.push(sink);
        self.level[sink as usize] = 0;
        let mut at = 0;
        while at < self.queue.len() && self.level[source as usize] == FAR {
            let v = self.queue[at];
            at += 1;
            for arc in self.arcs_of(v) {
                let u = self.head[arc];
                if self.level[u as usize] == FAR && self.room[self.back[arc] as usize] > 0 {
                    self.level[u as usize] = self.level[v as usize] + 1;
                    self.queue.push(u);
                }
            }
        }
        self.level[source as usize] != FAR
    }

    /// Fills paths that come closer with every arc until none is left; at most `most`.
    fn block_flow(&mut self, source: u32, sink: u32, most: i64) -> i64 {
        let nodes = self.next.len();
        self.next.copy_from_slice(&self.first[..nodes]);
        let mut path: Vec<u32> = Vec::new();
        let mut flow = 0;
        let mut v = source;
        while flow < most {
            if v == sink {
                let (sent, kept) = self.send_along(&path, most - flow);
                flow += sent;
                path.truncate(kept);
                v = path.last().map_or(source, |arc| self.head[*arc as usize]);
            } else if let Some(arc) = self.step_closer(v) {
                path.push(arc);
                v = self.head[arc as usize];
            } else if let Some(arc) = path.pop() {
                // A dead end: nobody comes here again in this phase.
                self.level[v as usize] = FAR;
                v = self.head[self.back[arc as usize] as usize];
            } else {
                break;
            }
        }
        flow
    }

    /// The next arc from a node that has room and comes one step closer.
    fn step_closer(&mut self, v: u32) -> Option<u32> {
        let wanted = self.level[v as usize].checked_sub(1)?;
        let end = self.first[v as usize + 1];
        let open = |arc: &u32| {
            let at = *arc as usize;
            self.room[at] > 0 && self.level[self.head[at] as usize] == wanted
        };
        let found = (self.next[v as usize]..end).find(open);
        self.next[v as usize] = found.unwrap_or(end);
        found
    }

    /// Sends what a path can carry; gives that and how many of its arcs lie before the first one that is full now.
    fn send_along(&mut self, path: &[u32], most: i64) -> (i64, usize) {
        let sent = path.iter().map(|arc| self.room[*arc as usize]).fold(most, i64::min);
        let mut kept = path.len();
        for (at, arc) in path.iter().enumerate().rev() {
            let arc = *arc as usize;
            self.room[arc] -= sent;
            self.room[self.back[arc] as usize] += sent;
            if self.room[arc] == 0 {
                kept = at;
            }
        }
        (sent, kept)
    }

    /// Nodes that can be reached from a node along arcs with room left.
    #[must_use]
    pub fn reached_from(&self, from: u32) -> Vec<bool> {
        self.spread_from(from, |arc| self.room[arc])
    }

    /// Nodes that reach a node along arcs with room left.
    #[must_use]
    pub fn nodes_reaching(&self, to: u32) -> Vec<bool> {
        self.spread_from(to, |arc| self.room[self.back[arc] as usize])
    }

    fn spread_from(&self, start: u32, room: impl Fn(usize) -> i64) -> Vec<bool> {
        let mut seen = vec![false; self.next.len()];
        seen[start as usize] = true;
        let mut open = vec![start];
        while let Some(v) = open.pop() {
            for arc in self.arcs_of(v) {
                let u = self.head[arc];
                if !seen[u as usize] && room(arc) > 0 {
                    seen[u as usize] = true;
                    open.push(u);
                }
            }
        }
        seen
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::UnwatchedSolver;

    #[test]
    fn the_worked_example() {
        let mut draft = NetworkDraft::default();
        draft.add_arc(0, 1, 3);
        draft.add_arc(1, 2, 2);
        draft.add_arc(0, 2, 1);
        let mut network = draft.to_network(3);
        assert_eq!(network.push_flow(0, 2, &UnwatchedSolver), (3, true));
        assert_eq!(network.reached_from(0), [true, true, false]);
        assert_eq!(network.nodes_reaching(2), [false, false, true]);
    }

    /// A chain of a hundred thousand nodes would break a search that calls itself.
    #[test]
    fn long_chains_need_no_deep_stack() {
        let nodes = 100_000_u32;
        let mut draft = NetworkDraft::default();
        (1..nodes).for_each(|v| draft.add_arc(v - 1, v, 7));
        assert_eq!(draft.to_network(nodes as usize).push_flow(0, nodes - 1, &UnwatchedSolver), (7, true));
    }
}
