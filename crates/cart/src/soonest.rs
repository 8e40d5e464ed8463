//! Keep the tool that is needed soonest: what lies on the cart at each job of a fixed order.
//!
//! # Question
//! Given the order of the jobs, which tools lie on the cart at each job, so that the fewest are put on in all?
//!
//! # Method
//! At the start the cart is filled with the tools needed soonest. Before each job the missing tools are put on; where there is
//! no room, the tools whose next use is latest go (those never used again first). No rule does better when all tools cost the
//! same to bring.
//!
//! # Worked example
//! Two places, jobs {1}, {2}, {3}, {1, 2}. Start {1, 2}; at {3} the tool 1 or 2 goes, both needed next at the last job; it comes
//! back there: 2 switches after the first full loading.
//!
//! # Sources
//! C. S. Tang, E. V. Denardo, Operations Research 36 (1988) 767-777; J. F. Bard, IIE Transactions 20 (1988) 382-391.

use crate::jobs::CartJobs;

/// The tools on the cart at each job of an order, rising, the fewest put on in all.
#[must_use]
pub fn soonest_loadings(jobs: &CartJobs, order: &[usize]) -> Vec<Vec<u16>> {
    let mut cart = first_loading(jobs, order);
    let mut all = Vec::with_capacity(order.len());
    for (at, job) in order.iter().enumerate() {
        for tool in jobs.needs(*job) {
            if !cart.contains(tool) {
                cart.push(*tool);
            }
        }
        while cart.len() > jobs.places() {
            drop_latest(jobs, order, at, &mut cart);
        }
        cart.sort_unstable();
        all.push(cart.clone());
    }
    all
}

/// Tools put on after the first loading.
#[must_use]
pub fn count_switches(loadings: &[Vec<u16>]) -> usize {
    loadings.windows(2).map(|w| w[1].iter().filter(|t| !w[0].contains(t)).count()).sum()
}

/// The tools that are needed soonest, as many as there are places.
fn first_loading(jobs: &CartJobs, order: &[usize]) -> Vec<u16> {
    let mut cart = Vec::new();
    for tool in order.iter().flat_map(|j| jobs.needs(*j)) {
        if cart.len() < jobs.places() && !cart.contains(tool) {
            cart.push(*tool);
        }
    }
    cart
}

/// Takes off the tool whose next use, from a position on, is latest.
fn drop_latest(jobs: &CartJobs, order: &[usize], at: usize, cart: &mut Vec<u16>) {
    let next =
        |tool: u16| order[at..].iter().position(|j| jobs.needs(*j).contains(&tool)).unwrap_or(usize::MAX);
    let latest = (0..cart.len()).max_by_key(|i| next(cart[*i]));
    if let Some(at) = latest {
        cart.swap_remove(at);
    }
}
