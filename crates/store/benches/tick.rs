//! One acknowledged tick, to disk, beside a bare SQLite commit of the same bytes in the same folder; and with readers.
#![expect(clippy::unwrap_used, reason = "a benchmark stops at what it did not expect")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::sync::atomic::{AtomicBool, Ordering};

use common::{note, visit};
use rusqlite::{Connection, params};
use store::{Archive, Sqlite};

fn main() {
    divan::main();
}

/// A folder on the disk of the build, not in memory.
fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap()
}

#[divan::bench(sample_count = 500, sample_size = 1)]
fn ours(bencher: divan::Bencher) {
    let folder = folder();
    let mut archive = Sqlite::open(&folder.path().join("journal.db")).unwrap();
    let mut number = 0;
    bencher.bench_local(|| {
        number += 1;
        archive.append(&[note(&visit("A1"), "tablet", number)]).unwrap()
    });
}

#[divan::bench(sample_count = 500, sample_size = 1)]
fn bare_commit(bencher: divan::Bencher) {
    let folder = folder();
    let connection = Connection::open(folder.path().join("bare.db")).unwrap();
    connection.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(())).unwrap();
    connection.pragma_update(None, "synchronous", "full").unwrap();
    connection.execute_batch("CREATE TABLE row (n INTEGER PRIMARY KEY, bytes BLOB NOT NULL)").unwrap();
    let event = note(&visit("A1"), "tablet", 1);
    // As many bytes as a row of ours: ids, numbers, two hashes, the body.
    let bytes = vec![b'x'; serde_json::to_string(&event).unwrap().len() + 64];
    let mut insert = connection.prepare("INSERT INTO row (bytes) VALUES (?1)").unwrap();
    bencher.bench_local(|| insert.execute(params![bytes]).unwrap());
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn thousand_ticks_while_four_readers_poll(bencher: divan::Bencher) {
    bencher.bench_local(|| {
        let folder = folder();
        let path = folder.path().join("journal.db");
        let mut archive = Sqlite::open(&path).unwrap();
        let over = AtomicBool::new(false);
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    let reader = Sqlite::open_to_read(&path).unwrap();
                    let mut after = 0;
                    while !over.load(Ordering::Relaxed) {
                        let mut newest = after;
                        let mut take = |kept: store::Kept| {
                            newest = kept.position;
                            true
                        };
                        reader.read(&visit("A1"), after, &mut take).unwrap();
                        after = newest;
                        std::thread::sleep(core::time::Duration::from_millis(5));
                    }
                });
            }
            for number in 1..=1_000 {
                archive.append(&[note(&visit("A1"), "tablet", number)]).unwrap();
            }
            over.store(true, Ordering::Relaxed);
        });
    });
}
