//! Interruptions: what is worth starting in so many minutes, and what follows from a pause.

use crate::hours::{DAY_S, OpenTimeTable};
use crate::make::{BenchCalendar, BenchExcess, BenchLine, CalendarSettings, remake_bench_calendar};
use crate::net::BenchNet;
use crate::visits::{BenchQuestion, CalendarFault, ItemHands, PartDate};
use crate::words::{name_moment, spoken};

/// Work that may be set aside is worth starting from this long on (assumption).
const MIN_WORTH_S: u32 = 300;

/// The next item worth starting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorthStarting {
    /// Place of the visit.
    pub visit: usize,
    /// Place of the item.
    pub item: usize,
    /// How long it must not be set aside, turning to the vehicle included, s.
    pub held_together_s: u32,
    /// Whether it is done in the time, and not only begun.
    pub is_done: bool,
    /// In words.
    pub words: String,
}

/// What is worth starting now in so many seconds: the first item on the calendar that may begin and whose moment not to stop fits. `None` if
/// there is nothing.
///
/// # Errors
/// [`CalendarFault`] as for the calendar.
pub fn find_worth_starting(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
    time_s: u32,
) -> Result<Option<WorthStarting>, CalendarFault> {
    let net = BenchNet::reaching(question, calendar.last_end_s())?;
    let worth = |line: &BenchLine| weigh_start(question, &net, line, time_s);
    Ok(calendar.lines.iter().find_map(worth))
}

fn weigh_start(
    question: &BenchQuestion,
    net: &BenchNet,
    line: &BenchLine,
    time_s: u32,
) -> Option<WorthStarting> {
    let item = net.first_of[line.visit] + line.item;
    if !may_begin_now(net, item) {
        return None;
    }
    let turn_s = if net.at_visit.is_none_or(|v| v == line.visit) { 0 } else { net.switch_s };
    let together_s = held_together(net, item)?;
    let least_s = if together_s > 0 { together_s } else { net.work_s[item].min(MIN_WORTH_S) };
    let held_together_s = turn_s + together_s;
    let open_s = net.shop.spans_between(net.now_s, net.now_s.saturating_add(time_s));
    let open_s = open_s.first().filter(|(f, _)| *f == net.now_s).map_or(0, |(f, t)| t - f);
    // Turning to another vehicle for less work than it takes to turn is not worth it.
    if turn_s + least_s.max(turn_s) > open_s {
        return None;
    }
    let is_done = turn_s + together_s.max(net.work_s[item]) <= open_s;
    let visit = &question.visits[line.visit];
    let end = if is_done { "done in the time" } else { "may be set aside" };
    let work = spoken(net.work_s[item]);
    let words = format!("{}: {}, {work}, {end}", visit.letter, visit.items[line.item].name);
    Some(WorthStarting { visit: line.visit, item: line.item, held_together_s, is_done, words })
}

/// Whether nothing but the hands keeps an item from beginning now.
fn may_begin_now(net: &BenchNet, item: usize) -> bool {
    let helped = |t: &OpenTimeTable| t.fit_on_wall(net.now_s, net.work_s[item]) == Some(net.now_s);
    let has_hands = match net.hands[item] {
        ItemHands::None => false,
        ItemHands::One => true,
        ItemHands::Two => net.helper.as_ref().is_some_and(helped),
    };
    let has_room = net.begins[item].iter().all(|at| {
        let wanted = net.stretches[*at];
        let taken = net.stretches.iter().filter(|s| s.holder == wanted.holder && s.from.is_none());
        taken.map(|s| s.amount).sum::<u32>() + wanted.amount <= net.holder_count[wanted.holder]
    });
    has_hands && has_room && net.before[item].is_empty() && net.release_s[item] <= net.now_s
}

/// How long an item and what has to follow it must not be set aside; 0 where it may be, `None` where what has to follow waits for more.
fn held_together(net: &BenchNet, item: usize) -> Option<u32> {
    let mut together_s =
        if net.in_one_piece[item] || net.hands[item] == ItemHands::Two { net.work_s[item] } else { 0 };
    for gap in net.gaps.iter().filter(|g| g.from == item) {
        let alone = net.before[gap.to].iter().all(|n| n.item == item);
        if !alone {
            return None;
        }
        let wait_s = net.before[gap.to].iter().map(|n| n.wait_s).max().unwrap_or(0);
        let next_s = held_together(net, gap.to)?.max(net.work_s[gap.to]);
        together_s = together_s.max(net.work_s[item] + wait_s + next_s);
    }
    Some(together_s)
}

/// A pause.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchPause {
    /// So many seconds; nobody works meanwhile.
    Seconds(u32),
    /// Until the shop opens on a later day.
    Tomorrow,
    /// Until a part is here that an item of a visit needs; the other visits go on.
    UntilPart {
        /// Place of the visit.
        visit: usize,
        /// When it is here.
        at_s: u32,
    },
}

/// What follows from a pause.
#[derive(Debug, Clone, PartialEq)]
pub struct PauseAnswer {
    /// When the mechanic works again.
    pub resumes_s: u32,
    /// What is next then.
    pub next: Option<BenchLine>,
    /// The calendar from then on.
    pub calendar: BenchCalendar,
    /// By how much each visit is finished later (earlier where negative) than without the pause, s.
    pub later_s: Vec<i64>,
    /// Longest times that the pause breaks: kept without it, not kept with it.
    pub broken: Vec<BenchExcess>,
    /// In words, one line each.
    pub words: Vec<String>,
}

/// What follows from a pause: when and with what it goes on, what gets later, which longest times it breaks.
///
/// # Errors
/// [`CalendarFault`] as for the calendar, or where the pause is of no visit or too long.
pub fn follow_pause(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
    pause: BenchPause,
    settings: &CalendarSettings,
) -> Result<PauseAnswer, CalendarFault> {
    let net = BenchNet::reaching(question, calendar.last_end_s())?;
    let other = paused_question(question, &net, pause)?;
    let before: Vec<(usize, usize)> = calendar.lines.iter().map(|l| (l.visit, l.item)).collect();
    let after = remake_bench_calendar(&other, &before, settings)?;
    let later = after.finishes.iter().zip(&calendar.finishes);
    let later_s: Vec<i64> = later.map(|(a, b)| i64::from(a.planned_s) - i64::from(b.planned_s)).collect();
    let was_kept = |e: &&BenchExcess| !calendar.too_long.iter().any(|b| (b.visit, b.to) == (e.visit, e.to));
    let broken: Vec<BenchExcess> = after.too_long.iter().filter(was_kept).copied().collect();
    let next = after.next_line(&other).copied();
    let words = pause_words(&other, next.as_ref(), &later_s, &broken);
    Ok(PauseAnswer {
        resumes_s: net.shop.wall_start(net.shop.open_before(other.now_s)),
        next,
        calendar: after,
        later_s,
        broken,
        words,
    })
}

fn paused_question(
    question: &BenchQuestion,
    net: &BenchNet,
    pause: BenchPause,
) -> Result<BenchQuestion, CalendarFault> {
    let mut other = question.clone();
    let until_s = match pause {
        BenchPause::Seconds(time_s) => question.now_s.saturating_add(time_s),
        BenchPause::Tomorrow => {
            let midnight_s = (question.now_s / DAY_S + 1) * DAY_S;
            net.shop.wall_start(net.shop.open_before(midnight_s))
        }
        BenchPause::UntilPart { visit, at_s } => {
            let Some(it) = other.visits.get_mut(visit) else {
                return Err(CalendarFault::NoSuch(format!("there is no visit at place {visit}")));
            };
            for item in it.items.iter_mut().filter(|i| i.hands != ItemHands::None) {
                let part = item.part.take().filter(|p| p.at_s >= at_s);
                item.part = Some(part.unwrap_or_else(|| PartDate { part: String::from("part"), at_s }));
            }
            return Ok(other);
        }
    };
    // What goes on by itself has gone on meanwhile.
    for (visit, first) in other.visits.iter_mut().zip(&net.first_of) {
        for (at, item) in visit.items.iter_mut().enumerate() {
            let runs = net.before[first + at].is_empty() && net.release_s[first + at] <= question.now_s;
            if item.hands == ItemHands::None && runs {
                item.expected_s = item.expected_s.saturating_sub(until_s - question.now_s);
            }
        }
    }
    other.now_s = until_s;
    Ok(other)
}

fn pause_words(
    question: &BenchQuestion,
    next: Option<&BenchLine>,
    later_s: &[i64],
    broken: &[BenchExcess],
) -> Vec<String> {
    let weekday = question.hours.first_weekday;
    let named = |visit: usize, item: usize| {
        format!("{}: {}", question.visits[visit].letter, question.visits[visit].items[item].name)
    };
    let mut words = vec![match next {
        Some(line) => {
            format!("next, {}: {}", name_moment(line.start_s, weekday), named(line.visit, line.item))
        }
        None => String::from("nothing is left to do"),
    }];
    for (visit, later_s) in question.visits.iter().zip(later_s) {
        if *later_s >= 60 {
            let later = spoken(u32::try_from(*later_s).unwrap_or(u32::MAX));
            words.push(format!("{} is finished {later} later", visit.letter));
        }
    }
    for excess in broken {
        let by = spoken(excess.by_s);
        words
            .push(format!("{} begins {by} too late; do it before the pause", named(excess.visit, excess.to)));
    }
    words
}
