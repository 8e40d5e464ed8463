//! A finish date for the terminal: the dates first, then the spread, then why.

use core::fmt::Write as _;

use super::table::{PageWidth, bullet, hanging_paragraph};
use crate::finish::FinishAnswer;
use plan::calendar::{CalendarLine, LineStartReason, Meanwhile};
use units::Duration;

/// What stands beside the bars of the spread: dates and marks.
const BESIDE_BARS: usize = 40;

/// The whole answer.
#[must_use]
pub fn format_finish(finish: &FinishAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    push_dates(finish, &mut out, width);
    push_spread(finish, &mut out, width);
    push_critical_path(finish, &mut out, width);
    push_waits(finish, &mut out, width);
    for gap in &finish.calendar.too_long {
        let by = Duration::from_s(gap.by_s).spoken_text();
        let words = format!(
            "The gap at {} is {by} too long; set the part in place closer to its tightening.",
            gap.part
        );
        out.push('\n');
        out.push_str(&hanging_paragraph(width, "", 2, &words));
    }
    if !finish.calendar.without_helper.is_empty() {
        out.push_str("\nNeeds a second pair of hands\n");
        finish
            .calendar
            .without_helper
            .iter()
            .for_each(|text| out.push_str(&hanging_paragraph(width, "  ", 4, text)));
    }
    out.push_str("\nAssumed\n");
    finish
        .calendar
        .assumptions
        .iter()
        .for_each(|text| out.push_str(&hanging_paragraph(width, "  ", 4, text)));
    out
}

fn push_dates(finish: &FinishAnswer, out: &mut String, width: PageWidth) {
    out.push_str(&bullet(width, "", &format!("Finish of {}", finish.title)));
    let rows = [
        ("80 %", &finish.p80, "plan with this date"),
        ("50 %", &finish.p50, "as likely before as after"),
        ("95 %", &finish.p95, "later than this one time in twenty"),
        ("planned", &finish.planned, "every step at its planned time"),
    ];
    for (name, date, words) in rows {
        out.push_str(&bullet(width, &format!("  {name:<9}{date:<24}"), words));
    }
    let order = if finish.calendar.plan_order {
        "in the plan's own order"
    } else {
        "in an order changed for waits and arrivals"
    };
    let bench = Duration::from_s(finish.calendar.spread.bench_p50_s).spoken_text();
    out.push_str(&bullet(width, "  ", &format!("{bench} on the bench, interruptions included, {order}")));
}

/// Bars merged in pairs, so that all fit on one screen, with the three dates beside theirs.
fn push_spread(finish: &FinishAnswer, out: &mut String, width: PageWidth) {
    let spread = &finish.calendar.spread;
    let _ = writeln!(out, "\nSpread of {} samples", spread.samples);
    let pairs: Vec<u32> = spread.bars.chunks(2).map(|b| b.iter().sum()).collect();
    let longest = (width.columns() - BESIDE_BARS) as u32;
    let most = pairs.iter().copied().max().unwrap_or(0).max(1);
    for (at, samples) in pairs.iter().enumerate() {
        let from_s = spread.from_s + spread.bar_s * 2.0 * at as f64;
        let until_s = from_s + spread.bar_s * 2.0;
        let is_last = at + 1 == pairs.len();
        let inside = |at_s: f64| at_s >= from_s && (at_s < until_s || is_last);
        let marks = [("50 %", spread.p50_s), ("80 %", spread.p80_s), ("95 %", spread.p95_s)];
        let marks: Vec<&str> = marks.iter().filter(|(_, at_s)| inside(*at_s)).map(|(m, _)| *m).collect();
        let bar = "#".repeat((samples * longest).div_ceil(most) as usize);
        let row = format!("  {:<23}{bar} {}", finish.date_at(from_s), marks.join(" "));
        let _ = writeln!(out, "{}", row.trim_end());
    }
}

/// The chain that fixes the finish; stretches in which the mechanic goes from one step to the next are drawn together.
fn push_critical_path(finish: &FinishAnswer, out: &mut String, width: PageWidth) {
    out.push_str("\nCritical path\n");
    let lines = &finish.calendar.lines;
    let mut chain = finish.calendar.critical.iter().peekable();
    while let Some((at, why)) = chain.next() {
        let mut last = *at;
        while let Some((next, LineStartReason::Hands(_))) = chain.peek() {
            last = *next;
            chain.next();
        }
        let why = match why {
            LineStartReason::Start => String::from("start"),
            LineStartReason::Hands(_) => String::from("work continues"),
            LineStartReason::Wait(_, title) => format!("after the wait: {title}"),
            LineStartReason::Arrival(what) => format!("after {what} arrives"),
            LineStartReason::HeldBack => String::from("started late to keep within its longest gap"),
        };
        let work_s: f64 = lines[*at..=last].iter().map(|l| l.work_s).sum();
        let work = Duration::from_s(work_s).spoken_text();
        let (first, end) = (&lines[*at], &lines[last]);
        let steps = format!(
            "{}, {why}: {} ({work} of work)",
            finish.date_at(first.start_s),
            step_range_words(first, end)
        );
        out.push_str(&hanging_paragraph(width, "  ", 4, &steps));
        out.push_str(&hanging_paragraph(width, "    ", 6, &first.text));
    }
}

fn step_range_words(first: &CalendarLine, last: &CalendarLine) -> String {
    match (first.steps.first(), last.steps.last()) {
        (Some(a), Some(b)) if a != b => format!("step {a} to step {b}"),
        (Some(a), _) => format!("step {a}"),
        _ => String::from("a step"),
    }
}

fn push_waits(finish: &FinishAnswer, out: &mut String, width: PageWidth) {
    if finish.calendar.waits.is_empty() {
        return;
    }
    out.push_str("\nMeanwhile\n");
    for wait in &finish.calendar.waits {
        push_wait(finish, wait, out, width);
    }
}

fn push_wait(finish: &FinishAnswer, wait: &Meanwhile, out: &mut String, width: PageWidth) {
    let idle = if wait.idle_s >= 60.0 {
        format!("; {} with nothing to do", Duration::from_s(wait.idle_s).spoken_text())
    } else {
        String::new()
    };
    let words =
        format!("{}: {} to {}{idle}", wait.title, finish.date_at(wait.from_s), finish.date_at(wait.until_s));
    out.push_str(&hanging_paragraph(width, "  ", 4, &words));
    let (few, rest) = wait.lines.split_at(wait.lines.len().min(3));
    for at in few {
        out.push_str(&hanging_paragraph(width, "    ", 6, &finish.calendar.lines[*at].text));
    }
    if !rest.is_empty() {
        let _ = writeln!(out, "    and {} more", rest.len());
    }
}
