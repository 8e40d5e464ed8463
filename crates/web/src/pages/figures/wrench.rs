//! What to set a torque wrench to, behind a crow-foot or an offset extension at any angle.

use app::bolting_answers::pictures::draw_wrench_answer;
use app::bolting_answers::wrench::{WrenchAnswer, WrenchRequest, compute_wrench_setting};
use app::text::significant;
use axum::extract::Query;
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use super::{figure_sheet, form_field, grounds_markup, non_empty};

/// The boxes.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct WrenchQuery {
    torque: Option<String>,
    length: Option<String>,
    offset: Option<String>,
    angle: Option<String>,
    scale: Option<String>,
    full_scale: Option<String>,
}

/// The sheet.
pub(crate) async fn wrench_page(Query(asked): Query<WrenchQuery>) -> Markup {
    let found = non_empty(&asked.torque).map(|torque| {
        let asked = WrenchRequest {
            torque,
            length: non_empty(&asked.length),
            offset: non_empty(&asked.offset),
            angle: non_empty(&asked.angle),
            scale: non_empty(&asked.scale),
            full_scale: non_empty(&asked.full_scale),
            joints: Vec::new(),
        };
        compute_wrench_setting(&asked, None).map(|answer| wrench_markup(&answer))
    });
    figure_sheet("What to set the wrench to", &wrench_form(&asked), found)
}

fn wrench_form(asked: &WrenchQuery) -> Markup {
    html! {
        form method="get" action="/figures/wrench" {
            (form_field("torque", "Torque at the fastener", asked.torque.as_ref(), "9 N·m"))
            div.pair {
                (form_field("length", "Middle of the grip to the square", asked.length.as_ref(), "250 mm"))
                (form_field("offset", "Square to the fastener", asked.offset.as_ref(), "40 mm"))
            }
            (form_field("angle", "Angle: 0° ahead, 90° across, 180° back", asked.angle.as_ref(), "0°"))
            div.pair {
                (form_field("scale", "Step of the scale", asked.scale.as_ref(), "0.5 N·m"))
                (form_field("full_scale", "Full scale", asked.full_scale.as_ref(), "25 N·m"))
            }
            button.main { "Work it out" }
        }
    }
}

fn wrench_markup(answer: &WrenchAnswer) -> Markup {
    html! {
        p { "set the wrench to" }
        p.big { (significant(answer.setting_in_unit_given, 3)) " " (answer.unit_given) }
        @if let Some(scale) = &answer.on_scale {
            p { "on its scale " strong { (significant(scale.setting_in_unit_of_scale, 3)) " " (scale.unit_of_scale) }
                ", which is " (significant(scale.error_fraction * 100.0, 2)) " % off at the fastener" }
        }
        p { (significant(answer.torque_n_m, 3)) " N·m at the fastener" }
        div.drawing { (PreEscaped(draw_wrench_answer(answer))) }
        (grounds_markup(&answer.why))
    }
}
