//! The calendar, what was said of a visit's dates, and the workshop's hours as records.

use record::VisitId;
use record::workshop::VisitDates;
use serde::Serialize;

use crate::week::{
    WeekAnswer, WeekClash, WeekDay, WeekFinish, WeekNext, WeekPromise, WeekRow, WeekVisit, stretch_words,
};
use crate::workshop::Workshop;

/// A thing that was said to come, or to be here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ComingPartRecord {
    /// Its key, or its name.
    pub part: String,
    /// The day, as 2027-03-03; `None`: it is here.
    pub on: Option<String>,
}

/// What was said of a visit's dates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VisitDatesRecord {
    /// The visit.
    pub visit: VisitId,
    /// Until when it is promised, as 2027-03-03T17:00.
    pub promise: Option<String>,
    /// Parts, by key.
    pub parts: Vec<ComingPartRecord>,
    /// Whether it goes before the others.
    pub is_first: bool,
}

impl VisitDatesRecord {
    /// The record of what was said.
    #[must_use]
    pub fn of_dates(visit: &VisitId, dates: &VisitDates) -> Self {
        let part =
            |(part, on): (&String, &Option<String>)| ComingPartRecord { part: part.clone(), on: on.clone() };
        Self {
            visit: visit.clone(),
            promise: dates.promise.clone(),
            parts: dates.parts.iter().map(part).collect(),
            is_first: dates.is_first,
        }
    }

    /// For the terminal.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut out = match &self.promise {
            Some(until) => format!("promised for {until}\n"),
            None => String::from("nothing promised\n"),
        };
        for ComingPartRecord { part, on } in &self.parts {
            match on {
                Some(day) => out.push_str(&format!("{part} comes on {day}\n")),
                None => out.push_str(&format!("{part} is here\n")),
            }
        }
        if self.is_first {
            out.push_str("goes before the others\n");
        }
        out
    }
}

/// A day on which nobody works.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HolidayRecord {
    /// The day, as 2027-03-05.
    pub day: String,
    /// Why.
    pub why: String,
}

/// When the shop is open.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShopHoursRecord {
    /// Hours by day, as `Mon-Fri 08:00-16:00`; empty where nobody has said.
    pub hours: Vec<String>,
    /// Hours of a second pair of hands.
    pub helper_hours: Vec<String>,
    /// Days on which nobody works.
    pub holidays: Vec<HolidayRecord>,
    /// Allowance on top of planned times for needs and short interruptions, percent.
    pub allowance_percent: u16,
    /// What work on an engine takes that is new to the workshop, over what it takes later.
    pub first_time_ratio: f64,
    /// Whether nobody has set the two above.
    pub times_are_assumed: bool,
}

impl ShopHoursRecord {
    /// The record of a workshop's hours.
    #[must_use]
    pub fn of_workshop(workshop: &Workshop) -> Self {
        let (record, times) = (workshop.record(), workshop.time_settings());
        let holiday = |(day, why): (&String, &String)| HolidayRecord { day: day.clone(), why: why.clone() };
        Self {
            hours: stretch_words(&record.hours),
            helper_hours: stretch_words(&record.helper_hours),
            holidays: record.holidays.iter().map(holiday).collect(),
            allowance_percent: times.allowance_percent(),
            first_time_ratio: times.first_time_ratio(),
            times_are_assumed: times.is_assumed(),
        }
    }

    /// For the terminal.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut out = String::new();
        let mut push_hours = |title: &str, lines: &[String], none: &str| {
            let words = if lines.is_empty() { none.to_owned() } else { lines.join(", ") };
            out.push_str(&format!("{title}: {words}\n"));
        };
        push_hours("open", &self.hours, "nobody has said");
        push_hours("second pair of hands", &self.helper_hours, "nobody comes");
        for HolidayRecord { day, why } in &self.holidays {
            out.push_str(&format!("closed on {day}: {why}\n"));
        }
        let assumed = if self.times_are_assumed { ", assumed" } else { "" };
        out.push_str(&format!("on top of planned times: {} %{assumed}\n", self.allowance_percent));
        out.push_str(&format!("an engine that is new here: {} times that{assumed}\n", self.first_time_ratio));
        out
    }
}

/// A vehicle on the calendar.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CalendarVisitRecord {
    /// Its visit.
    pub visit: VisitId,
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
    /// Why the date is not known.
    pub not_known: Vec<String>,
}

impl From<WeekVisit> for CalendarVisitRecord {
    fn from(visit: WeekVisit) -> Self {
        let WeekVisit { id, letter, name, finish, promise, is_first, not_known, things: _ } = visit;
        Self { visit: id, letter, name, finish, promise, is_first, not_known }
    }
}

/// All open visits on one calendar.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CalendarRecord {
    /// What to do next; `None`: hands are free until the end.
    pub next: Option<WeekNext>,
    /// The sheet of the day.
    pub today: WeekDay,
    /// The vehicles.
    pub visits: Vec<CalendarVisitRecord>,
    /// The work in the order in which it is begun.
    pub rows: Vec<WeekRow>,
    /// Who stands against whom.
    pub clashes: Vec<WeekClash>,
    /// What was assumed, and who is not on the calendar.
    pub notices: Vec<String>,
}

impl CalendarRecord {
    /// The record of a calendar.
    #[must_use]
    pub fn of_answer(answer: &WeekAnswer) -> Self {
        Self {
            next: answer.next(),
            today: answer.today(),
            visits: answer.visits().into_iter().map(CalendarVisitRecord::from).collect(),
            rows: answer.rows(),
            clashes: answer.clashes(),
            notices: answer.notices().to_vec(),
        }
    }
}
