//! What is asked and what is answered: taps, what is told of heads and camera, places with their errors, and reasons in words.

use std::fmt;

use crate::layout::{CARD_CENTRE_MM, CardCode};

/// Largest error with which a tap counts as measured, mm (95 %).
pub const MAX_TAP_ERROR_MM: f64 = 2.0;
/// Largest residual of the codes' corners, mm.
pub const MAX_RESIDUAL_MM: f64 = 2.0;
/// Largest tilt of the camera, degrees.
pub const MAX_TILT_DEG: f64 = 35.0;
/// Farthest from the middle of the card, mm.
pub const MAX_FROM_CARD_MM: f64 = 250.0;
/// Heads are taken to be no higher than this when nobody tells their height, mm.
pub const MAX_HEAD_HEIGHT_MM: f64 = 20.0;
/// How far the one code may lie from where the other puts it, as a share of their distance.
pub const MAX_CODES_APART_RATIO: f64 = 0.1;
/// Focal lengths that are taken when told, over the diagonal.
pub const FOCAL_RATIOS: core::ops::RangeInclusive<f64> = 0.2..=5.0;
/// Taps in one question, at most.
pub const MAX_TAPS: usize = 500;

/// How high the top of a head lies above the card's plane: between two ends, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadHeight {
    /// At least this, mm.
    pub low_mm: f64,
    /// At most this, mm.
    pub high_mm: f64,
}

impl HeadHeight {
    /// Nobody told it.
    pub const NOT_KNOWN: Self = Self { low_mm: 0.0, high_mm: MAX_HEAD_HEIGHT_MM };

    /// One height, mm.
    #[must_use]
    pub const fn exactly(height_mm: f64) -> Self {
        Self { low_mm: height_mm, high_mm: height_mm }
    }

    /// Between the two ends, mm.
    #[must_use]
    pub const fn middle_mm(self) -> f64 {
        (self.low_mm + self.high_mm) / 2.0
    }
}

/// A tap on a head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadTap {
    /// Where, px from the upper left corner of the picture.
    pub at_px: (f64, f64),
    /// How far a tap may be off the head's middle, px (one standard deviation a direction).
    pub error_px: f64,
    /// How high the head lies.
    pub height: HeadHeight,
}

/// What is known of the camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CameraTold {
    /// Nothing: a phone's main camera is assumed, see [`crate::pose`].
    Nothing,
    /// Focal length over the diagonal of the picture: the length on the frame of 36 by 24 mm over 43.27 mm.
    FocalRatio(f64),
}

/// Why the picture gives no scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CardFault {
    /// Sides or number of shades make no picture.
    PictureUnusable {
        /// Pixels across.
        width: usize,
        /// Pixels down.
        height: usize,
        /// Shades handed over.
        shades: usize,
    },
    /// Neither code was read.
    NoCard,
    /// One code was read alone.
    OneCodeOnly(CardCode),
    /// A code is too small in the picture, or its edges are not clear.
    CodeNotClear(CardCode),
    /// The codes lie otherwise than on the card: two cards, or a folded one.
    CodesDisagree {
        /// How far the one lies from where the other puts it, mm.
        off_mm: f64,
    },
    /// The camera looked too slantwise.
    TooSteep {
        /// The tilt, degrees.
        tilt_deg: f64,
    },
    /// What was told of the camera has no sense.
    CameraUnusable,
    /// The corners do not fit the card.
    ResidualTooLarge {
        /// Their residual, mm.
        residual_mm: f64,
    },
}

/// Why a tap was not measured though the card was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TapFault {
    /// The tap is no number, or lies outside of the picture.
    OutsidePicture,
    /// The height has no sense: below 0, above 200 mm, or its ends exchanged.
    HeightUnusable,
    /// Too far from the card.
    TooFar {
        /// From the middle of the card, mm.
        distance_mm: f64,
    },
    /// The ray through the tap does not meet the card's plane.
    BesidePlane,
    /// Taps in two pictures do not meet: not the same head, or the card was moved.
    NotOneHead {
        /// How far they miss each other, mm.
        off_mm: f64,
    },
    /// The height is not known closely enough.
    HeightNotKnown {
        /// What the place may be off, mm.
        error_mm: f64,
    },
    /// The error is too large for other reasons.
    TooDoubtful {
        /// What the place may be off, mm.
        error_mm: f64,
    },
    /// More taps than one question may have.
    TooManyTaps,
}

impl fmt::Display for CardFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PictureUnusable { width, height, shades } => write!(
                f,
                "a picture of {width} by {height} pixels with {shades} shades cannot be used: take it again"
            ),
            Self::NoCard => {
                write!(f, "no card found: lay it flat beside the heads, both codes in the picture")
            }
            Self::OneCodeOnly(code) => write!(
                f,
                "only the {} code of the card was read: both have to be free, sharp and in the picture",
                code.words()
            ),
            Self::CodeNotClear(code) => write!(
                f,
                "the edges of the {} code are not clear: go nearer, hold still, more light",
                code.words()
            ),
            Self::CodesDisagree { off_mm } => write!(
                f,
                "the two codes lie {off_mm:.0} mm otherwise than on the card: one card, flat and printed at 100 %"
            ),
            Self::TooSteep { tilt_deg } => write!(
                f,
                "the picture was taken {tilt_deg:.0}° from upright, the limit is {MAX_TILT_DEG:.0}°: hold the camera above the card"
            ),
            Self::CameraUnusable => {
                write!(
                    f,
                    "the focal length must be 0.2 to 5 times the diagonal of the picture: correct it or leave it out"
                )
            }
            Self::ResidualTooLarge { residual_mm } => write!(
                f,
                "the card fits only to {residual_mm:.1} mm, the limit is {MAX_RESIDUAL_MM:.0} mm: lay it flat and take the picture again"
            ),
        }
    }
}

impl fmt::Display for TapFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutsidePicture => write!(f, "the tap lies outside of the picture: tap again"),
            Self::HeightUnusable => {
                write!(f, "the height of the head must lie between 0 and 200 mm: correct it")
            }
            Self::TooFar { distance_mm } => write!(
                f,
                "the head lies {distance_mm:.0} mm from the card's middle, the limit is {MAX_FROM_CARD_MM:.0} mm: lay the card nearer"
            ),
            Self::BesidePlane => {
                write!(f, "the plane of the card is not seen there: tap a head beside the card")
            }
            Self::NotOneHead { off_mm } => write!(
                f,
                "the two taps miss each other by {off_mm:.1} mm: tap the same head twice, and leave the card where it is"
            ),
            Self::HeightNotKnown { error_mm } if error_mm.is_infinite() => {
                write!(f, "both pictures were taken from the same place: take one from another side")
            }
            Self::HeightNotKnown { error_mm } => write!(
                f,
                "seen from the side, a head of unknown height may be {error_mm:.1} mm off: say how high it lies"
            ),
            Self::TooDoubtful { error_mm } => write!(
                f,
                "the place may be {error_mm:.1} mm off, the limit is {MAX_TAP_ERROR_MM:.0} mm: lay the card nearer or take the picture from straight above"
            ),
            Self::TooManyTaps => {
                write!(f, "only the first {MAX_TAPS} taps are measured: ask for the rest apart")
            }
        }
    }
}

/// A place on the card's plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapPlace {
    /// In the card's frame, mm.
    pub at_mm: (f64, f64),
    /// The place is this near or nearer, in 95 of 100 cases, mm.
    pub error_mm: f64,
}

impl TapPlace {
    /// From the middle of the card, mm.
    #[must_use]
    pub fn from_card_mm(&self) -> f64 {
        units::math::hypot(self.at_mm.0 - CARD_CENTRE_MM.0, self.at_mm.1 - CARD_CENTRE_MM.1)
    }
}

/// What comes of a tap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TapAnswer {
    /// Its place, with an error of at most [`MAX_TAP_ERROR_MM`].
    Measured(TapPlace),
    /// Not measured, with the reason; a rough place with its larger error where there is one, good for a sketch only.
    NotMeasured {
        /// The reason.
        why: TapFault,
        /// The rough place.
        rough: Option<TapPlace>,
    },
}

/// How the card was found.
#[derive(Debug, Clone, PartialEq)]
pub struct CardFix {
    /// Root mean square that the corners of the codes miss their places by, mm.
    pub residual_mm: f64,
    /// The camera's tilt, degrees.
    pub tilt_deg: f64,
    /// The camera's height above the card, mm.
    pub distance_mm: f64,
    /// Focal length over diagonal, as found.
    pub focal_ratio: f64,
    /// Standard deviation of it, as a share.
    pub focal_spread_ratio: f64,
    /// Corners used, of 72.
    pub corners: usize,
}

/// The whole answer: how the card was found, and each tap in the order asked.
#[derive(Debug, Clone, PartialEq)]
pub enum TapPositions {
    /// Nothing was measured, with the reason.
    NotMeasured(CardFault),
    /// The card gives a scale.
    Scaled {
        /// How it was found.
        card: CardFix,
        /// One answer for each tap.
        taps: Vec<TapAnswer>,
    },
}
