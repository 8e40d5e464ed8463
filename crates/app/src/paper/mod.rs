//! Paper for the bench: the sheets of a plan or a visit, built for `print::paper`, one module per kind.
//!
//! A [`PaperJob`] is what the sheets are about; [`pack_of_all`] makes what one run prints. A sheet says only what book, store, plan and
//! visit hold: where a price, a limit or a date is not known, it says so and leaves a place to write.

mod cart_top;
mod cautions;
mod estimate;
mod front;
mod hole_card;
mod jobs;
mod kit;
mod labels;
mod ledger;
mod method;
mod owner;
mod plan_page;
mod readings;
mod resume;
mod settings;
mod shopping;
mod tightening;
mod trays;
mod words;

use std::collections::BTreeMap;

use jiff::tz::TimeZone;
use model::plan::Plan;
use model::{Book, Store};
use plan::hours::PlanHours;
use print::paper::PaperSheet;
use record::Visit;

use hole_card::CardChoice;
use jobs::CautionPlace;
use labels::LabelChoice;

pub use labels::LabelPaper;
pub use plan_page::{STACK_ROOM, write_plan_page};
pub use print::paper::{LaidPack, Pack, PaperError, PaperSize, lay_out_pack, write_html, write_pdf};

pub(crate) use shopping::supply_line_price;
pub(crate) use words::hands_s as hands_on_s;

use crate::evidence::due::TaskDue;
use crate::evidence::estimate::WorkshopTerms;
use crate::job_hours::KnownTimes;
use crate::workshop::{EventArchive, VisitId, Workshop, WorkshopError};

/// A kind of sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SheetKind {
    /// Whether one may begin, how long it takes, every caution.
    Front,
    /// Where an interrupted visit is.
    Resume,
    /// What is open, for windscreen and key ring.
    Ledger,
    /// What has to lie on the cart, by where it is kept.
    Kit,
    /// What is missing, with its specification.
    Shopping,
    /// The trays as they lie.
    Trays,
    /// Labels of trays, bags and boxes.
    Labels,
    /// Steps to be ticked off by hand.
    Jobs,
    /// Joints: holes, order, passes and wrench settings.
    Tightening,
    /// Holes in true size.
    HoleCards,
    /// Readings to be filled in by pencil.
    Readings,
    /// The job as an illustrated procedure.
    Method,
    /// What the owner has to know.
    Owner,
    /// What it may cost, before the work.
    Estimate,
}

impl SheetKind {
    /// All kinds, in the order of a pack.
    pub const ALL: [Self; 14] = [
        Self::Front,
        Self::Resume,
        Self::Ledger,
        Self::Kit,
        Self::Shopping,
        Self::Trays,
        Self::Labels,
        Self::Jobs,
        Self::Tightening,
        Self::HoleCards,
        Self::Readings,
        Self::Method,
        Self::Owner,
        Self::Estimate,
    ];

    /// Short name for commands and addresses.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Resume => "resume",
            Self::Ledger => "ledger",
            Self::Kit => "kit",
            Self::Shopping => "shopping",
            Self::Trays => "trays",
            Self::Labels => "labels",
            Self::HoleCards => "hole-cards",
            Self::Jobs => "jobs",
            Self::Tightening => "tightening",
            Self::Readings => "readings",
            Self::Method => "method",
            Self::Owner => "owner",
            Self::Estimate => "estimate",
        }
    }

    /// What a person calls it.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Front => "Front page",
            Self::Resume => "Resume card",
            Self::Ledger => "Ledger for windscreen and key ring",
            Self::Kit => "Kit sheet",
            Self::Shopping => "Shopping sheet",
            Self::Trays => "Tray map",
            Self::Labels => "Labels",
            Self::HoleCards => "Hole cards",
            Self::Jobs => "Work list",
            Self::Tightening => "Joints",
            Self::Readings => "Readings sheet",
            Self::Method => "Method sheet",
            Self::Owner => "Owner's report",
            Self::Estimate => "Estimate",
        }
    }

    /// What it is good for, in one sentence.
    #[must_use]
    pub const fn about(self) -> &'static str {
        match self {
            Self::Front => "Whether one may begin, how long it takes, every caution once, and what is where.",
            Self::Resume => "Where the work was interrupted, what to look at again, what comes next.",
            Self::Ledger => "Whether the vehicle may be started, lowered, moved, and what is open.",
            Self::Kit => {
                "One walk round the cabinets collects everything; stacks to put together; what goes back when."
            }
            Self::Shopping => "Missing pieces with their specification, parts and supplies.",
            Self::Trays => "Each tray as it lies, with what belongs in each compartment.",
            Self::Labels => "One for each compartment, bag and card.",
            Self::HoleCards => "Holes in true size to punch in cardboard; print at 100 %.",
            Self::Jobs => {
                "Strip, work and refit, one box a part: steps to tick off by hand, every tool in words."
            }
            Self::Tightening => {
                "Holes by name in the order of the work, passes, and what the wrench is set to."
            }
            Self::Readings => "Values to write down in pencil, with their limits.",
            Self::Method => "The job as an illustrated procedure.",
            Self::Owner => "What was asked, found, done and declined, what it may cost, what comes next.",
            Self::Estimate => "Hours as a range, parts, what may turn up and what it would then cost.",
        }
    }

    /// The kind of a name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Whether it shows pictures of the visit.
    const fn shows_pictures(self) -> bool {
        matches!(self, Self::Method | Self::Owner)
    }

    /// Whether it hangs at the engine; the others are about the job and print apart.
    const fn is_in_pack(self) -> bool {
        !matches!(self, Self::Method | Self::Owner | Self::Estimate)
    }

    /// Whether it says something about a visit that a plan alone does not know.
    #[must_use]
    pub const fn needs_visit(self) -> bool {
        matches!(self, Self::Resume | Self::Ledger)
    }
}

/// The visit that the sheets are about.
#[derive(Debug)]
pub struct PaperVisit<'a> {
    /// Its id.
    pub id: String,
    /// Its state.
    pub state: &'a Visit,
    /// Pictures at hand, by the name of their content.
    pub photos: BTreeMap<String, Vec<u8>>,
}

/// What the sheets are about.
#[derive(Debug)]
pub struct PaperJob<'a> {
    /// The book.
    pub book: &'a Book,
    /// The tool store.
    pub store: &'a Store,
    /// The plan.
    pub plan: &'a Plan,
    /// The visit, where there is one.
    pub visit: Option<PaperVisit<'a>>,
    /// Address of the bench pages without a slash at its end; empty where labels carry no code to be read by a camera.
    pub base: String,
    /// Zone of the times on the sheets.
    pub zone: TimeZone,
    /// What an hour costs, and what stands under an estimate.
    pub terms: WorkshopTerms,
    /// What is known of the times of the job.
    pub times: KnownTimes,
    /// What falls due next on the vehicle; empty where nothing is known of it.
    pub due: Vec<TaskDue>,
}

impl<'a> PaperJob<'a> {
    /// The sheets of a plan.
    #[must_use]
    pub fn of_plan(book: &'a Book, store: &'a Store, plan: &'a Plan) -> Self {
        Self {
            book,
            store,
            plan,
            visit: None,
            base: String::new(),
            zone: TimeZone::UTC,
            terms: WorkshopTerms::default(),
            times: KnownTimes::assumed(),
            due: Vec::new(),
        }
    }

    /// The hours of the plan by what is known of times.
    #[must_use]
    pub fn hours(&self) -> PlanHours {
        PlanHours::of_plan(self.book, self.plan, &self.times.shared())
    }

    /// The state of the visit, where there is one.
    #[must_use]
    pub fn state(&self) -> Option<&'a Visit> {
        self.visit.as_ref().map(|visit| visit.state)
    }
}

/// How to print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintOptions {
    /// Paper.
    pub size: PaperSize,
    /// How labels lie.
    pub grid: LabelPaper,
    /// Places of the first label sheet that are used up already.
    pub skip: u32,
    /// The date that is on each page.
    pub date: String,
    /// Hole cards larger than the page on several pages in true size, and not smaller on one.
    pub true_size: bool,
}

/// Why there is no such sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SheetError {
    /// It is about a visit, and there is only a plan.
    NeedsVisit(SheetKind),
    /// There is nothing to put on it.
    Nothing {
        /// Kind of sheet.
        kind: SheetKind,
        /// Why.
        words: &'static str,
    },
    /// Labels for another paper.
    OtherPaper(LabelPaper),
    /// More places are used up than a sheet has.
    Skip {
        /// As asked.
        skip: u32,
        /// Labels on a sheet.
        places: u32,
    },
}

impl core::fmt::Display for SheetError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::NeedsVisit(kind) => {
                write!(f, "`{}` is about a visit; name one with --visit", kind.name())
            }
            Self::Nothing { kind, words } => write!(f, "`{}` would be empty: {words}", kind.name()),
            Self::OtherPaper(grid) => {
                write!(f, "labels `{}` are made for the other paper size; choose that size", grid.name())
            }
            Self::Skip { skip, places } => {
                write!(f, "a sheet has {places} labels, so --skip must be less than that, not {skip}")
            }
        }
    }
}

impl core::error::Error for SheetError {}

/// The sheets of one kind.
///
/// # Errors
/// [`SheetError`] where the plan or visit has nothing for it.
pub fn sheets_of_kind(
    job: &PaperJob<'_>,
    kind: SheetKind,
    wanted: &PrintOptions,
) -> Result<Vec<PaperSheet>, SheetError> {
    match kind {
        SheetKind::Front => Ok(front::front_sheets(job)),
        SheetKind::Resume => resume::resume_sheets(job),
        SheetKind::Ledger => ledger::ledger_sheets(job),
        SheetKind::Kit => kit::kit_sheets(job),
        SheetKind::Shopping => Ok(shopping::shopping_sheets(job)),
        SheetKind::Trays => trays::tray_sheets(job),
        SheetKind::Labels => labels::label_sheets(job, wanted, LabelChoice::All),
        SheetKind::HoleCards => hole_card::hole_card_sheets(job, wanted, CardChoice::WorthPunching),
        SheetKind::Jobs => jobs::work_list_sheets(job, CautionPlace::Here),
        SheetKind::Tightening => tightening::tightening_sheets(job),
        SheetKind::Readings => Ok(readings::readings_sheets(job)),
        SheetKind::Method => method::method_sheets(job),
        SheetKind::Owner => Ok(owner::owner_sheets(job)),
        SheetKind::Estimate => Ok(estimate::estimate_sheets(job)),
    }
}

/// Name of all sheets in one file, for commands and addresses.
pub const PACK: &str = "pack";

/// What one run prints: the sheets of a kind, or all.
///
/// # Errors
/// As [`pack_of_kind`] and [`pack_of_all`].
pub fn bind_pack(
    job: &PaperJob<'_>,
    kind: Option<SheetKind>,
    wanted: &PrintOptions,
) -> Result<Pack, SheetError> {
    kind.map_or_else(|| pack_of_all(job, wanted), |kind| pack_of_kind(job, kind, wanted))
}

/// What one run prints of one kind.
///
/// # Errors
/// [`SheetError`] where the plan or visit has nothing for it.
pub fn pack_of_kind(job: &PaperJob<'_>, kind: SheetKind, wanted: &PrintOptions) -> Result<Pack, SheetError> {
    let title = format!("{}: {}", kind.title(), words::vehicle_title(job));
    Ok(assemble_pack(title, kind.about().to_owned(), wanted, sheets_of_kind(job, kind, wanted)?))
}

/// What hangs at the engine: the sheets that plan or visit have something for, the front page first. Trays have a map, so only
/// bags and cards get labels; cautions stand on the front page, so the work list names them by number.
///
/// # Errors
/// [`SheetError::OtherPaper`] and [`SheetError::Skip`], where the labels asked for do not fit.
pub fn pack_of_all(job: &PaperJob<'_>, wanted: &PrintOptions) -> Result<Pack, SheetError> {
    let mut all = Vec::new();
    for kind in SheetKind::ALL.into_iter().filter(|kind| kind.is_in_pack()) {
        let sheets = match kind {
            SheetKind::Labels => labels::label_sheets(job, wanted, LabelChoice::BagsAndCards),
            SheetKind::Jobs => jobs::work_list_sheets(job, CautionPlace::FrontPage),
            SheetKind::HoleCards => hole_card::hole_card_sheets(job, wanted, CardChoice::KeptOnCards),
            other => sheets_of_kind(job, other, wanted),
        };
        match sheets {
            Ok(sheets) => all.extend(sheets),
            Err(SheetError::NeedsVisit(_) | SheetError::Nothing { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    let title = format!("Bench pack: {}", words::vehicle_title(job));
    let about = format!("{}. {}", job.book.title, words::SERVICE_DATA);
    Ok(assemble_pack(title, about, wanted, all))
}

/// Language of all sheets: books are written in English, and no book names another.
const LANGUAGE: &str = "en";

fn assemble_pack(title: String, about: String, wanted: &PrintOptions, sheets: Vec<PaperSheet>) -> Pack {
    let (date, language) = (wanted.date.clone(), String::from(LANGUAGE));
    Pack { title, about, date, language, size: wanted.size, contents: false, sheets }
}

/// What the sheets of a visit are made with.
#[derive(Debug, Clone, Copy)]
pub struct VisitPaper<'a> {
    /// The kind of sheet; `None`: all that hang at the engine.
    pub kind: Option<SheetKind>,
    /// Address of the bench, for links.
    pub base: &'a str,
    /// Time zone of all times.
    pub zone: &'a TimeZone,
    /// The day that is on the sheets, as 2026-03-14; what falls due is told as of it.
    pub today: &'a str,
}

/// Calls a function with the sheets of a visit: those of a kind, or all; pictures and what falls due are read only
/// where the sheets show them.
///
/// # Errors
/// [`WorkshopError::Missing`] without a plan; when the visit or a picture cannot be read.
pub fn with_visit<T>(
    workshop: &mut Workshop,
    id: &VisitId,
    wish: &VisitPaper<'_>,
    make: impl FnOnce(&PaperJob<'_>) -> T,
) -> Result<T, WorkshopError> {
    let VisitPaper { kind, base, zone, today } = *wish;
    let pictures = &workshop.visit(id)?.state().pictures;
    let wanted = pictures.iter().filter(|_| kind.is_none_or(SheetKind::shows_pictures));
    let names: Vec<_> = wanted.map(|p| p.picture.clone()).collect();
    let mut photos = BTreeMap::new();
    for name in names {
        if let Some(document) = workshop.archive().find_document(&name)? {
            photos.insert(name.to_string(), document.bytes);
        }
    }
    let vehicle =
        workshop.visit(id)?.state().opened.as_ref().and_then(|opened| opened.vehicle.as_ref()?.vehicle_id());
    let asked = vehicle.filter(|_| kind == Some(SheetKind::Owner)).zip(today.parse().ok());
    let due = match asked {
        Some((vehicle, today)) => workshop.vehicle_history_on(&vehicle, today, zone)?.due,
        None => Vec::new(),
    };
    let terms = workshop.estimate_terms();
    let engine = workshop.visit(id)?.book().map_or_else(String::new, |book| book.title.clone());
    let times = workshop.known_times(&engine)?;
    let live = workshop.visit(id)?;
    let (book, store, plan) = live.require_planned_texts()?;
    Ok(make(&PaperJob {
        book,
        store,
        plan,
        visit: Some(PaperVisit { id: id.to_string(), state: live.state(), photos }),
        base: base.trim_end_matches('/').to_owned(),
        zone: zone.clone(),
        terms,
        times,
        due,
    }))
}

/// A date for the sheets.
///
/// # Errors
/// [`crate::ask::AskError::Argument`] for a text that is not a day of the calendar.
pub fn parse_sheet_date(text: &str) -> Result<String, crate::ask::AskError> {
    let day: Result<jiff::civil::Date, _> = text.parse();
    day.map(|day| day.to_string()).map_err(|_| {
        crate::ask::AskError::argument_error(format!("`{text}` is not a date; write 2027-03-01"))
    })
}

/// Today's date in a zone, as it is on the sheets.
#[must_use]
pub fn today_in_zone(zone: &TimeZone) -> String {
    jiff::Timestamp::now().to_zoned_datetime(zone.clone()).strftime("%Y-%m-%d").to_string()
}

/// The zone of this computer.
#[must_use]
pub fn local_zone() -> TimeZone {
    TimeZone::system()
}
