//! Changes of a list: a job is moved between what it waits for and what waits for it, or takes those along.

use crate::dice::ScheduleDice;
use crate::problem::ScheduleProblem;

/// Moves a random job by at most `most` places; the list goes on respecting the lags.
pub(super) fn shift_job(problem: &ScheduleProblem, list: &mut [usize], dice: &mut ScheduleDice, most: usize) {
    if list.len() < 2 {
        return;
    }
    let at = dice.below(list.len());
    let job = list[at];
    let far = 1 + dice.below(most.max(1));
    if dice.below(2) == 0 {
        let least = at.saturating_sub(far);
        let near = |j: &usize| problem.before(job).iter().any(|n| n.job as usize == *j);
        let stop = (least..at).rev().find(|i| near(&list[*i])).map_or(least, |i| i + 1);
        list[stop..=at].rotate_right(1);
    } else {
        let greatest = (at + far).min(list.len() - 1);
        let near = |j: &usize| problem.after(job).iter().any(|n| n.job as usize == *j);
        let stop = (at + 1..=greatest).find(|i| near(&list[*i])).map_or(greatest, |i| i - 1);
        list[at..=stop].rotate_left(1);
    }
}

/// Moves a random job and all that it waits for forward to a random place, or it and all that wait for it back; the others keep their order, and the list
/// goes on respecting the lags.
pub(super) fn shift_chain(problem: &ScheduleProblem, list: &mut [usize], dice: &mut ScheduleDice) {
    if list.len() < 2 {
        return;
    }
    let (one, other) = (dice.below(list.len()), dice.below(list.len()));
    let (first, last) = (one.min(other), one.max(other));
    let window = &mut list[first..=last];
    let forward = dice.below(2) == 0;
    if !forward {
        window.reverse();
    }
    // The job at the end of the window, and whatever in the window it hangs on.
    let mut wanted = vec![false; problem.jobs.len()];
    wanted[window[window.len() - 1]] = true;
    for job in window.iter().rev() {
        if wanted[*job] {
            let near = if forward { problem.before(*job) } else { problem.after(*job) };
            near.iter().for_each(|n| wanted[n.job as usize] = true);
        }
    }
    window.sort_by_key(|job| !wanted[*job]);
    if !forward {
        window.reverse();
    }
}
