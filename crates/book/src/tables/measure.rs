//! Measures: what is measured, at which places, within which limits.

use std::sync::LazyLock;

use fields::{FieldTable, TextForm, at, list, list_at, maybe, name, text, word};
use model::{Measure, MeasureFigure, TaskId};

use super::basics::{ABOUT_KEY, ABOUT_TITLE, KEY_OF_TITLE};
use super::{TASKS, own_key};
use crate::drafts::blank_measure;
use crate::limits::MAX_LIST_ITEMS;
use crate::rules::names as rule;
use crate::words;

/// A limit as the maker writes it: a figure with its unit.
const fn measure_limit() -> TextForm {
    text()
        .called("figure with its unit")
        .checked(|text| MeasureFigure::parse(&text.value).is_none().then(|| rule::b126_measure_limit(text)))
}

pub(crate) static MEASURE: LazyLock<FieldTable<Measure>> = LazyLock::new(|| {
    let table = FieldTable::new("measure", blank_measure)
        .optional("key", own_key(), at!(key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(title), ABOUT_TITLE)
        .optional(
            "kind",
            word(words::READING_KINDS),
            maybe!(kind),
            "Kind of reading: its usual unit, how it is taken, how to do better.",
        )
        .optional(
            "task",
            name(&TASKS),
            (|row| row.task.map(TaskId::index), |row, position| row.task = Some(TaskId::new(position))),
            "The task that it belongs to.",
        )
        .or_else("none: whenever it can be got at")
        .optional(
            "places",
            list(MAX_LIST_ITEMS, text()),
            list_at!(places),
            "Places where it is taken, each on its own.",
        )
        .or_else("one");
    with_limits(table).optional("with", text(), maybe!(with), "What it is measured with.").optional(
        "source",
        text(),
        list_at!(source),
        "Where the limits come from: a document and a place in it.",
    )
});

/// The limits, and how well it can be read.
fn with_limits(table: FieldTable<Measure>) -> FieldTable<Measure> {
    table
        .optional("unit", text(), maybe!(unit), "Its unit, where no limit names it.")
        .or_else("that of the limits, or the usual one of its kind")
        .optional("low", measure_limit(), maybe!(low), "The least that is right.")
        .optional("high", measure_limit(), maybe!(high), "The greatest that is right.")
        .optional(
            "apart",
            measure_limit(),
            maybe!(apart),
            "How far highest and lowest of the places may lie apart.",
        )
        .optional(
            "lowest_of_highest",
            text().called("share in percent"),
            maybe!(lowest_of_highest),
            "The least share of the highest place that the lowest must show: `75 %`.",
        )
        .optional(
            "gauge_error",
            measure_limit(),
            maybe!(gauge_error),
            "How far the gauge may be off, either way.",
        )
        .or_else("not known; a single reading is judged as it stands")
        .optional(
            "grades",
            list(MAX_LIST_ITEMS, text()),
            list_at!(grades),
            "Grades of a look, the best first.",
        )
        .optional("worst", text(), maybe!(worst), "The worst grade that is right.")
}
