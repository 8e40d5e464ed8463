//! What a device sends and the archive keeps: each event once, in the words in which it was sent, whatever its clock said.

use app::record::{AnyEvent, MAX_EVENT_BYTES, MAX_ROUNDS, VisitBody};
use app::workshop::carry;
use axum::http::{Method, StatusCode};
use serde_json::{Value, json};
use web::{AddressAccess, list_routes};

use crate::doors::request_of;
use crate::shop::Shop;
use crate::visits::{EventPen, begin_bare_visit};

fn kept() -> (String, String) {
    ("kept".to_owned(), String::new())
}

/// Names of events, as sent.
fn ids(events: &[Value]) -> Vec<&str> {
    events.iter().map(|event| event["id"].as_str().unwrap()).collect()
}

#[tokio::test]
async fn well_formed_events_are_kept_as_they_were_sent_and_outlive_a_restart() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let opened = shop.kept_events(&visit).len();
    let mut pen = EventPen::new(&visit, &device.id);
    let events = [pen.note("first"), pen.note("zweite: „Öl“ ⚠"), pen.note("")];
    assert_eq!(shop.send_each(&device, &visit, &events).await, [kept(), kept(), kept()]);
    let shop = shop.restarted();
    let in_archive = shop.kept_events(&visit).split_off(opened);
    let texts: Vec<Value> =
        in_archive.iter().map(|k| serde_json::from_str(&k.event.to_json().unwrap()).unwrap()).collect();
    assert_eq!(texts, events);
    assert_eq!(shop.asides(), []);
    let health = carry::check_archive(&shop.archive()).unwrap();
    assert!(health.is_well(), "{:?}", health.faults);
    let page = shop.page(&device, &format!("/v/{visit}/bench")).await;
    page.assert_says(StatusCode::OK, &["first", "zweite: „Öl“ ⚠"]);
}

#[tokio::test]
async fn an_event_that_comes_twice_counts_once() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let opened = shop.kept_events(&visit).len();
    let mut pen = EventPen::new(&visit, &device.id);
    let events = [pen.note("once"), pen.note("more")];
    let known = ("known".to_owned(), String::new());
    let twice = [events[0].clone(), events[0].clone()];
    assert_eq!(shop.send_each(&device, &visit, &twice).await, [kept(), known.clone()], "in one go");
    assert_eq!(
        shop.send_each(&device, &visit, &events).await,
        [known.clone(), kept()],
        "the answer was lost"
    );
    let shop = shop.restarted();
    assert_eq!(shop.send_each(&device, &visit, &events).await, [known.clone(), known], "after a restart");
    let in_archive = shop.kept_events(&visit).split_off(opened);
    let names: Vec<&str> = in_archive.iter().map(|kept| kept.event.id().as_str()).collect();
    assert_eq!(names, ids(&events));
    assert_eq!(shop.asides(), []);
    let page = shop.page(&device, &format!("/v/{visit}/bench")).await.words();
    assert_eq!(page.matches("once").count(), 1, "{page}");
}

#[tokio::test]
async fn a_clock_that_is_far_off_is_a_claim_and_breaks_no_page() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let mut pen = EventPen::new(&visit, &device.id);
    // From the first second of 2000 to the end of 2199.
    let clocks: [i64; 4] = [946_684_800_000, 1_000_000_000_000, 4_102_444_800_000, 7_258_118_399_999];
    let mut clocked = |clock: i64| {
        let mut event = pen.note(&format!("clock {clock}"));
        event["at_ms"] = json!(clock);
        event
    };
    let senseless = [0, -1, i64::MIN, i64::MAX, 253_402_300_800_000].map(&mut clocked);
    for (verdict, reason) in shop.send_each(&device, &visit, &senseless).await {
        assert!(verdict == "aside" && reason.contains("set the clock of the device"), "{verdict} {reason}");
    }
    let events: Vec<Value> = clocks.into_iter().map(clocked).collect();
    assert_eq!(shop.send_each(&device, &visit, &events).await, vec![kept(); clocks.len()]);
    let mut happened = pen.note("");
    happened["body"] = json!({ "kind": "happened", "what": "lost", "at": {}, "words": "one nut" });
    happened["at_ms"] = json!(clocks[3]);
    assert_eq!(shop.send_each(&device, &visit, &[happened]).await, [kept()]);
    let pages = list_routes().into_iter();
    for line in pages.filter(|l| l.method == Method::GET && l.access == AddressAccess::PairedDevice) {
        let answer = shop.ask(request_of(&line, &visit).of(&device)).await;
        assert!(!answer.status.is_server_error(), "{}: {}", line.path, answer.words());
    }
    // Order follows from the rounds, not from the clocks: the newest note stands first.
    let page = shop.page(&device, &format!("/v/{visit}/bench")).await.words();
    let places: Vec<usize> = clocks
        .iter()
        .rev()
        .map(|clock| page.find(&format!("clock {clock}\n")).unwrap_or(usize::MAX))
        .collect();
    assert!(places.is_sorted() && !places.contains(&usize::MAX), "{places:?} in {page}");
}

#[tokio::test]
async fn what_can_be_read_is_kept_beside_what_cannot() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let opened = shop.kept_events(&visit).len();
    let mut pen = EventPen::new(&visit, &device.id);
    let events = [json!(null), pen.note("one"), json!({}), pen.note("two"), json!("three")];
    let sent = shop.send_each(&device, &visit, &events).await;
    let verdicts: Vec<&str> = sent.iter().map(|(verdict, _)| verdict.as_str()).collect();
    assert_eq!(verdicts, ["aside", "kept", "aside", "kept", "aside"]);
    assert_eq!(shop.kept_events(&visit).len(), opened + 2);
    let texts: Vec<String> = shop.asides().into_iter().map(|aside| aside.text).collect();
    assert_eq!(texts, ["null", "{}", "\"three\""]);
}

#[tokio::test]
async fn an_event_of_the_largest_size_is_kept_and_a_round_out_of_sense_is_not() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let mut pen = EventPen::new(&visit, &device.id);
    let empty = pen.note("");
    let words = "x".repeat(MAX_EVENT_BYTES - empty.to_string().len());
    let mut largest = empty.clone();
    largest["body"]["words"] = json!(words);
    assert_eq!(largest.to_string().len(), MAX_EVENT_BYTES);
    let mut ahead = pen.note("ahead");
    ahead["order"]["round"] = json!(MAX_ROUNDS);
    let (verdict, reason) = shop.send_each(&device, &visit, &[ahead]).await.remove(0);
    assert!(verdict == "aside" && reason.contains("far ahead"), "{verdict} {reason}");
    assert_eq!(shop.send_each(&device, &visit, &[largest]).await, [kept()]);
    let shop = shop.restarted();
    let last = shop.kept_events(&visit).pop().unwrap();
    let AnyEvent::Visit(event) = last.event else { panic!("not of a visit") };
    let VisitBody::Noted { words: kept_words, .. } = event.body else { panic!("no note") };
    assert_eq!(kept_words, words);
}

#[tokio::test]
async fn nothing_sent_is_nothing_kept() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let opened = shop.kept_events(&visit).len();
    assert_eq!(shop.send_each(&device, &visit, &[]).await, []);
    assert_eq!(shop.kept_events(&visit).len(), opened);
}
