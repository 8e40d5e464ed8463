//! `traywright wrench`: what to set a torque wrench to.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::pictures;
use app::bolting_answers::wrench::{self, WrenchRequest};
use app::{load, text, write};
use clap::Args;
use std::path::PathBuf;

/// Shows what to set a torque wrench to, behind a crow-foot or an offset extension at any angle.
///
/// An extension in line with the fastener changes nothing. Lengths are measured from the middle of the grip to the
/// square, and from the square to the fastener. The maker's figure wins.
#[derive(Debug, Args)]
pub struct WrenchCommand {
    /// Torque wanted at the fastener: `9 N·m`, `80 lbf·in`.
    #[arg(long, allow_hyphen_values = true)]
    torque: String,
    /// From the middle of the grip to the wrench's square.
    #[arg(long, allow_hyphen_values = true)]
    length: Option<String>,
    /// From the wrench's square to the fastener.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    offset: Option<String>,
    /// Angle between wrench and adapter: 0° straight ahead, 90° across, 180° folded back [default: 0°].
    #[arg(long, allow_hyphen_values = true)]
    angle: Option<String>,
    /// Step of the wrench's scale; the setting is rounded to it.
    #[arg(long, value_name = "TORQUE", allow_hyphen_values = true)]
    scale: Option<String>,
    /// Full scale of the wrench, to see whether the setting lies in its usable range.
    #[arg(long, value_name = "TORQUE", allow_hyphen_values = true)]
    full_scale: Option<String>,
    /// Angle of a universal joint between wrench and fastener; may be given several times.
    #[arg(long = "joint", value_name = "ANGLE", allow_hyphen_values = true)]
    joints: Vec<String>,
    /// Choose among the torque wrenches of this store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: Option<PathBuf>,
    /// Also draw wrench and adapter as seen from above into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
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
        if let Some(path) = self.draw {
            write::write_files(&[(path, pictures::draw_wrench_answer(&answer))])?;
        }
        if self.json {
            print_json("wrench", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_wrench(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}

#[cfg(test)]
mod tests {
    use super::WrenchCommand;
    use clap::Parser;

    #[derive(Debug, Parser)]
    struct WrenchLineArguments {
        #[command(flatten)]
        wrench: WrenchCommand,
    }

    /// A figure below zero is refused by us, with what to write, and not taken for an option.
    #[test]
    fn a_figure_below_zero_is_refused_in_our_own_words() {
        for (option, text) in [("--length", "-200 mm"), ("--offset", "-40 mm"), ("--scale", "-1 N·m")] {
            let given = [("--torque", "20 N·m"), ("--length", "200 mm"), ("--offset", "40 mm")];
            let kept = given.into_iter().filter(|(name, _)| *name != option);
            let words = kept.chain([(option, text)]).flat_map(|(name, value)| [name, value]);
            let read = WrenchLineArguments::try_parse_from(["wrench"].into_iter().chain(words));
            let failure = read.expect("it is no option").wrench.run_command().expect_err("it is below zero");
            let said = format!("{failure:?}");
            assert!(
                said.contains(option) && said.contains(text) && said.contains("not above zero"),
                "{said}"
            );
        }
    }
}
