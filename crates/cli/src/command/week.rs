//! `traywright calendar`: all open visits on one calendar.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use crate::page_width::page_width;
use app::week::{WeekRequest, lay_out_week};
use clap::Args;

/// Lays all open visits onto one calendar: what to do next over all vehicles, when each is finished, who is late.
///
/// What is left of each plan is laid out in its order; while one vehicle waits, the other is worked on. Vehicles without a plan
/// are named and left out. Who holds the lift is not counted here.
#[derive(Debug, Args)]
pub struct CalendarCommand {
    /// Now, by the shop's clock.
    #[arg(long, value_name = "DATE")]
    now: String,
    /// When the shop opens.
    #[arg(long, default_value = "08:00", value_name = "TIME")]
    opens: String,
    /// Shop hours of a day.
    #[arg(long = "hours", value_name = "HOURS", default_value_t = 8.0)]
    open_h: f64,
    /// Working days of a week, from Monday.
    #[arg(long, default_value_t = 5)]
    days: u8,
    /// A day on which the shop is closed; may be given several times.
    #[arg(long, value_name = "DATE")]
    closed: Vec<String>,
    /// What a vehicle is promised for, by its letter: A=2027-03-03T17:00.
    #[arg(long, value_name = "LETTER=DATE")]
    promised: Vec<String>,
    /// Letter of a vehicle that goes before the others.
    #[arg(long, value_name = "LETTER")]
    first: Vec<String>,
    /// A part that has still to come, by the vehicle's letter and the part's key: A:water-pump=2027-03-03.
    #[arg(long, value_name = "LETTER:PART=DATE")]
    arrives: Vec<String>,
    /// A second pair of hands is there in shop hours.
    #[arg(long)]
    helper: bool,
    #[command(flatten)]
    journal: JournalArguments,
}

impl CalendarCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.read_workshop()?;
        let request = WeekRequest {
            now: self.now,
            opens: self.opens,
            open_h: self.open_h,
            days: self.days,
            closed: self.closed,
            promised: self.promised,
            first: self.first,
            arrives: self.arrives,
            has_helper: self.helper,
        };
        let answer = lay_out_week(&mut workshop, &request)?;
        print_answer(&answer.to_text(page_width().columns())).map(|()| CommandVerdict::Clean)
    }
}
