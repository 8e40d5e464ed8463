//! What a workshop sets about its times: the allowance, and how much longer an engine takes that is new to it.
//!
//! Both scale what is shown and what the calendar lays out. The seconds of a plan, by which its order is sought, stay as the constants give them.

/// Highest allowance, percent.
pub const MAX_ALLOWANCE_PERCENT: u16 = 200;
/// First-time factor as percent: 100 is no longer than any other time.
pub const FIRST_TIME_PERCENT: core::ops::RangeInclusive<u16> = 100..=400;

/// The allowance and the first-time factor of a workshop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimeSettings {
    allowance_percent: u16,
    first_time_percent: u16,
    is_assumed: bool,
}

impl TimeSettings {
    /// Where nobody has set anything: 15 % on top of the planned times for personal needs, rest and short interruptions, and nothing for an
    /// engine that is new.
    ///
    /// The 15 % are assumed; a published scheme of allowances comes to 9 % for needs and rest, and up to 5 % for what turns up (ILO,
    /// Introduction to Work Study, from memory). A first time that takes longer is not assumed: most engines come in once, so that the
    /// constants are meant for a first time, and what visits teach has first times in it.
    #[must_use]
    pub const fn assumed() -> Self {
        Self { allowance_percent: 15, first_time_percent: 100, is_assumed: true }
    }

    /// What somebody set; `None` for a figure beyond [`MAX_ALLOWANCE_PERCENT`] or outside [`FIRST_TIME_PERCENT`].
    #[must_use]
    pub fn of_percent(allowance_percent: u16, first_time_percent: u16) -> Option<Self> {
        let is_good =
            allowance_percent <= MAX_ALLOWANCE_PERCENT && FIRST_TIME_PERCENT.contains(&first_time_percent);
        is_good.then_some(Self { allowance_percent, first_time_percent, is_assumed: false })
    }

    /// What is added to planned times, as a share of them.
    #[must_use]
    pub fn allowance_ratio(&self) -> f64 {
        f64::from(self.allowance_percent) / 100.0
    }

    /// What work on an engine takes that is new to the workshop, over what it takes later.
    #[must_use]
    pub fn first_time_ratio(&self) -> f64 {
        f64::from(self.first_time_percent) / 100.0
    }

    /// The allowance, percent.
    #[must_use]
    pub const fn allowance_percent(&self) -> u16 {
        self.allowance_percent
    }

    /// The first-time factor, percent.
    #[must_use]
    pub const fn first_time_percent(&self) -> u16 {
        self.first_time_percent
    }

    /// Whether nobody has set them.
    #[must_use]
    pub const fn is_assumed(&self) -> bool {
        self.is_assumed
    }
}
