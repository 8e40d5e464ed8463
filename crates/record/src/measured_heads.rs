//! What a picture with a scale card in it says of the heads that were tapped there: the figures as they were measured once.
//!
//! They are whole micrometres, so that an event reads back bit for bit and a state stays comparable; that many digits say nothing of
//! how good they are, `error_um` does. Nothing is measured anew when events are folded.

use serde::{Deserialize, Serialize};

/// Most that a place or an error may come to, µm: a card measures a quarter of a metre round itself.
const MAX_PLACE_UM: u32 = 1_000_000;

/// The sides of a picture as it is shown, px.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct PictureSides {
    /// Across, px.
    pub width_px: u32,
    /// Down, px.
    pub height_px: u32,
}

/// Where a head lies on the plane of the card, in the card's frame: to the right and downward from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct MeasuredPlace {
    /// To the right, µm.
    pub x_um: i32,
    /// Downward, µm.
    pub y_um: i32,
    /// The place is this near or nearer, in 95 of 100 cases, µm.
    pub error_um: u32,
}

/// What came of measuring the heads of one fixing in one picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "is", rename_all = "kebab-case")]
pub enum HeadsOutcome {
    /// Every head that was tapped has its place.
    Measured {
        /// One place for each head, in the order of tapping.
        places: Vec<MeasuredPlace>,
        /// Root mean square by which the corners of the card's codes miss their places, µm.
        residual_um: u32,
    },
    /// Nothing is told of where they lie.
    NotMeasured {
        /// Why, in words that follow "not measured:".
        why: String,
    },
}

impl HeadsOutcome {
    /// The places; none where nothing was measured.
    #[must_use]
    pub fn places(&self) -> &[MeasuredPlace] {
        match self {
            Self::Measured { places, .. } => places,
            Self::NotMeasured { .. } => &[],
        }
    }

    /// The largest error of any place, µm; `None` where nothing was measured.
    #[must_use]
    pub fn worst_error_um(&self) -> Option<u32> {
        self.places().iter().map(|place| place.error_um).max()
    }

    /// What in it cannot be: a place beyond the reach of any card, no place at all, or no reason.
    pub(crate) fn find_broken(&self) -> Option<String> {
        match self {
            Self::NotMeasured { why } => {
                why.trim().is_empty().then(|| String::from("heads were not measured, without a reason"))
            }
            Self::Measured { places, .. } => {
                let is_far = |place: &MeasuredPlace| {
                    let sides = [place.x_um.unsigned_abs(), place.y_um.unsigned_abs(), place.error_um];
                    sides.into_iter().any(|side| side > MAX_PLACE_UM)
                };
                let is_broken = places.is_empty() || places.iter().any(is_far);
                is_broken
                    .then(|| String::from("a head lies more than 1 m from the card, or none was measured"))
            }
        }
    }
}
