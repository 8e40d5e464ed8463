//! One acknowledged tick, to disk, beside a bare SQLite commit of the same bytes on the same disk; and with readers.
//!
//! The two take turns, one commit each, so that whatever else the machine does weighs on both alike; their medians are
//! compared. "Readers" are four that poll for news every 5 ms while 1,000 ticks are written.
#![expect(clippy::unwrap_used, reason = "a benchmark stops at what it did not expect")]
#![expect(clippy::print_stdout, reason = "a benchmark tells what it measured")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use archive::{EventArchive, SqliteArchive};
use common::{note, visit};
use rusqlite::{Connection, params};

/// Commits of each kind.
const TICKS: u64 = 1_000;
const READERS: usize = 4;

fn main() {
    // A folder on the disk of the build, not in memory.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let (ours, bare) = taking_turns(folder.path());
    println!("{TICKS} each, taking turns, on one disk:");
    tell("acknowledged tick", &ours);
    tell("bare commit of the same bytes", &bare);
    println!("  ratio of the medians {:.2}", at(&ours, 0.5) / at(&bare, 0.5));
    let (ticks, whole) = with_readers(&folder.path().join("read.journal"));
    println!("{TICKS} ticks while {READERS} readers poll: {:.2} s", whole.as_secs_f64());
    tell("acknowledged tick", &ticks);
}

/// Sorted times, ms.
type Times = Vec<f64>;

fn tell(what: &str, times: &Times) {
    let [middle, slow, slowest] = [0.5, 0.95, 1.0].map(|share| at(times, share));
    println!("  {what:<30} median {middle:7.3} ms   95 of 100 {slow:7.3} ms   slowest {slowest:7.3} ms");
}

fn at(times: &Times, share: f64) -> f64 {
    times[((times.len() - 1) as f64 * share) as usize]
}

fn timed(work: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    work();
    begun.elapsed().as_secs_f64() * 1e3
}

fn taking_turns(folder: &Path) -> (Times, Times) {
    let mut archive = SqliteArchive::open(&folder.join("ours.journal")).unwrap();
    let connection = bare(&folder.join("bare.db"));
    let mut insert = connection.prepare("INSERT INTO row (bytes) VALUES (?1)").unwrap();
    let (mut ours, mut theirs) = (Times::new(), Times::new());
    for number in 1..=TICKS {
        let event = note(&visit("A1"), "tablet", number);
        // As many bytes as a row of ours: ids, numbers, two hashes, the body.
        let bytes = vec![b'x'; event.to_json().unwrap().len() + 64];
        ours.push(timed(|| drop(archive.append_events(&[event]).unwrap())));
        theirs.push(timed(|| assert_eq!(insert.execute(params![bytes]).unwrap(), 1)));
    }
    ours.sort_by(f64::total_cmp);
    theirs.sort_by(f64::total_cmp);
    (ours, theirs)
}

fn bare(path: &Path) -> Connection {
    let connection = Connection::open(path).unwrap();
    connection.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(())).unwrap();
    connection.pragma_update(None, "synchronous", "full").unwrap();
    connection.execute_batch("CREATE TABLE row (n INTEGER PRIMARY KEY, bytes BLOB NOT NULL)").unwrap();
    connection
}

fn with_readers(path: &Path) -> (Times, Duration) {
    let mut archive = SqliteArchive::open(path).unwrap();
    let over = AtomicBool::new(false);
    let mut ticks = Times::new();
    let begun = Instant::now();
    std::thread::scope(|scope| {
        for _ in 0..READERS {
            scope.spawn(|| poll(path, &over));
        }
        for number in 1..=TICKS {
            let event = note(&visit("A1"), "tablet", number);
            ticks.push(timed(|| drop(archive.append_events(&[event]).unwrap())));
        }
        over.store(true, Ordering::Relaxed);
    });
    let whole = begun.elapsed();
    ticks.sort_by(f64::total_cmp);
    (ticks, whole)
}

fn poll(path: &Path, over: &AtomicBool) {
    let reader = SqliteArchive::open_to_read(path).unwrap();
    let mut newest = 0;
    while !over.load(Ordering::Relaxed) {
        let after = newest;
        let mut take = |kept: archive::KeptEvent| {
            newest = kept.position;
            true
        };
        reader.read_events(&visit("A1").into(), after, &mut take).unwrap();
        std::thread::sleep(Duration::from_millis(5));
    }
}
