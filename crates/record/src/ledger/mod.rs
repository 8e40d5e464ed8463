//! The ledger: everything that is open in a visit, and whether the vehicle may be moved, lowered or started.
//!
//! A line opens by an event and closes by an event; nothing is ticked off in the ledger itself. It reads zero if and only
//! if every fastener is in place, tight or checked with all its passes, every setting of the book stands at one of its end
//! values, and every count of [`Ledger::counts`] closes.
//! A line may be accepted as it is, with a reason and a name; that holds until the line closes and opens anew.

mod counts;
mod fasteners;
mod line;
mod places;
mod settings;
mod things;
mod verdict;

use std::collections::BTreeMap;

use model::Book;

pub use counts::{LedgerCountKind, LedgerCountRow};
pub(crate) use fasteners::state_words;
pub(crate) use line::ledger_line_key;
pub use line::{LedgerLine, LedgerLineKind};
pub use verdict::{RULES, VehicleQuestion, VehicleRule, VehicleVerdict, VerdictReason};

use crate::names::BookByKey;
use crate::{EventPlace, EventStamp, Visit};

/// What is open.
#[derive(Debug, Clone, PartialEq)]
pub struct Ledger {
    /// Open lines, those accepted included: the gravest kind first, then by place.
    pub lines: Vec<LedgerLine>,
    /// Out against back of all that is counted.
    pub counts: Vec<LedgerCountRow>,
    moved: VehicleVerdict,
    lowered: VehicleVerdict,
    started: VehicleVerdict,
}

impl Ledger {
    /// Draws up the ledger of a visit; without a book by the keys that were written, all of them believed.
    #[must_use]
    pub fn draw_up<'a>(visit: &Visit, book: impl Into<Option<&'a Book>>) -> Self {
        let names = BookByKey::new(book.into());
        let mut desk = LedgerDraft { visit, names: &names, lines: Vec::new() };
        fasteners::open_fastener_lines(&mut desk);
        places::open_place_lines(&mut desk);
        settings::open_setting_lines(&mut desk);
        things::open_thing_lines(&mut desk);
        let mut lines = desk.lines;
        lines.sort_by(|a, b| (a.kind, &a.key).cmp(&(b.kind, &b.key)));
        let ask = |question| verdict::answer_question(question, &lines, visit, &names);
        let (moved, lowered, started) =
            (ask(VehicleQuestion::Move), ask(VehicleQuestion::Lower), ask(VehicleQuestion::Start));
        Self { counts: counts::count_rows(visit, &names), lines, moved, lowered, started }
    }

    /// Whether nothing is open.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        self.lines.is_empty()
    }

    /// Lines that nobody has accepted.
    pub fn open_lines(&self) -> impl Iterator<Item = &LedgerLine> {
        self.lines.iter().filter(|l| l.accepted.is_none())
    }

    /// Whether nothing is open except what was accepted with a reason and a name.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.open_lines().next().is_none()
    }

    /// A line by its key.
    #[must_use]
    pub fn line_by_key(&self, key: &str) -> Option<&LedgerLine> {
        self.lines.iter().find(|l| l.key == key)
    }

    /// Lines by kind, the gravest first; kinds without lines are left out.
    #[must_use]
    pub fn by_kind(&self) -> BTreeMap<LedgerLineKind, Vec<&LedgerLine>> {
        let mut kinds: BTreeMap<LedgerLineKind, Vec<&LedgerLine>> = BTreeMap::new();
        self.lines.iter().for_each(|l| kinds.entry(l.kind).or_default().push(l));
        kinds
    }

    /// Lines by part; those without a part under the empty key.
    #[must_use]
    pub fn by_part(&self) -> BTreeMap<&str, Vec<&LedgerLine>> {
        let mut parts: BTreeMap<&str, Vec<&LedgerLine>> = BTreeMap::new();
        self.lines.iter().for_each(|l| parts.entry(l.at.part.as_deref().unwrap_or("")).or_default().push(l));
        parts
    }

    /// Whether the vehicle may be pushed or rolled.
    #[must_use]
    pub fn may_be_moved(&self) -> &VehicleVerdict {
        &self.moved
    }

    /// Whether it may be let down from the lift or the stands.
    #[must_use]
    pub fn may_be_lowered(&self) -> &VehicleVerdict {
        &self.lowered
    }

    /// Whether the engine may be turned or started.
    #[must_use]
    pub fn may_be_started(&self) -> &VehicleVerdict {
        &self.started
    }
}

/// Where lines are gathered.
struct LedgerDraft<'a> {
    visit: &'a Visit,
    names: &'a BookByKey<'a>,
    lines: Vec<LedgerLine>,
}

impl LedgerDraft<'_> {
    /// Opens a line, with the word of whoever accepted it since it opened.
    fn open_line(
        &mut self,
        kind: LedgerLineKind,
        names: &[&str],
        at: EventPlace,
        words: (String, String),
        since: &EventStamp,
    ) -> &mut LedgerLine {
        let key = ledger_line_key(kind, names);
        let accepted = self.visit.overrides.get(&key).filter(|o| since.order < o.stamp.order).cloned();
        let (what, closes) = words;
        let of = names.first().copied().unwrap_or_default().to_owned();
        let since = since.clone();
        self.lines.push(LedgerLine {
            key,
            kind,
            of,
            at,
            slot: None,
            what,
            closes,
            since,
            ends_ms: None,
            accepted,
        });
        let last = self.lines.len() - 1;
        &mut self.lines[last]
    }
}
