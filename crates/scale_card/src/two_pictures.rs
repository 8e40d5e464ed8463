//! The same head in two pictures: its height need not be told.
//!
//! **Question.** A head of unknown height is off by its height times the slant. A second picture from another side puts it off another way; where both meet is its place.
//!
//! **Symbols.** `p_i(h) = a_i + h·d_i` the place on the card that picture `i` gives for a height `h`, which is exactly linear; `σ_i` its standard deviation in one
//! direction; `Δa`, `Δd` the differences between both pictures; `w_i` weights that go with `1/σ_i²`.
//!
//! **Method.** `h = −Δa·Δd / |Δd|²` brings both places nearest, `σ_h² = (σ₁² + σ₂²) / |Δd|²`; the place is `w₁·p₁(h) + w₂·p₂(h)`, whose error has two parts that do not hang
//! together, the mean of both and `|w₁·d₁ + w₂·d₂|·σ_h`. What is left between both places across `Δd` says whether it was the same head.
//!
//! **Limits.** Pictures from nearly the same place tell nothing of the height; the error says so. The card must not be moved between them.

use units::math;

use crate::answers::{HeadTap, MAX_FROM_CARD_MM, MAX_TAP_ERROR_MM, TapFault, TapPlace};
use crate::pose::CardPose;
use crate::taps::{ERRORS_FOR_95_FACTOR, MAX_TOLD_HEIGHT_MM};

/// Standard deviations by which two places may miss each other and still be one head.
const MAX_MISS_FACTOR: f64 = 4.0;

/// A head whose height came of two pictures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftedPlace {
    /// Its place.
    pub place: TapPlace,
    /// Its height above the card's plane, mm.
    pub height_mm: f64,
    /// The height is this near or nearer, in 95 of 100 cases, mm.
    pub height_error_mm: f64,
}

/// One picture's ray: the place for height 0, how it moves for each millimetre of height, and its standard deviation in one direction.
// symbol: slant = millimetres of place for each of height
struct HeadRay {
    foot_mm: (f64, f64),
    slant: (f64, f64),
    spread_mm: f64,
}

/// The place of a head that was tapped in two pictures of the same card; heights that are told are not used.
///
/// # Errors
/// When a tap is none, the two taps are not of one head, or the error is above the limit.
pub fn locate_in_two(
    first: (&CardPose, &HeadTap),
    second: (&CardPose, &HeadTap),
) -> Result<LiftedPlace, TapFault> {
    let (one, two) = (HeadRay::of_tap(first)?, HeadRay::of_tap(second)?);
    let apart_mm = subtract(one.foot_mm, two.foot_mm);
    let across = subtract(one.slant, two.slant);
    let squared = across.0 * across.0 + across.1 * across.1;
    let spread_mm = math::hypot(one.spread_mm, two.spread_mm);
    let height_spread_mm = spread_mm / squared.sqrt();
    if !height_spread_mm.is_finite() {
        return Err(TapFault::HeightNotKnown { error_mm: f64::INFINITY });
    }
    let found_mm = -(apart_mm.0 * across.0 + apart_mm.1 * across.1) / squared;
    let miss_mm = (apart_mm.0 * across.1 - apart_mm.1 * across.0).abs() / squared.sqrt();
    let limits_mm = -MAX_MISS_FACTOR * height_spread_mm..=MAX_TOLD_HEIGHT_MM;
    if miss_mm > MAX_MISS_FACTOR * spread_mm || !limits_mm.contains(&found_mm) {
        return Err(TapFault::NotOneHead { off_mm: miss_mm });
    }
    let height_mm = found_mm.max(0.0);
    let weight_share = two.spread_mm.powi(2) / spread_mm.powi(2);
    let blend = |a: f64, b: f64| weight_share * a + (1.0 - weight_share) * b;
    let (at_one, at_two) = (one.place_at(height_mm), two.place_at(height_mm));
    let slant = (blend(one.slant.0, two.slant.0), blend(one.slant.1, two.slant.1));
    let mean_squared = 2.0 * (one.spread_mm * two.spread_mm / spread_mm).powi(2);
    let by_height = (slant.0 * slant.0 + slant.1 * slant.1) * height_spread_mm.powi(2);
    let error_mm = ERRORS_FOR_95_FACTOR * (mean_squared + by_height).sqrt();
    let place = TapPlace { at_mm: (blend(at_one.0, at_two.0), blend(at_one.1, at_two.1)), error_mm };
    if place.from_card_mm() > MAX_FROM_CARD_MM {
        return Err(TapFault::TooFar { distance_mm: place.from_card_mm() });
    }
    if error_mm > MAX_TAP_ERROR_MM {
        return Err(TapFault::HeightNotKnown { error_mm });
    }
    Ok(LiftedPlace { place, height_mm, height_error_mm: ERRORS_FOR_95_FACTOR * height_spread_mm })
}

// symbol: a, b = points or directions, in their own unit
fn subtract(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (a.0 - b.0, a.1 - b.1)
}

impl HeadRay {
    fn of_tap((pose, tap): (&CardPose, &HeadTap)) -> Result<Self, TapFault> {
        let is_number = tap.at_px.0.is_finite() && tap.at_px.1.is_finite();
        if !(is_number && tap.error_px.is_finite() && tap.error_px > 0.0) {
            return Err(TapFault::OutsidePicture);
        }
        let foot_mm = pose.card_mm(tap.at_px, 0.0).ok_or(TapFault::BesidePlane)?;
        let above_mm = pose.card_mm(tap.at_px, 1.0).ok_or(TapFault::BesidePlane)?;
        // The doubt of the camera grows with the height: that of a head of usual height.
        let both_mm = pose.error_mm(tap.at_px, 10.0, tap.error_px).ok_or(TapFault::BesidePlane)?;
        let spread_mm = both_mm / std::f64::consts::SQRT_2;
        Ok(Self { foot_mm, slant: subtract(above_mm, foot_mm), spread_mm })
    }

    fn place_at(&self, height_mm: f64) -> (f64, f64) {
        (self.foot_mm.0 + height_mm * self.slant.0, self.foot_mm.1 + height_mm * self.slant.1)
    }
}
