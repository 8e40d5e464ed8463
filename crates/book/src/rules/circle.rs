//! Precedence: nothing waits for itself, and every part can come off.
//!
//! **Question.** Is there an order in which every part comes off and every condition is made?
//!
//! **Method.** Parts and conditions are nodes; a node is *free* when all it needs is free and, where it has ways, one
//! way is. Freeing runs from what needs nothing until nothing more comes free. What is left is stuck: each stuck node
//! waits for at least one other, so the waits hold a circle, which is looked for first among needs that hold on every
//! way, then through ways that are all blocked. A circle that some way avoids is no fault, because its nodes come free.
//!
//! **Worked example.** a needs b; b has two ways, by a and by c; c needs nothing. c comes free, then b by c, then a.
//!
//! **Sources.** Strongly connected components: S. R. Kosaraju's two passes (from memory). All passes keep their own
//! stack, so that a chain of any length cannot overflow the program's.

use super::{RuleSubject, rule};
use crate::rules::graph::{DirectedGraph, circular_components, shortest_circle};
use faults::{Fault, FaultRule, SourceSpan};
use model::{Book, Need};

rule! { B201 "parts wait for each other",
why "Of parts that each have to be off before the other, none can be taken off first.",
bad "off_first  = [\"cover\"] # which itself needs this part off",
help "remove the need that is not true in practice, or give the part a second way that avoids it." }
rule! { B202 "a part that never comes off",
why "Where every way to a part depends on the part itself, no plan can reach it.",
bad "place_time = \"20 s\"\n\n[[part.way]]\nkey       = \"from-above\"\ntitle     = \"from above\"\noff_first = [\"cover\"]\n\n[[part.way]]\nkey       = \"from-below\"\ntitle     = \"from below\"\noff_first = [\"cover\"]\nstation   = \"front\"",
help "check each way: whatever it needs off has to come off without this part." }
rule! { B203 "conditions wait for each other",
why "Of conditions that each have to hold before the other, none can be made.",
bad "conditions     = [\"engine-cold\"] # which itself needs this condition",
help "remove the need that does not hold." }

pub(super) const RULES: &[FaultRule] = &[B201, B202, B203];

/// How many nodes of a circle are named before it is shortened.
const MAX_NODES_SHOWN: usize = 12;

/// A book's needs as nodes: parts first, then conditions.
struct NeedGraph<'s, 'b> {
    subject: &'s RuleSubject<'b>,
    /// Needs that hold on every way.
    always: DirectedGraph,
    /// Needs of each way of each part.
    ways: Vec<Vec<Vec<usize>>>,
}

pub(super) fn check_precedence(subject: &RuleSubject<'_>) {
    let waits = NeedGraph::new(subject);
    let stuck = waits.stuck_nodes();
    if !stuck.contains(&true) {
        return;
    }
    let mut told = vec![false; stuck.len()];
    let always = waits.always.restricted_to(&stuck);
    for component in circular_components(&always) {
        let circle = shortest_circle(&always, &component);
        subject.bag.push(waits.circle_fault(&circle, false));
        component.iter().for_each(|node| told[*node] = true);
    }
    let blocked = waits.blocked_graph(&stuck);
    for component in circular_components(&blocked) {
        if component.iter().all(|node| !told[*node]) {
            let circle = shortest_circle(&blocked, &component);
            subject.bag.push(waits.circle_fault(&circle, true));
        }
    }
}

impl<'s, 'b> NeedGraph<'s, 'b> {
    fn new(subject: &'s RuleSubject<'b>) -> Self {
        let book = subject.book;
        let nodes = |needs: &[Need]| needs.iter().map(|need| node_of_need(book, *need)).collect::<Vec<_>>();
        let parts = book.parts.iter().map(|part| nodes(&part.needs));
        let conditions = book.conditions.iter().map(|condition| nodes(&condition.needs));
        let always = DirectedGraph::new(parts.chain(conditions).collect());
        let ways = book.parts.iter().map(|part| part.ways.iter().map(|way| nodes(&way.needs)).collect());
        let mut ways: Vec<Vec<Vec<usize>>> = ways.collect();
        ways.resize(always.len(), Vec::new());
        Self { subject, always, ways }
    }

    /// Which nodes never come free.
    fn stuck_nodes(&self) -> Vec<bool> {
        let count = self.always.len();
        // Each node waits for its needs, and for one of its ways; each way, numbered on behind the nodes, for its own.
        let mut left: Vec<usize> = (0..count)
            .map(|n| self.always.edges_from(n).len() + usize::from(!self.ways[n].is_empty()))
            .collect();
        let mut waiting: Vec<Vec<usize>> = vec![Vec::new(); count];
        let mut owner: Vec<usize> = (0..count).collect();
        for n in 0..count {
            self.always.edges_from(n).iter().for_each(|need| waiting[*need].push(n));
            for way in &self.ways[n] {
                way.iter().for_each(|need| waiting[*need].push(left.len()));
                left.push(way.len());
                owner.push(n);
            }
        }
        find_stuck_nodes(count, &mut left, &waiting, &owner)
    }

    /// What each stuck node waits for, the needs of its blocked ways included.
    fn blocked_graph(&self, stuck: &[bool]) -> DirectedGraph {
        let all = |n: usize| {
            let ways = self.ways[n].iter().flatten();
            self.always.edges_from(n).iter().chain(ways).copied().collect::<Vec<_>>()
        };
        DirectedGraph::new((0..self.always.len()).map(all).collect()).restricted_to(stuck)
    }

    fn node_key(&self, node: usize) -> &'b str {
        let book = self.subject.book;
        match node.checked_sub(book.parts.len()) {
            None => &book.parts[node].key,
            Some(condition) => &book.conditions[condition].key,
        }
    }

    /// Where a node says that it needs another.
    fn need_place(&self, node: usize, need: usize) -> SourceSpan {
        let book = self.subject.book;
        let Some(condition) = node.checked_sub(book.parts.len()) else {
            let (part, spot) = (&book.parts[node], &self.subject.spots.parts[node]);
            let own = position_of_need(book, &part.needs, need).map(|at| spot.key("needs").item(at).span);
            let ways = part.ways.iter().enumerate();
            let of_way = ways.filter_map(|(way, item)| {
                let at = position_of_need(book, &item.needs, need)?;
                Some(spot.key("way").item(way).key("needs").item(at).span)
            });
            return own.into_iter().chain(of_way).next().unwrap_or(spot.span);
        };
        let spot = &self.subject.spots.conditions[condition];
        let at = position_of_need(book, &book.conditions[condition].needs, need);
        at.map_or(spot.span, |at| spot.key("needs").item(at).span)
    }

    fn circle_fault(&self, circle: &[usize], through_ways: bool) -> Fault {
        let parts = self.subject.book.parts.len();
        let (first, second) = (circle[0], circle[1 % circle.len()]);
        let span = self.need_place(first, second);
        let shown = self.show_circle(circle);
        if through_ways {
            let message = format!("every way to `{}` is blocked: {shown}", self.node_key(first));
            return super::rule_error(&B202, message, span, "depends on the part itself");
        }
        let (rule, what) =
            if circle.iter().all(|n| *n >= parts) { (&B203, "conditions") } else { (&B201, "parts") };
        let fault = super::rule_error(
            rule,
            format!("{what} wait for each other: {shown}"),
            span,
            "closes the circle",
        );
        let second_place = (circle.len() > 1).then(|| self.need_place(second, circle[2 % circle.len()]));
        second_place.into_iter().fold(fault, |fault, at| fault.note(at, "which in turn waits for the next"))
    }

    /// `a → b → c → a`, long circles shortened.
    fn show_circle(&self, circle: &[usize]) -> String {
        let named = |nodes: &[usize]| nodes.iter().map(|n| self.node_key(*n)).collect::<Vec<_>>().join(" → ");
        let first = self.node_key(circle[0]);
        if circle.len() <= MAX_NODES_SHOWN {
            return format!("{} → {first}", named(circle));
        }
        let more = circle.len() - MAX_NODES_SHOWN;
        format!("{} → {more} more → {first}", named(&circle[..MAX_NODES_SHOWN]))
    }
}

/// The node of a need.
fn node_of_need(book: &Book, need: Need) -> usize {
    match need {
        Need::Off(part) => part.index(),
        Need::Condition(condition) => book.parts.len() + condition.index(),
    }
}

fn position_of_need(book: &Book, needs: &[Need], wanted: usize) -> Option<usize> {
    needs.iter().position(|need| node_of_need(book, *need) == wanted)
}

/// Frees what can be freed; which of the first `count` nodes are left.
fn find_stuck_nodes(count: usize, left: &mut [usize], waiting: &[Vec<usize>], owner: &[usize]) -> Vec<bool> {
    let mut has_way = vec![false; count];
    let mut is_free = vec![false; count];
    let mut ready: Vec<usize> = (0..left.len()).filter(|n| left[*n] == 0).collect();
    let release = |m: usize, left: &mut [usize], ready: &mut Vec<usize>| {
        left[m] -= 1;
        if left[m] == 0 {
            ready.push(m);
        }
    };
    while let Some(n) = ready.pop() {
        if n < count {
            is_free[n] = true;
            waiting[n].iter().for_each(|m| release(*m, left, &mut ready));
        } else if !core::mem::replace(&mut has_way[owner[n]], true) {
            release(owner[n], left, &mut ready);
        }
    }
    is_free.iter().map(|free| !free).collect()
}
