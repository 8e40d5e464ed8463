//! A visit's ledger as a record: every open line with its place, every count.

use crate::bench::VisitCard;
use crate::workshop::VisitId;
use record::Ledger;
use record::ledger::{LedgerCountKind, LedgerCountRow, LedgerLine, LedgerLineKind, VehicleVerdict};
use serde::Serialize;

/// May the vehicle be moved, lowered or started?
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PermissionRecord {
    /// What is asked: `moved`, `lowered` or `started`.
    pub what: String,
    /// Whether nothing prevents it; the person at the vehicle decides.
    pub is_permitted: bool,
    /// How many lines of the ledger prevent it.
    pub lines_against: usize,
}

impl PermissionRecord {
    /// The record of a verdict.
    fn of_verdict(what: &str, verdict: &VehicleVerdict) -> Self {
        Self { what: what.to_owned(), is_permitted: verdict.yes, lines_against: verdict.reasons.len() }
    }
}

/// One open line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LedgerLineRecord {
    /// Its name, the same as long as it is open, on every device.
    pub key: String,
    /// What kind of thing is open.
    pub kind: LedgerLineKind,
    /// Key of what it is about, or the event.
    pub of: String,
    /// Key of the part where it is.
    pub part: Option<String>,
    /// Key of the fixing.
    pub fixing: Option<String>,
    /// Label of the hole.
    pub hole: Option<String>,
    /// Key of the opening.
    pub opening: Option<String>,
    /// The slot where it lies, for a fastener that is off.
    pub slot: Option<String>,
    /// What is open.
    pub what: String,
    /// What would close it.
    pub closes: String,
    /// When it was opened by the writer's clock, milliseconds since 1970-01-01 UTC.
    pub since_ms: i64,
    /// Who accepted it as it is; null where nobody has.
    pub accepted_by: Option<String>,
    /// Why it was accepted.
    pub accepted_because: Option<String>,
}

/// One count: what went out against what came back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LedgerCountRecord {
    /// What is counted.
    pub kind: LedgerCountKind,
    /// Of which; empty where there is one row of the kind.
    pub of: String,
    /// Out, in, reported or expected.
    pub out: u32,
    /// Back, ended or counted.
    pub back: u32,
    /// Whether the two are equal.
    pub is_equal: bool,
}

/// The ledger of one visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LedgerRecord {
    /// Id of the visit.
    pub visit: VisitId,
    /// Letter of the vehicle.
    pub vehicle: String,
    /// What a person calls the vehicle.
    pub name: String,
    /// Whether nothing is open except what was accepted.
    pub is_settled: bool,
    /// May it be moved, lowered, started?
    pub permissions: Vec<PermissionRecord>,
    /// Open lines, those accepted included, the gravest kind first.
    pub lines: Vec<LedgerLineRecord>,
    /// All counts.
    pub counts: Vec<LedgerCountRecord>,
}

impl LedgerRecord {
    /// The record of a ledger, with the card of its visit.
    #[must_use]
    pub fn of_ledger(card: &VisitCard, ledger: &Ledger) -> Self {
        Self {
            visit: card.id.clone(),
            vehicle: card.vehicle.clone(),
            name: card.name.clone(),
            is_settled: ledger.is_settled(),
            permissions: vec![
                PermissionRecord::of_verdict("moved", ledger.may_be_moved()),
                PermissionRecord::of_verdict("lowered", ledger.may_be_lowered()),
                PermissionRecord::of_verdict("started", ledger.may_be_started()),
            ],
            lines: ledger.lines.iter().map(line_record).collect(),
            counts: ledger.counts.iter().map(count_record).collect(),
        }
    }
}

/// The ledgers that were asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OpenLedgersRecord {
    /// Whether nothing is open in any of them except what was accepted.
    pub is_settled: bool,
    /// One ledger a visit.
    pub visits: Vec<LedgerRecord>,
}

fn line_record(line: &LedgerLine) -> LedgerLineRecord {
    LedgerLineRecord {
        key: line.key.clone(),
        kind: line.kind,
        of: line.of.clone(),
        part: line.at.part.clone(),
        fixing: line.at.fixing.clone(),
        hole: line.at.hole.clone(),
        opening: line.at.opening.clone(),
        slot: line.slot.clone(),
        what: line.what.clone(),
        closes: line.closes.clone(),
        since_ms: line.since.at_ms,
        accepted_by: line.accepted.as_ref().map(|word| word.name.clone()),
        accepted_because: line.accepted.as_ref().map(|word| word.reason.clone()),
    }
}

fn count_record(row: &LedgerCountRow) -> LedgerCountRecord {
    LedgerCountRecord {
        kind: row.kind,
        of: row.of.clone(),
        out: row.out,
        back: row.back,
        is_equal: row.agrees(),
    }
}
