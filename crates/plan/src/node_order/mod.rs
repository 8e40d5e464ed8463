//! Order: nodes of work under precedence, with set-ups between them and a choice of stacks within them.
//!
//! # Question
//! In what order are parts taken off (or put back) so that the least time goes into changing station, turning to another
//! part, swapping pieces and waiting, and with which of its stacks is each fastener worked?
//!
//! # Model
//! Nodes `1 … n` with a station, a part and fixed work `w` (s); some have choices `c`, each with the stack it needs first
//! `a(c)`, the stack it leaves in hand `b(c)` and the seconds inside it `t(c)`. `π` is an order of the nodes that respects a
//! precedence, `h(k)` the stack in hand before its k-th node (the bare hand before the first; nodes without choices leave
//! it as it is).
//!
//! ```text
//! minimise  Σ over k of  enter(station) if it changes + ATTENTION_S if the part changes + swap(h(k), a(c)) + t(c) + w
//!           + waits,    over all π and c
//! ```
//!
//! Waits: the first of some nodes may not start before `L` seconds after the end of the last of others ([`NodeLag`]); other work
//! goes on meanwhile. With one choice a node and no waits this is the sequential ordering problem.
//!
//! # Method
//! For a fixed order the choices are a shortest path through layers (`chain`), which a local change disturbs only near
//! itself, so that a try costs a few layers (`tour`). A greedy order, then simulated annealing over exchanges of
//! neighbouring segments that bring a node behind one of its cheapest forerunners; where the precedence forbids one,
//! it is made as far as it can be (`moves`). Each core anneals with its own random numbers; for the last quarter all
//! continue from the best order at a lower temperature (`solve`). Up to ten nodes without waits dynamic programming over sets decides, up to seven with
//! waits every order is tried ([`plain`]). `loading_bound_s` counts what every order has to begin anew (`visits`), and
//! the gap is reported with the answer.
//!
//! The annealing weighs waits by the cheapest path to each layer, which may differ by a swap from the path finally taken;
//! orders near the best are therefore weighed exactly, and the answer's own waits are exact. Stacks are chosen for the least set-up and work, waits left aside.
//!
//! # Worked example
//! Two parts, one 10 mm bolt each, one with a clip besides; ratchet and socket are two pieces. In the order bolt A, clip A,
//! A off, bolt B, B off: attention 2 · 3 s, picks 2 · 4 s for bolt A, puts 2 · 1.4 s for the clip by hand, picks 2 · 4 s for bolt B:
//! 24.8 s. With the clip first the ratchet stays in hand: 6 + 8 = 14 s, the least.
//!
//! # Sources
//! Gambardella and Dorigo, INFORMS J. Computing 12 (2000) 237-255 (exchange of segments). Kirkpatrick, Gelatt and Vecchi,
//! Optimization by simulated annealing, Science 220 (1983) 671-680. Held and Karp, A dynamic programming approach to
//! sequencing problems, J. SIAM 10 (1962) 196-210 (all from memory).

mod anneal;
mod bound;
mod chain;
mod greedy;
mod moves;
pub mod plain;
mod problem;
mod solve;
mod tour;
mod visits;

pub use bound::{least_place_changes, node_order_bound_s};
pub use chain::{EvaluatedNodeOrder, evaluate_node_order};
pub(crate) use moves::CheapestFollowers;
pub use problem::{
    EMPTY_HAND, MAX_CHOICES, NodeLag, NodeOrderProblem, PrecedenceCircle, StackChoice, StackSets, WorkNode,
    hand_swap_s, swapped_pieces,
};
pub use solve::{NodeOrderAnswer, NodeOrderSettings, improve_node_order, solve_node_order};
