//! All open visits of the workshop on one calendar: what to do next over all vehicles, when each is finished, who is late, who stands
//! against whom for the lift.
//!
//! A visit's work is what is left of its plan, in the order of the plan (`items`). Hours, holidays, promises, parts to come and who goes
//! first are what the workshop's own stream says (`sayings`); what a request says counts before that, and writes nothing.

mod answer;
mod cart;
mod clock;
mod day;
mod held;
mod item_name;
mod items;
mod judged;
mod lanes;
mod sayings;
mod stretches;
mod things;

pub use answer::{
    WeekAnswer, WeekClash, WeekExpected, WeekFinish, WeekMoment, WeekNext, WeekPromise, WeekRow, WeekVisit,
};
pub use cart::{CartDrawer, DrawerPiece};
pub use day::{DayStretch, DayWork, WeekDay};
pub use lanes::WeekLayout;
pub use sayings::{DateShift, ThingDay, WeekSaying};
pub use stretches::{parse_stretches, stretch_words};
pub use things::{WantedKind, WantedThing};

use std::collections::{BTreeMap, BTreeSet};

use calendar::{
    BenchCalendar, BenchQuestion, CalendarSettings, ItemHands, MAX_OPEN_VISITS, OpenVisit, RollWork,
    make_bench_calendar,
};
use effort::RandomSeed;
use judge::together::{JudgedWorld, judge_together, read_world};
use judge::visits::judge_visits;
use model::{Book, Setting};
use record::visit::SettingStanding;
use record::workshop::VisitDates;
use record::{Ledger, Visit};
use times::{FactorPrior, LearnedFactor, TimeRecord, TimeSettings, follow_times, learn_factor};

use self::answer::{VisitFacts, starts_by_visit};
use self::cart::PiecesOfVisit;
use self::clock::WeekClock;
use self::held::HeldThings;
use self::items::{WorkLeft, WorkNow, is_on_lift, lay_out_plan};
use self::things::{ComingThing, WantedThing as Wanted, list_wanted_things};

use crate::ask::AskError;
use crate::evidence::actual::{finished_items, list_known_engines};
use crate::workshop::{LiveVisit, Workshop, WorkshopError};

/// What is asked; dates and times as they are typed. What is not said here is what the workshop has said.
#[derive(Debug, Clone, Default)]
pub struct WeekRequest {
    /// Now: `2027-03-01T10:30`.
    pub now: String,
    /// When the shop opens: `08:00`.
    pub opens: Option<String>,
    /// Shop hours of a day.
    pub open_h: Option<f64>,
    /// Working days of a week, from Monday.
    pub days: Option<u8>,
    /// Days that are closed all the same: `2027-03-05`.
    pub closed: Vec<String>,
    /// `A=2027-03-03T17:00`: what a vehicle is promised for.
    pub promised: Vec<String>,
    /// Letter of a vehicle that goes before the others.
    pub first: Vec<String>,
    /// `A:PART=2027-03-03`: a part that has still to come.
    pub arrives: Vec<String>,
    /// Whether a second pair of hands is there in shop hours.
    pub has_helper: bool,
}

impl WeekRequest {
    /// What the workshop has said, now.
    #[must_use]
    pub fn at_once() -> Self {
        Self { now: local_now(), ..Self::default() }
    }
}

/// Now, by the clock and the time zone of this computer, as [`WeekRequest::now`] is written.
#[must_use]
pub fn local_now() -> String {
    let zone = jiff::tz::TimeZone::system();
    jiff::Timestamp::now().to_zoned_datetime(zone).strftime("%Y-%m-%dT%H:%M").to_string()
}

/// How much more the vehicle that goes first counts. (Assumption: more than all others together.)
const FIRST_WEIGHT: u32 = 100;

/// Rolling a vehicle off the lift, and back on.
const ROLL: RollWork = RollWork { off_s: times::ROLL_S as u32, on_s: times::ROLL_S as u32 };

/// Lays all open visits onto one calendar and has it judged.
///
/// # Errors
/// Those of [`gather_week`] and of [`WeekWork::lay_out`].
pub fn lay_out_week(workshop: &mut Workshop, request: &WeekRequest) -> Result<WeekAnswer, WorkshopError> {
    gather_week(workshop, request)?.lay_out()
}

/// The work of all open visits, read from the workshop and not laid out yet, so that a server can lay it out while the work of others
/// goes on.
#[derive(Debug)]
pub struct WeekWork {
    question: BenchQuestion,
    facts: Vec<VisitFacts>,
    notices: Vec<String>,
    held_pieces: Vec<Option<String>>,
    midnight: jiff::civil::DateTime,
    so_far: TimeRecord,
    settings: TimeSettings,
}

/// Reads the work of all open visits.
///
/// # Errors
/// [`WorkshopError::Ask`] for dates that cannot be read, [`WorkshopError::Missing`] where no open visit has a plan.
pub fn gather_week(workshop: &mut Workshop, request: &WeekRequest) -> Result<WeekWork, WorkshopError> {
    let clock = WeekClock::read(request, workshop.record()).map_err(WorkshopError::Ask)?;
    let first_ratio = workshop.time_settings().first_time_ratio();
    let known_engines = list_known_engines(workshop)?;
    let mut open = OpenVisits { first_ratio, known_engines, ..OpenVisits::default() };
    for id in workshop.list_visits()? {
        let said = workshop.record().visit_dates.get(&id).cloned().unwrap_or_default();
        let live = workshop.visit(&id)?;
        if live.state().closed.is_none() {
            open.take_visit(live, said, request, &clock).map_err(WorkshopError::Ask)?;
        }
    }
    if open.visits.is_empty() {
        let words = "no open visit has steps left to lay out; plan one first";
        return Err(WorkshopError::Missing(words.to_owned()));
    }
    let finished = finished_items(workshop)?;
    let settings = workshop.time_settings();
    let prior = FactorPrior::of_settings(&settings);
    let (factor, so_far) = (learn_factor(&prior, &finished), follow_times(&prior, &finished));
    let held_pieces = open.held.pieces();
    let (question, facts, notices) = open.into_question(&clock, factor);
    Ok(WeekWork { question, facts, notices, held_pieces, midnight: clock.midnight, so_far, settings })
}

impl WeekWork {
    /// Lays it onto one calendar and has that judged.
    ///
    /// # Errors
    /// [`WorkshopError::Rest`] where there is no such calendar, or the judge rejects it.
    pub fn lay_out(self) -> Result<WeekAnswer, WorkshopError> {
        let Self { question, facts, mut notices, held_pieces, midnight, so_far, settings } = self;
        let laid_out = make_bench_calendar(&question, &CalendarSettings::sized(RandomSeed(1)))
            .map_err(|fault| WorkshopError::Rest(fault.to_string()))?;
        reject_unsound(&question, &laid_out)?;
        notices.extend(replay_together(&question, &facts, &laid_out)?);
        Ok(WeekAnswer { question, laid_out, facts, notices, held_pieces, midnight, so_far, settings })
    }
}

/// The judge's word; longest times that the calendar itself tells are not its fault.
fn reject_unsound(question: &BenchQuestion, laid_out: &BenchCalendar) -> Result<(), WorkshopError> {
    let is_told = |code: &str| code == "C605" && !laid_out.too_long.is_empty();
    let found = judge_visits(&judged::judged_visits(question, laid_out));
    match found.iter().find(|violation| !is_told(violation.code)) {
        Some(first) => Err(WorkshopError::Rest(format!("the judge rejects the calendar: {first}"))),
        None => Ok(()),
    }
}

/// The judge replays the worlds side by side. Compartments that two visits have are told, for they are so already.
fn replay_together(
    question: &BenchQuestion,
    facts: &[VisitFacts],
    laid_out: &BenchCalendar,
) -> Result<Option<String>, WorkshopError> {
    let worlds: Vec<JudgedWorld> = facts.iter().map(|facts| facts.world.clone()).collect();
    let found = judge_together(&worlds, &starts_by_visit(question, laid_out));
    let (shared, wrong): (Vec<_>, Vec<_>) = found.into_iter().partition(|found| found.code == "C608");
    if let Some(first) = wrong.first() {
        return Err(WorkshopError::Rest(format!("the judge rejects the calendar: {first}")));
    }
    let Some(first) = shared.first() else { return Ok(None) };
    let more = match shared.len() - 1 {
        0 => String::new(),
        1 => String::from(" and one compartment more"),
        more => format!(" and {more} compartments more"),
    };
    let words = "plan the rest of one of them anew, and lay what is out already apart";
    Ok(Some(format!("{} {}{more}: {words}", first.place, first.words)))
}

/// The open visits as they are gathered, and what has to be known of them.
#[derive(Default)]
struct OpenVisits {
    visits: Vec<OpenVisit>,
    facts: Vec<VisitFacts>,
    held: HeldThings,
    notices: Vec<String>,
    /// How much longer an engine takes that is new to the workshop.
    first_ratio: f64,
    /// Titles of those that are not.
    known_engines: BTreeSet<String>,
}

impl OpenVisits {
    /// Takes one in; one without a plan, or without work left, is named.
    fn take_visit(
        &mut self,
        live: &LiveVisit,
        said: VisitDates,
        request: &WeekRequest,
        clock: &WeekClock,
    ) -> Result<(), AskError> {
        let Some(opened) = live.state().opened.as_ref() else { return Ok(()) };
        let Some((book, store, plan)) = live.planned_texts() else {
            self.notices
                .push(format!("{} {} has no plan and is not on the calendar", opened.letter, opened.name));
            return Ok(());
        };
        let letter = opened.letter.chars().next().unwrap_or('A');
        if let Some(why) = self.why_left_out(letter) {
            self.notices.push(format!("{letter} {} is not on the calendar: {why}", opened.name));
            return Ok(());
        }
        let things = list_wanted_things(book, plan, live.state());
        let said = overlay_request(said, letter, request, &things)?;
        let coming = coming_things(&things, &said, clock)?;
        let now = WorkNow { now_s: clock.now_s, now_ms: clock.now_ms() };
        let mut left = lay_out_plan((book, store, plan), live.state(), &coming, now);
        self.stretch_first_time(letter, &book.title, &mut left);
        if left.items.is_empty() {
            if is_on_lift((book, store), live.state()) {
                let words = "has no work left and still stands on the lift";
                self.notices.push(format!("{letter} {} {words}", opened.name));
            }
            return Ok(());
        }
        let ledger = Ledger::draw_up(live.state(), book);
        let may_roll = ledger.may_be_moved().yes;
        self.visits.push(OpenVisit {
            letter,
            name: opened.name.clone(),
            promise_s: said.promise.as_deref().map(|date| clock.seconds_of(date)).transpose()?,
            weight: if said.is_first { FIRST_WEIGHT } else { 1 },
            is_first: said.is_first,
            items: left.items,
            links: left.links,
            stretches: Vec::new(),
            roll: may_roll.then_some(ROLL),
            finished: Vec::new(),
        });
        let world = read_world(letter, (book, store, plan), &values_now(book, live.state()), &left.steps);
        let cart = PiecesOfVisit::new((store, plan), left.pieces.clone());
        self.held.take_visit((book, store), left.spans, left.pieces);
        self.facts.push(VisitFacts::new((live.id(), world, cart), plan, things, said, clock, &ledger));
        Ok(())
    }

    /// Work on an engine that is new to the workshop takes its first-time factor longer.
    fn stretch_first_time(&mut self, letter: char, engine: &str, left: &mut WorkLeft) {
        if self.first_ratio <= 1.0 || self.known_engines.contains(engine) {
            return;
        }
        for item in &mut left.items {
            item.expected_s = units::math::round(f64::from(item.expected_s) * self.first_ratio) as u32;
        }
        let words = format!("{letter}'s engine is new here: its work counts {} times", self.first_ratio);
        self.notices.push(words);
    }

    /// Why one more vehicle with this letter cannot be laid out.
    fn why_left_out(&self, letter: char) -> Option<String> {
        if let Some(other) = self.visits.iter().find(|visit| visit.letter == letter) {
            return Some(format!("{} has the same letter; close the one that is over", other.name));
        }
        let is_full = self.visits.len() >= MAX_OPEN_VISITS;
        is_full.then(|| format!("{MAX_OPEN_VISITS} vehicles are laid out; close the visits that are over"))
    }

    /// The question; what had to be assumed for it is told.
    fn into_question(
        mut self,
        clock: &WeekClock,
        factor: LearnedFactor,
    ) -> (BenchQuestion, Vec<VisitFacts>, Vec<String>) {
        if clock.is_assumed {
            let words = "nobody has said when the shop is open: Monday to Friday, 08:00 to 16:00, is assumed";
            self.notices.push(words.to_owned());
        }
        let needs_two = |visit: &OpenVisit| visit.items.iter().any(|item| item.hands == ItemHands::Two);
        let helped: Vec<String> =
            self.visits.iter().filter(|v| needs_two(v)).map(|visit| visit.letter.to_string()).collect();
        let mut helper_hours = clock.helper_hours.clone();
        if helper_hours.is_none() && !helped.is_empty() {
            helper_hours = Some(clock.hours.clone());
            let words =
                "wants a second pair of hands, and nobody has said when one is here: shop hours are assumed";
            self.notices.push(format!("{} {words}", helped.join(" and ")));
        }
        let (holders, assumed) = self.held.into_holders(&mut self.visits);
        self.notices.extend(assumed);
        let question = BenchQuestion {
            hours: clock.hours.clone(),
            helper_hours,
            now_s: clock.now_s,
            switch_s: times::SWITCH_S as u32,
            at_visit: None,
            holders,
            visits: self.visits,
            factor,
        };
        (question, self.facts, self.notices)
    }
}

/// Where the settings of a vehicle stand now.
fn values_now(book: &Book, visit: &Visit) -> BTreeMap<String, String> {
    let value = |s: &Setting| (s.key.clone(), SettingStanding::of_setting(visit, s).value.to_owned());
    book.settings.iter().map(value).collect()
}

/// What is asked counts before what was said.
fn overlay_request(
    mut said: VisitDates,
    letter: char,
    request: &WeekRequest,
    things: &[Wanted],
) -> Result<VisitDates, AskError> {
    let of_letter =
        |text: &str, parting: char| text.strip_prefix(letter)?.strip_prefix(parting).map(str::to_owned);
    for text in request.arrives.iter().filter_map(|text| of_letter(text, ':')) {
        let (part, date) = text.rsplit_once('=').ok_or_else(|| {
            AskError::argument_error(format!("`{text}` is not an arrival; write A:PART=2027-03-03"))
        })?;
        if things.iter().all(|thing| thing.key != part) {
            let words = format!("the plan of {letter} has no part and no task `{part}`");
            return Err(AskError::argument_error(words));
        }
        said.parts.insert(part.to_owned(), Some(date.to_owned()));
    }
    if let Some(date) = request.promised.iter().find_map(|text| of_letter(text, '=')) {
        said.promise = Some(date);
    }
    said.is_first |= request.first.iter().any(|first| first.starts_with(letter));
    Ok(said)
}

/// What has still to come, each with when it is here.
fn coming_things(
    things: &[Wanted],
    said: &VisitDates,
    clock: &WeekClock,
) -> Result<Vec<ComingThing>, AskError> {
    let mut coming = Vec::new();
    for thing in things {
        if let Some(Some(date)) = said.parts.get(&thing.key) {
            coming.push(ComingThing { thing: thing.clone(), at_s: clock.seconds_of(date)? });
        }
    }
    Ok(coming)
}
