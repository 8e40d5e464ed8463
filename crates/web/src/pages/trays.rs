//! The trays, drawn as they lie: what each compartment holds, and what of it is still out.

use app::bench::{Compartment, TrayNow, trays};
use app::workshop::Device;
use axum::extract::{Extension, Path, State};
use maud::{Markup, html};

use super::frame::{self, Stage};
use super::{Failure, of_visit};
use crate::bench::Shared;

/// All trays of a visit.
pub(crate) async fn page(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
) -> Result<Markup, Failure> {
    of_visit(&bench, &visit, move |live| {
        let stage = Stage::of(live, &device.id);
        let all = trays(live.book(), live.store(), live.plan(), live.state());
        let body = html! {
            h1 { "Trays" }
            p { "The tray itself is the truth; this sheet holds its addresses and counts." }
            @for tray in &all { (one(tray)) }
        };
        Ok(frame::page("Trays", Some(&stage), "trays", &body))
    })
    .await
}

fn one(tray: &TrayNow) -> Markup {
    html! {
        section {
            h2 { (tray.title) }
            @if tray.tray.is_some() {
                div.tray style={ "grid-template-columns: repeat(" (tray.size.1) ", minmax(0, 1fr))" } {
                    @for row in (0..tray.size.0).rev() {
                        @for column in 0..tray.size.1 { (cell(tray, (row, column))) }
                    }
                }
                p { "Front of the tray below." }
            }
            ul.rows {
                @for place in &tray.compartments {
                    li { span.where { (place.slot) } span.where { (place.now) " of " (place.count) } span.why { (place.what) } }
                }
            }
        }
    }
}

fn cell(tray: &TrayNow, at: (u16, u16)) -> Markup {
    let here: Vec<&Compartment> = tray.compartments.iter().filter(|c| c.at == Some(at)).collect();
    html! {
        div.cell {
            @if let Some(first) = here.first() {
                b { (first.slot.rsplit('-').next().unwrap_or_default()) }
                @for place in &here { span { (place.now) "/" (place.count) } }
            }
        }
    }
}
