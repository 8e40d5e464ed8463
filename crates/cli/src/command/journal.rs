//! `traywright ledger`, `backup`, `restore`, `check-journal`: the journal's file, and what stands open in it.

use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use crate::progress::ProgressLine;
use app::ask::ProgressObserver;
use app::record::Ledger;
use app::text;
use app::workshop::{VisitId, Workshop, carry};
use clap::Args;
use std::path::PathBuf;

/// Which journal.
#[derive(Debug, Args)]
pub struct JournalArguments {
    /// The journal's file; made when there is none.
    #[arg(long, default_value = "workshop.journal", value_name = "FILE")]
    journal: PathBuf,
}

impl JournalArguments {
    /// Opens it.
    pub fn open_workshop(&self) -> Result<Workshop, CommandFailure> {
        Ok(Workshop::open(&self.journal)?)
    }

    /// Where it lies.
    pub fn journal_path(&self) -> &PathBuf {
        &self.journal
    }
}

/// An id of a visit as it was typed.
pub fn parse_visit_id(text: &str) -> Result<VisitId, CommandFailure> {
    VisitId::new(text).ok_or_else(|| {
        CommandFailure::Input(format!("`{text}` is no id of a visit; `traywright visit show` lists them"))
    })
}

/// Says which documents a file does not hold.
pub fn report_missing_documents(carried: &carry::TransferReport) -> Result<CommandVerdict, CommandFailure> {
    if carried.missing.is_empty() {
        return Ok(CommandVerdict::Clean);
    }
    print_answer(&format!("{} documents named by entries are not in the file\n", carried.missing.len()))?;
    Ok(CommandVerdict::Found)
}

/// Shows what stands open, and whether the vehicle may be moved, lowered, started; exit 1 while something is open.
#[derive(Debug, Args)]
pub struct LedgerCommand {
    /// Id of the visit; without it, all that are not closed.
    visit: Option<String>,
    #[command(flatten)]
    journal: JournalArguments,
}

impl LedgerCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.open_workshop()?;
        let ids: Vec<VisitId> = match &self.visit {
            Some(text) => vec![parse_visit_id(text)?],
            None => workshop.list_visits()?.into_iter().map(|line| line.visit).collect(),
        };
        let mut settled = true;
        for id in &ids {
            let live = workshop.visit(id)?;
            if self.visit.is_none() && live.state().closed.is_some() {
                continue;
            }
            let ledger = Ledger::draw_up(live.state(), live.book());
            let card = app::bench::visit_card(live);
            print_answer(&format!("{}  {}: ", card.vehicle, card.name))?;
            print_answer(&text::visit::format_ledger(&ledger))?;
            settled &= ledger.is_settled();
        }
        Ok(if settled { CommandVerdict::Clean } else { CommandVerdict::Found })
    }
}

/// Copies the whole journal into one new file, while it is in use, and checks the copy.
#[derive(Debug, Args)]
pub struct BackupCommand {
    /// The file to write.
    to: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
}

impl BackupCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let workshop = self.journal.open_workshop()?;
        let line = ProgressLine::new();
        let copied = carry::back_up_archive(workshop.archive(), &self.to, &mut |share| {
            line.show_progress("copying the journal", share)
        });
        line.clear_line();
        let copied = copied?;
        print_answer(&format!(
            "{}: {} entries, {} documents, checked\n",
            copied.to.display(),
            copied.events,
            copied.documents
        ))?;
        Ok(CommandVerdict::Clean)
    }
}

/// Puts a backup in the place of the journal; what stood there is moved aside, never removed.
#[derive(Debug, Args)]
pub struct RestoreCommand {
    /// The file that `backup` wrote.
    from: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
}

impl RestoreCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let place = self.journal.journal_path();
        let mut name = place.as_os_str().to_owned();
        name.push(format!(".before-{}", app::workshop::new_id()));
        let line = ProgressLine::new();
        let copied = carry::restore_backup(&self.from, place, &PathBuf::from(name), &mut |share| {
            line.show_progress("copying the backup", share);
        });
        line.clear_line();
        let copied = copied?;
        print_answer(&format!(
            "{}: {} entries, {} documents\n",
            place.display(),
            copied.events,
            copied.documents
        ))?;
        if let Some(aside) = &copied.moved_aside {
            print_answer(&format!("what stood there is now {}\n", aside.display()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}

/// Checks the journal: the file's own order, the chain of entries, the documents; exit 1 when something is wrong.
#[derive(Debug, Args)]
pub struct CheckJournalCommand {
    /// Save what can be saved of a damaged journal into this new file.
    #[arg(long, value_name = "FILE")]
    save_to: Option<PathBuf>,
    #[command(flatten)]
    journal: JournalArguments,
}

impl CheckJournalCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let health = match &self.save_to {
            Some(to) => carry::recover_archive(self.journal.journal_path(), to)?,
            None => carry::check_archive(&carry::SqliteArchive::open_to_read(self.journal.journal_path())?)?,
        };
        print_answer(&format!("{} entries and {} documents are sound\n", health.events, health.documents))?;
        for fault in &health.faults {
            print_answer(&text::table::bullet("  - ", fault))?;
        }
        Ok(if health.is_well() { CommandVerdict::Clean } else { CommandVerdict::Found })
    }
}
