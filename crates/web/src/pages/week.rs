//! All open visits on one calendar, for a phone: what next over all vehicles, and when each is finished.

use app::week::{WeekRequest, WeekRow, lay_out_week, local_now};
use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;

use super::{PageFailure, frame};
use crate::bench_state::SharedBench;

/// What the form says; empty where it was not filled in.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct WeekQuery {
    opens: String,
    open_h: Option<f64>,
    days: Option<u8>,
    promised: String,
    arrives: String,
    helper: Option<String>,
}

impl WeekQuery {
    fn request(&self) -> WeekRequest {
        let lines = |text: &str| text.split_whitespace().map(str::to_owned).collect();
        WeekRequest {
            now: local_now(),
            opens: if self.opens.is_empty() { String::from("08:00") } else { self.opens.clone() },
            open_h: self.open_h.unwrap_or(9.0),
            days: self.days.unwrap_or(5),
            closed: Vec::new(),
            promised: lines(&self.promised),
            first: Vec::new(),
            arrives: lines(&self.arrives),
            has_helper: self.helper.is_some(),
        }
    }
}

/// The page.
pub(crate) async fn week_page(
    State(bench): State<SharedBench>,
    Query(asked): Query<WeekQuery>,
) -> Result<Markup, PageFailure> {
    let request = asked.request();
    let laid = bench.with_workshop(move |workshop| lay_out_week(workshop, &request)).await;
    let body = html! {
        h1 { "Calendar" }
        @match laid {
            Ok(answer) => {
                @for name in answer.unplanned() { p.refusal { (name) " has no plan and is not on the calendar." } }
                section { h2 { "Finished" } (rows_markup(&answer.finishes())) }
                section { h2 { "Next, and then" } (rows_markup(&answer.rows())) }
            },
            Err(why) => p.refusal role="alert" { (app::bench::capitalise_first(&why.to_string())) "." },
        }
        form method="get" action="/calendar" {
            div.pair {
                label { "Opens at" input name="opens" value=(asked.request().opens) autocomplete="off"; }
                label { "Hours a day" input name="open_h" inputmode="decimal" value=(asked.request().open_h); }
            }
            label { "Promised, as A=2027-03-03T17:00" input name="promised" value=(asked.promised) autocomplete="off"; }
            label { "Parts to come, as A:water-pump=2027-03-03" input name="arrives" value=(asked.arrives) autocomplete="off"; }
            label { "A second pair of hands is here" input type="checkbox" name="helper" value="yes" checked[asked.helper.is_some()]; }
            button.main { "Lay it out" }
        }
    };
    Ok(frame::scrolling_page("Calendar", None, "calendar", &body))
}

fn rows_markup(rows: &[WeekRow]) -> Markup {
    html! { ul.rows { @for row in rows {
        li { span { strong { (row.when) } } span.where { (row.letter) } span.why { (row.what) "." } }
    } } }
}
