//! One step as a sheet of the bench: where, which hole, with what, how tight, where to; in this order and size.

use app::bench::{StepSheet, ToolLine};
use app::model::SlotAddress;
use app::model::plan::JobPhase;
use app::record::StepStanding;
use maud::{Markup, html};

use super::frame::{self, PageContext, json_attribute};
use super::{caution_markup, clocks};

/// The sheet of a step.
pub(crate) fn step_markup(view: &StepSheet, stage: &PageContext) -> Markup {
    let number = if view.last_number > view.number {
        format!("{} to {} of {}", view.number, view.last_number, view.of)
    } else {
        format!("{} of {}", view.number, view.of)
    };
    html! {
        main.sheet.bare[view.drawing.is_none() && view.pattern.is_none()] aria-label=(view.sentence)
            data-step=(view.name) data-number=(view.number) data-spoken=(view.spoken)
            data-passes=[(!view.passes.is_empty()).then(|| json_attribute(&view.passes))] {
            (place_markup(view))
            (step_picture(view))
            (step_words(view, stage))
            div.actions {
                (main_button(view))
                div.small {
                    button type="button" data-undo="" { "Take back" }
                    button type="button" data-open="happened" { "Problem" }
                    a.other href=(stage.sheet_address("pause")) { "Pause" }
                    button type="button" data-open="more" { "More" }
                }
            }
            (frame::title_block(Some(stage), &[
                ("step", format!("{number}, {}", view.phase.spoken_word())),
                ("left", view.time_left.clone()),
            ]))
        }
    }
}

/// Where: the part and the working position, in a full band where the hand has to go somewhere else; and, in one tap, the picture
/// of the place, the other drawing, the voice.
fn place_markup(view: &StepSheet) -> Markup {
    let place = &view.place;
    html! {
        header.place.new-place[place.is_new] {
            p {
                @if place.is_new { span.go { "Go to " } }
                span.station { (place.station) }
                @if !place.part.is_empty() { span.part { (app::bench::capitalise_first(&place.part)) } }
            }
            @if let Some(picture) = &place.picture {
                a href={ "/picture/" (picture) } { "Picture" }
            }
            @if view.drawing.is_some() && view.pattern.is_some() {
                button type="button" data-turn="" data-other=(if holes_first(view) { "Holes" } else { "Tool" }) { (if holes_first(view) { "Tool" } else { "Holes" }) }
            }
            @if view.drawing.is_some() || view.pattern.is_some() { button type="button" data-drawing="" hidden { "Drawing" } }
            button type="button" data-aloud="" { "Voice" }
        }
    }
}

/// The large button. Where nothing at hand does the work, or a value is to be read first, it asks before it ticks.
fn main_button(view: &StepSheet) -> Markup {
    let unread: usize = view.measures.iter().map(app::evidence::readings::ReadingBoard::unread_count).sum();
    html! {
        @match (&view.tick, view.standing) {
            (Some(says), _) if view.tools.iter().any(|tool| tool.is_missing) => {
                button.main.asks type="button" data-ask="without-tool" data-bodies=(json_attribute(&says.bodies)) { "No tool at hand: done all the same" }
            },
            (Some(says), _) if unread > 0 => {
                button.main.asks type="button" data-ask="unread" data-bodies=(json_attribute(&says.bodies)) {
                    "Done, with " (app::text::table::count_with_noun(unread, "value")) " not read"
                }
            },
            (Some(says), _) => {
                button.main type="button" data-says=(json_attribute(&says.bodies)) data-left=[(!says.rest.is_empty()).then_some(&says.rest)]
                    data-done=[(!view.marks_back.is_empty()).then(|| json_attribute(&view.marks_back))] { (label_markup(&says.label)) }
            },
            (None, StepStanding::Done) => button.main type="button" disabled { "Done" },
            (None, _) => button.main type="button" disabled { "Not yet: something is open" },
        }
    }
}

/// The words of a button, in which no line ends within a slot.
fn label_markup(label: &str) -> Markup {
    html! {
        @match label.split_once(" → ") {
            Some((deed, way)) => {
                @let (slot, more) = way.split_once(';').map_or((way, None), |(slot, more)| (slot, Some(more)));
                span { (deed) " " span.whole { "→ " (slot) } @if let Some(more) = more { ";" (more) } }
            },
            None => (label),
        }
    }
}

/// Whether the holes are shown first: where fasteners go in, and where there is no stack to draw.
fn holes_first(view: &StepSheet) -> bool {
    view.phase == JobPhase::Refit || view.drawing.is_none()
}

/// The drawing to scale: the stack, or the holes where the order of the holes is the question; a tap changes over.
fn step_picture(view: &StepSheet) -> Markup {
    let (first, second) =
        if holes_first(view) { (&view.pattern, &view.drawing) } else { (&view.drawing, &view.pattern) };
    html! {
        @match (first, second) {
            (Some(first), Some(second)) => div.picture {
                div.drawn { (frame::drawing_markup(first)) }
                div.drawn.gone { (frame::drawing_markup(second)) }
            },
            (Some(only), None) | (None, Some(only)) => div.picture { div.drawn { (frame::drawing_markup(only)) } },
            (None, None) => {},
        }
    }
}

fn step_words(view: &StepSheet, stage: &PageContext) -> Markup {
    html! {
        div.words {
            (stage.conflict_notice())
            @for text in &view.cautions { (caution_markup(text)) }
            h1.sentence { (frame::keep_units_together(&view.sentence)) }
            @if view.helper { p { strong { "Two people." } } }
            @for tool in view.tools.iter().filter(|tool| !tool.words.is_empty() || !tool.change.is_empty()) { (tool_markup(tool)) }
            @if !view.figure.large.is_empty() || view.slot.is_some() {
                div.reach {
                    @if !view.figure.large.is_empty() { span.figure { (frame::keep_units_together(&view.figure.large)) } }
                    @if !view.figure.beside.is_empty() { span.beside { (frame::keep_units_together(&view.figure.beside)) } }
                    @if let Some(slot) = &view.slot { span.slot { (slot_in_words(view.phase, slot)) } }
                }
            }
            (clocks::own_clock(view))
            (super::boards::boards_markup(&view.measures, view.task.as_deref()))
            @if let Some(against) = &view.against { p.refusal { (against) } }
            (frame::missing_figures_markup(&view.missing_figures))
            @for fact in &view.facts { p { (frame::keep_units_together(fact)) } }
            (clocks::clocks_beside(view))
            @if view.tightens { p.ground { a href=(stage.sheet_address(&format!("why/{}", view.last_number))) { "Why this figure?" } } }
            @if !view.take_back.is_empty() {
                div.one { button type="button" data-says=(json_attribute(&view.take_back)) { "This was not done: take it back" } }
            }
            div.rest { (lookup_markup(view)) }
        }
    }
}

/// With what: the size first, what the hand changes, then the stack; what no tool does stands out.
fn tool_markup(tool: &ToolLine) -> Markup {
    html! {
        p.tool.refusal[tool.is_missing] {
            @if !tool.size.is_empty() { span.size { (frame::keep_units_together(&tool.size)) } " " }
            @if !tool.act.is_empty() { span.act { (tool.act) @if !tool.holes.is_empty() { " " (tool.holes) } ": " } }
            @if !tool.change.is_empty() { span.change { (frame::keep_units_together(&tool.change)) } " " }
            @if !tool.words.is_empty() { span.stack { (frame::keep_units_together(&tool.words)) } }
        }
    }
}

/// Where the fasteners go or come from; what is loosened and left needs no slot.
fn slot_in_words(phase: JobPhase, slot: &SlotAddress) -> String {
    let way = match phase {
        JobPhase::Strip | JobPhase::Work => "into",
        JobPhase::Refit => "from",
    };
    match slot {
        SlotAddress::OnPart => "left on the part".into(),
        SlotAddress::InHole => "left in its hole".into(),
        SlotAddress::Compartment { .. }
        | SlotAddress::Bag { .. }
        | SlotAddress::HoleCard { .. }
        | SlotAddress::Scrap => format!("{way} {slot}"),
    }
}

/// What is looked up, and the next steps: whole lines below the words as far as there is room, and all of it behind "More".
pub(super) fn lookup_markup(view: &StepSheet) -> Markup {
    html! {
        @for note in &view.notes { p { (note) } }
        @if !view.next.is_empty() { ul.next { @for line in &view.next { li { (frame::keep_units_together(line)) } } } }
    }
}
