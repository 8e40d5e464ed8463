//! `traywright licences`: the licences of the program and of the typefaces that it carries.

use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use app::text::paper::format_licences;
use clap::Args;

/// Shows the licences of the program and of the typefaces that it carries, in full.
#[derive(Debug, Args)]
pub struct LicencesCommand {}

impl LicencesCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        print_answer(&format_licences()).map(|()| CommandVerdict::Clean)
    }
}
