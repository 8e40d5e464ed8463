//! What a file is, as far as its first bytes tell, and what was wanted in its place.

use core::fmt;
use std::fs::{self, File};
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// What a file, or a folder that is read as one, turns out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// An engine book.
    Book,
    /// A tool store.
    Store,
    /// A plan, as `plan --json` prints it.
    Plan,
    /// A book on its way from one workshop to another.
    CarriedBook,
    /// Another answer of this program as JSON.
    JsonAnswer,
    /// A journal, a backup of one, or a visit that was exported: one format.
    Journal,
    /// A spreadsheet as .csv.
    Spreadsheet,
    /// A spreadsheet with the readings of a power driver.
    Readings,
    /// A PDF.
    Pdf,
    /// A picture.
    Picture,
    /// A web page or a drawing.
    Page,
    /// Text without a sign of any of these.
    PlainText,
    /// No text at all.
    NoText,
    /// A file of no bytes.
    EmptyFile,
    /// A folder that is none of these as a whole.
    Folder,
}

/// What an option or an argument takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WantedFile {
    /// An engine book: a file or a folder.
    Book,
    /// A tool store: a file or a folder.
    Store,
    /// A plan.
    Plan,
    /// A journal.
    Journal,
    /// A visit that was exported.
    VisitFile,
    /// A backup of a journal.
    Backup,
    /// A book that another workshop passed on.
    CarriedBook,
    /// A spreadsheet of readings or holes.
    Spreadsheet,
    /// A folder.
    Folder,
}

/// Bytes at the beginning of a file that tell what it is; a long remark may stand before the first key.
const MAX_HEAD_BYTES: u64 = 16 * 1024;

/// As far as the format of a JSON text is looked for.
const MAX_JSON_BYTES: u64 = 8 * 1024 * 1024;

/// Tables that only a book has, or only a store.
const TABLES: &[(&str, FileKind)] = &[
    ("[[part]]", FileKind::Book),
    ("[[station]]", FileKind::Book),
    ("[[task]]", FileKind::Book),
    ("[[part.fixing]]", FileKind::Book),
    ("[[fixing]]", FileKind::Book),
    ("[[piece]]", FileKind::Store),
    ("[[set]]", FileKind::Store),
    ("[[tray]]", FileKind::Store),
];

/// Formats that the program writes or reads, by the beginning of their names.
const FORMATS: &[(&str, FileKind)] = &[
    ("traywright-book/", FileKind::Book),
    ("traywright-store/", FileKind::Store),
    ("traywright-plan/", FileKind::Plan),
    ("traywright-carried-book/", FileKind::CarriedBook),
    ("traywright-", FileKind::JsonAnswer),
];

/// First bytes of what is no text of ours.
const SIGNATURES: &[(&[u8], FileKind)] = &[
    (b"SQLite format 3\0", FileKind::Journal),
    (b"%PDF", FileKind::Pdf),
    (b"\x89PNG", FileKind::Picture),
    (b"\xff\xd8\xff", FileKind::Picture),
];

impl FileKind {
    /// Reads the head of a file, or looks into a folder; nothing where there is none or it cannot be read.
    #[must_use]
    pub fn of_path(path: &Path) -> Option<Self> {
        if path.is_dir() {
            return Some(Self::of_folder(path));
        }
        let head = read_head(path, MAX_HEAD_BYTES)?;
        let is_table = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv"));
        match Self::of_head(&head) {
            Self::PlainText if is_table && has_reading_columns(&head) => Some(Self::Readings),
            Self::PlainText if is_table => Some(Self::Spreadsheet),
            // The keys of another program's copy stand in another order, with the format far down.
            Self::PlainText if head.starts_with(b"{") => {
                Some(Self::of_head(&read_head(path, MAX_JSON_BYTES)?))
            }
            kind => Some(kind),
        }
    }

    /// A folder is read as a book or a store where its own .toml files are of one kind; where several of them, or of those one
    /// level down, begin a book or a store, it is a shelf.
    fn of_folder(folder: &Path) -> Self {
        let own = toml_files(folder);
        let entries = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
        let below = entries.filter(|path| path.is_dir()).flat_map(|path| toml_files(&path));
        if below.chain(own.iter().cloned()).filter_map(|path| named_kind(&path)).nth(1).is_some() {
            return Self::Folder;
        }
        let kinds: Vec<Self> = own.iter().filter_map(|path| Self::of_path(path)).collect();
        match (kinds.contains(&Self::Book), kinds.contains(&Self::Store)) {
            (true, false) => Self::Book,
            (false, true) => Self::Store,
            (true, true) | (false, false) => Self::Folder,
        }
    }

    /// What the first bytes of a file tell.
    #[must_use]
    pub fn of_head(head: &[u8]) -> Self {
        if head.is_empty() {
            return Self::EmptyFile;
        }
        if let Some((_, kind)) = SIGNATURES.iter().find(|(signature, _)| head.starts_with(signature)) {
            return *kind;
        }
        if head.contains(&0) {
            return Self::NoText;
        }
        Self::of_text(&String::from_utf8_lossy(head))
    }

    fn of_text(text: &str) -> Self {
        let text = text.trim_start_matches('\u{feff}').trim_start();
        if text.starts_with('<') {
            return Self::Page;
        }
        let named = if text.starts_with('{') { json_format(text) } else { toml_format(text) };
        let by_format = FORMATS.iter().find(|(start, _)| named.is_some_and(|name| name.starts_with(start)));
        let has_table = |table: &str| text.lines().any(|line| line.trim_start().starts_with(table));
        let by_table = || TABLES.iter().find(|(table, _)| has_table(table));
        by_format.or_else(by_table).map_or(Self::PlainText, |(_, kind)| *kind)
    }

    /// What it is, with its article.
    #[must_use]
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Book => "a book",
            Self::Store => "a tool store",
            Self::Plan => "a plan",
            Self::CarriedBook => "a book that another workshop passed on",
            Self::JsonAnswer => "an answer that the program printed as JSON",
            Self::Journal => "a journal, a backup or an exported visit",
            Self::Spreadsheet => "a spreadsheet",
            Self::Readings => "a list of readings",
            Self::Pdf => "a PDF",
            Self::Picture => "a picture",
            Self::Page => "a web page or a drawing",
            Self::PlainText => "plain text",
            Self::NoText => "not text",
            Self::EmptyFile => "empty",
            Self::Folder => "a folder",
        }
    }

    /// Where a file of this kind belongs instead.
    const fn right_place(self) -> Option<&'static str> {
        match self {
            Self::Book => Some("give it with --book"),
            Self::Store => Some("give it with --store"),
            Self::Plan => Some("give it with --plan"),
            Self::Readings => Some("give it with --readings"),
            Self::CarriedBook => Some("`traywright book take` takes it into a book of yours"),
            Self::Journal => {
                Some("give a journal with --journal; `traywright visit import` takes in an exported visit")
            }
            Self::JsonAnswer
            | Self::Spreadsheet
            | Self::Pdf
            | Self::Picture
            | Self::Page
            | Self::PlainText
            | Self::NoText
            | Self::EmptyFile
            | Self::Folder => None,
        }
    }
}

/// The .toml files of a folder.
fn toml_files(folder: &Path) -> Vec<PathBuf> {
    let files = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let is_toml = |path: &Path| path.extension().is_some_and(|end| end.eq_ignore_ascii_case("toml"));
    files.filter(|path| is_toml(path) && path.is_file()).collect()
}

/// Whether the first line of a spreadsheet that is no remark names a driver and a torque.
fn has_reading_columns(head: &[u8]) -> bool {
    let text = String::from_utf8_lossy(head);
    let first = text.lines().map(str::trim).find(|line| !line.is_empty() && !line.starts_with('#'));
    let has_column =
        |name: &str| first.is_some_and(|line| line.split([',', ';']).any(|cell| cell.trim() == name));
    has_column("driver") && has_column("torque")
}

/// The first bytes of a file. A pipe, a terminal or a device is not opened: reading it would wait for whoever writes there.
fn read_head(path: &Path, most_bytes: u64) -> Option<Vec<u8>> {
    if !path.is_file() {
        return None;
    }
    let mut head = Vec::new();
    File::open(path).ok()?.take(most_bytes).read_to_end(&mut head).ok()?;
    Some(head)
}

/// Whether the head of a file names the format of a book, or of a store.
pub(super) fn named_kind(path: &Path) -> Option<FileKind> {
    let head = read_head(path, MAX_HEAD_BYTES)?;
    let text = String::from_utf8_lossy(&head);
    let named = toml_format(&text)?;
    FORMATS.iter().find(|(start, _)| named.starts_with(start)).map(|(_, kind)| *kind)
}

/// The format that a JSON text names; its keys may stand in any order.
fn json_format(text: &str) -> Option<&str> {
    const KEY: &str = "\"format\"";
    let values =
        text.match_indices(KEY).filter_map(|(at, _)| text[at + KEY.len()..].trim_start().strip_prefix(':'));
    values.filter_map(quoted_word).find(|word| word.starts_with("traywright-"))
}

/// The format that a TOML text names at its top.
fn toml_format(text: &str) -> Option<&str> {
    let top = text.lines().map(str::trim).take_while(|line| !line.starts_with('['));
    let after = top.filter_map(|line| line.strip_prefix("format")).map(str::trim_start);
    after.filter_map(|line| line.strip_prefix('=')).find_map(quoted_word)
}

/// The word between the first two quotes.
fn quoted_word(text: &str) -> Option<&str> {
    text.trim_start().strip_prefix('"')?.split_once('"').map(|(word, _)| word)
}

impl WantedFile {
    /// What it is, with its article.
    #[must_use]
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Book => "a book",
            Self::Store => "a tool store",
            Self::Plan => "a plan",
            Self::Journal => "a journal",
            Self::VisitFile => "an exported visit",
            Self::Backup => "a backup",
            Self::CarriedBook => "a book that another workshop passed on",
            Self::Spreadsheet => "a spreadsheet",
            Self::Folder => "a folder",
        }
    }

    /// How one comes about, where that is a command.
    const fn origin(self) -> Option<&'static str> {
        match self {
            Self::Plan => Some("`traywright plan --json` prints one"),
            Self::VisitFile => Some("`traywright visit export` writes one"),
            Self::Backup => Some("`traywright backup` writes one"),
            Self::CarriedBook => Some("`traywright visit book` writes one"),
            Self::Book => Some("`traywright book new` begins one"),
            Self::Journal => Some("`traywright visit new` begins one"),
            Self::Store | Self::Spreadsheet | Self::Folder => None,
        }
    }

    /// As [`Self::origin`], with what joins it to what stands before.
    pub(super) fn origin_words(self) -> String {
        self.origin().map_or_else(String::new, |words| format!("; {words}"))
    }

    /// Whether a file of that kind is what is wanted.
    #[must_use]
    pub const fn is_met_by(self, found: FileKind) -> bool {
        match self {
            Self::Book => matches!(found, FileKind::Book),
            Self::Store => matches!(found, FileKind::Store),
            Self::Plan => matches!(found, FileKind::Plan),
            Self::Journal | Self::VisitFile | Self::Backup => matches!(found, FileKind::Journal),
            Self::CarriedBook => matches!(found, FileKind::CarriedBook),
            Self::Spreadsheet => matches!(found, FileKind::Spreadsheet | FileKind::Readings),
            Self::Folder => matches!(found, FileKind::Folder),
        }
    }

    /// Whether a file of that kind can only be a mistake; what may be meant, with faults, is read and its faults told.
    #[must_use]
    pub const fn is_mistaken_for(self, found: FileKind) -> bool {
        match found {
            FileKind::Folder => !matches!(self, Self::Book | Self::Store | Self::Folder),
            FileKind::Spreadsheet => !matches!(self, Self::Book | Self::Store | Self::Spreadsheet),
            FileKind::PlainText => matches!(self, Self::Journal | Self::VisitFile | Self::Backup),
            FileKind::EmptyFile => !matches!(self, Self::Journal),
            _ => !self.is_met_by(found),
        }
    }
}

/// Says that a file is of another kind, and where it belongs or how the one that is wanted comes about.
pub(super) fn write_wrong_kind(
    f: &mut fmt::Formatter<'_>,
    path: &Path,
    wanted: WantedFile,
    found: FileKind,
) -> fmt::Result {
    let path = path.display();
    match found {
        FileKind::EmptyFile | FileKind::NoText => {
            write!(f, "{path} is {} and so not {}", found.noun(), wanted.noun())?
        }
        _ => write!(f, "{path} is {}, not {}", found.noun(), wanted.noun())?,
    }
    match found.right_place().or(wanted.origin()) {
        Some(words) if found != FileKind::Folder => write!(f, ": {words}"),
        Some(_) | None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::{FileKind, WantedFile};

    #[test]
    fn a_file_is_known_by_its_first_words() {
        let cases: &[(&[u8], FileKind)] = &[
            (b"# mine\nformat = \"traywright-book/2\"\ntitle = \"x\"\n", FileKind::Book),
            (b"format=\"traywright-store/1\"\n", FileKind::Store),
            (b"[[part]]\nkey = \"a\"\n", FileKind::Book),
            (b"title = \"x\"\n[[piece]]\n", FileKind::Store),
            (b"{\n  \"format\": \"traywright-plan/2\",", FileKind::Plan),
            (b"{\"format\":\"traywright-carried-book/1\"", FileKind::CarriedBook),
            (b"{\"format\": \"traywright-kit/1\"}", FileKind::JsonAnswer),
            (b"{\"other\": 1}", FileKind::PlainText),
            (b"{\"a\": {\"format\": \"x\"}, \"format\": \"traywright-plan/2\"}", FileKind::Plan),
            (b"SQLite format 3\0\x10\0", FileKind::Journal),
            (b"%PDF-1.7", FileKind::Pdf),
            (b"\xff\xd8\xff\xe0", FileKind::Picture),
            (b"<!DOCTYPE html>", FileKind::Page),
            (b"dear all\n", FileKind::PlainText),
            (b"\x9f\x00\x01", FileKind::NoText),
            (b"[[part]]\ntitle = \"k\xfcrzer", FileKind::Book),
            (b"", FileKind::EmptyFile),
        ];
        for (head, kind) in cases {
            assert_eq!(FileKind::of_head(head), *kind, "{}", String::from_utf8_lossy(head));
        }
    }

    #[test]
    fn what_may_be_meant_is_read_and_its_faults_are_told() {
        assert!(WantedFile::Book.is_mistaken_for(FileKind::Store));
        assert!(!WantedFile::Book.is_mistaken_for(FileKind::PlainText), "a book without a table yet");
        assert!(!WantedFile::Book.is_mistaken_for(FileKind::Spreadsheet), "a book may be a spreadsheet");
        assert!(WantedFile::Plan.is_mistaken_for(FileKind::Folder));
        assert!(!WantedFile::Journal.is_mistaken_for(FileKind::Journal));
    }
}
