//! `traywright visit`: a vehicle's stay, opened, shown, carried to another computer.

use super::goal::{AddTaskCommand, DropTaskCommand, PlanToCommand};
use super::journal::JournalArguments;
use super::plan::SearchLimitArguments;
use super::shop_dates::{ExpectPartCommand, PromiseVisitCommand, VisitFirstCommand};
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::ask::PlanRequest;
use app::load::{WantedFile, require_kind};
use app::model::plan::KitObjective;
use app::record::VisitBody;
use app::record::vehicle::OdometerValue;
use app::records::{
    FigureWordRecord, SettingRecord, SettingWordRecord, VisitListRecord, VisitRecord, WentOnRecord,
};
use app::text::table::count_with_noun;
use app::workshop::door::{self, DoorTask};
use app::workshop::{BookOutWanted, NewVisit, VisitId, carry};
use app::{bench, text};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// A vehicle's stay: opened with or without a plan, worked at the bench, carried as one file.
#[derive(Debug, Subcommand)]
pub enum VisitSubcommand {
    New(NewVisitCommand),
    Show(ShowVisitsCommand),
    Book(VisitBookCommand),
    Export(ExportVisitCommand),
    Import(ImportVisitCommand),
    Figure(GiveFigureCommand),
    Setting(ChangeSettingCommand),
    GoOn(GoOnCommand),
    AddTask(AddTaskCommand),
    DropTask(DropTaskCommand),
    PlanTo(PlanToCommand),
    Promise(PromiseVisitCommand),
    Part(ExpectPartCommand),
    First(VisitFirstCommand),
}

/// Opens a visit: planned with a book and a store, or without them.
#[derive(Debug, Args)]
pub struct NewVisitCommand {
    /// The book: a file or a folder. Without it the visit has notes, pictures, counts and a ledger, but no steps.
    #[arg(long, value_name = "PATH")]
    book: Option<PathBuf>,
    /// The store: a file or a folder. With book and store the visit is planned.
    #[arg(long, value_name = "PATH")]
    store: Option<PathBuf>,
    /// A task wanted this visit, by its key; may be given several times. Without it: all tasks of the book.
    #[arg(long = "task", value_name = "KEY")]
    tasks: Vec<String>,
    /// Letter that starts this vehicle's slots; no other open visit may have it. Without it: the first that is free.
    #[arg(long, value_name = "LETTER")]
    letter: Option<String>,
    /// What you call the vehicle.
    #[arg(long, default_value = "unnamed vehicle")]
    name: String,
    /// The vehicle, where it was here before: its id or its name, as `vehicle list` shows them.
    #[arg(long, value_name = "VEHICLE")]
    vehicle: Option<String>,
    /// Distance driven, with its unit: "412300 km".
    #[arg(long, value_name = "DISTANCE")]
    odometer: Option<String>,
    #[command(flatten)]
    limits: SearchLimitArguments,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Shows all visits, or one.
#[derive(Debug, Args)]
pub struct ShowVisitsCommand {
    /// The visit: its id, or the letter of an open one. Without it: all.
    visit: Option<String>,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Writes the book that a visit leaves: what was seen at the engine, in the order in which it came off.
///
/// With --own-shelf it is a book in the book format, with the figures that were told at the bench and their sources. Without, it is
/// one file for another workshop: no vehicle, owner, person, device or time is in it, and no figure that is not named; look at
/// each picture before you pass it on.
#[derive(Debug, Args)]
pub struct VisitBookCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The file to write; it must not exist yet.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// What the book is called.
    #[arg(long, required_unless_present = "own_shelf")]
    title: Option<String>,
    /// For the own shelf: a book in the book format.
    #[arg(long, conflicts_with_all = ["licence", "figure_of", "no_pictures"])]
    own_shelf: bool,
    /// On what terms others may use it.
    #[arg(long, default_value = "free to use, change and pass on", value_name = "TEXT")]
    licence: String,
    /// A fixing whose tightening figure may leave, by its key; may be given several times.
    #[arg(long, value_name = "KEY")]
    figure_of: Vec<String>,
    /// Leave the pictures at home.
    #[arg(long)]
    no_pictures: bool,
    #[command(flatten)]
    journal: JournalArguments,
}

impl VisitBookCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.read_workshop()?;
        let id = workshop.find_visit(&self.visit)?;
        let (text, mut told) = if self.own_shelf {
            let grown = workshop.book_of_visit(&id, self.title.as_deref())?;
            let left = grown.left_out.iter().map(|words| format!("left out: {words}\n")).collect::<String>();
            (grown.text, left)
        } else {
            let wanted = BookOutWanted {
                title: self.title.unwrap_or_default(),
                licence: self.licence,
                figures: self.figure_of.into_iter().collect(),
                with_pictures: !self.no_pictures,
            };
            let carried = workshop.carry_book(&id, &wanted)?;
            let pictures = count_with_noun(carried.pictures.len(), "picture");
            (carried.to_text(), format!("{pictures} in it; look at each before you pass the file on\n"))
        };
        app::first_book::write_new_file(&self.out, text)?;
        told.insert_str(0, &format!("{} is written\n", self.out.display()));
        print_answer(&told)?;
        Ok(CommandVerdict::Clean)
    }
}

/// Writes one visit, with its pictures, into one new file.
#[derive(Debug, Args)]
pub struct ExportVisitCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The file to write; it must not exist yet.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Imports a visit from a file; what is already here is left unchanged.
#[derive(Debug, Args)]
pub struct ImportVisitCommand {
    /// The file that `visit export` wrote.
    #[arg(long, value_name = "FILE")]
    from: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Gives the tightening figure that the book does not have, or answers for going without one.
///
/// With a figure and its source the fixing can be tightened to it; with --none a person answers for tightening it without
/// one, and that stays in the owner's report.
#[derive(Debug, Args)]
pub struct GiveFigureCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The fixing, by its key in the book.
    #[arg(long, value_name = "KEY")]
    fixing: String,
    /// The figure with its unit: "45 N·m"; several passes: "20 N·m, then 90°".
    #[arg(long, value_name = "TORQUE", required_unless_present = "none", conflicts_with = "none")]
    figure: Option<String>,
    /// Where the figure is from: a document and the place in it.
    #[arg(long, value_name = "TEXT", required_unless_present = "none")]
    source: Option<String>,
    /// Tighten without a figure; wants --reason.
    #[arg(long, requires = "reason")]
    none: bool,
    /// Why it is tightened without a figure.
    #[arg(long, value_name = "TEXT")]
    reason: Option<String>,
    /// Who read the figure, or who answers for going without.
    #[arg(long, value_name = "NAME")]
    by: String,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Records that a setting of the vehicle was brought to a value by hand, without a step of the plan.
///
/// Settings and their values are those of the visit's book: the height of the lift, a beam, a pin. What does not stand as
/// it should at hand-over stays open in the ledger.
#[derive(Debug, Args)]
pub struct ChangeSettingCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The setting and the value that it has now, in the words of the book: lift=up.
    #[arg(long, value_name = "SETTING=VALUE", value_parser = parse_setting)]
    setting: (String, String),
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// Goes on while questions of the plan stand open: asked once a visit, and told in the owner's report.
#[derive(Debug, Args)]
pub struct GoOnCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// Who goes on.
    #[arg(long, value_name = "NAME")]
    by: String,
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl GoOnCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.change_workshop("visit go-on")?;
        let id = workshop.find_visit(&self.visit)?;
        let device = workshop.device().clone();
        let live = workshop.visit(&id)?;
        let body = live.plan().and_then(|plan| bench::go_on_body(plan, live.state(), &self.by));
        if let Some(body) = body {
            workshop.carry_out_command(&id, &device, &body.into())?;
        }
        let live = workshop.visit(&id)?;
        let record = WentOnRecord::of_visit(&id, live.state());
        if self.json {
            print_json("visit-go-on", &record)?;
        } else {
            print_answer(&format!("{}\n", record.words))?;
        }
        Ok(CommandVerdict::Clean)
    }
}

impl VisitSubcommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        match self {
            Self::New(new) => new.run_command(),
            Self::Show(show) => show.run_command(),
            Self::Book(book) => book.run_command(),
            Self::Export(export) => export.run_command(),
            Self::Import(import) => import.run_command(),
            Self::Figure(figure) => figure.run_command(),
            Self::Setting(setting) => setting.run_command(),
            Self::GoOn(go_on) => go_on.run_command(),
            Self::AddTask(add) => add.run_command(),
            Self::DropTask(drop) => drop.run_command(),
            Self::PlanTo(to) => to.run_command(),
            Self::Promise(promise) => promise.run_command(),
            Self::Part(part) => part.run_command(),
            Self::First(first) => first.run_command(),
        }
    }
}

/// A setting and its value, as they were typed.
fn parse_setting(text: &str) -> Result<(String, String), String> {
    let (setting, value) = text.split_once('=').ok_or_else(|| String::from("write it as lift=up"))?;
    Ok((setting.trim().to_owned(), value.trim().to_owned()))
}

/// What an odometer shows, as it was typed: thousands may be parted by commas or blanks.
fn parse_odometer(text: &str) -> Result<OdometerValue, CommandFailure> {
    OdometerValue::parse_words(text).ok_or_else(|| {
        CommandFailure::bad_request(format!(
            "--odometer `{text}` is not a figure with its unit; write it as \"412300 km\", \"98500 mi\" or \"2310 h\""
        ))
    })
}

impl NewVisitCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let odometer = self.odometer.as_deref().map(parse_odometer).transpose()?;
        let mut workshop = self.journal.open_or_make_workshop("visit new")?;
        let vehicle = self.vehicle.as_deref().map(|typed| workshop.find_vehicle(typed)).transpose()?;
        let is_planned = self.book.is_some() && self.store.is_some();
        if !is_planned && !self.tasks.is_empty() {
            return Err(CommandFailure::bad_request(
                "--task needs a book and a store to plan with; give both",
            ));
        }
        let letter = match self.letter {
            Some(letter) => letter,
            None => workshop.free_letter().unwrap_or_else(|| String::from("A")),
        };
        workshop.require_free_letter(&letter)?;
        let request = PlanRequest {
            vehicle: letter.clone(),
            tasks: self.tasks,
            objective: KitObjective::Balanced,
            seconds: self.limits.seconds,
            stop_after_s: self.limits.stop_after_s,
            seed: 1,
            threads: 2,
        };
        let new = NewVisit {
            letter,
            vehicle,
            name: self.name,
            odometer: odometer.map(|reading| reading.to_string()),
            book: self.book,
            store: self.store,
            request: is_planned.then_some(request),
        };
        let line = ProgressLine::new();
        let begun = workshop.begin_visit(&new, &line);
        line.clear_line();
        let card = bench::visit_card(workshop.visit(&begun?)?);
        if self.json {
            print_json("visit-new", &VisitRecord::of_card(&card))?;
            return Ok(CommandVerdict::Clean);
        }
        print_answer(&text::visit::format_visit_card(&card, page_width()))?;
        print_answer("\nopen it at the bench: traywright serve\n")?;
        Ok(CommandVerdict::Clean)
    }
}

impl ShowVisitsCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.read_workshop()?;
        let cards = match &self.visit {
            Some(typed) => {
                let id = workshop.find_visit(typed)?;
                vec![bench::visit_card(workshop.visit(&id)?)]
            }
            None => bench::visit_cards(&mut workshop)?,
        };
        if self.json {
            print_json("visit-show", &VisitListRecord::of_cards(&cards))?;
        } else {
            print_answer(&text::visit::format_visits(&cards, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}

impl ExportVisitCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.read_workshop()?;
        let id = workshop.find_visit(&self.visit)?;
        let carried = carry::export_visit(workshop.archive(), &id, &self.out)?;
        let entries = count_with_noun(carried.new as usize, "entry");
        let documents = count_with_noun(carried.documents as usize, "document");
        let words = format!("{entries} and {documents} written to {}\n", self.out.display());
        let words = (!self.json).then_some(words.as_str());
        super::journal::report_transfer("visit-export", &self.out, &carried, words)
    }
}

impl ImportVisitCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let place = self.journal.journal_path();
        require_kind(&self.from, WantedFile::VisitFile)?;
        let carried = match door::find_server(place)? {
            Some(server) => {
                door::ask_server(place, &server, DoorTask::Import, &self.from)?.into_transfer()?
            }
            None => self.journal.open_or_make_workshop("visit import")?.import_visit_file(&self.from)?,
        };
        let ids: Vec<&str> = carried.visits.iter().map(VisitId::as_str).collect();
        let words = format!(
            "visit {}: {}, {} already here, {}\n",
            ids.join(", "),
            count_with_noun(carried.new as usize, "new entry"),
            carried.known,
            count_with_noun(carried.documents as usize, "document")
        );
        let words = (!self.json).then_some(words.as_str());
        super::journal::report_transfer("visit-import", &self.from, &carried, words)
    }
}

impl GiveFigureCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.change_workshop("visit figure")?;
        let id = workshop.find_visit(&self.visit)?;
        let device = workshop.device().clone();
        let (fixing, name) = (self.fixing.clone(), self.by);
        let body = match self.figure {
            Some(figure) => {
                VisitBody::FigureGiven { fixing, figure, source: self.source.unwrap_or_default(), name }
            }
            None => VisitBody::FigureWaived { fixing, reason: self.reason.unwrap_or_default(), name },
        };
        workshop.carry_out_command(&id, &device, &body.into())?;
        let live = workshop.visit(&id)?;
        let fixings = [self.fixing];
        let said =
            live.book().map_or_else(Vec::new, |book| bench::missing_figures(book, live.state(), &fixings));
        for figure in &said {
            if self.json {
                print_json("visit-figure", &FigureWordRecord::of_figure(&id, figure))?;
            } else {
                print_answer(&text::visit::format_missing_figure(figure, page_width()))?;
            }
        }
        Ok(CommandVerdict::clean_if(said.iter().all(|figure| figure.remark.is_none())))
    }
}

impl ChangeSettingCommand {
    fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let mut workshop = self.journal.change_workshop("visit setting")?;
        let id = workshop.find_visit(&self.visit)?;
        let device = workshop.device().clone();
        let (setting, value) = self.setting;
        let body = VisitBody::SettingChanged { setting: setting.clone(), value };
        workshop.carry_out_command(&id, &device, &body.into())?;
        let live = workshop.visit(&id)?;
        let cards = live.book().map_or_else(Vec::new, |book| bench::setting_cards(live.state(), book));
        for card in cards.iter().filter(|card| card.setting == setting) {
            if self.json {
                let record = SettingWordRecord { visit: id.clone(), now: SettingRecord::of_card(card) };
                print_json("visit-setting", &record)?;
            } else {
                print_answer(&format!("{}\n", text::visit::format_setting(card)))?;
            }
        }
        Ok(CommandVerdict::Clean)
    }
}
