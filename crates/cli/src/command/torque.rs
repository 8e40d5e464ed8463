//! `traywright torque`: the torque for a wanted preload.

use super::friction::FrictionArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::torque::{self, TorqueRequest};
use app::text;
use clap::Args;

/// Shows the torque that makes a wanted preload, or a wanted share of the proof load.
///
/// The long form of VDI 2230, or the short form where --factor is given. Without a coefficient of friction the answer is
/// a range. The maker's figure wins.
#[derive(Debug, Args)]
pub struct TorqueCommand {
    /// Thread: `M8`, `M10x1.25`, `3/8-16 UNC`.
    #[arg(long)]
    thread: String,
    /// Property class: `8.8`, `10.9`, `A2-70`, `SAE 5`; needed with --proof.
    #[arg(long)]
    class: Option<String>,
    /// Preload wanted: `20 kN`.
    #[arg(long, value_name = "FORCE", conflicts_with = "proof", allow_hyphen_values = true)]
    preload: Option<String>,
    /// Share of the proof load wanted: `75 %`.
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    proof: Option<String>,
    #[command(flatten)]
    friction: FrictionArguments,
    /// Factor K of the short form T = K·d·F, instead of friction: `0.2`.
    #[arg(long, value_name = "K", allow_hyphen_values = true)]
    factor: Option<String>,
    /// Running torque of a self-locking nut or screw; it is added.
    #[arg(long, value_name = "TORQUE", allow_hyphen_values = true)]
    prevailing: Option<String>,
    /// Form of the head: hexagon, hexagon-on-washer, flange, small-flange, cylinder or countersunk [default: hexagon].
    #[arg(long)]
    head: Option<String>,
    /// Mean diameter of the bearing face, instead of a form of head.
    #[arg(long, value_name = "LENGTH", conflicts_with = "head", allow_hyphen_values = true)]
    bearing: Option<String>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl TorqueCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let answer = torque::compute_torque(&TorqueRequest {
            thread: self.thread,
            class: self.class,
            preload: self.preload,
            proof: self.proof,
            friction: self.friction.friction,
            friction_head: self.friction.friction_head,
            lubrication: self.friction.lubrication,
            surface: self.friction.surface,
            factor: self.factor,
            prevailing: self.prevailing,
            head: self.head,
            bearing: self.bearing,
        })?;
        if self.json {
            print_json("torque", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_torque(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
