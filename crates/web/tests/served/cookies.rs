//! The key of a device: missing, wrong, altered, taken back, and after a restart.

use axum::http::StatusCode;

use crate::shop::{DoorRequest, Shop};

#[tokio::test]
async fn only_the_whole_and_unaltered_key_opens() {
    let shop = Shop::empty();
    let (one, two) = (shop.pair("tablet-1").await, shop.pair("phone-2").await);
    let value = one.cookie.strip_prefix("tray-device=").unwrap();
    let (id, key) = value.split_once('.').unwrap();
    let other_key = two.cookie.rsplit_once('.').unwrap().1;
    let last = if key.ends_with('0') { "1" } else { "0" };
    let altered = format!("{}{last}", &key[..key.len() - 1]);
    let hash = app::workshop::content_name(key.as_bytes());
    for cookie in [
        String::new(),
        "tray-device".to_owned(),
        "tray-device=".to_owned(),
        "tray-device=.".to_owned(),
        format!("tray-device={id}"),
        format!("tray-device={id}."),
        format!("tray-device=.{key}"),
        format!("tray-device={id}.{altered}"),
        format!("tray-device={id}.{}", &key[1..]),
        format!("tray-device={id}.{key}0"),
        format!("tray-device={id}.{}", key.to_uppercase().replace(|c: char| c.is_ascii_digit(), "A")),
        format!("tray-device={id}.{other_key}"),
        format!("tray-device={id}.{hash}"),
        format!("tray-device=none.{key}"),
        format!("tray-device=\"{value}\""),
        format!("other={value}"),
        format!("tray-device=x; tray-device={value}"),
    ] {
        shop.ask(DoorRequest::get("/devices").with("cookie", &cookie)).await.assert_leads_to_pairing(&cookie);
        let answer = shop.ask(DoorRequest::post("/devices", "").with("cookie", &cookie)).await;
        answer.assert_says(StatusCode::UNAUTHORIZED, &["not paired", "Pair it with a code from Devices"]);
    }
    let among = format!("theme=dark; {}; other=1", one.cookie);
    let answer = shop.ask(DoorRequest::get("/devices").with("cookie", &among)).await;
    answer.assert_says(StatusCode::OK, &["tablet-1 (this one)", "phone-2"]);
}

#[tokio::test]
async fn a_key_that_is_taken_back_opens_nothing_now_or_after_a_restart() {
    let shop = Shop::empty();
    let (one, two) = (shop.pair("tablet-1").await, shop.pair("phone-2").await);
    let own = shop.ask(DoorRequest::get(&format!("/devices/{}/revoke", one.id)).of(&one)).await;
    own.assert_says(StatusCode::OK, &["This is the device in your hand", "[Remove it]", "Keep it"]);
    assert_eq!(shop.archive_devices().len(), 2, "asking takes nothing back");
    let way = format!("/devices/{}/revoke", two.id);
    let answer = shop.ask(DoorRequest::post(&way, "").of(&one)).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/devices"));
    shop.ask(DoorRequest::get("/").of(&two)).await.assert_leads_to_pairing("at once");
    let answer = shop.ask(DoorRequest::post("/devices", "").of(&two)).await;
    answer.assert_says(StatusCode::UNAUTHORIZED, &["its key was taken back", "Pair it with a code"]);
    assert_eq!(shop.archive_devices(), std::slice::from_ref(&one.id), "the archive holds its key no more");

    let shop = shop.restarted();
    shop.ask(DoorRequest::get("/").of(&two)).await.assert_leads_to_pairing("after a restart");
    let answer = shop.ask(DoorRequest::get("/devices").of(&one)).await;
    answer.assert_says(StatusCode::OK, &["tablet-1 (this one)"]);
    let last = shop.ask(DoorRequest::get(&format!("/devices/{}/revoke", one.id)).of(&one)).await;
    last.assert_says(
        StatusCode::OK,
        &["It is the last one that is paired", "a code that the computer shows"],
    );
    assert!(!answer.words().contains("phone-2"), "{}", answer.words());
}

#[tokio::test]
async fn the_archive_never_holds_the_key_itself() {
    let shop = Shop::empty();
    let device = shop.pair("tablet").await;
    let key = device.cookie.rsplit_once('.').unwrap().1;
    let files = std::fs::read_dir(shop.folder()).unwrap();
    let mut read = 0;
    for file in files {
        let bytes = std::fs::read(file.unwrap().path()).unwrap();
        assert!(!bytes.windows(key.len()).any(|some| some == key.as_bytes()));
        read += bytes.len();
    }
    assert!(read > 0);
}
