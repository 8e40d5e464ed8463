//! Boards of readings: a box for each place, what was read, and how it stands against its limits.

use app::evidence::readings::{ReadingBoard, ReadingPlace, ReadingVerdict};
use app::record::{EventPlace, MeasuredReading, VisitBody};
use app::trend::reading_verdict::ReadingOutcome;
use maud::{Markup, html};
use serde_json::json;

use super::frame::json_attribute;

/// How a reading stands that raises no question.
const PLAINLY_WITHIN: &str = "within";

/// Units that are offered; any other may be written.
pub(super) const UNITS: [&str; 8] = ["mm", "bar", "%", "N·m", "V", "Ω", "°C", "µm"];

/// The boards of a step or of a visit.
pub(super) fn boards_markup(boards: &[ReadingBoard], task: Option<&str>) -> Markup {
    html! {
        @if !boards.is_empty() { div.measures {
            @for board in boards { @if board.grades.is_empty() { (figures_board(board, task)) } @else { (grades_board(board, task)) } }
            datalist #units { @for unit in UNITS { option value=(unit) {} } }
        } }
    }
}

/// A board that is read in figures: all its places are one form.
fn figures_board(board: &ReadingBoard, task: Option<&str>) -> Markup {
    let places: Vec<_> =
        board.places.iter().map(|place| json!({ "place": place.place, "what": place.what })).collect();
    let is_open = board.outcome() == Some(ReadingOutcome::TooClose);
    html! {
        form.reading data-form="measures" data-key=(board.title) data-task=[task] data-measure=[named(&board.measure)] data-unit=[named(&board.unit)]
            data-low=[board.limits.low] data-high=[board.limits.high] data-method=(board.with) data-places=(json_attribute(&places)) {
            (board_head(board))
            @for (at, place) in board.places.iter().enumerate() {
                label.spot { span { (place_name(place, board)) } input name={ "value" (at) } inputmode="decimal" autocomplete="off"; (standing_markup(place)) }
            }
            (spread_markup(board.spread.as_ref()))
            (owner_button(board, task))
            @if board.unit.is_empty() { label { "Unit" input name="unit" list="units" autocomplete="off" required maxlength="12"; } }
            details.gauge { summary { (gauge_words(board)) }
                label { "The gauge may be off by, either way" input name="gauge" inputmode="decimal" autocomplete="off" value=[told_gauge(board)]; }
            }
            @if board.is_begun() { label.tick { input type="checkbox" name="once_more" value="yes" checked[is_open]; "Once more, with the same gauge: counts together" } }
            button { @if board.is_begun() { "Read again" } @else { "Keep" } }
        }
    }
}

/// A board that is graded by eye: a tap a grade.
fn grades_board(board: &ReadingBoard, task: Option<&str>) -> Markup {
    html! {
        div.reading {
            (board_head(board))
            @for place in &board.places {
                div.spot { span { (place_name(place, board)) } (standing_markup(place))
                    span.taps { @for (rank, grade) in board.grades.iter().enumerate() {
                        button type="button" data-says=(json_attribute(&graded(board, place, rank, grade, task))) { (app::bench::capitalise_first(grade)) }
                    } }
                }
            }
            (owner_button(board, task))
        }
    }
}

/// What lies outside its limits may go to the owner with two taps.
fn owner_button(board: &ReadingBoard, task: Option<&str>) -> Markup {
    let at = EventPlace { task: task.map(str::to_owned), ..EventPlace::default() };
    html! { @if let Some(words) = board.outside_words() {
        button type="button" data-ask="tell-owner" data-words=(words) data-at=(json_attribute(&at)) { "Tell the owner" }
    } }
}

fn named(text: &str) -> Option<&str> {
    (!text.is_empty()).then_some(text)
}

fn board_head(board: &ReadingBoard) -> Markup {
    html! {
        p.asked { strong { (app::bench::capitalise_first(&board.title)) } @if !board.unit.is_empty() { ", " (board.unit) }
            span.limits { (board.limit_words) } }
        @if let Some(kind) = board.kind { details.how { summary { "How it is taken" } p { (app::bench::capitalise_first(kind.note().method)) "." @if !board.with.is_empty() { " With: " (board.with) "." } } } }
        @else if !board.with.is_empty() { p.how { "With: " (board.with) "." } }
    }
}

fn place_name<'b>(place: &'b ReadingPlace, board: &'b ReadingBoard) -> &'b str {
    if place.place.is_empty() { &board.title } else { &place.place }
}

/// What was read at a place and how it stands; in words only where it is not simply within.
fn standing_markup(place: &ReadingPlace) -> Markup {
    let verdict = place.verdict.as_ref();
    let in_words = verdict.filter(|verdict| verdict.words != PLAINLY_WITHIN);
    html! { @if let Some(shown) = &place.shown {
        span.told.(verdict.map_or("plain", |verdict| outcome_sign(verdict.outcome).1)) {
            @if let Some(verdict) = verdict { b { (outcome_sign(verdict.outcome).0) } " " } (shown)
        }
        @if let Some(verdict) = in_words { span.verdict { (verdict_words(verdict)) } }
    } }
}

/// The sign and the class of an outcome, so that no colour alone says it.
const fn outcome_sign(outcome: ReadingOutcome) -> (&'static str, &'static str) {
    match outcome {
        ReadingOutcome::Pass => ("✓", "pass"),
        ReadingOutcome::TooClose => ("?", "close"),
        ReadingOutcome::Fail => ("✗", "fail"),
    }
}

fn verdict_words(verdict: &ReadingVerdict) -> String {
    let words = app::bench::capitalise_first(&verdict.words);
    if verdict.again.is_empty() {
        format!("{words}.")
    } else {
        format!("{words}. To settle it: {}.", verdict.again)
    }
}

/// A verdict in words behind its sign.
pub(super) fn verdict_markup(verdict: &ReadingVerdict) -> Markup {
    let (sign, class) = outcome_sign(verdict.outcome);
    html! { span.verdict.(class) { b { (sign) } " " (verdict_words(verdict)) } }
}

pub(super) fn spread_markup(spread: Option<&ReadingVerdict>) -> Markup {
    html! { @if let Some(spread) = spread { p.spread { (verdict_markup(spread)) } } }
}

/// How far the gauge was said to be off at the bench; `None` where nobody said.
fn told_gauge(board: &ReadingBoard) -> Option<f64> {
    board
        .places
        .iter()
        .flat_map(|place| &place.readings)
        .filter_map(|reading| reading.gauge_error)
        .next_back()
}

fn gauge_words(board: &ReadingBoard) -> String {
    match told_gauge(board).or(board.limits.gauge_error) {
        Some(error) => format!("Gauge good to {error} {}", board.unit),
        None => String::from("How good is the gauge?"),
    }
}

fn graded(
    board: &ReadingBoard,
    place: &ReadingPlace,
    rank: usize,
    grade: &str,
    task: Option<&str>,
) -> [VisitBody; 1] {
    // A look after one that is too close to call is the second look; what was tapped by mistake is taken back.
    let is_open = place.verdict.as_ref().is_some_and(|verdict| verdict.outcome == ReadingOutcome::TooClose);
    let reading = MeasuredReading {
        method: board.with.clone(),
        measure: Some(board.measure.clone()),
        place: place.place.clone(),
        grade: Some(grade.to_owned()),
        is_once_more: is_open,
        ..MeasuredReading::plain(&place.what, rank as f64, "")
    };
    let at = EventPlace { task: task.map(str::to_owned), ..EventPlace::default() };
    [VisitBody::Read { reading: Box::new(reading), at }]
}
