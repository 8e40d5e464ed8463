//! `traywright strip-margin`: what gives way first, bolt or thread.

use super::friction::FrictionArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::bolting_answers::strip_margin::{self, StripMarginRequest};
use app::text;
use clap::Args;

/// Shows whether the bolt breaks before a thread strips, the length needed for it, and the torque at which it strips.
///
/// Shear areas of FED-STD-H28/2B. The maker's figure wins.
#[derive(Debug, Args)]
pub struct StripMarginCommand {
    /// Thread: `M8`, `M10x1.25`, `3/8-16 UNC`.
    #[arg(long)]
    thread: String,
    /// Property class of the bolt: `8.8`.
    #[arg(long)]
    class: String,
    /// Length of thread engaged.
    #[arg(long, visible_alias = "length", value_name = "LENGTH", allow_hyphen_values = true)]
    engagement: String,
    /// What the hole is tapped into: steel, grey-iron, cast-aluminium or plastic.
    #[arg(long)]
    material: String,
    /// Length of a wire insert in the hole, instead of bare threads.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    insert: Option<String>,
    /// Torque that the joint is tightened to.
    #[arg(long, allow_hyphen_values = true)]
    torque: Option<String>,
    #[command(flatten)]
    friction: FrictionArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl StripMarginCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let answer = strip_margin::compute_strip_margin(&StripMarginRequest {
            thread: self.thread,
            class: self.class,
            engagement: self.engagement,
            material: self.material,
            insert: self.insert,
            torque: self.torque,
            friction: self.friction.friction,
            friction_head: self.friction.friction_head,
            lubrication: self.friction.lubrication,
            surface: self.friction.surface,
        })?;
        if self.json {
            print_json("strip-margin", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_strip_margin(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
