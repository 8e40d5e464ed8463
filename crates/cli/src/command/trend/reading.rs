//! `traywright trend reading`: readings against their limits.
//!
//! symbol: value, uncertainty, expanded, max_error, resolution, at_least, at_most = figures as they are typed
//! symbol: spread_at_most, lowest_at_least, reading = figures as they are typed, in the unit of the reading

use super::{load_table, words};
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use ::trend::answers::TrendFailure;
use ::trend::answers::reading::{ReadingRequest, answer_reading};
use ::trend::columns::parse_figure;
use ::trend::places::{PlaceReadings, SpreadLimit};
use ::trend::reading_verdict::{DecisionRule, ReadingLimit, combine_gauge_uncertainty};
use app::model::reading_kind::ReadingKind;
use clap::Args;
use std::path::PathBuf;

/// Judges readings against their limits: pass, fail, or too close to call, and then how to measure again.
///
/// Pass and fail are proven at 95 %, with guard bands on both sides of the limit (JCGM 106, ISO 14253-1). Several values of one
/// place are repeats; several places are judged each and, where asked, the lowest against the highest.
#[derive(Debug, Args)]
pub struct TrendReadingCommand {
    /// The reading; several are repeats of one place.
    #[arg(long, value_name = "FIGURE", allow_hyphen_values = true)]
    value: Vec<f64>,
    /// A place with its reading, `cylinder 1=9.2`; the same place again is a repeat.
    #[arg(long, value_name = "PLACE=FIGURE", allow_hyphen_values = true)]
    place: Vec<String>,
    /// A .csv file with the columns place and value.
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
    /// Kind: compression, leak-down, wear-depth, play, run-out, resistance, pressure, water-content, temperature or visual-grade.
    #[arg(long)]
    kind: Option<String>,
    /// Unit, where it is not the usual one of the kind.
    #[arg(long)]
    unit: Option<String>,
    /// Standard uncertainty of the gauge.
    #[arg(long, value_name = "FIGURE")]
    uncertainty: Option<f64>,
    /// Expanded uncertainty of its certificate (k = 2), instead.
    #[arg(long, value_name = "FIGURE", conflicts_with = "uncertainty")]
    expanded: Option<f64>,
    /// Permissible error of the gauge, plus or minus, instead.
    #[arg(long, value_name = "FIGURE", conflicts_with_all = ["uncertainty", "expanded"])]
    max_error: Option<f64>,
    /// Step of its scale.
    #[arg(long, value_name = "FIGURE", conflicts_with_all = ["uncertainty", "expanded"])]
    resolution: Option<f64>,
    /// The reading must be at least this.
    #[arg(long, value_name = "LIMIT", allow_hyphen_values = true)]
    at_least: Option<f64>,
    /// The reading must be at most this.
    #[arg(long, value_name = "LIMIT", allow_hyphen_values = true)]
    at_most: Option<f64>,
    /// Highest less lowest place must be at most this.
    #[arg(long, value_name = "LIMIT")]
    spread_at_most: Option<f64>,
    /// The lowest place must be at least this share of the highest: 0.75.
    #[arg(long, value_name = "SHARE", conflicts_with = "spread_at_most")]
    lowest_at_least: Option<f64>,
    /// Judge as the reading stands, without regard to its uncertainty.
    #[arg(long)]
    simple: bool,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl TrendReadingCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let kind = match &self.kind {
            None => None,
            Some(word) => Some(ReadingKind::parse_word(word).ok_or_else(|| unknown_kind(word))?),
        };
        let request = ReadingRequest {
            places: self.gather_places()?,
            kind,
            unit: self.unit.clone(),
            gauge_uncertainty: self.gauge_uncertainty(),
            limit: match (self.at_least, self.at_most) {
                (None, None) => None,
                (Some(low), None) => Some(ReadingLimit::AtLeast(low)),
                (None, Some(high)) => Some(ReadingLimit::AtMost(high)),
                (Some(low), Some(high)) => Some(ReadingLimit::Between(low, high)),
            },
            spread_limit: match (self.spread_at_most, self.lowest_at_least) {
                (Some(most), _) => Some(SpreadLimit::DifferenceAtMost(most)),
                (None, Some(share)) => Some(SpreadLimit::LowestAtLeastShare(share)),
                (None, None) => None,
            },
            rule: if self.simple { DecisionRule::Simple } else { DecisionRule::Proven },
        };
        let answer = answer_reading(&request)?;
        if self.json {
            print_json("trend-reading", &answer)?;
        } else {
            print_answer(&words::format_reading(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }

    fn gauge_uncertainty(&self) -> Option<f64> {
        let of_certificate = self.expanded.map(|expanded| expanded / 2.0);
        let stated = self.uncertainty.or(of_certificate);
        stated.or_else(|| combine_gauge_uncertainty(self.resolution, self.max_error))
    }

    /// The places, in the order in which they are first named.
    fn gather_places(&self) -> Result<Vec<PlaceReadings>, CommandFailure> {
        let mut places: Vec<PlaceReadings> = Vec::new();
        let mut add = |place: &str, reading: f64| match places.iter_mut().find(|p| p.place == place) {
            Some(known) => known.readings.push(reading),
            None => places.push(PlaceReadings { place: place.to_owned(), readings: vec![reading] }),
        };
        self.value.iter().for_each(|value| add("reading", *value));
        for text in &self.place {
            let told = text.rsplit_once('=').and_then(|(p, v)| Some((p.trim(), parse_figure(v, false)?)));
            let (place, value) = told.ok_or_else(|| {
                CommandFailure::bad_request(format!(
                    "--place: `{text}` is no reading; write \"cylinder 1=9.2\""
                ))
            })?;
            add(place, value);
        }
        if let Some(path) = &self.readings {
            let table = load_table(path)?;
            let names = table.read_texts("place").map_err(TrendFailure::from)?;
            let values = table.read_texts("value").map_err(TrendFailure::from)?;
            for ((line, place), (_, value)) in names.into_iter().zip(values) {
                let figure = parse_figure(value, false).ok_or_else(|| {
                    CommandFailure::bad_request(format!(
                        "{}:{line}: `{value}` is no figure; write digits such as 9.2",
                        path.display()
                    ))
                })?;
                add(place, figure);
            }
        }
        Ok(places)
    }
}

fn unknown_kind(word: &str) -> CommandFailure {
    let known: Vec<&str> = ReadingKind::ALL.iter().map(|kind| kind.word()).collect();
    CommandFailure::bad_request(format!("--kind: `{word}` is unknown; known are {}", known.join(", ")))
}
