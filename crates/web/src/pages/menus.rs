//! The menus of a sheet: what may have gone wrong, and what is looked for now and then.

use app::bench::StepSheet;
use app::record::{EventPlace, VisitBody, VisitHappeningKind};
use maud::{Markup, html};

use super::frame::{self, PageContext, json_attribute};
use super::sheet::lookup_markup;

fn place_of_step(view: &StepSheet) -> EventPlace {
    EventPlace { part: view.part.clone(), step: Some(view.number), ..EventPlace::default() }
}

/// What may happen, in the order of how often it does.
const HAPPENINGS: &[(VisitHappeningKind, &str)] = &[
    (VisitHappeningKind::Lost, "dropped and lost"),
    (VisitHappeningKind::Seized, "seized"),
    (VisitHappeningKind::Broken, "broke off"),
    (VisitHappeningKind::Rounded, "rounded off"),
    (VisitHappeningKind::ThreadCameOut, "thread pulled"),
    (VisitHappeningKind::Extra, "not in the book"),
    (VisitHappeningKind::WrongPart, "wrong part"),
    (VisitHappeningKind::PartMissing, "part missing"),
    (VisitHappeningKind::FoundLikeThis, "found like this"),
];

/// The menu behind "Problem": the second tap records it.
pub(crate) fn happened_menu(view: &StepSheet) -> Markup {
    html! {
        dialog #happened {
            h2 { "What is the problem?" }
            (which_fastener(view))
            div.choices {
                @for (kind, words) in HAPPENINGS {
                    button type="button" data-happened=(json_attribute(&[VisitBody::Happened {
                        what: *kind,
                        at: place_of_happening(view, *kind),
                        words: String::new(),
                    }])) { (words) }
                }
                button type="button" data-close="" { "Cancel" }
            }
        }
    }
}

/// Which fastener it is about: named here, or by a long press on the drawing; neither marks it.
fn which_fastener(view: &StepSheet) -> Markup {
    let title = |key: &str| {
        view.fixings.iter().find(|(fixing, _)| fixing == key).map_or("", |(_, title)| title.as_str())
    };
    let several = view.fixings.len() > 1;
    let begin = view.fixings.first().filter(|_| !several).map_or_else(
        || String::from("At hole "),
        |(_, title)| format!("{} ", app::bench::capitalise_first(title)),
    );
    html! {
        @if !view.fasteners.is_empty() {
            p data-which=(begin) data-none="Which one? Tap it here, or hold it down on the drawing. Without one it is recorded for the step." {
                "Which one? Tap it here, or hold it down on the drawing. Without one it is recorded for the step."
            }
            div.which { @for (fixing, hole) in &view.fasteners {
                button type="button" aria-pressed="false" data-names=(json_attribute(&serde_json::json!({ "fixing": fixing, "hole": hole }))) {
                    @if several { (title(fixing)) " " } (hole)
                }
            } }
        }
    }
}

/// Place that is recorded unless a hole is named: a dropped thing may be anything, the rest concerns the present fixing.
fn place_of_happening(view: &StepSheet, kind: VisitHappeningKind) -> EventPlace {
    let fixing = view.fixings.first().map(|(key, _)| key.clone());
    if kind == VisitHappeningKind::Lost {
        place_of_step(view)
    } else {
        EventPlace { fixing, ..place_of_step(view) }
    }
}

/// The menu behind "More": the steps around, the sheet for night, a picture, the other sheets.
pub(crate) fn more_menu(view: &StepSheet, stage: &PageContext) -> Markup {
    let link = |name: &Option<String>| name.as_ref().map(|name| stage.step_address(name));
    html! {
        dialog #more {
            div.rest { (lookup_markup(view)) }
            div.choices {
                a.other href=[link(&view.around.0)] rel="prev" { "Previous step" }
                a.other href=[link(&view.around.1)] rel="next" { "Next step" }
                button type="button" data-night="" { "Night sheet" }
                label.other.file { "Picture" input.gone type="file" accept="image/jpeg,image/png" capture="environment"
                    data-picture=(json_attribute(&place_of_step(view))); }
            }
            (frame::sheet_links(Some(stage), "bench"))
            button type="button" data-close="" { "Back to the step" }
        }
    }
}
