//! `traywright workshop hours`, `helper`, `holiday`, `times`, and `visit promise`, `part`, `first`: what the calendar goes by.

use super::journal::JournalArguments;
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
    Times(ShopTimesCommand),
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
#[derive(Debug, Args)]
pub struct ShopHoursCommand {
    /// Days with their hours; once for days that are alike.
    #[arg(long, required = true, value_name = "DAYS HOURS")]
    hours: Vec<String>,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records when a second pair of hands is here, all of it.
#[derive(Debug, Args)]
pub struct HelperHoursCommand {
    /// Days with their hours; once for days that are alike.
    #[arg(long, required_unless_present = "none", conflicts_with = "none", value_name = "DAYS HOURS")]
    hours: Vec<String>,
    /// Nobody comes.
    #[arg(long)]
    none: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records what is added to planned times, and how much longer an engine takes that is new here.
///
/// Both scale what is shown and what the calendar lays out; the order of a plan does not change. What is not given stays as it is.
#[derive(Debug, Args)]
pub struct ShopTimesCommand {
    /// Personal needs, rest and short interruptions, in percent of the planned times; 15 where nobody has set it (assumption).
    #[arg(long, required_unless_present = "first_time", value_name = "PERCENT")]
    allowance: Option<String>,
    /// How many times as long the first job on an engine takes as later ones: 1 to 4; 1 where nobody has set it.
    #[arg(long, value_name = "FACTOR")]
    first_time: Option<String>,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records a day on which nobody works: a holiday, or a day lost.
#[derive(Debug, Args)]
pub struct HolidayCommand {
    /// The day.
    #[arg(long = "date", value_name = "DATE")]
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
#[derive(Debug, Args)]
pub struct PromiseVisitCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The date.
    #[arg(long, required_unless_present = "none", conflicts_with = "none", value_name = "DATE")]
    date: Option<String>,
    /// Nothing is promised any more.
    #[arg(long)]
    none: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records when a part comes that a visit waits for.
#[derive(Debug, Args)]
pub struct ExpectPartCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// Key of the part or the task, or the name of what was ordered.
    #[arg(long)]
    part: String,
    /// The day.
    #[arg(long, required_unless_present = "here", conflicts_with = "here", value_name = "DATE")]
    date: Option<String>,
    /// It is here.
    #[arg(long)]
    here: bool,
    #[command(flatten)]
    ending: DateArguments,
}

/// Records that a vehicle goes before the others.
#[derive(Debug, Args)]
pub struct VisitFirstCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// It goes first no longer.
    #[arg(long)]
    no: bool,
    #[command(flatten)]
    ending: DateArguments,
}

impl DateArguments {
    fn find_visit(&self, typed: &str) -> Result<VisitId, CommandFailure> {
        Ok(self.journal.read_workshop()?.find_visit(typed)?)
    }

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
        let record = ShopHoursRecord::of_workshop(&workshop);
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
            Self::Times(ShopTimesCommand { allowance, first_time, ending }) => {
                ending.say_of_shop("workshop times", WeekSaying::Times { allowance, first_time })
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
        let visit = self.ending.find_visit(&self.visit)?;
        let to = self.date.map_or(DateShift::Dropped, DateShift::To);
        let saying = WeekSaying::Promise { visit: visit.clone(), to };
        self.ending.say_of_visit("visit promise", &visit, saying)
    }
}

impl ExpectPartCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let visit = self.ending.find_visit(&self.visit)?;
        let day = self.date.map_or(ThingDay::Here, ThingDay::On);
        let saying = WeekSaying::Part { visit: visit.clone(), part: self.part, day };
        self.ending.say_of_visit("visit part", &visit, saying)
    }
}

impl VisitFirstCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let visit = self.ending.find_visit(&self.visit)?;
        let saying = WeekSaying::First { visit: visit.clone(), is_first: !self.no };
        self.ending.say_of_visit("visit first", &visit, saying)
    }
}
