//! The file: refuses change, shows damage, is backed up, restored, repaired, carried.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use std::path::Path;

use archive::{
    ArchiveError, ArchivedDocument, EventArchive, SqliteArchive, back_up_archive, check_archive,
    check_newest_events, export_visit, import_visit, recover_archive, restore_backup,
};
use common::{note, visit};
use record::StreamKind;
use rusqlite::Connection;

fn filled(path: &Path) -> SqliteArchive {
    let mut archive = SqliteArchive::open(path).unwrap();
    let events: Vec<_> = (1..=20).map(|n| note(&visit("A1"), "tablet", n)).collect();
    archive.append_events(&events).unwrap();
    archive.append_events(&[note(&visit("B1"), "phone", 1)]).unwrap();
    archive.put_document(&ArchivedDocument { media: "text/plain".into(), bytes: vec![1; 5_000] }).unwrap();
    archive
}

/// Changes the file behind the program's back, triggers switched off.
fn tamper(path: &Path, sql: &str) {
    let connection = Connection::open(path).unwrap();
    connection
        .execute_batch("DROP TRIGGER event_is_never_changed; DROP TRIGGER event_is_never_removed;")
        .unwrap();
    connection.execute_batch(sql).unwrap();
}

#[test]
fn rows_can_be_neither_changed_nor_removed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.db");
    drop(filled(&path));
    let connection = Connection::open(&path).unwrap();
    for sql in [
        "UPDATE event SET text = '{}'",
        "DELETE FROM event",
        "UPDATE document SET media = 'x'",
        "DELETE FROM document",
        "DELETE FROM aside",
    ] {
        let refused = connection.execute(sql, []);
        let empty = sql == "DELETE FROM aside";
        assert!(empty || refused.unwrap_err().to_string().contains("never"), "{sql}");
    }
    let wrong = connection.execute("INSERT INTO setting (key, value) VALUES ('a', x'00')", []);
    assert!(wrong.is_err(), "tables are strict");
    let broken = "INSERT INTO event (id, kind, stream, text, previous, hash)
        VALUES ('x', 'visit', 'A1', '{', zeroblob(32), zeroblob(32))";
    assert!(connection.execute(broken, []).is_err(), "an event is JSON");
    assert!(check_archive(&SqliteArchive::open(&path).unwrap()).unwrap().is_well());
}

#[test]
fn every_change_behind_our_back_shows() {
    for sql in [
        "UPDATE event SET text = replace(text, '\"at_ms\":1', '\"at_ms\":2') WHERE position = 5",
        "UPDATE event SET text = replace(text, 'note 5', 'note 6') WHERE position = 5",
        "UPDATE event SET id = 'other' WHERE position = 5",
        "DELETE FROM event WHERE position = 5",
        "UPDATE event SET hash = zeroblob(32) WHERE position = 5",
    ] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("journal.db");
        drop(filled(&path));
        tamper(&path, sql);
        let health = check_archive(&SqliteArchive::open(&path).unwrap()).unwrap();
        assert_eq!(health.faults.len(), 1, "{sql}: {:?}", health.faults);
        assert!(health.faults[0].contains("A1"), "{:?}", health.faults);

        let saved = folder.path().join("saved.db");
        let found = recover_archive(&path, &saved).unwrap();
        assert_eq!(found.faults, health.faults);
        let new = SqliteArchive::open(&saved).unwrap();
        assert!(check_archive(&new).unwrap().is_well());
        let events: Vec<u64> =
            new.list_streams(StreamKind::Visit).unwrap().iter().map(|line| line.events).collect();
        // A flipped name or hash of its own is made good by the text and by the neighbour.
        let may_be_lost = sql.starts_with("DELETE") || sql.contains("replace");
        assert!(
            events == [20, 1] || may_be_lost && events == [19, 1],
            "all but the changed one: {sql}: {events:?}"
        );
        assert_eq!(found.holes.is_empty(), events[0] == 20, "{sql}: {:?}", found.holes);
        assert_eq!(found.asides > 0, events[0] == 19 && sql.contains("replace"), "its text is kept aside");
        assert_eq!(found.documents, 1);
        assert!(path.exists(), "the damaged file is left alone");
    }
}

#[test]
fn a_torn_tail_shows_in_the_newest_events_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.db");
    let whole = filled(&path);
    for count in [1, 2, 5, 20, 21, 500] {
        let health = check_newest_events(&whole, count).unwrap();
        assert!(health.is_well(), "{:?}", health.faults);
        assert_eq!(health.events, u64::from(count.min(21)), "no more is read than asked");
    }
    drop(whole);
    tamper(&path, "UPDATE event SET text = replace(text, 'note 19', 'note 18') WHERE position = 19");
    let archive = SqliteArchive::open(&path).unwrap();
    assert!(check_newest_events(&archive, 2).unwrap().is_well(), "further back than asked");
    let found = check_newest_events(&archive, 3).unwrap();
    assert_eq!(found.faults.len(), 1, "{:?}", found.faults);
    assert!(found.faults[0].contains("A1: event 19"), "{:?}", found.faults);
    assert_eq!(found.events, 2, "the one behind it is still what was written, and the other visit goes on");
}

#[test]
fn a_backup_taken_while_in_use_is_whole_and_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("journal.db"), folder.path().join("copy.db"));
    let mut archive = filled(&path);
    let mut heard = Vec::new();
    let copied = back_up_archive(&archive, &copy, &mut |share| heard.push(share)).unwrap();
    assert_eq!((copied.events, copied.documents), (21, 1));
    assert_eq!(heard.last(), Some(&1.0));
    assert!(matches!(back_up_archive(&archive, &copy, &mut |_| ()), Err(ArchiveError::Exists(_))));

    archive.append_events(&[note(&visit("A1"), "tablet", 99)]).unwrap();
    drop(archive);
    let aside = folder.path().join("before.db");
    let back = restore_backup(&copy, &path, &aside, &mut |_| ()).unwrap();
    assert_eq!(back.moved_aside.as_deref(), Some(aside.as_path()));
    assert_eq!(SqliteArchive::open(&path).unwrap().list_streams(StreamKind::Visit).unwrap()[0].events, 20);
    assert_eq!(
        SqliteArchive::open(&aside).unwrap().list_streams(StreamKind::Visit).unwrap()[0].events,
        21,
        "nothing is thrown away"
    );
}

#[test]
fn a_visit_travels_as_one_file() {
    let folder = tempfile::tempdir().unwrap();
    let archive = filled(&folder.path().join("journal.db"));
    let file = folder.path().join("a1.visit");
    export_visit(&archive, &visit("A1"), &file).unwrap();
    assert!(matches!(
        export_visit(&archive, &visit("C1"), &folder.path().join("c")),
        Err(ArchiveError::NoStream(_))
    ));

    let mut other = SqliteArchive::open(&folder.path().join("other.db")).unwrap();
    other.append_events(&[note(&visit("A1"), "tablet", 1), note(&visit("A1"), "phone", 7)]).unwrap();
    let carried = import_visit(&mut other, &file).unwrap();
    assert_eq!((carried.new, carried.known), (19, 1), "what is there already is left");
    assert_eq!(import_visit(&mut other, &file).unwrap().new, 0, "twice is once");
    assert_eq!(other.list_streams(StreamKind::Visit).unwrap()[0].events, 21);
    assert!(check_archive(&other).unwrap().is_well());
}

#[test]
fn a_changed_document_is_never_handed_out_and_a_damaged_file_brings_nothing_in() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.db");
    let mut archive = filled(&path);
    let name =
        archive.put_document(&ArchivedDocument { media: "text/plain".into(), bytes: b"24 N.m".to_vec() });
    let name = name.unwrap();
    drop(archive);
    let connection = Connection::open(&path).unwrap();
    connection.execute_batch("DROP TRIGGER document_is_never_changed;").unwrap();
    let sql = "UPDATE document SET bytes = CAST('64 N.m' AS BLOB) WHERE name = ?1";
    assert_eq!(connection.execute(sql, [name.as_str()]).unwrap(), 1);
    drop(connection);
    let archive = SqliteArchive::open(&path).unwrap();
    assert!(matches!(archive.find_document(&name), Err(ArchiveError::ChangedDocument(_))));
    let mut other = SqliteArchive::open(&folder.path().join("other.db")).unwrap();
    assert!(matches!(import_visit(&mut other, &path), Err(ArchiveError::Damaged(_))));
    assert!(other.list_streams(StreamKind::Visit).unwrap().is_empty(), "all or nothing");
}

#[test]
fn a_file_from_before_streams_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.db");
    drop(filled(&path));
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 1).unwrap();
    assert!(matches!(SqliteArchive::open(&path), Err(ArchiveError::Older { found: 1 })));
}

#[test]
fn foreign_and_newer_files_are_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let text = folder.path().join("letter.txt");
    std::fs::write(&text, "Dear workshop, this is no journal at all. ".repeat(40)).unwrap();
    assert!(matches!(SqliteArchive::open(&text), Err(ArchiveError::NotOurs(_))));
    let foreign = folder.path().join("foreign.db");
    Connection::open(&foreign).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    assert!(matches!(SqliteArchive::open(&foreign), Err(ArchiveError::NotOurs(_))));
    let newer = folder.path().join("newer.db");
    drop(filled(&newer));
    Connection::open(&newer).unwrap().pragma_update(None, "user_version", 999).unwrap();
    let error = SqliteArchive::open(&newer).unwrap_err();
    assert!(matches!(error, ArchiveError::Newer { found: 999 }));
    assert!(error.to_string().contains("newer version of the program"));
}
