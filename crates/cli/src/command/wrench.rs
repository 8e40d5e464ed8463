//! `traywright wrench`: what to set a torque wrench to.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::bolting_answers::wrench::{self, WrenchRequest};
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Shows what to set a torque wrench to, behind a crow-foot or an offset extension at any angle.
///
/// An extension in line with the fastener changes nothing. Lengths are measured from the middle of the grip to the
/// square, and from the square to the fastener. The maker's figure wins.
///
/// Example: traywright wrench --torque "135 lbf·in" --length "10 in" --offset "1.5 in" --angle "180°"
#[derive(Debug, Args)]
pub struct WrenchCommand {
    /// Torque wanted at the fastener: `9 N·m`, `80 lbf·in`.
    #[arg(long)]
    torque: String,
    /// From the middle of the grip to the wrench's square.
    #[arg(long)]
    length: Option<String>,
    /// From the wrench's square to the fastener.
    #[arg(long, value_name = "LENGTH")]
    offset: Option<String>,
    /// Angle between wrench and adapter: 0° straight ahead, 90° across, 180° folded back [default: 0°].
    #[arg(long, allow_hyphen_values = true)]
    angle: Option<String>,
    /// Step of the wrench's scale; the setting is rounded to it.
    #[arg(long, value_name = "TORQUE")]
    scale: Option<String>,
    /// Full scale of the wrench, to see whether the setting lies in its usable range.
    #[arg(long, value_name = "TORQUE")]
    full_scale: Option<String>,
    /// Angle of a universal joint between wrench and fastener; may be given several times.
    #[arg(long = "joint", value_name = "ANGLE")]
    joints: Vec<String>,
    /// Choose among the torque wrenches of this store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: Option<PathBuf>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl WrenchCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let store = self.store.as_deref().map(load::load_store).transpose()?;
        let asked = WrenchRequest {
            torque: self.torque,
            length: self.length,
            offset: self.offset,
            angle: self.angle,
            scale: self.scale,
            full_scale: self.full_scale,
            joints: self.joints,
        };
        let answer = wrench::compute_wrench_setting(&asked, store.as_ref())?;
        if self.json {
            print_json("wrench", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_wrench(&answer))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
