//! The world between text and model: values are words of their setting, kept in the model as positions and masks.
//!
//! The words of all settings are known before any row is read, [`MAX_SETTING_VALUES`] places for each setting in one
//! list of names, so that a need anywhere in the book is resolved where it stands.

use faults::{FaultCollector, SourceSpan, Spanned, TomlDocument, TomlKind, suggest_name};
use fields::{NameDirectory, NameIndex, ReadingDesk, ValueSpot};
use model::{
    Book, MAX_SETTING_VALUES, PartId, PartStanding, Setting, SettingId, SettingWay, ValueMask, WorldNeed,
    WorldRule, WorldRuleKind, WorldThing,
};

use crate::drafts::{SettingDraft, SettingWayDraft, WorldRuleDraft};
use crate::limits::MAX_ITEMS;
use crate::rules::settings as rule;
use crate::tables::VALUES;
use crate::tables::world::WorldNeedDraft;

/// The values of the settings of all files, before any row refers to them.
pub(crate) fn index_values(documents: &[TomlDocument<'_>]) -> NameIndex {
    let mut index = NameIndex::default();
    for document in documents {
        let settings = document.root_table().optional_field("setting");
        let settings = if settings.kind() == Some(TomlKind::List) { settings.read_tables() } else { vec![] };
        for setting in settings.into_iter().take(MAX_ITEMS) {
            let values = setting.optional_field("values");
            let values = if values.kind() == Some(TomlKind::List) { values.list_items() } else { vec![] };
            add_values(&mut index, values.iter().filter_map(|value| value.peek_text()));
        }
    }
    index
}

/// The values of a book's settings.
pub(crate) fn index_values_of_book(book: &Book) -> NameIndex {
    let mut index = NameIndex::default();
    for setting in &book.settings {
        add_values(&mut index, setting.values.iter().map(String::as_str));
    }
    index
}

/// Adds the values of the next setting, in as many places as a setting may have.
fn add_values<'v>(index: &mut NameIndex, values: impl Iterator<Item = &'v str>) {
    let before = index.len();
    for value in values.take(MAX_SETTING_VALUES) {
        index.insert(value);
    }
    while index.len() < before + MAX_SETTING_VALUES {
        index.insert_unnamed();
    }
}

/// The words for the values of a thing, in their order.
pub(crate) fn value_words(thing: WorldThing, names: &NameDirectory) -> Vec<&str> {
    match thing {
        WorldThing::Part(_) => PartStanding::ALL.iter().map(|standing| standing.file_word()).collect(),
        WorldThing::Setting(setting) => {
            let first = setting.index() * MAX_SETTING_VALUES;
            let index = names.names_of(&VALUES);
            let words = (first..first + MAX_SETTING_VALUES).map(|place| index.name(place));
            words.take_while(|word| !word.is_empty()).collect()
        }
    }
}

/// The words of a set of values.
pub(crate) fn words_of_mask(mask: ValueMask, known: &[&str]) -> Vec<String> {
    let held = known.iter().enumerate().filter(|(value, _)| mask >> value & 1 == 1);
    held.map(|(_, word)| (*word).to_owned()).collect()
}

/// The name that a message calls a thing by.
fn thing_name(thing: WorldThing, desk: &ReadingDesk<'_>) -> String {
    match thing {
        WorldThing::Setting(setting) => {
            desk.names.names_of(&crate::tables::SETTINGS).name(setting.index()).to_owned()
        }
        WorldThing::Part(part) => desk.names.names_of(&crate::tables::PARTS).name(part.index()).to_owned(),
    }
}

/// The position of a value; one that the thing does not have is reported (B502).
pub(crate) fn resolve_value(
    thing: WorldThing,
    word: &str,
    spot: &ValueSpot,
    desk: &ReadingDesk<'_>,
) -> Option<u8> {
    let known = value_words(thing, &desk.names);
    let found = known.iter().position(|value| *value == word).and_then(|at| u8::try_from(at).ok());
    if found.is_none() && !desk.is_damaged {
        let (hint, help) = suggest_name(word, &known, "value");
        let word = Spanned::new(word.to_owned(), spot.span);
        desk.bag.push(rule::b502_unknown_value(&thing_name(thing, desk), &word, &hint, help));
    }
    found
}

/// The thing and the values of a need as it is written; what is wrong with it is reported (B501, B502, B511).
pub(crate) fn resolve_need(
    draft: &WorldNeedDraft,
    spot: &ValueSpot,
    desk: &ReadingDesk<'_>,
) -> Option<WorldNeed> {
    if spot.has("setting") == spot.has("part") {
        if spot.has("part") || !(spot.bad || desk.is_damaged) {
            desk.bag.push(rule::b501_one_thing(spot.has("part"), spot.span));
        }
        return None;
    }
    let setting = draft.setting.map(|position| WorldThing::Setting(SettingId::new(position)));
    let thing = setting.or_else(|| draft.part.map(|position| WorldThing::Part(PartId::new(position))))?;
    let values = resolve_mask(thing, &draft.is, (spot, "is"), desk);
    Some(WorldNeed { thing, values })
}

/// Values as a set; an empty list is reported (B511).
fn resolve_mask(
    thing: WorldThing,
    words: &[String],
    (row, key): (&ValueSpot, &str),
    desk: &ReadingDesk<'_>,
) -> ValueMask {
    let list = row.key(key);
    if words.is_empty() && !row.bad {
        desk.bag.push(rule::b511_no_value(&thing_name(thing, desk), list.span));
    }
    let values = words.iter().enumerate();
    let found = values.filter_map(|(at, word)| resolve_value(thing, word, list.item(at), desk));
    found.fold(0, |mask, value| mask | 1 << value)
}

/// A setting with its values as positions; faults go to the desk.
pub(crate) fn finish_setting(
    draft: SettingDraft,
    id: SettingId,
    spot: &mut ValueSpot,
    desk: &ReadingDesk<'_>,
) -> Setting {
    let known = desk.bag.len();
    let SettingDraft { mut setting, start, end, ways } = draft;
    check_values(&mut setting.values, &setting.title, spot, desk.bag);
    let thing = WorldThing::Setting(id);
    let position = |word: &str| setting.values.iter().position(|value| value == word);
    let own_value = |word: &str, at: SourceSpan, what: &str| {
        let found = position(word);
        if found.is_none() && !desk.is_damaged && !setting.values.is_empty() {
            let word = Spanned::new(word.to_owned(), at);
            desk.bag.push(rule::b510_not_a_value(&setting.title, what, &word, &setting.values));
        }
        found.and_then(|at| u8::try_from(at).ok())
    };
    let start = start.and_then(|word| own_value(&word, spot.key("start").span, "start")).unwrap_or(0);
    let end = end.map(|words| {
        if words.is_empty() && !spot.bad {
            desk.bag.push(rule::b511_no_value(&setting.title, spot.key("end").span));
        }
        let ends = words.iter().enumerate();
        let ends = ends.filter_map(|(at, word)| own_value(word, spot.key("end").item(at).span, "end"));
        ends.fold(0, |mask: ValueMask, value| mask | 1 << value)
    });
    let count = setting.values.len();
    let places = spot.key("way").items.iter();
    let ways = ways.into_iter().zip(places).map(|(way, at)| finish_way(way, at, (thing, count), desk));
    let ways: Vec<SettingWay> = ways.collect();
    spot.bad |= desk.bag.len() > known;
    Setting { start, end: end.unwrap_or(1 << start), ways, ..setting }
}

/// Looks at how many values there are and whether one stands twice (B503); more than can be kept are cut off.
fn check_values(values: &mut Vec<String>, title: &str, spot: &ValueSpot, bag: &FaultCollector) {
    let list = spot.key("values");
    let is_read = spot.has("values") && list.items.len() == values.len();
    if is_read && !(2..=MAX_SETTING_VALUES).contains(&values.len()) {
        bag.push(rule::b503_number_of_values(title, values.len(), list.span));
    }
    values.truncate(MAX_SETTING_VALUES);
    for (at, value) in values.iter().enumerate() {
        if let Some(first) = values[..at].iter().position(|other| other == value) {
            bag.push(rule::b503_value_twice(title, value, list.item(at).span, list.item(first).span));
        }
    }
}

/// The bits of the first values.
const fn all_values(count: usize) -> ValueMask {
    if count >= MAX_SETTING_VALUES { ValueMask::MAX } else { (1 << count) - 1 }
}

/// A way with its values as positions; without `from` it leads from every other value.
fn finish_way(
    draft: SettingWayDraft,
    spot: &ValueSpot,
    (thing, count): (WorldThing, usize),
    desk: &ReadingDesk<'_>,
) -> SettingWay {
    let SettingWayDraft { way, from, to } = draft;
    let to = if to.is_empty() { None } else { resolve_value(thing, &to, spot.key("to"), desk) };
    let others = all_values(count) & !to.map_or(0, |to| 1 << to);
    let from = from.map(|words| resolve_mask(thing, &words, (spot, "from"), desk));
    SettingWay { from: from.unwrap_or(others), to: to.unwrap_or(0), ..way }
}

/// A rule of one of the three forms; none or several are reported (B506), and such a rule is left out.
pub(crate) fn finish_rule(
    draft: WorldRuleDraft,
    spot: &ValueSpot,
    desk: &ReadingDesk<'_>,
) -> Option<WorldRule> {
    let told = ["at_least_one", "never_together", "stays_still"].into_iter().filter(|key| spot.has(key));
    let told: Vec<&str> = told.collect();
    if told.len() != 1 {
        if told.is_empty() && (spot.bad || desk.is_damaged) {
            return None;
        }
        desk.bag.push(rule::b506_one_form(&draft.title, &told, spot.span));
        return None;
    }
    let stays_still = draft.stays_still.map(|settings| {
        WorldRuleKind::StaysStill(settings.into_iter().map(SettingId::new).collect::<Vec<SettingId>>())
    });
    let kind = draft.at_least_one.map(WorldRuleKind::AtLeastOne);
    let kind = kind.or_else(|| draft.never_together.map(WorldRuleKind::NeverTogether)).or(stays_still)?;
    Some(WorldRule { title: draft.title, kind, during: draft.during })
}

/// A setting as it is written.
pub(crate) fn draft_setting(setting: &Setting) -> SettingDraft {
    let known: Vec<&str> = setting.values.iter().map(String::as_str).collect();
    let draft_way = |way: &SettingWay| {
        let others = all_values(known.len()) & !(1 << way.to);
        let from = (way.from != others).then(|| words_of_mask(way.from, &known));
        SettingWayDraft { way: way.clone(), from, to: setting.word(way.to).to_owned() }
    };
    SettingDraft {
        start: (setting.start != 0).then(|| setting.word(setting.start).to_owned()),
        end: (setting.end != 1 << setting.start).then(|| words_of_mask(setting.end, &known)),
        ways: setting.ways.iter().map(draft_way).collect(),
        setting: setting.clone(),
    }
}

/// A rule as it is written.
pub(crate) fn draft_rule(rule: &WorldRule) -> WorldRuleDraft {
    let blank = WorldRuleDraft {
        title: rule.title.clone(),
        during: rule.during.clone(),
        ..WorldRuleDraft::default()
    };
    match &rule.kind {
        WorldRuleKind::AtLeastOne(needs) => WorldRuleDraft { at_least_one: Some(needs.clone()), ..blank },
        WorldRuleKind::NeverTogether(needs) => {
            WorldRuleDraft { never_together: Some(needs.clone()), ..blank }
        }
        WorldRuleKind::StaysStill(settings) => {
            let settings = settings.iter().map(|setting| setting.index()).collect();
            WorldRuleDraft { stays_still: Some(settings), ..blank }
        }
    }
}
