//! What every archive must do, whatever it is made of.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use archive::{
    AppendOutcome, ArchiveError, ArchivedDocument, DeviceKey, EventArchive, KeptAside, SavedState,
    SqliteArchive,
};
use common::{note, visit};
use record::{
    AnyEvent, ContentDigest, DeviceId, EventPlace, MAX_EVENT_BYTES, NeedsAttention, StreamKind, StreamRef,
    VisitBody, VisitId,
};

fn events_of(archive: &dyn EventArchive, of: &VisitId, after: u64) -> Vec<AnyEvent> {
    let mut events = Vec::new();
    let mut take = |kept: archive::KeptEvent| {
        events.push(kept.event);
        true
    };
    archive.read_events(&of.into(), after, &mut take).unwrap();
    events
}

fn what_every_archive_does(archive: &mut dyn EventArchive) {
    let (a, b) = (visit("A1"), visit("B1"));
    let events = [note(&a, "tablet", 1), note(&b, "tablet", 2), note(&a, "phone", 3)];
    assert_eq!(
        archive.append_events(&events).unwrap(),
        [AppendOutcome::New(1), AppendOutcome::New(2), AppendOutcome::New(3)],
        "events stand in the order of arrival"
    );
    assert_eq!(
        archive.append_events(&[events[2].clone(), note(&a, "phone", 4)]).unwrap(),
        [AppendOutcome::Known(3), AppendOutcome::New(4)],
        "a resend counts once"
    );
    assert_eq!(events_of(archive, &a, 0), [events[0].clone(), events[2].clone(), note(&a, "phone", 4)]);
    assert_eq!(events_of(archive, &a, 3), [note(&a, "phone", 4)]);
    let lines = archive.list_streams(StreamKind::Visit).unwrap();
    assert_eq!(lines.iter().map(|l| (l.events, l.last)).collect::<Vec<_>>(), [(3, 4), (1, 2)]);

    let AnyEvent::Visit(mut other) = note(&a, "phone", 4) else { panic!("a note is a visit's") };
    other.body = VisitBody::Resumed;
    let other = AnyEvent::Visit(other);
    assert_eq!(
        archive.append_events(&[other]).unwrap(),
        [AppendOutcome::Clashing],
        "an id is never used for two things"
    );
    assert_eq!(archive.list_asides().unwrap().len(), 1, "and what it said is not lost");
    archive.settle_aside(1).unwrap();
    let aside = KeptAside {
        number: 0,
        device: "phone".into(),
        at_ms: 5,
        text: "{".into(),
        reason: "no JSON".into(),
        settled: false,
    };
    assert_eq!(archive.set_aside(&aside).unwrap(), 2);
    assert_eq!(archive.list_asides().unwrap().iter().map(|x| x.settled).collect::<Vec<_>>(), [true, false]);

    beside_the_events(archive);
}

fn beside_the_events(archive: &mut dyn EventArchive) {
    let document = ArchivedDocument { media: "text/plain".into(), bytes: b"abc".to_vec() };
    let name = archive.put_document(&document).unwrap();
    assert_eq!(archive.put_document(&document).unwrap(), name);
    // FIPS 180-4 examples (NIST, "SHA-256 Example, one block message"): the digest of "abc".
    assert_eq!(name.as_str(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_eq!(archive.find_document(&name).unwrap(), Some(document));
    assert_eq!(archive.find_document(&ContentDigest::new(&"0".repeat(64)).unwrap()).unwrap(), None);

    let a = StreamRef::from(visit("A1"));
    for position in [3, 4] {
        archive.put_saved_state(&a, 1, &SavedState { position, bytes: vec![7] }).unwrap();
    }
    assert_eq!(archive.find_saved_state(&a, 1).unwrap().unwrap().position, 4);
    assert_eq!(archive.find_saved_state(&a, 2).unwrap(), None, "another format is another state");

    let device = DeviceId::new("tablet").unwrap();
    let mut key = DeviceKey { device: device.clone(), key: ContentDigest::new(&"0".repeat(64)).unwrap() };
    archive.put_device_key(&key).unwrap();
    key.key = name;
    archive.put_device_key(&key).unwrap();
    assert_eq!(archive.list_device_keys().unwrap(), [key], "a new key takes the place of the old one");
    archive.remove_device_key(&device).unwrap();
    assert_eq!(archive.list_device_keys().unwrap(), []);
    archive.put_setting("zone", "1").unwrap();
    archive.put_setting("zone", "2").unwrap();
    assert_eq!(archive.find_setting("zone").unwrap().as_deref(), Some("2"));
    assert_eq!(archive.find_setting("none").unwrap(), None);
}

#[test]
fn a_file_does_what_every_archive_does() {
    let folder = tempfile::tempdir().unwrap();
    what_every_archive_does(&mut SqliteArchive::open(&folder.path().join("journal.db")).unwrap());
}

#[test]
fn memory_does_what_every_archive_does() {
    what_every_archive_does(&mut SqliteArchive::in_memory().unwrap());
}

/// A note of the tablet that is so many bytes long on disk.
fn note_of_bytes(number: u64, bytes: usize) -> AnyEvent {
    let AnyEvent::Visit(mut event) = note(&visit("A1"), "tablet", number) else {
        panic!("a note is a visit's")
    };
    event.body = VisitBody::Noted { words: String::new(), at: EventPlace::default() };
    let empty = AnyEvent::Visit(event.clone()).to_json().unwrap().len();
    event.body = VisitBody::Noted { words: "x".repeat(bytes - empty), at: EventPlace::default() };
    AnyEvent::Visit(event)
}

#[test]
fn an_event_that_could_not_be_read_again_is_refused_before_anything_is_written() {
    let mut archive = SqliteArchive::in_memory().unwrap();
    let largest = note_of_bytes(1, MAX_EVENT_BYTES);
    assert_eq!(archive.append_events(std::slice::from_ref(&largest)).unwrap(), [AppendOutcome::New(1)]);
    let too_large = note_of_bytes(3, MAX_EVENT_BYTES + 1);
    let error = archive.append_events(&[note(&visit("A1"), "phone", 2), too_large]).unwrap_err();
    assert!(
        matches!(&error, ArchiveError::Unacceptable { event, why: NeedsAttention::Broken(_) }
            if event == "A1-tablet-3"),
        "{error}"
    );
    assert_eq!(events_of(&archive, &visit("A1"), 0), [largest], "neither it nor what came with it");
}
