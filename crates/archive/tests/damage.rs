//! Damage anywhere: no acknowledged event is lost without a word, none is shown changed, what verifies is saved.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;
#[path = "../../../tests/long.rs"]
mod long;

use std::path::{Path, PathBuf};

use archive::{
    ArchivedDocument, EventArchive, SavedState, SqliteArchive, check_archive, content_digest, recover_archive,
};
use common::{note, visit};
use record::{AnyEvent, ContentDigest, StreamKind, StreamRef};

/// Flips of an ordinary run and of a long one, in each of file and log.
const FLIPS: (u32, u32) = (40, 300);
/// Truncations of an ordinary run and of a long one.
const CUTS: (u32, u32) = (30, 100);

/// A journal of two visits with documents and saved states, its log not yet taken in.
struct Sample {
    file: Vec<u8>,
    log: Vec<u8>,
    tail: Vec<u8>,
    events: Vec<AnyEvent>,
    documents: Vec<ContentDigest>,
}

fn make_sample(folder: &Path, taken_in: bool) -> Sample {
    let path = folder.join("sample.db");
    let mut archive = SqliteArchive::open(&path).unwrap();
    let (mut events, mut documents) = (Vec::new(), Vec::new());
    for number in 1..=60 {
        let event = note(&visit(if number % 3 == 0 { "B1" } else { "A1" }), "tablet", number);
        archive.append_events(std::slice::from_ref(&event)).unwrap();
        events.push(event);
        if number % 20 == 0 {
            let bytes: Vec<u8> = (0..9_000 * number / 20).map(|k| (k * number % 251) as u8).collect();
            let document = ArchivedDocument { media: "application/json".into(), bytes };
            documents.push(archive.put_document(&document).unwrap());
            let state = SavedState { position: number - 1, bytes: vec![b'7'; 3_000] };
            archive.put_saved_state(&StreamRef::from(visit("A1")), 1, &state).unwrap();
        }
    }
    archive.force_tail();
    let read = |ending: &str| std::fs::read(format!("{}{ending}", path.display())).unwrap_or_default();
    if taken_in {
        drop(archive);
        return Sample { file: read(""), log: Vec::new(), tail: read(".tail"), events, documents };
    }
    Sample { file: read(""), log: read("-wal"), tail: read(".tail"), events, documents }
}

impl Sample {
    fn put(&self, folder: &Path, name: &str) -> PathBuf {
        let path = folder.join(name);
        for (ending, bytes) in [("", &self.file), ("-wal", &self.log), (".tail", &self.tail)] {
            let place = format!("{}{ending}", path.display());
            if !bytes.is_empty() {
                std::fs::write(place, bytes).unwrap();
            }
        }
        path
    }

    fn with(&self, file: Vec<u8>, log: Vec<u8>) -> Self {
        let (tail, events, documents) = (self.tail.clone(), self.events.clone(), self.documents.clone());
        Self { file, log, tail, events, documents }
    }

    /// What is read is what was written, or something is said: at the opening, at reading, or by the second small file.
    fn look_at(&self, path: &Path, what: &str) {
        let Ok(archive) = SqliteArchive::open(path) else { return };
        let mut is_told = archive.find_shortfalls().map_or(true, |lost| !lost.is_empty());
        for id in ["A1", "B1"] {
            let stream = StreamRef::from(visit(id));
            let written: Vec<&AnyEvent> = self.events.iter().filter(|e| *e.stream() == stream).collect();
            let mut read = Vec::new();
            let result = archive.read_events(&stream, 0, &mut |kept| {
                read.push(kept.event);
                true
            });
            assert!(read.iter().zip(&written).all(|(read, written)| read == *written), "{what}: changed");
            is_told |= result.is_err();
            assert!(read.len() == written.len() || is_told, "{what}: {id} has {} without a word", read.len());
            if let Ok(Some(state)) = archive.find_saved_state(&stream, 1) {
                assert!(state.bytes == vec![b'7'; 3_000], "{what}: a changed state");
            }
        }
        for name in &self.documents {
            if let Ok(Some(document)) = archive.find_document(name) {
                assert_eq!(content_digest(&document.bytes), *name, "{what}: a changed document");
            }
        }
    }

    /// All events whose text lies whole somewhere in what is left are saved, into a file that is sound.
    fn rescue(&self, path: &Path, into: &Path, what: &str, may_miss: usize) {
        let left = [&self.file, &self.log].map(|bytes| String::from_utf8_lossy(bytes));
        let is_left = |event: &&AnyEvent| left.iter().any(|text| text.contains(&event.to_json().unwrap()));
        let wanted = self.events.iter().filter(is_left).count();
        let Ok(report) = recover_archive(path, into) else {
            assert!(wanted <= may_miss, "{what}: nothing saved of {wanted}");
            return;
        };
        assert!(report.events as usize + may_miss >= wanted, "{what}: {} of {wanted} saved", report.events);
        let new = SqliteArchive::open(into).unwrap();
        let health = check_archive(&new).unwrap();
        assert!(health.is_well(), "{what}: {:?}", health.faults);
        let mut saved = 0;
        for line in new.list_streams(StreamKind::Visit).unwrap() {
            let check = &mut |kept: archive::KeptEvent| {
                assert!(self.events.contains(&kept.event), "{what}: changed");
                saved += 1;
                true
            };
            new.read_events(&line.stream, 0, check).unwrap();
        }
        assert_eq!(saved, report.events, "{what}");
        if saved < self.events.len() as u64 {
            assert!(!report.is_well() && !report.holes.is_empty(), "{what}: holes are told");
        }
        assert_eq!(std::fs::read(path).unwrap(), self.file, "{what}: the damaged file is left alone");
    }
}

fn stream_of_numbers(state: &mut u64) -> usize {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 33) as usize
}

/// Tries a damaged sample in a folder of its own.
fn try_damaged(sample: &Sample, what: &str, may_miss: usize) {
    let folder = tempfile::tempdir().unwrap();
    let path = sample.put(folder.path(), "damaged.db");
    sample.rescue(&path, &folder.path().join("saved.db"), what, may_miss);
    sample.look_at(&path, what);
}

#[test]
fn a_flip_anywhere_in_the_file_is_never_shown_and_costs_one_event_at_most() {
    let folder = tempfile::tempdir().unwrap();
    let sample = make_sample(folder.path(), true);
    let mut random = 17;
    for flip in 0..long::choose_count("flips in the file", FLIPS.0, FLIPS.1) {
        let mut file = sample.file.clone();
        let at = stream_of_numbers(&mut random) % file.len();
        file[at] ^= 1 << (flip % 8);
        try_damaged(&sample.with(file, Vec::new()), &format!("flip of bit {} at {at}", flip % 8), 1);
    }
}

#[test]
fn a_flip_anywhere_in_the_log_is_told_and_costs_one_event_at_most() {
    let folder = tempfile::tempdir().unwrap();
    let sample = make_sample(folder.path(), false);
    let mut random = 19;
    for flip in 0..long::choose_count("flips in the log", FLIPS.0, FLIPS.1) {
        let mut log = sample.log.clone();
        let at = stream_of_numbers(&mut random) % log.len();
        log[at] ^= 1 << (flip % 8);
        try_damaged(&sample.with(sample.file.clone(), log), &format!("flip in the log at {at}"), 1);
    }
}

#[test]
fn a_file_cut_off_anywhere_gives_up_all_events_that_are_left() {
    let folder = tempfile::tempdir().unwrap();
    let sample = make_sample(folder.path(), true);
    let mut random = 23;
    for _ in 0..long::choose_count("truncations", CUTS.0, CUTS.1) {
        let at = stream_of_numbers(&mut random) % sample.file.len();
        let cut = sample.with(sample.file[..at].to_vec(), Vec::new());
        // The one through which the cut goes may have lost its hashes only.
        try_damaged(&cut, &format!("cut at {at}"), 1);
    }
}

#[test]
fn a_log_torn_at_each_frame_and_every_512_bytes_loses_nothing_without_a_word() {
    const FRAME_BYTES: usize = 24 + 4096;
    let folder = tempfile::tempdir().unwrap();
    let sample = make_sample(folder.path(), false);
    assert_eq!((sample.log.len() - 32) % FRAME_BYTES, 0, "frames of one page each");
    let frames = (sample.log.len() - 32) / FRAME_BYTES;
    // Behind the last sync: the last frames of the log, every 512 bytes; before it, at each boundary.
    let fine = (sample.log.len() - 12 * FRAME_BYTES..sample.log.len()).step_by(512);
    let step = long::choose_count("frames between two cuts, at most", 7, 1) as usize;
    let coarse = (0..frames).step_by(step).map(|frame| 32 + frame * FRAME_BYTES);
    for at in coarse.chain(fine) {
        let torn = sample.with(sample.file.clone(), sample.log[..at].to_vec());
        let place = tempfile::tempdir().unwrap();
        let path = torn.put(place.path(), "torn.db");
        torn.look_at(&path, &format!("log torn at {at}"));
    }
    // A torn end behind the last commit is no loss: what was never acknowledged is not missed.
    let mut longer = sample.log.clone();
    longer.extend_from_slice(&sample.log[sample.log.len() - FRAME_BYTES..][..700]);
    let place = tempfile::tempdir().unwrap();
    let torn = sample.with(sample.file.clone(), longer);
    let path = torn.put(place.path(), "torn.db");
    assert!(SqliteArchive::open(&path).unwrap().find_shortfalls().unwrap().is_empty());
    torn.look_at(&path, "torn behind the last commit");
}

#[test]
fn a_plug_pulled_within_a_checkpoint_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let sample = make_sample(folder.path(), false);
    let path = sample.put(folder.path(), "whole.db");
    drop(SqliteArchive::open(&path).unwrap());
    let after = std::fs::read(&path).unwrap();
    assert!(after.len() > sample.file.len(), "the log was taken in");
    for pages in (0..=after.len() / 4096).step_by(3) {
        // So many pages of the file are new, the rest is as before; the log is there until all of it is taken in.
        let mut file = after[..pages * 4096].to_vec();
        file.extend_from_slice(sample.file.get(file.len()..).unwrap_or_default());
        let half = sample.with(file, sample.log.clone());
        let place = tempfile::tempdir().unwrap();
        let path = half.put(place.path(), "half.db");
        let archive = SqliteArchive::open(&path).unwrap();
        assert!(archive.find_shortfalls().unwrap().is_empty(), "{pages} pages");
        assert!(check_archive(&archive).unwrap().is_well(), "{pages} pages");
        let counts: Vec<u64> =
            archive.list_streams(StreamKind::Visit).unwrap().iter().map(|line| line.events).collect();
        assert_eq!(counts.iter().sum::<u64>(), sample.events.len() as u64);
    }
}
