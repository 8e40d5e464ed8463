//! `traywright cart`: what lies on a cart of few places when.

use super::plan::Ask;
use crate::exit::{Failure, Verdict, print, print_json};
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Shows what lies on the cart when it has fewer places than the job needs pieces: before which steps to walk to which
/// cabinet, what to bring and take back, and which second pieces would save swapping.
///
/// Example: traywright cart --book demo/books/tern-24 --store demo/store --places 25
#[derive(Debug, Args)]
pub struct Cart {
    #[command(flatten)]
    ask: Ask,
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

impl Cart {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let (store, plan) = match &self.plan {
            Some(path) => (load::store(&self.ask.store)?, load::plan(path)?),
            None => {
                let (_, store, answer) = self.ask.answer()?;
                (store, answer.plan)
            }
        };
        let loaded = app::cart::load(&store, &plan, self.places, &self.walks)?;
        if let Some(first) = loaded.violations.first() {
            return Err(Failure::Internal(format!(
                "the judge refuses this loading: {first}; please report it"
            )));
        }
        if self.ask.json {
            print_json(&loaded.load)?;
        } else {
            print(&text::cart::cart(&loaded.load))?;
        }
        Ok(Verdict::Clean)
    }
}
