//! Runs our solvers on published instances and writes the report that sets them beside the best known values.

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use instances::kind::InstanceKind;
use instances::{one, report};

/// Solves published instances of the planner's problems and judges the answers.
#[derive(Debug, Parser)]
#[command(name = "instances", version)]
struct InstancesArguments {
    #[command(subcommand)]
    command: InstancesCommand,
}

#[derive(Debug, Subcommand)]
enum InstancesCommand {
    /// A sequential ordering file of TSPLIB or SOPLIB.
    Sop(one::SolveArguments),
    /// A tool switching file.
    Ssp(one::SolveArguments),
    /// A set cover file of the OR-Library.
    Scp(one::SolveArguments),
    /// An ultimate pit of MineLib: the `.upit` file, with the `.prec` file beside it.
    Closure(one::SolveArguments),
    /// A project scheduling file of PSPLIB.
    Rcpsp(one::SolveArguments),
    /// Runs everything and writes the page that sets it beside the best known values.
    Report(report::ReportArguments),
}

fn main() -> ExitCode {
    let done = match InstancesArguments::parse().command {
        InstancesCommand::Sop(arguments) => one::solve_one_file(InstanceKind::Sop, &arguments),
        InstancesCommand::Ssp(arguments) => one::solve_one_file(InstanceKind::Ssp, &arguments),
        InstancesCommand::Scp(arguments) => one::solve_one_file(InstanceKind::Scp, &arguments),
        InstancesCommand::Closure(arguments) => one::solve_one_file(InstanceKind::Closure, &arguments),
        InstancesCommand::Rcpsp(arguments) => one::solve_one_file(InstanceKind::Rcpsp, &arguments),
        InstancesCommand::Report(arguments) => report::write_report(&arguments),
    };
    done.unwrap_or_else(|fault| {
        one::print_complaint(&fault);
        ExitCode::from(2)
    })
}
