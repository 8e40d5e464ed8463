//! `traywright kit`: what lies on the cart, and what lies between the three ways of choosing it.

use super::plan::Ask;
use crate::exit::{Failure, Verdict, print, print_json};
use crate::progress::Line;
use app::{ask, load, text};
use clap::Args;

/// Shows what has to lie on the cart for the tasks.
///
/// Example: traywright kit --book demo/books/tern-24 --store demo/store --trade-off
#[derive(Debug, Args)]
pub struct Kit {
    #[command(flatten)]
    ask: Ask,
    /// Show every kit that no other beats in pieces to buy, pieces to carry and hands-on time together.
    #[arg(long, conflicts_with = "objective")]
    trade_off: bool,
}

impl Kit {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        if self.trade_off {
            return self.run_trade_off();
        }
        let (_, _, answer) = self.ask.answer()?;
        if self.ask.json {
            print_json(&answer.plan.kit)?;
        } else {
            print(text::plan::kit(&answer.plan).trim_start())?;
            print(&format!("\n{}\n", text::table::standing(&answer.plan.kit.outcome)))?;
        }
        Ok(Verdict::Clean)
    }

    fn run_trade_off(self) -> Result<Verdict, Failure> {
        let (book, store) = (load::book(&self.ask.book)?, load::store(&self.ask.store)?);
        let line = Line::new();
        let found = ask::trade_off(&book, &store, &self.ask.request(), &line);
        line.done();
        let trade = found?;
        if self.ask.json {
            print_json(&trade)?;
        } else {
            print(&text::trade::trade_off(&trade))?;
        }
        Ok(Verdict::Clean)
    }
}
