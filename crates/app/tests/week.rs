//! Two open visits on one calendar by what is typed, and what two visits of one engine teach.

use app::ask::SilentObserver;
use app::lessons::learn_from_visits;
use app::model::FastenerState;
use app::record::{MarkedHole, VisitBody, VisitCommand, VisitId};
use app::text::table::PageWidth;
use app::week::{WeekRequest, lay_out_week};
use app::workshop::{NewVisit, Workshop, WorkshopError, leisure_budget};

fn workshop() -> Workshop {
    let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
    Workshop::over_archive(archive).expect("a workshop")
}

/// A vehicle whose engine nobody described, some parts of it off in this order, planned back.
fn opened(shop: &mut Workshop, letter: &str, parts: &[u32]) -> VisitId {
    let new = NewVisit { letter: letter.into(), name: format!("van {letter}"), ..NewVisit::default() };
    let visit = shop.begin_visit(&new, &SilentObserver).expect("a visit");
    let device = shop.device().clone();
    for number in parts {
        let (part, fixing) = (format!("seen-p{number}"), format!("seen-{letter}-f{number}").to_lowercase());
        let holes =
            (1..=2).map(|hole| MarkedHole { hole: hole.to_string(), from: FastenerState::InPlace }).collect();
        let bodies = [
            VisitBody::PartSeen { part: part.clone(), title: format!("part {number}"), part_kind: None },
            VisitBody::FixingSeen {
                fixing: fixing.clone(),
                part: part.clone(),
                drive: Some("hexagon 10 mm".into()),
                count: 2,
                first: 1,
                heads: Vec::new(),
                length: None,
            },
            VisitBody::Marked { fixing, holes, to: FastenerState::Off, slot: None, stage: None },
            VisitBody::PartOff { part },
        ];
        for body in bodies {
            let command: VisitCommand = body.into();
            shop.carry_out_command(&visit, &device, &command).expect("it is so");
        }
    }
    visit
}

fn planned(shop: &mut Workshop, visit: &VisitId) {
    let made = shop.prepare_seen_plan(visit).expect("seen").plan_rest(leisure_budget()).expect("a plan");
    assert!(shop.adopt_seen_plan(&made).expect("a disk"));
}

fn asked() -> WeekRequest {
    WeekRequest {
        now: "2027-03-01T08:00".into(),
        opens: Some("08:00".into()),
        open_h: Some(8.0),
        days: Some(5),
        ..WeekRequest::default()
    }
}

#[test]
fn two_vehicles_share_one_mechanic_and_one_is_promised() {
    let mut shop = workshop();
    let (a, b) = (opened(&mut shop, "A", &[1, 2, 3]), opened(&mut shop, "B", &[1, 2]));
    lay_out_week(&mut shop, &asked()).map(|_| ()).expect_err("no plan yet");
    planned(&mut shop, &a);
    let only_a = lay_out_week(&mut shop, &asked()).expect("a calendar").to_text(80);
    assert!(only_a.contains("B van B has no plan and is not on the calendar"), "{only_a}");
    planned(&mut shop, &b);
    let promised = WeekRequest {
        promised: vec!["B=2027-03-01T12:00".into()],
        closed: vec!["2027-03-02".into()],
        ..asked()
    };
    let text = lay_out_week(&mut shop, &promised).expect("a calendar").to_text(80);
    assert!(text.starts_with("Monday 1 March 2027"), "{text}");
    assert!(text.contains("A van A") && text.contains("B van B"), "{text}");
    let laid = lay_out_week(&mut shop, &promised).expect("a calendar");
    assert_eq!(laid.visits().len(), 2);
    assert!(
        laid.rows().first().is_some_and(|row| row.begins.words == "Mon 1 Mar 08:00"),
        "{:?}",
        laid.rows()
    );
    let longest = text.lines().map(|line| line.chars().count()).max();
    assert!(longest.is_some_and(|longest| longest <= 80), "{text}");
}

#[test]
fn what_cannot_be_a_date_is_told() {
    let mut shop = workshop();
    let a = opened(&mut shop, "A", &[1]);
    planned(&mut shop, &a);
    for wrong in [
        WeekRequest { now: "soon".into(), ..asked() },
        WeekRequest { opens: Some("early".into()), ..asked() },
        WeekRequest { open_h: Some(30.0), ..asked() },
        WeekRequest { closed: vec!["Monday".into()], ..asked() },
        WeekRequest { promised: vec!["A=soon".into()], ..asked() },
        WeekRequest { arrives: vec!["A:seen-p1".into()], ..asked() },
        WeekRequest { arrives: vec!["A:no-such=2027-03-03".into()], ..asked() },
    ] {
        assert!(matches!(lay_out_week(&mut shop, &wrong), Err(WorkshopError::Ask(_))), "{wrong:?}");
    }
}

#[test]
fn a_part_that_has_still_to_come_moves_the_finish() {
    let mut shop = workshop();
    let a = opened(&mut shop, "A", &[1, 2]);
    planned(&mut shop, &a);
    let late = WeekRequest { arrives: vec!["A:seen-p1=2027-03-03".into()], ..asked() };
    let text = lay_out_week(&mut shop, &late).expect("a calendar").to_text(80);
    assert!(text.contains("Wed 3 Mar"), "{text}");
}

#[test]
fn one_visit_proposes_nothing_and_two_that_differ_free_a_pair() {
    let mut shop = workshop();
    let a = opened(&mut shop, "A", &[1, 2, 3]);
    let book = shop.book_of_visit(&a, None).expect("a book").book.expect("it reads");
    let one = learn_from_visits(&mut shop, &book, PageWidth::USUAL).expect("one visit");
    assert!(one.contains("1 visit of this engine") && one.contains("nothing is proposed"), "{one}");
    opened(&mut shop, "B", &[2, 1, 3]);
    opened(&mut shop, "C", &[2, 1, 3]);
    let three = learn_from_visits(&mut shop, &book, PageWidth::USUAL).expect("three visits");
    assert!(three.contains("3 visits of this engine"), "{three}");
    assert!(three.contains("an order that keeps everything seen") || three.contains("AN ORDER"), "{three}");
    let other = book::read_book(&[(
        "x.toml".into(),
        b"format = \"traywright-book/2\"\ntitle = \"x\"\n[[part]]\ntitle = \"lid\"\n".to_vec(),
    )]);
    learn_from_visits(&mut shop, &other.book.expect("it reads"), PageWidth::USUAL)
        .expect_err("no visit of that engine");
}
