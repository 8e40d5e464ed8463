//! `traywright driver`: a power driver's clutch, from readings kept in a file.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::bolting_answers::driver::{self, AddReadingsRequest, CalibrationRequest, ClutchStepRequest};
use app::records::AddedReadingsRecord;
use app::{text, write};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// A power driver's clutch: readings kept in a .csv file, what each step does, and the step for a torque.
///
/// The file has one line a run-down: driver, joint, step, torque with its unit, fastener, date, use. Read the torque with a
/// wrench, each time on a fresh fastener. The maker's figure wins, and a critical fastener is finished with the wrench.
#[derive(Debug, Subcommand)]
pub enum DriverCommand {
    /// Adds readings to the file, or begins it.
    Add {
        /// The file of readings.
        #[arg(long, value_name = "FILE")]
        readings: PathBuf,
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
        #[arg(long = "torque", value_name = "TORQUE", required = true)]
        torques: Vec<String>,
        /// Day, as 2026-03-14 [default: today].
        #[arg(long)]
        date: Option<String>,
        /// They check an older calibration instead of adding to it.
        #[arg(long)]
        check: bool,
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
        #[arg(long)]
        torque: String,
        /// What the maker allows it to be: `4.5 to 5.5 N·m`.
        #[arg(long, value_name = "RANGE")]
        allowed: Option<String>,
        /// Nothing hangs on the fastener; without this it counts as critical.
        #[arg(long)]
        plain: bool,
        /// Permitted error of the wrench that read the torques [default: 4 %].
        #[arg(long, value_name = "SHARE")]
        wrench_error: Option<String>,
    },
}

/// Which calibration, and how it is shown.
#[derive(Debug, Args)]
pub struct CalibrationArguments {
    /// The file of readings.
    #[arg(long, value_name = "FILE")]
    readings: PathBuf,
    /// The driver; may be left out where the file has but one.
    #[arg(long)]
    driver: Option<String>,
    /// The kind of joint; may be left out where the driver has but one.
    #[arg(long)]
    joint: Option<String>,
    /// Also draw the plot into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl CalibrationArguments {
    fn calibration_asked(&self) -> CalibrationRequest {
        CalibrationRequest { driver: self.driver.clone(), joint: self.joint.clone() }
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
            Self::Add { readings, driver, joint, step, torques, date, check, json } => {
                let asked = AddReadingsRequest { driver, joint, step, torques, date, check };
                let lines = driver::add_readings(&readings, &asked)?;
                if json {
                    print_json("driver-add", &AddedReadingsRecord { file: readings, added: lines.len() })?
                } else {
                    print_answer(&format!("added to {}: {} readings\n", readings.display(), lines.len()))?
                }
                Ok(CommandVerdict::Clean)
            }
            Self::Show { of } => {
                let answer = driver::show_calibration(&of.readings, &of.calibration_asked())?;
                of.print_and_draw(
                    "driver-show",
                    &answer,
                    &text::bolting_text::format_calibration(&answer),
                    driver::draw_calibration(&answer, None),
                )
            }
            Self::Step { of, torque, allowed, plain, wrench_error } => {
                let asked =
                    ClutchStepRequest { of: of.calibration_asked(), torque, allowed, plain, wrench_error };
                let answer = driver::find_clutch_step(&of.readings, &asked)?;
                let drawing = driver::draw_calibration(&answer.calibration, Some(answer.torque_n_m));
                of.print_and_draw(
                    "driver-step",
                    &answer,
                    &text::bolting_text::format_clutch_step(&answer),
                    drawing,
                )
            }
        }
    }
}
