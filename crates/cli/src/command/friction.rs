//! The options about friction that several commands share.

use clap::Args;

/// Friction of a joint: a coefficient or a surface.
#[derive(Debug, Args)]
pub struct FrictionArguments {
    /// Friction in the thread and under the head: `0.12` or `0.10 to 0.16`.
    #[arg(long, value_name = "MU", allow_hyphen_values = true)]
    pub friction: Option<String>,
    /// Friction under the head, where it differs.
    #[arg(long, value_name = "MU", allow_hyphen_values = true)]
    pub friction_head: Option<String>,
    /// State of lubrication instead of a coefficient: dry, oiled, paste, thread-locker, sealant or unstated; the answer
    /// is then a range.
    #[arg(long, value_name = "STATE")]
    pub lubrication: Option<String>,
    /// Surface of thread and head: steel, zinc, zinc-nickel, cadmium, stainless or light-alloy.
    #[arg(long)]
    pub surface: Option<String>,
}
