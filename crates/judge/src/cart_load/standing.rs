//! Standing stacks: the pieces suffice, and the swaps saved are as stated.

use model::cart::CartLoad;
use model::plan::StepSequence;

use super::{KeyCounts, LoadingCase};
use crate::{FoundViolations, same_figure, show_figure};

pub(super) fn judge_standing_stacks(job: &LoadingCase, load: &CartLoad, found: &mut FoundViolations) {
    let mut stands: Vec<&str> = Vec::new();
    let mut before_s = all_swaps_s(job, &stands);
    for line in &load.standing {
        let place = format!("standing {}", line.stacks.join(", "));
        stands.extend(line.stacks.iter().map(String::as_str));
        let now_s = all_swaps_s(job, &stands);
        if !same_figure(before_s - now_s, line.saves_s) {
            found.add(
                "J009",
                &place,
                format!(
                    "the loading says {} s, {} s are saved",
                    show_figure(line.saves_s),
                    show_figure(before_s - now_s)
                ),
            );
        }
        let mut pieces = KeyCounts::new();
        for (key, times) in line.stacks.iter().flat_map(|id| job.pieces_of_stack(id)) {
            *pieces.entry(key).or_insert(0) += times;
        }
        if super::count_keys(&line.pieces) != pieces {
            found.add("J009", &place, "the pieces are not those of the stacks");
        }
        before_s = now_s;
    }
    judge_standing_pieces(job, &stands, found);
}

/// The pieces of all standing stacks, and of any one other besides.
fn judge_standing_pieces(job: &LoadingCase, stands: &[&str], found: &mut FoundViolations) {
    let mut bound = KeyCounts::new();
    for (key, times) in stands.iter().flat_map(|id| job.pieces_of_stack(id)) {
        *bound.entry(key).or_insert(0) += times;
    }
    let others = job.plan.stacks.iter().filter(|s| !stands.contains(&s.id.as_str()));
    let besides: Vec<KeyCounts> = others.map(|s| job.pieces_of_stack(&s.id)).collect();
    for (key, times) in &bound {
        let besides = besides.iter().filter_map(|s| s.get(key)).max().copied().unwrap_or(0);
        let at_hand = job.piece_by_key(key).map_or(0, |p| u32::from(p.at_hand()));
        if times + besides > at_hand {
            found.add(
                "J009",
                "standing stacks",
                format!("the standing stacks need {} of `{key}`, {at_hand} are at hand", times + besides),
            );
        }
    }
}

/// All swaps of the plan where some stacks are kept joined.
fn all_swaps_s(job: &LoadingCase, stands: &[&str]) -> f64 {
    [&job.plan.strip, &job.plan.work, &job.plan.refit]
        .into_iter()
        .map(|s| sequence_swaps_s(job, s, stands))
        .sum()
}

fn sequence_swaps_s(job: &LoadingCase, sequence: &StepSequence, stands: &[&str]) -> f64 {
    let mut hand: Option<&str> = None;
    let mut all_s = 0.0;
    for id in sequence.steps.iter().flat_map(|s| &s.actions).filter_map(|a| a.stack.as_deref()) {
        if hand != Some(id) {
            all_s += stack_swap_s(job, hand, id, stands);
        }
        hand = Some(id);
    }
    all_s
}

fn stack_swap_s(job: &LoadingCase, from: Option<&str>, to: &str, stands: &[&str]) -> f64 {
    let (hand, next) = (from.map(|f| job.pieces_of_stack(f)).unwrap_or_default(), job.pieces_of_stack(to));
    let (down, up) = (from.is_some_and(|f| stands.contains(&f)), stands.contains(&to));
    let size = |stack: &KeyCounts| f64::from(stack.values().sum::<u32>());
    let shared: u32 = hand.iter().map(|(key, n)| next.get(key).copied().unwrap_or(0).min(*n)).sum();
    let again = if down || up { 0.0 } else { f64::from(shared) };
    let puts = if down { 1.0 } else { size(&hand) - again };
    let picks = if up { 1.0 } else { size(&next) - again };
    puts * times::PUT_S + picks * times::PICK_S
}
