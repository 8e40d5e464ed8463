//! What to set a torque wrench to, behind a crow-foot or an offset extension at any angle.

use app::bolting::wrench::{WrenchAnswer, WrenchAsked, answer};
use app::text::significant;
use axum::extract::Query;
use maud::{Markup, html};
use serde::Deserialize;

use super::{field, given, grounds, sheet};

/// The boxes.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    torque: Option<String>,
    length: Option<String>,
    offset: Option<String>,
    angle: Option<String>,
    scale: Option<String>,
    full_scale: Option<String>,
}

/// The sheet.
pub(crate) async fn page(Query(asked): Query<Asked>) -> Markup {
    let found = given(&asked.torque).map(|torque| {
        let asked = WrenchAsked {
            torque,
            length: given(&asked.length),
            offset: given(&asked.offset),
            angle: given(&asked.angle),
            scale: given(&asked.scale),
            full_scale: given(&asked.full_scale),
            joints: Vec::new(),
        };
        answer(&asked, None).map(|answer| shown(&answer))
    });
    sheet("What to set the wrench to", &form(&asked), found)
}

fn form(asked: &Asked) -> Markup {
    html! {
        form method="get" action="/figures/wrench" {
            (field("torque", "Torque at the fastener", asked.torque.as_ref(), "9 N·m"))
            div.pair {
                (field("length", "Middle of the grip to the square", asked.length.as_ref(), "250 mm"))
                (field("offset", "Square to the fastener", asked.offset.as_ref(), "40 mm"))
            }
            (field("angle", "Angle: 0° ahead, 90° across, 180° back", asked.angle.as_ref(), "0°"))
            div.pair {
                (field("scale", "Step of the scale", asked.scale.as_ref(), "0.5 N·m"))
                (field("full_scale", "Full scale", asked.full_scale.as_ref(), "25 N·m"))
            }
            button.main { "Work it out" }
        }
    }
}

fn shown(answer: &WrenchAnswer) -> Markup {
    html! {
        p { "set the wrench to" }
        p.big { (significant(answer.setting_in_unit_given, 3)) " " (answer.unit_given) }
        @if let Some(scale) = &answer.on_scale {
            p { "on its scale " strong { (significant(scale.setting_in_unit_of_scale, 3)) " " (scale.unit_of_scale) }
                ", which is " (significant(scale.error_fraction * 100.0, 2)) " % off at the fastener" }
        }
        p { (significant(answer.torque_n_m, 3)) " N·m at the fastener" }
        (grounds(&answer.why))
    }
}
