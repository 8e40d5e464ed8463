//! The keys of the book format, one field table for each kind of table: reader, writer, schema and page follow from them.

pub(crate) mod access;
pub(crate) mod basics;
pub(crate) mod fixing;
pub(crate) mod measure;
pub(crate) mod parsing;
pub(crate) mod part;
pub(crate) mod world;

use std::sync::LazyLock;

use fields::{FieldTable, NameKind, TextForm, at, flag, flag_at, list_at, rows, text};

use crate::drafts::BookDraft;
use crate::limits;
use crate::rules::{names as rule, settings as world_rule};

/// The format line of a book's head.
pub(crate) const FORMAT: &str = "traywright-book/2";

/// The keys of the head, which one file of a book has.
pub(crate) const HEAD_KEYS: [&str; 7] =
    ["format", "key", "title", "origin", "currency", "invented", "origins"];

pub(crate) static STATIONS: NameKind = NameKind { what: "station", unknown: &rule::B105 };
pub(crate) static CONDITIONS: NameKind = NameKind { what: "condition", unknown: &rule::B106 };
pub(crate) static PARTS: NameKind = NameKind { what: "part", unknown: &rule::B107 };
pub(crate) static OPENINGS: NameKind = NameKind { what: "opening", unknown: &rule::B108 };
pub(crate) static TOOLS: NameKind = NameKind { what: "special tool", unknown: &rule::B114 };
/// Tasks, which measures refer to.
pub(crate) static TASKS: NameKind = NameKind { what: "task", unknown: &rule::B127 };
/// Measures, which nothing refers to within a book.
pub(crate) static MEASURES: NameKind = NameKind { what: "measure", unknown: &rule::B103 };
pub(crate) static SETTINGS: NameKind = NameKind { what: "setting", unknown: &world_rule::B513 };
/// The values of all settings, [`model::MAX_SETTING_VALUES`] places for each.
pub(crate) static VALUES: NameKind = NameKind { what: "value", unknown: &world_rule::B502 };
pub(crate) static WAYS: NameKind = NameKind { what: "way", unknown: &rule::B121 };
/// Fixings of the whole book, which an order of tightening refers to.
pub(crate) static FIXINGS: NameKind = NameKind { what: "fixing", unknown: &rule::B130 };
pub(crate) static HOLES: NameKind = NameKind { what: "hole", unknown: &rule::B122 };

/// A file of a book.
pub(crate) static BOOK: LazyLock<FieldTable<BookDraft>> = LazyLock::new(|| {
    let items = limits::MAX_ITEMS;
    let head = FieldTable::new("book", BookDraft::default)
        .required("format", format_line(), at!(format), "The format and its version.")
        .optional("key", own_key(), at!(key), "Short name of the book.")
        .or_else("made from the title")
        .required("title", text(), at!(title), "What a person calls it.")
        .such_as("\"Tern 2.4, front-wheel-drive minibus\"")
        .optional("origin", text(), list_at!(origin), "Where the book comes from.")
        .or_else("not told")
        .optional("currency", currency_code(), at!(currency), "Three-letter currency of all prices.")
        .or_else("`EUR`")
        .optional(
            "invented",
            flag(),
            flag_at!(is_invented),
            "All figures are invented, and are taken at their word.",
        )
        .or_else("`false`");
    let head = basics::with_origins!(head, origins);
    head.optional(
        "station",
        rows(items, &basics::STATION).under_headings(),
        list_at!(stations),
        "Working positions; the vehicle starts at the first.",
    )
    .optional(
        "setting",
        rows(items, &world::SETTING).under_headings(),
        list_at!(settings),
        "States of the vehicle with values and ways between them.",
    )
    .optional(
        "rule",
        rows(items, &world::RULE).under_headings(),
        list_at!(rules),
        "What must hold at every moment.",
    )
    .optional(
        "goal",
        rows(items, &world::GOAL).under_headings(),
        list_at!(goals),
        "States that a visit may be brought to before it is whole.",
    )
    .optional(
        "condition",
        rows(items, &basics::CONDITION).under_headings(),
        list_at!(conditions),
        "States of the vehicle.",
    )
    .optional(
        "opening",
        rows(items, &basics::OPENING).under_headings(),
        list_at!(openings),
        "Openings into the engine.",
    )
    .optional(
        "special_tool",
        rows(items, &basics::SPECIAL_TOOL).under_headings(),
        list_at!(special_tools),
        "Tools that the book names.",
    )
    .optional(
        "part",
        rows(items, &part::PART).under_headings(),
        list_at!(parts),
        "Whatever comes off, opens or unplugs.",
    )
    .optional(
        "task",
        rows(items, &basics::TASK).under_headings(),
        list_at!(tasks),
        "Work that may be requested.",
    )
    .optional(
        "measure",
        rows(items, &measure::MEASURE).under_headings(),
        list_at!(measures),
        "What is measured, with its limits.",
    )
});

/// The format line.
const fn format_line() -> TextForm {
    text().constant(FORMAT).checked(|text| (text.value != FORMAT).then(|| rule::b101_other_format(text)))
}

/// A table's own key.
pub(crate) const fn own_key() -> TextForm {
    text()
        .called("lower-case words joined by hyphens")
        .pattern("^[a-z0-9]+(-[a-z0-9]+)*$")
        .checked(|text| (!rule::is_well_formed(&text.value)).then(|| rule::b104_form_of_key(text)))
}

/// Three capital letters, as ISO 4217 writes currencies.
const fn currency_code() -> TextForm {
    text().called("three capital letters (ISO 4217)").pattern("^[A-Z]{3}$").checked(|text| {
        let is_code = text.value.len() == 3 && text.value.chars().all(|c| c.is_ascii_uppercase());
        (!is_code).then(|| rule::b111_currency(text))
    })
}
