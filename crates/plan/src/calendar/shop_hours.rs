//! Shop hours: working time and wall clock, both counted in seconds from midnight of the first day.

use serde::{Deserialize, Serialize};

/// Seconds of a day.
pub const DAY_S: f64 = 86_400.0;
/// Days of a week.
const DAYS_PER_WEEK: usize = 7;

/// When the shop is open, and when the work starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ShopHours {
    /// Opening time of a day, s from midnight.
    pub opens_s: f64,
    /// Open time of a day, s; at most to midnight.
    pub open_s: f64,
    /// Weekdays that are open, Monday first; at least one.
    pub days: [bool; 7],
    /// Weekday of the first day, Monday 0.
    pub first_day: u8,
    /// When the work starts, s from midnight of the first day.
    pub start_s: f64,
    /// Share of the open time lost to interruptions: telephone, customers, breaks.
    pub interruption_fraction: f64,
}

impl ShopHours {
    /// The same shop with all figures in range: some day open, some time a day, not all of it lost.
    #[must_use]
    pub fn clamp_to_range(self) -> Self {
        let opens_s = self.opens_s.clamp(0.0, DAY_S - 3600.0);
        let days = if self.days.contains(&true) { self.days } else { [true; 7] };
        Self {
            opens_s,
            open_s: self.open_s.clamp(1800.0, DAY_S - opens_s),
            days,
            first_day: self.first_day % 7,
            start_s: self.start_s.max(0.0),
            interruption_fraction: self.interruption_fraction.clamp(0.0, 0.9),
        }
    }

    /// Time on the bench that a piece of work takes, interruptions included.
    #[must_use]
    pub fn stretched_s(&self, work_s: f64) -> f64 {
        work_s / (1.0 - self.interruption_fraction)
    }

    fn is_open_on(&self, day: usize) -> bool {
        self.days[(usize::from(self.first_day) + day) % DAYS_PER_WEEK]
    }

    /// The first open time from a time on.
    #[must_use]
    pub fn open_from_s(&self, at_s: f64) -> f64 {
        let mut day = (at_s / DAY_S) as usize;
        let mut now_s = at_s;
        loop {
            let opens_s = day as f64 * DAY_S + self.opens_s;
            if self.is_open_on(day) && now_s < opens_s + self.open_s {
                return now_s.max(opens_s);
            }
            day += 1;
            now_s = day as f64 * DAY_S;
        }
    }

    /// When work that starts at a time is done.
    #[must_use]
    pub fn work_end_s(&self, start_s: f64, bench_s: f64) -> f64 {
        let mut now_s = self.open_from_s(start_s);
        let mut left_s = bench_s;
        loop {
            let closes_s = self.closes_s(now_s);
            if now_s + left_s <= closes_s {
                return now_s + left_s;
            }
            left_s -= closes_s - now_s;
            now_s = self.open_from_s(closes_s);
        }
    }

    /// Closing time of the day of an open time.
    fn closes_s(&self, open_at_s: f64) -> f64 {
        (open_at_s / DAY_S).trunc() * DAY_S + self.opens_s + self.open_s
    }

    /// Open time between two times.
    #[must_use]
    pub fn open_between_s(&self, from_s: f64, to_s: f64) -> f64 {
        let mut now_s = self.open_from_s(from_s);
        let mut sum_s = 0.0;
        while now_s < to_s {
            let closes_s = self.closes_s(now_s);
            sum_s += closes_s.min(to_s) - now_s;
            now_s = self.open_from_s(closes_s);
        }
        sum_s
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const H: f64 = 3600.0;

    /// Monday to Friday from eight for eight hours; the first day is a Friday.
    fn shop() -> ShopHours {
        let days = [true, true, true, true, true, false, false];
        ShopHours {
            opens_s: 8.0 * H,
            open_s: 8.0 * H,
            days,
            first_day: 4,
            start_s: 8.0 * H,
            interruption_fraction: 0.2,
        }
    }

    #[test]
    fn work_is_set_aside_over_night_and_weekend() {
        let shop = shop();
        assert_eq!(shop.open_from_s(7.0 * H), 8.0 * H);
        assert_eq!(shop.open_from_s(16.0 * H), 3.0 * DAY_S + 8.0 * H);
        assert_eq!(shop.work_end_s(15.0 * H, 2.0 * H), 3.0 * DAY_S + 9.0 * H);
        assert_eq!(shop.work_end_s(8.0 * H, 8.0 * H), 16.0 * H);
        assert_eq!(shop.open_between_s(15.0 * H, 3.0 * DAY_S + 9.0 * H), 2.0 * H);
        assert_eq!(shop.open_between_s(17.0 * H, DAY_S), 0.0);
        assert_eq!(shop.stretched_s(8.0 * H), 10.0 * H);
    }

    #[test]
    fn a_shop_that_never_opens_is_made_sound() {
        let odd = ShopHours { days: [false; 7], open_s: 0.0, interruption_fraction: 7.0, ..shop() }
            .clamp_to_range();
        assert!(odd.work_end_s(0.0, 3600.0).is_finite() && odd.stretched_s(1.0) <= 10.0 + 1.0e-9);
    }
}
