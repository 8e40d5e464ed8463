//! Pairing: a code is good once, for ten minutes, and not for whoever guesses.

use std::time::{Duration, Instant};

use axum::http::StatusCode;

use crate::shop::{DoorAnswer, DoorRequest, Shop};

/// What is said of every code that is not good, whatever the reason.
const NOT_GOOD: &[&str] =
    &["This code is not good", "Make a new one under Devices", "let the computer show one"];

/// What is said to an address that has tried too many.
const TOO_MANY: &[&str] = &["Too many wrong codes came from this device", "for ten minutes"];

async fn pair_with(shop: &Shop, code: &str) -> DoorAnswer {
    shop.ask(DoorRequest::post("/enter", format!("code={code}&name=tablet"))).await
}

fn made_before(shop: &Shop, seconds: u64) -> String {
    shop.door.new_code(Instant::now().checked_sub(Duration::from_secs(seconds)).unwrap())
}

#[tokio::test]
async fn the_right_code_pairs_one_device_once() {
    let shop = Shop::empty();
    let code = shop.code();
    // A preview of a message fetches the link too: looking uses nothing up.
    let look = shop.ask(DoorRequest::get(&format!("/enter?code={code}"))).await;
    look.assert_says(StatusCode::OK, &[&format!("____{code}")]);

    let answer = pair_with(&shop, &code).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/"));
    let cookie = answer.header("set-cookie").to_owned();
    for part in ["HttpOnly", "SameSite=Strict", "Path=/", "Max-Age=31536000"] {
        assert!(cookie.split("; ").any(|known| known == part), "{part}: {cookie}");
    }
    assert!(!cookie.contains("Secure"), "over plain HTTP a browser would drop it: {cookie}");
    let own = cookie.split(';').next().unwrap();
    let page = shop.ask(DoorRequest::get("/devices").with("cookie", own)).await;
    page.assert_says(StatusCode::OK, &["tablet (this one)"]);

    let again = pair_with(&shop, &code).await;
    again.assert_says(StatusCode::FORBIDDEN, NOT_GOOD);
    assert_eq!(again.header("set-cookie"), "");
    assert_eq!(shop.archive_devices().len(), 1);
}

#[tokio::test]
async fn over_https_the_key_never_travels_in_the_clear() {
    let shop = Shop::over_https();
    let request = DoorRequest::post("/enter", format!("code={}", shop.code()));
    let answer = shop.ask(request.with("origin", "https://127.0.0.1:8080")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(answer.header("set-cookie").ends_with("; Secure"), "{}", answer.header("set-cookie"));
}

#[tokio::test]
async fn a_code_is_taken_as_it_is_typed() {
    let shop = Shop::empty();
    let typed = format!("%20{}+", shop.code().to_lowercase());
    assert_eq!(pair_with(&shop, &typed).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_code_is_good_for_ten_minutes() {
    let shop = Shop::empty();
    let young = made_before(&shop, 580);
    assert_eq!(pair_with(&shop, &young).await.status, StatusCode::SEE_OTHER);
    let old = made_before(&shop, 600);
    pair_with(&shop, &old).await.assert_says(StatusCode::FORBIDDEN, NOT_GOOD);
    assert_eq!(shop.archive_devices().len(), 1);
}

/// Where a request of a stranger comes from.
const STRANGER: std::net::IpAddr = std::net::IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 66));

async fn pair_from(shop: &Shop, peer: std::net::IpAddr, code: &str) -> DoorAnswer {
    shop.ask(DoorRequest::post("/enter", format!("code={code}&name=tablet")).of_peer(peer)).await
}

#[tokio::test]
async fn who_guesses_is_shut_out_for_a_while_and_nobody_else() {
    let shop = Shop::empty();
    let code = shop.code();
    for wrong in ["", "GUESS", "%27%20OR%201=1", "%F0%9F%94%A7", "5", "6", "7", "8"] {
        let answer = pair_from(&shop, STRANGER, wrong).await;
        answer.assert_says(StatusCode::FORBIDDEN, NOT_GOOD);
        assert_eq!(answer.header("set-cookie"), "", "{wrong}");
    }
    let right = pair_from(&shop, STRANGER, &code).await;
    right.assert_says(StatusCode::TOO_MANY_REQUESTS, TOO_MANY);
    assert_eq!(shop.archive_devices(), [], "not even the right one is looked at");
    assert_eq!(pair_with(&shop, &code).await.status, StatusCode::SEE_OTHER, "from elsewhere it is good");
}

#[tokio::test]
async fn seven_wrong_codes_leave_the_right_one_good() {
    let shop = Shop::empty();
    let code = shop.code();
    for _ in 0..7 {
        pair_with(&shop, "GUESS").await.assert_says(StatusCode::FORBIDDEN, NOT_GOOD);
    }
    assert_eq!(pair_with(&shop, &code).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn whoever_has_lost_every_key_asks_the_computer_for_a_code_and_is_told_none() {
    let shop = Shop::empty();
    let answer = shop.ask(DoorRequest::post("/enter/code", "")).await;
    answer.assert_says(StatusCode::OK, &["A new code stands on the computer now", "Pair this device"]);
    assert_eq!(answer.header("set-cookie"), "");
}

#[tokio::test]
async fn what_is_typed_comes_back_as_text() {
    let shop = Shop::empty();
    let answer = shop.ask(DoorRequest::get("/enter?code=%22%3E%3Cscript%3Eno()%3C/script%3E")).await;
    assert!(!answer.text.contains("<script>no()"), "{}", answer.text);
    let form = format!("code={}&name=%3Cscript%3Eno()%3C/script%3E{}", shop.code(), "x".repeat(60));
    let cookie = shop.ask(DoorRequest::post("/enter", form)).await.header("set-cookie").to_owned();
    let page = shop.ask(DoorRequest::get("/devices").with("cookie", cookie.split(';').next().unwrap())).await;
    assert!(!page.text.contains("<script>no()"), "{}", page.text);
    let name = format!("<script>no()</script>{}", "x".repeat(19));
    page.assert_says(StatusCode::OK, &[&format!("{name} (this one)")]);
}
