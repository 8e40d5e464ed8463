//! The stages replayed: what is brought and returned, whether each step finds its pieces, and the seconds.

use model::cart::{CartLoad, CartStage, HANDLE_S};

use super::{KeyCounts, LoadingCase, count_keys};
use crate::{FoundViolations, same_figure, show_figure};

pub(super) fn judge_cart_stages(job: &LoadingCase, load: &CartLoad, found: &mut FoundViolations) {
    let mut cart = KeyCounts::new();
    let mut goes = KeyCounts::new();
    for (at, stage) in load.stages.iter().enumerate() {
        let place = format!("stage {}", at + 1);
        take_off_cart(&mut cart, &goes, &place, found);
        bring_pieces(job, load, stage, &mut cart, &place, found);
        goes = count_keys(&stage.back);
        judge_zones(job, load, stage, &cart, &place, found);
        judge_stage_steps(job, stage, &cart, &place, found);
        judge_stage_seconds(load, stage, &place, found);
    }
    if cart != goes {
        found.add("J004", "last stage", "not everything is returned at the end");
    }
    judge_stage_order(job, load, found);
    judge_cart_sums(load, found);
}

fn take_off_cart(cart: &mut KeyCounts, goes: &KeyCounts, place: &str, found: &mut FoundViolations) {
    for (key, times) in goes {
        let lies = cart.get(key).copied().unwrap_or(0);
        if lies < *times {
            found.add("J004", place, format!("`{key}` is returned but is not on the cart"));
        }
        match lies.saturating_sub(*times) {
            0 => cart.remove(key),
            left => cart.insert(key.clone(), left),
        };
    }
}

fn bring_pieces(
    job: &LoadingCase,
    load: &CartLoad,
    stage: &CartStage,
    cart: &mut KeyCounts,
    place: &str,
    found: &mut FoundViolations,
) {
    for trip in &stage.trips {
        if trip.bring.is_empty() || !load.walks.iter().any(|w| w.cabinet == trip.cabinet) {
            found.add(
                "J005",
                place,
                format!("the walk to `{}` brings nothing or is not stated", trip.cabinet),
            );
        }
        for key in &trip.bring {
            if job.piece_by_key(key).is_none_or(|p| p.place.cabinet != trip.cabinet) {
                found.add("J005", place, format!("`{key}` is not kept in `{}`", trip.cabinet));
            }
            *cart.entry(key.clone()).or_insert(0) += 1;
        }
    }
    let cabinets: std::collections::BTreeSet<&String> = stage.trips.iter().map(|t| &t.cabinet).collect();
    if cabinets.len() != stage.trips.len() || stage.trips.is_empty() {
        found.add("J005", place, "there is no walk, or two walks go to the same cabinet");
    }
}

fn judge_zones(
    job: &LoadingCase,
    load: &CartLoad,
    stage: &CartStage,
    cart: &KeyCounts,
    place: &str,
    found: &mut FoundViolations,
) {
    if count_keys(stage.now.iter().chain(&stage.next)) != *cart {
        found.add("J004", place, "the zones `now` and `next` differ from what is on the cart");
    }
    let first = job.steps.iter().find(|(number, _)| *number == stage.from_step);
    if first.is_none_or(|(_, needs)| *needs != count_keys(&stage.now)) {
        found.add("J004", place, "the zone now is not what the first step needs");
    }
    let taken: u32 = cart.values().sum();
    if taken != u32::from(stage.places) || taken > u32::from(load.places) {
        let words = format!(
            "{taken} pieces are on the cart, the loading says {}, and there are {} places",
            stage.places, load.places
        );
        found.add("J003", place, words);
    }
}

fn judge_stage_steps(
    job: &LoadingCase,
    stage: &CartStage,
    cart: &KeyCounts,
    place: &str,
    found: &mut FoundViolations,
) {
    let of_stage = job.steps.iter().filter(|(number, _)| (stage.from_step..=stage.to_step).contains(number));
    for (number, needs) in of_stage {
        let lacks = needs.iter().find(|(key, times)| cart.get(*key).is_none_or(|lie| lie < times));
        if let Some((key, _)) = lacks {
            found.add("J002", place, format!("step {number} does not find `{key}` on the cart"));
        }
    }
}

/// Every step that needs anything lies in one stage, and the stages follow each other.
fn judge_stage_order(job: &LoadingCase, load: &CartLoad, found: &mut FoundViolations) {
    let touch = load.stages.windows(2).all(|w| w[0].to_step.checked_add(1) == Some(w[1].from_step));
    let ends = load.stages.last().map(|s| s.to_step);
    let last = job.steps.last().map(|(number, _)| *number);
    let starts = load.stages.first().map(|s| s.from_step);
    let needy = job.steps.iter().find(|(_, needs)| !needs.is_empty()).map(|(number, _)| *number);
    if !touch || starts != needy || (starts.is_some() && ends != last) {
        found.add("J007", "stages", "the stages do not cover the steps one after the other");
    }
}

fn judge_stage_seconds(load: &CartLoad, stage: &CartStage, place: &str, found: &mut FoundViolations) {
    let walk_s =
        |cabinet: &String| load.walks.iter().find(|w| w.cabinet == *cabinet).map_or(0.0, |w| w.seconds);
    let walks_s: f64 = stage.trips.iter().map(|t| walk_s(&t.cabinet)).sum();
    let pieces: usize = stage.trips.iter().map(|t| t.bring.len()).sum();
    let expected_s = walks_s + pieces as f64 * HANDLE_S;
    if !same_figure(expected_s, stage.seconds) {
        let (said, right) = (show_figure(stage.seconds), show_figure(expected_s));
        found.add("J006", place, format!("the loading says {said} s, the walks take {right} s"));
    }
}

fn judge_cart_sums(load: &CartLoad, found: &mut FoundViolations) {
    let trips: usize = load.stages.iter().map(|s| s.trips.len()).sum();
    let pieces: usize = load.stages.iter().flat_map(|s| &s.trips).map(|t| t.bring.len()).sum();
    if trips != load.trips as usize || pieces != load.brought as usize {
        let words = format!(
            "{trips} walks bring {pieces} pieces; the loading says {} and {}",
            load.trips, load.brought
        );
        found.add("J005", "sums", words);
    }
    let all_s: f64 = load.stages.iter().map(|s| s.seconds).sum();
    if !same_figure(all_s, load.outcome.value) || load.outcome.bound > load.outcome.value + 1.0e-6 {
        let words = format!(
            "the loading says {} s with the bound {} s; the stages add up to {} s",
            show_figure(load.outcome.value),
            show_figure(load.outcome.bound),
            show_figure(all_s)
        );
        found.add("J006", "sums", words);
    }
    let asked = load.others.iter().find(|o| o.places == load.places);
    if asked.is_some_and(|o| o.trips != load.trips || !same_figure(o.seconds, load.outcome.value)) {
        found.add("J006", "other places", "the requested number of places is listed with different figures");
    }
}
