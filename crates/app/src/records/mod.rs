//! Answers as plain records for other programs, where the answer's own type is not one already.
//!
//! A field that ends in a unit is a number in that unit. Every field is always there; what is not known is null. The shapes
//! are kept in `docs/schemas/`, which a test of `cli` compares with what the program prints.

mod ledger;
mod store;
mod vehicle;
mod visit;
mod week;

pub use ledger::{LedgerCountRecord, LedgerLineRecord, LedgerRecord, OpenLedgersRecord, PermissionRecord};
pub use store::{PieceRecord, StoreRecord, TrayRecord};
pub use vehicle::{VehicleClaimRecord, VehicleListRecord, VehicleSummaryRecord};
pub use visit::{
    FigureWordRecord, GoalPlanRecord, NextStepRecord, SettingRecord, SettingWordRecord, VisitListRecord,
    VisitRecord, WentOnRecord,
};
pub use week::{
    CalendarRecord, CalendarVisitRecord, ComingPartRecord, HolidayRecord, ShopHoursRecord, VisitDatesRecord,
};

use crate::load::FaultReport;
use crate::workshop::carry::{ArchiveHealth, CopyReport, RescueReport, TransferReport};
use crate::workshop::{VisitId, content_name};
use faults::FaultRecord;
use judge::{UnjudgedClaim, Violation};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What a check of a book or a store found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FaultReportRecord {
    /// Key of the book, or title of the store, where it could be read.
    pub name: Option<String>,
    /// How many errors.
    pub errors: usize,
    /// How many warnings.
    pub warnings: usize,
    /// The faults, as shown to a person.
    pub faults: Vec<FaultRecord>,
}

impl FaultReportRecord {
    /// The record of a report.
    #[must_use]
    pub fn of_report(report: &FaultReport) -> Self {
        let (errors, warnings) = report.faults.count_by_severity();
        Self { name: report.name.clone(), errors, warnings, faults: report.records_for_programs() }
    }
}

/// One violation that the judge found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ViolationRecord {
    /// The rule's code.
    pub code: String,
    /// Where in the plan.
    pub place: String,
    /// What does not hold.
    pub words: String,
}

/// What the judge says of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JudgementRecord {
    /// Whether every claim holds.
    pub is_clean: bool,
    /// What does not.
    pub violations: Vec<ViolationRecord>,
    /// What is claimed and was not tried again.
    pub not_judged: Vec<UnjudgedClaimRecord>,
}

/// A claim of a plan that the judge cannot prove.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UnjudgedClaimRecord {
    /// Of what: way in, kit, course.
    pub place: String,
    /// What is claimed, and what of it was not tried.
    pub words: String,
}

impl JudgementRecord {
    /// The record of a judgement.
    #[must_use]
    pub fn of_judgement(violations: &[Violation], claims: &[UnjudgedClaim]) -> Self {
        let record = |v: &Violation| ViolationRecord {
            code: v.code.to_string(),
            place: v.place.clone(),
            words: v.words.clone(),
        };
        let claimed =
            |c: &UnjudgedClaim| UnjudgedClaimRecord { place: c.place.into(), words: c.words.clone() };
        Self {
            is_clean: violations.is_empty(),
            violations: violations.iter().map(record).collect(),
            not_judged: claims.iter().map(claimed).collect(),
        }
    }
}

/// The whole journal in one file: a backup, or one put back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JournalCopyRecord {
    /// Where it lies.
    pub file: PathBuf,
    /// Entries in it.
    pub entries: u64,
    /// Documents in it.
    pub documents: u64,
    /// Where the previous file was moved.
    pub moved_aside: Option<PathBuf>,
}

impl JournalCopyRecord {
    /// The record of a copy.
    #[must_use]
    pub fn of_copy(copy: &CopyReport) -> Self {
        Self {
            file: copy.to.clone(),
            entries: copy.events,
            documents: copy.documents,
            moved_aside: copy.moved_aside.clone(),
        }
    }
}

/// Visits carried into a file or out of one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TransferRecord {
    /// The file.
    pub file: PathBuf,
    /// The visits in it.
    pub visits: Vec<VisitId>,
    /// Entries that were new there.
    pub new: u64,
    /// Entries that were there already.
    pub known: u64,
    /// Documents carried.
    pub documents: u64,
    /// Names of documents that entries refer to and the file does not hold.
    pub missing_documents: Vec<String>,
}

impl TransferRecord {
    /// The record of a transfer with the file that was written or read.
    #[must_use]
    pub fn of_transfer(file: &Path, transfer: &TransferReport) -> Self {
        Self {
            file: file.to_owned(),
            visits: transfer.visits.clone(),
            new: transfer.new,
            known: transfer.known,
            documents: transfer.documents,
            missing_documents: transfer.missing.iter().map(|name| name.as_str().to_owned()).collect(),
        }
    }
}

/// What a check of the journal found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JournalHealthRecord {
    /// Entries that are sound.
    pub entries: u64,
    /// Documents that are sound.
    pub documents: u64,
    /// What is wrong, in words.
    pub faults: Vec<String>,
    /// Where what is sound was saved to, where that was asked for.
    pub saved_to: Option<PathBuf>,
}

impl JournalHealthRecord {
    /// The record of a check.
    #[must_use]
    pub fn of_health(health: &ArchiveHealth, saved_to: Option<&Path>) -> Self {
        Self {
            entries: health.events,
            documents: health.documents,
            faults: health.faults.clone(),
            saved_to: saved_to.map(Path::to_owned),
        }
    }
}

impl JournalHealthRecord {
    /// The record of a rescue.
    #[must_use]
    pub fn of_rescue(rescue: &RescueReport, saved_to: &Path) -> Self {
        Self {
            entries: rescue.events,
            documents: rescue.documents,
            faults: rescue.holes.iter().chain(&rescue.faults).cloned().collect(),
            saved_to: Some(saved_to.to_owned()),
        }
    }
}

/// Sheets that were printed into a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PrintedRecord {
    /// Kind of sheet, or the whole pack.
    pub kind: String,
    /// The file.
    pub file: PathBuf,
    /// How many sheets.
    pub sheets: usize,
    /// SHA-256 of the file, in hexadecimal.
    pub sha256: String,
}

impl PrintedRecord {
    /// The record of a file that was printed.
    #[must_use]
    pub fn of_file(kind: &str, file: &Path, sheets: usize, bytes: &[u8]) -> Self {
        let sha256 = content_name(bytes).as_str().to_owned();
        Self { kind: kind.to_owned(), file: file.to_owned(), sheets, sha256 }
    }
}

/// A generated book and store.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GeneratedRecord {
    /// Folder of the book.
    pub book: PathBuf,
    /// Folder of the store.
    pub store: PathBuf,
    /// The seed: the same again gives the same files.
    pub seed: u64,
}

/// Readings of a driver that were handed in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeptReadingsRecord {
    /// How many are new and were kept.
    pub kept: usize,
    /// How many the journal had already.
    pub already_there: usize,
}
