//! The problem of an order: nodes of work under precedence, with set-ups between them and a choice of stacks within them.
//!
//! # Question
//! What does it cost to go from one piece of work to the next, which stacks are the cheapest for a given order, and what does no order
//! go below? The search itself is that of [`crate::course`].
//!
//! # Model
//! Nodes `1 … n` with a station, a part and fixed work `w` (s); some have choices `c`, each with the stack it needs first
//! `a(c)`, the stack it leaves in hand `b(c)` and the seconds inside it `t(c)`. `π` is an order of the nodes that respects a
//! precedence, `h(k)` the stack in hand before its k-th node (the bare hand before the first; nodes without choices leave
//! it as it is).
//!
//! ```text
//! Σ over k of  enter(station) if it changes + ATTENTION_S if the part changes + swap(h(k), a(c)) + t(c) + w   + waits
//! ```
//!
//! Waits: the first of some nodes may not start before `L` seconds after the end of the last of others ([`NodeLag`]); other work
//! goes on meanwhile.
//!
//! # Method
//! For a fixed order the choices are a shortest path through layers ([`best_stack_choices`]). [`node_order_bound_s`] counts what
//! every order has to begin anew.
//!
//! # Worked example
//! Two parts, one 10 mm bolt each, one with a clip besides; ratchet and socket are two pieces. In the order bolt A, clip A,
//! A off, bolt B, B off: attention 2 · 3 s, picks 2 · 4 s for bolt A, puts 2 · 1.4 s for the clip by hand, picks 2 · 4 s for bolt B:
//! 24.8 s. With the clip first the ratchet stays in hand: 6 + 8 = 14 s, the least.
//!
//! # Sources
//! Held and Karp, A dynamic programming approach to sequencing problems, J. SIAM 10 (1962) 196-210 (from memory).

mod bound;
mod chain;
mod followers;
mod problem;
mod visits;

pub use bound::{least_place_changes, node_order_bound_s};
pub use chain::best_stack_choices;
pub use followers::CheapestFollowers;
pub use problem::{
    EMPTY_HAND, MAX_CHOICES, NodeLag, NodeOrderProblem, PrecedenceCircle, StackChoice, StackSets, WorkNode,
    hand_swap_s, swapped_pieces,
};
