//! Addresses and methods that lead nowhere, what is too large, and what cannot be read: each says what to do.

use std::collections::BTreeMap;

use axum::http::{Method, StatusCode};
use web::{AddressLine, list_routes};

use crate::doors::{filled_path, request_of};
use crate::shop::{DoorRequest, FORM, JSON, Shop};
use crate::visits::begin_bare_visit;

#[tokio::test]
async fn a_method_that_is_not_in_the_table_is_refused_and_the_right_one_is_named() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let mut known: BTreeMap<&str, Vec<Method>> = BTreeMap::new();
    for line in list_routes() {
        known.entry(line.path).or_default().push(line.method);
    }
    for line in list_routes() {
        for method in [Method::GET, Method::POST, Method::PUT, Method::DELETE, Method::PATCH, Method::OPTIONS]
        {
            if known[line.path].contains(&method) {
                continue;
            }
            let request = DoorRequest::new(method.clone(), &filled_path(&line, &visit)).of(&device);
            let answer = shop.ask(request).await;
            answer.assert_says(StatusCode::METHOD_NOT_ALLOWED, &["not used in this way", "use its buttons"]);
            let allowed = answer.header("allow");
            assert!(known[line.path].iter().all(|m| allowed.contains(m.as_str())), "{method}: {allowed}");
        }
    }
}

#[tokio::test]
async fn every_address_of_the_table_answers_a_paired_device() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    for line in list_routes() {
        let answer = shop.ask(request_of(&line, &visit).of(&device)).await;
        let of = format!("{} {}: {}", line.method, line.path, answer.words());
        assert!(!answer.status.is_server_error() && answer.header("location") != "/enter", "{of}");
        if answer.status.is_client_error() {
            assert!(answer.text.contains("class=\"refusal\""), "a refusal is a page in plain words: {of}");
        }
    }
}

/// Lines of the table whose handler reads what is sent, with the media type; the others take nothing in.
fn reading_lines() -> Vec<(AddressLine, &'static str)> {
    let media = |path: &str| match path {
        "/enter" | "/devices/person" | "/figures/driver" => Some(FORM),
        "/v/{visit}/events" => Some(JSON),
        "/v/{visit}/pictures" => Some("image/jpeg"),
        _ => None,
    };
    let posts = list_routes().into_iter().filter(|line| line.method == Method::POST);
    posts.filter_map(|line| media(line.path).map(|media| (line, media))).collect()
}

#[tokio::test]
async fn what_is_too_large_is_refused_and_nothing_of_it_is_kept() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let before = shop.kept_events(&visit).len();
    let lines = reading_lines();
    assert_eq!(lines.len(), 5);
    for (line, media) in lines {
        let body = vec![b'['; line.max_body_bytes + 1];
        let request = DoorRequest::post(&filled_path(&line, &visit), "").of(&device).with_body(media, body);
        shop.ask(request).await.assert_says(
            StatusCode::PAYLOAD_TOO_LARGE,
            &["More was sent than this address takes", "nothing of it was kept", "Send less at a time"],
        );
    }
    assert_eq!(shop.kept_events(&visit).len(), before);
    assert_eq!(shop.asides(), []);
}

#[tokio::test]
async fn the_longest_name_that_is_taken_can_be_read_again() {
    let shop = Shop::empty();
    let device = shop.pair("tablet").await;
    let line = list_routes().into_iter().find(|line| line.path == "/devices/person").unwrap();
    // JSON writes this byte as six.
    let mut form = b"name=x".to_vec();
    form.resize(line.max_body_bytes, 1);
    let answer = shop.ask(DoorRequest::post("/devices/person", form).of(&device)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    let shop = shop.restarted();
    let answer = shop.ask(DoorRequest::get("/devices").of(&device)).await;
    answer.assert_says(StatusCode::OK, &["tablet (this one)", "A name was given"]);
}

#[tokio::test]
async fn an_address_that_leads_nowhere_says_so() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let ways = [
        "/nowhere".to_owned(),
        "/v".to_owned(),
        format!("/v/{visit}"),
        format!("/v/{visit}/nowhere"),
        "/v/none/bench".to_owned(),
        format!("/v/{visit}/paper/nowhere.pdf"),
        format!("/v/{visit}/slot/nowhere"),
        format!("/picture/{}", "0".repeat(64)),
        "/a/x/nowhere.js".to_owned(),
    ];
    for way in &ways {
        let answer = shop.ask(DoorRequest::get(way).of(&device)).await;
        answer.assert_says(
            StatusCode::NOT_FOUND,
            &["Not found", "may be mistyped", "list of all visits", "<All visits>"],
        );
        let head = shop.ask(DoorRequest::new(Method::HEAD, way).of(&device)).await;
        assert_eq!((head.status, head.text.as_str()), (StatusCode::NOT_FOUND, ""), "{way}");
    }
    shop.ask(DoorRequest::get("/nowhere")).await.assert_leads_to_pairing("unpaired");
    let revoke = shop.ask(DoorRequest::post("/devices/nobody/revoke", "").of(&device)).await;
    revoke.assert_says(StatusCode::NOT_FOUND, &["Not found"]);
}

#[tokio::test]
async fn no_address_climbs_out_of_its_folder() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let climbs = [
        "/a/x/../../devices",
        "/a/../devices",
        "/a/x/..%2f..%2fshop.journal",
        "/a/x/%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "/a/x/%2fetc%2fpasswd",
        "/a/..%2f../icon.svg.",
        "/workshop.crt/../devices",
        "/picture/..%2f..%2fshop.journal",
        "/v/..%2f..%2f/bench",
        "/v/%2e%2e/bench",
        "/v/%00/bench",
        "/v/%ff/bench",
        "//devices",
        "/./devices",
        "/enter/../devices",
    ];
    let devices = shop.page(&device, "/devices").await;
    assert!(devices.text.contains("(this one)"), "what none of these may show: {}", devices.text);
    let inside = format!("/v/{visit}/paper/..%2f..%2fshop.journal");
    for way in climbs.into_iter().chain([inside.as_str()]) {
        let unpaired = shop.ask(DoorRequest::get(way)).await;
        assert_ne!(unpaired.status, StatusCode::OK, "{way}");
        assert!(!unpaired.text.contains("(this one)"), "{way}");
        let paired = shop.ask(DoorRequest::get(way).of(&device)).await;
        let is_refused = matches!(paired.status, StatusCode::NOT_FOUND | StatusCode::BAD_REQUEST);
        assert!(
            is_refused && !paired.text.contains("(this one)"),
            "{way}: {} {}",
            paired.status,
            paired.words()
        );
        let words = paired.words();
        assert!(words.contains("may be mistyped") || words.contains("correct it"), "{way}: {words}");
    }
}

#[tokio::test]
async fn a_part_of_an_address_or_form_that_cannot_be_read_says_so() {
    let (shop, _) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    for (request, status, named) in [
        (DoorRequest::post("/asides/first", ""), StatusCode::BAD_REQUEST, "first"),
        (DoorRequest::post("/devices/person", "nome=x"), StatusCode::UNPROCESSABLE_ENTITY, "name"),
        (DoorRequest::post("/enter", "name=x"), StatusCode::UNPROCESSABLE_ENTITY, "code"),
        (
            DoorRequest::post("/devices/person", "").with_body("text/plain", "name=x"),
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            FORM,
        ),
    ] {
        let answer = shop.ask(request.of(&device)).await;
        answer.assert_says(
            status,
            &["cannot be read", "nothing was kept", named, "correct it and send it again"],
        );
    }
}
