//! In which order do the holes of a joint go tight, and to which figure in each pass?
//!
//! **Method.** `bolting::pattern`: from the places of the holes, never from their names. A sequence and stages in the
//! book are kept; otherwise the passes are 30, 60 and 100 % and a closing pass round at the last figure.
//!
//! **Worked example.** Eight bolts of a ring: 1 5 3 7 2 6 4 8, counted clockwise from the top.
//!
//! **Sources of the shares.** Flange practice after PCC-1 as gasket suppliers print it: about 30, 60 and 100 %, then a pass
//! round at 100 % until nothing turns.

use super::holes::{self, BookTightening, PatternHole};
use super::{AnswerGrounds, BoltingError, read};
use crate::bench::capitalise_first;
use bolting::pattern::{self, HolePattern, HolePosition};
use bolting::stages::{GivenStagesError, PassWarning, USUAL_SHARES};
use model::PatternRule;
use print::svg::write_svg;
use serde::{Deserialize, Serialize};
use units::{Angle, Torque, Unit};

/// Maximum number of passes (assumption).
const MAX_PATTERN_PASSES: usize = 12;

/// The question, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PatternRequest {
    /// `FILE.csv`, `BOOK:fixing` or points `x,y x,y …`.
    pub holes: String,
    /// `auto`, `criss-cross`, `from-centre`, or the labels in their order.
    pub order: Option<String>,
    /// Passes: shares `30/60/100` or figures `10 N·m/24 N·m/90°`.
    pub stages: Option<String>,
    /// Final torque that shares are taken of.
    pub torque: Option<String>,
    /// Whether a gasket lies in the joint.
    pub gasket: bool,
}

/// One pass round the holes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatternPass {
    /// The figure as shown: `9 N·m`, `30 %`, `90°`.
    pub figure: String,
    /// The torque, where it is one.
    pub torque_n_m: Option<f64>,
    /// Whether it closes the joint: hole by hole round at the last figure until nothing turns.
    pub is_closing: bool,
    /// Labels in the order of this pass.
    pub holes: Vec<String>,
}

/// How the order was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoleOrderRule {
    /// Opposite pairs.
    CrissCross,
    /// From the centre outwards.
    FromCentre,
    /// A sequence that was given.
    Given,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatternAnswer {
    /// What the holes belong to.
    pub title: String,
    /// The holes as they lie.
    pub holes: Vec<PatternHole>,
    /// How the order was found.
    pub rule: HoleOrderRule,
    /// Labels in the order of tightening.
    pub tighten: Vec<String>,
    /// Labels in the order of loosening.
    pub loosen: Vec<String>,
    /// Passes.
    pub passes: Vec<PatternPass>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

impl PatternAnswer {
    /// Place of a hole in the order of tightening, from 1.
    #[must_use]
    pub fn turn_of_hole(&self, label: &str) -> Option<usize> {
        self.tighten.iter().position(|l| l == label).map(|at| at + 1)
    }
}

/// Answers the question.
///
/// # Errors
/// [`BoltingError`] with what cannot be used and what to write.
pub fn compute_tightening_order(asked: &PatternRequest) -> Result<PatternAnswer, BoltingError> {
    let found = holes::read_pattern_holes(&asked.holes)?;
    let places: Vec<HolePosition> =
        found.holes.iter().map(|h| HolePosition { x_mm: h.x_mm, y_mm: h.y_mm }).collect();
    let (pattern, rule) = choose_pattern(asked, &found.holes, found.told.as_ref(), &places)?;
    let order = pattern::tightening_order(&places, &pattern)
        .map_err(|e| read::field_error("order", e.to_string()))?;
    let named =
        |order: &[usize]| -> Vec<String> { order.iter().map(|at| found.holes[*at].label.clone()).collect() };
    let labels = named(&order);
    let mut passes = parse_passes(asked, found.told.as_ref())?;
    check_rising(&passes)?;
    for pass in &mut passes {
        pass.holes = if pass.is_closing { named(&pattern::ring_order(&places)) } else { labels.clone() };
    }
    let mut why =
        pattern_grounds(rule, found.told.as_ref(), read::given_text(asked.stages.as_ref()).is_some());
    let ends_by_angle = passes.last().is_some_and(|p| p.figure.ends_with('°'));
    if ends_by_angle {
        why.add_caution(format!("{}.", capitalise_first(&PassWarning::NoClosingAfterAngle.to_string())));
    }
    if asked.gasket {
        why.add_caution(format!("{}.", capitalise_first(&PassWarning::ElasticInteraction.to_string())));
    } else {
        why.add_caution(
            "With a gasket, each bolt relaxes its neighbours: repeat the last pass until no fastener turns.",
        );
    }
    Ok(PatternAnswer {
        why,
        title: found.title,
        holes: found.holes,
        rule,
        loosen: labels.iter().rev().cloned().collect(),
        tighten: labels,
        passes,
    })
}

/// Refuses torques, or shares, that do not rise from pass to pass.
fn check_rising(passes: &[PatternPass]) -> Result<(), BoltingError> {
    let mut last_share = 0.0;
    let mut last_n_m = 0.0;
    for (index, pass) in passes.iter().enumerate().filter(|(_, p)| !p.is_closing) {
        let share = pass.figure.strip_suffix(" %").and_then(|t| t.parse::<f64>().ok());
        let falls =
            pass.torque_n_m.is_some_and(|n_m| n_m <= last_n_m) || share.is_some_and(|s| s <= last_share);
        if falls {
            let words = GivenStagesError::NotRising { stage: index + 1 }.to_string();
            return Err(read::field_error("stages", words));
        }
        last_n_m = pass.torque_n_m.unwrap_or(last_n_m);
        last_share = share.unwrap_or(last_share);
    }
    Ok(())
}

/// The rule to order by: what was asked, else what the book says, else by how the holes lie.
fn choose_pattern(
    asked: &PatternRequest,
    holes: &[PatternHole],
    told: Option<&BookTightening>,
    places: &[HolePosition],
) -> Result<(HolePattern, HoleOrderRule), BoltingError> {
    let by_places = || {
        if pattern::is_ring(places) {
            (HolePattern::CrissCross, HoleOrderRule::CrissCross)
        } else {
            (HolePattern::Spiral, HoleOrderRule::FromCentre)
        }
    };
    let of_rule = |rule: &PatternRule| match rule {
        PatternRule::Auto => Ok(by_places()),
        PatternRule::CrissCross => Ok((HolePattern::CrissCross, HoleOrderRule::CrissCross)),
        PatternRule::Spiral => Ok((HolePattern::Spiral, HoleOrderRule::FromCentre)),
        PatternRule::Given(labels) => given_pattern(holes, labels.iter().map(String::as_str)),
    };
    match read::given_text(asked.order.as_ref()) {
        None => told.map_or_else(|| Ok(by_places()), |t| of_rule(&t.rule)),
        Some("auto") => Ok(by_places()),
        Some("criss-cross") => of_rule(&PatternRule::CrissCross),
        Some("from-centre") => of_rule(&PatternRule::Spiral),
        Some(text) => {
            let with_dash = holes.iter().any(|h| h.label.contains('-'));
            let split = |c: char| c.is_whitespace() || c == ',' || (c == '-' && !with_dash);
            given_pattern(holes, text.split(split).filter(|t| !t.is_empty()))
        }
    }
}

fn given_pattern<'t>(
    holes: &[PatternHole],
    labels: impl Iterator<Item = &'t str>,
) -> Result<(HolePattern, HoleOrderRule), BoltingError> {
    let index = |label: &str| {
        holes.iter().position(|h| h.label == label).ok_or_else(|| {
            let known: Vec<&str> = holes.iter().take(12).map(|h| h.label.as_str()).collect();
            let words = format!(
                "there is no hole `{label}`; write `auto`, `criss-cross`, `from-centre`, or labels of {}",
                known.join(" ")
            );
            read::field_error("order", words)
        })
    };
    let order = labels.map(index).collect::<Result<Vec<_>, _>>()?;
    Ok((HolePattern::Given(order), HoleOrderRule::Given))
}

/// The passes: what was asked, else the book's, else the usual shares.
fn parse_passes(
    asked: &PatternRequest,
    told: Option<&BookTightening>,
) -> Result<Vec<PatternPass>, BoltingError> {
    let full =
        read::given_text(asked.torque.as_ref()).map(|t| read::parse_torque("torque", t)).transpose()?;
    let text = match (read::given_text(asked.stages.as_ref()), told) {
        (Some(text), _) => text.to_owned(),
        (None, Some(told)) if full.is_none() => told.stages.join("/"),
        (None, _) => USUAL_SHARES.map(|share| format!("{}", units::math::round(share * 100.0))).join("/"),
    };
    let mut passes = text
        .split('/')
        .map(str::trim)
        .filter(|t| !t.is_empty())
        .map(|t| parse_pass(t, full))
        .collect::<Result<Vec<_>, _>>()?;
    if passes.len() > MAX_PATTERN_PASSES {
        return Err(read::field_error(
            "stages",
            format!("{} passes; give at most {MAX_PATTERN_PASSES}", passes.len()),
        ));
    }
    let closes = told.filter(|_| asked.stages.is_none() && full.is_none()).is_none_or(|t| t.closing_pass);
    let last = passes.iter().rev().find(|p| p.torque_n_m.is_some() || p.figure.ends_with('%')).cloned();
    let ends_by_angle = passes.last().is_some_and(|p| p.figure.ends_with('°'));
    if let Some(last) = last.filter(|_| closes && !ends_by_angle) {
        passes.push(PatternPass { is_closing: true, ..last });
    }
    Ok(passes)
}

/// One pass: a share of the final torque, a torque, an angle, or `seat`.
fn parse_pass(text: &str, full: Option<(Torque, &'static Unit)>) -> Result<PatternPass, BoltingError> {
    let plain = |figure: String, torque_n_m: Option<f64>| PatternPass {
        figure,
        torque_n_m,
        is_closing: false,
        holes: Vec::new(),
    };
    if let Some(percent) = text.trim_end_matches('%').trim().parse::<f64>().ok().filter(|p| p.is_finite()) {
        if !(percent > 0.0 && percent <= 100.0) {
            return Err(read::field_error(
                "stages",
                format!("`{text}` is out of range; a share is above 0 % and at most 100 %"),
            ));
        }
        return Ok(match full {
            None => plain(format!("{percent} %"), None),
            Some((full, unit)) => {
                let torque = full * (percent / 100.0);
                plain(torque.show_in(unit, 3), Some(torque.as_n_m()))
            }
        });
    }
    if text == "seat" {
        return Ok(plain(text.to_owned(), None));
    }
    if let Ok(angle) = Angle::parse(text) {
        return Ok(plain(format!("{}°", units::significant(angle.as_deg(), 4)), None));
    }
    let torque = Torque::parse(text).map_err(|error| read::field_error("stages", error.to_string()))?;
    Ok(plain(text.to_owned(), Some(torque.as_n_m())))
}

fn pattern_grounds(rule: HoleOrderRule, told: Option<&BookTightening>, stages_asked: bool) -> AnswerGrounds {
    let (formula, source) = match rule {
        HoleOrderRule::CrissCross => (
            "opposite pairs; each next pair is as far as possible from those already tightened",
            "MIL-HDBK-60, 5.7 and figure 4",
        ),
        HoleOrderRule::FromCentre => (
            "from the centre outwards; within each ring, the hole farthest from the last one is next",
            "EN 1090-2, 8.3: from the stiffest part towards the free edges; for long heads common practice, no single source",
        ),
        HoleOrderRule::Given => ("the sequence as given", "as given; each hole is named exactly once"),
    };
    let mut grounds = AnswerGrounds::new(&[formula], "holes of one face, tightened one at a time", &[source]);
    match told.filter(|_| !stages_asked) {
        Some(told) => grounds.add_source(&format!("stages: the book, {}", told.source)),
        None => grounds.add_source(
            "30, 60 and 100 % and a closing pass: flange practice after PCC-1, as gasket suppliers print it",
        ),
    }
    grounds
}

/// The holes as a drawing, numbered in the order of tightening.
#[must_use]
pub fn draw_tightening_pattern(answer: &PatternAnswer) -> String {
    use model::FastenerState;
    use print::view::{HoleView, PatternView};
    let hole = |h: &PatternHole| HoleView {
        label: h.label.clone(),
        x_mm: h.x_mm,
        y_mm: h.y_mm,
        turn: answer.turn_of_hole(&h.label).and_then(|t| u32::try_from(t).ok()),
        mark: FastenerState::Off,
        class: String::new(),
        renewed: false,
    };
    let field = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    write_svg(&print::draw_hole_pattern(&PatternView {
        id: String::from("pattern"),
        title: format!("{}: tighten in this order", answer.title),
        stages: answer.passes.iter().map(|p| p.figure.clone()).collect(),
        classes: Vec::new(),
        holes: answer.holes.iter().map(hole).collect(),
        foot: vec![
            field("holes", &answer.holes.len().to_string()),
            field("loosen", "in reverse order"),
            field("source", answer.why.sources.first().map_or("", String::as_str)),
        ],
    }))
}
