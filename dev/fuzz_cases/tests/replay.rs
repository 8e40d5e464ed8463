//! Every target over its kept files and over seeded changes of sound inputs: no panic, no hang, nothing comes back changed.
//!
//! A long run (`./test --long`) makes it 20,000 changes a target instead of a few hundred.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[path = "../../../tests/long.rs"]
mod long;

use fuzz_cases::{FuzzTarget, InputOutcome, TARGETS, change_bytes, target_by_name};
use long::choose_count;
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64Mcg;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Changes of sound inputs tried of each target, ordinarily and in a long run.
const CHANGES: [u32; 2] = [300, 20_000];

/// Longest time of one input. A hang is meant, not a slow machine: unoptimised, the slowest takes about a second.
const MAX_TIME: Duration = Duration::from_secs(30);

/// Where an input that fails is put, so that it can be looked at and kept.
fn failure_path(target: &FuzzTarget, what: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fuzz-{}-{what}", target.name))
}

/// Tries one input; when it fails, the panic says where the bytes are kept.
fn try_and_keep(target: &FuzzTarget, what: &str, bytes: &[u8]) -> InputOutcome {
    let start = Instant::now();
    let outcome = std::panic::catch_unwind(|| (target.try_input)(bytes));
    let took = start.elapsed();
    match outcome {
        Ok(outcome) if took < MAX_TIME => outcome,
        _ => {
            let path = failure_path(target, what);
            std::fs::write(&path, bytes).unwrap();
            panic!(
                "{} failed after {took:?} on {}; keep it in fuzz/corpus/{}",
                what,
                path.display(),
                target.name
            );
        }
    }
}

fn kept_files(target: &FuzzTarget) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus").join(target.name);
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    files
}

/// One target: sound inputs read, kept files hold, changes hold. `share` is the part of the wanted changes that it gets.
fn replay_target(name: &str, share: u32) {
    let target = target_by_name(name);
    let sound = (target.sound_inputs)();
    for (at, bytes) in sound.iter().enumerate() {
        assert_eq!(
            try_and_keep(target, &format!("sound-{at}"), bytes),
            InputOutcome::Read,
            "{name}: sound input {at}"
        );
    }
    let kept = kept_files(target);
    assert!(kept.len() >= 5, "{name}: {} kept files", kept.len());
    for path in kept {
        let what = path.file_name().unwrap().to_string_lossy().into_owned();
        try_and_keep(target, &what, &std::fs::read(&path).unwrap());
    }
    let [ordinary, full] = CHANGES.map(|changes| changes / share);
    let (mut read, wanted) = (0, choose_count(&format!("changes of {name}"), ordinary, full));
    for seed in 0..wanted {
        let mut dice = Pcg64Mcg::seed_from_u64(u64::from(seed));
        let from = &sound[dice.random_range(0..sound.len())];
        let changed = change_bytes(from, &mut dice);
        read += u32::from(try_and_keep(target, &format!("seed-{seed}"), &changed) == InputOutcome::Read);
    }
    // Both ways are walked: changes that still read, and changes that are refused.
    assert!(read > 0 && read < wanted, "{name}: {read} of {wanted} changed inputs could be read");
}

#[test]
fn books_hold() {
    replay_target("books", 1);
}

#[test]
fn tools_hold() {
    replay_target("tools", 1);
}

#[test]
fn plans_hold() {
    replay_target("plans", 1);
}

#[test]
fn events_hold() {
    replay_target("events", 1);
}

/// Files on disk are slow: a third of the changes.
#[test]
fn visit_files_hold() {
    replay_target("visit_files", 3);
}

#[test]
fn every_target_is_replayed_and_has_a_fuzz_target() {
    let here = include_str!("replay.rs");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz");
    let manifest = std::fs::read_to_string(folder.join("Cargo.toml")).unwrap();
    for target in TARGETS {
        let name = target.name;
        assert!(here.contains(&format!("replay_target(\"{name}\"")), "{name} is not replayed");
        let source = std::fs::read_to_string(folder.join(format!("fuzz_targets/{name}.rs"))).unwrap();
        assert!(source.contains(&format!("target_by_name(\"{name}\")")), "{name}");
        assert!(manifest.contains(&format!("name = \"{name}\"")), "{name} is not in fuzz/Cargo.toml");
    }
    assert_eq!(std::fs::read_dir(folder.join("fuzz_targets")).unwrap().count(), TARGETS.len());
}
