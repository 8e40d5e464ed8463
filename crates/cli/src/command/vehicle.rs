//! `traywright vehicle`: the vehicles that were here, each with its claims and its visits.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::records::{VehicleListRecord, VehicleSummaryRecord};
use app::text;
use clap::{Args, Subcommand};

/// The vehicles that were here, each with what was claimed of it and the visits that it came for.
#[derive(Debug, Subcommand)]
pub enum VehicleCommand {
    /// Lists all vehicles.
    List {
        #[command(flatten)]
        journal: JournalArguments,
        /// Print the answer as JSON, for other programs.
        #[arg(long)]
        json: bool,
    },
    Show(ShowVehicleCommand),
}

/// Shows one vehicle with all its claims.
#[derive(Debug, Args)]
pub struct ShowVehicleCommand {
    /// The vehicle: its id or its name, as `vehicle list` shows them.
    vehicle: String,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl VehicleCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        match self {
            Self::List { journal, json } => {
                let workshop = journal.read_workshop()?;
                let list = VehicleListRecord::of_vehicles(&workshop.list_vehicles()?, workshop.record());
                if json {
                    print_json("vehicle-list", &list)?;
                } else {
                    print_answer(&text::vehicle::format_vehicles(&list))?;
                }
            }
            Self::Show(show) => {
                let workshop = show.journal.read_workshop()?;
                let known = workshop.vehicle(&workshop.find_vehicle(&show.vehicle)?)?;
                let vehicle = VehicleSummaryRecord::of_vehicle(&known, workshop.record());
                if show.json {
                    print_json("vehicle-show", &vehicle)?;
                } else {
                    print_answer(&text::vehicle::format_vehicle(&vehicle))?;
                }
            }
        }
        Ok(CommandVerdict::Clean)
    }
}
