//! `traywright workshop hours`, `helper`, `holiday`, and `visit promise`, `part`, `first`: what the calendar goes by.

use super::journal::{JournalArguments, parse_visit_id};
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::records::{ShopHoursRecord, VisitDatesRecord};
use app::week::{DateShift, ThingDay, WeekSaying, local_now, parse_stretches};
use app::workshop::{VisitId, Workshop};
use clap::{Args, Subcommand};

/// The workshop: when it is open, and when a second pair of hands is here.
#[derive(Debug, Subcommand)]
pub enum WorkshopSubcommand {
    Hours(ShopHoursCommand),
    Helper(HelperHoursCommand),
    Holiday(HolidayCommand),
}

/// Where it is kept, what day it is, and how the answer is printed.
#[derive(Debug, Args)]
pub struct DateArguments {
    #[command(flatten)]
    journal: JournalArguments,
    /// Now, by the shop's clock; without it, by this computer's.
    #[arg(long, value_name = "DATE")]
    now: Option<String>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Records when the shop is open, all of it; the calendar goes by it from now on.
///
/// Example: traywright workshop hours "Mon-Fri 08:00-12:00 12:30-16:30" "Sat 09:00-12:00"
#[derive(Debug, Args)]
pub struct ShopHoursCommand {
    /// Days with their hours, one argument for days that are alike.
    #[arg(required = true, value_name = "DAYS HOURS")]
    hours: Vec<String>,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records when a second pair of hands is here, all of it.
///
/// Example: traywright workshop helper "Tue,Thu 14:00-16:00"
#[derive(Debug, Args)]
pub struct HelperHoursCommand {
    /// Days with their hours, one argument for days that are alike.
    #[arg(required_unless_present = "none", conflicts_with = "none", value_name = "DAYS HOURS")]
    hours: Vec<String>,
    /// Nobody comes.
    #[arg(long)]
    none: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records a day on which nobody works: a holiday, or a day lost.
///
/// Example: traywright workshop holiday 2027-03-05 --why "day lost"
#[derive(Debug, Args)]
pub struct HolidayCommand {
    /// The day.
    #[arg(value_name = "DATE")]
    day: String,
    /// Why.
    #[arg(long, default_value = "closed", value_name = "TEXT")]
    why: String,
    /// Work goes on on that day after all.
    #[arg(long)]
    drop: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records what a vehicle is promised for.
///
/// A day alone means closing time.
///
/// Example: traywright visit promise VISIT 2027-03-03T17:00
#[derive(Debug, Args)]
pub struct PromiseVisitCommand {
    /// Id of the visit.
    visit: String,
    /// The date.
    #[arg(required_unless_present = "none", conflicts_with = "none", value_name = "DATE")]
    date: Option<String>,
    /// Nothing is promised any more.
    #[arg(long)]
    none: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records when a part comes that a visit waits for.
///
/// Example: traywright visit part VISIT water-pump 2027-03-03
#[derive(Debug, Args)]
pub struct ExpectPartCommand {
    /// Id of the visit.
    visit: String,
    /// Key of the part or the task, or the name of what was ordered.
    part: String,
    /// The day.
    #[arg(required_unless_present = "here", conflicts_with = "here", value_name = "DATE")]
    date: Option<String>,
    /// It is here.
    #[arg(long)]
    here: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records that a vehicle goes before the others.
///
/// Example: traywright visit first VISIT
#[derive(Debug, Args)]
pub struct VisitFirstCommand {
    /// Id of the visit.
    visit: String,
    /// It goes first no longer.
    #[arg(long)]
    no: bool,
    #[command(flatten)]
    ending: DateArguments,
}

impl DateArguments {
    /// Writes what is said.
    fn say(&self, command: &str, saying: WeekSaying) -> Result<Workshop, CommandFailure> {
        let mut workshop = self.journal.change_workshop(command)?;
        let device = workshop.device().clone();
        let now = self.now.clone().unwrap_or_else(local_now);
        workshop.say_of_week(&device, saying, &now)?;
        Ok(workshop)
    }

    fn say_of_shop(&self, command: &str, saying: WeekSaying) -> Result<CommandVerdict, CommandFailure> {
        let workshop = self.say(command, saying)?;
        let record = ShopHoursRecord::of_workshop(workshop.record());
        if self.json {
            print_json("workshop-hours", &record)?;
        } else {
            print_answer(&record.to_text())?;
        }
        Ok(CommandVerdict::Clean)
    }

    fn say_of_visit(
        &self,
        command: &str,
        visit: &VisitId,
        saying: WeekSaying,
    ) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.say(command, saying)?;
        let record = VisitDatesRecord::of_dates(visit, &workshop.dates_of_visit(visit)?);
        if self.json {
            print_json("visit-dates", &record)?;
        } else {
            print_answer(&record.to_text())?;
        }
        Ok(CommandVerdict::Clean)
    }
}

impl WorkshopSubcommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let stretches = |lines: &[String]| parse_stretches(lines.iter().map(String::as_str));
        match self {
            Self::Hours(hours) => {
                let saying = WeekSaying::Hours(stretches(&hours.hours)?);
                hours.ending.say_of_shop("workshop hours", saying)
            }
            Self::Helper(helper) => {
                let saying = WeekSaying::HelperHours(stretches(&helper.hours)?);
                helper.ending.say_of_shop("workshop helper", saying)
            }
            Self::Holiday(HolidayCommand { day, why, drop, ending }) => {
                let saying = if drop { WeekSaying::Opened { day } } else { WeekSaying::Closed { day, why } };
                ending.say_of_shop("workshop holiday", saying)
            }
        }
    }
}

impl PromiseVisitCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let visit = parse_visit_id(&self.visit)?;
        let to = self.date.map_or(DateShift::Dropped, DateShift::To);
        let saying = WeekSaying::Promise { visit: visit.clone(), to };
        self.ending.say_of_visit("visit promise", &visit, saying)
    }
}

impl ExpectPartCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let visit = parse_visit_id(&self.visit)?;
        let day = self.date.map_or(ThingDay::Here, ThingDay::On);
        let saying = WeekSaying::Part { visit: visit.clone(), part: self.part, day };
        self.ending.say_of_visit("visit part", &visit, saying)
    }
}

impl VisitFirstCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let visit = parse_visit_id(&self.visit)?;
        let saying = WeekSaying::First { visit: visit.clone(), is_first: !self.no };
        self.ending.say_of_visit("visit first", &visit, saying)
    }
}
