//! Figures to ask about first: fixings in the way whose tightening figure something stands against.
//!
//! The verdict is the one of [`model::tightening_verdict`], which book check, card, sheet and *why* show as well. What is merely not known, a
//! class or a lubrication, stands against nothing and has no line here.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{OpenKind, OpenLine};
use model::{Book, Fixing, tightening_verdict};

use super::rescue::fixings_off;
use crate::scope::PlanScope;

/// Most fixings named in one sentence.
const MAX_NAMED: usize = 3;

/// One line for each thing that stands against figures, for all fixings that it stands against.
pub(super) fn ask_first_lines(book: &Book, scope: &PlanScope) -> Vec<OpenLine> {
    let mut by_words: BTreeMap<String, Vec<&Fixing>> = BTreeMap::new();
    for fixing in fixings_off(book, scope) {
        let Some(verdict) = tightening_verdict(book, fixing) else { continue };
        if let Some(against) = verdict.against_words() {
            let words = format!("{}: {against}", verdict.standing().spoken_word());
            by_words.entry(words).or_default().push(fixing);
        }
    }
    by_words.into_iter().map(|(words, fixings)| ask_first_line(&words, &fixings)).collect()
}

fn ask_first_line(verdict: &str, fixings: &[&Fixing]) -> OpenLine {
    let titles: Vec<&str> = fixings.iter().take(MAX_NAMED).map(|fixing| fixing.title.as_str()).collect();
    let more = match fixings.len().saturating_sub(MAX_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let last = fixings.iter().filter_map(|fixing| fixing.tightening.stages.last());
    let figures: BTreeSet<&str> = last.map(|stage| stage.as_written.as_str()).collect();
    let figures = figures.into_iter().collect::<Vec<_>>().join(" or ");
    let mut keys: Vec<String> = fixings.iter().map(|fixing| fixing.key.clone()).collect();
    keys.sort();
    let fasteners: usize = fixings.iter().map(|fixing| fixing.holes.len()).sum();
    OpenLine {
        kind: OpenKind::AskFirst,
        words: format!("Ask first about {}{more}, {figures}; {verdict}.", titles.join(", ")),
        fasteners: u32::try_from(fasteners).unwrap_or(u32::MAX),
        fixings: keys,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use model::{
        Drive, DriveForm, FastenerKind, FigureOrigins, HeadDimensions, Hole, Known, PartId, PatternRule,
        Stage, StageTarget, Tightening,
    };
    use units::Length;

    /// An M5 screw in plastic, which strips: 4 N·m on 11 mm (machine manuals give 5 N·m for M5 into metal).
    fn screw(key: &str, passes: &[&str], tapped_in: model::TappedIn) -> Fixing {
        let mm = Length::from_mm;
        let stage = |text: &&str| Stage {
            target: StageTarget::parse(text).expect("a pass"),
            as_written: (*text).to_owned(),
        };
        Fixing {
            key: key.into(),
            title: format!("{key} screws"),
            part: PartId::new(0),
            kind: FastenerKind::Screw,
            thread: "M5".parse().ok(),
            is_left_hand: false,
            length: Some(mm(16.0)),
            class: "8.8".parse().ok(),
            drive: Drive::new(DriveForm::Hexagon, 8.0),
            head: HeadDimensions { grip_height: mm(5.0), diameter: mm(9.2), protrusion: Length::ZERO },
            holes: vec![Hole { label: "1".into(), x: Length::ZERO, y: Length::ZERO }],
            are_places_known: false,
            engagement: Known::Exact(mm(11.0)),
            clamped: None,
            tapped_depth: None,
            tapped_in,
            tightening: Tightening {
                stages: passes.iter().map(stage).collect(),
                pattern: PatternRule::Auto,
                end_torque: None,
                tolerance_fraction: 0.04,
                closing_pass: false,
                source: String::new(),
            },
            joint: None,
            lubrication: model::Lubrication::Dry,
            one_time: false,
            price: None,
            captive: false,
            slackened: false,
            critical: false,
            history: Vec::new(),
            keep: None,
            accesses: Vec::new(),
            origins: FigureOrigins::default(),
            figures: None,
            reckoned_torque: None,
            world: model::FixingWorld::default(),
        }
    }

    fn book(fixings: Vec<Fixing>) -> Book {
        Book {
            key: String::from("sample"),
            title: String::from("Sample"),
            origin: String::from("invented"),
            is_invented: true,
            origins: FigureOrigins::default(),
            currency: String::from("EUR"),
            stations: Vec::new(),
            conditions: Vec::new(),
            openings: Vec::new(),
            parts: Vec::new(),
            fixings,
            tasks: Vec::new(),
            special_tools: Vec::new(),
            measures: Vec::new(),
            rules: Vec::new(),
            goals: Vec::new(),
            settings: Vec::new(),
        }
    }

    fn scope(parts: Vec<(PartId, Option<u16>)>) -> PlanScope {
        PlanScope {
            tasks: Vec::new(),
            parts,
            conditions: Vec::new(),
            duties: Vec::new(),
            ways_taken: Vec::new(),
            goal: None,
        }
    }

    #[test]
    fn figures_that_something_stands_against_are_asked_about_once() {
        use model::TappedIn::{CastAluminium, Plastic};
        let all = vec![
            screw("lid", &["4 N·m"], Plastic),
            screw("box", &["4 N·m"], Plastic),
            screw("sound", &["5 N·m"], CastAluminium),
            screw("seated", &["seat"], Plastic),
        ];
        let sample = book(all);
        let in_way = scope(vec![(PartId::new(0), None)]);
        let lines = ask_first_lines(&sample, &in_way);
        assert_eq!(lines.len(), 1, "{lines:?}");
        assert_eq!((lines[0].fasteners, lines[0].fixings.join(" ")), (2, String::from("box lid")));
        let words = &lines[0].words;
        assert!(
            words.starts_with(
                "Ask first about lid screws, box screws, 4 N·m; unusual: the thread strips from "
            ),
            "{words}"
        );
        assert!(words.ends_with(" where slippery."), "{words}");
        assert!(ask_first_lines(&sample, &scope(Vec::new())).is_empty(), "what stays on is not asked about");
    }
}
