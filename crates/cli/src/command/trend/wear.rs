//! `traywright trend wear`: when wear reaches its limit.
//!
//! symbol: limit, uncertainty = figures as they are typed, in the unit of the readings

use super::{PictureNames, TrendOutputArguments, draw_picture, load_table, parse_range, words};
use crate::exit::{CommandFailure, CommandVerdict};
use crate::page_width::page_width;
use ::trend::answers::wear::{WearRequest, answer_wear};
use clap::Args;
use std::path::PathBuf;

/// Shows when wear reaches its limit, from two or more readings, with an interval.
///
/// Four readings speak for themselves. Fewer want the uncertainty of the gauge, or the usual rate of like vehicles as a
/// stated prior. Where the rate may be nought the answer is that it cannot be told.
#[derive(Debug, Args)]
pub struct TrendWearCommand {
    /// The .csv file of readings: a line of headings, then a line per reading.
    #[arg(long, value_name = "FILE")]
    readings: PathBuf,
    /// Column of distance, hours or days [default: the first of two columns].
    #[arg(long, value_name = "COLUMN")]
    x: Option<String>,
    /// Column of readings [default: the second of two columns].
    #[arg(long, value_name = "COLUMN")]
    y: Option<String>,
    /// Limit of the reading.
    #[arg(long, value_name = "FIGURE", allow_hyphen_values = true)]
    limit: f64,
    /// Standard uncertainty of one reading; counts as good to 25 % (8 degrees of freedom).
    #[arg(long, value_name = "FIGURE")]
    uncertainty: Option<f64>,
    /// Rates of like vehicles per unit of x, nine in ten of them: `0.05 to 0.13`.
    #[arg(long, value_name = "RANGE")]
    usual_rate: Option<String>,
    /// What is read is nought when new.
    #[arg(long)]
    through_origin: bool,
    /// The logarithm of the reading goes straight, as of a growing crack.
    #[arg(long)]
    log_y: bool,
    #[command(flatten)]
    output: TrendOutputArguments,
}

impl TrendWearCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let table = load_table(&self.readings)?;
        let usual_rate =
            self.usual_rate.as_deref().map(|text| parse_range(text, "--usual-rate")).transpose()?;
        let answer = answer_wear(
            &table,
            &WearRequest {
                x: self.x,
                y: self.y,
                limit_y: self.limit,
                uncertainty_y: self.uncertainty,
                usual_rate,
                through_origin: self.through_origin,
                log_y: self.log_y,
                confidence_share: self.output.confidence,
            },
        )?;
        let names = PictureNames {
            title: &format!("{} to its limit", answer.y),
            x: &answer.x,
            y: &answer.y,
            level: "limit",
        };
        let text = words::format_wear(&answer, page_width());
        self.output.print_and_draw("trend-wear", &answer, &text, || draw_picture(&names, &answer.picture))
    }
}
