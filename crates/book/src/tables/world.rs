//! Settings with their ways, needs, effects and rules: what the world of a book holds.

use std::sync::LazyLock;

use fields::{
    FieldInput, FieldTable, NameDirectory, PlacedValue, ReadingDesk, TableDescription, TomlItem, ValueForm,
    ValueSpot, at, known_at, list, list_at, maybe, name, names, rows, text, word,
};
use model::{
    ActWorld, Known, Setting, SettingEffect, SettingId, SettingKind, SettingWay, SpecialToolId, StationId,
    VisitGoal, WorldNeed, WorldThing,
};

use super::basics::{ABOUT_KEY, ABOUT_TITLE, ASSUMED_TIME, CAUTION, KEY_OF_TITLE, ids_at, known_work_time};
use super::{PARTS, SETTINGS, STATIONS, TOOLS, own_key};
use crate::drafts::{SettingDraft, SettingWayDraft, WorldRuleDraft};
use crate::limits::MAX_LIST_ITEMS;
use crate::words;
use crate::world;

/// A need as it is written, its values as words.
#[derive(Debug, Clone, Default)]
pub(crate) struct WorldNeedDraft {
    pub(crate) setting: Option<usize>,
    pub(crate) part: Option<usize>,
    pub(crate) is: Vec<String>,
}

/// An effect as it is written, its value as a word.
#[derive(Debug, Clone, Default)]
pub(crate) struct SettingEffectDraft {
    pub(crate) setting: Option<usize>,
    pub(crate) to: String,
}

static NEED: LazyLock<FieldTable<WorldNeedDraft>> = LazyLock::new(|| {
    FieldTable::new("need", WorldNeedDraft::default)
        .optional("setting", name(&SETTINGS), maybe!(setting), "The setting that is asked for.")
        .or_else("`part` says what is asked for")
        .optional("part", name(&PARTS), maybe!(part), "The part that is asked for.")
        .or_else("`setting` says what is asked for")
        .required(
            "is",
            list(MAX_LIST_ITEMS, text()),
            at!(is),
            "The values that do; those of a part are `held`, `loose` and `off`.",
        )
});

static EFFECT: LazyLock<FieldTable<SettingEffectDraft>> = LazyLock::new(|| {
    FieldTable::new("effect", SettingEffectDraft::default)
        .required("setting", name(&SETTINGS), maybe!(setting), "The setting that changes.")
        .required("to", text(), at!(to), "Its new value.")
});

/// A list of needs.
pub(crate) struct NeedsForm;

impl ValueForm for NeedsForm {
    type Value = Vec<WorldNeed>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Vec<WorldNeed>>> {
        let PlacedValue { value, mut spot } = rows(MAX_LIST_ITEMS, &NEED).read(input, desk)?;
        let items = core::mem::take(&mut spot.items);
        let found = value.into_iter().zip(items).filter_map(|(draft, at)| {
            let need = world::resolve_need(&draft, &at, desk)?;
            Some((need, at))
        });
        let (needs, items): (Vec<WorldNeed>, Vec<ValueSpot>) = found.unzip();
        Some(PlacedValue::new(needs, ValueSpot { items, ..spot }))
    }

    fn write(&self, value: &Vec<WorldNeed>, names: &NameDirectory) -> TomlItem {
        let drafts: Vec<WorldNeedDraft> = value.iter().map(|need| draft_need(*need, names)).collect();
        rows(MAX_LIST_ITEMS, &NEED).write(&drafts, names)
    }

    fn schema(&self) -> serde_json::Value {
        rows(MAX_LIST_ITEMS, &NEED).schema()
    }

    fn words(&self) -> String {
        rows(MAX_LIST_ITEMS, &NEED).words()
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&*NEED]
    }
}

/// A need as it is written.
fn draft_need(need: WorldNeed, names: &NameDirectory) -> WorldNeedDraft {
    let (setting, part) = match need.thing {
        WorldThing::Setting(setting) => (Some(setting.index()), None),
        WorldThing::Part(part) => (None, Some(part.index())),
    };
    let known = world::value_words(need.thing, names);
    WorldNeedDraft { setting, part, is: world::words_of_mask(need.values, &known) }
}

/// A list of effects.
pub(crate) struct EffectsForm;

impl ValueForm for EffectsForm {
    type Value = Vec<SettingEffect>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Vec<SettingEffect>>> {
        let PlacedValue { value, mut spot } = rows(MAX_LIST_ITEMS, &EFFECT).read(input, desk)?;
        let items = core::mem::take(&mut spot.items);
        let found = value.into_iter().zip(items).filter_map(|(draft, at)| {
            let setting = SettingId::new(draft.setting?);
            let value = world::resolve_value(WorldThing::Setting(setting), &draft.to, at.key("to"), desk)?;
            Some((SettingEffect { setting, value }, at))
        });
        let (effects, items): (Vec<SettingEffect>, Vec<ValueSpot>) = found.unzip();
        Some(PlacedValue::new(effects, ValueSpot { items, ..spot }))
    }

    fn write(&self, value: &Vec<SettingEffect>, names: &NameDirectory) -> TomlItem {
        let draft = |effect: &SettingEffect| {
            let known = world::value_words(WorldThing::Setting(effect.setting), names);
            let to = known.get(usize::from(effect.value)).map_or("", |word| *word).to_owned();
            SettingEffectDraft { setting: Some(effect.setting.index()), to }
        };
        rows(MAX_LIST_ITEMS, &EFFECT).write(&value.iter().map(draft).collect(), names)
    }

    fn schema(&self) -> serde_json::Value {
        rows(MAX_LIST_ITEMS, &EFFECT).schema()
    }

    fn words(&self) -> String {
        rows(MAX_LIST_ITEMS, &EFFECT).words()
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&*EFFECT]
    }
}

/// What an act asks and changes.
pub(crate) static ACT: LazyLock<FieldTable<ActWorld>> = LazyLock::new(|| {
    FieldTable::new("act", ActWorld::default)
        .optional("needs", NeedsForm, list_at!(needs), "What has to hold when it begins, all of it.")
        .optional("sets", EffectsForm, list_at!(sets), "Settings that it changes.")
});

/// The access of what an act asks, which is written only where something is told.
macro_rules! act_at {
    ($($path:tt)+) => {
        (
            |row| Some(row.$($path)+.clone()).filter(|act: &model::ActWorld| !act.is_untold()),
            |row, act| row.$($path)+ = act,
        )
    };
}
pub(crate) use act_at;

static SETTING_WAY: LazyLock<FieldTable<SettingWayDraft>> = LazyLock::new(|| {
    let blank = || SettingWayDraft { way: blank_way(), from: None, to: String::new() };
    let tools = names(MAX_LIST_ITEMS, &TOOLS);
    FieldTable::new("setting_way", blank)
        .optional("from", list(MAX_LIST_ITEMS, text()), maybe!(from), "The values that it leads from.")
        .or_else("every other value")
        .required("to", text(), at!(to), "The value that it leads to.")
        .required("text", text(), at!(way.text), "What is done, in the imperative.")
        .optional(
            "station",
            name(&STATIONS),
            (
                |row| row.way.station.map(StationId::index),
                |row, position| row.way.station = Some(StationId::new(position)),
            ),
            "Working position.",
        )
        .or_else("wherever the mechanic is")
        .optional("needs", NeedsForm, list_at!(way.needs), "What has to hold when it begins, all of it.")
        .optional("sets", EffectsForm, list_at!(way.sets), "Other settings that it changes.")
        .optional("time", known_work_time("30 s"), known_at!(way.time), "Hands-on time.")
        .or_else(ASSUMED_TIME)
        .optional(
            "special_tools",
            tools,
            ids_at!(SpecialToolId, way.special_tools),
            "Special tools that must be at hand.",
        )
        .optional("cautions", rows(MAX_LIST_ITEMS, &CAUTION), list_at!(way.cautions), "Cautions before it.")
});

/// A way of which nothing is told.
const fn blank_way() -> SettingWay {
    SettingWay {
        from: 0,
        to: 0,
        text: String::new(),
        station: None,
        needs: Vec::new(),
        sets: Vec::new(),
        time: Known::Nothing,
        special_tools: Vec::new(),
        cautions: Vec::new(),
    }
}

/// A setting of which nothing is told.
fn blank_setting() -> SettingDraft {
    let setting = Setting {
        key: String::new(),
        title: String::new(),
        kind: SettingKind::Other,
        values: Vec::new(),
        start: 0,
        end: 0,
        ways: Vec::new(),
    };
    SettingDraft { setting, start: None, end: None, ways: Vec::new() }
}

pub(crate) static SETTING: LazyLock<FieldTable<SettingDraft>> = LazyLock::new(|| {
    FieldTable::new("setting", blank_setting)
        .optional("key", own_key(), at!(setting.key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .required("title", text(), at!(setting.title), ABOUT_TITLE)
        .such_as("\"lift\"")
        .optional("kind", word(words::SETTING_KINDS), at!(setting.kind), "What it is about.")
        .or_else("`other`")
        .required(
            "values",
            list(MAX_LIST_ITEMS, text()),
            at!(setting.values),
            "The values that it can have, 2 to 16.",
        )
        .such_as("[\"ground\", \"up\"]")
        .optional("start", text(), maybe!(start), "The value when the vehicle comes in.")
        .or_else("the first value")
        .optional("end", list(MAX_LIST_ITEMS, text()), maybe!(end), "The values that are right at the end.")
        .or_else("the value at the start")
        .optional(
            "way",
            rows(MAX_LIST_ITEMS, &SETTING_WAY).under_headings(),
            list_at!(ways),
            "The ways from value to value.",
        )
});

pub(crate) static GOAL: LazyLock<FieldTable<VisitGoal>> = LazyLock::new(|| {
    let blank = || VisitGoal { key: String::new(), title: String::new(), needs: Vec::new() };
    FieldTable::new("goal", blank)
        .required("key", own_key(), at!(key), ABOUT_KEY)
        .such_as("\"roll\"")
        .required("title", text(), at!(title), ABOUT_TITLE)
        .such_as("\"fit to roll\"")
        .required("needs", NeedsForm, at!(needs), "What has to hold at its end, all of it.")
});

pub(crate) static RULE: LazyLock<FieldTable<WorldRuleDraft>> = LazyLock::new(|| {
    let settings = names(MAX_LIST_ITEMS, &SETTINGS);
    FieldTable::new("rule", WorldRuleDraft::default)
        .required("title", text(), at!(title), "What it says; told where it stands in the way.")
        .such_as("\"something carries the right end of the engine\"")
        .optional("at_least_one", NeedsForm, maybe!(at_least_one), "One of these holds at every moment.")
        .or_else("one of the other two forms stands")
        .optional("never_together", NeedsForm, maybe!(never_together), "These never hold all at once.")
        .or_else("one of the other two forms stands")
        .optional("stays_still", settings, maybe!(stays_still), "These settings keep their value.")
        .or_else("one of the other two forms stands")
        .optional("while", NeedsForm, list_at!(during), "It holds only while all of these do.")
        .or_else("it always holds")
});
