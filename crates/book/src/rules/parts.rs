//! Parts, stations, special tools and tasks: masses that a hand lifts, forces that a hand gives, waits that hold.
//!
//! Why: a slip in a mass or a force hides the need for a helper, or makes every bolt impossible.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Book, FastenerKind, Fixing, HoldsBack, Need, Part, PartId};
use std::collections::BTreeSet;
use units::Duration;

rule! { B213 "absurd mass",
why "A part of no mass, or heavier than an engine hoist lifts in a small workshop, is a slip of unit or decimal point.",
bad "mass       = \"800 kg\"",
help "check the unit: `800 g` is `0.8 kg`." }
rule! { B214 "heavy part without a helper",
why "Above 20 kg one person at arm's length in an engine bay is hurt or drops it (common practice, no single source).",
bad "mass       = \"28 kg\"",
help "add `helper = true`, or say in `tip` how one person does it." }
rule! { B215 "wait that holds nothing back",
why "Nothing depends on this wait, so the plan never waits.",
bad "place_time = \"20 s\"\nrefit_wait = [{ title = \"sealant skins over\", time = \"10 min\", holds_back = \"filling\" }]",
help "choose what it holds back: `tightening` of the part's fixings, `filling` of a drained fluid, the `next-part` that goes over it." }
rule! { B216 "special tool that nothing uses",
why "A tool that no part and no task uses is never laid out; most often its name was forgotten at the part or task.",
bad "[[special_tool]]\nkey           = \"crank-pin\"\ntitle         = \"crankshaft locking pin\"\nspecification = \"pin 7.9 mm, 60 mm long\"",
help "add it to `special_tools` of the part or task that needs it." }
rule! { B217 "station that nothing uses",
why "A working position where no work is done is most often a slip for another one.",
bad "[[station]]\nkey   = \"under\"\ntitle = \"underneath\"\nenter = \"4 min\"",
help "use it, or remove it." }
rule! { B218 "absurd hand force",
why "Every bolt is judged by the force that a person can apply at its station: below 20 N nothing comes loose, and nobody can pull more than 1500 N (assumption).",
bad "hand_force = \"40 kN\"",
help "a person standing gives about 400 N with one arm, lying under a vehicle less." }
rule! { B219 "task without work",
why "A task that takes no time is left out of every finish date.",
bad "work       = \"0 min\"",
help "write how long the work itself takes once the way is open." }

rule! { B220 "key under its own part",
why "A key is taken out with the fasteners of its part, before the part is off; one that lies under a hub or a pulley can only come out afterwards.",
bad "kind        = \"key\"",
help "give a key that lies under the part a part of its own, with `off_first` naming the one above it." }

pub(super) const RULES: &[FaultRule] = &[B213, B214, B215, B216, B217, B218, B219, B220];

/// Above this no small workshop lifts a part out (assumption).
const MAX_MASS_KG: f64 = 200.0;
/// Above this a helper is wanted (common practice, no single source).
const MAX_ONE_PERSON_KG: f64 = 20.0;
/// Forces that a hand gives (assumption).
const HAND_FORCE_N: core::ops::RangeInclusive<f64> = 20.0..=1500.0;

pub(super) fn check_parts(subject: &RuleSubject<'_>) {
    for (index, (part, spot)) in subject.book.parts.iter().zip(&subject.spots.parts).enumerate() {
        if !spot.bad {
            b213_mass(subject, part, spot);
        }
        b215_waits(subject, PartId::new(index), part, spot);
    }
    b216_tools(subject);
    b220_keys(subject);
    b217_stations(subject);
    for (station, spot) in subject.book.stations.iter().zip(&subject.spots.stations) {
        if spot.has("hand_force") && !spot.bad && !HAND_FORCE_N.contains(&station.hand_force.as_n()) {
            let message = format!("nobody can apply {} at `{}`", station.hand_force, station.key);
            subject.bag.push(super::rule_error(&B218, message, spot.key("hand_force").span, "absurd"));
        }
    }
    for (task, spot) in subject.book.tasks.iter().zip(&subject.spots.tasks) {
        if task.work == model::Known::Exact(Duration::ZERO) && !spot.bad {
            let message = format!("`{}` takes no time", task.key);
            subject.bag.push(super::rule_error(&B219, message, spot.key("work").span, "no work"));
        }
    }
}

fn b213_mass(subject: &RuleSubject<'_>, part: &Part, spot: &ValueSpot) {
    let span = spot.key("mass").span;
    let Some((least, mass)) = part.mass.ends() else { return };
    if least.as_kg() <= 0.0 || mass.as_kg() > MAX_MASS_KG {
        let message = format!("a mass of {mass} for `{}` is absurd", part.key);
        subject.bag.push(super::rule_error(
            &B213,
            message,
            span,
            format!("expected more than 0 kg and at most {MAX_MASS_KG} kg"),
        ));
    } else if mass.as_kg() > MAX_ONE_PERSON_KG && !part.helper {
        let message = format!("`{}`, {mass}, has no helper", part.key);
        let label = format!("above {MAX_ONE_PERSON_KG} kg");
        subject.bag.push(super::rule_warning(&B214, message, span, label));
    }
}

fn b215_waits(subject: &RuleSubject<'_>, id: PartId, part: &Part, spot: &ValueSpot) {
    for (index, wait) in part.refit_waits.iter().enumerate() {
        let holds = match wait.holds_back {
            _ if wait.time == Duration::ZERO => false,
            HoldsBack::Tightening => subject.fixing_stages.contains(&id),
            HoldsBack::Filling => subject.is_filled,
            HoldsBack::NextPart => subject.needed_off.contains(&id),
        };
        if !holds {
            let message = format!("the wait `{}` of `{}` holds nothing back", wait.title, part.key);
            let span = spot.key("refit_wait").item(index).key("holds_back").span;
            subject.bag.push(super::rule_warning(&B215, message, span, "nothing depends on it"));
        }
    }
}

fn b216_tools(subject: &RuleSubject<'_>) {
    let book = subject.book;
    let parts = book.parts.iter().flat_map(|p| &p.special_tools);
    let ways = book.settings.iter().flat_map(|s| &s.ways).flat_map(|w| &w.special_tools);
    let tasks = book.tasks.iter().flat_map(|t| &t.special_tools);
    let asked: BTreeSet<usize> = parts.chain(ways).chain(tasks).map(|id| id.index()).collect();
    for (index, (tool, spot)) in book.special_tools.iter().zip(&subject.spots.special_tools).enumerate() {
        if !asked.contains(&index) {
            let message = format!("nothing uses `{}`", tool.key);
            subject.bag.push(super::rule_warning(&B216, message, spot.key("key").span, "not used"));
        }
    }
}

fn b217_stations(subject: &RuleSubject<'_>) {
    let used = used_stations(subject.book);
    // The vehicle starts at the first station, used or not.
    for (index, (station, spot)) in
        subject.book.stations.iter().zip(&subject.spots.stations).enumerate().skip(1)
    {
        if !used.contains(&index) {
            let message = format!("no work is done at `{}`", station.key);
            subject.bag.push(super::rule_warning(&B217, message, spot.key("key").span, "not used"));
        }
    }
}

/// A key beside fasteners that hold the part: whether it lies under the part is not told.
fn b220_keys(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings().filter(|(fixing, _)| fixing.kind == FastenerKind::Key) {
        let holds = |other: &&Fixing| other.part == fixing.part && other.kind.has_thread();
        if subject.book.fixings.iter().any(|other| holds(&other)) {
            let part = &subject.book.part(fixing.part).key;
            let message = format!("`{}` is taken out before `{part}` is off", fixing.key);
            subject.bag.push(super::rule_warning(&B220, message, spot.key("kind").span, "a key"));
        }
    }
}

fn used_stations(book: &Book) -> BTreeSet<usize> {
    let parts = book.parts.iter().flat_map(|p| p.ways.iter().filter_map(|w| w.station).chain([p.station]));
    let accesses = book.fixings.iter().flat_map(|f| &f.accesses).filter_map(|a| a.station);
    let conditions = book.conditions.iter().flat_map(|c| [c.station, c.undoing_station()]);
    let others = conditions.chain(book.tasks.iter().map(|t| t.station));
    let ways = book.settings.iter().flat_map(|s| &s.ways).filter_map(|w| w.station);
    parts.chain(accesses).chain(others).chain(ways).map(model::StationId::index).collect()
}

/// Parts that something needs off.
pub(super) fn parts_needed_off(book: &Book) -> BTreeSet<PartId> {
    let parts = book.parts.iter().flat_map(|p| p.needs.iter().chain(p.ways.iter().flat_map(|w| &w.needs)));
    parts.filter_map(|n| if let Need::Off(part) = n { Some(*part) } else { None }).collect()
}
