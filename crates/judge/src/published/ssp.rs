//! Judges an answer to a published instance of the kind `ssp` from the instance and the answer alone.
//!
//! The loading is replayed job by job: every job once, never more tools than places, every tool of the job on the cart, and
//! the tools put on after the first loading counted.

// symbol: switches = tools put on after the first loading

use std::collections::BTreeSet;

/// What is wrong with an order, its loadings and the switches it claims; empty when the answer holds.
///
/// `needs` holds the tools of each job; `loadings` the tools on the cart at each position of the order.
#[must_use]
pub fn judge_ssp_answer(
    needs: &[Vec<u16>],
    places: usize,
    order: &[usize],
    loadings: &[Vec<u16>],
    switches: f64,
) -> Vec<String> {
    let mut wrong = every_job_once(needs.len(), order);
    if loadings.len() != order.len() {
        wrong.push(format!("{} loadings for {} jobs", loadings.len(), order.len()));
    }
    let carts: Vec<BTreeSet<u16>> = loadings.iter().map(|l| l.iter().copied().collect()).collect();
    for (at, (job, cart)) in order.iter().zip(&carts).enumerate() {
        if cart.len() != loadings[at].len() {
            wrong.push(format!("position {at} names a tool twice"));
        }
        if cart.len() > places {
            wrong.push(format!("position {at} holds {} tools on {places} places", cart.len()));
        }
        let missing = needs.get(*job).into_iter().flatten().filter(|t| !cart.contains(t));
        wrong.extend(missing.map(|t| format!("position {at} lacks tool {t} of job {job}")));
    }
    let counted: usize = carts.windows(2).map(|w| w[1].difference(&w[0]).count()).sum();
    if counted as f64 != switches {
        wrong.push(format!("the answer claims {switches} switches, {counted} are made"));
    }
    wrong
}

fn every_job_once(count: usize, order: &[usize]) -> Vec<String> {
    let mut times = vec![0_usize; count];
    let mut wrong = Vec::new();
    for job in order {
        match times.get_mut(*job) {
            Some(time) => *time += 1,
            None => wrong.push(format!("there is no job {job}")),
        }
    }
    let amiss = times.iter().enumerate().filter(|(_, time)| **time != 1);
    wrong.extend(amiss.map(|(job, time)| format!("job {job} is done {time} times")));
    wrong
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two places; jobs {1}, {2}, {1, 3}: 1, 2 first, then 3 for 2.
    fn check(order: &[usize], loadings: &[&[u16]], switches: f64, expected: &[&str]) {
        let needs = [vec![1], vec![2], vec![1, 3]];
        let loadings: Vec<Vec<u16>> = loadings.iter().map(|l| l.to_vec()).collect();
        assert_eq!(judge_ssp_answer(&needs, 2, order, &loadings, switches), expected);
    }

    #[test]
    fn a_right_answer_holds() {
        check(&[0, 1, 2], &[&[1, 2], &[1, 2], &[1, 3]], 1.0, &[]);
    }

    #[test]
    fn every_fault_is_named() {
        let full: &[&[u16]] = &[&[1, 2], &[1, 2], &[1, 3]];
        check(&[0, 1, 2], full, 0.0, &["the answer claims 0 switches, 1 are made"]);
        check(&[0, 1, 2], &[&[1, 2], &[2, 3], &[1, 3]], 2.0, &[]);
        check(&[0, 1, 2], &[&[1], &[2], &[1, 3]], 3.0, &[]);
        check(&[0, 1, 2], &[&[1, 2], &[1, 2, 3], &[1, 3]], 1.0, &["position 1 holds 3 tools on 2 places"]);
        check(&[0, 1, 2], &[&[1, 2], &[1, 2], &[1, 2]], 0.0, &["position 2 lacks tool 3 of job 2"]);
        check(&[0, 1, 2], &[&[1, 1], &[1, 2], &[1, 3]], 2.0, &["position 0 names a tool twice"]);
        let twice = ["job 1 is done 2 times", "job 2 is done 0 times", "position 2 lacks tool 2 of job 1"];
        check(&[0, 1, 1], full, 1.0, &twice);
        check(&[0, 1, 7], full, 1.0, &["there is no job 7", "job 2 is done 0 times"]);
        check(&[0, 1, 2], &[&[1, 2], &[1, 2]], 0.0, &["2 loadings for 3 jobs"]);
    }
}
