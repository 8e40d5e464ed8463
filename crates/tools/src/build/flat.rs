//! Pieces that take hold from the side: spanners and crow-feet.

use model::{DriveForm, Grip, GripApproach, GripFit, Handle, HandleStyle, PieceKind, PieceLink, Retention};
use units::{Angle, Length};

use super::{PieceShape, handles, nominal_flats_mm, working_end_n_m};
use crate::draft::OwnerFigures;
use crate::recipe::{PieceRecipe, SpannerEnd};
use crate::standard::link::row_of_link;
use crate::standard::spanner::{self, SpannerHeadForm};
use crate::standard::strength::HexagonContact;

/// Teeth of a ring with a ratchet (common practice, no single source).
const RING_TEETH: i64 = 72;
/// Distance from the axis of the ring to the hand's own room along it (assumption: knuckles beside the shaft).
const SPANNER_HAND_ROOM_MM: f64 = 15.0;

/// The head of a spanner.
const fn spanner_head_form(make: &PieceRecipe) -> SpannerHeadForm {
    match (make.kind.kind, make.style.end) {
        (PieceKind::FlareSpanner, _) => SpannerHeadForm::Flare,
        (PieceKind::RatchetingRing, _) => SpannerHeadForm::RatchetRing,
        (PieceKind::OpenSpanner, _) | (_, Some(SpannerEnd::Open)) => SpannerHeadForm::Open,
        _ => SpannerHeadForm::Ring,
    }
}

/// How the head holds the fastener, as its strength is tested.
const fn hexagon_contact(make: &PieceRecipe, form: SpannerHeadForm) -> HexagonContact {
    match form {
        SpannerHeadForm::Ring => HexagonContact::Ring,
        // Assumption: pawls and slots weaken a ring to what an open end withstands.
        SpannerHeadForm::Flare | SpannerHeadForm::RatchetRing => HexagonContact::Open,
        SpannerHeadForm::Open if make.style.double => HexagonContact::OpenDouble,
        SpannerHeadForm::Open => HexagonContact::Open,
    }
}

/// Angle after which a head can be put on again (geometry): an open end set 15° is turned over, 30°; a ring goes by its
/// points.
fn head_index_angle(form: SpannerHeadForm, fits: &[GripFit]) -> Angle {
    match form {
        SpannerHeadForm::Open => Angle::from_deg(30.0),
        _ => super::index_angle(fits),
    }
}

/// What open jaws take hold of: two flats of a hexagon, and of a square of the same width as well.
fn with_squares(fits: &[GripFit]) -> Vec<GripFit> {
    let flats = fits.iter().filter(|fit| matches!(fit.form, DriveForm::Hexagon | DriveForm::BiHexagon));
    let mut all = fits.to_vec();
    for square in flats.map(|fit| GripFit { form: DriveForm::Square, ..*fit }) {
        if !all.contains(&square) {
            all.push(square);
        }
    }
    all
}

/// A grip from the side.
fn side_grip(
    make: &PieceRecipe,
    form: SpannerHeadForm,
    (thickness_mm, width_mm): (f64, f64),
    index: Angle,
) -> Grip {
    Grip {
        fits: if form == SpannerHeadForm::Open { with_squares(&make.fits) } else { make.fits.clone() },
        approach: GripApproach::Side,
        depth: Length::from_mm(thickness_mm),
        head_width: Length::from_mm(width_mm),
        offset: Length::ZERO,
        index,
        retention: Retention::None,
        is_open: matches!(form, SpannerHeadForm::Open | SpannerHeadForm::Flare),
    }
}

/// A spanner of any kind.
pub(super) fn build_spanner(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    let (form, flats_mm) = (spanner_head_form(make), nominal_flats_mm(make));
    let head_mm = spanner::spanner_head_mm(form, flats_mm, figures.thin);
    let mut shape =
        PieceShape::of_body(&[head_mm], working_end_n_m(make, hexagon_contact(make, form)), spanner::SOURCE);
    shape.grip = Some(side_grip(make, form, head_mm, head_index_angle(form, &make.fits)));
    let radius_mm = spanner::spanner_length_mm(flats_mm) - 0.5 * head_mm.1;
    let ratchet = form == SpannerHeadForm::RatchetRing;
    shape.handle = Some(Handle {
        style: if ratchet { HandleStyle::Ratchet } else { HandleStyle::Bar },
        radius: Length::from_mm(radius_mm),
        arm: Length::from_mm(handles::arm_mm(radius_mm)),
        step: ratchet.then(|| handles::ratchet_step(figures, Some(RING_TEETH))).flatten(),
        hand_room: Length::from_mm(SPANNER_HAND_ROOM_MM),
    });
    shape
}

/// An open head on a square.
pub(super) fn build_crow_foot(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    let (row, flats_mm) = (row_of_link(make.hand.unwrap_or(PieceLink::Square10)), nominal_flats_mm(make));
    let head_mm = spanner::spanner_head_mm(SpannerHeadForm::Open, flats_mm, figures.thin);
    let body_mm = (1.2 * row.male_mm).max(head_mm.0);
    let strength_n_m = working_end_n_m(make, HexagonContact::Open).min(row.test_torque_n_m());
    let mut shape = PieceShape::of_body(&[(body_mm, row.end_mm)], strength_n_m, spanner::SOURCE);
    let mut grip = side_grip(make, SpannerHeadForm::Open, head_mm, Angle::from_deg(60.0));
    grip.offset = Length::from_mm(spanner::crow_foot_offset_mm(flats_mm, row.width_mm));
    shape.grip = Some(grip);
    shape
}
