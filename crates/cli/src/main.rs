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
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Books: the description of an engine.
    #[command(subcommand)]
    Book(command::book::Book),
    /// Stores: the mechanic's own tools.
    #[command(subcommand)]
    Store(command::store::Store),
    /// Shows which stacks of tools can do each act on each fixing, and the nearest miss where none can.
    Reach(command::reach::Reach),
    Kit(command::kit::Kit),
    NextBest(command::next_best::NextBest),
    /// Shows what lies on a cart of few places when, and the walks for the rest.
    Cart(command::cart::Cart),
    /// Plans a visit.
    Plan(command::plan::Plan),
    Worth(command::worth::Worth),
    Finish(command::finish::Finish),
    /// Judges a plan from book, store and plan alone.
    Judge(command::judge::Judge),
    Torque(command::torque::Torque),
    Preload(command::preload::Preload),
    Wrench(command::wrench::Wrench),
    Pattern(command::pattern::Pattern),
    StripMargin(command::strip_margin::StripMargin),
    Mixup(command::mixup::Mixup),
    #[command(subcommand)]
    Driver(command::driver::Driver),
    Why(command::why::Why),
    /// Visits: a vehicle's stay, worked at the bench for days.
    #[command(subcommand)]
    Visit(command::visit::Visit),
    Serve(command::serve::Serve),
    Ledger(command::journal::ShowLedger),
    Print(command::print::Print),
    Backup(command::journal::Backup),
    Restore(command::journal::Restore),
    CheckJournal(command::journal::CheckJournal),
    /// Plans a visit of the two invented buses, opens one half-way through, and serves it at the bench.
    Demo(command::demo::Demo),
    /// Writes a large invented book and store.
    Generate(command::generate::Generate),
    /// Completions for a shell, and the manual page.
    #[command(subcommand)]
    Shell(command::shell::Shell),
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let result = match arguments.command {
        Command::Book(c) => c.run(),
        Command::Store(c) => c.run(),
        Command::Reach(c) => c.run(),
        Command::Kit(c) => c.run(),
        Command::NextBest(c) => c.run(),
        Command::Cart(c) => c.run(),
        Command::Plan(c) => c.run(),
        Command::Worth(c) => c.run(),
        Command::Finish(c) => c.run(),
        Command::Judge(c) => c.run(),
        Command::Torque(c) => c.run(),
        Command::Preload(c) => c.run(),
        Command::Wrench(c) => c.run(),
        Command::Pattern(c) => c.run(),
        Command::StripMargin(c) => c.run(),
        Command::Mixup(c) => c.run(),
        Command::Driver(c) => c.run(),
        Command::Why(c) => c.run(),
        Command::Visit(c) => c.run(),
        Command::Serve(c) => c.run(),
        Command::Ledger(c) => c.run(),
        Command::Print(c) => c.run(),
        Command::Backup(c) => c.run(),
        Command::Restore(c) => c.run(),
        Command::CheckJournal(c) => c.run(),
        Command::Demo(c) => c.run(),
        Command::Generate(c) => c.run(),
        Command::Shell(c) => c.run(),
    };
    exit::code(result)
}
