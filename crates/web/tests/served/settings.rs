//! Settings of the vehicle on the pages: the sheet of a step that sets one, what stands open because of it, and taking it back.

use std::path::Path;

use app::model::plan::StepKind;
use app::record::{Ledger, VisitBody};
use app::workshop::{VisitId, Workshop};
use axum::http::StatusCode;

use crate::shop::Shop;
use crate::visits::{EventPen, begin_planned_visit, next_step};

/// Opens a visit planned on the small book with a lift and a pin.
fn begin_lifted_visit(workshop: &mut Workshop) -> VisitId {
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/lifted-book");
    begin_planned_visit(workshop, book, &[])
}

/// The same, worked up to the pin, which is in with the lift up.
fn pin_is_in(workshop: &mut Workshop) -> (VisitId, EventPen) {
    let visit = begin_lifted_visit(workshop);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    while !workshop.visit(&visit).unwrap().state().settings.contains_key("crank-pin") {
        pen.tick(workshop).expect("the plan puts the pin in");
    }
    (visit, pen)
}

fn changed(setting: &str, value: &str) -> VisitBody {
    VisitBody::SettingChanged { setting: setting.into(), value: value.into() }
}

#[tokio::test]
async fn the_sheet_of_a_step_that_moves_the_lift_is_like_any_other() {
    let (shop, visit) = Shop::prepared(begin_lifted_visit);
    let device = shop.pair("tablet").await;
    let sheet = shop.page(&device, &format!("/v/{visit}/bench")).await;
    sheet.assert_says(
        StatusCode::OK,
        &[
            "Raise the vehicle and let it down into the locks.",
            "Nobody under the vehicle before it stands in the locks",
            "over the front",
            "The lift stands at up",
        ],
    );
    assert!(sheet.text.contains("class=\"sentence\""), "{}", sheet.text);
    let says = r#"data-says="[{&quot;kind&quot;:&quot;setting-changed&quot;,&quot;setting&quot;:&quot;lift&quot;,&quot;value&quot;:&quot;up&quot;}]""#;
    assert!(sheet.text.contains(says), "{}", sheet.text);
}

#[tokio::test]
async fn what_does_not_stand_as_it_should_is_on_the_first_page_and_in_the_ledger() {
    let (shop, visit) = Shop::prepared(|workshop| pin_is_in(workshop).0);
    let device = shop.pair("tablet").await;
    let lines = [
        "The lift stands at up",
        "bring it to ground before hand-over",
        "The crank pin is in",
        "take it out before the crank is turned",
    ];
    shop.page(&device, "/").await.assert_says(StatusCode::OK, &lines);
    let ledger = shop.page(&device, &format!("/v/{visit}/ledger")).await;
    let words = ledger.words();
    for line in
        ["the lift stands at up", "the crank pin is in", "The lift stands at ground", "The crank pin is out"]
    {
        assert!(words.contains(line), "“{line}” is not in: {words}");
    }
    shop.page(&device, &format!("/v/{visit}/pause"))
        .await
        .assert_says(StatusCode::OK, &["the crank pin is in"]);
    let tell = shop.page(&device, &format!("/v/{visit}/tell")).await;
    tell.assert_says(
        StatusCode::OK,
        &["How the vehicle stands", "The lift stands at ground", "The crank pin is out"],
    );
}

#[tokio::test]
async fn a_change_from_a_page_counts_and_can_be_taken_back() {
    let (shop, visit) = Shop::prepared(begin_lifted_visit);
    let device = shop.pair("tablet").await;
    let mut pen = EventPen::new(&visit, &device.id);
    let up = pen.write(changed("lift", "up"));
    let id = up["id"].as_str().unwrap().to_owned();
    assert_eq!(shop.send_each(&device, &visit, &[up]).await, [(String::from("kept"), String::new())]);
    let ledger = format!("/v/{visit}/ledger");
    shop.page(&device, &ledger).await.assert_says(StatusCode::OK, &["the lift stands at up", "1 line open"]);
    let bench = shop.page(&device, &format!("/v/{visit}/bench")).await;
    bench.assert_says(StatusCode::OK, &["under the front", "step 2 to 3 of"]);
    let event = app::record::EventId::new(&id).unwrap();
    let back = pen.write(VisitBody::Undone { event });
    shop.send_each(&device, &visit, &[back]).await;
    shop.page(&device, &ledger).await.assert_says(StatusCode::OK, &["Nothing is open."]);
    let empty = pen.write(changed("lift", " "));
    let sent = shop.send_each(&device, &visit, &[empty]).await;
    assert_eq!(
        sent,
        [(String::from("aside"), String::from("it contains an impossible value: a key is empty"))]
    );
}

#[tokio::test]
async fn what_other_steps_change_is_told_on_their_sheet_and_recorded_with_their_tick() {
    let (shop, visit) = Shop::prepared(|workshop| {
        let (visit, mut pen) = pin_is_in(workshop);
        while next_step(workshop, &visit)
            .is_some_and(|step| step.part.as_deref() != Some("cover") || step.kind != StepKind::Remove)
        {
            pen.tick(workshop).unwrap();
        }
        visit
    });
    let device = shop.pair("tablet").await;
    let bench = format!("/v/{visit}/bench");
    shop.page(&device, &bench)
        .await
        .assert_says(StatusCode::OK, &["after it the belt drive is “bare”", "Front cover off"]);
    let mut pen = EventPen::new(&visit, &device.id);
    let off = VisitBody::PartOff { part: "cover".into() };
    let sheet = shop.page(&device, &bench).await;
    assert!(
        sheet.text.contains("&quot;setting&quot;:&quot;belt-drive&quot;,&quot;value&quot;:&quot;bare&quot;"),
        "{}",
        sheet.text
    );
    let events = [pen.write(off), pen.write(changed("belt-drive", "bare"))];
    shop.send_each(&device, &visit, &events).await;
    let ledger = shop.page(&device, &format!("/v/{visit}/ledger")).await;
    ledger
        .assert_says(StatusCode::OK, &["the belt drive is “bare”", "bring it to “covered” before hand-over"]);
}

#[test]
fn the_whole_job_is_ticked_in_the_order_of_the_plan_and_leaves_nothing_open() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("shop.journal")).unwrap();
    let visit = begin_lifted_visit(&mut workshop);
    let steps = app::record::steps_of(workshop.visit(&visit).unwrap().plan().unwrap()).count();
    let mut pen = EventPen::of_workshop(&workshop, &visit);
    let mut seen = Vec::new();
    while let Some(step) = next_step(&mut workshop, &visit) {
        assert!(seen.len() < 4 * steps, "step {} does not end: {seen:?}", step.number);
        seen.extend(pen.tick(&mut workshop));
    }
    seen.dedup();
    assert!(seen.is_sorted_by(|a, b| a < b), "{seen:?}");
    // A part that comes off with its last fasteners, or goes on with its first, has no sheet of its own.
    let of_step = |number: &u32| {
        seen.contains(number) || seen.contains(&(number - 1)) || seen.contains(&number.saturating_sub(2))
    };
    assert!((1..=u32::try_from(steps).unwrap()).all(|number| of_step(&number)), "{seen:?}");
    let live = workshop.visit(&visit).unwrap();
    assert_eq!(live.state().settings["lift"].changes().len(), 4, "up, down, up and down");
    let ledger = Ledger::draw_up(live.state(), live.book());
    assert!(ledger.is_zero(), "{:#?}", ledger.lines);
    let record = app::records::VisitRecord::of_card(&app::bench::visit_card(live));
    assert!(record.settings.is_empty());
}

#[test]
fn the_rest_is_planned_from_where_the_settings_stand() {
    let folder = tempfile::tempdir().unwrap();
    let mut workshop = Workshop::open(&folder.path().join("shop.journal")).unwrap();
    let (visit, mut pen) = pin_is_in(&mut workshop);
    let record = app::records::VisitRecord::of_card(&app::bench::visit_card(workshop.visit(&visit).unwrap()));
    let told: Vec<(&str, &str)> =
        record.settings.iter().map(|s| (s.setting.as_str(), s.value.as_str())).collect();
    assert_eq!(told, [("lift", "up"), ("crank-pin", "in")]);
    let replan = workshop.prepare_replan(&visit, "to see").unwrap();
    let remade = replan.plan_rest(app::workshop::SolverBudget::sized()).unwrap();
    assert!(workshop.adopt_plan(&remade).unwrap());
    let next = next_step(&mut workshop, &visit).unwrap();
    assert_eq!(next.sets.len(), 1, "{next:?}");
    assert_eq!((next.sets[0].setting.as_str(), next.sets[0].value.as_str()), ("lift", "ground"));
    while pen.tick(&mut workshop).is_some() {}
    let live = workshop.visit(&visit).unwrap();
    assert!(Ledger::draw_up(live.state(), live.book()).is_zero());
}
