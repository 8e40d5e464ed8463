//! A power driver's clutch: readings taken with a wrench, what each step does, and the step for a wanted torque.

use app::bolting::BoltingError;
use app::bolting::driver::{self, AddAsked, ShowAnswer, ShowAsked, StepAsked};
use app::text::significant;
use axum::Form;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::{field, given, grounds, sheet};
use crate::bench::Shared;
use crate::pages::frame;

/// The boxes of the question.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    driver: Option<String>,
    joint: Option<String>,
    torque: Option<String>,
    plain: Option<String>,
}

/// The boxes of a reading.
#[derive(Debug, Deserialize)]
pub(crate) struct Reading {
    driver: String,
    joint: String,
    step: String,
    torque: String,
    check: Option<String>,
}

/// The sheet.
pub(crate) async fn page(State(bench): State<Shared>, Query(asked): Query<Asked>) -> Markup {
    answer(&bench, &asked, None)
}

fn answer(bench: &Shared, asked: &Asked, trouble: Option<BoltingError>) -> Markup {
    let of = ShowAsked { driver: given(&asked.driver), joint: given(&asked.joint) };
    let path = &bench.readings;
    let found = match (trouble, given(&asked.torque), path.exists()) {
        (Some(trouble), _, _) => Some(Err(trouble)),
        (None, _, false) => None,
        (None, None, true) => Some(driver::show(path, &of).map(|answer| shown(&answer, None))),
        (None, Some(torque), true) => {
            let asked =
                StepAsked { of, torque, allowed: None, plain: asked.plain.is_some(), wrench_error: None };
            Some(driver::step(path, &asked).map(|answer| {
                html! {
                    p.big { @if let Some(step) = answer.step { "step " (step) } @else { "no step" } }
                    p { (answer.words) }
                    (shown(&answer.calibration, Some(answer.ceiling_n_m)))
                }
            }))
        }
    };
    sheet("A power driver's clutch", &forms(asked), found)
}

fn shown(answer: &ShowAnswer, limit_n_m: Option<f64>) -> Markup {
    html! {
        h2 { (answer.driver) ", " (answer.joint) }
        @if let Some(why_not) = &answer.no_calibration { p.refusal { (why_not) } }
        @if answer.is_void { p.refusal { (answer.drift) } } @else { p { (answer.drift) } }
        div.drawing { (frame::drawing(&driver::drawing(answer, limit_n_m))) }
        table {
            tr { th { "step" } th.figure { "N·m, mean" } th.figure { "99 in 100 below" } }
            @for line in &answer.steps {
                tr { td { (line.step) } td.figure { (significant(line.mean_n_m, 2)) } td.figure { (significant(line.upper_n_m, 2)) } }
            }
        }
        (grounds(&answer.why))
    }
}

fn forms(asked: &Asked) -> Markup {
    html! {
        h2 { "Which step stays below?" }
        form method="get" action="/figures/driver" {
            div.pair {
                (field("driver", "Driver", asked.driver.as_ref(), "small blue one"))
                (field("joint", "Kind of joint", asked.joint.as_ref(), "M6, dry"))
            }
            (field("torque", "Torque wanted", asked.torque.as_ref(), "5 N·m"))
            label { input type="checkbox" name="plain" checked[asked.plain.is_some()]; "nothing hangs on this fastener" }
            button.main { "Show" }
        }
        h2 { "A reading: run down with the driver, read with the wrench" }
        form method="post" action="/figures/driver" {
            div.pair {
                (field("driver", "Driver", asked.driver.as_ref(), "small blue one"))
                (field("joint", "Kind of joint", asked.joint.as_ref(), "M6, dry"))
                (field("step", "Clutch step", None, "7"))
                (field("torque", "Torque read", None, "4.2 N·m"))
            }
            label { input type="checkbox" name="check"; "it checks an older calibration" }
            button.main { "Keep the reading" }
        }
    }
}

/// Keeps a reading.
pub(crate) async fn add(State(bench): State<Shared>, Form(reading): Form<Reading>) -> Response {
    let asked = Asked {
        driver: Some(reading.driver.clone()),
        joint: Some(reading.joint.clone()),
        ..Asked::default()
    };
    let torques = reading.torque.split(',').map(|t| t.trim().to_owned()).collect();
    let added = driver::add(
        &bench.readings,
        &AddAsked {
            driver: reading.driver,
            joint: reading.joint,
            step: reading.step,
            torques,
            date: None,
            check: reading.check.is_some(),
        },
    );
    match added {
        Ok(_) => Redirect::to("/figures/driver").into_response(),
        Err(error) => answer(&bench, &asked, Some(error)).into_response(),
    }
}
