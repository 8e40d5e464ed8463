//! The calendar by taps: what a form of its page writes, and what the page then says.

use std::path::Path;

use app::record::VisitBody;
use app::week::parse_stretches;
use app::workshop::{VisitId, Workshop};
use axum::http::StatusCode;

use crate::shop::{DoorRequest, Shop, TestDevice};
use crate::visits::begin_planned_visit;

/// Two vehicles on the small book with a lift; the first stands on it. The shop is always open, so that the clock says nothing.
fn two_vans(workshop: &mut Workshop) -> (VisitId, VisitId) {
    let book = || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/lifted-book");
    let a = begin_planned_visit(workshop, book(), &[]);
    let device = workshop.device().clone();
    let up = VisitBody::SettingChanged { setting: "lift".into(), value: "up".into() };
    workshop.carry_out_command(&a, &device, &up.into()).unwrap();
    let stretches = parse_stretches(["Mon-Sun 00:00-24:00"]).unwrap();
    let hours = app::record::WorkshopBody::HoursSet { stretches };
    workshop.say_of_workshop(&device, vec![hours]).unwrap();
    let new = app::workshop::NewVisit {
        letter: String::from("B"),
        name: String::from("second bus (invented)"),
        book: Some(book()),
        store: Some(crate::visits::demo_folder().join("store")),
        request: Some(crate::visits::quick_request("B")),
        ..Default::default()
    };
    let b = workshop.begin_visit(&new, &app::ask::SilentObserver).unwrap();
    (a, b)
}

async fn say(shop: &Shop, device: &TestDevice, form: &str) {
    let answer = shop.ask(DoorRequest::post("/calendar", form).of(device)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{form}: {}", answer.words());
}

async fn words(shop: &Shop, device: &TestDevice) -> String {
    let answer = shop.page(device, "/calendar").await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.words());
    answer.words()
}

#[tokio::test]
async fn every_tap_writes_and_the_page_says_it() {
    let (shop, (a, b)) = Shop::prepared(two_vans);
    let device = shop.pair("phone").await;
    let page = words(&shop, &device).await;
    for said in
        ["Finished, four times in five, by", "Nothing promised.", "Lost today", "A day later", "In 3 days"]
    {
        assert!(page.contains(said), "{said}: {page}");
    }
    say(&shop, &device, &format!("what=promise&visit={a}&to=later")).await;
    assert!(words(&shop, &device).await.contains("Promised for "));
    say(&shop, &device, &format!("what=promise&visit={a}&to=none")).await;
    assert!(!words(&shop, &device).await.contains("Promised for "));
    say(&shop, &device, &format!("what=part&visit={a}&part=undertray&to=3")).await;
    let page = words(&shop, &device).await;
    assert!(page.contains("undertray comes on "), "{page}");
    assert!(page.contains("A has the lift until ") && page.contains("Cheapest: "), "{page}");
    say(&shop, &device, &format!("what=part&visit={a}&part=undertray&to=here&date=")).await;
    assert!(!words(&shop, &device).await.contains("undertray comes on "));
    say(&shop, &device, &format!("what=first&visit={b}&to=yes")).await;
    assert!(words(&shop, &device).await.contains("goes first"));
    say(&shop, &device, "what=hours&hours=Mon-Sun+00%3A00-24%3A00").await;
    say(&shop, &device, "what=helper&hours=").await;
}

#[tokio::test]
async fn the_sheet_of_the_day_says_what_to_lay_on_the_cart_for_both() {
    let (shop, _) = Shop::prepared(two_vans);
    let device = shop.pair("phone").await;
    let page = shop.page(&device, "/today").await.words();
    assert!(page.contains("Lay on the cart") && page.contains(", for A and B."), "{page}");
}

#[tokio::test]
async fn a_letter_that_is_taken_is_told_on_the_form_with_one_that_is_free() {
    let (shop, _) = Shop::prepared(two_vans);
    let device = shop.pair("phone").await;
    let form = "book=&name=third+bus&letter=A";
    let answer = shop.ask(DoorRequest::post("/begin", form).of(&device)).await;
    assert!(answer.words().contains("give this vehicle another: C is free"), "{}", answer.words());
    assert_eq!(shop.page(&device, "/calendar").await.words().matches("third bus").count(), 0);
}

#[tokio::test]
async fn what_is_no_date_is_refused_in_words_and_a_foreign_form_leads_nowhere() {
    let (shop, (a, _)) = Shop::prepared(two_vans);
    let device = shop.pair("phone").await;
    for (form, status, said) in [
        (format!("what=promise&visit={a}&to=date&date=soon"), StatusCode::CONFLICT, "not a date"),
        (format!("what=part&visit={a}&part=undertray&to=date&date="), StatusCode::CONFLICT, "not a date"),
        (String::from("what=hours&hours=always"), StatusCode::CONFLICT, "write"),
        (String::from("what=closed&date=2001-01-01"), StatusCode::CONFLICT, "is over"),
        (String::from("what=first&visit=nobody&to=yes"), StatusCode::NOT_FOUND, "no such page"),
        (String::from("what=paint"), StatusCode::NOT_FOUND, "no such page"),
        (String::new(), StatusCode::NOT_FOUND, "no such page"),
    ] {
        let answer = shop.ask(DoorRequest::post("/calendar", form.clone()).of(&device)).await;
        assert_eq!(answer.status, status, "{form}: {}", answer.words());
        assert!(answer.words().contains(said), "{form}: {}", answer.words());
    }
    assert!(words(&shop, &device).await.contains("Nothing promised."));
}

#[tokio::test]
async fn without_a_plan_the_page_says_so_and_still_takes_hours() {
    let shop = Shop::empty();
    let device = shop.pair("phone").await;
    assert!(words(&shop, &device).await.contains("plan one first"));
    say(&shop, &device, "what=hours&hours=Mon-Fri+08%3A00-16%3A00").await;
    assert!(shop.page(&device, "/calendar").await.text.contains("Mon-Fri 08:00-16:00"));
}

/// Allowance and first-time factor by the page *Workshop*: kept, said on the calendar, refused in words where out of range.
#[tokio::test]
async fn the_allowance_is_set_from_the_page_and_moves_the_calendar() {
    let (shop, _) = Shop::prepared(two_vans);
    let device = shop.pair("phone").await;
    assert!(shop.page(&device, "/workshop").await.words().contains("they are assumed"));
    let post = |form: &'static str| shop.ask(DoorRequest::post("/workshop/times", form).of(&device));
    assert_eq!(post("allowance=40&first_time=1.5").await.status, StatusCode::SEE_OTHER);
    let page = shop.page(&device, "/workshop").await.text;
    assert!(page.contains("value=\"40\"") && page.contains("value=\"1.5\""), "{page}");
    let page = words(&shop, &device).await;
    assert!(page.contains("1.40 times the planned times") && page.contains("engine is new here"), "{page}");
    let refused = post("allowance=much&first_time=1").await;
    assert!(refused.words().contains("is no allowance"), "{}", refused.words());
}
