//! The words on a button, derived from the events that pressing it writes.

use std::collections::BTreeSet;

use model::{Book, ConditionKind, FastenerKind, FastenerState, SlotAddress, SlotAddressError};
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
    /// Its words behind a count, for when some of its fasteners are ticked one by one: "off → A-01"; empty without fasteners.
    pub rest: String,
    /// What it writes, in this order.
    pub bodies: Vec<VisitBody>,
}

impl EventButton {
    /// A button that writes these.
    #[must_use]
    pub fn new(book: &Book, bodies: Vec<VisitBody>) -> Self {
        Self::of_rest(book, bodies, 0)
    }

    /// A button for what is left of so many fasteners: "Other 3 off"; 0 where that does not matter.
    #[must_use]
    pub fn of_rest(book: &Book, bodies: Vec<VisitBody>, all: usize) -> Self {
        let Some(done) = MarkedFasteners::of_bodies(book, &bodies) else {
            let label = bodies.first().map_or_else(|| String::from("Done"), |body| body_label(book, body));
            return Self { label, rest: String::new(), bodies };
        };
        let part = |body: &VisitBody| match body {
            VisitBody::PartOn { .. } | VisitBody::PartOff { .. } => Some(body_label(book, body)),
            _ => None,
        };
        let (first, last) = (bodies.first().and_then(part), bodies.last().and_then(part));
        let fasteners = done.words(all);
        let label = match (first, last) {
            (Some(on), _) => format!("{on}, {}", small_first(&fasteners)),
            (None, Some(off)) => format!("{fasteners}; {}", small_first(&off)),
            (None, None) => fasteners,
        };
        Self { label, rest: done.deed(), bodies }
    }
}

/// The fasteners that a tap marks, over all fixings of it.
struct MarkedFasteners {
    count: usize,
    to: FastenerState,
    /// Where they go, for those that come off.
    slot: String,
    /// The pass that is done, and how many there are; `None` for the only one.
    pass: Option<(u8, usize)>,
    /// Whether they are tightened, rather than seated as they go in.
    is_tightened: bool,
    /// Whether they were run in by the same tap.
    is_run_in_too: bool,
    is_new: bool,
    /// Whether they are only slackened.
    is_slackened: bool,
    kind: FastenerKind,
}

impl MarkedFasteners {
    fn of_bodies(book: &Book, bodies: &[VisitBody]) -> Option<Self> {
        let mut all: Option<Self> = None;
        let is_new = bodies.iter().any(|body| matches!(body, VisitBody::Renewed { .. }));
        let mut marked: BTreeSet<(&str, &str)> = BTreeSet::new();
        for body in bodies {
            let VisitBody::Marked { fixing, holes, to, slot, stage } = body else { continue };
            let known = book.fixing_by_key(fixing).map(|id| book.fixing(id));
            let passes = known.map_or(0, |fixing| fixing.tightening.stages.len());
            let is_again = holes.iter().any(|was| marked.contains(&(fixing.as_str(), was.hole.as_str())));
            marked.extend(holes.iter().map(|was| (fixing.as_str(), was.hole.as_str())));
            all = Some(Self {
                count: marked.len(),
                to: *to,
                slot: slot.as_deref().map_or_else(String::new, way_into_slot),
                pass: stage.filter(|_| passes > 1).map(|pass| (pass, passes)),
                is_tightened: stage.is_some(),
                is_run_in_too: is_again,
                is_new,
                is_slackened: known.is_some_and(|fixing| fixing.slackened),
                kind: known.map_or(FastenerKind::Bolt, |fixing| fixing.kind),
            });
        }
        all
    }

    /// "All 12 off → B-03"; of fewer than all that the step has, "Other 3 off → B-03".
    fn words(&self, all: usize) -> String {
        let is_rest = self.count < all;
        match (self.count, is_rest) {
            (1, true) => format!("Last one {}", self.deed()),
            (1, false) => capitalise_first(&self.deed()),
            (2, false) => format!("Both {}", self.deed()),
            (count, true) => format!("Other {count} {}", self.deed()),
            (count, false) => format!("All {count} {}", self.deed()),
        }
    }

    /// What is done with them, behind a count: "off → B-03", "in, finger-tight".
    fn deed(&self) -> String {
        let new = if self.is_new { "new, " } else { "" };
        let pass = self.pass.map_or_else(String::new, |(pass, of)| format!(", pass {pass} of {of}"));
        match (self.to, self.kind) {
            (FastenerState::Off, FastenerKind::Connector) => with_way("unplugged", &self.slot),
            (FastenerState::Off, _) => with_way("off", &self.slot),
            (FastenerState::FingerTight, _) if pass.is_empty() => format!("{new}in, finger-tight"),
            (FastenerState::FingerTight, _) => format!("done{pass}"),
            (FastenerState::Tight, FastenerKind::Connector) => format!("{new}plugged in, clicked"),
            (FastenerState::Tight, FastenerKind::Clip) => format!("{new}clipped in{pass}"),
            (FastenerState::Tight, _) if self.is_run_in_too => format!("{new}in and tight"),
            (FastenerState::Tight, _) if !self.is_tightened => format!("{new}in, tight"),
            (FastenerState::Tight, _) => format!("{new}tight{pass}"),
            (FastenerState::Freed, _) if self.is_slackened => String::from("slackened, left in place"),
            (FastenerState::Checked, _) => String::from("looked at a second time: tight"),
            (
                state @ (FastenerState::InPlace
                | FastenerState::Freed
                | FastenerState::Broken
                | FastenerState::Missing),
                _,
            ) => state.spoken_word().to_owned(),
        }
    }
}

fn with_way(deed: &str, way: &str) -> String {
    if way.is_empty() { deed.to_owned() } else { format!("{deed}{way}") }
}

/// What is done with fasteners that come off, by the address that an event names.
fn way_into_slot(slot: &str) -> String {
    match SlotAddress::parse(slot) {
        Ok(SlotAddress::OnPart) => ", left on the part".into(),
        Ok(SlotAddress::InHole) => ", back in the hole by hand".into(),
        Ok(SlotAddress::Scrap) => ", kept apart: not used again".into(),
        Ok(SlotAddress::Compartment { .. } | SlotAddress::Bag { .. } | SlotAddress::HoleCard { .. })
        | Err(SlotAddressError { .. }) => format!(" → {slot}"),
    }
}

fn body_label(book: &Book, body: &VisitBody) -> String {
    let part = |key: &str| book.part_by_key(key).map_or(key.to_owned(), |id| book.part(id).title.clone());
    match body {
        VisitBody::PartOff { part: key } => format!("{} off", capitalise_first(&part(key))),
        VisitBody::PartOn { part: key } => format!("{} in place", capitalise_first(&part(key))),
        VisitBody::Established { condition } => condition_label(book, condition, "Drained").to_owned(),
        VisitBody::Restored { condition } => condition_label(book, condition, "Filled").to_owned(),
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

/// What is said of a fluid that is drained or filled again; of another condition, that it is done.
fn condition_label(book: &Book, key: &str, of_fluid: &'static str) -> &'static str {
    let is_fluid = book.conditions.iter().any(|c| c.key == key && c.kind == ConditionKind::Drained);
    if is_fluid { of_fluid } else { "Done" }
}

/// The text with a small first letter, but for what is written in capitals.
fn small_first(text: &str) -> String {
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return String::new() };
    let is_word = letters.clone().next().is_none_or(|second| !second.is_uppercase());
    if is_word { first.to_lowercase().chain(letters).collect() } else { text.to_owned() }
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

/// The text with its first letter small, as within a sentence; a word that is written in capitals or with figures stays.
#[must_use]
pub(crate) fn uncapitalise_first(text: &str) -> String {
    let is_word = text.chars().nth(1).is_some_and(char::is_lowercase);
    let mut letters = text.chars();
    match letters.next() {
        Some(first) if is_word => first.to_lowercase().chain(letters).collect(),
        _ => text.to_owned(),
    }
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
