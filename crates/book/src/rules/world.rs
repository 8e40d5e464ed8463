//! The world as a whole: what is needed can be reached, what must hold holds at the start, and no act undoes itself.
//!
//! Why: a plan moves the vehicle between these values; a value without a way in or out ends in "no plan" at the bench.

use super::graph::{DirectedGraph, circular_components, shortest_circle};
use super::{RuleSubject, rule};
use crate::limits::MAX_WORLD_THINGS;
use faults::{FaultRule, SourceSpan};
use fields::ValueSpot;
use model::{
    ActWorld, Book, Need, PartStanding, Setting, SettingEffect, StationId, ValueMask, WorldNeed,
    WorldRuleKind, WorldThing,
};
use std::collections::BTreeSet;

rule! { B504 "value that no way leads to",
why "Something needs this value, or it is the only right one at the end, but the vehicle never gets there.",
bad "place_time = \"20 s\"\ntaking_off = { needs = [{ setting = \"lift\", is = [\"low\"] }] }",
help "add a way to it, let an act set it, or take the need out." }
rule! { B505 "value that no way leads out of",
why "A value that is reached and is not right at the end has to be left again; without a way the plan cannot end.",
bad "# no way back to \"ground\"\n",
help "add a way that leads from it, or add it to `end` if the vehicle may leave like this." }
rule! { B507 "rule that is broken at the start",
why "Rules hold at every moment; one that the vehicle breaks when it comes in leaves no safe first step.",
bad "[[rule]]\ntitle = \"the vehicle is up\"\nat_least_one = [{ setting = \"lift\", is = [\"up\"] }, { part = \"cover\", is = [\"off\"] }]",
help "check the start values, which are the first unless `start` says otherwise; every part is held at the start." }
rule! { B508 "nothing else may take its place",
why "Of a rule that asks for at least one of several things, only one is named: it can never be given up.",
bad "[[rule]]\ntitle = \"something holds the cover\"\nat_least_one = [{ part = \"cover\", is = [\"held\"] }]",
help "name what may hold instead, such as a beam or a jack, or leave the rule if there is nothing." }
rule! { B509 "way to a value that it comes from",
why "A way that begins and ends at one value changes nothing and is a slip in `from` or `to`.",
bad "  from = [\"ground\", \"up\"]\n  to   = \"up\"",
help "take the value out of `from`." }
rule! { B512 "too many things in one world",
why "The planner keeps the world in a fixed number of things: settings, and parts that needs or rules name.",
bad "# 64 more settings like this",
help "make settings of what changes the order of the work only; leave the rest to `off_first` and `conditions`." }
rule! { B514 "parts that wait for each other at refit",
why "Of parts that each have to be in place before the other, none can be set in place first.",
bad "place_time = \"20 s\"\non_after   = [\"plate\"]",
help "take the part out of `on_after`, or out of the `off_first` that already orders the two." }
rule! { B515 "one act changes a setting twice",
why "A setting has one value after an act; of two nobody can say which.",
bad "  to   = \"up\"\n  sets = [{ setting = \"lift\", to = \"ground\" }]",
help "keep one of them; a way changes its own setting by `to` alone." }
rule! { B516 "needs that never hold together",
why "All needs of an act, and those of its working position, hold when it begins; these two exclude each other.",
bad "place_time = \"20 s\"\ntaking_off = { needs = [{ setting = \"lift\", is = [\"up\"] }, { setting = \"lift\", is = [\"ground\"] }] }",
help "put the values that do into one list, or correct the need of the working position." }

pub(super) const RULES: &[FaultRule] = &[B504, B505, B507, B508, B509, B512, B514, B515, B516];

/// What an act asks, what it changes, where it is done, and where that is written.
struct WorldAct<'b> {
    needs: &'b [WorldNeed],
    needs_spot: &'b ValueSpot,
    sets: &'b [SettingEffect],
    sets_spot: &'b ValueSpot,
    station: Option<StationId>,
    /// The setting that it changes by itself.
    own: Option<usize>,
}

pub(super) fn check_world(subject: &RuleSubject<'_>) {
    let book = subject.book;
    if !book.has_world() && book.parts.iter().all(|part| part.world.on_after.is_empty()) {
        return;
    }
    let acts = list_acts(subject);
    b504_ways_in(subject, &acts);
    b505_ways_out(subject, &acts);
    check_rules(subject);
    b509_ways_that_lead_nowhere(subject);
    b512_things(subject, &acts);
    b514_refit_circle(subject);
    acts.iter().for_each(|act| b515_effects(subject, act));
    acts.iter().for_each(|act| b516_needs(subject, act));
}

/// Everything that is done and asks or changes something.
fn list_acts<'b>(subject: &RuleSubject<'b>) -> Vec<WorldAct<'b>> {
    let (book, spots) = (subject.book, subject.spots);
    let act = |world: &'b ActWorld, spot: &'b ValueSpot, station: Option<StationId>| WorldAct {
        needs: &world.needs,
        needs_spot: spot.key("needs"),
        sets: &world.sets,
        sets_spot: spot.key("sets"),
        station,
        own: None,
    };
    let mut acts = Vec::new();
    for (condition, spot) in book.conditions.iter().zip(&spots.conditions) {
        acts.push(act(&condition.making, spot.key("making"), Some(condition.station)));
        acts.push(act(&condition.undoing, spot.key("undoing"), Some(condition.undoing_station())));
    }
    for (part, spot) in book.parts.iter().zip(&spots.parts) {
        let station = part.ways.is_empty().then_some(part.station);
        acts.push(act(&part.world.taking_off, spot.key("taking_off"), station));
        acts.push(act(&part.world.setting_on, spot.key("setting_on"), station));
    }
    for (fixing, spot) in subject.fixings() {
        acts.push(act(&fixing.world.loosening, spot.key("loosening"), None));
        acts.push(act(&fixing.world.tightening, spot.key("tightening"), None));
    }
    for (task, spot) in book.tasks.iter().zip(&spots.tasks) {
        acts.push(act(&task.world, spot.key("doing"), Some(task.station)));
    }
    for (index, (setting, spot)) in book.settings.iter().zip(&spots.settings).enumerate() {
        acts.extend(setting.ways.iter().zip(&spot.key("way").items).map(|(way, at)| WorldAct {
            needs: &way.needs,
            needs_spot: at.key("needs"),
            sets: &way.sets,
            sets_spot: at.key("sets"),
            station: way.station,
            own: Some(index),
        }));
    }
    acts
}

/// Needs of the book with their places: those of stations, acts and rules.
fn all_needs<'b>(subject: &RuleSubject<'b>, acts: &[WorldAct<'b>]) -> Vec<(WorldNeed, SourceSpan)> {
    let placed = |needs: &'b [WorldNeed], spot: &'b ValueSpot| {
        needs.iter().enumerate().map(|(at, need)| (*need, spot.item(at).span))
    };
    let stations = subject.book.stations.iter().zip(&subject.spots.stations);
    let stations = stations.flat_map(|(station, spot)| placed(&station.needs, spot.key("needs")));
    let of_acts = acts.iter().flat_map(|act| placed(act.needs, act.needs_spot));
    let rules = subject.book.rules.iter().zip(&subject.spots.rules).flat_map(|(rule, spot)| {
        let (needs, key): (&[WorldNeed], &str) = match &rule.kind {
            WorldRuleKind::AtLeastOne(needs) => (needs, "at_least_one"),
            WorldRuleKind::NeverTogether(needs) => (needs, "never_together"),
            WorldRuleKind::StaysStill(_) => (&[], "stays_still"),
        };
        placed(needs, spot.key(key)).chain(placed(&rule.during, spot.key("while")))
    });
    stations.chain(of_acts).chain(rules).collect()
}

/// The values that a setting can come to: its start value, and what ways and effects lead to.
fn reached_values(setting: &Setting, index: usize, acts: &[WorldAct<'_>]) -> ValueMask {
    let by_way = setting.ways.iter().map(|way| way.to);
    let by_effect = acts.iter().flat_map(|act| act.sets).filter(|effect| effect.setting.index() == index);
    let values = by_way.chain(by_effect.map(|effect| effect.value));
    values.fold(1 << setting.start, |mask, value| mask | 1 << value)
}

/// A setting's values by their words.
fn words_of(setting: &Setting, mask: ValueMask) -> String {
    let known: Vec<&str> = setting.values.iter().map(String::as_str).collect();
    crate::world::words_of_mask(mask, &known).join("`, `")
}

/// Steps want a value that nothing leads to. What rules speak of may well be impossible.
fn b504_ways_in(subject: &RuleSubject<'_>, acts: &[WorldAct<'_>]) {
    let stations = subject.book.stations.iter().zip(&subject.spots.stations);
    let of_stations = stations.map(|(station, spot)| (station.needs.as_slice(), spot.key("needs")));
    let of_acts = acts.iter().map(|act| (act.needs, act.needs_spot));
    let needs: Vec<(&[WorldNeed], &ValueSpot)> = of_stations.chain(of_acts).collect();
    for (index, (setting, spot)) in subject.book.settings.iter().zip(&subject.spots.settings).enumerate() {
        if spot.bad {
            continue;
        }
        let reached = reached_values(setting, index, acts);
        let placed = needs.iter().flat_map(|(list, at)| {
            let own = list.iter().enumerate().filter(|(_, need)| is_about_setting(need, index));
            own.map(|(position, need)| (need.values, at.item(position).key("is").span))
        });
        let end = (setting.end, spot.key("end").span);
        for (values, span) in placed.chain([end]).filter(|(values, _)| *values != 0 && values & reached == 0)
        {
            let message = format!("nothing leads to `{}` of `{}`", words_of(setting, values), setting.key);
            subject.bag.push(super::rule_warning(&B504, message, span, "needed here"));
        }
    }
}

/// Whether a need asks for a setting.
fn is_about_setting(need: &WorldNeed, index: usize) -> bool {
    matches!(need.thing, WorldThing::Setting(setting) if setting.index() == index)
}

fn b505_ways_out(subject: &RuleSubject<'_>, acts: &[WorldAct<'_>]) {
    for (index, (setting, spot)) in subject.book.settings.iter().zip(&subject.spots.settings).enumerate() {
        if spot.bad || setting.end == 0 {
            continue;
        }
        let own = acts.iter().flat_map(|act| act.sets).filter(|effect| effect.setting.index() == index);
        let by_effect: Vec<u8> = own.map(|effect| effect.value).collect();
        let mut leads_out = setting.end;
        loop {
            let ways = setting.ways.iter().filter(|way| leads_out >> way.to & 1 == 1);
            let mut more = ways.fold(leads_out, |mask, way| mask | way.from);
            if by_effect.iter().any(|value| leads_out >> value & 1 == 1) {
                more = ValueMask::MAX;
            }
            if more == leads_out {
                break;
            }
            leads_out = more;
        }
        let stuck = reached_values(setting, index, acts) & !leads_out;
        for value in (0..setting.values.len()).filter(|value| stuck >> value & 1 == 1) {
            let message = format!(
                "from `{}` of `{}` nothing leads to `{}`",
                setting.values[value],
                setting.key,
                words_of(setting, setting.end)
            );
            let span = spot.key("values").item(value).span;
            subject.bag.push(super::rule_warning(&B505, message, span, "never left again"));
        }
    }
}

/// Whether a need holds when the vehicle comes in.
fn holds_at_start(book: &Book, need: &WorldNeed) -> bool {
    let value = match need.thing {
        WorldThing::Setting(setting) => 1 << book.setting(setting).start,
        WorldThing::Part(_) => PartStanding::Held.bit(),
    };
    need.values & value != 0
}

fn check_rules(subject: &RuleSubject<'_>) {
    let book = subject.book;
    for (rule, spot) in book.rules.iter().zip(&subject.spots.rules).filter(|(_, spot)| !spot.bad) {
        let holds = |need: &WorldNeed| holds_at_start(book, need);
        let (is_broken, key) = match &rule.kind {
            WorldRuleKind::AtLeastOne(needs) => (!needs.iter().any(holds), "at_least_one"),
            WorldRuleKind::NeverTogether(needs) => (needs.iter().all(holds), "never_together"),
            WorldRuleKind::StaysStill(_) => (false, "stays_still"),
        };
        let span = spot.key(key).span;
        if is_broken && rule.during.iter().all(holds) {
            let message = format!("the vehicle comes in with the rule `{}` broken", rule.title);
            subject.bag.push(super::rule_error(&B507, message, span, "not so at the start"));
            continue;
        }
        if let WorldRuleKind::AtLeastOne(needs) = &rule.kind {
            let things: BTreeSet<WorldThing> = needs.iter().map(|need| need.thing).collect();
            if things.len() < 2 {
                let message = format!("the rule `{}` names only one thing", rule.title);
                subject.bag.push(super::rule_warning(&B508, message, span, "no other may take its place"));
            }
        }
    }
}

fn b509_ways_that_lead_nowhere(subject: &RuleSubject<'_>) {
    let settings = subject.book.settings.iter().zip(&subject.spots.settings);
    for (setting, spot) in settings.filter(|(_, spot)| !spot.bad) {
        let ways = setting.ways.iter().zip(&spot.key("way").items);
        for (way, at) in ways.filter(|(way, _)| way.from >> way.to & 1 == 1) {
            let message =
                format!("a way of `{}` leads from `{1}` to `{1}`", setting.key, setting.word(way.to));
            subject.bag.push(super::rule_error(&B509, message, at.key("from").span, "changes nothing"));
        }
    }
}

fn b512_things(subject: &RuleSubject<'_>, acts: &[WorldAct<'_>]) {
    let book = subject.book;
    let needs = all_needs(subject, acts);
    let parts: BTreeSet<WorldThing> = needs.iter().map(|(need, _)| need.thing).collect();
    let parts = parts.iter().filter(|thing| matches!(thing, WorldThing::Part(_))).count();
    let things = book.settings.len() + parts;
    if things <= MAX_WORLD_THINGS {
        return;
    }
    let message = format!(
        "{} settings and {parts} parts that needs or rules name are {things} things",
        book.settings.len()
    );
    let last = subject.spots.settings.last().map(|spot| spot.key("title").span);
    if let Some(span) = last.or_else(|| needs.last().map(|(_, span)| *span)) {
        let label = format!("at most {MAX_WORLD_THINGS} are planned");
        subject.bag.push(super::rule_error(&B512, message, span, label));
    }
}

/// Parts in the order that the refit sets them in place: those that come off first go on last.
fn b514_refit_circle(subject: &RuleSubject<'_>) {
    let book = subject.book;
    let mut waits: Vec<Vec<usize>> = book
        .parts
        .iter()
        .map(|part| part.world.on_after.iter().map(|other| other.index()).collect())
        .collect();
    for (index, part) in book.parts.iter().enumerate() {
        for need in &part.needs {
            if let Need::Off(other) = need {
                waits[other.index()].push(index);
            }
        }
    }
    let graph = DirectedGraph::new(waits);
    for component in circular_components(&graph) {
        let told = |at: &usize| !book.parts[*at].world.on_after.is_empty();
        let Some(first) = component.iter().copied().find(told) else { continue };
        let circle = shortest_circle(&graph, &component);
        let keys: Vec<&str> = circle.iter().map(|at| book.parts[*at].key.as_str()).collect();
        let message = format!("at refit each waits for the next: {} → {}", keys.join(" → "), keys[0]);
        let span = subject.spots.parts[first].key("on_after").span;
        subject.bag.push(super::rule_error(&B514, message, span, "closes the circle"));
    }
}

fn b515_effects(subject: &RuleSubject<'_>, act: &WorldAct<'_>) {
    let mut seen: BTreeSet<usize> = act.own.into_iter().collect();
    for (at, effect) in act.sets.iter().enumerate() {
        if !seen.insert(effect.setting.index()) {
            let message = format!("`{}` is changed twice", subject.book.setting(effect.setting).key);
            let span = act.sets_spot.item(at).span;
            subject.bag.push(super::rule_error(&B515, message, span, "changed already"));
        }
    }
}

fn b516_needs(subject: &RuleSubject<'_>, act: &WorldAct<'_>) {
    let book = subject.book;
    let station = act.station.map(|station| book.station(station));
    for (at, need) in act.needs.iter().enumerate() {
        let excludes = |other: &&WorldNeed| other.thing == need.thing && other.values & need.values == 0;
        let earlier = act.needs[..at].iter().find(excludes).is_some();
        let of_station = station.filter(|station| station.needs.iter().any(|other| excludes(&other)));
        let (span, key) = (act.needs_spot.item(at).span, thing_key(book, need.thing));
        if need.values == 0 {
            continue;
        } else if earlier {
            let message = format!("two needs of `{key}` exclude each other");
            subject.bag.push(super::rule_error(&B516, message, span, "never together with the one before"));
        } else if let Some(station) = of_station {
            let message = format!("`{key}` cannot stand like this while work goes on at `{}`", station.key);
            subject.bag.push(super::rule_error(&B516, message, span, "the working position excludes it"));
        }
    }
}

/// The key of a thing.
fn thing_key(book: &Book, thing: WorldThing) -> &str {
    match thing {
        WorldThing::Setting(setting) => &book.setting(setting).key,
        WorldThing::Part(part) => &book.part(part).key,
    }
}
