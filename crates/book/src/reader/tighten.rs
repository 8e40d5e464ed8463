//! How a fixing is tightened: passes, pattern, tolerance.

use crate::limits;
use crate::rules::texts as rule;
use crate::spot::ValueSpot;
use crate::table_reader::TableReader;
use faults::{Spanned, TomlKind};
use model::{PatternRule, Stage, StageTarget, Tightening};
use units::{Angle, Torque};

pub(super) fn read_tightening(row: &TableReader<'_>) -> Tightening {
    Tightening {
        stages: read_stages(row),
        pattern: read_pattern(row),
        end_torque: row.optional_field("end_torque").read_quantity().map(|t| t.value),
        tolerance_fraction: read_tolerance(row),
        closing_pass: row.flag("closing_pass"),
        source: row.optional_text("source").unwrap_or_default(),
    }
}

fn read_stages(row: &TableReader<'_>) -> Vec<Stage> {
    let field = row.optional_field("tighten");
    let Some(span) = field.span() else { return Vec::new() };
    let texts: Vec<Spanned<String>> =
        field.items_or_self().into_iter().filter_map(faults::TomlField::read_text).collect();
    let texts = row.cut_to_limit("tighten", texts, limits::MAX_STAGES);
    let (mut stages, mut spots) = (Vec::new(), Vec::new());
    for text in texts {
        match parse_stage_target(&text.value) {
            Some(target) => stages.push(Stage { target, as_written: text.value }),
            None => {
                row.desk.bag.push(rule::b119_stage(&text));
                continue;
            }
        }
        spots.push(ValueSpot::new(text.span));
    }
    row.note_place("tighten", ValueSpot::of_list(span, spots));
    stages
}

/// A torque, an angle, or `seat`.
pub(super) fn parse_stage_target(text: &str) -> Option<StageTarget> {
    if text == "seat" {
        return Some(StageTarget::Seat);
    }
    let torque = Torque::parse(text).ok().map(StageTarget::Torque);
    torque.or_else(|| Angle::parse(text).ok().map(StageTarget::Angle))
}

/// A word for a rule, or the maker's sequence of labels.
fn read_pattern(row: &TableReader<'_>) -> PatternRule {
    let field = row.optional_field("pattern");
    if field.kind() == Some(TomlKind::List) {
        let span = field.span();
        let labels = row.cut_to_limit("pattern", field.read_texts(), limits::MAX_LIST_ITEMS);
        let spots = labels.iter().map(|l| ValueSpot::new(l.span)).collect();
        if let Some(span) = span {
            row.note_place("pattern", ValueSpot::of_list(span, spots));
        }
        return PatternRule::Given(labels.into_iter().map(|l| l.value).collect());
    }
    let words: crate::words::WordTable<u8> = &[("auto", 0), ("criss-cross", 1), ("spiral", 2)];
    match field.read_choice(words).map(|w| w.value) {
        Some(1) => PatternRule::CrissCross,
        Some(2) => PatternRule::Spiral,
        _ => PatternRule::Auto,
    }
}

/// `4 %` as a fraction.
fn read_tolerance(row: &TableReader<'_>) -> f64 {
    let read = |text: &str| {
        let figure = text.strip_suffix('%').map(str::trim_end).and_then(|f| f.parse::<f64>().ok());
        let finite = figure.filter(|percent| percent.is_finite() && percent.abs() < 1.0e6);
        finite
            .map(|percent| percent / 100.0)
            .ok_or_else(|| format!("`{text}` is not a tolerance; write it as `4 %`"))
    };
    let tolerance = row.optional_field("tolerance").parse_with(read).map(|t| t.value);
    tolerance.unwrap_or(model::rules::TORQUE_TOLERANCE_FRACTION)
}
