//! How a fixing is tightened: passes, pattern, tolerance.

use crate::limits;
use crate::row::Row;
use crate::rules::texts as rule;
use crate::spot::Spot;
use faults::{Kind, Spanned};
use model::{PatternRule, Stage, StageTarget, Tightening};
use units::{Angle, Torque};

pub(super) fn tightening(row: &Row<'_>) -> Tightening {
    Tightening {
        stages: stages(row),
        pattern: pattern(row),
        end_torque: row.maybe("end_torque").quantity().map(|t| t.value),
        tolerance_fraction: tolerance(row),
        closing_pass: row.flag("closing_pass"),
        source: row.text_if("source").unwrap_or_default(),
    }
}

fn stages(row: &Row<'_>) -> Vec<Stage> {
    let field = row.maybe("tighten");
    let Some(span) = field.span() else { return Vec::new() };
    let texts: Vec<Spanned<String>> =
        field.one_or_more().into_iter().filter_map(faults::Field::str).collect();
    let texts = row.at_most("tighten", texts, limits::STAGES_MAX);
    let (mut stages, mut spots) = (Vec::new(), Vec::new());
    for text in texts {
        match target(&text.value) {
            Some(target) => stages.push(Stage { target, as_written: text.value }),
            None => {
                row.desk.bag.push(rule::b119_stage(&text));
                continue;
            }
        }
        spots.push(Spot::new(text.span));
    }
    row.note("tighten", Spot::list(span, spots));
    stages
}

/// A torque, an angle, or `seat`.
pub(super) fn target(text: &str) -> Option<StageTarget> {
    if text == "seat" {
        return Some(StageTarget::Seat);
    }
    let torque = Torque::parse(text).ok().map(StageTarget::Torque);
    torque.or_else(|| Angle::parse(text).ok().map(StageTarget::Angle))
}

/// A word for a rule, or the maker's sequence of labels.
fn pattern(row: &Row<'_>) -> PatternRule {
    let field = row.maybe("pattern");
    if field.kind() == Some(Kind::List) {
        let span = field.span();
        let labels = row.at_most("pattern", field.strings(), limits::LIST_MAX);
        let spots = labels.iter().map(|l| Spot::new(l.span)).collect();
        if let Some(span) = span {
            row.note("pattern", Spot::list(span, spots));
        }
        return PatternRule::Given(labels.into_iter().map(|l| l.value).collect());
    }
    let words: crate::words::Words<u8> = &[("auto", 0), ("criss-cross", 1), ("spiral", 2)];
    match field.choice(words).map(|w| w.value) {
        Some(1) => PatternRule::CrissCross,
        Some(2) => PatternRule::Spiral,
        _ => PatternRule::Auto,
    }
}

/// `4 %` as a fraction.
fn tolerance(row: &Row<'_>) -> f64 {
    let read = |text: &str| {
        let figure = text.strip_suffix('%').map(str::trim_end).and_then(|f| f.parse::<f64>().ok());
        let finite = figure.filter(|percent| percent.is_finite() && percent.abs() < 1.0e6);
        finite
            .map(|percent| percent / 100.0)
            .ok_or_else(|| format!("`{text}` is not a tolerance; write it as `4 %`"))
    };
    let tolerance = row.maybe("tolerance").parsed(read).map(|t| t.value);
    tolerance.unwrap_or(model::rules::TORQUE_TOLERANCE_FRACTION)
}
