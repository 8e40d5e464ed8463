//! Every trouble of the archive and every finding of its check, kept in `snapshots` to be read in one go.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

use archive::{
    ArchiveError, ArchivedDocument, EventArchive, JournalHolder, SqliteArchive, check_archive, export_visit,
    recover_archive,
};
use common::{note, visit};
use record::NeedsAttention;
use rusqlite::Connection;

/// One of each trouble.
fn troubles() -> Vec<ArchiveError> {
    let path = || PathBuf::from("shop.journal");
    let refused = |code| ArchiveError::Refused {
        doing: "written",
        cause: rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(code), None),
    };
    vec![
        refused(rusqlite::ffi::SQLITE_FULL),
        refused(rusqlite::ffi::SQLITE_BUSY),
        refused(rusqlite::ffi::SQLITE_READONLY),
        refused(rusqlite::ffi::SQLITE_CORRUPT),
        refused(rusqlite::ffi::SQLITE_PERM),
        refused(rusqlite::ffi::SQLITE_CANTOPEN),
        refused(rusqlite::ffi::SQLITE_IOERR),
        refused(rusqlite::ffi::SQLITE_CONSTRAINT),
        ArchiveError::Unacceptable {
            event: "A1-tablet-3".into(),
            why: NeedsAttention::Broken("it is 70000 bytes long; at most 65536 are taken".into()),
        },
        ArchiveError::File { path: path(), cause: Error::from(ErrorKind::PermissionDenied) },
        ArchiveError::Lock {
            path: "shop.journal.lock".into(),
            cause: Error::from(ErrorKind::PermissionDenied),
        },
        ArchiveError::InUse {
            path: path(),
            by: JournalHolder { command: "serve".into(), process: 1234, door: None },
        },
        ArchiveError::Gone { path: path(), what: "was moved or removed" },
        ArchiveError::Itself(path()),
        ArchiveError::Newer { found: 99 },
        ArchiveError::NoFile(path()),
        ArchiveError::Older { found: 1 },
        ArchiveError::ChangedDocument("a".repeat(64)),
        ArchiveError::NotOurs(path()),
        ArchiveError::Exists(path()),
        ArchiveError::Unreadable { position: 7, reason: "it has been changed since it was written".into() },
        ArchiveError::NoStream("visit A1".into()),
        ArchiveError::Damaged("event 7 does not follow".into()),
    ]
}

/// The name of a trouble; a new one does not compile here until it is listed above.
const fn name_of(trouble: &ArchiveError) -> &'static str {
    match trouble {
        ArchiveError::Refused { .. } => "Refused",
        ArchiveError::Unacceptable { .. } => "Unacceptable",
        ArchiveError::File { .. } => "File",
        ArchiveError::Lock { .. } => "Lock",
        ArchiveError::InUse { .. } => "InUse",
        ArchiveError::Gone { .. } => "Gone",
        ArchiveError::Itself(_) => "Itself",
        ArchiveError::Newer { .. } => "Newer",
        ArchiveError::NoFile(_) => "NoFile",
        ArchiveError::Older { .. } => "Older",
        ArchiveError::ChangedDocument(_) => "ChangedDocument",
        ArchiveError::NotOurs(_) => "NotOurs",
        ArchiveError::Exists(_) => "Exists",
        ArchiveError::Unreadable { .. } => "Unreadable",
        ArchiveError::NoStream(_) => "NoStream",
        ArchiveError::Damaged(_) => "Damaged",
    }
}

/// How many kinds of trouble [`name_of`] knows.
const KINDS: usize = 16;

#[test]
fn every_trouble_of_the_archive() {
    let all = troubles();
    let names: std::collections::BTreeSet<&str> = all.iter().map(name_of).collect();
    assert_eq!(names.len(), KINDS, "{names:?}");
    let page: Vec<String> = all.iter().map(|t| format!("{}: {t}", name_of(t))).collect();
    insta::assert_snapshot!("troubles", page.join("\n"));
}

/// A file with events and a document, changed behind the program's back.
fn tampered(path: &Path, sql: &str) {
    let mut archive = SqliteArchive::open(path).unwrap();
    let events: Vec<_> = (1..=5).map(|n| note(&visit("A1"), "tablet", n)).collect();
    archive.append_events(&events).unwrap();
    archive
        .put_document(&ArchivedDocument { media: "text/plain".into(), bytes: b"24 N.m".to_vec() })
        .unwrap();
    drop(archive);
    let connection = Connection::open(path).unwrap();
    let triggers = "DROP TRIGGER event_is_never_changed; DROP TRIGGER event_is_never_removed;
        DROP TRIGGER document_is_never_changed;";
    connection.execute_batch(triggers).unwrap();
    connection.execute_batch(sql).unwrap();
}

/// Changes behind the program's back.
const CHANGES: &[&str] = &[
    "UPDATE event SET text = replace(text, 'note 3', 'note 9') WHERE position = 3",
    "UPDATE event SET id = 'other' WHERE position = 3",
    "DELETE FROM event WHERE position = 3",
    "UPDATE event SET hash = zeroblob(32) WHERE position = 3",
    "UPDATE event SET text = '{}' WHERE position = 3",
    "UPDATE event SET text = replace(text, 'noted', 'sang') WHERE position = 3",
    "UPDATE event SET stream = 'a/b' WHERE position = 3",
    "UPDATE document SET bytes = CAST('64 N.m' AS BLOB)",
];

#[test]
fn every_finding_of_the_check() {
    let mut page = Vec::new();
    for sql in CHANGES {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("journal.db");
        tampered(&path, sql);
        page.push(format!("$ {sql}"));
        match SqliteArchive::open(&path).and_then(|archive| check_archive(&archive)) {
            Ok(health) if health.is_well() => panic!("not found: {sql}"),
            Ok(health) => page.extend(health.faults.iter().map(|fault| format!("  {fault}"))),
            Err(error) => page.push(format!("  refused: {error}")),
        }
        let recovered = recover_archive(&path, &folder.path().join("saved.db"));
        match recovered {
            Ok(report) => page.extend(report.holes.iter().map(|hole| format!("  hole: {hole}"))),
            Err(error) => page.push(format!("  not saved: {error}")),
        }
    }
    insta::assert_snapshot!("findings_of_the_check", page.join("\n").replace("journal.db", "<file>"));
}

#[test]
fn what_is_no_journal_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let mut page = Vec::new();
    let mut refuse = |error: ArchiveError| {
        page.push(error.to_string().replace(&folder.path().display().to_string(), "<folder>"));
    };
    std::fs::write(at("letter.txt"), "Dear workshop, this is no journal at all. ".repeat(40)).unwrap();
    refuse(SqliteArchive::open(&at("letter.txt")).unwrap_err());
    Connection::open(at("foreign.db")).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    refuse(SqliteArchive::open(&at("foreign.db")).unwrap_err());
    for version in [1, 999] {
        let path = at(&format!("version-{version}.db"));
        drop(SqliteArchive::open(&path).unwrap());
        Connection::open(&path).unwrap().pragma_update(None, "user_version", version).unwrap();
        refuse(SqliteArchive::open(&path).unwrap_err());
    }
    refuse(SqliteArchive::open(&at("no/such/folder/a.db")).unwrap_err());
    let empty = SqliteArchive::in_memory().unwrap();
    refuse(export_visit(&empty, &visit("C1"), &at("c")).unwrap_err());
    refuse(recover_archive(&at("nowhere.db"), &at("saved.db")).unwrap_err());
    insta::assert_snapshot!("no_journal", page.join("\n"));
}
