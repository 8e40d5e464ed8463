//! The traywright command: reads arguments, calls `app`, prints.

mod command;
mod exit;
mod progress;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// Plans a long strip-down before the first bolt is loosened: what comes off, with which tools, where every fastener
/// goes, and how it all goes back.
///
/// Exit codes: 0 all is well; 1 faults or violations were found; 2 the input cannot be used; 3 a fault of the program.
/// The maker's service data always win over anything worked out here.
#[derive(Debug, Parser)]
#[command(name = "traywright", version)]
struct CliArguments {
    #[command(subcommand)]
    command: CliCommand,
}

#[derive(Debug, Subcommand)]
enum CliCommand {
    /// Books: the description of an engine.
    #[command(subcommand)]
    Book(command::book::BookCommand),
    /// Stores: the mechanic's own tools.
    #[command(subcommand)]
    Store(command::store::StoreCommand),
    /// Shows which stacks of tools can do each act on each fixing, and the nearest miss where none can.
    Reach(command::reach::ReachCommand),
    Kit(command::kit::KitCommand),
    NextBest(command::next_best::NextBestCommand),
    /// Shows what lies on a cart of few places when, and the walks for the rest.
    Cart(command::cart::CartCommand),
    /// Plans a visit.
    Plan(command::plan::PlanCommand),
    Worth(command::worth::WorthCommand),
    Finish(command::finish::FinishCommand),
    /// Judges a plan from book, store and plan alone.
    Judge(command::judge::JudgeCommand),
    Torque(command::torque::TorqueCommand),
    Preload(command::preload::PreloadCommand),
    Wrench(command::wrench::WrenchCommand),
    Pattern(command::pattern::PatternCommand),
    StripMargin(command::strip_margin::StripMarginCommand),
    Mixup(command::mixup::MixUpCommand),
    #[command(subcommand)]
    Driver(command::driver::DriverCommand),
    Why(command::why::WhyCommand),
    /// Visits: a vehicle's stay, worked at the bench for days.
    #[command(subcommand)]
    Visit(command::visit::VisitSubcommand),
    Serve(command::serve::ServeCommand),
    Ledger(command::journal::LedgerCommand),
    Print(command::print::PrintCommand),
    Backup(command::journal::BackupCommand),
    Restore(command::journal::RestoreCommand),
    CheckJournal(command::journal::CheckJournalCommand),
    /// Plans a visit of the two invented buses, opens one half-way through, and serves it at the bench.
    Demo(command::demo::DemoCommand),
    /// Writes a large invented book and store.
    Generate(command::large_book::GenerateCommand),
    /// Completions for a shell, and the manual page.
    #[command(subcommand)]
    Shell(command::shell::ShellCommand),
}

fn main() -> ExitCode {
    let arguments = CliArguments::parse();
    let result = match arguments.command {
        CliCommand::Book(c) => c.run_command(),
        CliCommand::Store(c) => c.run_command(),
        CliCommand::Reach(c) => c.run_command(),
        CliCommand::Kit(c) => c.run_command(),
        CliCommand::NextBest(c) => c.run_command(),
        CliCommand::Cart(c) => c.run_command(),
        CliCommand::Plan(c) => c.run_command(),
        CliCommand::Worth(c) => c.run_command(),
        CliCommand::Finish(c) => c.run_command(),
        CliCommand::Judge(c) => c.run_command(),
        CliCommand::Torque(c) => c.run_command(),
        CliCommand::Preload(c) => c.run_command(),
        CliCommand::Wrench(c) => c.run_command(),
        CliCommand::Pattern(c) => c.run_command(),
        CliCommand::StripMargin(c) => c.run_command(),
        CliCommand::Mixup(c) => c.run_command(),
        CliCommand::Driver(c) => c.run_command(),
        CliCommand::Why(c) => c.run_command(),
        CliCommand::Visit(c) => c.run_command(),
        CliCommand::Serve(c) => c.run_command(),
        CliCommand::Ledger(c) => c.run_command(),
        CliCommand::Print(c) => c.run_command(),
        CliCommand::Backup(c) => c.run_command(),
        CliCommand::Restore(c) => c.run_command(),
        CliCommand::CheckJournal(c) => c.run_command(),
        CliCommand::Demo(c) => c.run_command(),
        CliCommand::Generate(c) => c.run_command(),
        CliCommand::Shell(c) => c.run_command(),
    };
    exit::report_result(result)
}
