//! The answer in plain words and dates: what is next, when each vehicle is finished, who waits for whom, and what is not known.

use calendar::{
    BenchCalendar, BenchClash, BenchLine, BenchQuestion, ClashWay, ItemHands, OpenVisit,
    format_bench_calendar,
};
use jiff::civil::DateTime;
use judge::together::JudgedWorld;
use judge::visits::JudgedVisits;
use model::plan::{Plan, ReadinessVerdict};
use record::workshop::VisitDates;
use record::{Ledger, VisitId};
use serde::Serialize;
use times::{TimeRecord, TimeSettings};

use super::cart::PiecesOfVisit;
use super::clock::{WeekClock, date_words};
use super::day::overnight_words;
use super::judged::judged_visits;
use super::things::WantedThing;
use crate::text::table::count_with_noun;

/// A moment, as a file has it and as it is said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekMoment {
    /// `2027-03-01T08:00`.
    pub at: String,
    /// "Mon 1 Mar 08:00".
    pub words: String,
}

/// What to do next over all vehicles.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekNext {
    /// Letter of the vehicle.
    pub letter: char,
    /// What the vehicle is called.
    pub name: String,
    /// In words.
    pub what: String,
    /// About how long it takes.
    pub work_min: u32,
    /// When it begins; `None`: now.
    pub begins: Option<WeekMoment>,
}

/// When a vehicle is finished, from where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekFinish {
    /// Half of all cases.
    pub half: WeekMoment,
    /// Four in five.
    pub likely: WeekMoment,
    /// Nineteen in twenty.
    pub nearly_always: WeekMoment,
}

/// What a vehicle is promised for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekPromise {
    /// Until when.
    pub until: WeekMoment,
    /// How often in a hundred it is finished later.
    pub late_percent: u8,
    /// Whether it is finished later in more than one case in five.
    pub is_missed: bool,
}

/// A thing that may come late, with what was said of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeekExpected {
    /// The thing.
    pub thing: WantedThing,
    /// The day on which it comes; `None`: nothing is said, or it is here.
    pub on: Option<WeekMoment>,
}

/// A vehicle on the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeekVisit {
    /// Its visit.
    pub id: VisitId,
    /// Its letter.
    pub letter: char,
    /// What it is called.
    pub name: String,
    /// When it is finished.
    pub finish: WeekFinish,
    /// What it is promised for.
    pub promise: Option<WeekPromise>,
    /// Whether it goes before the others.
    pub is_first: bool,
    /// Why the date is not known: what is missing, and nobody has said when it comes.
    pub not_known: Vec<String>,
    /// Things that may come late.
    pub things: Vec<WeekExpected>,
}

/// A line of a page: when, of which vehicle, what.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekRow {
    /// Letter of the vehicle.
    pub letter: char,
    /// When it begins.
    pub begins: WeekMoment,
    /// When it ends.
    pub ends: WeekMoment,
    /// In words.
    pub what: String,
}

/// Two vehicles that want one thing at one time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WeekClash {
    /// Who has it, and who could use it from when.
    pub words: String,
    /// The ways out, the cheapest first, each with the finishes that follow.
    pub ways: Vec<String>,
}

/// What is known of a visit besides its work.
#[derive(Debug)]
pub(super) struct VisitFacts {
    pub(super) id: VisitId,
    pub(super) said: VisitDates,
    things: Vec<WantedThing>,
    not_known: Vec<String>,
    /// What must not be done with it as it stands now.
    pub(super) overnight: Vec<&'static str>,
    /// Its world, as the judge reads it.
    pub(super) world: JudgedWorld,
    /// What its items are done with.
    pub(super) cart: PiecesOfVisit,
}

impl VisitFacts {
    pub(super) fn things(&self) -> &[WantedThing] {
        &self.things
    }

    pub(super) fn new(
        (id, world, cart): (VisitId, JudgedWorld, PiecesOfVisit),
        plan: &Plan,
        things: Vec<WantedThing>,
        said: VisitDates,
        clock: &WeekClock,
        ledger: &Ledger,
    ) -> Self {
        let mut not_known = Vec::new();
        for thing in &things {
            let words = format!("{} is missing", thing.title);
            match said.parts.get(&thing.key) {
                Some(Some(day)) if clock.is_past(day) => {
                    not_known.push(format!(
                        "{} was expected on {day}, and nobody has said that it is here",
                        thing.title
                    ));
                }
                None if thing.is_missing && !not_known.contains(&words) => not_known.push(words),
                Some(_) | None => {}
            }
        }
        for key in said.parts.iter().filter(|(_, day)| day.is_some()).map(|(key, _)| key) {
            if things.iter().all(|thing| thing.key != *key) {
                not_known.push(format!("`{key}` is expected, and no step of the plan wants it"));
            }
        }
        if plan.readiness.verdict.refit == ReadinessVerdict::No {
            let against = &plan.readiness.against;
            let why = against.iter().chain(&plan.readiness.against_refit).next();
            not_known.push(why.map_or_else(
                || String::from("the plan says no"),
                |why| format!("the plan says no: {}", why.trim_end_matches('.')),
            ));
        }
        Self { id, said, things, not_known, overnight: overnight_words(ledger), world, cart }
    }
}

/// From so many finished visits on, the share of those that held begins to tell. (Assumption.)
const MIN_TELLING_VISITS: u32 = 10;

/// The answer.
#[derive(Debug)]
pub struct WeekAnswer {
    pub(super) question: BenchQuestion,
    pub(super) laid_out: BenchCalendar,
    pub(super) facts: Vec<VisitFacts>,
    pub(super) notices: Vec<String>,
    pub(super) held_pieces: Vec<Option<String>>,
    pub(super) midnight: DateTime,
    pub(super) so_far: TimeRecord,
    /// Allowance and first-time factor.
    pub(super) settings: TimeSettings,
}

impl WeekAnswer {
    pub(super) fn moment(&self, at_s: u32) -> WeekMoment {
        let minutes = i64::from(at_s.div_ceil(60));
        let at = self.midnight.checked_add(jiff::SignedDuration::from_mins(minutes)).unwrap_or(self.midnight);
        WeekMoment { at: at.strftime("%Y-%m-%dT%H:%M").to_string(), words: date_words(self.midnight, at_s) }
    }

    /// What to do next over all vehicles; `None`: hands are free until the end.
    #[must_use]
    pub fn next(&self) -> Option<WeekNext> {
        let line = self.laid_out.next_line(&self.question)?;
        let visit = &self.question.visits[line.visit];
        Some(WeekNext {
            letter: visit.letter,
            name: visit.name.clone(),
            what: visit.items[line.item].name.clone(),
            work_min: line.work_s.div_ceil(60),
            begins: (line.start_s > self.question.now_s).then(|| self.moment(line.start_s)),
        })
    }

    /// The vehicles, in the order in which they came in.
    #[must_use]
    pub fn visits(&self) -> Vec<WeekVisit> {
        let each = self.question.visits.iter().zip(&self.laid_out.finishes).zip(&self.facts);
        each.map(|((visit, finish), facts)| {
            let dates = finish.dates;
            let late = dates.late_share.map_or(0.0, |share| (share * 100.0).round());
            let things = facts.things.iter().map(|thing| WeekExpected {
                on: facts.said.parts.get(&thing.key).cloned().flatten().and_then(said_day),
                thing: thing.clone(),
            });
            WeekVisit {
                id: facts.id.clone(),
                letter: visit.letter,
                name: visit.name.clone(),
                finish: WeekFinish {
                    half: self.moment(dates.p50_s),
                    likely: self.moment(dates.p80_s),
                    nearly_always: self.moment(dates.p95_s),
                },
                promise: facts.said.promise.as_deref().and_then(|until| {
                    let is_missed = visit.promise_s.is_some_and(|promise_s| dates.p80_s > promise_s);
                    let until = said_moment(until)?;
                    Some(WeekPromise { until, late_percent: late.clamp(0.0, 100.0) as u8, is_missed })
                }),
                is_first: visit.is_first,
                not_known: facts.not_known.clone(),
                things: things.collect(),
            }
        })
        .collect()
    }

    /// The work in the order in which it is begun; what only waits is left out.
    #[must_use]
    pub fn rows(&self) -> Vec<WeekRow> {
        let row = |line: &BenchLine| {
            let visit = &self.question.visits[line.visit];
            let minutes = line.work_s.div_ceil(60);
            WeekRow {
                letter: visit.letter,
                begins: self.moment(line.start_s),
                ends: self.moment(line.end_s),
                what: format!("{}, about {minutes} min", visit.items[line.item].name),
            }
        };
        self.lines_of_work().map(row).collect()
    }

    /// What is laid out for hands, without what goes on by itself.
    pub(super) fn lines_of_work(&self) -> impl Iterator<Item = &BenchLine> {
        let hands = |line: &BenchLine| self.question.visits[line.visit].items[line.item].hands;
        self.laid_out.lines.iter().filter(move |line| hands(line) != ItemHands::None)
    }

    /// Who stands against whom, each with the ways out.
    #[must_use]
    pub fn clashes(&self) -> Vec<WeekClash> {
        self.laid_out.clashes.iter().map(|clash| self.clash_words(clash)).collect()
    }

    fn clash_words(&self, clash: &BenchClash) -> WeekClash {
        let letter = |visit: usize| self.question.visits[visit].letter;
        let (first, second) = clash.visits;
        let holder = &self.question.holders[clash.holder].name;
        let date = |at_s| date_words(self.midnight, at_s);
        let words = format!(
            "{} has the {holder} until {}; {} could use it from {}",
            letter(first),
            date(clash.free_s),
            letter(second),
            date(clash.wanted_s)
        );
        let ways = clash.ways.iter().map(|way| {
            let what = match way.way {
                ClashWay::Wait => format!("{} waits", letter(second)),
                ClashWay::OrderChanged => format!("{} goes first on the {holder}", letter(second)),
                ClashWay::RolledOut => format!("{} is rolled out and back in", letter(first)),
            };
            let finish = |visit: usize| format!("{} finished {}", letter(visit), date(way.finish_s[visit]));
            format!("{what}: {}, {}", finish(first), finish(second))
        });
        WeekClash { words, ways: ways.collect() }
    }

    /// The calendar as the judge was handed it.
    #[must_use]
    pub fn judged(&self) -> JudgedVisits {
        judged_visits(&self.question, &self.laid_out)
    }

    /// The worlds of the vehicles as the judge read them, with the start of each item, s from midnight.
    #[must_use]
    pub fn judged_worlds(&self) -> (Vec<JudgedWorld>, Vec<Vec<u32>>) {
        let worlds = self.facts.iter().map(|facts| facts.world.clone()).collect();
        (worlds, starts_by_visit(&self.question, &self.laid_out))
    }

    /// What was assumed, and who is not on the calendar.
    #[must_use]
    pub fn notices(&self) -> &[String] {
        &self.notices
    }

    /// How the four-in-five times have held in the visits that are finished; `None` before the first.
    #[must_use]
    pub fn how_it_held(&self) -> Option<String> {
        let TimeRecord { held, visits } = self.so_far;
        let few = if visits < MIN_TELLING_VISITS { "; so few say little" } else { "" };
        let took = count_with_noun(visits as usize, "finished visit");
        (visits > 0).then(|| {
            format!("of {took}, {held} took no longer than four in five should have taken by what was known before{few}")
        })
    }

    /// How many times the planned times the dates count on, and what taught it.
    #[must_use]
    pub fn how_sure(&self) -> String {
        let factor = self.question.factor;
        let times = units::math::exp(factor.mean_log_ratio);
        if factor.items == 0 {
            let by_whom = if self.settings.is_assumed() {
                "that is assumed"
            } else {
                "that is the workshop's allowance"
            };
            return format!(
                "dates count on {times:.2} times the planned times; {by_whom}, no finished visit has been timed"
            );
        }
        let pieces = count_with_noun(factor.items as usize, "piece");
        let visits = count_with_noun(factor.visits as usize, "finished visit");
        format!(
            "dates count on {times:.2} times the planned times, learned from {pieces} of work of {visits}"
        )
    }

    /// For the terminal.
    #[must_use]
    pub fn to_text(&self, columns: usize) -> String {
        let mut out = format!("{}\n", self.midnight.strftime("%A %-d %B %Y"));
        for visit in self.visits() {
            for words in &visit.not_known {
                self.push_line(&mut out, columns, &format!("{}, date not known: {words}", visit.letter));
            }
        }
        for notice in &self.notices {
            self.push_line(&mut out, columns, notice);
        }
        if let Some(held) = self.how_it_held() {
            self.push_line(&mut out, columns, &held);
        }
        out.push('\n');
        let moment = |at_s| date_words(self.midnight, at_s);
        out.push_str(&format_bench_calendar(&self.question, &self.laid_out, &moment, columns));
        out
    }

    fn push_line(&self, out: &mut String, columns: usize, words: &str) {
        let wide = columns.clamp(calendar::MIN_TABLE_COLUMNS, calendar::MAX_TABLE_COLUMNS);
        for line in crate::text::table::wrap_lines(words, wide) {
            out.push_str(&line);
            out.push('\n');
        }
    }
}

/// The start of each item of each visit; an item that is not on the calendar begins at no time.
pub(super) fn starts_by_visit(question: &BenchQuestion, laid_out: &BenchCalendar) -> Vec<Vec<u32>> {
    let start = |at: usize, item: usize| {
        let line = laid_out.lines.iter().find(|line| (line.visit, line.item) == (at, item));
        line.map_or(0, |line| line.start_s)
    };
    let of_visit =
        |(at, visit): (usize, &OpenVisit)| (0..visit.items.len()).map(|item| start(at, item)).collect();
    question.visits.iter().enumerate().map(of_visit).collect()
}

/// A day as it was said.
fn said_day(text: String) -> Option<WeekMoment> {
    let day = text.parse::<jiff::civil::Date>().ok()?;
    Some(WeekMoment { at: text, words: day.strftime("%a %-d %b").to_string() })
}

/// A moment as it was said.
fn said_moment(text: &str) -> Option<WeekMoment> {
    let at: DateTime = text.parse().ok()?;
    Some(WeekMoment {
        at: at.strftime("%Y-%m-%dT%H:%M").to_string(),
        words: at.strftime("%a %-d %b %H:%M").to_string(),
    })
}
