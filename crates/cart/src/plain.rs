//! Every order and every loading tried: slow, obvious, the yardstick of the fast methods.

use crate::jobs::CartJobs;
use crate::load::LoadPiece;
use crate::soonest;

/// The fewest switches over all orders that precedence allows; for a handful of jobs.
#[must_use]
pub fn fewest_over_all_orders(jobs: &CartJobs) -> usize {
    let mut best = usize::MAX;
    let mut order = Vec::new();
    extend_each_order(jobs, &mut order, &mut best);
    best
}

fn extend_each_order(jobs: &CartJobs, order: &mut Vec<usize>, best: &mut usize) {
    if order.len() == jobs.count() {
        *best = (*best).min(soonest::count_switches(&soonest::soonest_loadings(jobs, order)));
        return;
    }
    for job in 0..jobs.count() {
        let is_ready = jobs.before(job).iter().all(|b| order.contains(&usize::from(*b)));
        if is_ready && !order.contains(&job) {
            order.push(job);
            extend_each_order(jobs, order, best);
            order.pop();
        }
    }
}

/// The least seconds of fetching for steps in their order, every loading tried; for a handful of steps and pieces.
///
/// After a step any of the pieces on the cart may stay, all that the next needs are brought, and nothing else is.
#[must_use]
pub fn least_seconds(needs: &[Vec<u16>], pieces: &[LoadPiece], places: u32) -> f64 {
    least_fetch_seconds(needs, pieces, places, &[])
}

fn least_fetch_seconds(needs: &[Vec<u16>], pieces: &[LoadPiece], places: u32, cart: &[u16]) -> f64 {
    let Some((now, later)) = needs.split_first() else { return 0.0 };
    let missing = now.iter().filter(|p| !cart.contains(p));
    let here_s: f64 = missing.map(|p| pieces[usize::from(*p)].fetch_s).sum();
    let others: Vec<u16> = cart.iter().filter(|p| !now.contains(p)).copied().collect();
    let mut least_s = f64::INFINITY;
    for choice in 0_u32..1 << others.len() {
        let kept = (0..others.len()).filter(|i| choice >> i & 1 == 1).map(|i| others[i]);
        let next: Vec<u16> = now.iter().copied().chain(kept).collect();
        if next.iter().map(|p| pieces[usize::from(*p)].places).sum::<u32>() <= places {
            least_s = least_s.min(least_fetch_seconds(later, pieces, places, &next));
        }
    }
    here_s + least_s
}
