//! The traywright command: reads arguments, calls `app`, prints.

mod command;
mod examples;
mod exit;
mod page_width;
mod progress;

use app::text::table::PageWidth;
use clap::{Command, CommandFactory as _, FromArgMatches as _, Parser, Subcommand};
use std::process::ExitCode;

/// Plans a long strip-down before the first bolt is loosened: what comes off, with which tools, where every fastener
/// goes, and how it all goes back.
///
/// Exit codes: 0 all is well; 1 faults or violations were found; 2 the input cannot be used; 3 a fault of the program; 4 the
/// computer refused: a full disk, a place that cannot be written or read, a port in use.
///
/// Book, store, plan, visit and journal are named by the same option in every command: --book, --store, --plan, --visit, --journal;
/// only where a command is about one of them (`book check BOOK`, `visit show VISIT`) it stands without. What is read from a file is
/// --from or --readings, what is written is --out, a drawing --draw. What may be given several times is given with its option each time.
///
/// The maker's service data always win over anything worked out here.
#[derive(Debug, Parser)]
#[command(name = "traywright", version)]
struct CliArguments {
    /// Letters of a line of the answer, 60 to 200 [default: those of the terminal, 80 where there is none].
    #[arg(long, global = true, value_name = "COLUMNS", display_order = 998)]
    width: Option<u16>,
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
    Calendar(command::week::CalendarCommand),
    /// Prints the card with the ruler of the length classes as SVG, in true size; print it at 100 %.
    ScaleCard,
    Learn(command::lessons::LearnCommand),
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
    #[command(subcommand)]
    Trend(command::trend::TrendCommand),
    Why(command::why::WhyCommand),
    /// Visits: a vehicle's stay, worked at the bench for days.
    #[command(subcommand)]
    Visit(command::visit::VisitSubcommand),
    #[command(subcommand)]
    Vehicle(command::vehicle::VehicleCommand),
    #[command(subcommand)]
    Workshop(command::shop_dates::WorkshopSubcommand),
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
    Licences(command::licences::LicencesCommand),
    /// Completions for a shell, and the manual page.
    #[command(subcommand)]
    Shell(command::shell::ShellCommand),
}

/// The command line with its examples, as help, completions and manual show it.
fn command_line() -> Command {
    examples::add_examples(CliArguments::command()).max_term_width(PageWidth::MAX_COLUMNS)
}

/// The width that is asked for, read ahead of everything else: the help is laid out for it too.
fn asked_columns() -> Option<usize> {
    let words: Vec<String> = std::env::args_os().map(|word| word.to_string_lossy().into_owned()).collect();
    let at = words.iter().position(|word| word == "--width" || word.starts_with("--width="))?;
    let typed = words[at].strip_prefix("--width=").or_else(|| words.get(at + 1).map(String::as_str))?;
    typed.parse().ok()
}

fn main() -> ExitCode {
    let line = match asked_columns() {
        Some(columns) => command_line().term_width(PageWidth::nearest(columns).columns()),
        None => command_line(),
    };
    let matches = line.get_matches();
    let arguments = CliArguments::from_arg_matches(&matches).unwrap_or_else(|error| error.exit());
    page_width::settle_page_width(arguments.width);
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
        CliCommand::Calendar(c) => c.run_command(),
        CliCommand::ScaleCard => {
            exit::print_answer(&app::scale_card_sheet::scale_card_svg()).map(|()| exit::CommandVerdict::Clean)
        }
        CliCommand::Learn(c) => c.run_command(),
        CliCommand::Judge(c) => c.run_command(),
        CliCommand::Torque(c) => c.run_command(),
        CliCommand::Preload(c) => c.run_command(),
        CliCommand::Wrench(c) => c.run_command(),
        CliCommand::Pattern(c) => c.run_command(),
        CliCommand::StripMargin(c) => c.run_command(),
        CliCommand::Mixup(c) => c.run_command(),
        CliCommand::Driver(c) => c.run_command(),
        CliCommand::Trend(c) => c.run_command(),
        CliCommand::Why(c) => c.run_command(),
        CliCommand::Visit(c) => c.run_command(),
        CliCommand::Vehicle(c) => c.run_command(),
        CliCommand::Workshop(c) => c.run_command(),
        CliCommand::Serve(c) => c.run_command(),
        CliCommand::Ledger(c) => c.run_command(),
        CliCommand::Print(c) => c.run_command(),
        CliCommand::Backup(c) => c.run_command(),
        CliCommand::Restore(c) => c.run_command(),
        CliCommand::CheckJournal(c) => c.run_command(),
        CliCommand::Demo(c) => c.run_command(),
        CliCommand::Generate(c) => c.run_command(),
        CliCommand::Licences(c) => c.run_command(),
        CliCommand::Shell(c) => c.run_command(),
    };
    exit::report_result(result)
}

#[cfg(test)]
mod tests {
    use super::CliArguments;
    use clap::{Command, CommandFactory as _};
    use std::collections::BTreeSet;

    /// Every command that does something, as its words, with whether it takes `--json`.
    fn walk_commands(command: &Command, path: &str, found: &mut Vec<(String, bool)>) {
        let below: Vec<&Command> = command.get_subcommands().filter(|c| c.get_name() != "help").collect();
        if below.is_empty() {
            let takes_json = command.get_arguments().any(|a| a.get_long() == Some("json"));
            found.push((path.to_owned(), takes_json));
        }
        for one in below {
            walk_commands(one, format!("{path} {}", one.get_name()).trim_start(), found);
        }
    }

    /// The commands that a table of `docs/json.md` names, without their options.
    fn listed_commands(heading: &str) -> BTreeSet<String> {
        let page = include_str!("../../../docs/json.md");
        let (_, after) = page.split_once(heading).expect("the page has the section");
        let section = after.split("\n## ").next().expect("a split has a first piece");
        let cells = section.lines().filter_map(|l| l.strip_prefix("| `")?.split_once('`'));
        cells
            .map(|(cell, _)| cell.split(" --").next().expect("a split has a first piece").to_owned())
            .collect()
    }

    #[test]
    fn every_command_answers_as_json_or_says_why_not() {
        let mut commands = Vec::new();
        walk_commands(&CliArguments::command(), "", &mut commands);
        let named = |takes_json: bool| -> BTreeSet<String> {
            commands.iter().filter(|(_, takes)| *takes == takes_json).map(|(name, _)| name.clone()).collect()
        };
        assert!(commands.len() > 30, "only {} commands were found", commands.len());
        assert_eq!(named(true), listed_commands("## Answers"));
        assert_eq!(named(false), listed_commands("## Commands without `--json`"));
    }

    #[test]
    fn the_command_tree_is_sound() {
        CliArguments::command().debug_assert();
    }
}
