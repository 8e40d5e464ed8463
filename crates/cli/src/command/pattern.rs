//! `traywright pattern`: the order in which holes go tight.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::pattern::{self, PatternRequest};
use app::{text, write};
use clap::Args;
use std::path::PathBuf;

/// Shows in which order the fasteners of a joint are tightened, and to which figure in each pass.
///
/// The order follows from the positions of the holes, never from their names: criss-cross where they lie in a
/// ring, otherwise from the centre outwards. The maker's sequence wins.
#[derive(Debug, Args)]
pub struct PatternCommand {
    /// A .csv file with rows `label, x, y`; `BOOK:fixing`; or points `x,y x,y …`; bare numbers are millimetres.
    #[arg(long, allow_hyphen_values = true)]
    holes: String,
    /// `auto`, `criss-cross`, `from-centre`, or the labels in their order [default: the book's, else auto].
    #[arg(long)]
    order: Option<String>,
    /// Passes: shares `30/60/100` or figures `10 N·m/24 N·m/90°` [default: the book's, else 30/60/100].
    #[arg(long)]
    stages: Option<String>,
    /// Final torque that shares are taken of.
    #[arg(long, allow_hyphen_values = true)]
    torque: Option<String>,
    /// A gasket lies in the joint.
    #[arg(long)]
    gasket: bool,
    /// Also draw the holes into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl PatternCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let Self { holes, order, stages, torque, gasket, draw, json } = self;
        let answer =
            pattern::compute_tightening_order(&PatternRequest { holes, order, stages, torque, gasket })?;
        if let Some(path) = draw {
            write::write_files(&[(path, pattern::draw_tightening_pattern(&answer))])?;
        }
        if json {
            print_json("pattern", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_pattern(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
