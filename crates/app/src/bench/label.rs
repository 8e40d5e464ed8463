//! The words on a button, derived from the events that pressing it writes.

use model::{Book, FastenerState, SlotAddress, SlotAddressError};
use record::ledger::LedgerCountKind;
use record::visit::{ClosedWork, WorkKind};
use record::{StepMark, VisitBody};
use serde::Serialize;

use super::settings::setting_words;

/// A button: its words, and the events that pressing it writes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EventButton {
    /// Its words.
    pub label: String,
    /// What it writes, in this order.
    pub bodies: Vec<VisitBody>,
}

impl EventButton {
    /// A button that writes these.
    #[must_use]
    pub fn new(book: &Book, bodies: Vec<VisitBody>) -> Self {
        Self { label: button_label(book, &bodies), bodies }
    }

    /// A button for what is left of so many fasteners: "The other 3 are off".
    #[must_use]
    pub fn of_rest(book: &Book, bodies: Vec<VisitBody>, all: usize) -> Self {
        let marked = |body: &VisitBody| match body {
            VisitBody::Marked { holes, .. } => holes.len(),
            _ => 0,
        };
        let count: usize = bodies.iter().map(marked).sum();
        let mut button = Self::new(book, bodies);
        if count > 0 && count < all {
            let rest =
                if count == 1 { String::from("The last one is") } else { format!("The other {count} are") };
            let whole = if count == 1 { String::from("It is") } else { format!("All {count} are") };
            button.label = button.label.replacen(&whole, &rest, 1);
        }
        button
    }
}

fn button_label(book: &Book, bodies: &[VisitBody]) -> String {
    let marked = fastener_label(bodies);
    if !marked.is_empty() {
        return marked;
    }
    bodies.first().map_or_else(|| String::from("Done"), |body| body_label(book, body))
}

/// "All 12 off into B-03", over all fixings of the tick.
fn fastener_label(bodies: &[VisitBody]) -> String {
    let mut count = 0;
    let mut last: Option<(FastenerState, Option<&str>, Option<u8>)> = None;
    let renewed = bodies.iter().any(|body| matches!(body, VisitBody::Renewed { .. }));
    for body in bodies {
        if let VisitBody::Marked { holes, to, slot, stage, .. } = body {
            count += holes.len();
            last = Some((*to, slot.as_deref(), *stage));
        }
    }
    let Some((to, slot, stage)) = last else { return String::new() };
    let all = if count == 1 { String::from("It is") } else { format!("All {count} are") };
    let new = if renewed { "new and " } else { "" };
    let pass = stage.map_or_else(String::new, |pass| format!(", pass {pass}"));
    match (to, slot) {
        (FastenerState::Off, Some(slot)) => format!("{all} off, {}", way_into_slot(slot)),
        (FastenerState::Off, None) => format!("{all} off"),
        (FastenerState::FingerTight, _) if stage.is_none() => format!("{all} {new}in, finger-tight"),
        (FastenerState::FingerTight, _) => format!("{all} done{pass}"),
        (FastenerState::Tight, _) => format!("{all} {new}tight{pass}"),
        (FastenerState::Checked, _) if count == 1 => String::from("Looked at a second time: it is tight"),
        (FastenerState::Checked, _) => format!("Looked at all {count} a second time: tight"),
        (
            FastenerState::InPlace | FastenerState::Freed | FastenerState::Broken | FastenerState::Missing,
            _,
        ) => {
            format!("{all} {}", to.spoken_word())
        }
    }
}

/// What is done with fasteners that come off, by the address that an event names.
fn way_into_slot(slot: &str) -> String {
    match SlotAddress::parse(slot) {
        Ok(SlotAddress::OnPart) => "left on the part".into(),
        Ok(SlotAddress::InHole) => "back in the hole by hand".into(),
        Ok(SlotAddress::Scrap) => "kept apart: not used again".into(),
        Ok(SlotAddress::Compartment { .. } | SlotAddress::Bag { .. } | SlotAddress::HoleCard { .. })
        | Err(SlotAddressError { .. }) => format!("into {slot}"),
    }
}

fn body_label(book: &Book, body: &VisitBody) -> String {
    let part = |key: &str| book.part_by_key(key).map_or(key.to_owned(), |id| book.part(id).title.clone());
    match body {
        VisitBody::PartOff { part: key } => format!("{} is off", capitalise_first(&part(key))),
        VisitBody::PartOn { part: key } => format!("{} is in place", capitalise_first(&part(key))),
        VisitBody::Established { .. } => String::from("It is done"),
        VisitBody::Restored { .. } => String::from("It is restored"),
        VisitBody::Capped { count, .. } => format!("{count} {} in", caps_word(*count)),
        VisitBody::Uncapped { count, .. } => format!("{count} {} out", caps_word(*count)),
        VisitBody::SettingChanged { setting, value } => {
            capitalise_first(&setting_words(book, setting, value))
        }
        VisitBody::Task { to: StepMark::Done, .. } | VisitBody::Extra { to: StepMark::Done, .. } => {
            String::from("Done")
        }
        VisitBody::WaitBegan { .. } => String::from("The wait begins"),
        VisitBody::WaitOver { .. } => String::from("The wait is over"),
        _ => String::from("Done"),
    }
}

const fn caps_word(count: u16) -> &'static str {
    if count == 1 { "cap" } else { "caps" }
}

/// The text with a large first letter.
#[must_use]
pub fn capitalise_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What a closed piece of work was, for looking at it again.
#[must_use]
pub fn work_words<'a>(book: impl Into<Option<&'a Book>>, work: &ClosedWork) -> String {
    let book = book.into();
    let title = |key: &str| book.and_then(|book| title_of_key(book, key)).unwrap_or_else(|| key.to_owned());
    let what = title(&work.key);
    let holes: Vec<&str> = work.holes.iter().map(String::as_str).collect();
    let which = if holes.is_empty() { String::new() } else { format!(" {}", holes.join(" ")) };
    match work.deed {
        WorkKind::Marked(to) => format!("{what}{which}: {}", to.spoken_word()),
        WorkKind::Renewed => format!("{what}{which}: renewed"),
        WorkKind::PartOff => format!("{what}: off"),
        WorkKind::PartOn => format!("{what}: in place"),
        WorkKind::Established => format!("{what}: made"),
        WorkKind::Restored => format!("{what}: as it was"),
        WorkKind::Capped => format!("{what}: capped"),
        WorkKind::Uncapped => format!("{what}: caps out"),
        WorkKind::Done => format!("{what}: done"),
        WorkKind::TakenOut => format!("{what}: taken out"),
    }
}

/// What is counted, with the words for out and back.
#[must_use]
pub const fn count_words(kind: LedgerCountKind) -> &'static str {
    match kind {
        LedgerCountKind::Fasteners => "fasteners out, back in",
        LedgerCountKind::Renewals => "renewed each time: back in, of them new",
        LedgerCountKind::Figures => "figures missing, given or answered for",
        LedgerCountKind::Claims => "conflicts, settled",
        LedgerCountKind::Parts => "parts off, on",
        LedgerCountKind::Conditions => "conditions made, undone",
        LedgerCountKind::Openings => "openings uncovered, closed",
        LedgerCountKind::Caps => "caps in, out",
        LedgerCountKind::PutIns => "put in, out",
        LedgerCountKind::Settings => "settings moved, back as they should be",
        LedgerCountKind::Pieces => "tools out, back",
        LedgerCountKind::Happenings => "happenings, dealt with",
        LedgerCountKind::Waits => "waits begun, over",
        LedgerCountKind::Findings => "findings, answered",
        LedgerCountKind::ByHand => "expected, counted by hand",
        LedgerCountKind::Strange => "entries that do not fit",
    }
}

/// What the book calls a fixing, part, condition, opening or task.
fn title_of_key(book: &Book, key: &str) -> Option<String> {
    let fixing = book.fixing_by_key(key).map(|id| book.fixing(id).title.clone());
    let part = book.part_by_key(key).map(|id| book.part(id).title.clone());
    let condition = book.conditions.iter().find(|c| c.key == key).map(|c| c.title.clone());
    let opening = book.openings.iter().find(|o| o.key == key).map(|o| o.title.clone());
    let task = book.task_by_key(key).map(|id| book.task(id).title.clone());
    fixing.or(part).or(condition).or(opening).or(task)
}
