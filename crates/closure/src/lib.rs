//! Maximum closure by minimum cut: which tasks are worth their way in.
//!
//! # Question
//! Some work pays, some only costs, and some work needs other work first. Which set of it, closed under "needs", is worth
//! most? Which of the choices hang by a thread, and how much may a price change before the choice does?
//!
//! # Symbols
//! Items `i` with a value `v(i)` in any whole unit of money (work that pays has `v > 0`, work that only costs `v < 0`) and
//! needs `N(i)`. `X` is the chosen set:
//!
//! ```text
//! maximise  Σ v(i), i ∈ X     so that   N(i) ⊆ X for all i ∈ X
//! ```
//!
//! # Method
//! [`cut`]: a network with an arc source → i of capacity `v(i)` for each `v(i) > 0`, an arc i → sink of capacity `−v(i)` for
//! each `v(i) < 0`, and an arc i → j without limit for each need. What lies on the source's side of a least cut is a best
//! closure, and its value is `Σ v⁺ − flow` (Picard, Management Science 22 (1976) 1268-1272, from memory). The flow is found
//! by levels and blocking flows with an explicit stack ([`flow`]; Dinic, Soviet Math. Doklady 11 (1970) 1277-1280, from
//! memory). What the source reaches in the residual network is the *least* best closure, what cannot reach the sink the
//! *greatest*; everything between is worth nothing either way, and both are given.
//!
//! # Sensitivity
//! With one item forced the other way the best value falls by its *margin*. The choice holds while the item's value falls
//! (if chosen) or rises (if not) by less than that, all else equal. To force `i` out is an arc i → sink without limit, so the
//! margin of a chosen item is the flow that the residual network still carries from the source to `i`; of an item left out,
//! from `i` to the sink. The flow already found is kept, so a margin costs one more search.
//!
//! # Ways
//! [`ways`]: a part that can be reached from above or from below needs all of one of several sets. That is no closure any
//! more, and choosing is hard in general; branch on the ways, with the closure that knows only what all ways of an item share
//! as the bound. Work happens one after the other there, so needs that run in a circle are barred.
//!
//! # Worked example
//! Spark plugs pay 50 and a coolant pump pays 30; both need the cover off (−20), the pump also the belt (−25). Both: 50 + 30 −
//! 20 − 25 = 35. The plugs alone: 30. So the pump is worth adding, by a margin of 5: if it pays less than 25, or the
//! belt costs more than 30, it is left. The cover's margin is 35: without it nothing can be done.
//!
//! # Range
//! Values are whole numbers; the sum of their sizes stays under `i64::MAX / 16` ([`cut::ClosureProblem::new`] says so). Ten thousand
//! items with a hundred thousand needs take about a second.

pub mod cut;
pub mod flow;
pub mod plain;
pub mod ways;
