//! The stages replayed: what comes, what goes, who finds its pieces, and what it takes.

use model::cart::{CartLoad, HANDLE_S, Stage};

use super::{Count, Job, count};
use crate::{Found, same};

pub(super) fn judge(job: &Job, load: &CartLoad, found: &mut Found) {
    let mut cart = Count::new();
    let mut goes = Count::new();
    for (at, stage) in load.stages.iter().enumerate() {
        let place = format!("stage {}", at + 1);
        take_off(&mut cart, &goes, &place, found);
        bring(job, load, stage, &mut cart, &place, found);
        goes = count(&stage.back);
        zones(job, load, stage, &cart, &place, found);
        steps(job, stage, &cart, &place, found);
        seconds(load, stage, &place, found);
    }
    if cart != goes {
        found.add("J004", "last stage", "not all goes back at the end");
    }
    follow(job, load, found);
    sums(load, found);
}

fn take_off(cart: &mut Count, goes: &Count, place: &str, found: &mut Found) {
    for (key, times) in goes {
        let lies = cart.get(key).copied().unwrap_or(0);
        if lies < *times {
            found.add("J004", place, format!("`{key}` goes back and is not on the cart"));
        }
        match lies.saturating_sub(*times) {
            0 => cart.remove(key),
            left => cart.insert(key.clone(), left),
        };
    }
}

fn bring(job: &Job, load: &CartLoad, stage: &Stage, cart: &mut Count, place: &str, found: &mut Found) {
    for trip in &stage.trips {
        if trip.bring.is_empty() || !load.walks.iter().any(|w| w.cabinet == trip.cabinet) {
            found.add(
                "J005",
                place,
                format!("the walk to `{}` brings nothing or is not stated", trip.cabinet),
            );
        }
        for key in &trip.bring {
            if job.piece(key).is_none_or(|p| p.place.cabinet != trip.cabinet) {
                found.add("J005", place, format!("`{key}` is not kept in `{}`", trip.cabinet));
            }
            *cart.entry(key.clone()).or_insert(0) += 1;
        }
    }
    let cabinets: std::collections::BTreeSet<&String> = stage.trips.iter().map(|t| &t.cabinet).collect();
    if cabinets.len() != stage.trips.len() || stage.trips.is_empty() {
        found.add("J005", place, "no walk, or two to one cabinet");
    }
}

fn zones(job: &Job, load: &CartLoad, stage: &Stage, cart: &Count, place: &str, found: &mut Found) {
    if count(stage.now.iter().chain(&stage.next)) != *cart {
        found.add("J004", place, "the zones now and next are not what lies on the cart");
    }
    let first = job.steps.iter().find(|(number, _)| *number == stage.from_step);
    if first.is_none_or(|(_, needs)| *needs != count(&stage.now)) {
        found.add("J004", place, "the zone now is not what the first step needs");
    }
    let taken: u32 = cart.values().sum();
    if taken != u32::from(stage.places) || taken > u32::from(load.places) {
        let words =
            format!("{taken} pieces lie there, {} are told, {} have a place", stage.places, load.places);
        found.add("J003", place, words);
    }
}

fn steps(job: &Job, stage: &Stage, cart: &Count, place: &str, found: &mut Found) {
    let of_stage = job.steps.iter().filter(|(number, _)| (stage.from_step..=stage.to_step).contains(number));
    for (number, needs) in of_stage {
        let lacks = needs.iter().find(|(key, times)| cart.get(*key).is_none_or(|lie| lie < times));
        if let Some((key, _)) = lacks {
            found.add("J002", place, format!("step {number} does not find `{key}` on the cart"));
        }
    }
}

/// Every step that needs anything lies in one stage, and the stages follow each other.
fn follow(job: &Job, load: &CartLoad, found: &mut Found) {
    let touch = load.stages.windows(2).all(|w| w[0].to_step.checked_add(1) == Some(w[1].from_step));
    let ends = load.stages.last().map(|s| s.to_step);
    let last = job.steps.last().map(|(number, _)| *number);
    let starts = load.stages.first().map(|s| s.from_step);
    let needy = job.steps.iter().find(|(_, needs)| !needs.is_empty()).map(|(number, _)| *number);
    if !touch || starts != needy || (starts.is_some() && ends != last) {
        found.add("J007", "stages", "the stages do not cover the steps one after the other");
    }
}

fn seconds(load: &CartLoad, stage: &Stage, place: &str, found: &mut Found) {
    let walk_s =
        |cabinet: &String| load.walks.iter().find(|w| w.cabinet == *cabinet).map_or(0.0, |w| w.seconds);
    let walks_s: f64 = stage.trips.iter().map(|t| walk_s(&t.cabinet)).sum();
    let pieces: usize = stage.trips.iter().map(|t| t.bring.len()).sum();
    let expected_s = walks_s + pieces as f64 * HANDLE_S;
    if !same(expected_s, stage.seconds) {
        found.add("J006", place, format!("{} s are told, the walks take {expected_s} s", stage.seconds));
    }
}

fn sums(load: &CartLoad, found: &mut Found) {
    let trips: usize = load.stages.iter().map(|s| s.trips.len()).sum();
    let pieces: usize = load.stages.iter().flat_map(|s| &s.trips).map(|t| t.bring.len()).sum();
    if trips != load.trips as usize || pieces != load.brought as usize {
        let words =
            format!("{trips} walks bring {pieces} pieces; {} and {} are told", load.trips, load.brought);
        found.add("J005", "sums", words);
    }
    let all_s: f64 = load.stages.iter().map(|s| s.seconds).sum();
    if !same(all_s, load.outcome.value) || load.outcome.bound > load.outcome.value + 1.0e-6 {
        let words = format!(
            "{} s are told with the bound {} s; the stages sum to {all_s} s",
            load.outcome.value, load.outcome.bound
        );
        found.add("J006", "sums", words);
    }
    let asked = load.others.iter().find(|o| o.places == load.places);
    if asked.is_some_and(|o| o.trips != load.trips || !same(o.seconds, load.outcome.value)) {
        found.add("J006", "other places", "the places asked for stand there with other figures");
    }
}
