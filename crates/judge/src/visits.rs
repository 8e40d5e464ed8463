//! Judges a calendar over all open visits from plain data alone: items with their times, hours, links, holders, compartments.
//!
//! The day is walked through span by span; nothing is shared with the crate that makes the calendar. Times are whole seconds from midnight of the first day.
//!
//! | code | what is wrong |
//! |---|---|
//! | C601 | the mechanic's hands in two places at once, or no time to turn to another vehicle |
//! | C602 | work outside shop hours, or before now |
//! | C603 | open time between start and end is not the item's time; a moment not to stop is broken |
//! | C604 | begun before what goes before it and the wait are over |
//! | C605 | begun later than the longest time allows |
//! | C606 | begun before its part is here |
//! | C607 | more of a holder taken than there is |
//! | C608 | a compartment of two visits, or a letter of two visits |
//! | C609 | two pairs of hands outside the hours of the second |

use crate::{FoundViolations, Violation};

const DAY_S: u32 = 86_400;

/// Hours of a week, of the shop or of the second pair of hands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JudgedWeek {
    /// Spans by weekday, Monday first: from and to, s from midnight.
    pub spans: [Vec<(u32, u32)>; 7],
    /// Weekday of the first day, Monday 0.
    pub first_weekday: u8,
    /// Days closed all the same.
    pub closed_days: Vec<u32>,
}

/// An item with its times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JudgedVisitItem {
    /// Place of its visit.
    pub visit: usize,
    /// Words for a message.
    pub name: String,
    /// Its time.
    pub work_s: u32,
    /// Pairs of hands: 0, 1 or 2.
    pub hands: u8,
    /// It must not be set aside.
    pub in_one_piece: bool,
    /// When its part is here; 0 without one.
    pub part_at_s: u32,
    /// It has to be begun by then.
    pub start_by_s: Option<u32>,
    /// Start.
    pub start_s: u32,
    /// End.
    pub end_s: u32,
}

/// A link between two items, by their places in the list of all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JudgedItemLink {
    /// The item before.
    pub from: usize,
    /// The item after.
    pub to: usize,
    /// Wait between.
    pub wait_s: u32,
    /// Longest time between.
    pub most_s: Option<u32>,
}

/// A holder taken over a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JudgedHold {
    /// Place of the holder.
    pub holder: usize,
    /// How many.
    pub amount: u32,
    /// The item that takes it; `None` for now.
    pub from: Option<usize>,
    /// The item after which it is free.
    pub to: usize,
}

/// All that a calendar over visits has to keep.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JudgedVisits {
    /// Shop hours.
    pub shop: JudgedWeek,
    /// Hours of the second pair of hands.
    pub helper: Option<JudgedWeek>,
    /// Now.
    pub now_s: u32,
    /// Time to turn to another vehicle.
    pub switch_s: u32,
    /// Where the mechanic stands.
    pub at_visit: Option<usize>,
    /// How many there are of each holder.
    pub holder_counts: Vec<u32>,
    /// Letters of the visits.
    pub letters: Vec<char>,
    /// Compartments by visit.
    pub compartments: Vec<(usize, String)>,
    /// Items of all visits.
    pub items: Vec<JudgedVisitItem>,
    /// Links.
    pub links: Vec<JudgedItemLink>,
    /// Holders over stretches.
    pub holds: Vec<JudgedHold>,
}

/// Everything that is wrong with a calendar over visits; empty when clean. Places that are not there are passed over.
#[must_use]
pub fn judge_visits(case: &JudgedVisits) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    case.items.iter().for_each(|item| judge_item(case, item, &mut found));
    judge_links(case, &mut found);
    judge_hands(case, &mut found);
    judge_holds(case, &mut found);
    judge_compartments(case, &mut found);
    found.0
}

fn place_of_item(case: &JudgedVisits, item: &JudgedVisitItem) -> String {
    let letter = case.letters.get(item.visit).copied().unwrap_or('?');
    format!("{letter}: {}", item.name)
}

fn spans_of(week: &JudgedWeek, day: u32) -> &[(u32, u32)] {
    if week.closed_days.contains(&day) {
        return &[];
    }
    &week.spans[((u64::from(week.first_weekday) + u64::from(day)) % 7) as usize]
}

/// Open seconds between two moments.
fn open_seconds(week: &JudgedWeek, from_s: u32, to_s: u32) -> u32 {
    let mut sum_s = 0;
    for day in from_s / DAY_S..=to_s / DAY_S {
        for (opens_s, closes_s) in spans_of(week, day) {
            let (opens_s, closes_s) = (day * DAY_S + opens_s, day * DAY_S + closes_s);
            sum_s += closes_s.min(to_s).saturating_sub(opens_s.max(from_s));
        }
    }
    sum_s
}

fn is_open_after(week: &JudgedWeek, at_s: u32) -> bool {
    open_seconds(week, at_s, at_s + 1) == 1
}

fn judge_item(case: &JudgedVisits, item: &JudgedVisitItem, found: &mut FoundViolations) {
    let mut add = |code, words: &str| found.add(code, place_of_item(case, item), words);
    if item.start_s < case.now_s {
        add("C602", "begins before now");
    }
    if item.end_s < item.start_s {
        add("C603", "ends before it begins");
        return;
    }
    if item.start_s < item.part_at_s {
        add("C606", "begins before its part is here");
    }
    if item.start_by_s.is_some_and(|by_s| item.start_s > by_s) {
        add("C605", "begins later than it has to");
    }
    if item.hands == 0 || item.work_s == 0 {
        if item.end_s - item.start_s != item.work_s {
            add("C603", "does not take its time");
        }
        return;
    }
    if !is_open_after(&case.shop, item.start_s) || !is_open_after(&case.shop, item.end_s - 1) {
        add("C602", "begins or ends while the shop is closed");
    }
    if open_seconds(&case.shop, item.start_s, item.end_s) != item.work_s {
        add("C603", "has another number of shop hours than its work takes");
    }
    if item.in_one_piece && item.end_s - item.start_s != item.work_s {
        add("C603", "is set aside in a moment not to stop");
    }
    let helped = |w: &JudgedWeek| open_seconds(w, item.start_s, item.end_s) == item.end_s - item.start_s;
    if item.hands == 2 && !case.helper.as_ref().is_some_and(helped) {
        add("C609", "needs a second pair of hands while there is none");
    }
}

fn judge_links(case: &JudgedVisits, found: &mut FoundViolations) {
    for link in &case.links {
        let (Some(from), Some(to)) = (case.items.get(link.from), case.items.get(link.to)) else { continue };
        if u64::from(to.start_s) < u64::from(from.end_s) + u64::from(link.wait_s) {
            found.add("C604", place_of_item(case, to), format!("begins too soon after `{}`", from.name));
        }
        let late = |most_s: u32| u64::from(to.start_s) > u64::from(from.end_s) + u64::from(most_s);
        if link.most_s.is_some_and(late) {
            found.add("C605", place_of_item(case, to), format!("begins too late after `{}`", from.name));
        }
    }
}

/// Items in the hands one after another, with the turning between.
fn judge_hands(case: &JudgedVisits, found: &mut FoundViolations) {
    let mut busy: Vec<&JudgedVisitItem> = case.items.iter().filter(|i| i.hands > 0 && i.work_s > 0).collect();
    busy.sort_by_key(|i| (i.start_s, i.end_s));
    let (mut free_s, mut at_visit) = (case.now_s, case.at_visit);
    for item in busy {
        let turns = at_visit.is_some_and(|v| v != item.visit);
        let between_s = open_seconds(&case.shop, free_s, item.start_s.max(free_s));
        if item.start_s < free_s {
            found.add("C601", place_of_item(case, item), "begins while the hands are at something else");
        } else if turns && between_s < case.switch_s {
            found.add("C601", place_of_item(case, item), "leaves no time to turn to this vehicle");
        }
        (free_s, at_visit) = (free_s.max(item.end_s), Some(item.visit));
    }
}

/// At each moment at which something is taken, all that is taken then.
fn judge_holds(case: &JudgedVisits, found: &mut FoundViolations) {
    let stretch = |hold: &JudgedHold| {
        let from_s = match hold.from {
            Some(item) => case.items.get(item)?.start_s,
            None => case.now_s,
        };
        Some((hold.holder, hold.amount, from_s, case.items.get(hold.to)?))
    };
    let stretches: Vec<_> = case.holds.iter().filter_map(stretch).collect();
    for (holder, _, at_s, last) in &stretches {
        let now =
            |s: &&(usize, u32, u32, &JudgedVisitItem)| s.0 == *holder && s.2 <= *at_s && *at_s < s.3.end_s;
        let taken: u64 = stretches.iter().filter(now).map(|s| u64::from(s.1)).sum();
        let count = case.holder_counts.get(*holder).copied().unwrap_or(0);
        if taken > u64::from(count) {
            let words =
                format!("{taken} of holder {holder} are taken at {at_s} s, of which there are {count}");
            found.add("C607", place_of_item(case, last), words);
        }
    }
}

fn judge_compartments(case: &JudgedVisits, found: &mut FoundViolations) {
    for (at, (visit, what)) in case.compartments.iter().enumerate() {
        if case.compartments[..at].iter().any(|(v, w)| w == what && v != visit) {
            found.add("C608", what.clone(), "is in use for two visits");
        }
    }
    for (at, letter) in case.letters.iter().enumerate() {
        if case.letters[..at].contains(letter) {
            found.add("C608", format!("letter {letter}"), "is of two visits");
        }
    }
}
