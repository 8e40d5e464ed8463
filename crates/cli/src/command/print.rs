//! `traywright print`: the sheets of a plan or a visit as a PDF, or as a page that prints.

use super::journal::Journal;
use crate::exit::{Failure, Verdict, print};
use crate::progress::Line;
use app::ask::Request;
use app::model::plan::Objective;
use app::paper::{self, Grid, Job, Kind, NoPaper, PACK, Wanted};
use clap::builder::PossibleValuesParser;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

fn kinds() -> PossibleValuesParser {
    let names = Kind::ALL.iter().map(|kind| kind.name()).chain(core::iter::once(PACK));
    PossibleValuesParser::new(names.collect::<Vec<_>>())
}

fn grids() -> PossibleValuesParser {
    PossibleValuesParser::new(Grid::ALL.map(Grid::name))
}

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Size {
    /// 210 mm by 297 mm.
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

/// Prints sheets of a plan or a visit: labels, hole cards, kit, shopping, job cards, tightening, readings, resume card,
/// ledger, owner's report, method; or all of them as one pack with contents.
///
/// A plan is made from --book and --store as `traywright plan` makes it; a visit is read from its journal. A file that ends
/// in .html is a page that prints from a browser. Print labels and hole cards at 100 %, never "fit to page".
#[derive(Debug, Args)]
pub struct Print {
    /// Kind of sheet.
    #[arg(value_parser = kinds(), value_name = "KIND")]
    kind: String,
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH", requires = "store", required_unless_present = "visit")]
    book: Option<PathBuf>,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH", requires = "book")]
    store: Option<PathBuf>,
    /// Id of a visit, instead of book and store.
    #[arg(long, value_name = "ID", conflicts_with_all = ["book", "store", "tasks"])]
    visit: Option<String>,
    #[command(flatten)]
    journal: Journal,
    /// A task wanted this visit; may be given several times. Without it: all tasks of the book.
    #[arg(long = "task", value_name = "ID")]
    tasks: Vec<String>,
    /// Letter or short name that starts this vehicle's slots.
    #[arg(long, default_value = "A")]
    vehicle: String,
    /// Time limit of the planning.
    #[arg(long, default_value_t = 20.0)]
    seconds: f64,
    /// Size of the paper.
    #[arg(long, value_enum, default_value = "a4")]
    size: Size,
    /// How labels lie: plain paper with cut marks, or a sheet of labels by paper and number.
    #[arg(long, value_parser = grids(), default_value = "plain", value_name = "GRID")]
    labels: String,
    /// Labels of the first sheet that are used up already.
    #[arg(long, default_value_t = 0)]
    skip: u32,
    /// Address of the bench pages, for the codes on the labels: http://192.0.2.7:7420
    #[arg(long, value_name = "ADDRESS", requires = "visit", default_value = "")]
    link: String,
    /// Date on the sheets; without it, today.
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// The file to write; without it, the kind's name with .pdf.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl Print {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let wanted = Wanted {
            size: match self.size {
                Size::A4 => paper::PaperSize::A4,
                Size::Letter => paper::PaperSize::Letter,
            },
            grid: Grid::ALL.into_iter().find(|grid| grid.name() == self.labels).unwrap_or_default(),
            skip: self.skip,
            date: self.date.clone().unwrap_or_else(|| paper::today(&paper::here())),
        };
        let out = self.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}.pdf", self.kind)));
        match &self.visit {
            Some(text) => self.of_visit(text, &wanted, &out),
            None => self.of_plan(&wanted, &out),
        }
    }

    fn of_visit(&self, text: &str, wanted: &Wanted, out: &Path) -> Result<Verdict, Failure> {
        let id = super::journal::id(text)?;
        let mut workshop = self.journal.open()?;
        let write = |job: &Job<'_>| self.write(job, wanted, out);
        paper::with_visit(&mut workshop, &id, Kind::of(&self.kind), &self.link, &paper::here(), write)?
    }

    fn of_plan(&self, wanted: &Wanted, out: &Path) -> Result<Verdict, Failure> {
        let (Some(book), Some(store)) = (&self.book, &self.store) else {
            return Err(Failure::Input(String::from("give --book and --store, or --visit")));
        };
        let request = Request {
            vehicle: self.vehicle.clone(),
            tasks: self.tasks.clone(),
            objective: Objective::LeastToCarry,
            seconds: self.seconds,
            seed: 1,
            threads: 2,
        };
        let line = Line::new();
        let made = super::plan::planned(book, store, &request, &line);
        line.done();
        let (book, store, answer) = made?;
        self.write(&Job::of_plan(&book, &store, &answer.plan), wanted, out)
    }

    fn write(&self, job: &Job<'_>, wanted: &Wanted, out: &Path) -> Result<Verdict, Failure> {
        let pack = paper::bind(job, Kind::of(&self.kind), wanted)?;
        let is_page = out.extension().is_some_and(|end| end.eq_ignore_ascii_case("html"));
        let bytes = if is_page {
            paper::html(&pack).into_bytes()
        } else {
            paper::pdf(&pack).map_err(|error| Failure::Input(error.to_string()))?
        };
        paper::write(out, &bytes)
            .map_err(|error| Failure::Input(format!("cannot write {}: {error}", out.display())))?;
        let sheets = pack.sheets.len();
        print(&format!(
            "{sheets} {} written to {}\n",
            if sheets == 1 { "sheet" } else { "sheets" },
            out.display()
        ))?;
        Ok(Verdict::Clean)
    }
}

impl From<NoPaper> for Failure {
    fn from(error: NoPaper) -> Self {
        Self::Input(error.to_string())
    }
}
