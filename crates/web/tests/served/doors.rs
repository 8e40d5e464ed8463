//! Who is let in at every address of the table: under which name, from which page, and with which key.

use app::workshop::VisitId;
use axum::http::{Method, StatusCode};
use web::{AddressAccess, AddressLine, list_routes};

use crate::shop::{DoorRequest, JSON, ORIGIN, Shop};
use crate::visits::begin_bare_visit;

/// An address of the table with its variable parts filled in.
pub(crate) fn filled_path(line: &AddressLine, visit: &VisitId) -> String {
    let filled = line.path.replace("{visit}", visit.as_str());
    [("{edition}", "x"), ("{step}", "1"), ("{slot}", "A-T1-01"), ("{number}", "1"), ("{device}", "none")]
        .into_iter()
        .fold(filled, |path, (part, value)| path.replace(part, value))
        .replace("{name}", if line.path.starts_with("/a/") { "icon.svg" } else { "kit" })
}

/// A request for an address of the table, with an empty list or form where something is sent.
pub(crate) fn request_of(line: &AddressLine, visit: &VisitId) -> DoorRequest {
    let request = DoorRequest::new(line.method.clone(), &filled_path(line, visit));
    if line.path.ends_with("/events") { request.with_body(JSON, "[]") } else { request }
}

#[tokio::test]
async fn a_device_without_a_key_is_sent_to_pairing_at_every_address() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let before = shop.kept_events(&visit).len();
    let mut closed = 0;
    for line in list_routes() {
        let answer = shop.ask(request_of(&line, &visit)).await;
        let of = format!("{} {}", line.method, line.path);
        match line.access {
            AddressAccess::PairedDevice if line.method == Method::GET => answer.assert_leads_to_pairing(&of),
            AddressAccess::PairedDevice => {
                answer.assert_says(StatusCode::UNAUTHORIZED, &["not paired", "Pair it with a code"]);
            }
            AddressAccess::Anyone => {
                assert_ne!(answer.status, StatusCode::UNAUTHORIZED, "{of}");
                assert_ne!(answer.header("location"), "/enter", "{of}");
            }
        }
        closed += usize::from(line.access == AddressAccess::PairedDevice);
        assert!(answer.header("content-security-policy").contains("frame-ancestors 'none'"), "{of}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{of}");
    }
    assert!(closed > 25, "{closed} closed addresses: the table is read");
    assert_eq!(shop.kept_events(&visit).len(), before);
}

#[test]
fn only_what_pairing_needs_is_open_and_each_address_is_open_or_closed_as_a_whole() {
    let all = list_routes();
    let open: Vec<(String, &str)> = all
        .iter()
        .filter(|line| line.access == AddressAccess::Anyone)
        .map(|line| (line.method.to_string(), line.path))
        .collect();
    let expected = [
        ("GET", "/enter"),
        ("POST", "/enter"),
        ("POST", "/enter/code"),
        ("GET", "/a/{edition}/{name}"),
        ("GET", "/workshop.crt"),
    ];
    assert_eq!(open, expected.map(|(method, path)| (method.to_owned(), path)));
    for line in &all {
        let same = all.iter().filter(|other| other.path == line.path);
        assert!(same.into_iter().all(|other| other.access == line.access), "{}", line.path);
    }
}

#[tokio::test]
async fn the_pairing_page_says_where_the_code_is() {
    let answer = Shop::empty().ask(DoorRequest::get("/enter")).await;
    answer.assert_says(StatusCode::OK, &["Pair this device", "shows a code, under Devices", "[Pair]"]);
}

#[tokio::test]
async fn a_foreign_name_of_this_machine_is_refused_at_every_address() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    // What a page of somebody else's sends whose name was made to point at this machine, and what scanners send.
    let foreign = [
        "evil.example:8080",
        "127.0.0.1",
        "127.0.0.1:80",
        "localhost:8080.evil.example",
        "192.0.2.7:8080",
        "",
    ];
    for line in list_routes() {
        for host in foreign {
            let origin = format!("http://{host}");
            let request = request_of(&line, &visit).of(&device).with("host", host).with("origin", &origin);
            shop.ask(request).await.assert_says(
                StatusCode::MISDIRECTED_REQUEST,
                &["under a name that is not its own", "Open the address that the computer shows"],
            );
        }
        let none = request_of(&line, &visit).of(&device).without("host");
        assert_eq!(shop.ask(none).await.status, StatusCode::MISDIRECTED_REQUEST, "{}", line.path);
    }
}

#[tokio::test]
async fn a_foreign_page_writes_nothing_by_any_method() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let before = shop.kept_events(&visit).len();
    let foreign =
        ["http://evil.example", "http://127.0.0.1:8081", "http://127.0.0.1", "null", "", "127.0.0.1:8080"];
    let writing = [Method::POST, Method::PUT, Method::DELETE, Method::PATCH, Method::OPTIONS];
    let refused = ["not come from a page of this server", "nothing of it was kept", "this server's own page"];
    for line in list_routes() {
        for method in &writing {
            let line = AddressLine { method: method.clone(), ..line.clone() };
            for origin in foreign {
                let request = request_of(&line, &visit).of(&device).with("origin", origin);
                shop.ask(request).await.assert_says(StatusCode::FORBIDDEN, &refused);
            }
            let silent = request_of(&line, &visit).of(&device).without("origin");
            for site in ["cross-site", "same-site", "none"] {
                let request = silent.clone().with("sec-fetch-site", site);
                shop.ask(request).await.assert_says(StatusCode::FORBIDDEN, &refused);
            }
            shop.ask(silent).await.assert_says(StatusCode::FORBIDDEN, &refused);
        }
    }
    assert_eq!(shop.kept_events(&visit).len(), before);
    assert_eq!(shop.asides(), []);
    assert!(
        shop.archive_devices().iter().all(|id| *id == device.id),
        "no key was taken back, no device let in"
    );
}

#[tokio::test]
async fn our_own_page_writes_with_either_header() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let device = shop.pair("tablet").await;
    let way = format!("/v/{visit}/events");
    let request = DoorRequest::post(&way, "").with_body(JSON, "[]").of(&device);
    assert_eq!(shop.ask(request.clone().with("origin", ORIGIN)).await.status, StatusCode::OK);
    let silent = request.without("origin").with("sec-fetch-site", "same-origin");
    assert_eq!(shop.ask(silent).await.status, StatusCode::OK);
    let localhost = DoorRequest::post(&way, "").with_body(JSON, "[]").of(&device);
    let localhost = localhost.with("host", "localhost:8080").with("origin", "http://localhost:8080");
    assert_eq!(shop.ask(localhost).await.status, StatusCode::OK);
}
