//! `traywright print`: the sheets of a plan or a visit as a PDF, or as a page that prints.

use super::journal::JournalArguments;
use super::plan::SearchLimitArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::ask::PlanRequest;
use app::model::plan::KitObjective;
use app::paper::{self, LabelPaper, PACK, PaperJob, PrintOptions, SheetKind};
use app::records::PrintedRecord;
use app::write;
use clap::builder::PossibleValuesParser;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

fn sheet_kind_parser() -> PossibleValuesParser {
    let names = SheetKind::ALL.iter().map(|kind| kind.name()).chain(core::iter::once(PACK));
    PossibleValuesParser::new(names.collect::<Vec<_>>())
}

fn label_paper_parser() -> PossibleValuesParser {
    PossibleValuesParser::new(LabelPaper::ALL.map(LabelPaper::name))
}

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PaperSizeArgument {
    /// 210 mm by 297 mm.
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

/// Prints sheets of a plan or a visit: front page, kit, shopping, tray map, labels, work list, joints, hole cards, readings,
/// resume card, ledger; all of these as one pack; or apart from it the method and the owner's report.
///
/// Says how many pages they are before it writes them.
/// A plan is made from --book and --store as `traywright plan` makes it; a visit is read from its journal. A file that ends
/// in .html is a page that prints from a browser. Print labels and hole cards at 100 %, never "fit to page".
#[derive(Debug, Args)]
pub struct PrintCommand {
    /// Kind of sheet.
    #[arg(value_parser = sheet_kind_parser(), value_name = "KIND")]
    kind: String,
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH", requires = "store", required_unless_present = "visit")]
    book: Option<PathBuf>,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH", requires = "book")]
    store: Option<PathBuf>,
    /// A visit, instead of book and store: its id, or the letter of an open one.
    #[arg(long, value_name = "VISIT", conflicts_with_all = ["book", "store", "tasks"])]
    visit: Option<String>,
    #[command(flatten)]
    journal: JournalArguments,
    /// A task wanted this visit, by its key; may be given several times. Without it: all tasks of the book.
    #[arg(long = "task", value_name = "KEY")]
    tasks: Vec<String>,
    /// Letter or short name that starts this vehicle's slots.
    #[arg(long, default_value = "A", value_name = "LETTER")]
    letter: String,
    #[command(flatten)]
    limits: SearchLimitArguments,
    /// Size of the paper.
    #[arg(long, value_enum, default_value = "a4")]
    size: PaperSizeArgument,
    /// Layout of the labels: plain paper with cut marks, or a sheet of labels by paper and number.
    #[arg(long, value_parser = label_paper_parser(), default_value = "plain", value_name = "GRID")]
    labels: String,
    /// Labels of the first sheet that are already used.
    #[arg(long, value_name = "N", default_value_t = 0)]
    skip: u32,
    /// Hole cards larger than the page on several pages in true size; without it, smaller on one page.
    #[arg(long)]
    true_size: bool,
    /// Say how many pages it would take, and write nothing.
    #[arg(long, conflicts_with_all = ["out", "json"])]
    pages: bool,
    /// Address of the bench pages, for the codes on the labels: http://192.0.2.7:7420
    #[arg(long, value_name = "ADDRESS", requires = "visit", default_value = "", hide_default_value = true)]
    link: String,
    /// Date on the sheets; without it, today.
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// The file to write; without it, the kind's name with .pdf.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl PrintCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let wanted = PrintOptions {
            size: match self.size {
                PaperSizeArgument::A4 => paper::PaperSize::A4,
                PaperSizeArgument::Letter => paper::PaperSize::Letter,
            },
            grid: LabelPaper::ALL.into_iter().find(|grid| grid.name() == self.labels).unwrap_or_default(),
            skip: self.skip,
            true_size: self.true_size,
            date: match &self.date {
                Some(text) => paper::parse_sheet_date(text)?,
                None => paper::today_in_zone(&paper::local_zone()),
            },
        };
        let out = self.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}.pdf", self.kind)));
        match &self.visit {
            Some(text) => self.print_visit(text, &wanted, &out),
            None => self.print_plan(&wanted, &out),
        }
    }

    fn print_visit(
        &self,
        text: &str,
        wanted: &PrintOptions,
        out: &Path,
    ) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.read_workshop()?;
        let id = workshop.find_visit(text)?;
        let write = |job: &PaperJob<'_>| self.write_pack(job, wanted, out);
        let zone = paper::local_zone();
        let kind = SheetKind::from_name(&self.kind);
        let wish = paper::VisitPaper { kind, base: &self.link, zone: &zone, today: &wanted.date };
        paper::with_visit(&mut workshop, &id, &wish, write)?
    }

    fn print_plan(&self, wanted: &PrintOptions, out: &Path) -> Result<CommandVerdict, CommandFailure> {
        let (Some(book), Some(store)) = (&self.book, &self.store) else {
            return Err(CommandFailure::bad_request("give --book and --store, or --visit"));
        };
        let request = PlanRequest {
            vehicle: self.letter.clone(),
            tasks: self.tasks.clone(),
            objective: KitObjective::Balanced,
            seconds: self.limits.seconds,
            stop_after_s: self.limits.stop_after_s,
            seed: 1,
            threads: 2,
        };
        let line = ProgressLine::new();
        let made = super::plan::make_clean_plan(book, store, &request, &line);
        line.clear_line();
        let (book, store, answer) = made?;
        self.write_pack(&PaperJob::of_plan(&book, &store, &answer.plan), wanted, out)
    }

    fn write_pack(
        &self,
        job: &PaperJob<'_>,
        wanted: &PrintOptions,
        out: &Path,
    ) -> Result<CommandVerdict, CommandFailure> {
        let pack = paper::bind_pack(job, SheetKind::from_name(&self.kind), wanted)?;
        let is_page = out.extension().is_some_and(|end| end.eq_ignore_ascii_case("html"));
        let laid = paper::lay_out_pack(&pack)?;
        // Said before the file is written: nobody sends a hundred pages to a printer by mistake.
        if !self.json && !is_page {
            print_answer(&app::text::paper::format_pages(&laid, wanted.size, page_width()))?;
        }
        if self.pages {
            return Ok(CommandVerdict::Clean);
        }
        let bytes = if is_page { paper::write_html(&pack).into_bytes() } else { laid.write_pdf()? };
        write::write_file(out, &bytes)?;
        let sheets = pack.sheets.len();
        if self.json {
            print_json("print", &PrintedRecord::of_file(&self.kind, out, sheets, &bytes))?;
            return Ok(CommandVerdict::Clean);
        }
        print_answer(&format!("written to {}\n", out.display()))?;
        Ok(CommandVerdict::Clean)
    }
}
