//! `traywright ledger`, `backup`, `restore`, `check-journal`: the journal's file, and what is open in it.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json, print_warning};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::ask::ProgressObserver;
use app::load::{WantedFile, require_kind};
use app::record::Ledger;
use app::records::{JournalCopyRecord, JournalHealthRecord, LedgerRecord, OpenLedgersRecord, TransferRecord};
use app::text;
use app::text::table::count_with_noun;
use app::workshop::door::{self, DoorTask};
use app::workshop::{JournalHolder, JournalLock, VisitId, Workshop, carry, name_aside};
use clap::Args;
use std::path::{Path, PathBuf};

/// Which journal.
#[derive(Debug, Args)]
pub struct JournalArguments {
    /// The journal's file; reading alone never creates it.
    #[arg(long, default_value = "workshop.journal", value_name = "FILE")]
    journal: PathBuf,
}

impl JournalArguments {
    /// Opens it to read alone; one that is not there is not made.
    pub fn read_workshop(&self) -> Result<Workshop, CommandFailure> {
        require_kind(&self.journal, WantedFile::Journal)?;
        tell_notices(Workshop::open_to_read(&self.journal)?)
    }

    /// Opens one that is there, to write.
    pub fn change_workshop(&self, command: &str) -> Result<Workshop, CommandFailure> {
        require_kind(&self.journal, WantedFile::Journal)?;
        self.open_or_make_workshop(command)
    }

    /// Opens it to write; makes it if it is not there.
    pub fn open_or_make_workshop(&self, command: &str) -> Result<Workshop, CommandFailure> {
        require_kind_if_there(&self.journal)?;
        tell_notices(Workshop::open_to_write(&self.journal, command)?)
    }

    /// Where it lies.
    pub fn journal_path(&self) -> &PathBuf {
        &self.journal
    }
}

/// Says so where a journal that is to be opened, or made, is something else already.
pub fn require_kind_if_there(path: &Path) -> Result<(), CommandFailure> {
    if path.exists() {
        require_kind(path, WantedFile::Journal)?;
    }
    Ok(())
}

/// Says on the error stream what a person has to know of the journal before anything is read off it.
pub fn tell_notices(workshop: Workshop) -> Result<Workshop, CommandFailure> {
    for notice in workshop.notices() {
        print_warning(notice);
    }
    Ok(workshop)
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
    /// The visit: its id, or the letter of an open one. Without it: all that are not closed.
    #[arg(long, value_name = "VISIT")]
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
        let mut workshop = self.journal.read_workshop()?;
        let ids: Vec<VisitId> = match &self.visit {
            Some(text) => vec![workshop.find_visit(text)?],
            None => workshop.list_visits()?,
        };
        // A journal with no visit says nothing of any vehicle, and one with entries lost says too little.
        let mut settled = !ids.is_empty() && workshop.notices().is_empty();
        let (mut has_open_visit, mut records) = (false, Vec::new());
        for id in &ids {
            let live = match workshop.visit(id) {
                Ok(live) => live,
                Err(error) if self.visit.is_some() => return Err(error.into()),
                Err(error) => {
                    print_warning(&format!("visit {id} cannot be read: {error}"));
                    (settled, has_open_visit) = (false, true);
                    continue;
                }
            };
            let ledger = Ledger::draw_up(live.state(), live.book());
            if self.visit.is_none() && live.state().closed.is_some() && ledger.is_settled() {
                continue;
            }
            has_open_visit = true;
            let card = app::bench::visit_card(live);
            if self.json {
                records.push(LedgerRecord::of_ledger(&card, &ledger));
            } else {
                print_answer(&format!("{}  {}: ", card.vehicle, card.name))?;
                print_answer(&text::visit::format_ledger(&ledger, card.no_ground.as_deref(), page_width()))?;
            }
            settled &= ledger.is_settled();
        }
        if !self.json && ids.is_empty() {
            print_answer("there is no visit in this journal: it says nothing about any vehicle\n")?;
        } else if !self.json && self.visit.is_none() && !has_open_visit {
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
    /// The file to write; it must not exist yet.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
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
        let workshop = self.journal.read_workshop()?;
        let line = ProgressLine::new();
        let copied = carry::back_up_archive(workshop.archive(), &self.out, &mut |share| {
            line.show_progress("copying the journal", share)
        });
        line.clear_line();
        let copied = copied?;
        self.note_backup(&copied);
        if self.json {
            print_json("backup", &JournalCopyRecord::of_copy(&copied))?;
            return Ok(CommandVerdict::Clean);
        }
        print_answer(&format!("{}: {}, checked\n", copied.to.display(), copied_words(&copied)))?;
        Ok(CommandVerdict::Clean)
    }
}

impl BackupCommand {
    /// Writes into the journal that it is backed up so far; where that cannot be, devices keep their entries longer.
    fn note_backup(&self, copied: &carry::CopyReport) {
        let noted = Workshop::open_to_write(self.journal.journal_path(), "backup")
            .and_then(|mut workshop| Ok(carry::note_backup(workshop.archive_mut(), copied)?));
        if let Err(error) = noted {
            print_warning(&format!("the backup is whole, but the journal could not note it: {error}"));
        }
    }
}

/// Replaces the journal with a backup; the old journal is moved aside, never deleted.
#[derive(Debug, Args)]
pub struct RestoreCommand {
    /// The file that `backup` wrote.
    #[arg(long, value_name = "FILE")]
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
        require_kind(&self.from, WantedFile::Backup)?;
        let copied = match door::find_server(place)? {
            Some(server) => door::ask_server(place, &server, DoorTask::Restore, &self.from)?.into_copy()?,
            None => self.restore_alone(place)?,
        };
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

impl RestoreCommand {
    /// Restores a journal that no program serves.
    fn restore_alone(&self, place: &Path) -> Result<carry::CopyReport, CommandFailure> {
        let _lock = JournalLock::take(place, &JournalHolder::of_command("restore"))?;
        let line = ProgressLine::new();
        let copied = carry::restore_backup(&self.from, place, &name_aside(place), &mut |share| {
            line.show_progress("copying the backup", share);
        });
        line.clear_line();
        Ok(copied?)
    }
}

/// Checks the journal: the structure of the file, the chain of entries, the documents; exit 1 when something is wrong.
#[derive(Debug, Args)]
pub struct CheckJournalCommand {
    /// Save what can be saved of a damaged journal into this new file.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl CheckJournalCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        require_kind(self.journal.journal_path(), WantedFile::Journal)?;
        if let Some(to) = &self.out {
            return self.rescue(to);
        }
        let archive = carry::SqliteArchive::open_to_read(self.journal.journal_path())?;
        let mut health = carry::check_archive(&archive)?;
        health.faults.extend(archive.find_shortfalls()?.iter().map(ToString::to_string));
        let verdict = CommandVerdict::clean_if(health.is_well());
        if self.json {
            print_json("check-journal", &JournalHealthRecord::of_health(&health, None))?;
            return Ok(verdict);
        }
        let entries = count_with_noun(health.events as usize, "entry");
        let documents = count_with_noun(health.documents as usize, "document");
        print_answer(&format!("sound: {entries} and {documents}\n"))?;
        if health.marked_documents > 0 {
            let marked = count_with_noun(health.marked_documents as usize, "document");
            print_answer(&format!("{marked} marked as damaged by a rescue, never shown\n"))?;
        }
        for fault in &health.faults {
            print_answer(&text::table::bullet(page_width(), "  - ", fault))?;
        }
        if !health.is_well() {
            let name = self.journal.journal_path().display();
            print_answer(&format!(
                "restore the newest backup; without one:\n  traywright check-journal --journal {name} --out FILE\n"
            ))?;
        }
        Ok(verdict)
    }

    /// Saves what can be saved, says what is missing, and with which command work goes on.
    fn rescue(&self, to: &Path) -> Result<CommandVerdict, CommandFailure> {
        let damaged = self.journal.journal_path();
        let found = carry::recover_archive(damaged, to)?;
        let verdict = CommandVerdict::clean_if(found.is_well());
        if self.json {
            print_json("check-journal", &JournalHealthRecord::of_rescue(&found, to))?;
            return Ok(verdict);
        }
        let entries = count_with_noun(found.events as usize, "entry");
        let documents = count_with_noun(found.documents as usize, "document");
        print_answer(&format!("{}: {entries} and {documents} saved\n", to.display()))?;
        for (heading, lines) in [("missing:", &found.holes), ("wrong with the old file:", &found.faults)] {
            if !lines.is_empty() {
                print_answer(&format!("{heading}\n"))?;
            }
            for line in lines {
                print_answer(&text::table::bullet(page_width(), "  - ", line))?;
            }
        }
        let (to, damaged) = (to.display(), damaged.display());
        print_answer(&format!(
            "go on with what was saved (devices send again what they still hold):\n  traywright restore --from {to} --journal {damaged}\n"
        ))?;
        Ok(verdict)
    }
}
