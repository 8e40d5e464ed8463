//! Every combination of ways, one after the other: slow, obvious, exact. The yardstick of the tests.

use model::{Book, SolverOutcome, SolverStanding, TaskId};

use super::state::{WayInItems, WaysTaken};
use super::{WayInAnswer, WayInError, wanted_items, way_in_answer};

/// The least way in to the tasks; the work grows with the product of all numbers of ways.
///
/// # Errors
/// [`WayInError::Circle`] where no choice of ways is free of circles.
pub fn try_every_way(book: &Book, tasks: &[TaskId]) -> Result<WayInAnswer, WayInError> {
    let items = WayInItems::new(book);
    let wanted = wanted_items(book, tasks);
    let mut best: Option<(f64, WaysTaken)> = None;
    let mut tries = 0;
    each_choice(&items, vec![None; items.ways.len()], 0, &mut |ways| {
        tries += 1;
        let inside = items.closure_of(&wanted, ways);
        let cost_s: f64 = (0..inside.len()).filter(|i| inside[*i]).map(|i| items.cost_s[i]).sum();
        let better = best.as_ref().is_none_or(|(best_s, _)| cost_s < best_s - 1.0e-9);
        if better && !items.has_circle(&inside, ways) {
            best = Some((cost_s, ways.clone()));
        }
    });
    let (value, ways) = best.ok_or(WayInError::Circle)?;
    let unit = model::OutcomeUnit::Seconds;
    let outcome =
        SolverOutcome { standing: SolverStanding::Proven, value, bound: value, unit, effort: tries };
    Ok(way_in_answer(book, tasks, &items, &ways, outcome))
}

fn each_choice(items: &WayInItems, ways: WaysTaken, part: usize, look: &mut impl FnMut(&WaysTaken)) {
    match items.ways.get(part) {
        None => look(&ways),
        Some(open) if open.is_empty() => each_choice(items, ways, part + 1, look),
        Some(open) => {
            for way in open {
                let mut next = ways.clone();
                next[part] = Some(way.way);
                each_choice(items, next, part + 1, look);
            }
        }
    }
}
