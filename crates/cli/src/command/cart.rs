//! `traywright cart`: what lies on a cart of few places when.

use super::plan::PlanArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Shows what lies on the cart when it has fewer places than the job needs pieces: before which steps to walk to which
/// cabinet, what to bring and take back, and which second pieces would save swapping.
#[derive(Debug, Args)]
pub struct CartCommand {
    #[command(flatten)]
    ask: PlanArguments,
    /// Take this plan, as `traywright plan --json` printed it, instead of planning again.
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// Places on the cart; without it the number that the store gives.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    places: Option<u16>,
    /// Seconds of a walk to a cabinet, there and back; may be given several times [default: 12 each].
    #[arg(long = "walk", value_name = "CABINET=SECONDS")]
    walks: Vec<String>,
}

impl CartCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let (store, plan) = match &self.plan {
            Some(path) => (load::load_store(&self.ask.store)?, load::load_plan(path)?),
            None => {
                let (_, store, answer) = self.ask.plan_and_judge()?;
                (store, answer.plan)
            }
        };
        let loaded = app::cart_loading::load_judged_cart(&store, &plan, self.places, &self.walks)?;
        if let Some(first) = loaded.violations.first() {
            let words = format!("the judge rejects this loading: {first}; please report it");
            return Err(CommandFailure::own_fault(words));
        }
        if self.ask.json {
            print_json("cart", &loaded.load)?;
        } else {
            print_answer(&text::cart_text::format_cart(&loaded.load, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
