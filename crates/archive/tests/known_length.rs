//! The length of the journal is known beside it: what is cut off, replaced or lost is told; one program writes at a time.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use std::path::{Path, PathBuf};

use archive::{
    ArchiveError, EventArchive, JournalHolder, JournalLock, SavedState, SqliteArchive, back_up_archive,
    find_backed_up_place, note_backup, restore_backup,
};
use common::{note, visit};
use record::StreamRef;
use rusqlite::Connection;

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    PathBuf::from(format!("{}{ending}", path.display()))
}

fn write_notes(archive: &mut SqliteArchive, numbers: core::ops::RangeInclusive<u64>) {
    for number in numbers {
        archive.append_events(&[note(&visit("A1"), "tablet", number)]).unwrap();
    }
}

#[test]
fn an_older_copy_in_the_place_of_the_journal_is_told_stream_by_stream() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("journal.db"), folder.path().join("copy.db"));
    let mut archive = SqliteArchive::open(&path).unwrap();
    write_notes(&mut archive, 1..=4);
    back_up_archive(&archive, &copy, &mut |_| ()).unwrap();
    write_notes(&mut archive, 5..=9);
    assert!(archive.find_shortfalls().unwrap().is_empty(), "all is there");
    drop(archive);
    for ending in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(with_ending(&path, ending));
    }
    std::fs::copy(&copy, &path).unwrap();
    let mut archive = SqliteArchive::open(&path).unwrap();
    let lost = archive.find_shortfalls().unwrap();
    assert_eq!(lost.len(), 1);
    assert_eq!((lost[0].had, lost[0].has), (9, 4));
    assert!(lost[0].to_string().contains("5 missing"), "{}", lost[0]);
    // Written on, it is longer than before and still not what it was.
    for number in 20..=30 {
        archive.append_events(&[note(&visit("A1"), "phone", number)]).unwrap();
    }
    drop(archive);
    let mut tampered = std::fs::read_to_string(with_ending(&path, ".tail")).unwrap();
    tampered = tampered.replace(" 9 ", " 99 ");
    tampered.push_str("visit A1 77 torn");
    std::fs::write(with_ending(&path, ".tail"), tampered).unwrap();
    let mut archive = SqliteArchive::open(&path).unwrap();
    assert!(archive.find_shortfalls().unwrap().is_empty(), "lines that are torn or changed say nothing");
    archive.renew_tail(true).unwrap();
    assert_eq!(std::fs::read_to_string(with_ending(&path, ".tail")).unwrap().lines().count(), 1);
}

#[test]
fn another_history_of_the_same_length_is_not_taken_for_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let (a, b) = (folder.path().join("a.db"), folder.path().join("b.db"));
    let (mut one, mut other) = (SqliteArchive::open(&a).unwrap(), SqliteArchive::open(&b).unwrap());
    write_notes(&mut one, 1..=3);
    write_notes(&mut other, 2..=4);
    let stream = StreamRef::from(visit("A1"));
    let tip = one.find_stream_tip(&stream).unwrap().unwrap();
    assert_eq!((tip.count, tip.place), (3, 3));
    assert!(one.holds_tip(&stream, &tip).unwrap() && !other.holds_tip(&stream, &tip).unwrap());
    drop((one, other));
    std::fs::copy(with_ending(&a, ".tail"), with_ending(&b, ".tail")).unwrap();
    let lost = SqliteArchive::open(&b).unwrap().find_shortfalls().unwrap();
    assert!(lost[0].to_string().contains("not all the same"), "{}", lost[0]);
}

#[test]
fn a_journal_moved_removed_or_replaced_acknowledges_nothing_more() {
    for (how, told) in [
        ("move", "moved or removed"),
        ("remove", "moved or removed"),
        ("replace", "replaced by another file"),
        ("log", "write-ahead log"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (path, elsewhere) = (folder.path().join("journal.db"), folder.path().join("elsewhere.db"));
        let mut archive = SqliteArchive::open(&path).unwrap();
        write_notes(&mut archive, 1..=3);
        match how {
            "move" => std::fs::rename(&path, &elsewhere).unwrap(),
            "remove" => std::fs::remove_file(&path).unwrap(),
            "log" => std::fs::remove_file(with_ending(&path, "-wal")).unwrap(),
            _ => {
                drop(SqliteArchive::open(&elsewhere).unwrap());
                std::fs::rename(&elsewhere, &path).unwrap();
            }
        }
        let error = archive.append_events(&[note(&visit("A1"), "tablet", 4)]).unwrap_err();
        assert!(
            matches!(error, ArchiveError::Gone { .. }) && error.to_string().contains(told),
            "{how}: {error}"
        );
        assert!(matches!(archive.put_setting("a", "b"), Err(ArchiveError::Gone { .. })), "{how}");
        if how == "move" {
            std::fs::rename(&elsewhere, &path).unwrap();
            archive.append_events(&[note(&visit("A1"), "tablet", 4)]).unwrap();
        }
    }
}

#[test]
fn one_program_holds_a_journal_and_the_next_is_told_who() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.db");
    let mut serving = JournalHolder::of_command("serve");
    serving.door = Some("127.0.0.1:1 secret".into());
    let lock = JournalLock::take(&path, &serving).unwrap();
    let error = JournalLock::take(&path, &JournalHolder::of_command("restore")).unwrap_err();
    let words = error.to_string();
    assert!(matches!(&error, ArchiveError::InUse { by, .. } if *by == serving), "{words}");
    assert!(
        words.contains("`traywright serve`") && words.contains(&std::process::id().to_string()),
        "{words}"
    );
    #[cfg(unix)]
    {
        let link = folder.path().join("link.db");
        drop(SqliteArchive::open(&path).unwrap());
        std::os::unix::fs::symlink(&path, &link).unwrap();
        assert!(JournalLock::take(&link, &serving).is_err(), "by whatever name");
    }
    drop(lock);
    JournalLock::take(&path, &JournalHolder::of_command("restore")).unwrap();
}

#[test]
fn a_saved_state_that_is_changed_or_that_the_archive_does_not_hold_is_thrown_away() {
    let folder = tempfile::tempdir().unwrap();
    let (path, copy) = (folder.path().join("journal.db"), folder.path().join("copy.db"));
    let stream = StreamRef::from(visit("A1"));
    let mut archive = SqliteArchive::open(&path).unwrap();
    write_notes(&mut archive, 1..=3);
    let state = SavedState { position: 3, bytes: br#"{"slot":"A-T1-27"}"#.to_vec() };
    archive.put_saved_state(&stream, 1, &state).unwrap();
    assert_eq!(archive.find_saved_state(&stream, 1).unwrap().as_ref(), Some(&state));
    archive.put_saved_state(&stream, 1, &SavedState { position: 7, ..state.clone() }).unwrap();
    assert_eq!(
        archive.find_saved_state(&stream, 1).unwrap(),
        Some(state),
        "of events that are not there: not kept"
    );
    back_up_archive(&archive, &copy, &mut |_| ()).unwrap();
    drop(archive);
    for sql in [
        "UPDATE saved SET bytes = CAST(replace(CAST(bytes AS TEXT), 'A-T1', 'A-P1') AS BLOB)",
        "UPDATE saved SET position = 2",
        "UPDATE saved SET stream = 'B1'",
    ] {
        let one = folder.path().join("one.db");
        std::fs::copy(&copy, &one).unwrap();
        Connection::open(&one).unwrap().execute_batch(sql).unwrap();
        let archive = SqliteArchive::open(&one).unwrap();
        assert_eq!(archive.find_saved_state(&stream, 1).unwrap(), None, "{sql}");
        assert_eq!(archive.find_saved_state(&visit("B1").into(), 1).unwrap(), None, "{sql}");
    }
    // A state of a longer journal, put into one that was restored and written on.
    let mut other = SqliteArchive::open(&folder.path().join("other.db")).unwrap();
    write_notes(&mut other, 2..=9);
    drop(other);
    let sql = format!("ATTACH '{}' AS old; INSERT INTO saved SELECT * FROM old.saved;", copy.display());
    Connection::open(folder.path().join("other.db")).unwrap().execute_batch(&sql).unwrap();
    let other = SqliteArchive::open(&folder.path().join("other.db")).unwrap();
    assert_eq!(other.find_saved_state(&stream, 1).unwrap(), None, "the archive disagrees");
}

#[test]
fn a_restore_leaves_the_journal_alone_until_the_backup_is_checked_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let mut archive = SqliteArchive::open(&at("journal.db")).unwrap();
    write_notes(&mut archive, 1..=4);
    let copied = back_up_archive(&archive, &at("copy.db"), &mut |_| ()).unwrap();
    assert_eq!((copied.newest, find_backed_up_place(&archive).unwrap()), (4, 0));
    note_backup(&mut archive, &copied).unwrap();
    write_notes(&mut archive, 5..=6);
    assert_eq!(find_backed_up_place(&archive).unwrap(), 4, "what came since is in no backup");
    drop(archive);
    let before = std::fs::read(at("journal.db")).unwrap();
    let restore = |from: &Path, aside: &str| restore_backup(from, &at("journal.db"), &at(aside), &mut |_| ());
    assert!(matches!(restore(&at("journal.db"), "a"), Err(ArchiveError::Itself(_))));
    assert!(matches!(restore(&at("nothing.db"), "a"), Err(ArchiveError::NoFile(_))));
    std::fs::write(at("torn.db"), &before[..before.len() / 2]).unwrap();
    assert!(restore(&at("torn.db"), "a").is_err());
    std::fs::create_dir(at("folder")).unwrap();
    assert!(restore_backup(&at("copy.db"), &at("folder"), &at("a"), &mut |_| ()).is_err());
    assert_eq!(std::fs::read(at("journal.db")).unwrap(), before, "nothing was touched");
    restore(&at("copy.db"), "before.db").unwrap();
    assert!(SqliteArchive::open(&at("journal.db")).unwrap().find_shortfalls().unwrap().is_empty());
    let count = |name: &str| {
        let archive = SqliteArchive::open_to_read(&at(name)).unwrap();
        archive.find_stream_tip(&visit("A1").into()).unwrap().unwrap().count
    };
    assert_eq!((count("journal.db"), count("before.db")), (4, 6), "nothing is thrown away");
    let left: Vec<String> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.contains(".part"))
        .collect();
    assert!(left.is_empty(), "no part file is left: {left:?}");
}
