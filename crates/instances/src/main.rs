//! Runs our solvers on published instances and writes the report that sets them beside the best known values.

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use instances::kind::Kind;
use instances::{one, report};

/// Solves published instances of the planner's problems and judges the answers.
#[derive(Debug, Parser)]
#[command(name = "instances", version)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// A sequential ordering file of TSPLIB or SOPLIB.
    Sop(one::Arguments),
    /// A tool switching file.
    Ssp(one::Arguments),
    /// A set cover file of the OR-Library.
    Scp(one::Arguments),
    /// An ultimate pit of MineLib: the `.upit` file, with the `.prec` file beside it.
    Closure(one::Arguments),
    /// A project scheduling file of PSPLIB.
    Rcpsp(one::Arguments),
    /// Runs everything and writes the page that sets it beside the best known values.
    Report(report::Arguments),
}

fn main() -> ExitCode {
    let done = match Arguments::parse().command {
        Command::Sop(arguments) => one::run(Kind::Sop, &arguments),
        Command::Ssp(arguments) => one::run(Kind::Ssp, &arguments),
        Command::Scp(arguments) => one::run(Kind::Scp, &arguments),
        Command::Closure(arguments) => one::run(Kind::Closure, &arguments),
        Command::Rcpsp(arguments) => one::run(Kind::Rcpsp, &arguments),
        Command::Report(arguments) => report::run(&arguments),
    };
    done.unwrap_or_else(|fault| {
        one::complain(&fault);
        ExitCode::from(2)
    })
}
