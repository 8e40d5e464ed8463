//! What falls due next: each task of the book with an interval, from when it was last done, by distance and by date.

// symbol: due_day = days since 1970-01-01

use model::{Book, IntervalUnit, Task, TaskInterval};
use record::vehicle::{ElsewhereClaim, OdometerValue, VehicleClaim};
use trend::days::{DayForm, parse_day, show_day};
use trend::slips::KM_PER_MILE;

use super::odometer::{OdometerHistory, km_in_unit};
use super::vehicle::km_of;

/// What is asked: a vehicle, its book, and what was done on it.
pub struct DueQuestion<'a> {
    /// The book.
    pub book: &'a Book,
    /// The odometer.
    pub odometer: &'a OdometerHistory,
    /// Tasks done here: key, what the odometer showed, the day.
    pub done: &'a [(&'a str, Option<OdometerValue>, Option<String>)],
    /// Work done elsewhere.
    pub elsewhere: &'a [VehicleClaim<ElsewhereClaim>],
    /// The day on which it is asked.
    pub today: jiff::civil::Date,
}

/// How a task stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum DueStanding {
    /// It is due, or past due.
    Due,
    /// By the distance driven so far it should be due by today; the odometer was not read since.
    Likely,
    /// It falls due later.
    Later,
    /// Nobody has a record of when it was last done.
    NotKnown,
}

/// A task with when it falls due.
#[derive(Debug, Clone, PartialEq)]
pub struct TaskDue {
    /// Key of the task.
    pub task: String,
    /// Title.
    pub title: String,
    /// Its intervals, in words.
    pub every: String,
    /// When it was last done, in words; `None`: nobody has a record.
    pub last: Option<String>,
    /// How it stands.
    pub standing: DueStanding,
    /// The distance at which it is due, in the odometer's unit.
    pub at: Option<OdometerValue>,
    /// The day by which it is due in any case, as 2026-03-14.
    pub by_date: Option<String>,
    /// When it falls due, in words with an interval.
    pub words: String,
    /// Best estimate of the day; orders the list.
    pub due_day: Option<f64>,
}

/// All tasks with an interval, the soonest first; those that nobody has a record of come last.
#[must_use]
pub fn list_tasks_due(question: &DueQuestion<'_>) -> Vec<TaskDue> {
    let tasks = question.book.tasks.iter().filter(|task| !task.every.is_empty());
    let mut due: Vec<TaskDue> = tasks.map(|task| task_due(task, question)).collect();
    due.sort_by(|a, b| {
        let by_day = a.due_day.unwrap_or(f64::MAX).total_cmp(&b.due_day.unwrap_or(f64::MAX));
        a.standing.cmp(&b.standing).then(by_day)
    });
    due
}

/// When a task was last done: what the odometer showed, the day, and who says so.
struct LastDone {
    odometer: Option<OdometerValue>,
    day: Option<String>,
    told_by: Option<String>,
}

/// The latest of all records of a task: by day, then by distance.
fn find_last(task: &str, question: &DueQuestion<'_>) -> Option<LastDone> {
    let here = question.done.iter().filter(|(key, ..)| *key == task).map(|(_, odometer, day)| LastDone {
        odometer: *odometer,
        day: day.clone(),
        told_by: None,
    });
    let elsewhere = question.elsewhere.iter().map(|claim| &claim.value).filter(|claim| claim.task == task);
    let told = elsewhere.map(|claim| LastDone {
        odometer: claim.odometer,
        day: claim.date.clone(),
        told_by: Some(claim.told_by.clone()),
    });
    let mut all: Vec<LastDone> = here.chain(told).collect();
    all.sort_by(|a, b| {
        let km = |done: &LastDone| done.odometer.map_or(-1.0, |reading| reading.value);
        a.day.cmp(&b.day).then(km(a).total_cmp(&km(b)))
    });
    all.pop()
}

fn last_words(last: &LastDone) -> String {
    let at = last.odometer.map(|reading| format!("at {reading}"));
    let on = last.day.as_ref().map(|day| format!("on {day}"));
    let when: Vec<String> = [on, at].into_iter().flatten().collect();
    let by = last.told_by.as_ref().map_or_else(String::new, |who| format!(", elsewhere, says {who}"));
    format!("{}{by}", if when.is_empty() { String::from("at some time") } else { when.join(" ") })
}

fn task_due(task: &Task, question: &DueQuestion<'_>) -> TaskDue {
    let every: Vec<String> = task.every.iter().map(ToString::to_string).collect();
    let mut due = TaskDue {
        task: task.key.clone(),
        title: task.title.clone(),
        every: format!("every {}", every.join(" or ")),
        last: None,
        standing: DueStanding::NotKnown,
        at: None,
        by_date: None,
        words: String::from(
            "nobody has a record of when it was last done; ask the owner, look for a sticker or an invoice",
        ),
        due_day: None,
    };
    let Some(last) = find_last(&task.key, question) else { return due };
    due.last = Some(last_words(&last));
    due.at = last.odometer.and_then(|from| soonest_distance(task, from));
    let due_day = last.day.as_deref().and_then(|from| soonest_date(task, from));
    due.by_date = due_day.and_then(|day| show_day(day, DayForm::Date));
    tell_when(&mut due, due_day, question);
    due
}

/// The distance at which a task is due first, in the unit that the odometer showed.
fn soonest_distance(task: &Task, from: OdometerValue) -> Option<OdometerValue> {
    let ahead = |every: &TaskInterval| {
        let in_km = match every.unit {
            IntervalUnit::Kilometre => Some(every.value),
            IntervalUnit::Mile => Some(every.value * KM_PER_MILE),
            IntervalUnit::Hour | IntervalUnit::Month | IntervalUnit::Year => None,
        };
        match km_in_unit(from.unit) {
            Some(unit_km) => in_km.map(|km| km / unit_km),
            None => (every.unit == IntervalUnit::Hour).then_some(every.value),
        }
    };
    let soonest = task.every.iter().filter_map(ahead).min_by(f64::total_cmp)?;
    Some(OdometerValue { value: units::math::round(from.value + soonest), unit: from.unit })
}

/// The day on which a task is due by age first.
fn soonest_date(task: &Task, from: &str) -> Option<f64> {
    let months = task.every.iter().filter_map(|every| every.as_months()).min_by(f64::total_cmp)?;
    let date: jiff::civil::Date = from.parse().ok()?;
    let whole = units::math::floor(months);
    let span = jiff::Span::new().try_months(whole as i64).ok()?;
    let days = units::math::round((months - whole) * 30.4);
    let due = date.checked_add(span).ok()?;
    parse_day(&due.to_string()).map(|(day, _)| day + days)
}

/// Says when it falls due, by what the odometer tells of the distance a day.
fn tell_when(due: &mut TaskDue, due_day: Option<f64>, question: &DueQuestion<'_>) {
    let odometer = question.odometer;
    let last = odometer.last();
    let is_past_km =
        due.at.zip(last).is_some_and(|(at, (_, now))| at.unit == now.unit && now.value >= at.value);
    let last_day = last.and_then(|(day, _)| parse_day(day)).map(|(day, _)| day);
    let today = parse_day(&question.today.to_string()).map(|(day, _)| day);
    let is_past_day = due_day.zip(today).is_some_and(|(due, today)| today >= due);
    if is_past_km || is_past_day {
        due.standing = DueStanding::Due;
        due.due_day = if is_past_day { due_day } else { last_day };
        due.words = past_words(due, is_past_km, last.map(|(_, now)| *now));
        return;
    }
    due.standing = DueStanding::Later;
    let at_km = due.at.and_then(km_of);
    let at_words = due.at.map(|at| format!("at {at}"));
    let answer = at_km.map(|km| odometer.ask_due(Some(km), due_day));
    let when = match (&answer, &due.by_date) {
        (Some(Ok(answer)), _) => {
            let day = answer.due.as_ref().and_then(|due| due.estimate_date.clone());
            let ends = answer.due.as_ref().map(|due| (due.low_date.clone(), due.high_date.clone()));
            let milestone = answer.answered.milestone.as_ref();
            let day = day.or_else(|| milestone?.estimate_date.clone());
            let ends = ends.or_else(|| milestone.map(|m| (m.low_date.clone(), m.high_date.clone())));
            due.due_day = day.as_deref().and_then(parse_day).map(|(day, _)| day);
            interval_words(day, ends)
        }
        (_, Some(date)) => {
            due.due_day = due_day;
            format!("by {date}")
        }
        (Some(Err(_)), None) => {
            String::from("on which day is not known: that wants odometer readings of two days")
        }
        (None, None) => String::from("when is not known"),
    };
    due.words = [at_words, Some(when)].into_iter().flatten().collect::<Vec<_>>().join(", ");
    if due.due_day.zip(today).is_some_and(|(due, today)| today >= due) {
        due.standing = DueStanding::Likely;
        due.words.push_str("; read the odometer");
    }
}

fn past_words(due: &TaskDue, is_past_km: bool, now: Option<OdometerValue>) -> String {
    match (is_past_km, due.at, now, &due.by_date) {
        (true, Some(at), Some(now), _) => {
            let over = units::math::round(now.value - at.value);
            format!("due since {at}, {over} {} ago", at.unit)
        }
        (_, _, _, Some(date)) => format!("due since {date}"),
        _ => String::from("due"),
    }
}

/// "about 2027-03-14, nine times in ten between 2027-01-02 and 2027-06-30".
fn interval_words(day: Option<String>, ends: Option<(Option<String>, Option<String>)>) -> String {
    let Some(day) = day else { return String::from("when is not known") };
    match ends {
        Some((Some(low), Some(high))) if low != high => {
            format!("about {day}, nine times in ten between {low} and {high}")
        }
        Some((Some(low), None)) => format!("about {day}, hardly before {low}; how late cannot be told"),
        _ => format!("by {day}"),
    }
}
