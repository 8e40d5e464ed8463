//! Waits with a clock: since when something cools, drains, soaks or sets by the record, and how long is left of it.
//!
//! The clock runs from the work that the wait follows, not from a tap on the step that waits for it: sealant sets from the moment
//! the part is on. How long it takes is the book's figure; where the book's times are guessed, and where the usual step for
//! a seized or broken fastener waits, the figure carries `~` (common practice, no single source).

use model::plan::{Step, StepKind};
use model::{Book, FigureGrade, FigureOrigins};
use plan::happening::take_in;
use record::{RecordedWait, StepMark, StepStanding, Visit, WaitGround, wait_title};

use super::label::capitalise_first;

/// How long a wait that nobody ticks is shown once it is over, ms.
const SHOWN_AFTER_MS: i64 = 3_600_000;

/// From here on a time is told in days, min.
const IN_DAYS_MIN: i64 = 2 * 24 * 60;

/// Up to here a time that is left is told in seconds, s.
const IN_SECONDS_S: i64 = 90;

/// One wait that has begun.
#[derive(Debug, Clone, PartialEq)]
pub struct WaitClock {
    /// What the plan's step calls it.
    pub title: String,
    /// What a person reads: the part, where there is one, and what is waited for.
    pub what: String,
    /// When it began by its writer's clock, milliseconds since 1970-01-01 UTC; `None` for a sheet that is made ahead.
    pub begun_ms: Option<i64>,
    /// How long, s; `None`: nobody said.
    pub length_s: Option<f64>,
    /// The device that wrote what began it.
    pub device: String,
    /// Keys of the conditions, parts, fixings and steps whose work begins it.
    pub begins_with: Vec<String>,
    /// Whether the length is assumed.
    pub is_assumed: bool,
    /// Whether a tap began it, so that it stays in the ledger until a tap ends it.
    pub is_told: bool,
}

impl WaitClock {
    /// When it is over by its writer's clock, milliseconds since 1970-01-01 UTC.
    #[must_use]
    pub fn ends_ms(&self) -> Option<i64> {
        Some(self.begun_ms?.saturating_add((self.length_s? * 1_000.0) as i64))
    }

    /// Whether it still matters: it runs, was over a short while ago, or waits to be ticked. On a
    /// sheet that is made ahead the page itself sees.
    #[must_use]
    pub fn is_shown_at(&self, now_ms: i64) -> bool {
        self.begun_ms.is_none()
            || self.is_told
            || self.ends_ms().is_some_and(|ends_ms| now_ms.saturating_sub(ends_ms) < SHOWN_AFTER_MS)
    }

    /// "34 min left", "ended 12 min ago"; `~` before a figure that is assumed. Never more than the whole length, whatever a
    /// clock says.
    #[must_use]
    pub fn words_at(&self, now_ms: i64) -> String {
        let Some(length_s) = self.length_s else { return String::from("time not known") };
        let left_ms = self.ends_ms().map_or(f64::INFINITY, |ends_ms| ends_ms.saturating_sub(now_ms) as f64);
        clock_words((left_ms / 1_000.0).min(length_s), self.is_assumed)
    }
}

/// What is left of a wait, or how long ago it ended, in words.
fn clock_words(left_s: f64, is_assumed: bool) -> String {
    let mark = if is_assumed { "~ " } else { "" };
    let left = left_s.ceil() as i64;
    if left > 0 {
        return format!("{mark}{} left", length_words(left, (left + 59) / 60));
    }
    match -left / 60 {
        0 => String::from("over now"),
        minutes => format!("ended {mark}{} ago", length_words(minutes * 60, minutes)),
    }
}

fn length_words(seconds: i64, minutes: i64) -> String {
    if seconds <= IN_SECONDS_S && minutes * 60 != seconds {
        return format!("{seconds} s");
    }
    if minutes >= IN_DAYS_MIN {
        return format!("{} days", minutes / (24 * 60));
    }
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// The clocks of a visit: what ends first stands first, what has no known end last.
#[must_use]
pub fn wait_clocks(book: Option<&Book>, visit: &Visit) -> Vec<WaitClock> {
    let (told, of_book): (Vec<_>, Vec<_>) = visit
        .begun_waits(book)
        .into_iter()
        .filter(|wait| !wait.is_told_over)
        .partition(|wait| matches!(wait.ground, WaitGround::Told(_)));
    let mut clocks: Vec<WaitClock> = book
        .map(|book| of_book.iter().map(|wait| clock_of_book_wait(book, wait)).collect())
        .unwrap_or_default();
    clocks.extend(book.map_or_else(Vec::new, |book| extra_clocks(book, visit)));
    for wait in told {
        let mut same = clocks.iter_mut().filter(|clock| clock.title == wait.what).peekable();
        if same.peek().is_some() {
            same.for_each(|clock| clock.is_told = true);
        } else {
            // No work of the book begins it: the plan's own rule says how long.
            let what = capitalise_first(wait.what);
            clocks.push(WaitClock {
                is_told: true,
                ..clock_of_wait(&wait, what, vec![wait.what.to_owned()], true)
            });
        }
    }
    clocks.sort_by_key(|clock| clock.ends_ms().unwrap_or(i64::MAX));
    clocks
}

/// The clocks of a visit as a sheet of a step shows them: the one that the step itself waits for, and the others.
pub(super) fn clocks_of_step(
    book: &Book,
    visit: &Visit,
    step: &Step,
    standing: StepStanding,
) -> (Option<WaitClock>, Vec<WaitClock>) {
    let mut others = wait_clocks(Some(book), visit);
    let is_waiting = step.kind == StepKind::Wait && standing != StepStanding::Done;
    let is_own = |clock: &WaitClock| is_waiting && clock.title == wait_title(&step.text);
    // Of several with one name the last to end is what holds the work back.
    let own = others.iter().rposition(is_own).map(|at| others.remove(at));
    (own, others)
}

fn clock_of_book_wait(book: &Book, wait: &RecordedWait<'_>) -> WaitClock {
    let (what, begins_with, origins) = match wait.ground {
        WaitGround::Part(key, _) => part_of_clock(book, key, wait.what),
        WaitGround::Condition(key) => (capitalise_first(wait.what), vec![key.to_owned()], book.origins),
        WaitGround::Told(_) => (capitalise_first(wait.what), Vec::new(), book.origins),
    };
    clock_of_wait(wait, what, begins_with, is_assumed(origins))
}

/// What the clock of a part is called, and what begins it: the part goes on, or a fastener of it is marked.
fn part_of_clock(book: &Book, key: &str, title: &str) -> (String, Vec<String>, FigureOrigins) {
    let Some(id) = book.part_by_key(key) else { return (capitalise_first(title), Vec::new(), book.origins) };
    let part = book.part(id);
    let own = book.fixings_of(id).map(|fixing| book.fixing(fixing).key.clone());
    let what = format!("{}, {title}", capitalise_first(&part.title));
    (what, core::iter::once(key.to_owned()).chain(own).collect(), part.origins.or_else(book.origins))
}

fn is_assumed(origins: FigureOrigins) -> bool {
    origins.times.is_some_and(|origin| origin.grade() == FigureGrade::Assumed)
}

fn clock_of_wait(
    wait: &RecordedWait<'_>,
    what: String,
    begins_with: Vec<String>,
    is_assumed: bool,
) -> WaitClock {
    WaitClock {
        title: wait.what.to_owned(),
        what,
        begun_ms: (!wait.since.is_pretended()).then_some(wait.since.at_ms),
        length_s: wait.length_s,
        device: wait.since.order.device.to_string(),
        begins_with,
        is_assumed,
        is_told: false,
    }
}

/// Penetrant that soaks, and whatever else the usual steps of a happening wait for.
fn extra_clocks(book: &Book, visit: &Visit) -> Vec<WaitClock> {
    let done = visit.extras.iter().filter(|(_, standing)| standing.to == StepMark::Done);
    if done.clone().next().is_none() {
        return Vec::new();
    }
    let progress = take_in(book, &visit.planning_progress(book, 0), &visit.happenings_for_planning());
    done.filter_map(|(key, standing)| {
        let extra = progress.extra.iter().find(|extra| extra.key == *key && extra.hold_up_s > 0.0)?;
        let title = extra.text.trim_end_matches('.').to_owned();
        Some(WaitClock {
            what: capitalise_first(&title),
            title,
            begun_ms: (!standing.stamp.is_pretended()).then_some(standing.stamp.at_ms),
            length_s: Some(extra.hold_up_s),
            device: standing.stamp.order.device.to_string(),
            begins_with: vec![key.clone()],
            is_assumed: true,
            is_told: false,
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::clock_words;

    #[test]
    fn what_is_left_is_rounded_up_and_what_is_over_down() {
        // The script of the pages says the same: tests/script/clocks.test.js of `web`.
        for (left_s, words) in [
            (5_400.0, "1 h 30 min left"),
            (3_600.0, "1 h left"),
            (3_540.2, "1 h left"),
            (2_040.0, "34 min left"),
            (120.0, "2 min left"),
            (91.0, "2 min left"),
            (89.4, "90 s left"),
            (60.0, "1 min left"),
            (0.2, "1 s left"),
            (0.0, "over now"),
            (-59.0, "over now"),
            (-60.0, "ended 1 min ago"),
            (-725.0, "ended 12 min ago"),
            (-7_200.0, "ended 2 h ago"),
            (-260_000.0, "ended 3 days ago"),
        ] {
            assert_eq!(clock_words(left_s, false), words, "{left_s}");
        }
        assert_eq!(clock_words(2_040.0, true), "~ 34 min left");
        assert_eq!(clock_words(-725.0, true), "ended ~ 12 min ago");
    }
}
