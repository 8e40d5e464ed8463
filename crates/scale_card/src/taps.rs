//! From a picture and taps to places: finds the card, checks it, and answers tap by tap.

use units::math;

use crate::answers::{
    CameraTold, CardFault, CardFix, FOCAL_RATIOS, HeadTap, MAX_CODES_APART_RATIO, MAX_FROM_CARD_MM,
    MAX_RESIDUAL_MM, MAX_TAP_ERROR_MM, MAX_TAPS, MAX_TILT_DEG, TapAnswer, TapFault, TapPlace, TapPositions,
};
use crate::codes::find_card_codes;
use crate::homography::{PlaneHomography, PointPair};
use crate::layout::CardCode;
use crate::picture::GreyPicture;
use crate::pose::CardPose;

/// Standard deviations, root of both directions, that hold 95 in 100: 1.96 when one direction rules, less when both count.
pub const ERRORS_FOR_95_FACTOR: f64 = 1.96;
/// Highest head that is taken at all, mm.
pub const MAX_TOLD_HEIGHT_MM: f64 = 200.0;

/// Places of taps on the plane of the card that lies in the picture.
#[must_use]
pub fn locate_taps(picture: &GreyPicture<'_>, taps: &[HeadTap], camera: CameraTold) -> TapPositions {
    match find_card_pose(picture, camera) {
        Err(fault) => TapPositions::NotMeasured(fault),
        Ok((pose, card)) => {
            let answer = |(at, tap): (usize, &HeadTap)| {
                if at < MAX_TAPS {
                    locate_tap(picture, &pose, tap)
                } else {
                    refuse_tap(TapFault::TooManyTaps)
                }
            };
            TapPositions::Scaled { card, taps: taps.iter().enumerate().map(answer).collect() }
        }
    }
}

/// Where the camera stood against the card.
///
/// # Errors
/// When the card is not found, or does not fit itself.
pub fn find_card_pose(
    picture: &GreyPicture<'_>,
    camera: CameraTold,
) -> Result<(CardPose, CardFix), CardFault> {
    if matches!(camera, CameraTold::FocalRatio(ratio) if !FOCAL_RATIOS.contains(&ratio)) {
        return Err(CardFault::CameraUnusable);
    }
    let search = find_card_codes(picture);
    let [left, right] = match (search.found.as_slice(), search.unclear) {
        ([left, right], _) => [left.pairs.clone(), right.pairs.clone()],
        (_, Some(code)) => return Err(CardFault::CodeNotClear(code)),
        ([one], None) => return Err(CardFault::OneCodeOnly(one.code)),
        (_, None) => return Err(CardFault::NoCard),
    };
    check_codes(&left, &right)?;
    let pairs = [left, right].concat();
    let map = PlaneHomography::fit_pairs(&pairs).ok_or(CardFault::NoCard)?;
    let residual_mm = map.residual_mm(&pairs);
    if residual_mm.is_nan() || residual_mm > MAX_RESIDUAL_MM {
        return Err(CardFault::ResidualTooLarge { residual_mm });
    }
    let pose = CardPose::fit_pairs(&pairs, &map, picture, camera)
        .ok_or(CardFault::ResidualTooLarge { residual_mm })?;
    let tilt_deg = pose.tilt_deg();
    if tilt_deg.is_nan() || tilt_deg > MAX_TILT_DEG {
        return Err(CardFault::TooSteep { tilt_deg });
    }
    let (focal_ratio, focal_spread_ratio) = pose.focal_ratio();
    let distance_mm = pose.distance_mm();
    let corners = pairs.len();
    Ok((pose, CardFix { residual_mm, tilt_deg, distance_mm, focal_ratio, focal_spread_ratio, corners }))
}

/// Each code alone puts the other where it is: two cards, or a sheet folded between its codes, do not pass.
fn check_codes(left: &[PointPair], right: &[PointPair]) -> Result<(), CardFault> {
    let (a, b) = (CardCode::Left.centre_mm(), CardCode::Right.centre_mm());
    let limit_mm = MAX_CODES_APART_RATIO * math::hypot(a.0 - b.0, a.1 - b.1);
    let off = |base: &[PointPair], other: &[PointPair]| {
        let map = PlaneHomography::fit_pairs(base)?;
        let (mut x_mm, mut y_mm) = (0.0, 0.0);
        for pair in other {
            let seen = map.card_mm(pair.picture_px)?;
            (x_mm, y_mm) = (x_mm + seen.0 - pair.card_mm.0, y_mm + seen.1 - pair.card_mm.1);
        }
        Some(math::hypot(x_mm, y_mm) / other.len().max(1) as f64)
    };
    let off_mm = off(left, right).zip(off(right, left)).map_or(f64::INFINITY, |(one, two)| one.min(two));
    if off_mm <= limit_mm { Ok(()) } else { Err(CardFault::CodesDisagree { off_mm }) }
}

const fn refuse_tap(why: TapFault) -> TapAnswer {
    TapAnswer::NotMeasured { why, rough: None }
}

/// One tap against a pose.
#[must_use]
pub fn locate_tap(picture: &GreyPicture<'_>, pose: &CardPose, tap: &HeadTap) -> TapAnswer {
    let (low_mm, high_mm) = (tap.height.low_mm, tap.height.high_mm);
    if !(picture.holds(tap.at_px) && tap.error_px >= 0.0 && tap.error_px.is_finite()) {
        return refuse_tap(TapFault::OutsidePicture);
    }
    if !(0.0 <= low_mm && low_mm <= high_mm && high_mm <= MAX_TOLD_HEIGHT_MM) {
        return refuse_tap(TapFault::HeightUnusable);
    }
    let middle_mm = tap.height.middle_mm();
    let places = || {
        let at_mm = pose.card_mm(tap.at_px, middle_mm)?;
        let (low, high) = (pose.card_mm(tap.at_px, low_mm)?, pose.card_mm(tap.at_px, high_mm)?);
        let by_height_mm = math::hypot(low.0 - high.0, low.1 - high.1) / 2.0;
        let spread_mm = pose.error_mm(tap.at_px, middle_mm, tap.error_px)?;
        Some((at_mm, ERRORS_FOR_95_FACTOR * spread_mm, by_height_mm))
    };
    let Some((at_mm, other_mm, by_height_mm)) = places() else {
        return refuse_tap(TapFault::BesidePlane);
    };
    let error_mm = other_mm + by_height_mm;
    let place = TapPlace { at_mm, error_mm };
    let why = if place.from_card_mm() > MAX_FROM_CARD_MM {
        TapFault::TooFar { distance_mm: place.from_card_mm() }
    } else if error_mm <= MAX_TAP_ERROR_MM {
        return TapAnswer::Measured(place);
    } else if other_mm <= MAX_TAP_ERROR_MM {
        TapFault::HeightNotKnown { error_mm }
    } else {
        TapFault::TooDoubtful { error_mm }
    };
    TapAnswer::NotMeasured { why, rough: Some(place) }
}
