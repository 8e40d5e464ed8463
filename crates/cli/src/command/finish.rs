//! `traywright finish`: when the job will be done, and how sure that is.

use super::plan::PlanArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::finish::{self, FinishRequest, HelperAvailability};
use app::text;
use clap::Args;
use std::path::PathBuf;

/// Lays a plan onto the calendar: finish date with its spread, critical path, and what to do during each wait.
#[derive(Debug, Args)]
pub struct FinishCommand {
    #[command(flatten)]
    ask: PlanArguments,
    /// Start of the work; its time of day is when the shop opens.
    #[arg(long, value_name = "DATE", default_value = "2027-03-01T08:00")]
    start: String,
    /// Shop hours of a day.
    #[arg(long = "hours", value_name = "HOURS", default_value_t = 8.0)]
    open_h: f64,
    /// Working days of a week, from Monday.
    #[arg(long, default_value_t = 5)]
    days: u8,
    /// Share of the shop hours lost to telephone, customers and breaks, in percent; without it, 15 % are added to the work (assumption).
    #[arg(long = "interrupted", value_name = "PERCENT")]
    interrupted_percent: Option<f64>,
    /// A part, task or supply that is still to arrive: PART=2027-03-03; may be given several times.
    #[arg(long, value_name = "PART=DATE")]
    arrives: Vec<String>,
    /// A part that has to be tight soon after it is set in place: PART=20 min; may be given several times.
    #[arg(long, value_name = "PART=TIME")]
    within: Vec<String>,
    /// A second pair of hands is on call.
    #[arg(long)]
    helper: bool,
    /// Samples of the spread.
    #[arg(long, default_value_t = 10_000, value_parser = clap::value_parser!(u32).range(1..))]
    samples: u32,
    /// Also write the drawing of the spread into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
}

impl FinishCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let (book, store, answer) = self.ask.plan_and_judge()?;
        let request = FinishRequest {
            start: self.start,
            open_h: self.open_h,
            days: self.days,
            interrupted_percent: self.interrupted_percent,
            arrives: self.arrives,
            within: self.within,
            helper: if self.helper { HelperAvailability::OnCall } else { HelperAvailability::None },
            samples: self.samples,
            seed: answer.plan.asked.seed,
        };
        let line = ProgressLine::new();
        let made = finish::compute_finish(&book, &store, &answer.plan, &request, &line);
        line.clear_line();
        let made = made?;
        if let Some(first) = made.violations.first() {
            let words = format!(
                "the judge found {} in this calendar, the first: {first}",
                text::table::count_with_noun(made.violations.len(), "violation")
            );
            return Err(CommandFailure::own_fault(words));
        }
        if let Some(file) = &self.draw {
            finish::write_drawing(&made, file)?;
        }
        if self.ask.json {
            print_json("finish", &made)?
        } else {
            print_answer(&text::finish::format_finish(&made, page_width()))?
        }
        Ok(CommandVerdict::Clean)
    }
}
