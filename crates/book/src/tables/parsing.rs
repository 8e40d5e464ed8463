//! Values in a form of their own: threads, classes, drives, passes, tolerances, patterns, holes.

use bolting::{FastenerThread, PropertyClass};
use faults::{BadText, TomlKind};
use fields::{
    FieldInput, ListForm, NameDirectory, ParsedForm, PlacedValue, ReadingDesk, TableDescription, TextForm,
    TomlItem, TomlValue, ValueForm, ValueSpot, WordForm, WordTable, list, parsed, text, text_value, word,
};
use model::{Drive, PatternRule, Stage, StageTarget, TaskInterval};

use super::fixing::HOLE;
use crate::drafts::HoleDraft;
use crate::limits;
use crate::rules::texts as rule;

/// A thread (B115).
pub(crate) const fn thread() -> ParsedForm<FastenerThread> {
    let read = |text: &str| FastenerThread::parse(text).map_err(|error| BadText::from(error.to_string()));
    parsed("thread", &["M6", "M10x1.25", "1/4-20 UNC", "1/8-27 NPT", "G 1/4"], read, |thread| {
        text_value(thread)
    })
    .by_rule(&rule::B115)
}

/// A property class (B116).
pub(crate) const fn property_class() -> ParsedForm<PropertyClass> {
    let read = |text: &str| PropertyClass::parse(text).map_err(|error| BadText::from(error.to_string()));
    parsed("class", &["8.8", "10.9", "A2-70"], read, |class| TomlValue::from(class.name()))
        .by_rule(&rule::B116)
}

/// A drive (B117).
pub(crate) const fn drive() -> ParsedForm<Drive> {
    let read = |text: &str| Drive::parse(text).map_err(|error| BadText::from(error.to_string()));
    let samples = &["hexagon 10 mm", "hexagon 9/16 in", "T30", "latch"];
    parsed("drive", samples, read, |drive| text_value(drive)).by_rule(&rule::B117)
}

/// How often a task falls due (B129).
pub(crate) const fn task_interval() -> ParsedForm<TaskInterval> {
    let read = |text: &str| {
        TaskInterval::parse(text)
            .ok_or_else(|| BadText::from(format!("`{text}` is no distance, hours or age")))
    };
    parsed("interval", &["120000 km", "500 h", "24 months", "6 years"], read, |interval| text_value(interval))
        .by_rule(&crate::rules::names::B129)
}

/// Passes of tightening (B119).
pub(crate) fn passes() -> ListForm<ParsedForm<Stage>> {
    let pass = parsed(
        "pass",
        &["9 N·m", "90°", "21 to 26 N·m", "seat", "by feel", "loosen"],
        read_stage,
        |stage: &Stage| TomlValue::from(stage.as_written.as_str()),
    );
    list(limits::MAX_STAGES, pass.by_rule(&rule::B119)).or_single()
}

/// A torque, an angle, `seat`, or `by feel`.
fn read_stage(text: &str) -> Result<Stage, BadText> {
    match StageTarget::parse(text) {
        Some(target) => Ok(Stage { target, as_written: text.to_owned() }),
        None => Err(BadText::from(format!(
            "`{text}` is neither a torque nor an angle nor `seat`, `by feel` or `loosen`"
        ))),
    }
}

/// `4 %` as a fraction.
pub(crate) const fn tolerance() -> ParsedForm<f64> {
    parsed("tolerance", &["4 %"], read_tolerance, |fraction| TomlValue::from(format_percent(*fraction)))
}

fn read_tolerance(text: &str) -> Result<f64, BadText> {
    let figure = text.strip_suffix('%').map(str::trim_end).and_then(|f| f.parse::<f64>().ok());
    let finite = figure.filter(|percent| percent.is_finite() && percent.abs() < 1.0e6);
    finite
        .map(|percent| percent / 100.0)
        .ok_or_else(|| BadText::from(format!("`{text}` is not a tolerance; write it as `4 %`")))
}

/// A fraction as a percentage that divides back to exactly the same fraction.
fn format_percent(tolerance_fraction: f64) -> String {
    let near = tolerance_fraction * 100.0;
    let exact =
        [near, near.next_up(), near.next_down()].into_iter().find(|p| p / 100.0 == tolerance_fraction);
    format!("{} %", exact.unwrap_or(near))
}

/// Patterns that have a word.
const PATTERN_WORDS: WordTable<PatternRule> =
    &[("auto", PatternRule::Auto), ("criss-cross", PatternRule::CrissCross), ("spiral", PatternRule::Spiral)];

/// A word for a pattern, or the maker's sequence of labels.
pub(crate) struct PatternForm {
    word: WordForm<PatternRule>,
    sequence: ListForm<TextForm>,
}

/// A word for a pattern, or the maker's sequence of labels.
pub(crate) const fn pattern() -> PatternForm {
    PatternForm { word: word(PATTERN_WORDS), sequence: list(limits::MAX_LIST_ITEMS, text()) }
}

impl ValueForm for PatternForm {
    type Value = PatternRule;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<PatternRule>> {
        if input.kind() == Some(TomlKind::List) {
            return self.sequence.read(input, desk).map(|labels| labels.map(PatternRule::Given));
        }
        self.word.read(input, desk)
    }

    fn write(&self, value: &PatternRule, names: &NameDirectory) -> TomlItem {
        match value {
            PatternRule::Auto | PatternRule::CrissCross | PatternRule::Spiral => {
                self.word.write(value, names)
            }
            PatternRule::Given(labels) => self.sequence.write(labels, names),
        }
    }

    fn schema(&self) -> serde_json::Value {
        serde_json::json!({ "anyOf": [self.word.schema(), self.sequence.schema()] })
    }

    fn words(&self) -> String {
        format!("{}, or the maker's sequence of labels", self.word.words())
    }
}

/// Holes, each a pair of figures or a table (B118).
pub(crate) struct HoleForm;

/// Holes, each a pair of figures or a table.
pub(crate) const fn holes() -> ListForm<HoleForm> {
    list(limits::MAX_HOLES, HoleForm)
}

impl HoleForm {
    /// `[x, y]`.
    fn read_pair(input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<HoleDraft>> {
        let span = input.span()?;
        let place = super::fixing::face_place();
        let Ok([x, y]) = <[FieldInput<'_>; 2]>::try_from(input.list_items()) else {
            desk.bag.push(rule::b118_hole(span));
            return None;
        };
        let (x, y) = (place.read(x, desk), place.read(y, desk));
        let hole = HoleDraft { label: None, x: Some(x?.value), y: Some(y?.value) };
        Some(PlacedValue::new(hole, ValueSpot::new(span)))
    }
}

impl ValueForm for HoleForm {
    type Value = HoleDraft;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<HoleDraft>> {
        match input.kind() {
            Some(TomlKind::Table) => input.read_table().map(|table| HOLE.read_table(table, desk)),
            Some(TomlKind::Text) => {
                let label = input.read_text()?;
                let spot = ValueSpot::new(label.span);
                Some(PlacedValue::new(HoleDraft { label: Some(label.value), x: None, y: None }, spot))
            }
            _ => Self::read_pair(input, desk),
        }
    }

    fn write(&self, value: &HoleDraft, names: &NameDirectory) -> TomlItem {
        match (&value.label, value.x) {
            (Some(label), None) => TomlItem::Value(TomlValue::from(label.as_str())),
            _ => TomlItem::Value(TomlValue::InlineTable(HOLE.write_inline(value, names))),
        }
    }

    fn schema(&self) -> serde_json::Value {
        let figure = super::fixing::face_place().schema();
        let pair = serde_json::json!({ "type": "array", "minItems": 2, "maxItems": 2, "items": figure });
        serde_json::json!({ "anyOf": [pair, { "type": "string" }, { "$ref": "#/$defs/hole" }] })
    }

    fn words(&self) -> String {
        String::from("`[x, y]`, a label, or a table [`hole`](#hole)")
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&*HOLE]
    }
}
