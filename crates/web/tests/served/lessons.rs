//! What visits teach behind the door: a tap takes it into the book, another takes it back, and nobody writes what nobody proposes.

use app::record::{EventPlace, VisitBody, VisitHappeningKind};
use axum::http::StatusCode;

use crate::shop::{DoorRequest, FORM, Shop};
use crate::visits::{EventPen, begin_little_visit};

#[tokio::test]
async fn a_lesson_is_taken_and_taken_back_by_a_tap() {
    let (shop, visit) = Shop::prepared(|workshop| {
        let visit = begin_little_visit(workshop);
        let fixing = workshop.visit(&visit).unwrap().book().unwrap().fixings[0].clone();
        let at = EventPlace { fixing: Some(fixing.key), ..EventPlace::default() };
        let words = String::new();
        let broke = VisitBody::Happened { what: VisitHappeningKind::Broken, at, words };
        EventPen::of_workshop(workshop, &visit).say(workshop, vec![broke]);
        visit
    });
    let tablet = shop.pair("tablet").await;
    let way = format!("/lessons?visit={visit}");
    let page = shop.page(&tablet, &way).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.words().contains("one broke off in 1 of 1 visit"), "{}", page.words());
    let hidden = |text: &str| {
        let from = text.split("name=\"of\" value=\"").nth(1).unwrap();
        from.split('"').next().unwrap().replace(' ', "+")
    };
    let decide = async |of: &str, verdict: &str| {
        let body = format!("book=&visit={visit}&of={of}&verdict={verdict}").into_bytes();
        let request = DoorRequest::post("/lessons", "").of(&tablet).with_body(FORM, body);
        let answer = shop.ask(request).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
        shop.page(&tablet, &way).await
    };
    let topic = hidden(&page.text);
    let strange = decide("order+a+b", "take").await;
    assert!(!strange.words().contains("In the book"), "nobody proposes it: {}", strange.words());
    let taken = decide(&topic, "take").await;
    assert!(taken.words().contains("In the book"), "{}", taken.words());
    assert!(!taken.text.contains("value=\"take\""), "it does not come again");
    let back = decide(&hidden(&taken.text), "undo").await;
    assert!(
        !back.words().contains("In the book") && back.text.contains("value=\"take\""),
        "{}",
        back.words()
    );
    let left = decide(&topic, "leave").await;
    assert!(left.words().contains("Left, until more visits say it"), "{}", left.words());
}

#[tokio::test]
async fn an_engine_that_is_not_there_teaches_nothing() {
    let shop = Shop::empty();
    let tablet = shop.pair("tablet").await;
    for way in ["/lessons", "/lessons?book=none", "/lessons?visit=none", "/lessons?visit=%20"] {
        assert_eq!(shop.page(&tablet, way).await.status, StatusCode::NOT_FOUND, "{way}");
    }
}
