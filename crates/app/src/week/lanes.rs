//! The drawing of the calendar: closed hours folded away, one lane for each vehicle.

use calendar::hours::{DAY_S, DaySpan, WeekHours};
use calendar::{LaneKind, LaneSegment, draw_lanes};
use print::svg::write_svg;
use print::{AxisStretch, PromiseFlagView, WeekDirection, WeekLaneView, WeekView, draw_week_lanes};

use super::answer::WeekAnswer;

/// Open days that are drawn, at most; what lies behind is told in words alone.
const MAX_DAYS_DRAWN: usize = 12;

/// Vehicles beside each other on a phone, at most.
const MAX_LANES_DOWN: usize = 3;

/// Days that are looked at for open ones.
const MAX_DAYS_AHEAD: u32 = 400;

/// A fold between two days, and within one, as open hours on the axis.
const NIGHT_H: f64 = 0.6;
const BREAK_H: f64 = 0.2;

/// Stretches this close to each other are drawn as one, h.
const JOINED_H: f64 = 0.02;

/// Which way the days go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeekLayout {
    /// From left to right, for a wide page.
    Along,
    /// Downward, for a phone.
    Down,
}

/// An open stretch, and where it begins on the axis.
struct AxisSpan {
    from_s: u32,
    to_s: u32,
    at_h: f64,
}

impl AxisSpan {
    fn length_h(&self) -> f64 {
        f64::from(self.to_s - self.from_s) / 3_600.0
    }

    fn ends_h(&self) -> f64 {
        self.at_h + self.length_h()
    }
}

/// Open hours behind one another, with folds between.
struct FoldedAxis(Vec<AxisSpan>);

impl FoldedAxis {
    /// From the day of now to a moment, within the days that are drawn.
    fn reaching(hours: &WeekHours, until_s: u32) -> Self {
        let mut spans: Vec<AxisSpan> = Vec::new();
        let mut days = 0;
        for day in 0..MAX_DAYS_AHEAD {
            let open = spans_of_day(hours, day);
            if open.is_empty() {
                continue;
            }
            if days == MAX_DAYS_DRAWN || (days > 0 && day * DAY_S > until_s) {
                break;
            }
            days += 1;
            for (at, span) in open.iter().enumerate() {
                let fold_h = if at == 0 { NIGHT_H } else { BREAK_H };
                let at_h = spans.last().map_or(0.0, |last| last.ends_h() + fold_h);
                let (from_s, to_s) = (day * DAY_S + span.from_s, day * DAY_S + span.to_s);
                spans.push(AxisSpan { from_s, to_s, at_h });
            }
        }
        Self(spans)
    }

    fn length_h(&self) -> f64 {
        self.0.last().map_or(0.0, AxisSpan::ends_h)
    }

    /// The place of a moment; one in a fold lies within it, one before or behind all at its end.
    fn place_h(&self, at_s: u32) -> f64 {
        let mut before: Option<&AxisSpan> = None;
        for span in &self.0 {
            if at_s < span.from_s {
                return before.map_or(0.0, |last| {
                    let share = f64::from(at_s - last.to_s) / f64::from(span.from_s - last.to_s);
                    last.ends_h() + (span.at_h - last.ends_h()) * share
                });
            }
            if at_s <= span.to_s {
                return span.at_h + f64::from(at_s - span.from_s) / 3_600.0;
            }
            before = Some(span);
        }
        self.length_h()
    }

    fn stretch_of(&self, segment: &LaneSegment) -> Option<AxisStretch> {
        let stretch = (self.place_h(segment.from_s), self.place_h(segment.to_s));
        (stretch.0 < self.length_h()).then_some(stretch)
    }

    /// Open days, each with where it lies.
    fn days(&self) -> Vec<(AxisStretch, u32)> {
        let mut days: Vec<(AxisStretch, u32)> = Vec::new();
        for span in &self.0 {
            let day = span.from_s / DAY_S;
            match days.last_mut() {
                Some((stretch, last)) if *last == day => stretch.1 = span.ends_h(),
                Some(_) | None => days.push(((span.at_h, span.ends_h()), day)),
            }
        }
        days
    }
}

/// Stretches that follow each other closely are drawn as one.
fn join_stretches(stretches: impl Iterator<Item = AxisStretch>) -> Vec<AxisStretch> {
    let mut joined: Vec<AxisStretch> = Vec::new();
    for (from_h, to_h) in stretches {
        match joined.last_mut() {
            Some(last) if from_h <= last.1 + JOINED_H => last.1 = last.1.max(to_h),
            Some(_) | None => joined.push((from_h, to_h)),
        }
    }
    joined
}

fn spans_of_day(hours: &WeekHours, day: u32) -> &[DaySpan] {
    if hours.closed_days.contains(&day) {
        return &[];
    }
    &hours.spans[(usize::from(hours.first_weekday) + day as usize) % 7]
}

impl WeekAnswer {
    /// The calendar as SVG; on a phone so many vehicles beside each other as there is room for, then the next.
    #[must_use]
    pub fn draw(&self, layout: WeekLayout) -> Vec<String> {
        let (direction, most) = match layout {
            WeekLayout::Along => (WeekDirection::Along, usize::MAX),
            WeekLayout::Down => (WeekDirection::Down, MAX_LANES_DOWN),
        };
        let view = self.view(layout);
        let parts = view.lanes.chunks(most).enumerate().map(|(at, lanes)| {
            let id = format!("{}-{}", view.id, at + 1);
            write_svg(&draw_week_lanes(&WeekView { id, lanes: lanes.to_vec(), ..view.clone() }, direction))
        });
        parts.collect()
    }

    fn view(&self, layout: WeekLayout) -> WeekView {
        let finishes = self.laid_out.finishes.iter().map(|f| f.planned_s.max(f.dates.p95_s));
        let promises = self.question.visits.iter().filter_map(|visit| visit.promise_s);
        let last_s = finishes.chain(promises).fold(self.question.now_s, u32::max);
        let axis = FoldedAxis::reaching(&self.question.hours, last_s);
        let is_cut = axis.0.last().is_none_or(|span| span.to_s < last_s);
        let days = axis.days().into_iter().map(|(stretch, day)| {
            let pattern = if layout == WeekLayout::Down { "%a %-d" } else { "%a %-d %b" };
            let date = self.midnight.checked_add(jiff::SignedDuration::from_hours(24 * i64::from(day)));
            (stretch, date.unwrap_or(self.midnight).strftime(pattern).to_string())
        });
        WeekView {
            id: if layout == WeekLayout::Down { "week-down".into() } else { "week-along".into() },
            title: String::from("Work, waits and finishes of all open visits"),
            length_h: axis.length_h(),
            days: days.collect(),
            now_h: axis.place_h(self.question.now_s),
            is_cut,
            lanes: self.lane_views(&axis),
        }
    }

    fn lane_views(&self, axis: &FoldedAxis) -> Vec<WeekLaneView> {
        // The lanes are those of a question that has a calendar.
        let lanes = draw_lanes(&self.question, &self.laid_out).unwrap_or_default();
        let lane = |(at, lane): (usize, &calendar::CalendarLane)| {
            let of_kind = |kind: LaneKind| {
                let segments = lane.segments.iter().filter(move |segment| segment.kind == kind);
                join_stretches(segments.filter_map(|segment| axis.stretch_of(segment)))
            };
            let (finish, visit) = (self.laid_out.finishes[at].dates, &self.question.visits[at]);
            WeekLaneView {
                letter: lane.letter.to_string(),
                name: lane.name.clone(),
                work: of_kind(LaneKind::Work),
                waits: of_kind(LaneKind::Wait),
                lift: self.lift_stretches(at, axis),
                finish_h: (
                    axis.place_h(finish.p50_s),
                    axis.place_h(finish.p80_s),
                    axis.place_h(finish.p95_s),
                ),
                promise: visit.promise_s.map(|promise_s| PromiseFlagView {
                    at_h: axis.place_h(promise_s),
                    is_missed: finish.p80_s > promise_s,
                }),
            }
        };
        lanes.iter().enumerate().map(lane).collect()
    }

    /// Where a vehicle stands on the lift.
    fn lift_stretches(&self, visit: usize, axis: &FoldedAxis) -> Vec<AxisStretch> {
        let line = |item: usize| self.laid_out.lines_of_visit(visit).find(move |line| line.item == item);
        let stretches = self.question.visits[visit].stretches.iter();
        let mut lift: Vec<AxisStretch> = stretches
            .filter_map(|stretch| {
                let from_s = match stretch.from {
                    Some(item) => line(item)?.start_s,
                    None => self.question.now_s,
                };
                Some((axis.place_h(from_s), axis.place_h(line(stretch.to)?.end_s)))
            })
            .collect();
        lift.sort_by(|one, other| one.0.total_cmp(&other.0));
        join_stretches(lift.into_iter())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const H: u32 = 3_600;

    #[test]
    fn closed_hours_are_folded_and_what_ends_at_night_ends_in_the_fold() {
        let spans = [DaySpan { from_s: 8 * H, to_s: 12 * H }, DaySpan { from_s: 13 * H, to_s: 17 * H }];
        let mut hours = WeekHours::same_on([true, true, true, true, true, false, false], &spans, 4);
        hours.closed_days.push(3);
        // Friday, then Tuesday: the Monday between is closed.
        let axis = FoldedAxis::reaching(&hours, 4 * DAY_S + 9 * H);
        let days = axis.days();
        assert_eq!(days.iter().map(|(_, day)| *day).collect::<Vec<_>>(), [0, 4]);
        assert!((axis.place_h(8 * H) - 0.0).abs() < 1e-9 && axis.place_h(0).abs() < 1e-9);
        assert!((axis.place_h(13 * H) - (4.0 + BREAK_H)).abs() < 1e-9);
        let opens_h = 8.0 + BREAK_H + NIGHT_H;
        assert!((axis.place_h(4 * DAY_S + 8 * H) - opens_h).abs() < 1e-9);
        let night_h = axis.place_h(2 * DAY_S);
        assert!(night_h > 8.0 + BREAK_H && night_h < opens_h, "{night_h}");
        assert!((axis.place_h(u32::MAX) - axis.length_h()).abs() < 1e-9);
    }
}
