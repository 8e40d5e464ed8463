//! In which order do the holes of a joint go tight, and to which figure in each pass?
//!
//! **Method.** `bolting::pattern`: from the places of the holes, never from their names. A book's own sequence and stages
//! stand; where nothing is said the passes are 30, 60 and 100 % and a closing pass round at the last figure.
//!
//! **Worked example.** Eight bolts of a ring: 1 5 3 7 2 6 4 8, counted clockwise from the top.
//!
//! **Sources of the shares.** Flange practice after PCC-1 as gasket suppliers print it: about 30, 60 and 100 %, then a pass
//! round at 100 % until nothing turns.

use super::holes::{self, Hole, Told};
use super::{BoltingError, Grounds, read};
use bolting::pattern::{self, Pattern, Place};
use bolting::stages::{StagesError, USUAL_SHARES, Warning};
use model::PatternRule;
use print::svg::svg;
use serde::{Deserialize, Serialize};
use units::{Angle, Torque, Unit};

/// Most passes (assumption).
const MOST_STAGES: usize = 12;

/// The question, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PatternAsked {
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
pub struct Pass {
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
pub enum Rule {
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
    pub holes: Vec<Hole>,
    /// How the order was found.
    pub rule: Rule,
    /// Labels in the order of tightening.
    pub tighten: Vec<String>,
    /// Labels in the order of loosening.
    pub loosen: Vec<String>,
    /// Passes.
    pub passes: Vec<Pass>,
    /// What it rests on.
    pub why: Grounds,
}

impl PatternAnswer {
    /// Place of a hole in the order of tightening, from 1.
    #[must_use]
    pub fn turn(&self, label: &str) -> Option<usize> {
        self.tighten.iter().position(|l| l == label).map(|at| at + 1)
    }
}

/// Answers the question.
///
/// # Errors
/// [`BoltingError`] with what cannot be used and what to write.
pub fn answer(asked: &PatternAsked) -> Result<PatternAnswer, BoltingError> {
    let found = holes::holes(&asked.holes)?;
    let places: Vec<Place> = found.holes.iter().map(|h| Place { x_mm: h.x_mm, y_mm: h.y_mm }).collect();
    let (pattern, rule) = pattern_of(asked, &found.holes, found.told.as_ref(), &places)?;
    let order =
        pattern::tightening_order(&places, &pattern).map_err(|e| read::bad("order", e.to_string()))?;
    let named =
        |order: &[usize]| -> Vec<String> { order.iter().map(|at| found.holes[*at].label.clone()).collect() };
    let labels = named(&order);
    let mut passes = passes(asked, found.told.as_ref())?;
    rising(&passes)?;
    for pass in &mut passes {
        pass.holes = if pass.is_closing { named(&pattern::ring_order(&places)) } else { labels.clone() };
    }
    let mut why = grounds(rule, found.told.as_ref(), read::given(asked.stages.as_ref()).is_some());
    let ends_by_angle = passes.last().is_some_and(|p| p.figure.ends_with('°'));
    if ends_by_angle {
        why.caution(format!("{}.", capital(&Warning::NoClosingAfterAngle.to_string())));
    }
    if asked.gasket {
        why.caution(format!("{}.", capital(&Warning::ElasticInteraction.to_string())));
    } else {
        why.caution(
            "On a gasket each bolt loosens its neighbours: go round at the last figure until nothing turns.",
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

/// A sentence from words that begin small.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Refuses torques, or shares, that do not rise from pass to pass.
fn rising(passes: &[Pass]) -> Result<(), BoltingError> {
    let mut last_share = 0.0;
    let mut last_n_m = 0.0;
    for (index, pass) in passes.iter().enumerate().filter(|(_, p)| !p.is_closing) {
        let share = pass.figure.strip_suffix(" %").and_then(|t| t.parse::<f64>().ok());
        let falls =
            pass.torque_n_m.is_some_and(|n_m| n_m <= last_n_m) || share.is_some_and(|s| s <= last_share);
        if falls {
            let words = StagesError::NotRising { stage: index + 1 }.to_string();
            return Err(read::bad("stages", words));
        }
        last_n_m = pass.torque_n_m.unwrap_or(last_n_m);
        last_share = share.unwrap_or(last_share);
    }
    Ok(())
}

/// The rule to order by: what was asked, else what the book says, else by how the holes lie.
fn pattern_of(
    asked: &PatternAsked,
    holes: &[Hole],
    told: Option<&Told>,
    places: &[Place],
) -> Result<(Pattern, Rule), BoltingError> {
    let by_places = || {
        if pattern::is_ring(places) {
            (Pattern::CrissCross, Rule::CrissCross)
        } else {
            (Pattern::Spiral, Rule::FromCentre)
        }
    };
    let of_rule = |rule: &PatternRule| match rule {
        PatternRule::Auto => Ok(by_places()),
        PatternRule::CrissCross => Ok((Pattern::CrissCross, Rule::CrissCross)),
        PatternRule::Spiral => Ok((Pattern::Spiral, Rule::FromCentre)),
        PatternRule::Given(labels) => given(holes, labels.iter().map(String::as_str)),
    };
    match read::given(asked.order.as_ref()) {
        None => told.map_or_else(|| Ok(by_places()), |t| of_rule(&t.rule)),
        Some("auto") => Ok(by_places()),
        Some("criss-cross") => of_rule(&PatternRule::CrissCross),
        Some("from-centre") => of_rule(&PatternRule::Spiral),
        Some(text) => {
            let with_dash = holes.iter().any(|h| h.label.contains('-'));
            let split = |c: char| c.is_whitespace() || c == ',' || (c == '-' && !with_dash);
            given(holes, text.split(split).filter(|t| !t.is_empty()))
        }
    }
}

fn given<'t>(holes: &[Hole], labels: impl Iterator<Item = &'t str>) -> Result<(Pattern, Rule), BoltingError> {
    let index = |label: &str| {
        holes.iter().position(|h| h.label == label).ok_or_else(|| {
            let known: Vec<&str> = holes.iter().take(12).map(|h| h.label.as_str()).collect();
            let words = format!(
                "there is no hole `{label}`; write `auto`, `criss-cross`, `from-centre`, or labels of {}",
                known.join(" ")
            );
            read::bad("order", words)
        })
    };
    let order = labels.map(index).collect::<Result<Vec<_>, _>>()?;
    Ok((Pattern::Given(order), Rule::Given))
}

/// The passes: what was asked, else the book's, else the usual shares.
fn passes(asked: &PatternAsked, told: Option<&Told>) -> Result<Vec<Pass>, BoltingError> {
    let full = read::given(asked.torque.as_ref()).map(|t| read::torque("torque", t)).transpose()?;
    let text = match (read::given(asked.stages.as_ref()), told) {
        (Some(text), _) => text.to_owned(),
        (None, Some(told)) if full.is_none() => told.stages.join("/"),
        (None, _) => USUAL_SHARES.map(|share| format!("{}", units::math::round(share * 100.0))).join("/"),
    };
    let mut passes = text
        .split('/')
        .map(str::trim)
        .filter(|t| !t.is_empty())
        .map(|t| pass(t, full))
        .collect::<Result<Vec<_>, _>>()?;
    if passes.len() > MOST_STAGES {
        return Err(read::bad("stages", format!("{} passes; give at most {MOST_STAGES}", passes.len())));
    }
    let closes = told.filter(|_| asked.stages.is_none() && full.is_none()).is_none_or(|t| t.closing_pass);
    let last = passes.iter().rev().find(|p| p.torque_n_m.is_some() || p.figure.ends_with('%')).cloned();
    let ends_by_angle = passes.last().is_some_and(|p| p.figure.ends_with('°'));
    if let Some(last) = last.filter(|_| closes && !ends_by_angle) {
        passes.push(Pass { is_closing: true, ..last });
    }
    Ok(passes)
}

/// One pass: a share of the final torque, a torque, an angle, or `seat`.
fn pass(text: &str, full: Option<(Torque, &'static Unit)>) -> Result<Pass, BoltingError> {
    let plain = |figure: String, torque_n_m: Option<f64>| Pass {
        figure,
        torque_n_m,
        is_closing: false,
        holes: Vec::new(),
    };
    if let Some(percent) = text.trim_end_matches('%').trim().parse::<f64>().ok().filter(|p| p.is_finite()) {
        if !(percent > 0.0 && percent <= 100.0) {
            return Err(read::bad("stages", format!("`{text}`: a share lies above 0 and up to 100 %")));
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
    let torque = Torque::parse(text).map_err(|error| read::bad("stages", error.to_string()))?;
    Ok(plain(text.to_owned(), Some(torque.as_n_m())))
}

fn grounds(rule: Rule, told: Option<&Told>, stages_asked: bool) -> Grounds {
    let (formula, source) = match rule {
        Rule::CrissCross => (
            "opposite pairs; each next pair lies as far as possible from all pairs done",
            "MIL-HDBK-60, 5.7 and figure 4",
        ),
        Rule::FromCentre => (
            "from the middle outwards, in each shell always to the hole farthest from the last",
            "EN 1090-2, 8.3: from the stiffest part towards the free edges; for long heads common practice, no single source",
        ),
        Rule::Given => ("the sequence as given", "as given; each hole is named exactly once"),
    };
    let mut grounds = Grounds::new(&[formula], "holes of one face, tightened one at a time", &[source]);
    match told.filter(|_| !stages_asked) {
        Some(told) => grounds.source(&format!("stages: the book, {}", told.source)),
        None => grounds.source(
            "30, 60 and 100 % and a closing pass: flange practice after PCC-1, as gasket suppliers print it",
        ),
    }
    grounds
}

/// The holes as a drawing, numbered in the order of tightening.
#[must_use]
pub fn drawing(answer: &PatternAnswer) -> String {
    use print::view::{HoleMark, HoleView, PatternView};
    let hole = |h: &Hole| HoleView {
        label: h.label.clone(),
        x_mm: h.x_mm,
        y_mm: h.y_mm,
        turn: answer.turn(&h.label).and_then(|t| u32::try_from(t).ok()),
        mark: HoleMark::Off,
        class: String::new(),
        renewed: false,
        fixing: String::new(),
    };
    let field = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    svg(&print::pattern(&PatternView {
        id: String::from("pattern"),
        title: format!("{}: tighten in this order", answer.title),
        stages: answer.passes.iter().map(|p| p.figure.clone()).collect(),
        classes: Vec::new(),
        holes: answer.holes.iter().map(hole).collect(),
        foot: vec![
            field("holes", &answer.holes.len().to_string()),
            field("loosen", "the other way round"),
            field("source", answer.why.sources.first().map_or("", String::as_str)),
        ],
    }))
}
