//! `traywright trend odometer`: slips, distance a day, the day of a milestone, what is due first.

use super::{PictureNames, TrendOutputArguments, draw_picture, load_table, parse_range, words};
use crate::exit::{CommandFailure, CommandVerdict};
use crate::page_width::page_width;
use ::trend::answers::TrendFailure;
use ::trend::answers::line::TrendPicture;
use ::trend::answers::odometer::{OdometerAnswer, OdometerRequest, answer_odometer};
use ::trend::columns::ReadingTable;
use ::trend::days::{DayForm, parse_day};
use ::trend::slips::{KM_PER_MILE, OdometerNote};
use app::record::vehicle::{OdometerUnit, OdometerValue};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// The unit of an odometer without one in its cells.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum DistanceUnit {
    /// Kilometres.
    Km,
    /// Miles.
    Mi,
}

impl DistanceUnit {
    const fn word(self) -> &'static str {
        match self {
            Self::Km => "km",
            Self::Mi => "mi",
        }
    }

    const fn in_km(self) -> f64 {
        match self {
            Self::Km => 1.0,
            Self::Mi => KM_PER_MILE,
        }
    }
}

/// Reads an odometer's list: slips, distance a day, the day of the next milestone, and what is due first.
///
/// Slips (digits swapped or missing, miles for kilometres, going back, a replaced instrument) are named with what was
/// probably meant and left out until somebody has looked. Fewer than six readings are taken together with what is usual.
#[derive(Debug, Args)]
pub struct TrendOdometerCommand {
    /// The .csv file of readings: a line of headings, then a line per reading.
    #[arg(long, value_name = "FILE")]
    readings: PathBuf,
    /// Column of days, as 2026-03-14 or as numbers [default: date].
    #[arg(long, value_name = "COLUMN")]
    x: Option<String>,
    /// Column of what the odometer showed, as `85 400 km` or bare [default: odometer].
    #[arg(long, value_name = "COLUMN")]
    y: Option<String>,
    /// Unit of bare figures, and of the answer.
    #[arg(long, value_enum, default_value_t = DistanceUnit::Km)]
    unit: DistanceUnit,
    /// Milestone on the odometer: `100000 km`.
    #[arg(long, value_name = "DISTANCE")]
    due_at: Option<String>,
    /// Or so much further than the last reading: `20000 km`.
    #[arg(long, value_name = "DISTANCE", conflicts_with = "due_at")]
    due_in: Option<String>,
    /// Due by this day in any case; whichever comes first counts.
    #[arg(long, value_name = "DATE")]
    due_by: Option<String>,
    /// Count only readings from this day on, as after a new owner.
    #[arg(long, value_name = "DATE")]
    since: Option<String>,
    /// Count readings of more than two years before the last as well.
    #[arg(long)]
    all_readings: bool,
    /// Distances a day of like vehicles, nine in ten of them: `20 to 60` [default: 12 to 100 km].
    #[arg(long, value_name = "RANGE")]
    usual_rate: Option<String>,
    #[command(flatten)]
    output: TrendOutputArguments,
}

/// A distance in km, with km in one of the unit that it is written in.
fn read_distance(text: &str, usual: DistanceUnit) -> Option<(f64, f64)> {
    let has_unit = text.chars().any(char::is_alphabetic);
    let whole = if has_unit { text.to_owned() } else { format!("{text} {}", usual.word()) };
    let found = OdometerValue::parse_words(&whole)?;
    let unit_km = match found.unit {
        OdometerUnit::Kilometre => 1.0,
        OdometerUnit::Mile => KM_PER_MILE,
        OdometerUnit::Hour => return None,
    };
    (found.value.is_finite() && found.value >= 0.0).then_some((found.value * unit_km, unit_km))
}

impl TrendOdometerCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let table = load_table(&self.readings)?;
        let (notes, day_form) = self.read_notes(&table)?;
        let unit_km = self.unit.in_km();
        let usual_rate =
            self.usual_rate.as_deref().map(|text| parse_range(text, "--usual-rate")).transpose()?;
        let answer = answer_odometer(&OdometerRequest {
            notes,
            day_form,
            due_at_km: self.ask_distance("--due-at", self.due_at.as_deref())?,
            due_in_km: self.ask_distance("--due-in", self.due_in.as_deref())?,
            due_day: ask_day("--due-by", self.due_by.as_deref(), day_form)?,
            since_day: ask_day("--since", self.since.as_deref(), day_form)?,
            all_readings: self.all_readings,
            usual_rate: usual_rate.map(|(low, high)| (low * unit_km, high * unit_km)),
            confidence_share: self.output.confidence,
        })?;
        let text = words::format_odometer(&answer, self.unit.word(), unit_km, page_width());
        let names = PictureNames {
            title: "odometer",
            x: "days from the last reading",
            y: self.unit.word(),
            level: "milestone",
        };
        self.output.print_and_draw("trend-odometer", &answer, &text, || {
            draw_picture(&names, &sketch_odometer(&answer, unit_km))
        })
    }

    fn ask_distance(&self, option: &str, text: Option<&str>) -> Result<Option<f64>, CommandFailure> {
        let Some(text) = text else { return Ok(None) };
        let found = read_distance(text, self.unit);
        found.map(|(km, _)| Some(km)).ok_or_else(|| {
            CommandFailure::bad_request(format!("{option}: `{text}` is no distance; write \"100000 km\""))
        })
    }

    /// The readings of the file, with the form of their days.
    fn read_notes(&self, table: &ReadingTable) -> Result<(Vec<OdometerNote>, DayForm), CommandFailure> {
        let choose = |named: Option<&str>, usual, place| -> Result<String, CommandFailure> {
            Ok(table.choose_column(named, usual, place).map_err(TrendFailure::from)?)
        };
        let days = choose(self.x.as_deref(), "date", 0)?;
        let distances = choose(self.y.as_deref(), "odometer", 1)?;
        let days = table.read_texts(&days).map_err(TrendFailure::from)?;
        let distances = table.read_texts(&distances).map_err(TrendFailure::from)?;
        let (mut notes, mut forms, mut faults) = (Vec::new(), Vec::new(), Vec::new());
        for ((line, day), (_, distance)) in days.into_iter().zip(distances) {
            if day.is_empty() || distance.is_empty() {
                continue;
            }
            match (parse_day(day), read_distance(distance, self.unit)) {
                (Some((day, form)), Some((km, unit_km))) => {
                    forms.push(form);
                    notes.push(OdometerNote { line, day, km, unit_km });
                }
                (None, _) => faults.push(format!("line {line}: `{day}` is no day; write 2026-03-14")),
                (_, None) => faults.push(format!("line {line}: `{distance}` is no distance; write 85400 km")),
            }
        }
        let form = forms.first().copied().unwrap_or(DayForm::Date);
        if forms.iter().any(|other| *other != form) {
            faults.push(String::from("some days are dates and some are numbers; write all as 2026-03-14"));
        }
        if faults.is_empty() {
            return Ok((notes, form));
        }
        faults.truncate(8);
        Err(CommandFailure::bad_request(format!("{}: {}", self.readings.display(), faults.join("\n  "))))
    }
}

fn ask_day(option: &str, text: Option<&str>, form: DayForm) -> Result<Option<f64>, CommandFailure> {
    let Some(text) = text else { return Ok(None) };
    match parse_day(text) {
        Some((day, found)) if found == form => Ok(Some(day)),
        Some(_) | None => Err(CommandFailure::bad_request(format!(
            "{option}: `{text}` is no day as the file writes them; write {}",
            if form == DayForm::Date { "2026-03-14" } else { "a number of days" }
        ))),
    }
}

/// Readings and the milestone as a drawing has them: days from the last reading.
fn sketch_odometer(answer: &OdometerAnswer, unit_km: f64) -> TrendPicture {
    let last_day = answer.points.last().map_or(0.0, |p| p.day);
    let points = answer.points.iter().map(|p| (p.day - last_day, p.km / unit_km)).collect();
    let last = answer.last_km / unit_km;
    let rate = answer.answered.rate;
    let milestone = answer.answered.milestone.as_ref();
    let ahead = milestone.map_or(365.0, |m| m.high_days.unwrap_or(2.0 * m.estimate_days));
    let band = [0.0, 0.25, 0.5, 0.75, 1.0].iter().filter_map(|share| {
        let (rate, days) = (rate?, ahead * share);
        let at = |km_per_day: f64| last + km_per_day * days / unit_km;
        let high = rate.high_km_per_day.unwrap_or(rate.estimate_km_per_day);
        Some([days, at(rate.estimate_km_per_day), at(rate.low_km_per_day), at(high)])
    });
    let reached = milestone.and_then(|m| Some([m.estimate_days, m.low_days, m.high_days?]));
    TrendPicture { points, band: band.collect(), level: answer.due_at_km.map(|km| km / unit_km), reached }
}
