//! Lines about the vehicle: parts off, conditions to be undone, openings and their caps.

use model::Opening;

use super::{LedgerDraft, LedgerLineKind};
use crate::visit::OpeningCaps;
use crate::{EventPlace, EventStamp};

pub(super) fn open_place_lines(desk: &mut LedgerDraft<'_>) {
    open_part_lines(desk);
    open_condition_lines(desk);
    open_cap_lines(desk);
}

fn open_part_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (key, made) in &visit.parts {
        let at = EventPlace { part: Some(key.clone()), ..EventPlace::default() };
        match desk.names.part(key) {
            Some(part) if made.now => {
                let words = (format!("{} is off", part.title), "set it in place".into());
                desk.open_line(LedgerLineKind::PartOff, &[key], at, words, &made.since);
            }
            Some(_) => {}
            None if desk.names.book.is_none() && made.now => {
                let words = (format!("{key} is off"), "set it in place".into());
                desk.open_line(LedgerLineKind::PartOff, &[key], at, words, &made.since);
            }
            None if desk.names.book.is_none() => {}
            None => open_not_in_book_line(desk, "part", key, at, &made.since),
        }
    }
}

fn open_condition_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (key, made) in &visit.conditions {
        match desk.names.condition(key) {
            Some(condition) => {
                if let Some(restore) = condition.restore.as_ref().filter(|_| made.now) {
                    let closes = restore.trim_end_matches('.').to_owned();
                    let words = (condition.title.clone(), closes);
                    desk.open_line(
                        LedgerLineKind::Condition,
                        &[key],
                        EventPlace::default(),
                        words,
                        &made.since,
                    );
                }
            }
            None if desk.names.book.is_none() && made.now => {
                let words = (key.clone(), "undo it, or accept it as it is".into());
                desk.open_line(LedgerLineKind::Condition, &[key], EventPlace::default(), words, &made.since);
            }
            None if desk.names.book.is_none() => {}
            None => open_not_in_book_line(desk, "condition", key, EventPlace::default(), &made.since),
        }
    }
}

fn open_cap_lines(desk: &mut LedgerDraft<'_>) {
    let names = desk.names;
    for opening in names.book_openings() {
        if let Some(caps) = desk.visit.openings.get(&opening.key) {
            let at = place_of_opening(desk, opening);
            open_caps_in_line(desk, (&opening.key, &opening.title), at, caps);
        }
        open_uncapped_line(desk, opening);
    }
    let visit = desk.visit;
    for (key, caps) in &visit.openings {
        let at = EventPlace { opening: Some(key.clone()), ..EventPlace::default() };
        match (names.opening(key), &caps.since) {
            (None, _) if names.book.is_none() => open_caps_in_line(desk, (key, key), at, caps),
            (None, Some(since)) => open_not_in_book_line(desk, "opening", key, at, since),
            (Some(_), _) | (None, None) => {}
        }
    }
}

fn open_caps_in_line(
    desk: &mut LedgerDraft<'_>,
    (key, title): (&str, &str),
    at: EventPlace,
    caps: &OpeningCaps,
) {
    let Some(since) = caps.since.as_ref().filter(|_| caps.inside > 0) else { return };
    let what = if caps.taken > 0 {
        format!(
            "{title}: {} fitted, {} removed, {} still in",
            count_words(caps.put, "cap"),
            caps.taken,
            caps.inside
        )
    } else {
        format!("{title}: {} in", count_words(caps.inside, "cap"))
    };
    let words = (what, "take the caps out and count them".into());
    desk.open_line(LedgerLineKind::CapsIn, &[key], at, words, since);
}

/// An opening is uncovered while any part is off that uncovers it; one that no cap closes has no line of its own.
fn open_uncapped_line(desk: &mut LedgerDraft<'_>, opening: &Opening) {
    let Some(cap) = &opening.cap else { return };
    let off = desk.names.parts_uncovering(&opening.key).filter_map(|p| desk.visit.parts.get(&p.key));
    let uncovered = off.filter(|m| m.now).map(|m| &m.since).max_by(|a, b| a.order.cmp(&b.order));
    let caps = desk.visit.openings.get(&opening.key);
    let inside = caps.map_or(0, |c| c.inside);
    let wanted = u32::from(opening.count);
    let Some(uncovered) = uncovered.filter(|_| inside < wanted) else { return };
    let changed = caps.and_then(|c| c.since.as_ref()).filter(|s| s.order > uncovered.order);
    let what = format!("{}: open, {inside} of {} fitted", opening.title, count_words(wanted, "cap"));
    let words = (what, format!("cap it ({cap}), or refit the part over it"));
    let since = changed.unwrap_or(uncovered);
    desk.open_line(LedgerLineKind::Uncapped, &[&opening.key], place_of_opening(desk, opening), words, since);
}

fn place_of_opening(desk: &LedgerDraft<'_>, opening: &Opening) -> EventPlace {
    let part = desk.names.parts_uncovering(&opening.key).next().map(|p| p.key.clone());
    EventPlace { part, opening: Some(opening.key.clone()), ..EventPlace::default() }
}

pub(super) fn open_not_in_book_line(
    desk: &mut LedgerDraft<'_>,
    kind: &str,
    key: &str,
    at: EventPlace,
    since: &EventStamp,
) {
    let words = (
        format!("the book has no {kind} “{key}”"),
        "check that the right book is open, or accept this line".into(),
    );
    desk.open_line(LedgerLineKind::Strange, &[kind, key], at, words, since);
}

/// "1 cap", "6 caps".
fn count_words(count: u32, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}
