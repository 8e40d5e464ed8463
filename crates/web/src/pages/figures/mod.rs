//! Figures beside the bench: preload and torque, the wrench's setting, a driver's clutch, and why a step's figure is what it is.
//!
//! The forms ask by address (`GET`), so that an answer can be kept, gone back to and printed; only readings of a driver write.

mod driver;
mod preload;
mod why;
mod wrench;

use app::bolting_answers::{AnswerGrounds, BoltingError};
use maud::{Markup, html};

use super::frame;
use crate::routes::BenchRoute;

/// The pages of figures.
pub(super) fn figure_routes() -> Vec<BenchRoute> {
    vec![
        BenchRoute::get("/figures", figures_page),
        BenchRoute::get("/figures/preload", preload::preload_page),
        BenchRoute::get("/figures/wrench", wrench::wrench_page),
        BenchRoute::get("/figures/driver", driver::driver_page),
        BenchRoute::post("/figures/driver", driver::add_reading),
        BenchRoute::get("/v/{visit}/why/{step}", why::why_page),
    ]
}

/// Address, name and use of each sheet of figures.
const SHEETS: &[(&str, &str, &str)] = &[
    (
        "/figures/wrench",
        "What to set the wrench to",
        "With a crowfoot or an adapter between wrench and fastener the lever arm changes, and the setting with it.",
    ),
    (
        "/figures/preload",
        "What a torque does",
        "The clamping force as a range, its share of yield and proof load, and where each figure comes from.",
    ),
    (
        "/figures/driver",
        "A power driver's clutch",
        "Readings taken with a wrench; which clutch step stays safely below a torque.",
    ),
];

async fn figures_page() -> Markup {
    let body = html! {
        h1 { "Figures" }
        p { "The maker's service figure wins over anything worked out here." }
        @for (way, title, about) in SHEETS {
            section { div.one { a.other href=(way) { (title) } } p { (about) } }
        }
    };
    frame::scrolling_page("Figures", None, "figures", &body)
}

/// A sheet of figures: its form, then the answer or what is wrong with a box.
fn figure_sheet(title: &str, form: &Markup, answer: Option<Result<Markup, BoltingError>>) -> Markup {
    let body = html! {
        h1 { (title) }
        @match answer {
            Some(Ok(answer)) => section { (answer) },
            Some(Err(error)) => p.refusal role="alert" { (error.to_string()) },
            None => {},
        }
        section.no-print { (form) }
    };
    frame::scrolling_page(title, None, "figures", &body)
}

/// What an answer rests on: formula, inputs, range, sources, cautions.
fn grounds_markup(why: &AnswerGrounds) -> Markup {
    html! {
        @for caution in &why.cautions { div.caution.notice { strong { "NOTICE" } (caution) } }
        details {
            summary { "Where it comes from" }
            @for formula in &why.formula { p { code { (formula) } } }
            @if !why.inputs.is_empty() { table {
                tr { th { "sign" } th.figure { "value" } th { "what" } th { "from" } }
                @for input in &why.inputs {
                    tr { td { (input.symbol) } td.figure { (input.value) } td { (input.what) } td { (input.from) } }
                }
            } }
            p { (why.holds_for) }
            ul { @for source in &why.sources { li { (source) } } }
        }
    }
}

/// A box of a form.
fn form_field(name: &str, words: &str, value: Option<&String>, example: &str) -> Markup {
    html! { label { (words) input name=(name) value=[value] placeholder=(example) autocomplete="off"; } }
}

/// Empty boxes are boxes left out.
fn non_empty(text: &Option<String>) -> Option<String> {
    text.as_ref().map(|t| t.trim().to_owned()).filter(|t| !t.is_empty())
}
