//! The state of a fastener during a job.

units::worded! {
    /// The state of a fastener; a renewed fastener is a new individual that starts at [`FastenerState::Off`].
    #[derive(Default)]
    pub enum FastenerState {
        /// In its place, not touched.
        #[default]
        InPlace = "in-place" / "in place",
        /// Broken loose, still in its hole.
        Freed = "freed" / "broken loose",
        /// Out of its hole, in its slot.
        Off = "off",
        /// Started and run in, not tightened or not through all passes.
        FingerTight = "finger-tight",
        /// Tightened to its figure, through all passes.
        Tight = "tight",
        /// Tightened and looked at a second time.
        Checked = "checked",
        /// Broken or damaged, with the remainder still in the hole.
        Broken = "broken",
        /// Not there: missing when found, or lost since; a new one is run in at refit.
        Missing = "missing",
    }
}

impl FastenerState {
    /// Whether it holds as it should: never touched, tight, or checked.
    #[must_use]
    pub const fn is_closed(self) -> bool {
        matches!(self, Self::InPlace | Self::Tight | Self::Checked)
    }

    /// Whether it no longer holds its part.
    #[must_use]
    pub const fn is_out(self) -> bool {
        matches!(self, Self::Off | Self::Missing)
    }

    /// Whether nothing is left to be done to it.
    #[must_use]
    pub const fn is_done(self) -> bool {
        matches!(self, Self::Tight | Self::Checked)
    }
}
