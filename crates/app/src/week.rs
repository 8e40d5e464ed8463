//! All open visits of the workshop on one calendar: what to do next over all vehicles, when each is finished, who is late.
//!
//! A visit's work is what is left of its plan, in the order of the plan, as items of half an hour or so; an item ends where a wait begins
//! or where a part has still to come, so that the other vehicle fills the wait.

use calendar::hours::{DaySpan, WeekHours};
use calendar::learn::{FactorPrior, learn_factor};
use calendar::{
    BenchCalendar, BenchItem, BenchQuestion, CalendarSettings, ItemHands, ItemLink, ItemPace, OpenVisit,
    PartDate, format_bench_calendar, make_bench_calendar,
};
use effort::RandomSeed;
use jiff::civil::DateTime;
use judge::visits::{JudgedItemLink, JudgedVisitItem, JudgedVisits, JudgedWeek, judge_visits};
use model::plan::{Plan, Step};
use record::PlanStepsView;

use crate::ask::AskError;
use crate::workshop::{LiveVisit, Workshop, WorkshopError};

/// What is asked; dates and times as they are typed.
#[derive(Debug, Clone, Default)]
pub struct WeekRequest {
    /// Now: `2027-03-01T10:30`.
    pub now: String,
    /// When the shop opens: `08:00`.
    pub opens: String,
    /// Shop hours of a day.
    pub open_h: f64,
    /// Working days of a week, from Monday.
    pub days: u8,
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

/// Now, by the clock and the time zone of this computer, as [`WeekRequest::now`] is written.
#[must_use]
pub fn local_now() -> String {
    let zone = jiff::tz::TimeZone::system();
    jiff::Timestamp::now().to_zoned_datetime(zone).strftime("%Y-%m-%dT%H:%M").to_string()
}

/// The answer.
#[derive(Debug)]
pub struct WeekAnswer {
    question: BenchQuestion,
    laid_out: BenchCalendar,
    first_day: String,
    midnight: DateTime,
    unplanned: Vec<String>,
}

/// Longest item before it is cut, s.
const ITEM_S: f64 = 1_800.0;

/// Time to turn from one vehicle to another, s. (Assumption.)
const SWITCH_S: u32 = 360;

/// Spread of one item's time about its estimate, apart from what all share. (Assumption, until visits tell better.)
const ITEM_SPREAD_RATIO: f64 = 0.35;

/// How much more the vehicle that goes first counts. (Assumption.)
const FIRST_WEIGHT: u32 = 10;

/// Lays all open visits onto one calendar and has it judged.
///
/// # Errors
/// [`WorkshopError::Ask`] for dates that cannot be read, [`WorkshopError::Missing`] where no open visit has a plan,
/// [`WorkshopError::Rest`] where there is no such calendar, or the judge rejects it.
pub fn lay_out_week(workshop: &mut Workshop, request: &WeekRequest) -> Result<WeekAnswer, WorkshopError> {
    let clock = WeekClock::read(request).map_err(WorkshopError::Ask)?;
    let (mut visits, mut unplanned) = (Vec::new(), Vec::new());
    for id in workshop.list_visits()? {
        let live = workshop.visit(&id)?;
        if live.state().closed.is_some() {
            continue;
        }
        match open_visit(live, request, &clock).map_err(WorkshopError::Ask)? {
            Some(visit) if visit.items.is_empty() => {}
            Some(visit) => visits.push(visit),
            None => unplanned.push(name_of(live)),
        }
    }
    if visits.is_empty() {
        let words = "no open visit has steps left to lay out; plan one first";
        return Err(WorkshopError::Missing(words.to_owned()));
    }
    let question = BenchQuestion {
        hours: clock.hours.clone(),
        helper_hours: request.has_helper.then(|| clock.hours.clone()),
        now_s: clock.now_s,
        switch_s: SWITCH_S,
        at_visit: None,
        holders: Vec::new(),
        visits,
        factor: learn_factor(&FactorPrior::assumed(), &[]),
    };
    let laid_out =
        make_bench_calendar(&question, &CalendarSettings::sized(RandomSeed(1))).map_err(|fault| {
            let hint = if request.has_helper {
                ""
            } else {
                "; say that there is a second pair of hands, where there is"
            };
            WorkshopError::Rest(format!("{fault}{hint}"))
        })?;
    let found = judge_visits(&judged_visits(&question, &laid_out));
    if let Some(first) = found.first() {
        return Err(WorkshopError::Rest(format!("the judge rejects the calendar: {first}")));
    }
    Ok(WeekAnswer { question, laid_out, midnight: clock.midnight, first_day: clock.first_day, unplanned })
}

/// A line of a page: when, of which vehicle, what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeekRow {
    /// "Mon 1 Mar 08:00".
    pub when: String,
    /// Letter of the vehicle.
    pub letter: char,
    /// In words.
    pub what: String,
}

impl WeekAnswer {
    /// When each vehicle is finished: four times in five by then, and what else is known of it.
    #[must_use]
    pub fn finishes(&self) -> Vec<WeekRow> {
        let visits = self.question.visits.iter().zip(&self.laid_out.finishes);
        let row = |(visit, finish): (&OpenVisit, &calendar::VisitFinish)| {
            let dates = finish.dates;
            let late = dates.late_share.map_or_else(
                || String::from("nothing promised"),
                |share| format!("late {:.0} times in 100", share * 100.0),
            );
            let (half, most) = (self.date_of(dates.p50_s), self.date_of(dates.p95_s));
            let what = format!(
                "{}: four times in five by then, half the time by {half}, nearly always by {most}; {late}",
                visit.name
            );
            WeekRow { when: self.date_of(dates.p80_s), letter: visit.letter, what }
        };
        visits.map(row).collect()
    }

    /// The work in the order in which it is begun; the first that wants hands is what to do next.
    #[must_use]
    pub fn rows(&self) -> Vec<WeekRow> {
        let row = |line: &calendar::BenchLine| {
            let visit = &self.question.visits[line.visit];
            let minutes = line.work_s.div_ceil(60);
            let what = format!("{}, about {minutes} min", visit.items[line.item].name);
            WeekRow { when: self.date_of(line.start_s), letter: visit.letter, what }
        };
        self.laid_out.lines.iter().map(row).collect()
    }

    /// Vehicles without a plan.
    #[must_use]
    pub fn unplanned(&self) -> &[String] {
        &self.unplanned
    }

    fn date_of(&self, at_s: u32) -> String {
        let span = jiff::SignedDuration::from_secs(i64::from(at_s));
        self.midnight.checked_add(span).unwrap_or(self.midnight).strftime("%a %-d %b %H:%M").to_string()
    }

    /// The answer as text, no line wider than `columns`.
    #[must_use]
    pub fn to_text(&self, columns: usize) -> String {
        let mut out = format!("d1 is {}\n", self.first_day);
        if !self.unplanned.is_empty() {
            out.push_str(&format!(
                "without a plan, and not on the calendar: {}\n",
                self.unplanned.join(", ")
            ));
        }
        out.push('\n');
        out.push_str(&format_bench_calendar(&self.question, &self.laid_out, columns));
        out
    }
}

/// Dates and hours as the calendar counts them.
struct WeekClock {
    midnight: DateTime,
    first_day: String,
    now_s: u32,
    hours: WeekHours,
}

impl WeekClock {
    fn read(request: &WeekRequest) -> Result<Self, AskError> {
        let now = read_moment(&request.now, "2027-03-01T10:30")?;
        let midnight = now.date().to_datetime(jiff::civil::Time::midnight());
        let opens: jiff::civil::Time = request.opens.parse().map_err(|_| {
            AskError::argument_error(format!("`{}` is not a time of day; write 08:00", request.opens))
        })?;
        let opens_s =
            u32::from(opens.hour().unsigned_abs()) * 3_600 + u32::from(opens.minute().unsigned_abs()) * 60;
        let close_h = f64::from(opens_s) / 3_600.0 + request.open_h;
        if !(request.open_h >= 0.5 && close_h <= 24.0 && (1..=7).contains(&request.days)) {
            let words = "the shop is open 0.5 h to midnight on 1 to 7 days";
            return Err(AskError::argument_error(words.to_owned()));
        }
        let span = DaySpan { from_s: opens_s, to_s: opens_s + (request.open_h * 3_600.0) as u32 };
        let weekday = now.date().weekday().to_monday_zero_offset().unsigned_abs();
        let open = core::array::from_fn(|day| day < usize::from(request.days));
        let mut clock = Self {
            midnight,
            first_day: now.date().strftime("%a %-d %b %Y").to_string(),
            now_s: seconds_since(now, midnight),
            hours: WeekHours::same_on(open, &[span], weekday),
        };
        for day in &request.closed {
            let at = read_moment(&format!("{day}T00:00"), "2027-03-05")?;
            clock.hours.closed_days.push(seconds_since(at, midnight) / calendar::hours::DAY_S);
        }
        clock.hours.closed_days.sort_unstable();
        clock.hours.closed_days.dedup();
        Ok(clock)
    }

    /// Seconds from the first midnight of `2027-03-03` (when the shop opens) or `2027-03-03T14:00`.
    fn seconds_of(&self, text: &str) -> Result<u32, AskError> {
        let at = read_moment(text, "2027-03-03 or 2027-03-03T14:00")?;
        let opens_s = self.hours.spans.iter().flatten().map(|span| span.from_s).min().unwrap_or(0);
        let extra_s = if text.contains('T') { 0 } else { opens_s };
        Ok(seconds_since(at, self.midnight).saturating_add(extra_s))
    }
}

fn read_moment(text: &str, sample: &str) -> Result<DateTime, AskError> {
    text.parse().map_err(|_| AskError::argument_error(format!("`{text}` is not a date; write {sample}")))
}

fn seconds_since(at: DateTime, midnight: DateTime) -> u32 {
    u32::try_from(at.duration_since(midnight).as_secs().max(0)).unwrap_or(u32::MAX)
}

fn name_of(live: &LiveVisit) -> String {
    live.state()
        .opened
        .as_ref()
        .map_or_else(String::new, |opened| format!("{} {}", opened.letter, opened.name))
}

/// The work left of one visit; `None` where it has no plan.
fn open_visit(
    live: &LiveVisit,
    request: &WeekRequest,
    clock: &WeekClock,
) -> Result<Option<OpenVisit>, AskError> {
    let (Some((book, _, plan)), Some(opened)) = (live.planned_texts(), live.state().opened.as_ref()) else {
        return Ok(None);
    };
    let letter = opened.letter.chars().next().unwrap_or('A');
    let of_letter =
        |text: &str, parting: char| text.strip_prefix(letter)?.strip_prefix(parting).map(str::to_owned);
    let mut parts = Vec::new();
    for text in request.arrives.iter().filter_map(|text| of_letter(text, ':')) {
        let (part, date) = text.rsplit_once('=').ok_or_else(|| {
            AskError::argument_error(format!("`{text}` is not an arrival; write A:PART=2027-03-03"))
        })?;
        if plan
            .all_steps()
            .all(|step| step.part.as_deref() != Some(part) && step.task.as_deref() != Some(part))
        {
            let words = format!("the plan of {letter} has no part and no task `{part}`");
            return Err(AskError::argument_error(words));
        }
        parts.push(PartDate { part: part.to_owned(), at_s: clock.seconds_of(date)? });
    }
    let promise = request.promised.iter().find_map(|text| of_letter(text, '='));
    let steps = PlanStepsView::of_plan(live.state(), book, plan);
    let (items, links) = items_of_plan(plan, &steps, &parts);
    Ok(Some(OpenVisit {
        letter,
        name: opened.name.clone(),
        promise_s: promise.map(|date| clock.seconds_of(&date)).transpose()?,
        weight: if request.first.contains(&letter.to_string()) { FIRST_WEIGHT } else { 1 },
        items,
        links,
        stretches: Vec::new(),
        roll: None,
        finished: Vec::new(),
    }))
}

/// Whether a part that has still to come is wanted by this step: it is set on, or its task is done.
fn wants_part(step: &Step, part: &str) -> bool {
    let sets_on = step.kind == model::plan::StepKind::Refit && step.part.as_deref() == Some(part);
    sets_on || step.task.as_deref() == Some(part)
}

/// What is left of a plan as items in its order, and the waits between.
fn items_of_plan(plan: &Plan, steps: &PlanStepsView, parts: &[PartDate]) -> (Vec<BenchItem>, Vec<ItemLink>) {
    let (mut items, mut links): (Vec<BenchItem>, Vec<ItemLink>) = (Vec::new(), Vec::new());
    let mut last_place = String::new();
    for (step, view) in plan.all_steps().zip(&steps.steps).filter(|(_, view)| view.left_s > 0.0) {
        let wait_s = step.wait_s.min(view.left_s);
        let work_s = (view.left_s - wait_s).max(1.0);
        let part = parts.iter().find(|date| wants_part(step, &date.part)).cloned();
        let hands = if step.helper { ItemHands::Two } else { ItemHands::One };
        let goes_on = items.last().is_some_and(|item| {
            wait_s == 0.0
                && part.is_none()
                && item.hands == hands
                && f64::from(item.expected_s) < ITEM_S
                && last_place == step.station
        });
        if goes_on {
            let last = items.last_mut().expect("there is one");
            last.expected_s = last.expected_s.saturating_add(work_s.ceil() as u32);
            continue;
        }
        let at = items.len();
        last_place.clone_from(&step.station);
        items.push(BenchItem {
            name: format!("from step {}, {}", step.number, step.text.trim_end_matches('.')),
            place: step.station.clone(),
            expected_s: work_s.ceil() as u32,
            spread_ratio: ITEM_SPREAD_RATIO,
            hands,
            pace: ItemPace::MayStop,
            part,
            start_by_s: None,
        });
        if let Some(from) = at.checked_sub(1) {
            let words = if wait_s > 0.0 { String::from("wait") } else { String::new() };
            links.push(ItemLink { from, to: at, wait_s: wait_s.ceil() as u32, most_s: None, words });
        }
    }
    (items, links)
}

fn judged_week(hours: &WeekHours) -> JudgedWeek {
    JudgedWeek {
        spans: hours.spans.clone().map(|day| day.iter().map(|span| (span.from_s, span.to_s)).collect()),
        first_weekday: hours.first_weekday,
        closed_days: hours.closed_days.clone(),
    }
}

/// The calendar in the judge's own words.
fn judged_visits(question: &BenchQuestion, laid_out: &BenchCalendar) -> JudgedVisits {
    let (mut items, mut links, mut before) = (Vec::new(), Vec::new(), 0);
    for (at, visit) in question.visits.iter().enumerate() {
        for (place, item) in visit.items.iter().enumerate() {
            let Some(line) = laid_out.lines.iter().find(|line| (line.visit, line.item) == (at, place)) else {
                continue;
            };
            items.push(JudgedVisitItem {
                visit: at,
                name: item.name.clone(),
                work_s: line.work_s,
                hands: match item.hands {
                    ItemHands::None => 0,
                    ItemHands::One => 1,
                    ItemHands::Two => 2,
                },
                in_one_piece: item.pace == ItemPace::OnePiece,
                part_at_s: item.part.as_ref().map_or(0, |part| part.at_s),
                start_by_s: item.start_by_s,
                start_s: line.start_s,
                end_s: line.end_s,
            });
        }
        links.extend(visit.links.iter().map(|link| JudgedItemLink {
            from: before + link.from,
            to: before + link.to,
            wait_s: link.wait_s,
            most_s: link.most_s,
        }));
        before += visit.items.len();
    }
    JudgedVisits {
        shop: judged_week(&question.hours),
        helper: question.helper_hours.as_ref().map(judged_week),
        now_s: question.now_s,
        switch_s: question.switch_s,
        at_visit: question.at_visit,
        holder_counts: Vec::new(),
        letters: question.visits.iter().map(|visit| visit.letter).collect(),
        compartments: Vec::new(),
        links,
        holds: Vec::new(),
        items,
    }
}
