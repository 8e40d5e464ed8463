//! `traywright trend`: readings judged, lines through readings, wear to a limit, and what an odometer tells.
//!
//! symbol: confidence = a share, as it is typed

mod line;
mod odometer;
mod reading;
mod wear;
mod words;

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use ::trend::answers::TrendFailure;
use ::trend::answers::line::TrendPicture;
use ::trend::columns::{ReadingTable, read_reading_table};
use app::load::{WantedFile, read_text_of_kind};
use app::write;
use clap::{Args, Subcommand};
use std::path::{Path, PathBuf};

/// Readings against their limits, and what comes of them: lines, wear, odometer, next due.
///
/// Every answer has an interval and says "cannot tell" where the readings do not tell. Files are spreadsheets as .csv with
/// headings. The limits are yours to give, from the maker's service data.
#[derive(Debug, Subcommand)]
pub enum TrendCommand {
    Reading(reading::TrendReadingCommand),
    Line(line::TrendLineCommand),
    Wear(wear::TrendWearCommand),
    Odometer(odometer::TrendOdometerCommand),
}

impl TrendCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        match self {
            Self::Reading(c) => c.run_command(),
            Self::Line(c) => c.run_command(),
            Self::Wear(c) => c.run_command(),
            Self::Odometer(c) => c.run_command(),
        }
    }
}

/// How sure an interval is, and how the answer is shown.
#[derive(Debug, Args)]
struct TrendOutputArguments {
    /// Confidence of the intervals.
    #[arg(long, value_name = "SHARE", default_value_t = 0.9)]
    confidence: f64,
    /// Also draw readings, line, interval and limit into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl TrendOutputArguments {
    /// Prints an answer in the way asked for, and draws it where that is asked.
    fn print_and_draw(
        &self,
        command: &str,
        answer: &impl serde::Serialize,
        text: &str,
        drawing: impl FnOnce() -> String,
    ) -> Result<CommandVerdict, CommandFailure> {
        if let Some(path) = &self.draw {
            write::write_files(&[(path.clone(), drawing())])?;
        }
        if self.json {
            print_json(command, answer)?;
        } else {
            print_answer(text)?;
        }
        Ok(CommandVerdict::Clean)
    }
}

impl From<TrendFailure> for CommandFailure {
    fn from(error: TrendFailure) -> Self {
        Self::bad_request(error.to_string())
    }
}

/// Reads a table of readings.
fn load_table(path: &Path) -> Result<ReadingTable, CommandFailure> {
    let text = read_text_of_kind(path, WantedFile::Spreadsheet)?;
    Ok(read_reading_table(&text, &path.display().to_string()).map_err(TrendFailure::from)?)
}

/// Two figures with `to` between them: `0.05 to 0.13`.
fn parse_range(text: &str, option: &str) -> Result<(f64, f64), CommandFailure> {
    let figure = |part: &str| ::trend::columns::parse_figure(part, false);
    text.split_once(" to ").and_then(|(low, high)| Some((figure(low)?, figure(high)?))).ok_or_else(|| {
        CommandFailure::bad_request(format!("{option}: `{text}` is no range; write it as \"0.05 to 0.13\""))
    })
}

/// What a drawing says of its axes.
struct PictureNames<'a> {
    title: &'a str,
    x: &'a str,
    y: &'a str,
    level: &'a str,
}

fn draw_picture(names: &PictureNames<'_>, picture: &TrendPicture) -> String {
    app::trend_drawing::draw_trend(names.title, (names.x, names.y), names.level, picture)
}
