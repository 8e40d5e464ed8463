//! Small changes of a list: a job is moved to another place between what it waits for and what waits for it.

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
