//! How a device comes in: a code that the computer shows, as a QR code or as letters to type.

use axum::Form;
use axum::extract::{Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use crate::bench_state::SharedBench;
use crate::keys::{COOKIE, DeviceKeys, NewDeviceKey};
use crate::pages::{self, PageFailure};

/// Longest name of a device.
const MAX_NAME_LETTERS: usize = 40;

/// A year; a device that is not seen for so long is paired again.
const COOKIE_LIFE_S: u32 = 31_536_000;

/// Words for a code that is mistyped, used up, too old, or void after many wrong ones: which it is would help a guesser.
const CODE_IS_NOT_GOOD: &str = "This code is not good: it may be mistyped, used already, or older than ten minutes. Make a new one \
     under Devices on a device that is paired, or start the server again: it shows one.";

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
pub(crate) async fn show_pairing_page(Query(query): Query<PairingQuery>) -> Markup {
    pairing_page(&query.code, None)
}

fn pairing_page(code: &str, trouble: Option<&str>) -> Markup {
    let body = html! {
        main.plain {
            h1 { "Pair this device" }
            @if let Some(trouble) = trouble { p.refusal role="alert" { (trouble) } }
            p { "The computer that runs the workshop shows a code, under Devices. It is good for ten minutes and for one device." }
            form method="post" action="/enter" {
                label { "Code" input name="code" value=(code) required autocomplete="off" autocapitalize="characters" maxlength="12"; }
                label { "What is this device called?" input name="name" placeholder="tablet on the cart" maxlength=(MAX_NAME_LETTERS); }
                button.main { "Pair" }
            }
        }
    };
    pages::frame::bare_page("Pair this device", &body)
}

/// Pairs a device.
pub(crate) async fn pair_by_code(
    State(bench): State<SharedBench>,
    Form(entry): Form<PairingForm>,
) -> Result<Response, PageFailure> {
    if !bench.keys.take_code(entry.code.trim().to_uppercase().as_str()) {
        return Ok((StatusCode::FORBIDDEN, pairing_page("", Some(CODE_IS_NOT_GOOD))).into_response());
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
