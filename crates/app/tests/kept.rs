//! Every reason why a request is not answered, kept in `snapshots` to be read in one go.

use std::collections::BTreeSet;
use std::io::{Error, ErrorKind};
use std::path::PathBuf;

use app::ask::AskError;
use app::bolting_answers::BoltingError;
use app::load::{FileKind, FileLoadError, WantedFile};
use app::paper::{LabelPaper, SheetError, SheetKind};
use app::workshop::{ArchiveError, WorkshopError};
use app::write::FileWriteError;
use record::{ContentDigest, Refusal, RefusalKind};

/// A page of reasons, each with its name.
struct ReasonPage {
    lines: Vec<String>,
    names: BTreeSet<&'static str>,
}

impl ReasonPage {
    fn new() -> Self {
        Self { lines: Vec::new(), names: BTreeSet::new() }
    }

    fn add(&mut self, name: &'static str, words: &impl ToString) {
        self.names.insert(name);
        self.lines.push(format!("{name}: {}", words.to_string()));
    }

    /// Compares with what is kept, after all `kinds` of reasons were shown.
    #[track_caller]
    fn keep(self, page: &str, kinds: usize) {
        assert_eq!(self.names.len(), kinds, "{:?}", self.names);
        insta::assert_snapshot!(page, self.lines.join("\n"));
    }
}

fn path() -> PathBuf {
    PathBuf::from("books/tern-24")
}

fn no_file() -> FileLoadError {
    FileLoadError::Io { path: path(), error: Error::from(ErrorKind::NotFound) }
}

fn wrong_kind(wanted: WantedFile, found: FileKind) -> FileLoadError {
    let inside = if found == FileKind::Folder {
        vec![PathBuf::from("books/a"), PathBuf::from("books/b")]
    } else {
        Vec::new()
    };
    FileLoadError::WrongKind { path: path(), wanted, found, inside }
}

fn disk_full() -> FileWriteError {
    FileWriteError { path: PathBuf::from("out/plan.html"), cause: Error::from(ErrorKind::StorageFull) }
}

#[test]
fn files_that_cannot_be_read_or_written() {
    let mut page = ReasonPage::new();
    let all = [
        no_file(),
        FileLoadError::Io { path: path(), error: Error::from(ErrorKind::PermissionDenied) },
        FileLoadError::Empty { path: path(), wanted: ".toml" },
        FileLoadError::Faulty { what: "book", path: path(), report: "(faults)\n".into(), errors: 1 },
        FileLoadError::Faulty { what: "store", path: path(), report: "(faults)\n".into(), errors: 3 },
        FileLoadError::Missing { path: path(), wanted: WantedFile::Book, near: Vec::new() },
        FileLoadError::Missing { path: path(), wanted: WantedFile::Folder, near: Vec::new() },
        FileLoadError::Missing { path: path(), wanted: WantedFile::Plan, near: vec!["out/plan.json".into()] },
        wrong_kind(WantedFile::Book, FileKind::Store),
        wrong_kind(WantedFile::Store, FileKind::Book),
        wrong_kind(WantedFile::Store, FileKind::Journal),
        wrong_kind(WantedFile::Book, FileKind::CarriedBook),
        wrong_kind(WantedFile::Plan, FileKind::JsonAnswer),
        wrong_kind(WantedFile::Journal, FileKind::Plan),
        wrong_kind(WantedFile::VisitFile, FileKind::PlainText),
        wrong_kind(WantedFile::Backup, FileKind::EmptyFile),
        wrong_kind(WantedFile::CarriedBook, FileKind::NoText),
        wrong_kind(WantedFile::Spreadsheet, FileKind::Pdf),
        wrong_kind(WantedFile::Spreadsheet, FileKind::Picture),
        wrong_kind(WantedFile::Plan, FileKind::Page),
        wrong_kind(WantedFile::Plan, FileKind::Folder),
        FileLoadError::Plan { path: path(), error: "expected value at line 1 column 1".into() },
    ];
    for error in &all {
        let name = match error {
            FileLoadError::Io { .. } => "Io",
            FileLoadError::Empty { .. } => "Empty",
            FileLoadError::Faulty { .. } => "Faulty",
            FileLoadError::Missing { .. } => "Missing",
            FileLoadError::WrongKind { .. } => "WrongKind",
            FileLoadError::Plan { .. } => "Plan",
        };
        page.add(name, error);
    }
    page.add("Write", &disk_full());
    page.keep("files", 7);
}

#[test]
fn questions_without_an_answer() {
    let mut page = ReasonPage::new();
    let unknown = |nearest: Option<&str>| AskError::UnknownTask {
        task: "renew-thermostad".into(),
        nearest: nearest.map(Into::into),
        known: vec!["renew-thermostat".into(), "reseal-sump".into()],
    };
    let all = [
        AskError::Load(no_file()),
        AskError::Write(disk_full()),
        unknown(Some("renew-thermostat")),
        unknown(None),
        AskError::Argument { words: "(words of the command)".into() },
        AskError::Plan(plan::PlanError::NoTask),
    ];
    for error in &all {
        let name = match error {
            AskError::Load(_) => "Load",
            AskError::Write(_) => "Write",
            AskError::UnknownTask { .. } => "UnknownTask",
            AskError::Argument { .. } => "Argument",
            AskError::Plan(_) => "Plan",
        };
        page.add(name, error);
    }
    page.keep("questions", 5);
}

#[test]
fn bolting_questions_without_an_answer() {
    let mut page = ReasonPage::new();
    let field = BoltingError::Field { field: "torque", words: "(words of the field)".into() };
    for error in [field, BoltingError::Load(no_file()), BoltingError::Write(disk_full())] {
        let name = match error {
            BoltingError::Field { .. } => "Field",
            BoltingError::Load(_) => "Load",
            BoltingError::Write(_) => "Write",
        };
        page.add(name, &error);
    }
    page.keep("bolting", 3);
}

#[test]
fn sheets_that_are_not_printed() {
    let mut page = ReasonPage::new();
    let mut all = vec![
        SheetError::Nothing { kind: SheetKind::HoleCards, words: "(why)" },
        SheetError::OtherPaper(LabelPaper::Plain),
        SheetError::Skip { skip: 12, places: 12 },
    ];
    let of_visits = SheetKind::ALL.into_iter().filter(|kind| kind.needs_visit());
    all.extend(of_visits.map(SheetError::NeedsVisit));
    for error in &all {
        let name = match error {
            SheetError::NeedsVisit(_) => "NeedsVisit",
            SheetError::Nothing { .. } => "Nothing",
            SheetError::OtherPaper(_) => "OtherPaper",
            SheetError::Skip { .. } => "Skip",
        };
        page.add(name, error);
    }
    page.lines.push(String::new());
    page.lines.extend(SheetKind::ALL.map(|k| format!("{}: {}. {}", k.name(), k.title(), k.about())));
    page.keep("sheets", 4);
}

#[test]
fn what_the_workshop_cannot_do() {
    let mut page = ReasonPage::new();
    let digest = ContentDigest::new(&"a".repeat(64)).expect("64 hexadecimal digits");
    let all = [
        WorkshopError::Store(ArchiveError::NoFile(path())),
        WorkshopError::Ask(AskError::Load(no_file())),
        WorkshopError::Refused(Refusal::new(RefusalKind::StillIn, "(what)", "(what closes it)")),
        WorkshopError::NoVisit("V1".into()),
        WorkshopError::NoVehicle("W1".into()),
        WorkshopError::NotListed { what: "visit", typed: "V1".into(), near: vec!["V2".into()] },
        WorkshopError::NotListed { what: "visit", typed: "V1".into(), near: vec!["V8".into(), "V9".into()] },
        WorkshopError::NotListed { what: "visit", typed: "V1".into(), near: Vec::new() },
        WorkshopError::NotListed { what: "vehicle", typed: "W1".into(), near: Vec::new() },
        WorkshopError::SharedLetter { letter: "A".into(), visits: vec!["V1".into(), "V2".into()] },
        WorkshopError::TakenLetter { letter: "A".into(), of: "(a vehicle)".into(), free: Some("B".into()) },
        WorkshopError::TakenLetter { letter: "A".into(), of: "(a vehicle)".into(), free: None },
        WorkshopError::Missing("(what is missing)".into()),
        WorkshopError::Picture("(why it is no picture)".into()),
        WorkshopError::Rest("(why there is no plan)".into()),
        WorkshopError::Document { name: digest, reason: "(why)".into() },
    ];
    for error in &all {
        let name = match error {
            WorkshopError::Store(_) => "Store",
            WorkshopError::Ask(_) => "Ask",
            WorkshopError::Refused(_) => "Refused",
            WorkshopError::NoVisit(_) => "NoVisit",
            WorkshopError::NoVehicle(_) => "NoVehicle",
            WorkshopError::NotListed { .. } => "NotListed",
            WorkshopError::SharedLetter { .. } => "SharedLetter",
            WorkshopError::TakenLetter { .. } => "TakenLetter",
            WorkshopError::Missing(_) => "Missing",
            WorkshopError::Picture(_) => "Picture",
            WorkshopError::Rest(_) => "Rest",
            WorkshopError::Document { .. } => "Document",
        };
        page.add(name, error);
    }
    page.keep("workshop", 12);
}
