//! Stations, conditions, openings, special tools, tasks, and what several kinds of tables have alike.

use std::sync::LazyLock;

use fields::{
    CountForm, FieldTable, KnownForm, PriceForm, QuantityForm, at, count, flag, flag_at, known, known_at,
    list_at, maybe, name,
};
use fields::{list, names, price, quantity, rows, table, text, word};
use model::{
    Caution, Condition, ConditionId, FigureOrigins, Need, Opening, PartId, SpecialTool, SpecialToolId,
};
use model::{SignalWord, Station, StationId, Supply, Task};
use units::{Duration, Force};

use super::parsing::task_interval;
use super::world::{ACT, NeedsForm, act_at};
use super::{STATIONS, TOOLS, own_key};
use crate::drafts::{blank_condition, blank_station, blank_task};
use crate::limits::{self, MAX_LIST_ITEMS};
use crate::rules::names as rule;
use crate::words;

/// About a table's own key.
pub(crate) const ABOUT_KEY: &str = "Short name, unique of its kind.";
/// About a title.
pub(crate) const ABOUT_TITLE: &str = "What a person calls it.";
/// What is taken where a key is left out.
pub(crate) const KEY_OF_TITLE: &str = "made from the title";
/// What is taken where a time is left out.
pub(crate) const ASSUMED_TIME: &str = "not known; the plan assumes a time";
/// What is taken where a station is left out.
pub(crate) const FIRST_STATION: &str = "the first";

/// Parts and conditions of a list of needs, as two keys.
macro_rules! with_needs {
    ($table:expr, $($path:tt)+) => {
        $table
            .optional(
                "off_first",
                fields::names(crate::limits::MAX_LIST_ITEMS, &crate::tables::PARTS),
                (
                    |row| crate::tables::basics::needed_parts(&row.$($path)+),
                    |row, found| row.$($path)+.extend(found.into_iter().map(crate::tables::basics::off)),
                ),
                "Parts that must be off before.",
            )
            .optional(
                "conditions",
                fields::names(crate::limits::MAX_LIST_ITEMS, &crate::tables::CONDITIONS),
                (
                    |row| crate::tables::basics::needed_conditions(&row.$($path)+),
                    |row, found| row.$($path)+.extend(found.into_iter().map(crate::tables::basics::holds)),
                ),
                "Conditions that must hold before.",
            )
    };
}
pub(crate) use with_needs;

/// The access of a list of ids.
macro_rules! ids_at {
    ($id:ident, $($path:tt)+) => {
        (
            |row| crate::tables::basics::positions(&row.$($path)+, $id::index),
            |row, found| row.$($path)+ = found.into_iter().map($id::new).collect(),
        )
    };
}
pub(crate) use ids_at;

/// Positions of ids; nothing for none.
pub(crate) fn positions<I: Copy>(ids: &[I], index: fn(I) -> usize) -> Option<Vec<usize>> {
    if ids.is_empty() { None } else { Some(ids.iter().map(|id| index(*id)).collect()) }
}

pub(crate) fn off(position: usize) -> Need {
    Need::Off(PartId::new(position))
}

pub(crate) fn holds(position: usize) -> Need {
    Need::Condition(ConditionId::new(position))
}

pub(crate) fn needed_parts(needs: &[Need]) -> Option<Vec<usize>> {
    let part = |need: &Need| match need {
        Need::Off(part) => Some(part.index()),
        Need::Condition(_) => None,
    };
    Some(needs.iter().filter_map(part).collect::<Vec<_>>()).filter(|parts| !parts.is_empty())
}

pub(crate) fn needed_conditions(needs: &[Need]) -> Option<Vec<usize>> {
    let condition = |need: &Need| match need {
        Need::Condition(condition) => Some(condition.index()),
        Need::Off(_) => None,
    };
    Some(needs.iter().filter_map(condition).collect::<Vec<_>>()).filter(|conditions| !conditions.is_empty())
}

/// A time of work or waiting.
pub(crate) fn work_time(sample: &'static str) -> QuantityForm<Duration> {
    quantity(sample, limits::work_time_range())
}

/// A time of work or waiting that may be in doubt.
pub(crate) fn known_work_time(sample: &'static str) -> KnownForm<Duration> {
    known(work_time(sample))
}

/// Origins of figures by kind.
pub(crate) static ORIGINS: LazyLock<FieldTable<FigureOrigins>> = LazyLock::new(|| {
    let origin = || word(words::FIGURE_ORIGINS);
    FieldTable::new("origins", FigureOrigins::default)
        .optional("space", origin(), maybe!(space), "Of head, room and holes.")
        .optional("tightening", origin(), maybe!(tightening), "Of tightening figures.")
        .optional("times", origin(), maybe!(times), "Of times.")
});

/// Where the figures of a row come from.
macro_rules! with_origins {
    ($table:expr, $($path:tt)+) => {
        $table
            .optional(
                "origins",
                fields::table(&crate::tables::basics::ORIGINS),
                (
                    |row| Some(row.$($path)+).filter(|origins| *origins != model::FigureOrigins::default()),
                    |row, origins| row.$($path)+ = origins,
                ),
                "Where its figures come from, by kind.",
            )
            .or_else("as above it; told by the writer of the book")
    };
}
pub(crate) use with_origins;

/// How many of something.
pub(crate) const fn item_count() -> CountForm<u16> {
    count(0..=limits::MAX_COUNT)
}

/// A price in the book's currency.
pub(crate) const fn book_price() -> PriceForm {
    price(Some(rule::b112_negative_price))
}

pub(crate) static CAUTION: LazyLock<FieldTable<Caution>> = LazyLock::new(|| {
    FieldTable::new("caution", || Caution { word: SignalWord::Notice, text: String::new() })
        .required("word", word(words::SIGNAL_WORDS), at!(word), "Signal word.")
        .required("text", text(), at!(text), "Hazard, consequence, and what to do.")
});

pub(crate) static SUPPLY: LazyLock<FieldTable<Supply>> = LazyLock::new(|| {
    let blank = || Supply { name: String::new(), count: 1, price_cents: None, before_start: false };
    FieldTable::new("supply", blank)
        .required("name", text(), at!(name), "What it is, with its specification.")
        .optional("count", item_count(), at!(count), "How many.")
        .or_else("1")
        .optional("price", book_price(), maybe!(price_cents), "Price of one.")
        .optional("before_start", flag(), flag_at!(before_start), "Must be in hand before the first step.")
        .or_else("`false`")
});

pub(crate) static STATION: LazyLock<FieldTable<Station>> = LazyLock::new(|| {
    let hand_force = quantity("400 N", Force::ZERO..=Force::from_n(1.0e6)).with_limits_untold();
    FieldTable::new("station", blank_station)
        .optional("key", own_key(), at!(key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(title), ABOUT_TITLE)
        .optional(
            "enter",
            known_work_time("30 s"),
            known_at!(enter),
            "Time to get into the position, lift or lower included.",
        )
        .or_else(ASSUMED_TIME)
        .optional("hand_force", hand_force, at!(hand_force), "Greatest force that a hand gives there.")
        .or_else("400 N")
        .optional("cautions", rows(MAX_LIST_ITEMS, &CAUTION), list_at!(cautions), "Cautions before it.")
        .optional(
            "needs",
            NeedsForm,
            list_at!(needs),
            "What has to hold to work there, such as the lift's height.",
        )
});

pub(crate) static CONDITION: LazyLock<FieldTable<Condition>> = LazyLock::new(|| {
    let keys = FieldTable::new("condition", blank_condition)
        .optional("key", own_key(), at!(key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(title), ABOUT_TITLE)
        .required("kind", word(words::CONDITION_KINDS), at!(kind), "What kind of state it is.")
        .required("establish", text(), at!(establish), "What is done to establish it.")
        .optional("restore", text(), maybe!(restore), "What is done to undo it at refit.")
        .optional(
            "establish_time",
            work_time("10 min"),
            at!(establish_time),
            "Hands-on time to establish it.",
        )
        .or_else("no time")
        .optional("restore_time", work_time("15 min"), at!(restore_time), "Hands-on time to undo it.")
        .or_else("no time")
        .optional("hold_up", work_time("20 min"), at!(hold_up), "Wait before it holds; other work may go on.")
        .or_else("no wait");
    with_needs!(keys, needs)
        .optional(
            "station",
            name(&STATIONS),
            (|row| Some(row.station.index()), |row, position| row.station = StationId::new(position)),
            "Working position.",
        )
        .or_else(FIRST_STATION)
        .optional(
            "restore_station",
            name(&STATIONS),
            (
                |row| row.restore_station.map(StationId::index),
                |row, position| row.restore_station = Some(StationId::new(position)),
            ),
            "Working position where it is undone: drained beneath, filled above.",
        )
        .or_else("`station`")
        .optional("supplies", rows(MAX_LIST_ITEMS, &SUPPLY), list_at!(supplies), "What to get for it.")
        .optional("cautions", rows(MAX_LIST_ITEMS, &CAUTION), list_at!(cautions), "Cautions before it.")
        .optional("safety", flag(), flag_at!(safety), "Shown on the readiness sheet before the first step.")
        .or_else("`false`")
        .optional(
            "making",
            table(&ACT),
            act_at!(making),
            "What making it asks of the world and changes there.",
        )
        .optional("undoing", table(&ACT), act_at!(undoing), "What undoing it asks and changes.")
});

pub(crate) static OPENING: LazyLock<FieldTable<Opening>> = LazyLock::new(|| {
    let blank = || Opening { key: String::new(), title: String::new(), cap: None, count: 1 };
    FieldTable::new("opening", blank)
        .optional("key", own_key(), at!(key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(title), ABOUT_TITLE)
        .optional("cap", text(), maybe!(cap), "The cap that closes it.")
        .or_else("cannot be closed")
        .optional("count", item_count(), at!(count), "How many openings.")
        .or_else("1")
});

pub(crate) static SPECIAL_TOOL: LazyLock<FieldTable<SpecialTool>> = LazyLock::new(|| {
    FieldTable::new("special_tool", || SpecialTool {
        key: String::new(),
        title: String::new(),
        specification: String::new(),
        can_be_made: false,
    })
    .optional("key", own_key(), at!(key), ABOUT_KEY)
    .apart()
    .or_else(KEY_OF_TITLE)
    .required("title", text(), at!(title), ABOUT_TITLE)
    .required("specification", text(), at!(specification), "What it has to be able to do, with its geometry.")
    .optional("can_be_made", flag(), flag_at!(can_be_made), "Can be made in the workshop.")
    .or_else("`false`")
});

pub(crate) static TASK: LazyLock<FieldTable<Task>> = LazyLock::new(|| {
    let keys = FieldTable::new("task", blank_task)
        .optional("key", own_key(), at!(key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(title), ABOUT_TITLE)
        .optional("kind", word(words::TASK_KINDS), at!(kind), "Kind of work.")
        .or_else("`inspect`");
    let tools = names(MAX_LIST_ITEMS, &TOOLS);
    with_needs!(keys, needs)
        .optional("work", known_work_time("6 min"), known_at!(work), "Its own work, once the way is open.")
        .or_else(ASSUMED_TIME)
        .optional(
            "station",
            name(&STATIONS),
            (|row| Some(row.station.index()), |row, position| row.station = StationId::new(position)),
            "Working position.",
        )
        .or_else(FIRST_STATION)
        .optional("supplies", rows(MAX_LIST_ITEMS, &SUPPLY), list_at!(supplies), "Parts and consumables.")
        .optional(
            "special_tools",
            tools,
            ids_at!(SpecialToolId, special_tools),
            "Special tools that must be at hand.",
        )
        .optional("leaving", book_price(), maybe!(leaving), "Expected loss if left until the next visit.")
        .optional(
            "every",
            list(MAX_LIST_ITEMS, task_interval()).or_single(),
            list_at!(every),
            "How often it falls due by distance, hours of running or age; whichever comes first.",
        )
        .optional("cautions", rows(MAX_LIST_ITEMS, &CAUTION), list_at!(cautions), "Cautions before it.")
        .optional("note", text(), maybe!(note), "What to do, in a sentence or two.")
        .optional("doing", table(&ACT), act_at!(world), "What doing it asks of the world and changes there.")
});
