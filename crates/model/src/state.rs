//! How a fastener stands during a job.

use serde::{Deserialize, Serialize};

/// How a fastener stands; a renewed fastener is a new individual that starts at [`FastenerState::Off`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FastenerState {
    /// In its place, not touched.
    InPlace,
    /// Broken loose, still in its hole.
    Freed,
    /// Out of its hole.
    Off,
    /// Started and run in, not tightened.
    FingerTight,
    /// Tightened to its figure.
    Tight,
    /// Tightened and looked at a second time.
    Checked,
    /// Broken.
    Broken,
    /// Not there.
    Missing,
}

impl FastenerState {
    /// Whether it holds as it should: never touched, tight, or checked.
    #[must_use]
    pub const fn is_closed(self) -> bool {
        matches!(self, Self::InPlace | Self::Tight | Self::Checked)
    }
}
