//! Why this figure? What stands behind a tightening step of the plan.

use app::bolting::figures;
use app::bolting::why::{FixingWhy, Why, why};
use app::text::significant;
use app::workshop::Device;
use axum::extract::{Extension, Path, State};
use maud::{Markup, html};

use super::grounds;
use crate::bench::Shared;
use crate::pages::frame::{self, Stage};
use crate::pages::{Failure, of_visit};

/// The sheet of a step.
pub(crate) async fn page(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path((visit, step)): Path<(String, u32)>,
) -> Result<Markup, Failure> {
    of_visit(&bench, &visit, move |live| {
        let stage = Stage::of(live, &device.id);
        let back = format!("{}?step={step}", stage.at("bench"));
        let body = html! {
            @match why(live.book(), live.plan(), step) {
                Ok(found) => (shown(&found)),
                Err(error) => { h1 { "Why this figure?" } p { (error.to_string()) } },
            }
            div.one { a.main href=(back) { "Back to the step" } }
        };
        Ok(frame::page("Why this figure?", Some(&stage), "bench", &body))
    })
    .await
}

fn shown(found: &Why) -> Markup {
    html! {
        h1 { "Why this figure?" }
        p { (found.step) "  " (found.text) }
        @for fixing in &found.fixings { section { (one(fixing)) } }
        (grounds(&found.why))
    }
}

fn one(fixing: &FixingWhy) -> Markup {
    // Holes worked by one stack come to the same and are shown once.
    let mut passes: Vec<_> = fixing.passes.iter().collect();
    passes.dedup();
    html! {
        h2 { (fixing.title) ", " (fixing.size) }
        table {
            tr { th { "pass" } th.figure { "figure" } th.figure { "set the wrench to" } }
            @for pass in &passes {
                tr {
                    td { (pass.pass) }
                    td.figure { strong { (pass.figure) } }
                    td.figure { @if let Some(set) = pass.setting_n_m { (significant(set, 3)) " N·m" } }
                }
                tr.note { td colspan="3" { @if !pass.stack.is_empty() { "with " (pass.stack) "; " } "correction: " (pass.correction) } }
            }
        }
        p { "The figure is the book's: " (fixing.source) "." }
        @if let Some(preload) = fixing.preload_n { p { "It leaves a preload of " strong { (figures::force(preload, 2)) } "." } }
        @if let Some(share) = fixing.of_proof_fraction { p { (figures::percent(share)) " of the proof load." } }
        @if let Some(margin) = fixing.strip_margin_ratio { p { "The thread strips at " (significant(margin, 2)) " times the bolt's breaking load." } }
        @if let Some(words) = fixing.plausible { p { "For this thread and class: " (words) "." } }
        @if let Some(words) = fixing.reuse { p { (words) } }
        @if fixing.is_critical { p { strong { "Critical: looked at a second time, never finished by a driver." } } }
    }
}
