//! The words on a button, told from what pressing it writes down.

use journal::ledger::CountKind;
use journal::visit::{Deed, Work};
use journal::{Body, StepTo};
use model::{Book, FastenerState};
use serde::Serialize;

/// A button: its words, and the events that pressing it writes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Says {
    /// Its words.
    pub label: String,
    /// What it writes, in this order.
    pub bodies: Vec<Body>,
}

impl Says {
    /// A button that writes these.
    #[must_use]
    pub fn new(book: &Book, bodies: Vec<Body>) -> Self {
        Self { label: label(book, &bodies), bodies }
    }
}

fn label(book: &Book, bodies: &[Body]) -> String {
    let marked = fasteners(bodies);
    if !marked.is_empty() {
        return marked;
    }
    bodies.first().map_or_else(|| String::from("Done"), |body| one(book, body))
}

/// "All 12 off into B-03", over all fixings of the tick.
fn fasteners(bodies: &[Body]) -> String {
    let mut count = 0;
    let mut last: Option<(FastenerState, Option<&str>, Option<u8>)> = None;
    let renewed = bodies.iter().any(|body| matches!(body, Body::Renewed { .. }));
    for body in bodies {
        if let Body::Marked { holes, to, slot, stage, .. } = body {
            count += holes.len();
            last = Some((*to, slot.as_deref(), *stage));
        }
    }
    let Some((to, slot, stage)) = last else { return String::new() };
    let all = if count == 1 { String::from("It is") } else { format!("All {count} are") };
    let new = if renewed { "new and " } else { "" };
    let pass = stage.map_or_else(String::new, |pass| format!(", pass {pass}"));
    match (to, slot) {
        (FastenerState::Off, Some("on part")) => format!("{all} off, left on the part"),
        (FastenerState::Off, Some("in hole")) => format!("{all} off, back in the hole by hand"),
        (FastenerState::Off, Some("scrap")) => format!("{all} off, kept apart: not used again"),
        (FastenerState::Off, Some(slot)) => format!("{all} off, into {slot}"),
        (FastenerState::Off, None) => format!("{all} off"),
        (FastenerState::FingerTight, _) if stage.is_none() => format!("{all} {new}in, finger-tight"),
        (FastenerState::FingerTight, _) => format!("{all} through{pass}"),
        (FastenerState::Tight, _) => format!("{all} {new}tight{pass}"),
        (FastenerState::Checked, _) => format!("{all} checked"),
        (state, _) => format!("{all} {}", state_words(state)),
    }
}

/// The word of a state.
#[must_use]
pub const fn state_words(state: FastenerState) -> &'static str {
    match state {
        FastenerState::InPlace => "in place",
        FastenerState::Freed => "broken loose",
        FastenerState::Off => "off",
        FastenerState::FingerTight => "finger-tight",
        FastenerState::Tight => "tight",
        FastenerState::Checked => "checked",
        FastenerState::Broken => "broken",
        FastenerState::Missing => "missing",
    }
}

fn one(book: &Book, body: &Body) -> String {
    let part = |key: &str| book.part_by_key(key).map_or(key.to_owned(), |id| book.part(id).title.clone());
    match body {
        Body::PartOff { part: key } => format!("{} is off", capital(&part(key))),
        Body::PartOn { part: key } => format!("{} is in place", capital(&part(key))),
        Body::Established { .. } => String::from("It is done"),
        Body::Restored { .. } => String::from("It is as it was"),
        Body::Capped { count, .. } => format!("{count} {} in", caps(*count)),
        Body::Uncapped { count, .. } => format!("{count} {} out", caps(*count)),
        Body::Task { to: StepTo::Done, .. } | Body::Extra { to: StepTo::Done, .. } => String::from("Done"),
        Body::WaitBegan { .. } => String::from("The wait begins"),
        Body::WaitOver { .. } => String::from("The wait is over"),
        _ => String::from("Done"),
    }
}

const fn caps(count: u16) -> &'static str {
    if count == 1 { "cap" } else { "caps" }
}

/// The text with a large first letter.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What a closed piece of work was, for looking at it again.
#[must_use]
pub fn work_words(book: &Book, work: &Work) -> String {
    let title = |key: &str| {
        let fixing = book.fixing_by_key(key).map(|id| book.fixing(id).title.clone());
        let part = book.part_by_key(key).map(|id| book.part(id).title.clone());
        let condition = book.conditions.iter().find(|c| c.key == key).map(|c| c.title.clone());
        let opening = book.openings.iter().find(|o| o.key == key).map(|o| o.title.clone());
        let task = book.task_by_key(key).map(|id| book.task(id).title.clone());
        fixing.or(part).or(condition).or(opening).or(task).unwrap_or_else(|| key.to_owned())
    };
    let what = title(&work.key);
    let holes: Vec<&str> = work.holes.iter().map(String::as_str).collect();
    let which = if holes.is_empty() { String::new() } else { format!(" {}", holes.join(" ")) };
    match work.deed {
        Deed::Marked(to) => format!("{what}{which}: {}", state_words(to)),
        Deed::Renewed => format!("{what}{which}: renewed"),
        Deed::PartOff => format!("{what}: off"),
        Deed::PartOn => format!("{what}: in place"),
        Deed::Established => format!("{what}: brought about"),
        Deed::Restored => format!("{what}: as it was"),
        Deed::Capped => format!("{what}: capped"),
        Deed::Uncapped => format!("{what}: caps out"),
        Deed::Done => format!("{what}: done"),
        Deed::TakenOut => format!("{what}: taken out"),
    }
}

/// What is counted, with the words for out and back.
#[must_use]
pub const fn count_words(kind: CountKind) -> &'static str {
    match kind {
        CountKind::Fasteners => "fasteners out, back in",
        CountKind::Renewals => "renewed each time: back in, of them new",
        CountKind::Claims => "devices that differ, settled",
        CountKind::Parts => "parts off, on",
        CountKind::Conditions => "brought about, undone",
        CountKind::Openings => "openings uncovered, closed",
        CountKind::Caps => "caps in, out",
        CountKind::PutIns => "put in, out",
        CountKind::Pieces => "tools out, back",
        CountKind::Happenings => "happened, dealt with",
        CountKind::Waits => "waits begun, over",
        CountKind::Findings => "findings, answered",
        CountKind::ByHand => "expected, counted by hand",
        CountKind::Strange => "entries that do not fit",
    }
}
