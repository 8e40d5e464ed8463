//! The calendar as lanes of segments, one lane a vehicle, for pages and paper.

use crate::hours::OpenTimeTable;
use crate::make::{BenchCalendar, BenchLine};
use crate::net::BenchNet;
use crate::visits::{BenchQuestion, CalendarFault, ItemHands};
use crate::words::{name_moment, spoken};

/// What a segment shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LaneKind {
    /// The shop is closed.
    Closed,
    /// Hands-free: a cure, cooling, work elsewhere.
    Wait,
    /// Hands at work.
    Work,
    /// The date that is promised; no length.
    Promise,
    /// Now; no length.
    Now,
}

/// A stretch of a lane.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaneSegment {
    /// What it shows.
    pub kind: LaneKind,
    /// Begin, on the wall clock.
    pub from_s: u32,
    /// End; equal to the begin for a mark.
    pub to_s: u32,
    /// Place of the item that it belongs to.
    pub item: Option<usize>,
    /// Words for it.
    pub words: String,
}

/// A vehicle's lane; segments by begin, then kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalendarLane {
    /// Letter of the visit.
    pub letter: char,
    /// What the vehicle is called.
    pub name: String,
    /// Segments.
    pub segments: Vec<LaneSegment>,
}

/// Lanes from now to the last finish or promise.
///
/// # Errors
/// [`CalendarFault`] as for the calendar.
pub fn draw_lanes(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
) -> Result<Vec<CalendarLane>, CalendarFault> {
    let net = BenchNet::reaching(question, calendar.last_end_s())?;
    let lasts = calendar.finishes.iter().map(|f| f.planned_s);
    let last_s = lasts.chain(net.promise_s.iter().flatten().copied()).fold(net.now_s, u32::max);
    let lane = |visit: usize| {
        let mut segments = closed_segments(&net.shop, net.now_s, last_s);
        for line in calendar.lines_of_visit(visit) {
            push_item(question, &net.shop, line, &mut segments);
        }
        push_waits(question, calendar, visit, &mut segments);
        let mark = |kind, at_s, words| LaneSegment { kind, from_s: at_s, to_s: at_s, item: None, words };
        segments.push(mark(LaneKind::Now, net.now_s, String::from("now")));
        if let Some(promise_s) = net.promise_s[visit] {
            let words = format!("promised {}", name_moment(promise_s, question.hours.first_weekday));
            segments.push(mark(LaneKind::Promise, promise_s, words));
        }
        segments.sort_by_key(|s| (s.from_s, s.kind, s.to_s, s.item));
        let it = &question.visits[visit];
        CalendarLane { letter: it.letter, name: it.name.clone(), segments }
    };
    Ok((0..question.visits.len()).map(lane).collect())
}

fn closed_segments(shop: &OpenTimeTable, from_s: u32, to_s: u32) -> Vec<LaneSegment> {
    let mut closed = Vec::new();
    let mut free_s = from_s;
    let open = shop.spans_between(from_s, to_s);
    for (opens_s, closes_s) in open.into_iter().chain([(to_s, to_s)]) {
        if free_s < opens_s {
            let words = String::from("closed");
            closed.push(LaneSegment {
                kind: LaneKind::Closed,
                from_s: free_s,
                to_s: opens_s,
                item: None,
                words,
            });
        }
        free_s = closes_s;
    }
    closed
}

/// An item, in parts where closing time breaks it.
fn push_item(
    question: &BenchQuestion,
    shop: &OpenTimeTable,
    line: &BenchLine,
    segments: &mut Vec<LaneSegment>,
) {
    let item = &question.visits[line.visit].items[line.item];
    let (kind, parts) = match item.hands {
        ItemHands::None => (LaneKind::Wait, vec![(line.start_s, line.end_s)]),
        ItemHands::One | ItemHands::Two => (LaneKind::Work, shop.spans_between(line.start_s, line.end_s)),
    };
    let words = format!("{}, {}", item.name, spoken(line.work_s));
    segments.extend(parts.into_iter().filter(|(f, t)| f < t).map(|(from_s, to_s)| LaneSegment {
        kind,
        from_s,
        to_s,
        item: Some(line.item),
        words: words.clone(),
    }));
}

fn push_waits(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
    visit: usize,
    segments: &mut Vec<LaneSegment>,
) {
    let mut seen: Vec<(usize, u32)> = Vec::new();
    for link in question.visits[visit].links.iter().filter(|l| l.wait_s > 0) {
        let Some(line) = calendar.lines_of_visit(visit).find(|l| l.item == link.from) else { continue };
        if !seen.contains(&(link.from, link.wait_s)) {
            seen.push((link.from, link.wait_s));
            segments.push(LaneSegment {
                kind: LaneKind::Wait,
                from_s: line.end_s,
                to_s: line.end_s + link.wait_s,
                item: Some(link.from),
                words: format!("{}, {}", link.words, spoken(link.wait_s)),
            });
        }
    }
}
