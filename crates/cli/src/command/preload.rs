//! `traywright preload`: how hard a joint clamps.

use super::friction::FrictionArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::bolting_answers::preload::{self, PreloadRequest};
use app::text;
use clap::Args;

/// Shows preload and torque of a bolt at a share of yield, or the preload that a torque makes.
///
/// The long form of VDI 2230. Without a coefficient of friction the answer is a range. The maker's figure wins.
///
/// Example: traywright preload --thread M10x1.25 --class 10.9 --friction 0.12
#[derive(Debug, Args)]
pub struct PreloadCommand {
    /// Thread: `M8`, `M10x1.25`, `3/8-16 UNC`.
    #[arg(long)]
    thread: String,
    /// Property class: `8.8`, `10.9`, `A2-70`; may be left out with --torque.
    #[arg(long)]
    class: Option<String>,
    #[command(flatten)]
    friction: FrictionArguments,
    /// Share of yield under tension and torsion together [default: 90 %].
    #[arg(long)]
    share: Option<String>,
    /// Give the preload that this torque makes, instead of a share of yield.
    #[arg(long, conflicts_with = "share")]
    torque: Option<String>,
    /// Running torque of a self-locking nut or screw; it makes no preload.
    #[arg(long, value_name = "TORQUE")]
    prevailing: Option<String>,
    /// Form of the head: hexagon, hexagon-on-washer, flange, small-flange, cylinder or countersunk [default: hexagon].
    #[arg(long)]
    head: Option<String>,
    /// Mean diameter of the bearing face, instead of a form of head.
    #[arg(long, value_name = "LENGTH", conflicts_with = "head")]
    bearing: Option<String>,
    /// Edition of VDI 2230: `2001` (and later) or `1986` [default: 2001].
    #[arg(long)]
    edition: Option<String>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl PreloadCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let answer = preload::compute_preload(&PreloadRequest {
            thread: self.thread,
            class: self.class,
            friction: self.friction.friction,
            friction_head: self.friction.friction_head,
            lubrication: self.friction.lubrication,
            surface: self.friction.surface,
            share: self.share,
            torque: self.torque,
            prevailing: self.prevailing,
            head: self.head,
            bearing: self.bearing,
            edition: self.edition,
        })?;
        if self.json {
            print_json("preload", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_preload(&answer))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
