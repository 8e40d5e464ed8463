//! Parts with their ways and waits.

use std::sync::LazyLock;

use fields::{
    FieldTable, at, flag, flag_at, known, known_at, list, list_at, maybe, name, names, quantity, rows, table,
    text, word,
};
use model::{HoldsBack, OpeningId, PartId, RefitWait, SpecialToolId, StationId, Way};
use units::{Duration, Mass};

use super::access::NOT_KNOWN;
use super::basics::{
    ABOUT_KEY, ABOUT_TITLE, ASSUMED_TIME, CAUTION, FIRST_STATION, KEY_OF_TITLE, SUPPLY, ids_at,
    known_work_time, with_needs, with_origins, work_time,
};
use super::world::{ACT, act_at};
use super::{OPENINGS, PARTS, STATIONS, TOOLS, fixing, own_key};
use crate::drafts::{PartDraft, blank_part};
use crate::limits::{MAX_LIST_ITEMS, MAX_REPEATS, MAX_WAYS};
use crate::words;

static WAY: LazyLock<FieldTable<Way>> = LazyLock::new(|| {
    let blank = || Way { key: String::new(), title: String::new(), needs: Vec::new(), station: None };
    let keys = FieldTable::new("way", blank)
        .optional("key", own_key(), at!(key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(title), ABOUT_TITLE);
    with_needs!(keys, needs)
        .optional(
            "station",
            name(&STATIONS),
            (
                |row| row.station.map(StationId::index),
                |row, position| row.station = Some(StationId::new(position)),
            ),
            "Working position.",
        )
        .or_else("the part's")
});

static REFIT_WAIT: LazyLock<FieldTable<RefitWait>> = LazyLock::new(|| {
    let blank =
        || RefitWait { title: String::new(), time: Duration::ZERO, holds_back: HoldsBack::Tightening };
    FieldTable::new("refit_wait", blank)
        .required("title", text(), at!(title), ABOUT_TITLE)
        .required("time", work_time("10 min"), at!(time), "How long.")
        .required("holds_back", word(words::HOLDS_BACK), at!(holds_back), "What may not start before.")
});

pub(crate) static PART: LazyLock<FieldTable<PartDraft>> = LazyLock::new(|| {
    // Wider than any part: what is too light or too heavy for a hand is the business of a rule.
    let mass = quantity("4.8 kg", Mass::from_kg(-1.0)..=Mass::from_kg(1.0e6)).with_limits_untold();
    let keys = FieldTable::new("part", blank_part)
        .optional("key", own_key(), at!(part.key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(part.title), ABOUT_TITLE)
        .such_as("\"timing cover\"")
        .optional("kind", word(words::PART_KINDS), maybe!(part.kind), "What kind of part it is.")
        .or_else(NOT_KNOWN)
        .optional("mass", known(mass), known_at!(part.mass), "Mass.")
        .or_else(NOT_KNOWN)
        .optional("helper", flag(), flag_at!(part.helper), "Needs a second pair of hands.")
        .or_else("`false`")
        .optional(
            "station",
            name(&STATIONS),
            (
                |row: &PartDraft| Some(row.part.station.index()),
                |row: &mut PartDraft, position| row.part.station = StationId::new(position),
            ),
            "Working position.",
        )
        .or_else(FIRST_STATION);
    let keys = with_needs!(keys, part.needs);
    let keys = with_origins!(with_world(with_refit(with_removal(keys))), part.origins);
    keys.optional(
        "way",
        rows(MAX_WAYS, &WAY).under_headings(),
        list_at!(part.ways),
        "None, or at least two ways of which one is taken.",
    )
    .optional(
        "fixing",
        rows(MAX_LIST_ITEMS, &fixing::FIXING).under_headings(),
        list_at!(fixings),
        "What holds it.",
    )
    .apart()
});

/// What its acts ask of the world, and what they change there.
fn with_world(keys: FieldTable<PartDraft>) -> FieldTable<PartDraft> {
    let on_after = names(MAX_LIST_ITEMS, &PARTS);
    keys.optional(
        "repeat",
        list(MAX_REPEATS, text()),
        list_at!(repeat),
        "Labels of equal parts of which this describes the first; of the others, what was measured is inferred.",
    )
    .or_else("it is one part")
    .optional(
        "taking_off",
        table(&ACT),
        act_at!(part.world.taking_off),
        "What lifting it off, and undoing its fixings, asks of the world and changes there.",
    )
    .optional(
        "setting_on",
        table(&ACT),
        act_at!(part.world.setting_on),
        "What setting it in place asks and changes.",
    )
    .optional(
        "on_after",
        on_after,
        ids_at!(PartId, part.world.on_after),
        "Parts that are in place before it is, besides those that come off after it.",
    )
    .optional(
        "start_by_hand_all",
        flag(),
        flag_at!(part.world.is_started_by_hand_first),
        "Every fastener of it is started by hand before any is run in.",
    )
    .or_else("`false`")
}

/// What matters while it comes off.
fn with_removal(keys: FieldTable<PartDraft>) -> FieldTable<PartDraft> {
    let uncovers = names(MAX_LIST_ITEMS, &OPENINGS);
    keys.optional("uncovers", uncovers, ids_at!(OpeningId, part.uncovers), "Openings that it uncovers.")
        .optional(
            "lift_time",
            known_work_time("40 s"),
            known_at!(part.lift_time),
            "Time to lift it off once its fixings are out.",
        )
        .or_else(ASSUMED_TIME)
        .optional(
            "place_time",
            known_work_time("60 s"),
            known_at!(part.place_time),
            "Time to set it back in place.",
        )
        .or_else(ASSUMED_TIME)
}

/// What matters for the refit, and advice.
fn with_refit(keys: FieldTable<PartDraft>) -> FieldTable<PartDraft> {
    let supplies = rows(MAX_LIST_ITEMS, &SUPPLY);
    let waits = rows(MAX_LIST_ITEMS, &REFIT_WAIT);
    let tools = names(MAX_LIST_ITEMS, &TOOLS);
    let cautions = rows(MAX_LIST_ITEMS, &CAUTION);
    let refit_cautions = rows(MAX_LIST_ITEMS, &CAUTION);
    keys.optional("renew_with", supplies, list_at!(part.renew_with), "What is renewed with it.")
        .optional("refit_wait", waits, list_at!(part.refit_waits), "Waits at refit.")
        .optional(
            "special_tools",
            tools,
            ids_at!(SpecialToolId, part.special_tools),
            "Special tools that must be at hand.",
        )
        .optional("brittle", flag(), flag_at!(part.brittle), "Likely to break at this age.")
        .or_else("`false`")
        .optional("cautions", cautions, list_at!(part.cautions), "Cautions before it.")
        .optional(
            "refit_cautions",
            refit_cautions,
            list_at!(part.refit_cautions),
            "Cautions before it is set in place.",
        )
        .optional("tip", text(), maybe!(part.tip), "Advice that helps the hand while it comes off.")
        .optional(
            "refit_tip",
            text(),
            maybe!(part.refit_tip),
            "Advice that helps the hand while it is set in place.",
        )
}
