//! How a device comes in: a code that the computer shows, as a QR code or as letters to type.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::time::Instant;

use axum::Form;
use axum::extract::{ConnectInfo, FromRequestParts, Query, State};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use crate::bench_state::SharedBench;
use crate::keys::{COOKIE, CodeVerdict, DeviceKeys, NewDeviceKey};
use crate::pages::{self, PageFailure};

/// Longest name of a device.
const MAX_NAME_LETTERS: usize = 40;

/// A year; a device that is not seen for so long is paired again.
const COOKIE_LIFE_S: u32 = 31_536_000;

/// Words for a code that is mistyped, used up, too old, or void after many wrong ones: which it is would help a guesser.
const CODE_IS_NOT_GOOD: &str = "This code is not good: it may be mistyped, used already, or older than ten minutes. Make a new one \
     under Devices on a device that is paired, or let the computer show one.";

/// Words for an address that has tried too many wrong codes.
const TOO_MANY_CODES: &str = "Too many wrong codes came from this device. No code of it is looked at for ten minutes; then make a new \
     code and type it once more.";

/// Where a request comes from; without a socket, from nowhere.
pub(crate) struct PeerAddress(IpAddr);

impl<S: Send + Sync> FromRequestParts<S> for PeerAddress {
    type Rejection = core::convert::Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        Ok(Self(peer.map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |peer| peer.0.ip())))
    }
}

/// What the QR code carries.
#[derive(Debug, Deserialize)]
pub(crate) struct PairingQuery {
    #[serde(default)]
    code: String,
}

/// What the form sends.
#[derive(Debug, Deserialize)]
pub(crate) struct PairingForm {
    code: String,
    #[serde(default)]
    name: String,
}

/// The page that asks for the code and a name. A code is not used up by looking: previews of messages fetch links too.
pub(crate) async fn show_pairing_page(
    State(bench): State<SharedBench>,
    Query(query): Query<PairingQuery>,
) -> Markup {
    pairing_page(&bench, &query.code, None)
}

/// Shows a new code on the computer that serves, where its program was started: the way back in when every key is lost. Only who
/// sees that screen can use it.
pub(crate) async fn show_code_on_computer(State(bench): State<SharedBench>) -> Markup {
    bench.code_wanted.notify_one();
    let told =
        "A new code stands on the computer now, in the window where its server was started. Type it here.";
    pairing_page(&bench, "", Some(told))
}

/// A code in the hands of nobody yet, for the window of the server.
pub(crate) fn code_for_computer(bench: &SharedBench) -> String {
    bench.keys.new_code(Instant::now())
}

fn pairing_page(bench: &SharedBench, code: &str, trouble: Option<&str>) -> Markup {
    let is_readable = bench.addresses.network.is_some() && !bench.addresses.https;
    let body = html! {
        main.plain {
            h1 { "Pair this device" }
            @if let Some(trouble) = trouble { p.refusal role="alert" { (trouble) } }
            p { "A device that is paired shows a code, under Devices. It is good for ten minutes and for one device. What waits on this device to be sent is sent once it is paired." }
            form method="post" action="/enter" {
                label { "Code" input name="code" value=(code) required autocomplete="off" autocapitalize="characters" maxlength="12"; }
                label { "What is this device called?" input name="name" placeholder="tablet on the cart" maxlength=(MAX_NAME_LETTERS); }
                button.main { "Pair" }
            }
            form method="post" action="/enter/code" {
                p { "No paired device at hand, or its key is lost?" }
                button { "Show a code on the computer" }
            }
            @if is_readable { p { (pages::READABLE_WORDS) } }
        }
        (pages::frame::title_block(None, &[("sheet", String::from("Pair this device"))]))
    };
    pages::frame::scripted_page("Pair this device", &body)
}

/// Pairs a device.
pub(crate) async fn pair_by_code(
    State(bench): State<SharedBench>,
    PeerAddress(peer): PeerAddress,
    Form(entry): Form<PairingForm>,
) -> Result<Response, PageFailure> {
    let refused =
        |status: StatusCode, words: &str| (status, pairing_page(&bench, "", Some(words))).into_response();
    match bench.keys.take_code(entry.code.trim().to_uppercase().as_str(), peer) {
        CodeVerdict::Good => {}
        CodeVerdict::Wrong => return Ok(refused(StatusCode::FORBIDDEN, CODE_IS_NOT_GOOD)),
        CodeVerdict::TooMany => return Ok(refused(StatusCode::TOO_MANY_REQUESTS, TOO_MANY_CODES)),
    }
    let name: String = entry.name.trim().chars().take(MAX_NAME_LETTERS).collect();
    let paired = admit_device(&bench, if name.is_empty() { "unnamed device" } else { &name }).await?;
    let secure = if bench.addresses.https { "; Secure" } else { "" };
    let cookie = format!(
        "{COOKIE}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age={COOKIE_LIFE_S}{secure}",
        paired.cookie
    );
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response())
}

/// Makes a key and keeps the device in the archive before it is good.
async fn admit_device(bench: &SharedBench, name: &str) -> Result<NewDeviceKey, PageFailure> {
    let paired = DeviceKeys::make_key(name);
    let device = paired.device.clone();
    bench.with_workshop(move |workshop| workshop.pair_device(&device)).await.map_err(PageFailure::from)?;
    bench.keys.learn_device(paired.device.clone());
    Ok(paired)
}
