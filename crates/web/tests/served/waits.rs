//! Waits on the pages: how long is left of each by the record, on the sheet that waits, beside other work, in the ledger and on the
//! way back.

use app::model::plan::StepKind;
use app::record::{EventPlace, VisitBody};
use app::workshop::{VisitId, Workshop, now_ms};
use axum::http::StatusCode;

use crate::shop::Shop;
use crate::visits::{EventPen, begin_planned_visit, demo_folder, next_step};

const MINUTE_MS: i64 = 60_000;

/// The thermostat of the demo's bus, worked until the engine has cooled for some minutes: the plan waits 90 min for it.
fn cooling_for(workshop: &mut Workshop, minutes: i64) -> (VisitId, EventPen) {
    let visit = begin_planned_visit(workshop, demo_folder().join("books/tern-24"), &["renew-thermostat"]);
    let mut pen = EventPen::of_workshop(workshop, &visit);
    // Half a minute within the minute, so that a slow test says the same.
    pen.clock_ms = now_ms() - minutes * MINUTE_MS + MINUTE_MS / 2;
    while !workshop.visit(&visit).unwrap().state().conditions.contains_key("engine-cold") {
        pen.tick(workshop).expect("the engine cools before anything is drained");
    }
    (visit, pen)
}

/// The same, at the step that waits for it.
fn waiting_for(workshop: &mut Workshop, minutes: i64) -> (VisitId, EventPen) {
    let (visit, mut pen) = cooling_for(workshop, minutes);
    while next_step(workshop, &visit).unwrap().kind != StepKind::Wait {
        pen.tick(workshop).unwrap();
    }
    (visit, pen)
}

#[tokio::test]
async fn what_cools_is_told_beside_other_work_and_large_on_its_own_step() {
    let (shop, (visit, _)) = Shop::prepared(|workshop| waiting_for(workshop, 56));
    let device = shop.pair("tablet").await;
    let sheet = shop.page(&device, &format!("/v/{visit}/bench")).await;
    sheet.assert_says(
        StatusCode::OK,
        &["Wait: engine cold enough to touch.", "35 min left", "[The wait begins]"],
    );
    assert!(sheet.text.contains("class=\"clock figure\""), "{}", sheet.text);

    let (shop, (visit, _)) = Shop::prepared(|workshop| cooling_for(workshop, 56));
    let device = shop.pair("tablet").await;
    let sheet = shop.page(&device, &format!("/v/{visit}/bench")).await;
    sheet.assert_says(StatusCode::OK, &["Engine cold enough to touch: 35 min left"]);
}

#[tokio::test]
async fn the_ledger_and_the_way_back_say_what_runs_and_what_is_over() {
    let (shop, visit) = Shop::prepared(|workshop| {
        let (visit, mut pen) = waiting_for(workshop, 103);
        pen.tick(workshop).unwrap();
        pen.say(workshop, vec![VisitBody::Paused { words: String::new(), at: EventPlace::default() }]);
        visit
    });
    let device = shop.pair("tablet").await;
    for sheet in ["ledger", "pause"] {
        let page = shop.page(&device, &format!("/v/{visit}/{sheet}")).await;
        page.assert_says(StatusCode::OK, &["Waiting for", "Engine cold enough to touch", "ended 12 min ago"]);
    }
    let sheet = shop.page(&device, &format!("/v/{visit}/bench")).await;
    sheet.assert_says(StatusCode::OK, &["ended 12 min ago", "[The wait is over]"]);
}

#[tokio::test]
async fn a_wait_that_nobody_ticks_is_shown_for_an_hour_and_one_of_a_guessed_time_is_marked() {
    let (shop, (visit, _)) = Shop::prepared(|workshop| waiting_for(workshop, 60 + 90 + 2));
    let device = shop.pair("tablet").await;
    let ledger = shop.page(&device, &format!("/v/{visit}/ledger")).await;
    assert!(!ledger.words().contains("Engine cold enough"), "{}", ledger.words());

    // No work of a book begins this one: the usual step for a seized fastener lets penetrant creep.
    let (shop, visit) = Shop::prepared(|workshop| {
        let (visit, mut pen) = waiting_for(workshop, 200);
        pen.clock_ms = now_ms() - 10 * MINUTE_MS + MINUTE_MS / 2;
        let waiting =
            app::record::ExpectedWait { what: String::from("penetrant creeps"), seconds: Some(15 * 60) };
        pen.say(workshop, vec![VisitBody::WaitBegan { waiting, at: EventPlace::default() }]);
        visit
    });
    let device = shop.pair("tablet").await;
    let ledger = shop.page(&device, &format!("/v/{visit}/ledger")).await;
    ledger.assert_says(StatusCode::OK, &["Penetrant creeps", "~ 6 min left"]);
}
