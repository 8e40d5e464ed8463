//! What a tap or a command says of dates and hours, and what of it is written into the workshop's stream.

use jiff::civil::{Date, DateTime, Time};
use jiff::{SignedDuration, ToSpan};
use record::workshop::{OpenStretch, VisitDates};
use record::{DeviceId, StreamBody, VisitId, WorkshopBody};

use super::clock::{place_of_day, read_moment};
use crate::ask::AskError;
use crate::job_hours::read_time_settings;
use crate::workshop::{Workshop, WorkshopError};

/// Most days ahead that a date is taken for. (Assumption: what lies further is a slip of the finger.)
const MAX_DAYS_AHEAD: i32 = 730;

/// What is promised where only a day is said, and nobody has said when the shop closes.
const ASSUMED_CLOSING: Time = Time::constant(17, 0, 0, 0);

/// A step of a promise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DateShift {
    /// A day earlier.
    DayEarlier,
    /// A day later.
    DayLater,
    /// To a date: `2027-03-03` or `2027-03-03T17:00`.
    To(String),
    /// Nothing is promised any more.
    Dropped,
}

/// When a thing comes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ThingDay {
    /// So many days from today on.
    InDays(u8),
    /// On a day: `2027-03-03`.
    On(String),
    /// It is here.
    Here,
}

/// What is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WeekSaying {
    /// The shop's hours, all of them.
    Hours(Vec<OpenStretch>),
    /// Hours of a second pair of hands, all of them; none: nobody comes.
    HelperHours(Vec<OpenStretch>),
    /// What is added to planned times, and how much longer an engine takes that is new here; as typed, nothing where it stays.
    Times {
        /// `15` or `15 %`.
        allowance: Option<String>,
        /// `1.3`.
        first_time: Option<String>,
    },
    /// Nobody works on a day.
    Closed {
        /// The day: `2027-03-05`.
        day: String,
        /// Why.
        why: String,
    },
    /// Work goes on on a day that was closed.
    Opened {
        /// The day.
        day: String,
    },
    /// What a vehicle is promised for.
    Promise {
        /// Its visit.
        visit: VisitId,
        /// To when.
        to: DateShift,
    },
    /// When a part comes.
    Part {
        /// The visit that wants it.
        visit: VisitId,
        /// Its key, or its name.
        part: String,
        /// When.
        day: ThingDay,
    },
    /// Who goes before the others.
    First {
        /// The visit.
        visit: VisitId,
        /// Whether it does.
        is_first: bool,
    },
}

impl Workshop {
    /// Writes down what is said of dates and hours; today is the day of `now`.
    ///
    /// # Errors
    /// [`WorkshopError::Ask`] for a date that is none or too far ahead, [`WorkshopError::NoVisit`] for a visit that is not there,
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn say_of_week(
        &mut self,
        device: &DeviceId,
        saying: WeekSaying,
        now: &str,
    ) -> Result<(), WorkshopError> {
        let today = read_moment(now, "2027-03-01T10:30")?.date();
        let body = match saying {
            WeekSaying::Hours(stretches) if stretches.is_empty() => {
                let words = "the shop is open at some time; give its hours, such as \"Mon-Fri 08:00-16:00\"";
                return Err(AskError::argument_error(words.to_owned()).into());
            }
            WeekSaying::Hours(stretches) => WorkshopBody::HoursSet { stretches },
            WeekSaying::HelperHours(stretches) => WorkshopBody::HelperHoursSet { stretches },
            WeekSaying::Times { allowance, first_time } => {
                let now = self.time_settings();
                let set = read_time_settings(&now, allowance.as_deref(), first_time.as_deref())?;
                WorkshopBody::TimesSet {
                    allowance_percent: set.allowance_percent(),
                    first_time_percent: set.first_time_percent(),
                }
            }
            WeekSaying::Closed { day, why } => {
                WorkshopBody::HolidaySet { date: day_ahead(&day, today)?.to_string(), name: why }
            }
            WeekSaying::Opened { day } => WorkshopBody::HolidayDropped { date: day },
            WeekSaying::Promise { visit, to } => {
                let known = self.dates_of_visit(&visit)?.promise;
                let until = self.shift_promise(known.as_deref(), &to, today)?;
                WorkshopBody::VisitPromised { visit, until }
            }
            WeekSaying::Part { visit, part, day } => {
                self.dates_of_visit(&visit)?;
                let on = thing_day(&day, today)?.map(|day| day.to_string());
                WorkshopBody::PartExpected { visit, part, on }
            }
            WeekSaying::First { visit, is_first } => {
                self.dates_of_visit(&visit)?;
                WorkshopBody::VisitGoesFirst { visit, is_first }
            }
        };
        match body.find_broken_field() {
            Some(why) => Err(AskError::argument_error(why).into()),
            None => self.say_of_workshop(device, vec![body]),
        }
    }

    /// What was said of a visit's dates.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`] for a visit that is not there.
    pub fn dates_of_visit(&mut self, visit: &VisitId) -> Result<VisitDates, WorkshopError> {
        self.visit(visit)?;
        Ok(self.record().visit_dates.get(visit).cloned().unwrap_or_default())
    }

    /// A promise that was not made yet counts from today's closing time.
    fn shift_promise(
        &self,
        known: Option<&str>,
        to: &DateShift,
        today: Date,
    ) -> Result<Option<String>, AskError> {
        let closing = |day: Date| day.to_datetime(self.closing_time(day));
        let from = || known.and_then(|text| text.parse::<DateTime>().ok()).unwrap_or_else(|| closing(today));
        let moved = |hours: i64| {
            from().checked_add(SignedDuration::from_hours(hours)).map_err(|_| too_far(&from().to_string()))
        };
        let until = match to {
            DateShift::Dropped => return Ok(None),
            DateShift::DayEarlier => moved(-24)?,
            DateShift::DayLater => moved(24)?,
            DateShift::To(text) => {
                let at = read_moment(text, "2027-03-03 or 2027-03-03T17:00")?;
                if text.contains('T') { at } else { closing(at.date()) }
            }
        };
        day_in_reach(until.date(), today)?;
        Ok(Some(until.strftime("%Y-%m-%dT%H:%M").to_string()))
    }

    /// When the shop closes on a day.
    fn closing_time(&self, day: Date) -> Time {
        let place = usize::from(day.weekday().to_monday_zero_offset().unsigned_abs());
        let of_day = self.record().hours.iter().filter(|stretch| place_of_day(stretch.day) == place);
        let closes = of_day.map(|stretch| stretch.to_min).max().unwrap_or_default();
        let last = closes.min(1_439);
        let (hour, minute) = ((last / 60) as i8, (last % 60) as i8);
        if closes == 0 { ASSUMED_CLOSING } else { Time::new(hour, minute, 0, 0).unwrap_or(ASSUMED_CLOSING) }
    }
}

fn thing_day(day: &ThingDay, today: Date) -> Result<Option<Date>, AskError> {
    match day {
        ThingDay::Here => Ok(None),
        ThingDay::InDays(days) => {
            let on = today.checked_add(i64::from(*days).days());
            on.map(Some).map_err(|_| too_far(&today.to_string()))
        }
        ThingDay::On(text) => day_ahead(text, today).map(Some),
    }
}

/// A day that is typed, neither gone by nor too far ahead.
fn day_ahead(text: &str, today: Date) -> Result<Date, AskError> {
    let day = read_moment(text, "2027-03-03")?.date();
    if day < today {
        return Err(AskError::argument_error(format!("{day} is over; give today or a day ahead")));
    }
    day_in_reach(day, today)?;
    Ok(day)
}

fn day_in_reach(day: Date, today: Date) -> Result<(), AskError> {
    let last = today.checked_add(MAX_DAYS_AHEAD.days()).map_err(|_| too_far(&day.to_string()))?;
    if day > last { Err(too_far(&day.to_string())) } else { Ok(()) }
}

fn too_far(date: &str) -> AskError {
    AskError::argument_error(format!("{date} is more than two years ahead; give an earlier date"))
}
