//! Every page as text in the states of a visit, compared with what a person is known to read.

use std::collections::BTreeSet;

use app::model::SlotAddress;
use app::workshop::VisitId;
use axum::http::{Method, StatusCode};
use web::{AddressAccess, list_routes};

use crate::shop::{DoorAnswer, DoorRequest, Shop, TestDevice};
use crate::states;
use crate::visits::{EventPen, begin_bare_visit};

/// Most bytes of one page as text.
const MAX_PAGE_BYTES: usize = 40_000;

/// Addresses of the table that are no page to read.
const NOT_PAGES: &[&str] = &[
    "/keeper.js",
    "/bench.webmanifest",
    "/picture/{name}",
    "/scale-card.svg",
    // Says what the clock says.
    "/calendar",
    "/today",
    // Says which day it is; read by the browser test of two owners.
    "/vehicles/{id}",
    "/v/{visit}/live",
    // Read by the test of lessons.
    "/lessons",
    // Read by the tests of devices.
    "/devices/{device}/revoke",
    // Read by the tests of `app`, on paper and as text.
    "/v/{visit}/paper/{name}",
];

const NO_VISIT: &[&str] = &[
    "/",
    "/begin",
    "/asides",
    "/devices",
    "/figures",
    "/figures/driver",
    "/figures/preload",
    "/figures/wrench",
    "/vehicles",
    "/workshop",
];

const ALL_SHEETS: &[&str] = &[
    "/",
    "/v/{visit}/ready",
    "/v/{visit}/goal",
    "/v/{visit}/bench",
    "/v/{visit}/next",
    "/v/{visit}/questions",
    "/v/{visit}/trays",
    "/v/{visit}/readings",
    "/v/{visit}/tell",
    "/v/{visit}/pause",
    "/v/{visit}/ledger",
    "/v/{visit}/paper",
];

const AT_WORK: &[&str] =
    &["/", "/v/{visit}/bench", "/v/{visit}/trays", "/v/{visit}/tell", "/v/{visit}/ledger"];

const REFIT: &[&str] = &[
    "/v/{visit}/bench",
    "/v/{visit}/bench/sheets",
    "/v/{visit}/why/{step}",
    "/v/{visit}/slot/{slot}",
    "/v/{visit}/trays",
    "/v/{visit}/pause",
];

const DONE: &[&str] = &["/", "/v/{visit}/bench", "/v/{visit}/ledger", "/v/{visit}/pause"];

/// A shop in a state, with what fills the variable parts of an address.
struct State {
    name: &'static str,
    shop: Shop,
    device: TestDevice,
    parts: Vec<(&'static str, String)>,
}

impl State {
    async fn new(name: &'static str, shop: Shop, visit: Option<&VisitId>) -> Self {
        let device = shop.pair("tablet").await;
        let parts = visit.map(|visit| ("{visit}", visit.to_string())).into_iter().collect();
        Self { name, shop, device, parts }
    }

    fn with_step_and_slot(mut self, step: u32, slot: &SlotAddress) -> Self {
        self.parts.push(("{step}", step.to_string()));
        self.parts.push(("{slot}", slot.to_string()));
        self
    }

    /// Compares pages with what is known of them.
    async fn compare(&self, paths: &[&str]) {
        for path in paths {
            let way =
                self.parts.iter().fold((*path).to_owned(), |way, (part, value)| way.replace(part, value));
            let answer = self.shop.page(&self.device, &way).await;
            assert_eq!(answer.status, StatusCode::OK, "{way}: {}", answer.words());
            self.compare_answer(&page_name(path), &answer);
        }
    }

    fn compare_answer(&self, page: &str, answer: &DoorAnswer) {
        let words = without_evening(&redacted(&answer.words()));
        assert!(words.len() <= MAX_PAGE_BYTES, "{page}: {} bytes", words.len());
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("../snapshots");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings.bind(|| insta::assert_snapshot!(format!("{}__{page}", self.name), words));
    }
}

/// `/v/{visit}/bench/sheets` is `bench-sheets`; `/` is `visits`.
fn page_name(path: &str) -> String {
    let way = path.trim_start_matches("/v/{visit}").trim_start_matches('/');
    let name = way.replace("/{step}", "").replace("/{slot}", "").replace('/', "-");
    if name.is_empty() { String::from("visits") } else { name }
}

/// The words without what differs from run to run: ids and codes.
fn redacted(words: &str) -> String {
    let lines = words.lines().map(|line| line.split(' ').map(redacted_word).collect::<Vec<_>>().join(" "));
    lines.collect::<Vec<_>>().join("\n")
}

fn redacted_word(word: &str) -> &str {
    let is_made = word.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit());
    match word.len() {
        26 if is_made => "(id)",
        12 if is_made => "(code)",
        _ => word,
    }
}

#[test]
fn every_page_of_the_table_is_read_in_some_state() {
    let read: BTreeSet<&str> =
        [NO_VISIT, ALL_SHEETS, AT_WORK, REFIT, DONE, NOT_PAGES].concat().into_iter().collect();
    let lines = list_routes().into_iter();
    let paged = lines.filter(|l| l.method == Method::GET && l.access == AddressAccess::PairedDevice);
    assert_eq!(paged.map(|line| line.path).collect::<BTreeSet<_>>(), read);
}

#[tokio::test]
async fn pages_without_a_visit() {
    State::new("no-visit", Shop::empty(), None).await.compare(NO_VISIT).await;
}

#[tokio::test]
async fn pages_of_a_visit_without_book_and_plan() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    State::new("no-book", shop, Some(&visit)).await.compare(ALL_SHEETS).await;
}

#[tokio::test]
async fn pages_of_the_demo_half_way_and_paused() {
    let (shop, visit) = Shop::prepared(states::demo_half_way);
    State::new("paused", shop, Some(&visit)).await.compare(ALL_SHEETS).await;
}

#[tokio::test]
async fn pages_of_a_strip_that_is_begun() {
    let (shop, visit) = Shop::prepared(states::strip_begun);
    State::new("begun", shop, Some(&visit)).await.compare(ALL_SHEETS).await;
}

#[tokio::test]
async fn pages_after_a_bolt_broke_off() {
    let (shop, visit) = Shop::prepared(states::bolt_broken);
    State::new("broken", shop, Some(&visit)).await.compare(AT_WORK).await;
}

#[tokio::test]
async fn pages_with_tools_out_and_a_rag_in() {
    let (shop, visit) = Shop::prepared(states::tools_out);
    State::new("tools", shop, Some(&visit)).await.compare(AT_WORK).await;
}

#[tokio::test]
async fn pages_of_a_refit() {
    let (shop, (visit, step, slot)) = Shop::prepared(states::refit_begun);
    State::new("refit", shop, Some(&visit)).await.with_step_and_slot(step, &slot).compare(REFIT).await;
}

#[tokio::test]
async fn pages_of_a_job_that_is_done_and_of_a_visit_that_is_closed() {
    let (shop, visit) = Shop::prepared(states::finished);
    State::new("finished", shop, Some(&visit)).await.compare(DONE).await;
    let (shop, visit) = Shop::prepared(states::closed);
    State::new("closed", shop, Some(&visit)).await.compare(DONE).await;
}

#[tokio::test]
async fn pages_of_devices() {
    let state = State::new("devices", Shop::empty(), None).await;
    let (shop, device) = (&state.shop, &state.device);
    let unpaired = shop.ask(DoorRequest::get("/enter?code=EXAMPLE")).await;
    state.compare_answer("enter", &unpaired);
    let wrong = shop.ask(DoorRequest::post("/enter", "code=WRONG")).await;
    state.compare_answer("enter-refused", &wrong);
    shop.pair("phone-2").await;
    let named = shop.ask(DoorRequest::post("/devices/person", "name=test+hand").of(device)).await;
    assert_eq!(named.status, StatusCode::SEE_OTHER);
    state.compare(&["/devices"]).await;
    let code = shop.ask(DoorRequest::post("/devices", "").of(device)).await;
    state.compare_answer("devices-code", &code);
}

#[tokio::test]
async fn pages_of_what_is_kept_aside_and_of_refusals() {
    let (shop, visit) = Shop::prepared(begin_bare_visit);
    let state = State::new("aside", shop, Some(&visit)).await;
    let mut event = EventPen::new(&visit, &state.device.id).note("words");
    event["body"]["kind"] = "painted".into();
    event["id"] = "one".into();
    event["order"]["device"] = "other".into();
    event["stream"]["id"] = "another".into();
    state.shop.send_each(&state.device, &visit, &[event]).await;
    state.compare(&["/", "/asides"]).await;
    let gone = state.shop.page(&state.device, "/nowhere").await;
    state.compare_answer("not-found", &gone);
    let foreign = DoorRequest::post("/devices", "").of(&state.device).with("origin", "http://evil.example");
    state.compare_answer("foreign-page", &state.shop.ask(foreign).await);
    let name = DoorRequest::get("/").of(&state.device).with("host", "evil.example:8080");
    state.compare_answer("foreign-name", &state.shop.ask(name).await);
    let unpaired = state.shop.ask(DoorRequest::post("/devices", "")).await;
    state.compare_answer("not-paired", &unpaired);
}

/// What the calendar says of the evening hangs on the hour at which the test runs.
fn without_evening(words: &str) -> String {
    let Some((before, evening)) = words.split_once("\nEvening\n") else { return words.to_owned() };
    let rest = evening.split_once("\n<Sheet of the day>").map_or("", |(_, rest)| rest);
    format!("{before}\nEvening\n…\n<Sheet of the day>{rest}")
}
