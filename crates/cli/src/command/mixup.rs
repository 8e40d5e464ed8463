//! `traywright mixup`: what a fastener does in the wrong hole.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::mix_up::{self, MixUpMatrixRequest, MixUpRequest};
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Shows what a fastener does in the hole of another one, or which swaps of a whole book do harm.
#[derive(Debug, Args)]
pub struct MixUpCommand {
    /// All swaps of this book that do harm: a file or a folder.
    #[arg(long, value_name = "PATH", conflicts_with_all = ["fastener", "instead_of", "clamped", "depth"])]
    book: Option<PathBuf>,
    /// With --book: only the holes of this fixing, by its key.
    #[arg(long, value_name = "KEY", requires = "book")]
    fixing: Option<String>,
    /// With --book: try fasteners from anywhere on the vehicle, not only those near by.
    #[arg(long, requires = "book")]
    anywhere: bool,
    /// The fastener that goes in: thread, length and class, `M6 x 30, 8.8`.
    #[arg(long, required_unless_present = "book")]
    fastener: Option<String>,
    /// The fastener that belongs there.
    #[arg(long, value_name = "FASTENER", required_unless_present = "book")]
    instead_of: Option<String>,
    /// Thickness clamped under the head.
    #[arg(long, value_name = "LENGTH", required_unless_present = "book", allow_hyphen_values = true)]
    clamped: Option<String>,
    /// Depth of usable thread from the joint face; without it a through hole.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    depth: Option<String>,
    /// Torque of the hole.
    #[arg(long, allow_hyphen_values = true)]
    torque: Option<String>,
    /// What the hole is tapped into: steel, grey-iron, cast-aluminium or plastic [default: steel].
    #[arg(long)]
    material: Option<String>,
    /// State of lubrication: dry, oiled, paste, thread-locker, sealant or unstated.
    #[arg(long, value_name = "STATE")]
    lubrication: Option<String>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl MixUpCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        if let Some(path) = &self.book {
            let matrix = mix_up::find_harmful_swaps(
                &load::load_book(path)?,
                &MixUpMatrixRequest { fixing: self.fixing, anywhere: self.anywhere },
            )?;
            return print_mix_up(
                "mixup-book",
                &matrix,
                &text::bolting_text::format_mix_up_matrix(&matrix, page_width()),
                self.json,
            );
        }
        let answer = mix_up::assess_mix_up(&MixUpRequest {
            fastener: self.fastener.unwrap_or_default(),
            instead_of: self.instead_of.unwrap_or_default(),
            clamped: self.clamped.unwrap_or_default(),
            depth: self.depth,
            torque: self.torque,
            material: self.material,
            lubrication: self.lubrication,
        })?;
        print_mix_up("mixup", &answer, &text::bolting_text::format_mix_up(&answer, page_width()), self.json)
    }
}

fn print_mix_up(
    command: &str,
    answer: &impl serde::Serialize,
    text: &str,
    json: bool,
) -> Result<CommandVerdict, CommandFailure> {
    if json {
        print_json(command, answer)?
    } else {
        print_answer(text)?
    }
    Ok(CommandVerdict::Clean)
}
