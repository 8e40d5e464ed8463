//! A writer killed at random, a disk that refuses or writes half: no acknowledged event is lost, the chain stays whole.
//!
//! The writer is this test program itself, started again with an order in its environment; it tells on its standard
//! output each event that [`archive::Archive::append`] has acknowledged.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;
#[path = "../../../tests/long.rs"]
mod long;

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

use archive::{EventArchive, SqliteArchive, check_archive};
use common::{note, visit};
use record::StreamKind;

/// Says to the started program where to write.
const ORDER: &str = "TRAYWRIGHT_TEST_WRITES_TO";
/// Kills of an ordinary run and of a long one.
const KILLS: (u32, u32) = (500, 5_000);
/// Writers that hit the wall of a full disk, in an ordinary run and in a long one.
const WALLS: (u32, u32) = (40, 400);

/// No test in the parent: the started program writes here until it dies.
#[test]
fn writer() {
    let Ok(path) = std::env::var(ORDER) else { return };
    let mut archive = SqliteArchive::open(Path::new(&path)).unwrap();
    let of = visit("A1");
    let mut number = archive.list_streams(StreamKind::Visit).unwrap().first().map_or(0, |line| line.events);
    let mut out = std::io::stdout().lock();
    loop {
        let batch: Vec<_> = (1..=1 + number % 3).map(|k| note(&of, "tablet", number + k)).collect();
        number += batch.len() as u64;
        if let Err(error) = archive.append_events(&batch) {
            writeln!(out, "refused {error}").unwrap();
            return;
        }
        writeln!(out, "kept {number}").unwrap();
        out.flush().unwrap();
    }
}

fn start(path: &Path, limit_blocks: Option<u64>) -> (Child, BufReader<ChildStdout>) {
    let me = std::env::current_exe().unwrap();
    let mut command = match limit_blocks {
        None => Command::new(me),
        Some(blocks) => {
            // A limit on the size of a file stands in for a full disk: writes come back short, then refused.
            let mut shell = Command::new("sh");
            shell.arg("-c").arg(format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"")).arg(me);
            shell
        }
    };
    command.args(["--exact", "writer", "--nocapture", "--test-threads", "1"]).env(ORDER, path);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let out = BufReader::new(child.stdout.take().unwrap());
    (child, out)
}

/// The last number that the writer has told, and whether it said that the disk refused.
fn told(out: impl BufRead, mut last: u64) -> (u64, bool) {
    let mut refused = false;
    for line in out.lines().map_while(Result::ok) {
        if let Some(number) = line.strip_prefix("kept ").and_then(|n| n.parse().ok()) {
            last = number;
        }
        refused |= line.starts_with("refused");
    }
    (last, refused)
}

/// Whether the first `count` events are there, in order, none torn, the chain whole.
fn sound(path: &Path, count: u64) -> u64 {
    let archive = SqliteArchive::open(path).unwrap();
    let mut number = 0;
    archive
        .read_events(&visit("A1").into(), 0, &mut |kept| {
            number += 1;
            assert_eq!(kept.event, note(&visit("A1"), "tablet", number));
            true
        })
        .unwrap();
    assert!(number >= count, "{count} were acknowledged, {number} are there");
    number
}

/// Small steps of a fixed stream, so that each run kills elsewhere but a run can be repeated.
fn stream(state: &mut u64) -> u64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    *state >> 33
}

#[test]
fn a_writer_killed_at_random_loses_nothing_it_acknowledged() {
    if std::env::var(ORDER).is_ok() {
        return;
    }
    let kills = long::choose_count("kills", KILLS.0, KILLS.1);
    let folder = tempfile::tempdir().unwrap();
    let mut random = 7;
    let mut path = folder.path().join("journal-0.db");
    let (mut acknowledged, mut all) = (0, 0);
    for kill in 0..kills {
        if kill % 25 == 0 {
            all += acknowledged;
            acknowledged = 0;
            path = folder.path().join(format!("journal-{kill}.db"));
        }
        let (mut child, mut out) = start(&path, None);
        // Dies while opening, while writing the first events, or in the stream of them.
        let before = stream(&mut random) % 4;
        let mut line = String::new();
        while before != 0 && out.read_line(&mut line).unwrap_or(0) > 0 && !line.contains("kept") {}
        let first: u64 = line
            .lines()
            .last()
            .and_then(|l| l.strip_prefix("kept "))
            .and_then(|n| n.parse().ok())
            .unwrap_or(0);
        std::thread::sleep(Duration::from_micros(stream(&mut random) % 6_000));
        child.kill().unwrap();
        child.wait().unwrap();
        let (last, _) = told(out, first.max(acknowledged));
        acknowledged = last;
        if path.exists() {
            acknowledged = sound(&path, acknowledged);
        }
    }
    let health = check_archive(&SqliteArchive::open(&path).unwrap()).unwrap();
    assert!(health.is_well(), "{:?}", health.faults);
    assert!(all + acknowledged > u64::from(kills), "the writers did write");
}

#[test]
fn a_full_disk_refuses_and_loses_nothing() {
    if std::env::var(ORDER).is_ok() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut random = 11;
    let mut walls = 0;
    let writers = long::choose_count("writers to a full disk", WALLS.0, WALLS.1);
    for run in 0..writers {
        let path = folder.path().join(format!("journal-{run}.db"));
        drop(SqliteArchive::open(&path).unwrap());
        let blocks = 150 + stream(&mut random) % 300;
        let (mut child, out) = start(&path, Some(blocks));
        let (last, refused) = told(out, 0);
        child.wait().unwrap();
        walls += u32::from(refused);
        assert!(last > 0, "some were written before the wall at {blocks} blocks");
        sound(&path, last);
        assert!(check_archive(&SqliteArchive::open(&path).unwrap()).unwrap().is_well());
    }
    assert_eq!(walls, writers, "each writer was told of the wall");
}

#[test]
fn a_log_cut_or_scratched_anywhere_leaves_a_sound_beginning() {
    if std::env::var(ORDER).is_ok() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("journal.db");
    let mut archive = SqliteArchive::open(&path).unwrap();
    for number in 1..=60 {
        archive.append_events(&[note(&visit("A1"), "tablet", number)]).unwrap();
    }
    let main = std::fs::read(&path).unwrap();
    let log = std::fs::read(folder.path().join("journal.db-wal")).unwrap();
    let mut random = 13;
    let mut seen = std::collections::BTreeSet::new();
    for trial in 0..60 {
        let place = folder.path().join(format!("cut-{trial}.db"));
        let at = usize::try_from(stream(&mut random)).unwrap() % log.len();
        let mut torn = log.clone();
        if trial % 2 == 0 {
            torn.truncate(at);
        } else {
            torn[at] ^= 0x55;
        }
        std::fs::write(&place, &main).unwrap();
        std::fs::write(folder.path().join(format!("cut-{trial}.db-wal")), &torn).unwrap();
        seen.insert(sound(&place, 0));
        assert!(check_archive(&SqliteArchive::open(&place).unwrap()).unwrap().is_well());
    }
    assert!(seen.len() > 10, "the cuts fell in many places: {seen:?}");
}
