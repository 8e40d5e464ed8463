//! `traywright vehicle`: the vehicles that were here, each with its claims and its visits.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::evidence::export::vehicle_files;
use app::records::{VehicleListRecord, VehicleSummaryRecord};
use app::text;
use app::write;
use clap::{Args, Subcommand};
use std::path::PathBuf;

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
    Export(ExportVehicleCommand),
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

/// Writes a vehicle's record into a folder as tables that any spreadsheet reads: odometer, visits, readings, what was left, what falls due.
#[derive(Debug, Args)]
pub struct ExportVehicleCommand {
    /// The vehicle: its id, or its name.
    vehicle: String,
    /// Folder that the tables are written into; it is made where it is not there.
    #[arg(long, value_name = "FOLDER")]
    out: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
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
            Self::Export(export) => {
                let mut workshop = export.journal.read_workshop()?;
                let id = workshop.find_vehicle(&export.vehicle)?;
                let history = workshop.vehicle_history(&id)?;
                let files = vehicle_files(&history, &export.out);
                write::write_files(&files)?;
                let names: Vec<String> =
                    files.iter().map(|(path, _)| format!("  {}\n", path.display())).collect();
                print_answer(&format!("written:\n{}", names.concat()))?;
            }
        }
        Ok(CommandVerdict::Clean)
    }
}
