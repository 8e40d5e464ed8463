//! What a torque does to a bolt, or what torque a share of yield takes.

use app::bolting_answers::figures;
use app::bolting_answers::pictures::draw_preload_answer;
use app::bolting_answers::preload::{PreloadAnswer, PreloadRequest, compute_preload};
use axum::extract::Query;
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use super::{figure_sheet, form_field, grounds_markup, non_empty};

/// The boxes.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct PreloadQuery {
    thread: Option<String>,
    class: Option<String>,
    torque: Option<String>,
    friction: Option<String>,
    lubrication: Option<String>,
    head: Option<String>,
}

/// The sheet.
pub(crate) async fn preload_page(Query(asked): Query<PreloadQuery>) -> Markup {
    let found = non_empty(&asked.thread).map(|thread| {
        compute_preload(&PreloadRequest {
            thread,
            class: non_empty(&asked.class),
            friction: non_empty(&asked.friction),
            friction_head: None,
            lubrication: non_empty(&asked.lubrication),
            surface: None,
            share: None,
            torque: non_empty(&asked.torque),
            prevailing: None,
            head: non_empty(&asked.head),
            bearing: None,
            waist: None,
            bore: None,
            edition: None,
        })
        .map(|answer| preload_markup(&answer))
    });
    figure_sheet("What a torque does", &preload_form(&asked), found)
}

fn preload_form(asked: &PreloadQuery) -> Markup {
    html! {
        form method="get" action="/figures/preload" {
            div.pair {
                (form_field("thread", "Thread", asked.thread.as_ref(), "M8"))
                (form_field("class", "Property class", asked.class.as_ref(), "8.8"))
            }
            (form_field("torque", "Torque; empty asks for 90 % of yield", asked.torque.as_ref(), "25 N·m"))
            div.pair {
                (form_field("friction", "Friction, where it is known", asked.friction.as_ref(), "0.12"))
                (form_field("lubrication", "else: dry, oiled, …", asked.lubrication.as_ref(), "oiled"))
            }
            (form_field("head", "Head", asked.head.as_ref(), "hexagon"))
            button.main { "Work it out" }
        }
    }
}

fn preload_markup(answer: &PreloadAnswer) -> Markup {
    html! {
        p { (answer.thread) @if let Some(class) = answer.class { ", " (class) } }
        p.big { (answer.preload_words(figures::COARSE)) }
        p { "preload at " strong { (figures::format_torque_range(answer.torque_range_n_m, 2)) } }
        @if let Some(share) = answer.of_yield_fraction { p { (figures::format_percent_range(share)) " of yield" } }
        @if let Some(share) = answer.of_proof_fraction { p { (figures::format_percent_range(share)) " of the proof load" } }
        div.drawing { (PreEscaped(draw_preload_answer(answer))) }
        (grounds_markup(&answer.why))
    }
}
