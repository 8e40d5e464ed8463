//! `traywright visit`: a vehicle's stay, opened, shown, carried to another computer.

use super::journal::Journal;
use crate::exit::{Failure, Verdict, print};
use crate::progress::Line;
use app::ask::Request;
use app::model::plan::Objective;
use app::workshop::{NewVisit, VisitId, carry};
use app::{bench, text};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// A vehicle's stay: opened from a plan, worked at the bench, carried as one file.
#[derive(Debug, Subcommand)]
pub enum Visit {
    New(New),
    Show(Show),
    Export(Export),
    Import(Import),
}

/// Plans a visit and opens it.
#[derive(Debug, Args)]
pub struct New {
    /// The book: a file or a folder.
    book: PathBuf,
    /// The store: a file or a folder.
    store: PathBuf,
    /// A task of the book; repeat it for more. Without any, all tasks.
    #[arg(long = "task", value_name = "KEY")]
    tasks: Vec<String>,
    /// Letter that starts this vehicle's slots.
    #[arg(long, default_value = "A", value_name = "LETTER")]
    vehicle: String,
    /// What you call the vehicle.
    #[arg(long, default_value = "vehicle without a name")]
    name: String,
    /// Distance driven, with its unit: "412300 km".
    #[arg(long, value_name = "DISTANCE")]
    odometer: Option<String>,
    /// Time limit of the planning.
    #[arg(long, default_value_t = 20.0)]
    seconds: f64,
    #[command(flatten)]
    journal: Journal,
}

/// Shows all visits, or one.
#[derive(Debug, Args)]
pub struct Show {
    /// Id of the visit; without it, all.
    visit: Option<String>,
    #[command(flatten)]
    journal: Journal,
}

/// Writes one visit, with its pictures, into one new file.
#[derive(Debug, Args)]
pub struct Export {
    /// Id of the visit.
    visit: String,
    /// The file to write.
    to: PathBuf,
    #[command(flatten)]
    journal: Journal,
}

/// Takes the visit of a file in; what is here already stays as it is.
#[derive(Debug, Args)]
pub struct Import {
    /// The file that `visit export` wrote.
    from: PathBuf,
    #[command(flatten)]
    journal: Journal,
}

impl Visit {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        match self {
            Self::New(new) => new.run(),
            Self::Show(show) => show.run(),
            Self::Export(export) => export.run(),
            Self::Import(import) => import.run(),
        }
    }
}

impl New {
    fn run(self) -> Result<Verdict, Failure> {
        let mut workshop = self.journal.open()?;
        let new = NewVisit {
            name: self.name,
            odometer: self.odometer,
            book: self.book,
            store: self.store,
            request: Request {
                vehicle: self.vehicle,
                tasks: self.tasks,
                objective: Objective::LeastToCarry,
                seconds: self.seconds,
                seed: 1,
                threads: 2,
            },
        };
        let line = Line::new();
        let begun = workshop.begin(&new, &line);
        line.done();
        let card = bench::card(workshop.visit(&begun?)?);
        print(&text::visit::card(&card))?;
        print("\nopen it at the bench: traywright serve\n")?;
        Ok(Verdict::Clean)
    }
}

impl Show {
    fn run(self) -> Result<Verdict, Failure> {
        let mut workshop = self.journal.open()?;
        let ids: Vec<VisitId> = match &self.visit {
            Some(id) => vec![super::journal::id(id)?],
            None => workshop.visits()?.into_iter().map(|line| line.visit).collect(),
        };
        let mut cards = Vec::new();
        for id in &ids {
            cards.push(bench::card(workshop.visit(id)?));
        }
        print(&text::visit::visits(&cards))?;
        Ok(Verdict::Clean)
    }
}

impl Export {
    fn run(self) -> Result<Verdict, Failure> {
        let workshop = self.journal.open()?;
        let id = super::journal::id(&self.visit)?;
        let carried = carry::export_visit(workshop.archive(), &id, &self.to)?;
        print(&format!(
            "{} entries and {} documents written to {}\n",
            carried.new,
            carried.documents,
            self.to.display()
        ))?;
        super::journal::missing(&carried)
    }
}

impl Import {
    fn run(self) -> Result<Verdict, Failure> {
        let mut workshop = self.journal.open()?;
        let carried = carry::import_visit(workshop.archive_mut(), &self.from)?;
        let ids: Vec<&str> = carried.visits.iter().map(VisitId::as_str).collect();
        print(&format!(
            "visit {}: {} entries new, {} were here already, {} documents\n",
            ids.join(", "),
            carried.new,
            carried.known,
            carried.documents
        ))?;
        super::journal::missing(&carried)
    }
}
