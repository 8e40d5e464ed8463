//! `traywright calendar`: all open visits on one calendar.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::records::CalendarRecord;
use app::text::week::format_day;
use app::week::{WeekRequest, lay_out_week, local_now};
use clap::Args;

/// Lays all open visits onto one calendar: what to do next over all vehicles, when each is finished, who is late, who waits for the lift.
///
/// What is left of each plan is laid out in its order; while one vehicle waits, the other is worked on. Vehicles without a plan
/// are named and left out. Hours, holidays, promises, parts to come and who goes first are those of the journal (`workshop hours`,
/// `visit promise` and their neighbours); what is given here counts before them and is not written down.
#[derive(Debug, Args)]
pub struct CalendarCommand {
    /// Now, by the shop's clock; without it, by this computer's.
    #[arg(long, value_name = "DATE")]
    now: Option<String>,
    /// When the shop opens.
    #[arg(long, value_name = "TIME")]
    opens: Option<String>,
    /// Shop hours of a day.
    #[arg(long = "hours", value_name = "HOURS")]
    open_h: Option<f64>,
    /// Working days of a week, from Monday.
    #[arg(long)]
    days: Option<u8>,
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
    /// The sheet of the day alone: what is to do by the clock, what comes, what is promised, how the vehicles stand overnight.
    #[arg(long)]
    today: bool,
    /// A second pair of hands is there in shop hours.
    #[arg(long)]
    helper: bool,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl CalendarCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.read_workshop()?;
        let request = WeekRequest {
            now: self.now.unwrap_or_else(local_now),
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
        if self.json {
            print_json("calendar", &CalendarRecord::of_answer(&answer))?;
        } else if self.today {
            print_answer(&format_day(&answer, page_width()))?;
        } else {
            print_answer(&answer.to_text(page_width().columns()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
