//! What a torque does to a bolt, or what torque a share of yield takes.

use app::bolting::figures;
use app::bolting::preload::{PreloadAnswer, PreloadAsked, answer};
use axum::extract::Query;
use maud::{Markup, html};
use serde::Deserialize;

use super::{field, given, grounds, sheet};

/// The boxes.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    thread: Option<String>,
    class: Option<String>,
    torque: Option<String>,
    friction: Option<String>,
    lubrication: Option<String>,
    head: Option<String>,
}

/// The sheet.
pub(crate) async fn page(Query(asked): Query<Asked>) -> Markup {
    let found = given(&asked.thread).map(|thread| {
        answer(&PreloadAsked {
            thread,
            class: given(&asked.class),
            friction: given(&asked.friction),
            friction_head: None,
            lubrication: given(&asked.lubrication),
            surface: None,
            share: None,
            torque: given(&asked.torque),
            prevailing: None,
            head: given(&asked.head),
            bearing: None,
            edition: None,
        })
        .map(|answer| shown(&answer))
    });
    sheet("What a torque does", &form(&asked), found)
}

fn form(asked: &Asked) -> Markup {
    html! {
        form method="get" action="/figures/preload" {
            div.pair {
                (field("thread", "Thread", asked.thread.as_ref(), "M8"))
                (field("class", "Property class", asked.class.as_ref(), "8.8"))
            }
            (field("torque", "Torque; empty asks for 90 % of yield", asked.torque.as_ref(), "25 N·m"))
            div.pair {
                (field("friction", "Friction, where it is known", asked.friction.as_ref(), "0.12"))
                (field("lubrication", "else: dry, oiled, …", asked.lubrication.as_ref(), "oiled"))
            }
            (field("head", "Head", asked.head.as_ref(), "hexagon"))
            button.main { "Work it out" }
        }
    }
}

fn shown(answer: &PreloadAnswer) -> Markup {
    html! {
        p { (answer.thread) @if let Some(class) = answer.class { ", " (class) } }
        p.big { (figures::force(answer.preload_range_n, 2)) }
        p { "preload at " strong { (figures::torque(answer.torque_range_n_m, 2)) } }
        @if let Some(share) = answer.of_yield_fraction { p { (figures::percent(share)) " of yield" } }
        @if let Some(share) = answer.of_proof_fraction { p { (figures::percent(share)) " of the proof load" } }
        (grounds(&answer.why))
    }
}
