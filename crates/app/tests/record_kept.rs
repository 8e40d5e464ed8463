//! The record follows from the archive alone: whatever is imported, restored, lost or told by devices, the state is that of a replay
//! from nothing, and what was acknowledged is not lost without a word.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[path = "../../../tests/long.rs"]
mod long;

use std::path::{Path, PathBuf};

use app::ask::SilentObserver;
use app::record::{
    AnyEvent, DeviceId, Event, EventHistory, EventId, EventOrder, EventPlace, PutInKind, StreamRef, Visit,
    VisitBody,
};
use app::workshop::{
    ArchiveError, DeviceContact, EventArchive, IntakeVerdict, NewVisit, StreamLength, VisitId, Workshop,
    WorkshopError, carry,
};

/// Histories of an ordinary run and of a long one.
const HISTORIES: (u32, u32) = (60, 10_000);

fn begin(workshop: &mut Workshop) -> VisitId {
    let new = NewVisit {
        letter: workshop.free_letter().expect("a free letter"),
        name: "a bus (invented)".into(),
        ..NewVisit::default()
    };
    workshop.begin_visit(&new, &SilentObserver).unwrap()
}

fn rag(visit: &VisitId, device: &str, round: u64, count: u64) -> Event {
    let place = EventPlace::default();
    Event {
        stream: visit.into(),
        id: EventId::new(&format!("{device}-{count}")).unwrap(),
        order: EventOrder { round, device: DeviceId::new(device).unwrap(), count },
        person: None,
        at_ms: 1_800_000_000_000,
        body: VisitBody::PutIn { what: PutInKind::Rag, words: "intake".into(), count: 1, at: place },
    }
}

fn text_of(event: &Event) -> String {
    serde_json::to_string(event).unwrap()
}

/// The state of a visit as a replay of all its events in the file makes it.
fn replayed(path: &Path, visit: &VisitId) -> Visit {
    let archive = carry::SqliteArchive::open_to_read(path).unwrap();
    let mut events = Vec::new();
    archive
        .read_events(&visit.into(), 0, &mut |kept| {
            events.extend(Event::<VisitBody>::try_from(kept.event).ok());
            true
        })
        .unwrap();
    let history: EventHistory = EventHistory::from_events(StreamRef::from(visit), events);
    history.state().clone()
}

/// A device with its outbox: what it wrote, what of it is acknowledged and where, and how the journal stood.
#[derive(Default)]
struct Phone {
    name: &'static str,
    written: u64,
    round: u64,
    held: Vec<(Event, Option<u64>)>,
    known: Option<StreamLength>,
    told: Vec<String>,
}

impl Phone {
    fn named(name: &'static str) -> Self {
        Self { name, ..Self::default() }
    }

    fn write(&mut self, visit: &VisitId) {
        self.written += 1;
        self.round += 1;
        self.held.push((rag(visit, self.name, self.round, self.written), None));
    }

    /// One contact, and what follows from the answer; whether something waits again.
    fn contact(&mut self, workshop: &mut Workshop, visit: &VisitId) -> bool {
        let device = DeviceId::new(self.name).unwrap();
        let waiting: Vec<usize> = (0..self.held.len()).filter(|at| self.held[*at].1.is_none()).collect();
        let texts: Vec<String> = waiting.iter().map(|at| text_of(&self.held[*at].0)).collect();
        let contact = DeviceContact { known: self.known.clone(), written: self.written };
        let taken = workshop.take_contact(visit, &device, &texts, &contact).unwrap();
        for (at, sent) in waiting.iter().zip(&taken.sent) {
            assert_ne!(sent.verdict, IntakeVerdict::Aside, "{:?}", sent.reason);
            self.held[*at].1 = sent.place;
        }
        let standing = taken.standing;
        if standing.agrees {
            self.held.retain(|(_, place)| place.is_none_or(|place| place > standing.safe));
        } else {
            self.told.push(standing.words.unwrap());
            let sent_now: Vec<u64> = waiting.iter().map(|at| self.held[*at].0.order.count).collect();
            for (event, place) in &mut self.held {
                if !sent_now.contains(&event.order.count) {
                    *place = None;
                }
            }
        }
        for (event, place) in &mut self.held {
            if standing.again.iter().any(|(from, to)| (*from..=*to).contains(&event.order.count)) {
                *place = None;
            }
        }
        self.known = standing.journal;
        self.held.iter().any(|(_, place)| place.is_none())
    }

    fn contact_until_quiet(&mut self, workshop: &mut Workshop, visit: &VisitId) {
        for _ in 0..4 {
            if !self.contact(workshop, visit) {
                return;
            }
        }
        panic!("the phone never comes to rest");
    }
}

/// Puts an older copy in the place of the journal, as a person might by hand.
fn put_back(copy: &Path, path: &Path) {
    for ending in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(PathBuf::from(format!("{}{ending}", path.display())));
    }
    std::fs::copy(copy, path).unwrap();
}

fn rags(workshop: &mut Workshop, visit: &VisitId) -> usize {
    workshop.visit(visit).unwrap().state().put_ins.len()
}

#[test]
fn an_old_backup_and_the_phones_are_the_whole_record() {
    let folder = tempfile::tempdir().unwrap();
    let (path, old) = (folder.path().join("shop.journal"), folder.path().join("old.journal"));
    let mut workshop = Workshop::open(&path).unwrap();
    let visit = begin(&mut workshop);
    let (mut one, mut two) = (Phone::named("one"), Phone::named("two"));
    one.write(&visit);
    one.contact_until_quiet(&mut workshop, &visit);
    let copied = carry::back_up_archive(workshop.archive(), &old, &mut |_| ()).unwrap();
    carry::note_backup(workshop.archive_mut(), &copied).unwrap();
    one.contact_until_quiet(&mut workshop, &visit);
    assert!(one.held.is_empty(), "what is in a checked backup is let go of");
    for _ in 0..7 {
        one.write(&visit);
        two.write(&visit);
        two.write(&visit);
        one.contact_until_quiet(&mut workshop, &visit);
        two.contact_until_quiet(&mut workshop, &visit);
    }
    assert_eq!((one.held.len(), two.held.len()), (7, 14), "acknowledged, and kept until the next backup");
    let whole = workshop.visit(&visit).unwrap().state().clone();
    drop(workshop);
    put_back(&old, &path);
    let mut workshop = Workshop::open(&path).unwrap();
    assert!(workshop.notices()[0].contains("are lost"), "told at the start: {:?}", workshop.notices());
    assert_eq!(rags(&mut workshop, &visit), 1);
    one.contact_until_quiet(&mut workshop, &visit);
    two.contact_until_quiet(&mut workshop, &visit);
    assert!(one.told[0].contains("no longer holds"), "told on the next contact: {:?}", one.told);
    assert_eq!(workshop.visit(&visit).unwrap().state(), &whole, "nothing is missing");
    let asides = workshop.archive().list_asides().unwrap();
    assert!(asides.iter().filter(|aside| !aside.settled).count() >= 2, "and kept for a person to see");
    drop(workshop);
    let workshop = Workshop::open(&path).unwrap();
    assert!(workshop.notices().is_empty(), "told once: {:?}", workshop.notices());
}

#[test]
fn a_visit_that_the_journal_has_lost_comes_back_from_the_phones_that_know_it() {
    let folder = tempfile::tempdir().unwrap();
    let (path, old) = (folder.path().join("shop.journal"), folder.path().join("old.journal"));
    let mut workshop = Workshop::open(&path).unwrap();
    carry::back_up_archive(workshop.archive(), &old, &mut |_| ()).unwrap();
    let visit = begin(&mut workshop);
    let mut one = Phone::named("one");
    one.write(&visit);
    one.contact_until_quiet(&mut workshop, &visit);
    drop(workshop);
    put_back(&old, &path);
    let mut workshop = Workshop::open(&path).unwrap();
    let stranger = DeviceId::new("two").unwrap();
    let unknown = workshop.take_events(&visit, &stranger, &[text_of(&rag(&visit, "two", 1, 1))]);
    assert!(matches!(unknown, Err(WorkshopError::NoVisit(_))), "who never knew it makes no visit");
    one.contact_until_quiet(&mut workshop, &visit);
    assert_eq!(rags(&mut workshop, &visit), 1);
    let cards = app::bench::visit_cards(&mut workshop).unwrap();
    assert!(cards.iter().any(|card| card.id == visit && card.name.contains("beginning has not arrived")));
}

#[test]
fn a_gap_in_the_middle_is_asked_for_again() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("shop.journal")).unwrap();
    let visit = begin(&mut workshop);
    let device = DeviceId::new("one").unwrap();
    let texts: Vec<String> = [1, 2, 5].iter().map(|n| text_of(&rag(&visit, "one", 1 + n, *n))).collect();
    let contact = DeviceContact { known: None, written: 7 };
    let standing = workshop.take_contact(&visit, &device, &texts, &contact).unwrap().standing;
    assert_eq!(standing.again, [(3, 4), (6, 7)]);
    assert!(standing.agrees && standing.safe == 0);
}

#[test]
fn what_another_program_writes_is_seen_before_and_after_a_saved_state() {
    let folder = tempfile::tempdir().unwrap();
    let (path, other) = (folder.path().join("a.journal"), folder.path().join("b.journal"));
    let mut serving = Workshop::open(&path).unwrap();
    let visit = begin(&mut serving);
    let carried = folder.path().join("one.visit");
    carry::export_visit(serving.archive(), &visit, &carried).unwrap();
    let mut away = Workshop::open(&other).unwrap();
    away.import_visit_file(&carried).unwrap();
    let device = DeviceId::new("away").unwrap();
    for count in 1..=4 {
        away.take_events(&visit, &device, &[text_of(&rag(&visit, "away", 3 + count, count))]).unwrap();
    }
    let back = folder.path().join("back.visit");
    carry::export_visit(away.archive(), &visit, &back).unwrap();
    // The visit goes on here; another program takes the file in between two entries; then one more entry comes.
    let here = DeviceId::new("here").unwrap();
    serving.take_events(&visit, &here, &[text_of(&rag(&visit, "here", 4, 1))]).unwrap();
    Workshop::open(&path).unwrap().import_visit_file(&back).unwrap();
    serving.take_events(&visit, &here, &[text_of(&rag(&visit, "here", 9, 2))]).unwrap();
    assert_eq!(rags(&mut serving, &visit), 6, "its sheets show all of them");
    serving.save_all_visits().unwrap();
    drop(serving);
    let mut again = Workshop::open(&path).unwrap();
    assert_eq!(rags(&mut again, &visit), 6, "and so they do from the saved state");
    assert_eq!(again.visit(&visit).unwrap().state(), &replayed(&path, &visit));
}

fn next_number(state: &mut u64) -> u64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    *state >> 33
}

/// Any history of entries, imports, restores, kills and other programs: the state is that of a replay from nothing.
#[test]
fn after_any_history_the_state_is_that_of_a_replay_from_nothing() {
    for seed in 0..long::choose_count("histories of the journal", HISTORIES.0, HISTORIES.1) {
        let mut random = u64::from(seed) + 1;
        let folder = tempfile::tempdir().unwrap();
        let (path, copy) = (folder.path().join("a.journal"), folder.path().join("copy.journal"));
        let mut workshop = Workshop::open(&path).unwrap();
        let visit = begin(&mut workshop);
        let mut phones = [Phone::named("one"), Phone::named("two")];
        for step in 0..12 {
            let phone = &mut phones[(next_number(&mut random) % 2) as usize];
            match next_number(&mut random) % 9 {
                0 => workshop.save_all_visits().unwrap(),
                1 => workshop = Workshop::open(&path).unwrap(),
                2 if !copy.exists() => {
                    carry::back_up_archive(workshop.archive(), &copy, &mut |_| ()).map(drop).unwrap();
                }
                3 if copy.exists() => _ = workshop.restore_journal(&copy, &mut |_| ()).unwrap(),
                4 => {
                    let file = folder.path().join(format!("{step}.visit"));
                    carry::export_visit(workshop.archive(), &visit, &file).unwrap();
                    let mut other = Workshop::open(&folder.path().join(format!("{step}.journal"))).unwrap();
                    other.import_visit_file(&file).unwrap();
                    let far = DeviceId::new("far").unwrap();
                    let event = rag(&visit, "far", 2 + step, step + 1);
                    other.take_events(&visit, &far, &[text_of(&event)]).unwrap();
                    let back = folder.path().join(format!("{step}-back.visit"));
                    carry::export_visit(other.archive(), &visit, &back).unwrap();
                    Workshop::open(&path).unwrap().import_visit_file(&back).unwrap();
                }
                5 => phone.write(&visit),
                _ => {
                    phone.write(&visit);
                    _ = phone.contact(&mut workshop, &visit);
                }
            }
            let state = workshop.visit(&visit).unwrap().state().clone();
            assert_eq!(state, replayed(&path, &visit), "seed {seed}, step {step}");
        }
        for phone in &mut phones {
            phone.contact_until_quiet(&mut workshop, &visit);
            phone.contact_until_quiet(&mut workshop, &visit);
        }
        let state = workshop.visit(&visit).unwrap().state().clone();
        for phone in &phones {
            let there = state.put_ins.keys().filter(|id| id.as_str().starts_with(phone.name)).count();
            assert_eq!(there as u64, phone.written, "seed {seed}: nothing of {} is missing", phone.name);
        }
        assert_eq!(state, replayed(&path, &visit), "seed {seed}");
        drop(workshop);
        assert_eq!(Workshop::open(&path).unwrap().visit(&visit).unwrap().state(), &state, "seed {seed}");
    }
}

#[test]
fn rounds_out_of_sense_are_kept_aside_and_push_nobody_out() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("shop.journal")).unwrap();
    let visit = begin(&mut workshop);
    let device = DeviceId::new("one").unwrap();
    let mut old = rag(&visit, "one", 3, 2);
    old.at_ms = 0;
    let odd = [rag(&visit, "one", 1_000_000_000_000, 1), old];
    let texts: Vec<String> = odd.iter().map(text_of).collect();
    let sent = workshop.take_events(&visit, &device, &texts).unwrap().sent;
    assert!(
        sent.iter().all(|sent| sent.verdict == IntakeVerdict::Aside && sent.reason.is_some()),
        "{sent:?}"
    );
    let good = workshop.take_events(&visit, &device, &[text_of(&rag(&visit, "one", 5, 3))]).unwrap();
    assert_eq!(good.sent[0].verdict, IntakeVerdict::Kept);
    // The same in a visit's file: refused whole, nothing is taken in.
    let poisoned = folder.path().join("poisoned.visit");
    let mut file = carry::SqliteArchive::open(&poisoned).unwrap();
    let [event, _] = odd;
    file.append_events(&[AnyEvent::from(rag(&visit, "x", 2, 1)), AnyEvent::from(event)]).unwrap();
    drop(file);
    let refused = workshop.import_visit_file(&poisoned);
    assert!(matches!(refused, Err(WorkshopError::Store(ArchiveError::Unacceptable { .. }))), "{refused:?}");
    assert_eq!(rags(&mut workshop, &visit), 1);
}

#[test]
fn one_visit_with_a_changed_entry_hurts_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.journal");
    let mut workshop = Workshop::open(&path).unwrap();
    let (hurt, other) = (begin(&mut workshop), begin(&mut workshop));
    let device = DeviceId::new("one").unwrap();
    for (visit, count) in [(&hurt, 1), (&other, 2)] {
        workshop.take_events(visit, &device, &[text_of(&rag(visit, "one", 4, count))]).unwrap();
    }
    drop(workshop);
    let mut bytes = std::fs::read(&path).unwrap();
    let text = text_of(&rag(&hurt, "one", 4, 1));
    let at = bytes.windows(text.len()).position(|window| window == text.as_bytes()).unwrap();
    let word = at + text.find("intake").unwrap();
    bytes[word] = b'u';
    std::fs::write(&path, bytes).unwrap();
    let mut workshop = Workshop::open(&path).unwrap();
    assert!(workshop.notices()[0].contains("has been changed"), "{:?}", workshop.notices());
    assert!(workshop.visit(&hurt).is_err(), "a changed entry is never shown");
    let cards = app::bench::visit_cards(&mut workshop).unwrap();
    let broken = cards.iter().find(|card| card.id == hurt).unwrap();
    assert!(broken.troubles[0].contains("has been changed"), "{:?}", broken.troubles);
    assert_eq!(cards.iter().find(|card| card.id == other).unwrap().open, 1, "the other goes on");
    workshop.take_events(&other, &device, &[text_of(&rag(&other, "one", 5, 3))]).unwrap();
}
