//! Readings: what was measured, against its limits, and a form with few fields.

use app::record::{MeasuredReading, visit::VisitReading};
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::{PageFailure, SheetRequest};

/// Units that are offered; any other may be written.
pub(super) const UNITS: [&str; 7] = ["mm", "bar", "N·m", "V", "Ω", "°C", "µm"];

/// The readings of a visit.
pub(crate) async fn readings_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    asked.render_sheet("Readings", "readings", |live, _| readings_sheet(live)).await
}

fn readings_sheet(live: &LiveVisit) -> Markup {
    let state = live.state();
    let is_asked = |key: &String| live.plan().is_none_or(|plan| plan.asked.tasks.contains(key));
    let all = live.book().into_iter().flat_map(|book| &book.tasks);
    let tasks: Vec<_> = all.filter(|task| is_asked(&task.key)).collect();
    html! {
        h1 { "Readings" }
        section {
            form data-form="reading" {
                label { "What is measured"
                    select name="task" { @for task in &tasks { option value=(task.key) { (task.title) } } option value="" { "something else" } } }
                label { "In words" input name="what" placeholder="cylinder 3" maxlength="80"; }
                div.pair {
                    label { "Value" input name="value" inputmode="decimal" required; }
                    label { "Unit" input name="unit" list="units" required maxlength="12"; }
                }
                datalist #units { @for unit in UNITS { option value=(unit) {} } }
                div.pair {
                    label { "Lowest allowed" input name="low" inputmode="decimal"; }
                    label { "Highest allowed" input name="high" inputmode="decimal"; }
                }
                label { "Measured with" input name="method" placeholder="feeler gauge, cold" maxlength="80"; }
                button.main { "Save the reading" }
            }
        }
        section {
            h2 { "Taken" }
            @if state.readings.is_empty() { p { "None yet." } }
            table { @for taken in state.readings.iter().rev() { (reading_row(taken)) } }
        }
        section {
            h2 { "Pictures" }
            div.pictures { @for picture in state.pictures.iter().rev() {
                a href={ "/picture/" (picture.picture) } { img loading="lazy" src={ "/picture/" (picture.picture) } alt="picture of the work"; }
            } }
        }
    }
}

fn reading_row(taken: &VisitReading) -> Markup {
    let reading = &taken.reading;
    html! {
        tr {
            td { (reading.what) @if !reading.method.is_empty() { ", " (reading.method) } }
            td.figure { strong { (reading.value) " " (reading.unit) } }
            td { (limits_in_words(reading)) }
            td { (limit_verdict(reading)) }
        }
    }
}

fn limits_in_words(reading: &MeasuredReading) -> String {
    match (reading.low, reading.high) {
        (Some(low), Some(high)) => format!("{low} to {high}"),
        (Some(low), None) => format!("at least {low}"),
        (None, Some(high)) => format!("at most {high}"),
        (None, None) => String::from("no limit given"),
    }
}

fn limit_verdict(reading: &MeasuredReading) -> &'static str {
    let below = reading.low.is_some_and(|low| reading.value < low);
    let above = reading.high.is_some_and(|high| reading.value > high);
    match (below, above, reading.low.is_none() && reading.high.is_none()) {
        (true, _, _) => "below the limit",
        (_, true, _) => "above the limit",
        (_, _, true) => "",
        _ => "within",
    }
}
