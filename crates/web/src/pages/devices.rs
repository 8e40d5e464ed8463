//! Devices: a code to pair one more, and those that may write, each with a way to take its key back.

use std::time::Instant;

use app::workshop::{Device, now_ms};
use axum::Form;
use axum::extract::{Extension, Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use qrcode::QrCode;
use qrcode::render::svg;
use serde::Deserialize;

use super::{PageFailure, READABLE_WORDS, frame};
use crate::bench_state::SharedBench;

/// The devices.
pub(crate) async fn devices_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
) -> Markup {
    frame::scrolling_page("Devices", None, "devices", &devices_sheet(&bench, &device, None))
}

/// Makes a code and shows it.
pub(crate) async fn new_code_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
) -> Markup {
    let code = bench.keys.new_code(Instant::now());
    frame::scrolling_page("Devices", None, "devices", &devices_sheet(&bench, &device, Some(&code)))
}

fn devices_sheet(bench: &SharedBench, own: &Device, code: Option<&str>) -> Markup {
    html! {
        h1 { "Devices" }
        @if let Some(code) = code { (pairing_section(bench, code)) }
        @else {
            form method="post" action="/devices" { button.main { "Pair one more device" } }
        }
        @if bench.addresses.network.is_none() {
            p { "The pages are open to this computer alone. Start with " code { "traywright serve --network" }
                " to let phones and tablets of the workshop's network in." }
        }
        @if bench.addresses.network.is_some() && !bench.addresses.https { p.refusal { (READABLE_WORDS) } }
        section {
            h2 { "Paired devices" }
            ul.rows {
                @for device in bench.keys.all_devices().iter().filter(|d| d.revoked_ms.is_none()) {
                    li {
                        span.where { (device.name) @if device.id == own.id { " (this one)" } }
                        @if device.id == own.id { a.other href={ "/devices/" (device.id) "/revoke" } { "Remove this device" } }
                        @else { form method="post" action={ "/devices/" (device.id) "/revoke" } { button { "Remove this device" } } }
                    }
                }
            }
        }
        section {
            h2 { "Who works with this device?" }
            form method="post" action="/devices/person" {
                label { "Name, put beside everything this device writes from now on" input name="name" maxlength="60"; }
                button { "That is me" }
            }
            @if own.person.is_some() { p { "A name was given; an empty one takes it back." } }
        }
        (offline_section(bench))
    }
}

fn pairing_section(bench: &SharedBench, code: &str) -> Markup {
    let address = bench.addresses.network_address().unwrap_or_else(|| bench.addresses.local_address());
    let link = format!("{address}/enter?code={code}");
    html! {
        section {
            h2 { "Point the camera of the new device here" }
            div.qr { (qr_code_markup(&link)) }
            p { "or open " strong { (address) "/enter" } " on it and type" }
            p.big { (code) }
            p { "Good for ten minutes and for one device." }
        }
    }
}

fn qr_code_markup(link: &str) -> Markup {
    match QrCode::with_error_correction_level(link, qrcode::EcLevel::M) {
        Ok(code) => PreEscaped(
            code.render::<svg::Color<'_>>().min_dimensions(260, 260).dark_color(svg::Color("#111")).build(),
        ),
        Err(_) => html! { p { (link) } },
    }
}

fn offline_section(bench: &SharedBench) -> Markup {
    html! {
        section {
            h2 { "Without a connection" }
            @if bench.addresses.https {
                p { "This server uses the workshop's own certificate. A device that trusts it opens the pages without a connection and keeps its screen on." }
                div.one { a.other href="/workshop.crt" { "The workshop's certificate" } }
                p { "Install it in the device's settings as a CA certificate. It is valid for this workshop's pages only; remove it when the device leaves the workshop." }
            } @else {
                p { "A page that is open keeps working without a connection and sends what is waiting once the connection is back. To open pages without a connection too, start with "
                    code { "traywright serve --network --https" } ": browsers allow it over HTTPS only." }
            }
        }
    }
}

/// The name of who works with a device.
#[derive(Debug, Deserialize)]
pub(crate) struct PersonForm {
    name: String,
}

/// Says who answers for what this device writes from now on.
pub(crate) async fn name_person(
    State(bench): State<SharedBench>,
    Extension(mut device): Extension<Device>,
    Form(form): Form<PersonForm>,
) -> Result<Response, PageFailure> {
    let id = device.id.clone();
    device.person =
        bench.with_workshop(move |workshop| workshop.name_person_of_device(&id, &form.name)).await?;
    bench.keys.learn_device(device);
    Ok(Redirect::to("/devices").into_response())
}

/// Asks before the key is taken back of the device that is in the hand.
pub(crate) async fn confirm_revoking(
    State(bench): State<SharedBench>,
    Extension(own): Extension<Device>,
    Path(id): Path<String>,
) -> Result<Markup, PageFailure> {
    let device =
        bench.keys.device_by_id(&id).filter(|d| d.revoked_ms.is_none()).ok_or(PageFailure::NotFound)?;
    let others =
        bench.keys.all_devices().iter().filter(|d| d.revoked_ms.is_none() && d.id != device.id).count();
    let body = html! {
        h1 { "Remove " (device.name) "?" }
        @if device.id == own.id { p.refusal { "This is the device in your hand: it is shut out at once. What waits on it stays on it until it is paired again." } }
        @if others == 0 { p.refusal { "It is the last one that is paired. The way back in is a code that the computer shows where its server was started." } }
        div.pair {
            form method="post" action={ "/devices/" (device.id) "/revoke" } { button { "Remove it" } }
            a.other href="/devices" { "Keep it" }
        }
    };
    Ok(frame::scrolling_page("Devices", None, "devices", &body))
}

/// Takes a device's key back.
pub(crate) async fn revoke_device(
    State(bench): State<SharedBench>,
    Path(id): Path<String>,
) -> Result<Response, PageFailure> {
    let mut device = bench.keys.device_by_id(&id).ok_or(PageFailure::NotFound)?;
    let revoked = device.id.clone();
    bench.with_workshop(move |workshop| workshop.revoke_device(&revoked)).await?;
    (device.revoked_ms, device.key) = (Some(now_ms()), None);
    bench.keys.learn_device(device);
    Ok(Redirect::to("/devices").into_response())
}
