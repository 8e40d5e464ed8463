//! A visit of the demo from the middle of its strip to its closing: what is open keeps it from being closed.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeSet;
use std::path::Path;

use app::ask::SilentObserver;
use app::model::FastenerState;
use app::record::ledger::{Ledger, LedgerLineKind};
use app::record::{
    AnyEvent, ContentDigest, Event, EventId, EventPlace, PlanStepsView, PutInKind, StreamKind, VisitBody,
    VisitCommand, VisitHappeningKind,
};
use app::workshop::{
    EventArchive, NewVisit, SolverBudget, VisitId, Workshop, WorkshopError, carry, leisure_budget,
};

fn half_way(path: &Path) -> (Workshop, VisitId) {
    let mut workshop = Workshop::open(path).unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let visit =
        demo_scenario::begin_half_way_visit(&mut workshop, &demo, Some(2.0), &SilentObserver).unwrap();
    (workshop, visit)
}

fn say(workshop: &mut Workshop, visit: &VisitId, command: &VisitCommand) -> Result<(), WorkshopError> {
    let device = workshop.device().clone();
    workshop.carry_out_command(visit, &device, command).map(drop)
}

fn ledger(workshop: &mut Workshop, visit: &VisitId) -> Ledger {
    let live = workshop.visit(visit).unwrap();
    Ledger::draw_up(live.state(), live.book())
}

fn kinds(ledger: &Ledger) -> BTreeSet<LedgerLineKind> {
    ledger.lines.iter().map(|line| line.kind).collect()
}

/// Works by the plan until every step is done, new fasteners in where the book wants them.
fn finish(workshop: &mut Workshop, visit: &VisitId) {
    for _ in 0..5_000 {
        let live = workshop.visit(visit).unwrap();
        let (book, store, plan) = live.planned_texts().unwrap();
        let steps = PlanStepsView::of_plan(live.state(), book, plan);
        let Some(step) = steps.next.map(|at| steps.steps[at].number) else { return };
        let sheet =
            app::bench::step_sheet(book, store, plan, live.state(), step, app::bench::DrawingRoom::default())
                .unwrap();
        let says = sheet.tick.unwrap_or_else(|| panic!("step {step}: {:?}", sheet.against));
        let device = workshop.device().clone();
        let mut order = workshop.visit(visit).unwrap().history().next_order(&device);
        let texts: Vec<String> = says
            .bodies
            .into_iter()
            .map(|body| {
                let event = Event {
                    stream: visit.into(),
                    person: None,
                    id: EventId::new(&app::workshop::new_id()).unwrap(),
                    order: order.clone(),
                    at_ms: app::workshop::now_ms(),
                    body,
                };
                order = order.next_of_device();
                serde_json::to_string(&event).unwrap()
            })
            .collect();
        for sent in workshop.take_events(visit, &device, &texts).unwrap().sent {
            assert_eq!(sent.reason, None);
        }
    }
    panic!("the job never ends");
}

/// Deals with every happening and brings every piece back.
fn deal_with_all(workshop: &mut Workshop, visit: &VisitId) {
    let open: Vec<EventId> = workshop
        .visit(visit)
        .unwrap()
        .state()
        .happenings
        .iter()
        .filter(|(_, h)| h.end.is_none())
        .map(|(event, _)| event.clone())
        .collect();
    for happening in open {
        say(workshop, visit, &VisitCommand::Say(VisitBody::DealtWith { happening, how: "found".into() }))
            .unwrap();
    }
}

#[test]
fn the_demo_visit_closes_only_when_nothing_stands_open() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.journal");
    let (mut workshop, visit) = half_way(&path);

    let open = kinds(&ledger(&mut workshop, &visit));
    for kind in [
        LedgerLineKind::Lost,
        LedgerLineKind::FingerTight,
        LedgerLineKind::Uncapped,
        LedgerLineKind::Off,
        LedgerLineKind::Happening,
    ] {
        assert!(open.contains(&kind), "{kind:?} stands open half-way: {open:?}");
    }
    let now = ledger(&mut workshop, &visit);
    assert!(!now.may_be_started().yes);
    let close = VisitCommand::Say(VisitBody::Closed { name: "test hand".into() });
    assert!(matches!(say(&mut workshop, &visit, &close), Err(WorkshopError::Refused(_))));

    // The rest is planned anew round what is off, with the steps that the seized bolt asks for.
    let replan = workshop.prepare_replan(&visit, "a bolt is seized").unwrap();
    let remade = replan.plan_rest(SolverBudget::sized()).unwrap();
    assert!(workshop.adopt_plan(&remade).unwrap());
    // Asked again with nothing new there is nothing more to do, and at leisure the order is no worse.
    let again = workshop.prepare_replan(&visit, "at leisure").unwrap().plan_rest(leisure_budget()).unwrap();
    assert!(again.saves_s() > -1e-6, "{} s", again.saves_s());
    assert!(workshop.adopt_plan(&again).unwrap());
    assert!(!workshop.adopt_plan(&remade).unwrap(), "a plan that was overtaken is not taken in");
    say(&mut workshop, &visit, &VisitCommand::Say(VisitBody::Resumed)).unwrap();
    finish(&mut workshop, &visit);
    deal_with_all(&mut workshop, &visit);
    let left = ledger(&mut workshop, &visit);
    assert!(left.is_zero(), "{:?}", left.lines.iter().map(|l| (&l.key, &l.what)).collect::<Vec<_>>());

    one_by_one(&mut workshop, &visit, &close);

    say(&mut workshop, &visit, &close).unwrap();
    drop(workshop);
    let mut again = Workshop::open(&path).unwrap();
    assert!(again.visit(&visit).unwrap().state().closed.is_some());
    assert!(carry::check_archive(again.archive()).unwrap().is_well());
}

/// Each of the three alone keeps the visit open; taken back, the ledger reads zero again.
fn one_by_one(workshop: &mut Workshop, visit: &VisitId, close: &VisitCommand) {
    let (fixing, hole, opening) = {
        let live = workshop.visit(visit).unwrap();
        let tight = live
            .state()
            .fasteners
            .iter()
            .find(|(_, _, f)| f.state == FastenerState::Tight)
            .map(|(fixing, hole, _)| (fixing.to_owned(), hole.to_owned()))
            .unwrap();
        let opening = live.state().openings.keys().next().unwrap().clone();
        (tight.0, tight.1, opening)
    };
    let lost = VisitCommand::Say(VisitBody::Happened {
        what: VisitHappeningKind::Lost,
        at: EventPlace::default(),
        words: "a socket".into(),
    });
    let loose = VisitCommand::Mark {
        fixing,
        holes: BTreeSet::from([hole]),
        to: FastenerState::FingerTight,
        slot: None,
    };
    let cap = VisitCommand::Cap { opening, count: Some(1) };
    for (command, kind) in
        [(lost, LedgerLineKind::Lost), (loose, LedgerLineKind::FingerTight), (cap, LedgerLineKind::CapsIn)]
    {
        say(workshop, visit, &command).unwrap();
        assert!(kinds(&ledger(workshop, visit)).contains(&kind));
        let refused = say(workshop, visit, close);
        assert!(matches!(refused, Err(WorkshopError::Refused(_))), "{kind:?} alone keeps it open");
        let device = workshop.device().clone();
        say(workshop, visit, &VisitCommand::UndoLast { device }).unwrap();
        assert!(ledger(workshop, visit).is_zero(), "taking {kind:?} back restores the ledger");
    }
}

#[test]
fn a_part_left_off_leaves_its_opening_without_a_cap() {
    let folder = tempfile::tempdir().unwrap();
    let (mut workshop, visit) = half_way(&folder.path().join("shop.journal"));
    let ledger = ledger(&mut workshop, &visit);
    let line = ledger.lines.iter().find(|line| line.kind == LedgerLineKind::Uncapped).unwrap();
    let reasons = &ledger.may_be_started().reasons;
    assert!(reasons.iter().any(|reason| reason.line == line.key), "an open port stands against starting");
}

#[test]
fn what_is_no_event_is_kept_aside_and_a_resend_counts_once() {
    let folder = tempfile::tempdir().unwrap();
    let (mut workshop, visit) = half_way(&folder.path().join("shop.journal"));
    let device = workshop.device().clone();
    let before = workshop.visit(&visit).unwrap().history().event_count();
    let texts = [String::from("{"), String::from("{\"id\":\"x\"}"), String::new()];
    let sent = workshop.take_events(&visit, &device, &texts).unwrap().sent;
    assert!(sent.iter().all(|s| s.verdict == app::workshop::IntakeVerdict::Aside && s.reason.is_some()));
    assert_eq!(workshop.visit(&visit).unwrap().history().event_count(), before);
    use app::workshop::EventArchive;
    assert_eq!(workshop.archive().list_asides().unwrap().len(), 3, "nothing that was sent is lost");

    let last = workshop.visit(&visit).unwrap().history().events().last().unwrap().clone();
    let text = serde_json::to_string(&last).unwrap();
    let again = workshop.take_events(&visit, &device, &[text]).unwrap();
    assert!(!again.asks_for_new_plan, "what is known asks for nothing");
    assert_eq!(again.sent[0].verdict, app::workshop::IntakeVerdict::Known);
}

#[test]
fn a_workshop_opened_again_shows_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.journal");
    let (mut workshop, visit) = half_way(&path);
    let state = workshop.visit(&visit).unwrap().state().clone();
    workshop.save_all_visits().unwrap();
    say(&mut workshop, &visit, &VisitCommand::Say(VisitBody::Resumed)).unwrap();
    let later = workshop.visit(&visit).unwrap().state().clone();
    drop(workshop);
    let mut again = Workshop::open(&path).unwrap();
    assert_eq!(again.visit(&visit).unwrap().state(), &later, "saved state and the events since");
    assert_ne!(state, later);
}

#[test]
fn many_visits_take_turns_and_their_cards_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("test.journal");
    let (mut workshop, first) = half_way(&path);
    let opening: Vec<Event> = workshop.visit(&first).unwrap().history().events()[..3].to_vec();
    let mut visits = vec![first];
    for number in 2..=7 {
        let visit = VisitId::new(&format!("visit-{number}")).unwrap();
        let begun = opening.iter().cloned().map(|event| {
            let id = EventId::new(&format!("begun-{number}-{}", event.order.count)).unwrap();
            AnyEvent::from(Event { stream: (&visit).into(), id, ..event })
        });
        workshop.archive_mut().append_events(&begun.collect::<Vec<_>>()).unwrap();
        visits.push(visit);
    }
    for round in 0..3 {
        for visit in &visits {
            let words = format!("round {round}");
            say(
                &mut workshop,
                visit,
                &VisitCommand::Say(VisitBody::Noted { words, at: EventPlace::default() }),
            )
            .unwrap();
        }
    }
    for visit in &visits[1..] {
        assert_eq!(workshop.visit(visit).unwrap().state().notes.len(), 3, "{visit}");
    }
    let made: Vec<_> = visits.iter().map(|v| app::bench::visit_card(workshop.visit(v).unwrap())).collect();
    let sorted = |mut cards: Vec<app::bench::VisitCard>| {
        cards.sort_by(|a, b| a.id.cmp(&b.id));
        cards
    };
    assert_eq!(sorted(app::bench::visit_cards(&mut workshop).unwrap()), sorted(made.clone()));
    drop(workshop);
    let mut again = Workshop::open(&path).unwrap();
    for _ in 0..2 {
        assert_eq!(
            sorted(app::bench::visit_cards(&mut again).unwrap()),
            sorted(made.clone()),
            "kept or made anew"
        );
    }
    // What another program adds is seen: a kept card holds for the events that it was made from alone.
    let lost = VisitCommand::Say(VisitBody::Happened {
        what: VisitHappeningKind::Lost,
        at: EventPlace::default(),
        words: String::new(),
    });
    say(&mut Workshop::open(&path).unwrap(), &visits[3], &lost).unwrap();
    let cards = app::bench::visit_cards(&mut Workshop::open(&path).unwrap()).unwrap();
    let card = cards.iter().find(|card| card.id == visits[3]).unwrap();
    assert_eq!((card.open, made[3].open), (1, 0));
}

#[test]
fn a_picture_is_turned_shrunk_and_stripped() {
    let folder = tempfile::tempdir().unwrap();
    let (mut workshop, visit) = half_way(&folder.path().join("shop.journal"));
    let picture = sideways();
    assert!(contains(&picture, b"Exif"));
    let kept = workshop.put_picture(&visit, &picture).unwrap();
    use app::workshop::EventArchive;
    let copy = workshop.archive().find_document(&kept.picture).unwrap().unwrap();
    assert!(!contains(&copy.bytes, b"Exif"), "where it was taken does not travel with the copy");
    let size = image::load_from_memory(&copy.bytes).unwrap();
    assert_eq!((size.width(), size.height()), (1_200, 1_600), "upright, its long side 1,600");
    assert_eq!(workshop.archive().find_document(&kept.original).unwrap().unwrap().bytes, picture);
    assert!(matches!(workshop.put_picture(&visit, b"no picture"), Err(WorkshopError::Picture(_))));
}

fn contains(bytes: &[u8], text: &[u8]) -> bool {
    bytes.windows(text.len()).any(|w| w == text)
}

fn without_book(workshop: &mut Workshop, odometer: &str) -> VisitId {
    let new = NewVisit {
        letter: workshop.free_letter().unwrap(),
        name: "a stranger (invented)".into(),
        odometer: Some(odometer.into()),
        ..NewVisit::default()
    };
    workshop.begin_visit(&new, &SilentObserver).unwrap()
}

#[test]
fn a_visit_without_book_and_plan_is_worked_and_closed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.journal");
    let mut workshop = Workshop::open(&path).unwrap();
    let visit = without_book(&mut workshop, "98,500 mi");
    let card = app::bench::visit_card(workshop.visit(&visit).unwrap());
    assert_eq!((card.book, card.steps, card.open), (None, None, 0));
    assert!(card.troubles[0].contains("no book, tool store or plan"), "{:?}", card.troubles);
    let at = EventPlace::default();
    let put_in = VisitBody::PutIn { what: PutInKind::Rag, words: "intake".into(), count: 1, at: at.clone() };
    let device = workshop.device().clone();
    let rag = workshop.carry_out_command(&visit, &device, &put_in.into()).unwrap()[0].id.clone();
    let picture = workshop.put_picture(&visit, &sideways()).unwrap();
    let pictured =
        VisitBody::Pictured { picture: picture.picture, original: picture.original, at: at.clone() };
    say(&mut workshop, &visit, &pictured.into()).unwrap();
    say(&mut workshop, &visit, &VisitBody::Paused { words: String::new(), at }.into()).unwrap();
    say(&mut workshop, &visit, &VisitBody::Resumed.into()).unwrap();
    let close = VisitCommand::Say(VisitBody::Closed { name: "Kim".into() });
    assert!(matches!(say(&mut workshop, &visit, &close), Err(WorkshopError::Refused(_))), "a rag is in");
    let tick = VisitCommand::Tick { step: 1 };
    assert!(
        matches!(say(&mut workshop, &visit, &tick), Err(WorkshopError::Refused(_))),
        "there are no steps"
    );
    assert!(matches!(workshop.prepare_replan(&visit, "w"), Err(WorkshopError::Missing(_))));
    say(&mut workshop, &visit, &VisitBody::TakenOut { put_in: rag, count: 1 }.into()).unwrap();
    say(&mut workshop, &visit, &close).unwrap();
    drop(workshop);
    let mut again = Workshop::open(&path).unwrap();
    assert!(again.visit(&visit).unwrap().state().closed.is_some());
}

#[test]
fn a_vehicle_has_its_own_stream_which_travels_with_its_visit() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("a.journal")).unwrap();
    let first = without_book(&mut workshop, "98,500 mi");
    let known = workshop.list_vehicles().unwrap().remove(0);
    assert_eq!(known.record.name(), Some("a stranger (invented)"));
    assert_eq!(known.record.odometer().unwrap().reading.to_string(), "98500 mi");
    let again = NewVisit {
        letter: workshop.free_letter().unwrap(),
        vehicle: Some(known.id.clone()),
        odometer: Some("about a hundred thousand".into()),
        ..NewVisit::default()
    };
    let second = workshop.begin_visit(&again, &SilentObserver).unwrap();
    let known = workshop.vehicle(&known.id).unwrap();
    assert_eq!(known.record.visit_ids(), [first.clone(), second]);
    assert_eq!(known.record.odometers.len(), 1, "what is no figure is a remark");
    assert!(known.record.remarks[0].value.contains("about a hundred thousand"));

    let file = folder.path().join("one.visit");
    carry::export_visit(workshop.archive(), &first, &file).unwrap();
    let mut other = Workshop::open(&folder.path().join("b.journal")).unwrap();
    let carried = carry::import_visit(other.archive_mut(), &file).unwrap();
    assert_eq!((carried.visits, carried.beside.len()), (vec![first], 1));
    assert_eq!(
        other.vehicle(&known.id).unwrap().record,
        known.record,
        "all claims of the vehicle went along"
    );
    let workshops = carry::SqliteArchive::open_to_read(&file).unwrap().list_streams(StreamKind::Workshop);
    assert!(workshops.unwrap().is_empty(), "the workshop's own stream stays");
}

#[test]
fn without_a_book_and_before_anything_is_recorded_nothing_is_known() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("shop.journal")).unwrap();
    let visit = without_book(&mut workshop, "98,500 mi");
    let words = "no book and nothing recorded: this says nothing about the engine";
    let mut shown = || {
        let live = workshop.visit(&visit).unwrap();
        let card = app::bench::visit_card(live);
        let ledger = Ledger::draw_up(live.state(), live.book());
        let page = app::text::visit::format_ledger(
            &ledger,
            card.no_ground.as_deref(),
            app::text::table::PageWidth::USUAL,
        );
        [app::text::visit::format_visit_card(&card, app::text::table::PageWidth::USUAL), page]
    };
    for text in shown() {
        assert!(text.contains(words) && text.matches("not known").count() == 3, "{text}");
        assert!(!text.contains("allowed by the rules"), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
    let count = VisitBody::Counted { what: "cover bolts".into(), expected: 6, counted: 6 };
    say(&mut workshop, &visit, &count.into()).unwrap();
    let card = app::bench::visit_card(workshop.visit(&visit).unwrap());
    assert_eq!(card.no_ground, None, "something was recorded");
    assert!(
        app::text::visit::format_visit_card(&card, app::text::table::PageWidth::USUAL)
            .contains("started   allowed by the rules")
    );
}

#[test]
fn an_odometer_is_shown_in_one_way_however_it_was_written() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("shop.journal")).unwrap();
    for written in ["412,300 km", "412 300 km", "412300 km", "412\u{202f}300km"] {
        let visit = without_book(&mut workshop, written);
        let card = app::bench::visit_card(workshop.visit(&visit).unwrap());
        assert_eq!(card.odometer.as_deref(), Some("412300 km"), "{written}");
        let known = workshop.list_vehicles().unwrap().pop().unwrap();
        assert_eq!(known.record.odometer().unwrap().reading.to_string(), "412300 km", "{written}");
    }
}

#[test]
fn a_plan_that_cannot_be_read_lets_the_last_good_one_stand() {
    let folder = tempfile::tempdir().unwrap();
    let (mut workshop, visit) = half_way(&folder.path().join("shop.journal"));
    let other = without_book(&mut workshop, "1 km");
    let missing = ContentDigest::new(&"7".repeat(64)).unwrap();
    let planned = VisitBody::Planned { plan: missing, why: "by a device".into(), again: Default::default() };
    say(&mut workshop, &visit, &planned.into()).unwrap();
    let live = workshop.visit(&visit).unwrap();
    assert!(live.plan().is_some(), "the plan before it stands");
    assert!(live.unreadable_texts()[0].contains("missing from the journal"), "{:?}", live.unreadable_texts());
    let cards = app::bench::visit_cards(&mut workshop).unwrap();
    assert_eq!(cards.len(), 2);
    assert!(cards.iter().any(|card| card.id == other), "no visit hurts another");
    let device = workshop.device().clone();
    say(&mut workshop, &visit, &VisitCommand::UndoLast { device }).unwrap();
    assert!(workshop.visit(&visit).unwrap().unreadable_texts().is_empty(), "taken back, all is as before");
}

/// A JPEG of 2,000 by 1,500 whose EXIF says "turn a quarter to the right" (TIFF orientation 6).
fn sideways() -> Vec<u8> {
    let image =
        image::RgbImage::from_fn(2_000, 1_500, |x, y| image::Rgb([(x % 251) as u8, (y % 241) as u8, 7]));
    let mut jpeg = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 60);
    image.write_with_encoder(encoder).unwrap();
    // APP1: "Exif", a big-endian TIFF header, one entry: tag 0x0112, type SHORT, count 1, value 6.
    let exif: &[u8] = &[
        0xFF, 0xE1, 0x00, 0x22, b'E', b'x', b'i', b'f', 0, 0, b'M', b'M', 0, 42, 0, 0, 0, 8, 0, 1, 0x01,
        0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0,
    ];
    [&jpeg[..2], exif, &jpeg[2..]].concat()
}
