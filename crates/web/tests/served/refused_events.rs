//! What a device sends and no stream can take: kept aside for a person, or refused whole so that the device keeps it.

use app::record::{MAX_EVENT_BYTES, MAX_ROUNDS};
use app::workshop::VisitId;
use axum::http::StatusCode;
use serde_json::{Value, json};

use crate::shop::{DoorAnswer, DoorRequest, JSON, Shop, TestDevice};
use crate::visits::{EventPen, begin_bare_visit};

/// A shop with one visit and one device, and a good event that nobody has sent.
struct Bench {
    shop: Shop,
    visit: VisitId,
    device: TestDevice,
    pen: EventPen,
    /// Events of the opening.
    opened: usize,
}

async fn bench() -> Bench {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let pen = EventPen::new(&visit, &device.id);
    let opened = shop.kept_events(&visit).len();
    Bench { shop, visit, device, pen, opened }
}

impl Bench {
    /// A good event with one thing changed.
    fn changed(&mut self, change: impl FnOnce(&mut Value)) -> Value {
        let mut event = self.pen.note("words");
        change(&mut event);
        event
    }

    /// That an event is kept aside as it came, for this reason, and shown to a person; and that the stream is as before.
    async fn assert_aside(&self, event: &Value, reason: &str) {
        let sent = self.shop.send_each(&self.device, &self.visit, std::slice::from_ref(event)).await;
        let [(verdict, said)] = sent.as_slice() else { panic!("one answer: {sent:?}") };
        assert_eq!(verdict, "aside", "{reason}");
        assert!(said.contains(reason), "“{reason}” is not in: {said}");
        assert_eq!(self.shop.kept_events(&self.visit).len(), self.opened, "{reason}");
        let aside = self.shop.asides().pop().unwrap();
        let text: Value = serde_json::from_str(&aside.text).unwrap();
        assert_eq!((&text, aside.device.as_str()), (event, self.device.id.as_str()));
        assert!(!aside.settled && aside.reason.contains(reason), "{}", aside.reason);
        let page = self.shop.page(&self.device, "/asides").await;
        page.assert_says(StatusCode::OK, &["again on the bench", "from tablet"]);
        assert!(page.text.contains("action=\"/asides/1\""), "a person can say that it is dealt with");
        let visits = self.shop.page(&self.device, "/").await;
        visits.assert_says(StatusCode::OK, &["kept aside"]);
        assert!(visits.text.contains("href=\"/asides\""), "the first page leads there");
    }

    async fn send_raw(&self, media: &str, body: impl Into<Vec<u8>>) -> DoorAnswer {
        let way = format!("/v/{}/events", self.visit);
        self.shop.ask(DoorRequest::post(&way, "").of(&self.device).with_body(media, body)).await
    }

    /// That nothing came of it: the device still has it and sends it again.
    fn assert_nothing_came_of_it(&self) {
        assert_eq!(self.shop.kept_events(&self.visit).len(), self.opened);
        assert_eq!(self.shop.asides(), []);
    }
}

#[tokio::test]
async fn a_kind_or_format_that_is_not_known_is_kept_aside() {
    let mut bench = bench().await;
    let event = bench.changed(|event| event["body"]["kind"] = json!("painted"));
    bench.assert_aside(&event, "it cannot be read: at line 1, column ").await;
    bench.assert_aside(&event, "is not what belongs there (unknown variant `painted`)").await;
    let event = bench.changed(|event| event["format"] = json!("traywright-event/9"));
    bench
        .assert_aside(&event, "its format is “traywright-event/9”, this program reads traywright-event/1")
        .await;
    let event = bench.changed(|event| event["body"] = json!({ "kind": "noted" }));
    bench.assert_aside(&event, "missing field").await;
    let event = bench.changed(|event| event["at_ms"] = json!(1e30));
    bench.assert_aside(&event, "it cannot be read").await;
}

#[tokio::test]
async fn an_event_of_another_stream_is_kept_aside() {
    let mut bench = bench().await;
    for (kind, id) in [("visit", "another"), ("workshop", bench.visit.as_str()), ("book", "little")]
        .map(|(kind, id)| (kind, id.to_owned()))
    {
        let event = bench.changed(|event| event["stream"] = json!({ "kind": kind, "id": id }));
        bench.assert_aside(&event, &format!("it belongs to another stream, {kind} {id}")).await;
    }
}

#[tokio::test]
async fn an_event_of_another_visit_writes_to_neither() {
    let (shop, (one, two)) =
        Shop::prepared(|workshop| (begin_bare_visit(workshop), begin_bare_visit(workshop)));
    let device = shop.pair("tablet").await;
    let before = (shop.kept_events(&one), shop.kept_events(&two));
    let event = EventPen::new(&two, &device.id).note("words");
    let sent = shop.send_each(&device, &one, &[event]).await;
    assert_eq!(sent[0].1, format!("it belongs to another stream, visit {two}"));
    assert_eq!((shop.kept_events(&one), shop.kept_events(&two)), before);
}

#[tokio::test]
async fn an_event_of_a_device_that_was_never_paired_is_kept_aside() {
    let mut bench = bench().await;
    let event = bench.changed(|event| event["order"]["device"] = json!("01ARZ3NDEKTSV4RRFFQ69G5FAV"));
    bench.assert_aside(&event, "device 01ARZ3NDEKTSV4RRFFQ69G5FAV").await;
}

#[tokio::test]
async fn a_name_a_count_or_an_id_that_cannot_be_is_kept_aside() {
    let mut bench = bench().await;
    let event = bench.changed(|event| event["id"] = json!("../../x"));
    bench.assert_aside(&event, "“../../x” is not a valid event id").await;
    let event = bench.changed(|event| event["order"]["round"] = json!(MAX_ROUNDS + 1));
    bench.assert_aside(&event, &format!("round {}", MAX_ROUNDS + 1)).await;
    let event = bench.changed(|event| event["person"] = json!("no person"));
    bench.assert_aside(&event, "“no person” is not a valid person id").await;
    let event = bench.changed(|event| {
        event["body"] = json!({ "kind": "based-on", "book": "not a digest" });
    });
    bench.assert_aside(&event, "“not a digest” is not a valid document name").await;
}

#[tokio::test]
async fn an_event_that_is_too_large_is_kept_aside_whole() {
    let mut bench = bench().await;
    let event = bench.changed(|event| event["body"]["words"] = json!("x".repeat(MAX_EVENT_BYTES)));
    let bytes = event.to_string().len();
    bench.assert_aside(&event, &format!("it is {bytes} bytes long; at most {MAX_EVENT_BYTES}")).await;
}

#[tokio::test]
async fn an_event_that_would_be_too_large_once_it_is_written_is_kept_aside() {
    let mut bench = bench().await;
    let read = |what: &str| {
        let reading = json!({ "what": what, "value": 1.5, "unit": "mm", "method": "" });
        json!({ "kind": "read", "reading": reading, "at": {} })
    };
    let length = bench.changed(|event| event["body"] = read("")).to_string().len();
    let event = bench.changed(|event| event["body"] = read(&"x".repeat(MAX_EVENT_BYTES - length)));
    assert_eq!(event.to_string().len(), MAX_EVENT_BYTES, "limits that are left out are written as none");
    bench.assert_aside(&event, &format!("bytes long; at most {MAX_EVENT_BYTES}")).await;
}

#[tokio::test]
async fn another_event_with_a_name_that_is_taken_is_kept_aside() {
    let mut bench = bench().await;
    let first = bench.changed(|_| ());
    let second = bench.changed(|event| event["id"] = first["id"].clone());
    let sent = bench.shop.send_each(&bench.device, &bench.visit, std::slice::from_ref(&first)).await;
    assert_eq!(sent[0].0, "kept");
    bench.opened += 1;
    bench.assert_aside(&second, "another event already has").await;
    let kept = bench.shop.kept_events(&bench.visit).pop().unwrap();
    assert_eq!(serde_json::from_str::<Value>(&kept.event.to_json().unwrap()).unwrap(), first);
}

#[tokio::test]
async fn a_body_that_is_no_list_of_events_is_refused_whole() {
    let mut bench = bench().await;
    let good = bench.changed(|_| ()).to_string();
    let cut_off = format!("[{good},{}", &good[..good.len() / 2]);
    let bodies: [(&str, StatusCode); 6] = [
        ("", StatusCode::BAD_REQUEST),
        ("no JSON", StatusCode::BAD_REQUEST),
        ("[", StatusCode::BAD_REQUEST),
        (&cut_off, StatusCode::BAD_REQUEST),
        (&good, StatusCode::UNPROCESSABLE_ENTITY),
        ("\"text\"", StatusCode::UNPROCESSABLE_ENTITY),
    ];
    for (body, status) in bodies {
        let answer = bench.send_raw(JSON, body).await;
        let says =
            ["cannot be read", "nothing was kept: the list of events, at line 1, column ", "send it again"];
        answer.assert_says(status, &says);
    }
    let answer = bench.send_raw(JSON, "no JSON").await;
    answer
        .assert_says(StatusCode::BAD_REQUEST, &["at line 1, column 2 the text is not JSON (expected ident)"]);
    let bytes = bench.send_raw(JSON, [b'[', b'"', 0xff, b'"', b']']).await;
    assert!(bytes.status.is_client_error(), "{}", bytes.words());
    let answer = bench.send_raw("text/plain", format!("[{good}]")).await;
    answer.assert_says(StatusCode::UNSUPPORTED_MEDIA_TYPE, &["cannot be read", "nothing was kept", JSON]);
    bench.assert_nothing_came_of_it();
}

#[tokio::test]
async fn a_device_whose_key_was_taken_back_writes_nothing() {
    let mut bench = bench().await;
    let gone = bench.shop.pair("phone").await;
    let way = format!("/devices/{}/revoke", gone.id);
    bench.shop.ask(DoorRequest::post(&way, "").of(&bench.device)).await;
    let event = EventPen::new(&bench.visit, &gone.id).note("words");
    let answer = bench.shop.send(&gone, bench.visit.as_str(), std::slice::from_ref(&event)).await;
    answer.assert_says(
        StatusCode::UNAUTHORIZED,
        &["its key was taken back", "what waits on the device stays there", "Pair it with a code"],
    );
    bench.assert_nothing_came_of_it();

    // Paired again it is another device; what it wrote before survives that, in the name of the device that wrote it.
    bench.device = bench.shop.pair("tablet").await;
    let sent = bench.shop.send_each(&bench.device, &bench.visit, std::slice::from_ref(&event)).await;
    assert_eq!(sent[0].0, "kept", "{sent:?}");
    assert_eq!(bench.shop.kept_events(&bench.visit).len(), bench.opened + 1);
}

#[tokio::test]
async fn a_visit_that_is_not_there_takes_nothing() {
    let mut bench = bench().await;
    let event = bench.changed(|_| ());
    for visit in ["none", "01ARZ3NDEKTSV4RRFFQ69G5FAV", "%2e%2e", &"x".repeat(41)] {
        let answer = bench.shop.send(&bench.device, visit, std::slice::from_ref(&event)).await;
        answer.assert_says(
            StatusCode::NOT_FOUND,
            &["no such page, visit", "in another journal", "<All visits>"],
        );
        let way = format!("/v/{visit}/pictures");
        let answer = bench.shop.ask(DoorRequest::post(&way, "x").of(&bench.device)).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{visit}");
    }
    bench.assert_nothing_came_of_it();
}

#[tokio::test]
async fn what_is_no_picture_is_refused() {
    let bench = bench().await;
    let way = format!("/v/{}/pictures", bench.visit);
    let answer = bench.shop.ask(DoorRequest::post(&way, "no picture").of(&bench.device)).await;
    answer.assert_says(StatusCode::CONFLICT, &["picture"]);
    bench.assert_nothing_came_of_it();
}
