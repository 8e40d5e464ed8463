//! `traywright driver`: a power driver's clutch, from readings kept in the workshop's journal or read from a file.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::driver::readings::{self, ReadingLine};
use app::bolting_answers::driver::{self, AddReadingsRequest, CalibrationRequest, ClutchStepRequest};
use app::record::workshop::DriverReading;
use app::records::KeptReadingsRecord;
use app::workshop::Workshop;
use app::{text, write};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// A power driver's clutch: readings kept in the journal, what each step does, and the step for a torque.
///
/// Read the torque with a wrench, each time on a fresh fastener. The maker's figure wins, and a critical fastener is finished
/// with the wrench. Readings from a spreadsheet come in with `driver import`.
#[derive(Debug, Subcommand)]
pub enum DriverCommand {
    /// Keeps readings in the journal.
    Add {
        /// The driver, as you call it.
        #[arg(long)]
        driver: String,
        /// The kind of joint: `M6 into aluminium, dry`.
        #[arg(long)]
        joint: String,
        /// Clutch step.
        #[arg(long)]
        step: String,
        /// Torque that the wrench read; may be given several times, each for a fresh fastener.
        #[arg(long = "torque", value_name = "TORQUE", required = true, allow_hyphen_values = true)]
        torques: Vec<String>,
        /// Day on which it was read, as 2026-03-14 [default: today].
        #[arg(long, value_name = "DATE")]
        date: Option<String>,
        /// The readings check an older calibration instead of adding to it.
        #[arg(long)]
        check: bool,
        #[command(flatten)]
        journal: JournalArguments,
        /// Print the answer as JSON, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Keeps the readings of a .csv file in the journal; those that are there already are left.
    ///
    /// The file has one line per run-down: driver, joint, step, torque with its unit, fastener, date, use.
    Import {
        /// The .csv file of readings.
        #[arg(long, value_name = "FILE")]
        readings: PathBuf,
        #[command(flatten)]
        journal: JournalArguments,
        /// Print the answer as JSON, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Shows what each step does, and whether the calibration still holds.
    Show {
        #[command(flatten)]
        of: CalibrationArguments,
    },
    /// Shows the step that stays below a wanted torque, and where the wrench takes over.
    Step {
        #[command(flatten)]
        of: CalibrationArguments,
        /// Torque wanted at the fastener.
        #[arg(long, allow_hyphen_values = true)]
        torque: String,
        /// Range that the maker allows: `4.5 to 5.5 N·m`.
        #[arg(long, value_name = "RANGE", allow_hyphen_values = true)]
        allowed: Option<String>,
        /// The fastener is not critical; without this option it counts as critical.
        #[arg(long)]
        plain: bool,
        /// Permitted error of the wrench that read the torques [default: 4 %].
        #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
        wrench_error: Option<String>,
    },
}

/// Which calibration, and how it is shown.
#[derive(Debug, Args)]
pub struct CalibrationArguments {
    /// A .csv file of readings, in the place of those in the journal.
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
    #[command(flatten)]
    journal: JournalArguments,
    /// The driver; may be left out where there is but one.
    #[arg(long)]
    driver: Option<String>,
    /// The kind of joint; may be left out where the driver has only one.
    #[arg(long)]
    joint: Option<String>,
    /// Day on which it is asked, as 2026-10-01, for the age of the readings [default: today].
    #[arg(long, value_name = "DATE")]
    now: Option<String>,
    /// Also draw the plot into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl CalibrationArguments {
    /// The readings of the file that is named, else those of the journal.
    fn reading_lines(&self) -> Result<Vec<ReadingLine>, CommandFailure> {
        match &self.readings {
            Some(file) => Ok(readings::load_readings(file)?),
            None => {
                let workshop = self.journal.read_workshop()?;
                Ok(workshop.driver_readings().map(ReadingLine::of_kept_reading).collect())
            }
        }
    }

    fn calibration_asked(&self) -> CalibrationRequest {
        CalibrationRequest { driver: self.driver.clone(), joint: self.joint.clone(), today: self.now.clone() }
    }

    fn print_and_draw(
        &self,
        command: &str,
        answer: &impl serde::Serialize,
        text: &str,
        drawing: String,
    ) -> Result<CommandVerdict, CommandFailure> {
        if let Some(path) = &self.draw {
            write::write_files(&[(path.clone(), drawing)])?;
        }
        if self.json {
            print_json(command, answer)?
        } else {
            print_answer(text)?
        }
        Ok(CommandVerdict::Clean)
    }
}

impl DriverCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        match self {
            Self::Add { driver, joint, step, torques, date, check, journal, json } => {
                let asked = AddReadingsRequest { driver, joint, step, torques, date, check };
                let given = driver::check_readings(&asked)?;
                let mut workshop = journal.open_or_make_workshop("driver add")?;
                let fresh = readings::number_fresh_readings(workshop.driver_readings(), &given);
                keep_readings(&mut workshop, "driver-add", fresh, json)
            }
            Self::Import { readings: file, journal, json } => {
                let read = readings::import_readings(&file)?;
                keep_readings(
                    &mut journal.open_or_make_workshop("driver import")?,
                    "driver-import",
                    read,
                    json,
                )
            }
            Self::Show { of } => {
                let answer = driver::show_calibration(&of.reading_lines()?, &of.calibration_asked())?;
                of.print_and_draw(
                    "driver-show",
                    &answer,
                    &text::bolting_text::format_calibration(&answer, page_width()),
                    driver::draw_calibration(&answer, None),
                )
            }
            Self::Step { of, torque, allowed, plain, wrench_error } => {
                let asked =
                    ClutchStepRequest { of: of.calibration_asked(), torque, allowed, plain, wrench_error };
                let answer = driver::find_clutch_step(&of.reading_lines()?, &asked)?;
                let drawing = driver::draw_calibration(&answer.calibration, Some(answer.torque_n_m));
                of.print_and_draw(
                    "driver-step",
                    &answer,
                    &text::bolting_text::format_clutch_step(&answer, page_width()),
                    drawing,
                )
            }
        }
    }
}

/// Keeps readings, those that are there already left, and says how many are new.
fn keep_readings(
    workshop: &mut Workshop,
    command: &str,
    readings: Vec<DriverReading>,
    json: bool,
) -> Result<CommandVerdict, CommandFailure> {
    let all = readings.len();
    let device = workshop.device().clone();
    let new = workshop.keep_driver_readings(&device, readings, true)?;
    let record = KeptReadingsRecord { kept: new, already_there: all - new };
    if json {
        print_json(command, &record)?;
    } else {
        let kept = text::table::count_with_noun(new, "reading");
        print_answer(&format!("{kept} kept, {} already there\n", record.already_there))?;
    }
    Ok(CommandVerdict::Clean)
}
