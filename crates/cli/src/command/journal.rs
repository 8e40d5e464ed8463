//! `traywright ledger`, `backup`, `restore`, `check-journal`: the journal's file, and what is open in it.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::progress::ProgressLine;
use app::ask::ProgressObserver;
use app::record::Ledger;
use app::records::{JournalCopyRecord, JournalHealthRecord, LedgerRecord, OpenLedgersRecord, TransferRecord};
use app::text;
use app::text::table::count_with_noun;
use app::workshop::{VisitId, Workshop, carry};
use clap::Args;
use std::path::{Path, PathBuf};

/// Which journal.
#[derive(Debug, Args)]
pub struct JournalArguments {
    /// The journal's file; created if it does not exist.
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
        CommandFailure::bad_request(format!("`{text}` is not a visit id; `traywright visit show` lists them"))
    })
}

/// Prints what was carried in the words given, or as JSON, and says which documents the file does not hold.
pub fn report_transfer(
    command: &str,
    file: &Path,
    carried: &carry::TransferReport,
    words: Option<&str>,
) -> Result<CommandVerdict, CommandFailure> {
    let verdict = CommandVerdict::clean_if(carried.missing.is_empty());
    let Some(words) = words else {
        print_json(command, &TransferRecord::of_transfer(file, carried))?;
        return Ok(verdict);
    };
    print_answer(words)?;
    if carried.missing.is_empty() {
        return Ok(verdict);
    }
    let missing = count_with_noun(carried.missing.len(), "document");
    print_answer(&format!("{missing} named by entries, but not in the file\n"))?;
    Ok(verdict)
}

/// Shows what is open, and whether the vehicle may be moved, lowered, started; exit 1 while something is open.
#[derive(Debug, Args)]
pub struct LedgerCommand {
    /// Id of the visit; without it, all that are not closed.
    visit: Option<String>,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl LedgerCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.open_workshop()?;
        let ids: Vec<VisitId> = match &self.visit {
            Some(text) => vec![parse_visit_id(text)?],
            None => workshop.list_visits()?,
        };
        let (mut settled, mut has_open_visit, mut records) = (true, false, Vec::new());
        for id in &ids {
            let live = workshop.visit(id)?;
            if self.visit.is_none() && live.state().closed.is_some() {
                continue;
            }
            has_open_visit = true;
            let ledger = Ledger::draw_up(live.state(), live.book());
            let card = app::bench::visit_card(live);
            if self.json {
                records.push(LedgerRecord::of_ledger(&card, &ledger));
            } else {
                print_answer(&format!("{}  {}: ", card.vehicle, card.name))?;
                print_answer(&text::visit::format_ledger(&ledger, card.no_ground.as_deref()))?;
            }
            settled &= ledger.is_settled();
        }
        if !self.json && self.visit.is_none() && !has_open_visit {
            print_answer("no visit is open; `traywright visit show` lists all visits\n")?;
        }
        if self.json {
            print_json("ledger", &OpenLedgersRecord { is_settled: settled, visits: records })?;
        }
        Ok(CommandVerdict::clean_if(settled))
    }
}

/// Copies the whole journal into one new file, while it is in use, and checks the copy.
#[derive(Debug, Args)]
pub struct BackupCommand {
    /// The file to write.
    to: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// "36 entries, 3 documents".
fn copied_words(copied: &carry::CopyReport) -> String {
    let entries = count_with_noun(copied.events as usize, "entry");
    format!("{entries}, {}", count_with_noun(copied.documents as usize, "document"))
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
        if self.json {
            print_json("backup", &JournalCopyRecord::of_copy(&copied))?;
            return Ok(CommandVerdict::Clean);
        }
        print_answer(&format!("{}: {}, checked\n", copied.to.display(), copied_words(&copied)))?;
        Ok(CommandVerdict::Clean)
    }
}

/// Replaces the journal with a backup; the old journal is moved aside, never deleted.
#[derive(Debug, Args)]
pub struct RestoreCommand {
    /// The file that `backup` wrote.
    from: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
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
        if self.json {
            print_json("restore", &JournalCopyRecord::of_copy(&copied))?;
            return Ok(CommandVerdict::Clean);
        }
        print_answer(&format!("{}: {}\n", place.display(), copied_words(&copied)))?;
        if let Some(aside) = &copied.moved_aside {
            print_answer(&format!("the old journal is now {}\n", aside.display()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}

/// Checks the journal: the structure of the file, the chain of entries, the documents; exit 1 when something is wrong.
#[derive(Debug, Args)]
pub struct CheckJournalCommand {
    /// Save what can be saved of a damaged journal into this new file.
    #[arg(long, value_name = "FILE")]
    save_to: Option<PathBuf>,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl CheckJournalCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let health = match &self.save_to {
            Some(to) => carry::recover_archive(self.journal.journal_path(), to)?,
            None => carry::check_archive(&carry::SqliteArchive::open_to_read(self.journal.journal_path())?)?,
        };
        let verdict = CommandVerdict::clean_if(health.is_well());
        if self.json {
            print_json("check-journal", &JournalHealthRecord::of_health(&health, self.save_to.as_deref()))?;
            return Ok(verdict);
        }
        let entries = count_with_noun(health.events as usize, "entry");
        let documents = count_with_noun(health.documents as usize, "document");
        print_answer(&format!("sound: {entries} and {documents}\n"))?;
        for fault in &health.faults {
            print_answer(&text::table::bullet("  - ", fault))?;
        }
        Ok(verdict)
    }
}
