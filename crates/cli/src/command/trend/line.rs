//! `traywright trend line`: a line through readings, and where it reaches a level.
//!
//! symbol: origin, at, where_y, where_uncertainty = figures as they are typed, in the units of the columns

use super::{PictureNames, TrendOutputArguments, draw_picture, load_table, words};
use crate::exit::{CommandFailure, CommandVerdict};
use crate::page_width::page_width;
use ::trend::answers::line::{LineRequest, answer_line};
use ::trend::line::LineShape;
use clap::Args;
use std::path::PathBuf;

/// Fits a line to columns of a file: coefficients, values with intervals, and where it reaches a level.
///
/// Two answers belong to a level: where the line itself reaches it, and where one reading of it comes from. Where the slope
/// may be nought there is neither. For wear use `trend wear`, for an odometer `trend odometer`.
#[derive(Debug, Args)]
pub struct TrendLineCommand {
    /// The .csv file of readings: a line of headings, then a line per reading.
    #[arg(long, value_name = "FILE")]
    readings: PathBuf,
    /// Column that the line depends on; several give a plain fit of all of them [default: the first of two columns].
    #[arg(long, value_name = "COLUMN")]
    x: Vec<String>,
    /// Column that depends on it [default: the second of two columns].
    #[arg(long, value_name = "COLUMN")]
    y: Option<String>,
    /// Degree of the polynomial.
    #[arg(long, value_name = "N", default_value_t = 1)]
    degree: usize,
    /// The line goes through the origin.
    #[arg(long, conflicts_with = "degree")]
    through_origin: bool,
    /// Take the logarithm of x.
    #[arg(long)]
    log_x: bool,
    /// Take the logarithm of y.
    #[arg(long)]
    log_y: bool,
    /// Count x from here.
    #[arg(long, value_name = "X", default_value_t = 0.0, allow_hyphen_values = true)]
    origin: f64,
    /// Column of standard uncertainties of y, where they are known.
    #[arg(long, value_name = "COLUMN")]
    uncertainty: Option<String>,
    /// Show the value here; may be given several times.
    #[arg(long, value_name = "X", allow_hyphen_values = true)]
    at: Vec<f64>,
    /// Find where the line reaches this; several are readings of one level.
    #[arg(long, value_name = "Y", allow_hyphen_values = true)]
    where_y: Vec<f64>,
    /// Standard uncertainty of that level, where it is known.
    #[arg(long, value_name = "FIGURE", requires = "where_y")]
    where_uncertainty: Option<f64>,
    #[command(flatten)]
    output: TrendOutputArguments,
}

impl TrendLineCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let table = load_table(&self.readings)?;
        let shape = if self.through_origin {
            LineShape::ThroughOrigin
        } else {
            LineShape::Free { degree: self.degree }
        };
        let answer = answer_line(
            &table,
            &LineRequest {
                x: self.x,
                y: self.y,
                uncertainty: self.uncertainty,
                shape,
                log_x: self.log_x,
                log_y: self.log_y,
                origin_x: self.origin,
                places_x: self.at,
                levels_y: self.where_y,
                level_uncertainty_y: self.where_uncertainty,
                confidence_share: self.output.confidence,
            },
        )?;
        let x = answer.x.join(", ");
        let names =
            PictureNames { title: &format!("{} against {x}", answer.y), x: &x, y: &answer.y, level: "level" };
        let text = words::format_line(&answer, page_width());
        self.output.print_and_draw("trend-line", &answer, &text, || draw_picture(&names, &answer.picture))
    }
}
