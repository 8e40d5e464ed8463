//! Visit files: what `visit import` takes from another computer.

use archive::{EventArchive as _, SqliteArchive, export_visit, import_visit};
use record::{AnyEvent, StreamKind, VisitId};
use std::path::Path;

use crate::{FuzzTarget, InputOutcome, events};

/// The target of visit files.
pub const TARGET: FuzzTarget = FuzzTarget { name: "visit_files", try_input, sound_inputs };

/// The events of all visits of an archive, in its own order.
fn all_events(file: &SqliteArchive) -> Vec<AnyEvent> {
    let mut found = Vec::new();
    for line in file.list_streams(StreamKind::Visit).expect("an archive in memory can be read") {
        let mut keep = |kept: archive::KeptEvent| {
            found.push(kept.event);
            true
        };
        file.read_events(&line.stream, 0, &mut keep).expect("an archive in memory can be read");
    }
    found
}

fn import_into_memory(file: &Path) -> Option<SqliteArchive> {
    let mut target = SqliteArchive::in_memory().expect("there is memory");
    match import_visit(&mut target, file) {
        Ok(_) => Some(target),
        Err(why) => {
            assert!(!why.to_string().is_empty(), "a refusal has words");
            None
        }
    }
}

fn try_input(bytes: &[u8]) -> InputOutcome {
    let folder = tempfile::tempdir().expect("there is a temporary folder");
    let path = folder.path().join("input.visit");
    std::fs::write(&path, bytes).expect("the temporary folder may be written");
    let Some(first) = import_into_memory(&path) else { return InputOutcome::Refused };
    let visits = first.list_streams(StreamKind::Visit).expect("an archive in memory can be read");
    for (at, line) in visits.iter().enumerate() {
        let out = folder.path().join(format!("{at}.visit"));
        let visit = line.stream.visit_id().expect("the stream of a visit");
        export_visit(&first, &visit, &out).expect("what was taken in can be given out");
        let again = import_into_memory(&out).expect("what was given out can be taken in");
        let of_visit: Vec<AnyEvent> =
            all_events(&first).into_iter().filter(|e| *e.stream() == line.stream).collect();
        assert_eq!(all_events(&again), of_visit, "a visit came back changed");
    }
    InputOutcome::Read
}

fn sound_inputs() -> Vec<Vec<u8>> {
    let folder = tempfile::tempdir().expect("there is a temporary folder");
    let mut source = SqliteArchive::in_memory().expect("there is memory");
    let kept: Vec<AnyEvent> = events::kept_events().into_iter().map(AnyEvent::from).collect();
    source.append_events(&kept).expect("kept events are sound");
    let out = folder.path().join("sound.visit");
    let visit: VisitId = kept.first().and_then(|e| e.stream().visit_id()).expect("kept events of a visit");
    export_visit(&source, &visit, &out).expect("the visit is there");
    vec![std::fs::read(&out).expect("it was just written")]
}
