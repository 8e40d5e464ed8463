//! A power driver's clutch: readings taken with a wrench, what each step does, and the step for a wanted torque.

use app::bolting_answers::BoltingError;
use app::bolting_answers::driver::{
    self, AddReadingsRequest, CalibrationAnswer, CalibrationRequest, ClutchStepRequest,
    readings::{self, ReadingLine},
};
use app::text::significant;
use app::workshop::{Device, Workshop};
use axum::Form;
use axum::extract::{Extension, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::{figure_sheet, form_field, grounds_markup, non_empty};
use crate::bench_state::SharedBench;
use crate::pages::{PageFailure, frame};

/// The boxes of the question.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct DriverQuery {
    driver: Option<String>,
    joint: Option<String>,
    torque: Option<String>,
    plain: Option<String>,
}

/// The boxes of a reading.
#[derive(Debug, Deserialize)]
pub(crate) struct DriverReadingForm {
    driver: String,
    joint: String,
    step: String,
    torque: String,
    check: Option<String>,
}

/// The sheet.
pub(crate) async fn driver_page(
    State(bench): State<SharedBench>,
    Query(asked): Query<DriverQuery>,
) -> Markup {
    let lines = bench.with_workshop(|workshop| kept_lines(workshop)).await;
    driver_answer(&lines, &asked, None)
}

/// The readings that the workshop has kept.
fn kept_lines(workshop: &Workshop) -> Vec<ReadingLine> {
    workshop.driver_readings().map(ReadingLine::of_kept_reading).collect()
}

fn driver_answer(lines: &[ReadingLine], asked: &DriverQuery, trouble: Option<BoltingError>) -> Markup {
    let of =
        CalibrationRequest { driver: non_empty(&asked.driver), joint: non_empty(&asked.joint), today: None };
    let found = match (trouble, non_empty(&asked.torque), !lines.is_empty()) {
        (Some(trouble), _, _) => Some(Err(trouble)),
        (None, _, false) => None,
        (None, None, true) => {
            Some(driver::show_calibration(lines, &of).map(|answer| calibration_markup(&answer, None)))
        }
        (None, Some(torque), true) => {
            let asked = ClutchStepRequest {
                of,
                torque,
                allowed: None,
                plain: asked.plain.is_some(),
                wrench_error: None,
            };
            Some(driver::find_clutch_step(lines, &asked).map(|answer| {
                html! {
                    p.big { @if let Some(step) = answer.step { "step " (step) } @else { "no step" } }
                    p { (answer.words) }
                    (calibration_markup(&answer.calibration, Some(answer.ceiling_n_m)))
                }
            }))
        }
    };
    figure_sheet("A power driver's clutch", &driver_forms(asked), found)
}

fn calibration_markup(answer: &CalibrationAnswer, limit_n_m: Option<f64>) -> Markup {
    html! {
        h2 { (answer.driver) ", " (answer.joint) }
        @if let Some(why_not) = &answer.no_calibration { p.refusal { (why_not) } }
        @if answer.is_void { p.refusal { (answer.drift) } } @else { p { (answer.drift) } }
        div.drawing { (frame::drawing_markup(&driver::draw_calibration(answer, limit_n_m))) }
        table {
            tr { th { "step" } th.figure { "N·m, mean" } th.figure { "99 in 100 below" } }
            @for line in &answer.steps {
                tr { td { (line.step) } td.figure { (significant(line.mean_n_m, 2)) } td.figure { (significant(line.upper_n_m, 2)) } }
            }
        }
        (grounds_markup(&answer.why))
    }
}

fn driver_forms(asked: &DriverQuery) -> Markup {
    html! {
        h2 { "Which step stays below?" }
        form method="get" action="/figures/driver" {
            div.pair {
                (form_field("driver", "Driver", asked.driver.as_ref(), "small blue one"))
                (form_field("joint", "Kind of joint", asked.joint.as_ref(), "M6, dry"))
            }
            (form_field("torque", "Torque wanted", asked.torque.as_ref(), "5 N·m"))
            label { input type="checkbox" name="plain" checked[asked.plain.is_some()]; "this fastener is not critical" }
            button.main { "Show" }
        }
        h2 { "A reading: run down with the driver, read with the wrench" }
        form method="post" action="/figures/driver" {
            div.pair {
                (form_field("driver", "Driver", asked.driver.as_ref(), "small blue one"))
                (form_field("joint", "Kind of joint", asked.joint.as_ref(), "M6, dry"))
                (form_field("step", "Clutch step", None, "7"))
                (form_field("torque", "Torque read", None, "4.2 N·m"))
            }
            label { input type="checkbox" name="check"; "this reading checks an older calibration" }
            button.main { "Save the reading" }
        }
    }
}

/// Keeps a reading.
pub(crate) async fn add_reading(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Form(reading): Form<DriverReadingForm>,
) -> Result<Response, PageFailure> {
    let asked = DriverQuery {
        driver: Some(reading.driver.clone()),
        joint: Some(reading.joint.clone()),
        ..DriverQuery::default()
    };
    let torques = reading.torque.split(',').map(|t| t.trim().to_owned()).collect();
    let checked = driver::check_readings(&AddReadingsRequest {
        driver: reading.driver,
        joint: reading.joint,
        step: reading.step,
        torques,
        date: None,
        check: reading.check.is_some(),
    });
    let given = match checked {
        Ok(given) => given,
        Err(error) => {
            let lines = bench.with_workshop(|workshop| kept_lines(workshop)).await;
            return Ok(driver_answer(&lines, &asked, Some(error)).into_response());
        }
    };
    bench
        .with_workshop(move |workshop| {
            let fresh = readings::number_fresh_readings(workshop.driver_readings(), &given);
            workshop.keep_driver_readings(&device.id, fresh, false)
        })
        .await?;
    Ok(Redirect::to("/figures/driver").into_response())
}
