//! The calendar for a terminal of 60 to 200 columns: dates first, then what is next, then the lines, then clashes and how sure it is.

use core::fmt::Write as _;

use effort::{SolverOutcome, SolverStanding};

use crate::make::{BenchCalendar, BenchLine};
use crate::visits::{BenchQuestion, ItemHands, ItemPace};
use crate::words::spoken;

/// Narrowest and widest table, in columns.
pub const MIN_TABLE_COLUMNS: usize = 60;
/// Widest table.
pub const MAX_TABLE_COLUMNS: usize = 200;
/// Columns of a moment: `Tue 12 Mar 14:05`.
const MOMENT_COLUMNS: usize = 16;

/// How a moment is named, by its seconds from the first midnight.
pub type MomentNames<'a> = &'a dyn Fn(u32) -> String;

/// The whole answer, its moments by the names that they are given; no line is wider than `columns`, which are held within 60 and 200.
#[must_use]
pub fn format_bench_calendar(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
    moment: MomentNames<'_>,
    columns: usize,
) -> String {
    let columns = columns.clamp(MIN_TABLE_COLUMNS, MAX_TABLE_COLUMNS);
    let mut out = String::new();
    push_finishes(question, calendar, (moment, columns), &mut out);
    if let Some(line) = calendar.next_line(question) {
        out.push_str("\nNext\n");
        let it = &question.visits[line.visit];
        let item = &it.items[line.item];
        let words = format!(
            "{}, {}: {}, at {}, {}",
            moment(line.start_s),
            it.letter,
            item.name,
            if item.place.is_empty() { "no station" } else { &item.place },
            spoken(line.work_s)
        );
        push_wrapped(&mut out, columns, "  ", &words);
    }
    if !calendar.lines.is_empty() {
        out.push_str("\nAll items\n");
    }
    for line in &calendar.lines {
        push_line(question, line, (moment, columns), &mut out);
    }
    push_notes(question, calendar, columns, &mut out);
    out
}

fn push_finishes(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
    (moment, columns): (MomentNames<'_>, usize),
    out: &mut String,
) {
    out.push_str("Finish\n");
    for (visit, finish) in question.visits.iter().zip(&calendar.finishes) {
        let promise = match (visit.promise_s, finish.dates.late_share) {
            (Some(promise_s), Some(share)) => {
                format!(", promised {}: late {:.0} times in 100", moment(promise_s), share * 100.0)
            }
            _ => String::from(", nothing promised"),
        };
        let dates = finish.dates;
        let words = format!(
            "{} {}: 80 % {}, 50 % {}, 95 % {}{promise}",
            visit.letter,
            visit.name,
            moment(dates.p80_s),
            moment(dates.p50_s),
            moment(dates.p95_s)
        );
        push_wrapped(out, columns, "  ", &words);
    }
}

/// Start, end, letter, time and name; the name gets what is left of the line and goes on below itself.
fn push_line(
    question: &BenchQuestion,
    line: &BenchLine,
    (moment, columns): (MomentNames<'_>, usize),
    out: &mut String,
) {
    let it = &question.visits[line.visit];
    let item = &it.items[line.item];
    let head = format!(
        "  {:<MOMENT_COLUMNS$}  {:<MOMENT_COLUMNS$}  {} ",
        moment(line.start_s),
        moment(line.end_s),
        it.letter
    );
    let mut name = format!("{}, {}", item.name, spoken(line.work_s));
    match item.hands {
        ItemHands::None => name.push_str(", hands free"),
        ItemHands::One => {}
        ItemHands::Two => name.push_str(", two pairs of hands"),
    }
    if item.pace == ItemPace::OnePiece {
        name.push_str(", do not stop");
    }
    push_wrapped(out, columns, &head, &name);
}

fn push_notes(question: &BenchQuestion, calendar: &BenchCalendar, columns: usize, out: &mut String) {
    if !calendar.clashes.is_empty() {
        out.push_str("\nWho stands against whom\n");
    }
    for clash in &calendar.clashes {
        push_wrapped(out, columns, "  ", &clash.words);
    }
    if !calendar.too_long.is_empty() {
        out.push_str("\nBegun too late\n");
    }
    for excess in &calendar.too_long {
        let it = &question.visits[excess.visit];
        let words = format!("{}: {} by {}", it.letter, it.items[excess.to].name, spoken(excess.by_s));
        push_wrapped(out, columns, "  ", &words);
    }
    out.push_str("\nHow sure\n");
    let factor = question.factor;
    let learned = format!(
        "times are {:.2} of the estimates, learned from {} items of {} visits",
        units::math::exp(factor.mean_log_ratio),
        factor.items,
        factor.visits
    );
    let order = outcome_words("sum of finishes", &calendar.sum_of_finishes);
    for words in [outcome_words("weighted lateness", &calendar.lateness), order, learned] {
        push_wrapped(out, columns, "  ", &words);
    }
}

fn outcome_words(what: &str, outcome: &SolverOutcome) -> String {
    let time = |value: f64| spoken(value.clamp(0.0, f64::from(u32::MAX)) as u32);
    let standing = match outcome.standing {
        SolverStanding::Proven => String::from("proven, no order of the work gives less"),
        SolverStanding::Found | SolverStanding::Impossible => {
            format!(
                "found; no order gets below {} (gap {:.1} %)",
                time(outcome.bound),
                outcome.gap_fraction() * 100.0
            )
        }
        SolverStanding::Stopped => format!("stopped; no order gets below {}", time(outcome.bound)),
    };
    format!("{what} {}: {standing}", time(outcome.value))
}

/// Words behind a head; further lines are indented as far as the head. A word wider than a line is broken.
fn push_wrapped(out: &mut String, columns: usize, head: &str, words: &str) {
    let indent = head.chars().count();
    let room = columns.saturating_sub(indent).max(1);
    let (mut line, mut width, mut is_first) = (String::new(), 0, true);
    let flush = |line: &mut String, is_first: &mut bool, out: &mut String| {
        let lead = if *is_first { head.to_owned() } else { " ".repeat(indent) };
        let _ = writeln!(out, "{lead}{line}");
        line.clear();
        *is_first = false;
    };
    for word in words.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for piece in letters.chunks(room) {
            if width > 0 && width + 1 + piece.len() > room {
                flush(&mut line, &mut is_first, out);
                width = 0;
            }
            if width > 0 {
                line.push(' ');
                width += 1;
            }
            line.extend(piece);
            width += piece.len();
        }
    }
    if width > 0 || is_first {
        flush(&mut line, &mut is_first, out);
    }
}
