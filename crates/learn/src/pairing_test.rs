//! Whether one part before the other is more than chance: an exact test by pairing.
//!
//! **Question.** In all `n` visits `a` came off before `b`. Did it have to, or does `a` lie at the front where work begins and `b` at the far end?
//!
//! **Rule.** A plain sign test says that chance gives `2⁻ⁿ`, which holds only if either could as well come first. Instead the places of `a` (as shares of their visit's
//! order) are dealt anew to the places of `b`, each deal as likely as another: if the two have nothing to do with each other, the deal that was seen is one of `n!`. The chance
//! that a deal has `a` first in every visit is exact: with the places of `b` sorted and `c_i` places of `a` before the i-th of them, `Π (c_i − i + 1) / n!`. Where `a` is
//! always early and `b` always late, every deal does, the chance is 1, and nothing is claimed. (Permutation tests: Pitman 1937; the count of deals is the number of
//! ways to place non-attacking rooks on a staircase board; both from memory.)
//!
//! **Worked by hand.** `a` at 1, 3 and `b` at 2, 4: one place of `a` before 2, two before 4; `1 · 1 / 2! = 1/2`. `a` at 1, 2 and `b` at 3, 4: `2 · 1 / 2 = 1`.
//!
//! **Limits.** Visits must be independent: one mechanic with one habit is one witness, however often. Parts that wait for the same third part move together,
//! which the test takes for a tie.

/// Chance that `a` comes first in every visit if the two have nothing to do with each other. Places are shares of a visit's order.
///
/// The lists are as long as each other; of a longer one the rest counts for nothing.
#[must_use]
pub fn chance_of_always_first(first_share: &[f64], then_share: &[f64]) -> f64 {
    let count = first_share.len().min(then_share.len());
    let mut first = first_share[..count].to_vec();
    let mut then = then_share[..count].to_vec();
    first.sort_by(f64::total_cmp);
    then.sort_by(f64::total_cmp);
    let mut chance = 1.0;
    for (at, place) in then.iter().enumerate() {
        let before = first.partition_point(|other| other < place);
        chance *= before.saturating_sub(at) as f64 / (at + 1) as f64;
    }
    chance
}

/// How many of sorted chances may be believed, so that at most a share of those believed is wrong on average (Benjamini and Hochberg 1995, from
/// memory): the largest `k` with `p_k ≤ share · k / tests`.
#[must_use]
pub fn count_believed(sorted_probability: &[f64], tests: usize, wrong_share: f64) -> usize {
    let holds = |at: usize| sorted_probability[at] <= wrong_share * (at + 1) as f64 / tests.max(1) as f64;
    (0..sorted_probability.len()).rev().find(|at| holds(*at)).map_or(0, |at| at + 1)
}
