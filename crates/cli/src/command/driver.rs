//! `traywright driver`: a power driver's clutch, from readings kept in a file.

use crate::exit::{Failure, Verdict, print, print_json};
use app::bolting::driver::{self, AddAsked, ShowAsked, StepAsked};
use app::{demo, text};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// A power driver's clutch: readings kept in a .csv file, what each step does, and the step for a torque.
///
/// The file has one line a run-down: driver, joint, step, torque with its unit, fastener, date, use. Read the torque with a
/// wrench, each time on a fresh fastener. The maker's figure wins, and a critical fastener is finished with the wrench.
#[derive(Debug, Subcommand)]
pub enum Driver {
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
    },
    /// Shows what each step does, and whether the calibration still holds.
    Show {
        #[command(flatten)]
        of: Of,
    },
    /// Shows the step that stays below a wanted torque, and where the wrench takes over.
    Step {
        #[command(flatten)]
        of: Of,
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
pub struct Of {
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

impl Of {
    fn asked(&self) -> ShowAsked {
        ShowAsked { driver: self.driver.clone(), joint: self.joint.clone() }
    }

    fn show(&self, answer: &impl serde::Serialize, text: &str, drawing: String) -> Result<Verdict, Failure> {
        if let Some(path) = &self.draw {
            demo::write_files(&[(path.clone(), drawing)])?;
        }
        if self.json {
            print_json(answer)?
        } else {
            print(text)?
        }
        Ok(Verdict::Clean)
    }
}

impl Driver {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        match self {
            Self::Add { readings, driver, joint, step, torques, date, check } => {
                let asked = AddAsked { driver, joint, step, torques, date, check };
                let lines = driver::add(&readings, &asked)?;
                print(&format!("added to {}: {} readings\n", readings.display(), lines.len()))?;
                Ok(Verdict::Clean)
            }
            Self::Show { of } => {
                let answer = driver::show(&of.readings, &of.asked())?;
                of.show(&answer, &text::bolting::driver(&answer), driver::drawing(&answer, None))
            }
            Self::Step { of, torque, allowed, plain, wrench_error } => {
                let asked = StepAsked { of: of.asked(), torque, allowed, plain, wrench_error };
                let answer = driver::step(&of.readings, &asked)?;
                let drawing = driver::drawing(&answer.calibration, Some(answer.torque_n_m));
                of.show(&answer, &text::bolting::driver_step(&answer), drawing)
            }
        }
    }
}
