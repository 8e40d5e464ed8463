//! `traywright kit`: what lies on the cart, and what lies between the three ways of choosing it.

use super::plan::PlanArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::{ask, load, text};
use clap::Args;

/// Shows what has to lie on the cart for the tasks.
#[derive(Debug, Args)]
pub struct KitCommand {
    #[command(flatten)]
    ask: PlanArguments,
    /// Show every kit that no other beats in pieces to buy, pieces to carry and hands-on time together.
    #[arg(long, conflicts_with = "objective")]
    trade_off: bool,
}

impl KitCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        if self.trade_off {
            return self.run_trade_off();
        }
        let (_, _, answer) = self.ask.plan_and_judge()?;
        if self.ask.json {
            print_json("kit", &answer.plan.kit)?;
        } else {
            print_answer(text::plan_text::format_kit(&answer.plan, page_width()).trim_start())?;
            print_answer(&format!("\n{}\n", text::table::outcome_words(&answer.plan.kit.outcome)))?;
        }
        Ok(CommandVerdict::Clean)
    }

    fn run_trade_off(self) -> Result<CommandVerdict, CommandFailure> {
        let (book, store) = (load::load_book(&self.ask.book)?, load::load_store(&self.ask.store)?);
        let line = ProgressLine::new();
        let found = ask::find_kit_trade_off(&book, &store, &self.ask.plan_request(), &line);
        line.clear_line();
        let trade = found?;
        if self.ask.json {
            print_json("kit-trade-off", &trade)?;
        } else {
            print_answer(&text::trade::format_trade_off(&trade, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
