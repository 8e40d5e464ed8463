//! How a fastener stands during a job.

use serde::{Deserialize, Serialize};

/// How a fastener stands; a renewed fastener is a new individual that starts at [`FastenerState::Off`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FastenerState {
    /// In its place, not touched.
    #[default]
    InPlace,
    /// Broken loose, still in its hole.
    Freed,
    /// Out of its hole, in its slot.
    Off,
    /// Started and run in, not tightened or not through all passes.
    FingerTight,
    /// Tightened to its figure, through all passes.
    Tight,
    /// Tightened and looked at a second time.
    Checked,
    /// Broken or spoiled, its rest still in the hole.
    Broken,
    /// Not there: missing when found, or lost since; a new one is run in at refit.
    Missing,
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
