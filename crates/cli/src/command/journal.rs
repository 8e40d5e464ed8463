//! `traywright ledger`, `backup`, `restore`, `check-journal`: the journal's file, and what stands open in it.

use crate::exit::{Failure, Verdict, print};
use crate::progress::Line;
use app::ask::Progress;
use app::journal::Ledger;
use app::text;
use app::workshop::{VisitId, Workshop, carry};
use clap::Args;
use std::path::PathBuf;

/// Which journal.
#[derive(Debug, Args)]
pub struct Journal {
    /// The journal's file; made when there is none.
    #[arg(long, default_value = "workshop.journal", value_name = "FILE")]
    journal: PathBuf,
}

impl Journal {
    /// Opens it.
    pub fn open(&self) -> Result<Workshop, Failure> {
        Ok(Workshop::open(&self.journal)?)
    }

    /// Where it lies.
    pub fn path(&self) -> &PathBuf {
        &self.journal
    }
}

/// An id of a visit as it was typed.
pub fn id(text: &str) -> Result<VisitId, Failure> {
    VisitId::new(text).ok_or_else(|| {
        Failure::Input(format!("`{text}` is no id of a visit; `traywright visit show` lists them"))
    })
}

/// Says which documents a file does not hold.
pub fn missing(carried: &carry::Carried) -> Result<Verdict, Failure> {
    if carried.missing.is_empty() {
        return Ok(Verdict::Clean);
    }
    print(&format!("{} documents named by entries are not in the file\n", carried.missing.len()))?;
    Ok(Verdict::Found)
}

/// Shows what stands open, and whether the vehicle may be moved, lowered, started; exit 1 while something is open.
#[derive(Debug, Args)]
pub struct ShowLedger {
    /// Id of the visit; without it, all that are not closed.
    visit: Option<String>,
    #[command(flatten)]
    journal: Journal,
}

impl ShowLedger {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let mut workshop = self.journal.open()?;
        let ids: Vec<VisitId> = match &self.visit {
            Some(text) => vec![id(text)?],
            None => workshop.visits()?.into_iter().map(|line| line.visit).collect(),
        };
        let mut settled = true;
        for id in &ids {
            let live = workshop.visit(id)?;
            if self.visit.is_none() && live.state().closed.is_some() {
                continue;
            }
            let ledger = Ledger::of(live.state(), live.book());
            let card = app::bench::card(live);
            print(&format!("{}  {}: ", card.vehicle, card.name))?;
            print(&text::visit::ledger(&ledger))?;
            settled &= ledger.is_settled();
        }
        Ok(if settled { Verdict::Clean } else { Verdict::Found })
    }
}

/// Copies the whole journal into one new file, while it is in use, and checks the copy.
#[derive(Debug, Args)]
pub struct Backup {
    /// The file to write.
    to: PathBuf,
    #[command(flatten)]
    journal: Journal,
}

impl Backup {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let workshop = self.journal.open()?;
        let line = Line::new();
        let copied =
            carry::backup(workshop.archive(), &self.to, &mut |share| line.at("copying the journal", share));
        line.done();
        let copied = copied?;
        print(&format!(
            "{}: {} entries, {} documents, checked\n",
            copied.to.display(),
            copied.events,
            copied.documents
        ))?;
        Ok(Verdict::Clean)
    }
}

/// Puts a backup in the place of the journal; what stood there is moved aside, never removed.
#[derive(Debug, Args)]
pub struct Restore {
    /// The file that `backup` wrote.
    from: PathBuf,
    #[command(flatten)]
    journal: Journal,
}

impl Restore {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let place = self.journal.path();
        let mut name = place.as_os_str().to_owned();
        name.push(format!(".before-{}", app::workshop::new_id()));
        let line = Line::new();
        let copied = carry::restore(&self.from, place, &PathBuf::from(name), &mut |share| {
            line.at("copying the backup", share);
        });
        line.done();
        let copied = copied?;
        print(&format!("{}: {} entries, {} documents\n", place.display(), copied.events, copied.documents))?;
        if let Some(aside) = &copied.moved_aside {
            print(&format!("what stood there is now {}\n", aside.display()))?;
        }
        Ok(Verdict::Clean)
    }
}

/// Checks the journal: the file's own order, the chain of entries, the documents; exit 1 when something is wrong.
#[derive(Debug, Args)]
pub struct CheckJournal {
    /// Save what can be saved of a damaged journal into this new file.
    #[arg(long, value_name = "FILE")]
    save_to: Option<PathBuf>,
    #[command(flatten)]
    journal: Journal,
}

impl CheckJournal {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let health = match &self.save_to {
            Some(to) => carry::recover(self.journal.path(), to)?,
            None => carry::check(&carry::Sqlite::open_to_read(self.journal.path())?)?,
        };
        print(&format!("{} entries and {} documents are sound\n", health.events, health.documents))?;
        for fault in &health.faults {
            print(&text::table::bullet("  - ", fault))?;
        }
        Ok(if health.is_well() { Verdict::Clean } else { Verdict::Found })
    }
}
