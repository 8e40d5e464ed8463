//! Shop hours by weekday, holidays and days lost; the wall clock and the open time that has gone by, both in whole seconds.
//!
//! *Wall clock*: seconds from midnight of the first day. *Open time*: seconds of opening hours from the first day's midnight to a moment of the
//! wall clock. Work of the hands is laid out in open time, where closing time has no length; a wait runs by the wall clock.

/// Seconds of a day.
pub const DAY_S: u32 = 86_400;
/// Maximum number of days that are laid out; a calendar that reaches beyond is refused.
pub const MAX_CALENDAR_DAYS: u32 = 3_650;
/// Spans of one weekday, at most.
pub const MAX_SPANS_OF_DAY: usize = 8;

/// Maximum number of closed days.
pub const MAX_CLOSED_DAYS: usize = 4_000;

/// A stretch of one day, s from its midnight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct DaySpan {
    /// Opening.
    pub from_s: u32,
    /// Closing, at most midnight.
    pub to_s: u32,
}

/// Opening hours of the shop, or the hours of a second pair of hands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeekHours {
    /// Spans by weekday, Monday first, each list in order.
    pub spans: [Vec<DaySpan>; 7],
    /// Weekday of the first day, Monday 0.
    pub first_weekday: u8,
    /// Days that are closed all the same (holidays, days lost), counted from the first day, which is 0.
    pub closed_days: Vec<u32>,
}

impl WeekHours {
    /// The same hours on some weekdays, Monday first.
    #[must_use]
    pub fn same_on(days: [bool; 7], spans: &[DaySpan], first_weekday: u8) -> Self {
        let of_day = |open: bool| if open { spans.to_vec() } else { Vec::new() };
        Self { spans: days.map(of_day), first_weekday, closed_days: Vec::new() }
    }

    /// Open day and night.
    #[must_use]
    pub fn always_open() -> Self {
        Self::same_on([true; 7], &[DaySpan { from_s: 0, to_s: DAY_S }], 0)
    }

    /// What is wrong with the hours, in words that say what to do.
    pub(crate) fn find_fault(&self) -> Option<String> {
        for spans in &self.spans {
            if spans.len() > MAX_SPANS_OF_DAY {
                return Some(format!("a weekday has {} spans; give at most {MAX_SPANS_OF_DAY}", spans.len()));
            }
            let in_order = spans.windows(2).all(|w| w[0].to_s <= w[1].from_s);
            if !in_order || spans.iter().any(|s| s.from_s >= s.to_s || s.to_s > DAY_S) {
                return Some(String::from(
                    "the hours of a weekday overlap or end before they begin; give them in order, up to midnight",
                ));
            }
        }
        if self.closed_days.len() > MAX_CLOSED_DAYS {
            let count = self.closed_days.len();
            return Some(format!("{count} days are closed; give at most {MAX_CLOSED_DAYS}"));
        }
        let none = self.spans.iter().all(Vec::is_empty);
        none.then(|| String::from("no weekday is open; give the hours of at least one"))
    }

    fn spans_of_day(&self, day: u32) -> &[DaySpan] {
        if self.closed_days.contains(&day) {
            return &[];
        }
        &self.spans[(usize::from(self.first_weekday) + day as usize) % 7]
    }
}

/// An open stretch on the wall clock and the open time before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct WallSpan {
    pub from_s: u32,
    pub to_s: u32,
    pub open_before_s: u32,
}

impl WallSpan {
    const fn open_to_s(&self) -> u32 {
        self.open_before_s + (self.to_s - self.from_s)
    }
}

/// Opening hours laid out day by day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenTimeTable {
    spans: Vec<WallSpan>,
    known_until_s: u32,
}

/// The latest moment that is counted to.
pub(crate) const MAX_TIME_S: u32 = 1 << 30;

impl OpenTimeTable {
    /// Lays the hours out until so many seconds have been open from a moment on, or for [`MAX_CALENDAR_DAYS`]; hours of another table, where given, are
    /// kept to as well.
    pub(crate) fn new(hours: &WeekHours, (from_s, open_s): (u32, u64), within: Option<&Self>) -> Self {
        let mut spans: Vec<WallSpan> = Vec::new();
        let (mut open_before_s, mut wanted_s) = (0, open_s);
        for day in 0..MAX_CALENDAR_DAYS {
            for span in hours.spans_of_day(day) {
                let wall = (day * DAY_S + span.from_s, day * DAY_S + span.to_s);
                let parts = within.map_or_else(|| vec![wall], |table| table.parts_within(wall));
                for part in parts {
                    push_span(&mut spans, part, &mut open_before_s);
                    wanted_s = wanted_s.saturating_sub(u64::from(part.1.saturating_sub(part.0.max(from_s))));
                }
            }
            if wanted_s == 0 && day * DAY_S > from_s {
                break;
            }
        }
        let known_until_s = spans.last().map_or(0, |s| s.to_s);
        if within.is_none()
            && let Some(last) = spans.last_mut()
        {
            last.to_s = MAX_TIME_S;
        }
        Self { spans, known_until_s }
    }

    /// Until then the hours are as asked; beyond, the shop counts as always open.
    pub(crate) const fn known_until_s(&self) -> u32 {
        self.known_until_s
    }

    fn parts_within(&self, (from_s, to_s): (u32, u32)) -> Vec<(u32, u32)> {
        let first = self.spans.partition_point(|s| s.to_s <= from_s);
        let inside = self.spans[first..].iter().take_while(|s| s.from_s < to_s);
        inside.map(|s| (s.from_s.max(from_s), s.to_s.min(to_s))).collect()
    }

    /// Open time before a moment of the wall clock.
    #[must_use]
    pub fn open_before(&self, wall_s: u32) -> u32 {
        let at = self.spans.partition_point(|s| s.from_s <= wall_s);
        let Some(span) = at.checked_sub(1).and_then(|at| self.spans.get(at)) else { return 0 };
        span.open_before_s + wall_s.min(span.to_s) - span.from_s
    }

    /// When work that starts after so much open time starts: after the closing time before it.
    #[must_use]
    pub fn wall_start(&self, open_s: u32) -> u32 {
        let at = self.spans.partition_point(|s| s.open_to_s() <= open_s);
        self.spans.get(at).map_or(MAX_TIME_S, |s| s.from_s + (open_s - s.open_before_s))
    }

    /// When work that ends after so much open time ends: before the closing time after it.
    #[must_use]
    pub fn wall_end(&self, open_s: u32) -> u32 {
        let at = self.spans.partition_point(|s| s.open_to_s() < open_s);
        self.spans.get(at).map_or(MAX_TIME_S, |s| s.from_s + open_s.saturating_sub(s.open_before_s))
    }

    /// When work of the hands that starts at a moment of open time is done; no work is done at once.
    pub(crate) fn wall_end_of_work(&self, start_open_s: u32, work_s: u32) -> u32 {
        if work_s == 0 { self.wall_start(start_open_s) } else { self.wall_end(start_open_s + work_s) }
    }

    /// The first open time from which on a piece of work fits before closing.
    pub(crate) fn fit_in_one_piece(&self, open_s: u32, work_s: u32) -> u32 {
        let at = self.spans.partition_point(|s| s.open_to_s() <= open_s);
        let mut from_s = open_s;
        for span in self.spans.get(at..).unwrap_or_default() {
            from_s = from_s.max(span.open_before_s);
            if from_s + work_s <= span.open_to_s() {
                return from_s;
            }
        }
        from_s
    }

    /// The first moment of the wall clock from which on a piece of work fits into one span; `None` if there is none.
    pub(crate) fn fit_on_wall(&self, wall_s: u32, work_s: u32) -> Option<u32> {
        let at = self.spans.partition_point(|s| s.to_s <= wall_s);
        let later = self.spans.get(at..).unwrap_or_default();
        later.iter().map(|s| (s.from_s.max(wall_s), s.to_s)).find(|(f, t)| f + work_s <= *t).map(|(f, _)| f)
    }

    /// The longest span that begins before the hours are laid out to their end, s.
    pub(crate) fn longest_span_s(&self) -> u32 {
        let whole = self.spans.len().saturating_sub(1);
        let inside = self.spans[..whole].iter().map(|s| s.to_s - s.from_s).max();
        inside.unwrap_or_else(|| self.spans.last().map_or(0, |s| s.to_s - s.from_s))
    }

    /// Whether the shop is open at a moment.
    #[must_use]
    pub fn is_open(&self, wall_s: u32) -> bool {
        let at = self.spans.partition_point(|s| s.to_s <= wall_s);
        self.spans.get(at).is_some_and(|s| s.from_s <= wall_s)
    }

    /// Open spans that touch a stretch of the wall clock, cut to it.
    #[must_use]
    pub fn spans_between(&self, from_s: u32, to_s: u32) -> Vec<(u32, u32)> {
        if from_s < to_s { self.parts_within((from_s, to_s)) } else { Vec::new() }
    }
}

fn push_span(spans: &mut Vec<WallSpan>, (from_s, to_s): (u32, u32), open_before_s: &mut u32) {
    match spans.last_mut() {
        Some(last) if last.to_s == from_s => last.to_s = to_s,
        _ => spans.push(WallSpan { from_s, to_s, open_before_s: *open_before_s }),
    }
    *open_before_s += to_s - from_s;
}

#[cfg(test)]
mod tests {
    use super::*;

    const H: u32 = 3_600;

    /// Monday to Friday 8 to 12 and 13 to 17; the first day is a Friday, the Monday after is a holiday.
    fn table() -> OpenTimeTable {
        let spans = [DaySpan { from_s: 8 * H, to_s: 12 * H }, DaySpan { from_s: 13 * H, to_s: 17 * H }];
        let mut hours = WeekHours::same_on([true, true, true, true, true, false, false], &spans, 4);
        hours.closed_days.push(3);
        OpenTimeTable::new(&hours, (0, 400 * u64::from(H)), None)
    }

    #[test]
    fn open_time_and_wall_clock_are_turned_into_each_other() {
        let table = table();
        // Worked by hand: Friday has 8 h, then Tuesday, day 4.
        assert_eq!(table.open_before(7 * H), 0);
        assert_eq!(table.open_before(12 * H + 1), 4 * H);
        assert_eq!((table.wall_end(4 * H), table.wall_start(4 * H)), (12 * H, 13 * H));
        assert_eq!((table.wall_end(8 * H), table.wall_start(8 * H)), (17 * H, 4 * DAY_S + 8 * H));
        assert_eq!(table.fit_in_one_piece(3 * H, 2 * H), 4 * H);
        assert_eq!(table.fit_in_one_piece(7 * H, 2 * H), 8 * H);
        assert_eq!(table.longest_span_s(), 4 * H);
        assert!(table.is_open(8 * H) && !table.is_open(12 * H) && !table.is_open(3 * DAY_S + 9 * H));
        assert_eq!(table.spans_between(11 * H, 14 * H), [(11 * H, 12 * H), (13 * H, 14 * H)]);
    }

    #[test]
    fn a_shop_that_never_closes_is_one_span() {
        let table = OpenTimeTable::new(&WeekHours::always_open(), (0, 10), None);
        assert_eq!((table.wall_start(12_345), table.wall_end(12_345)), (12_345, 12_345));
        assert_eq!(table.spans.len(), 1);
    }

    #[test]
    fn the_second_pair_of_hands_keeps_to_the_hours_of_the_shop() {
        let spans = [DaySpan { from_s: 16 * H, to_s: 20 * H }];
        let hours = WeekHours::same_on([true; 7], &spans, 4);
        let both = OpenTimeTable::new(&hours, (0, 10 * u64::from(H)), Some(&table()));
        assert_eq!(both.fit_on_wall(0, H), Some(16 * H));
        assert_eq!(both.fit_on_wall(16 * H + 1, H), Some(4 * DAY_S + 16 * H));
        assert_eq!(both.fit_on_wall(0, 2 * H), None);
    }

    #[test]
    fn hours_that_cannot_be_are_told() {
        let overlapping = [DaySpan { from_s: 8 * H, to_s: 12 * H }, DaySpan { from_s: 11 * H, to_s: 13 * H }];
        assert!(WeekHours::same_on([true; 7], &overlapping, 0).find_fault().is_some());
        assert!(WeekHours::same_on([false; 7], &overlapping[..1], 0).find_fault().is_some());
        assert_eq!(WeekHours::always_open().find_fault(), None);
    }
}
