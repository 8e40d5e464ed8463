//! `traywright ledger`, `backup`, `restore`, `check-journal`: the journal's file, and what is open in it.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json, print_warning};
use crate::progress::ProgressLine;
use app::ask::ProgressObserver;
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
        self.require_file()?;
        tell_notices(Workshop::open_to_read(&self.journal)?)
    }

    /// Opens one that is there, to write.
    pub fn change_workshop(&self, command: &str) -> Result<Workshop, CommandFailure> {
        self.require_file()?;
        self.open_or_make_workshop(command)
    }

    /// Opens it to write; makes it if it is not there.
    pub fn open_or_make_workshop(&self, command: &str) -> Result<Workshop, CommandFailure> {
        tell_notices(Workshop::open_to_write(&self.journal, command)?)
    }

    /// Says which journals lie beside a name that none has.
    fn require_file(&self) -> Result<(), CommandFailure> {
        if self.journal.exists() {
            return Ok(());
        }
        let folder = self.journal.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let beside = std::fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
        let mut names: Vec<String> = beside
            .filter(|path| path.extension().is_some_and(|ending| ending == "journal"))
            .map(|path| path.display().to_string())
            .collect();
        names.sort();
        let hint = match &names[..] {
            [] => String::from("no journal lies there; `traywright visit new` begins one"),
            names => format!("there is {}", names.join(", ")),
        };
        let name = self.journal.display();
        Err(CommandFailure::bad_request(format!("there is no journal {name}; check its name: {hint}")))
    }

    /// Where it lies.
    pub fn journal_path(&self) -> &PathBuf {
        &self.journal
    }
}

/// Says on the error stream what a person has to know of the journal before anything is read off it.
pub fn tell_notices(workshop: Workshop) -> Result<Workshop, CommandFailure> {
    for notice in workshop.notices() {
        print_warning(notice);
    }
    Ok(workshop)
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
        let mut workshop = self.journal.read_workshop()?;
        let ids: Vec<VisitId> = match &self.visit {
            Some(text) => vec![parse_visit_id(text)?],
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
                print_answer(&text::visit::format_ledger(&ledger, card.no_ground.as_deref()))?;
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
        let workshop = self.journal.read_workshop()?;
        let line = ProgressLine::new();
        let copied = carry::back_up_archive(workshop.archive(), &self.to, &mut |share| {
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
        if let Some(to) = &self.save_to {
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
            print_answer(&text::table::bullet("  - ", fault))?;
        }
        if !health.is_well() {
            let name = self.journal.journal_path().display();
            print_answer(&format!(
                "restore the newest backup; without one:\n  traywright check-journal --journal {name} --save-to FILE\n"
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
                print_answer(&text::table::bullet("  - ", line))?;
            }
        }
        let (to, damaged) = (to.display(), damaged.display());
        print_answer(&format!(
            "go on with what was saved (devices send again what they still hold):\n  traywright restore {to} --journal {damaged}\n"
        ))?;
        Ok(verdict)
    }
}
