//! `traywright preload`: how hard a joint clamps.

use super::friction::FrictionArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::pictures;
use app::bolting_answers::preload::{self, PreloadRequest};
use app::{text, write};
use clap::Args;
use std::path::PathBuf;

/// Shows preload and torque of a bolt at a share of yield, or the preload that a torque makes.
///
/// The long form of VDI 2230. Without a coefficient of friction the answer is a range. The maker's figure wins.
#[derive(Debug, Args)]
pub struct PreloadCommand {
    /// Thread: `M8`, `M10x1.25`, `3/8-16 UNC`.
    #[arg(long)]
    thread: String,
    /// Property class: `8.8`, `10.9`, `A2-70`, `SAE 5`; may be left out with --torque.
    #[arg(long)]
    class: Option<String>,
    #[command(flatten)]
    friction: FrictionArguments,
    /// Share of yield under tension and torsion together [default: 90 %].
    #[arg(long, allow_hyphen_values = true)]
    share: Option<String>,
    /// Give the preload that this torque makes, instead of a share of yield.
    #[arg(long, conflicts_with = "share", allow_hyphen_values = true)]
    torque: Option<String>,
    /// Running torque of a self-locking nut or screw; it makes no preload.
    #[arg(long, value_name = "TORQUE", allow_hyphen_values = true)]
    prevailing: Option<String>,
    /// Form of the head: hexagon, hexagon-on-washer, flange, small-flange, cylinder or countersunk [default: hexagon].
    #[arg(long)]
    head: Option<String>,
    /// Mean diameter of the bearing face, instead of a form of head.
    #[arg(long, value_name = "LENGTH", conflicts_with = "head", allow_hyphen_values = true)]
    bearing: Option<String>,
    /// Diameter of a waisted shank, where the bolt has one.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    waist: Option<String>,
    /// Diameter of a hole along the axis, where the bolt is hollow.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    bore: Option<String>,
    /// Edition of VDI 2230: `2001` (and later) or `1986` [default: 2001].
    #[arg(long)]
    edition: Option<String>,
    /// Also draw the preload beside its limits into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    draw: Option<PathBuf>,
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
            waist: self.waist,
            bore: self.bore,
            edition: self.edition,
        })?;
        if let Some(path) = self.draw {
            write::write_files(&[(path, pictures::draw_preload_answer(&answer))])?;
        }
        if self.json {
            print_json("preload", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_preload(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
