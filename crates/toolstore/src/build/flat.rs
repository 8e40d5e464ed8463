//! Pieces that take hold from the side: spanners and crow-feet.

use model::{Approach, Fit, Grip, Handle, HandleStyle, Link, PieceKind, Retention};
use units::{Angle, Length};

use super::{Shape, flats_mm, handles, tool_n_m};
use crate::figures::Figures;
use crate::make::{End, Make};
use crate::standard::link::of;
use crate::standard::spanner::{self, HeadForm};
use crate::standard::strength::Hold;

/// Teeth of a ring with a ratchet (common practice, no single source).
const RING_TEETH: i64 = 72;
/// Distance from the axis of the ring to the hand's own room along it (assumption: knuckles beside the shaft).
const SPANNER_HAND_ROOM_MM: f64 = 15.0;

/// The head of a spanner.
const fn form(make: &Make) -> HeadForm {
    match (make.kind.kind, make.style.end) {
        (PieceKind::FlareSpanner, _) => HeadForm::Flare,
        (PieceKind::RatchetingRing, _) => HeadForm::RatchetRing,
        (PieceKind::OpenSpanner, _) | (_, Some(End::Open)) => HeadForm::Open,
        _ => HeadForm::Ring,
    }
}

/// How the head holds the fastener, as its strength is tested.
const fn hold(make: &Make, form: HeadForm) -> Hold {
    match form {
        HeadForm::Ring => Hold::Ring,
        // Assumption: pawls and slots weaken a ring to what an open end stands.
        HeadForm::Flare | HeadForm::RatchetRing => Hold::Open,
        HeadForm::Open if make.style.double => Hold::OpenDouble,
        HeadForm::Open => Hold::Open,
    }
}

/// Angle after which a head can be put on again (geometry): an open end set 15° is turned over, 30°; a ring goes by its
/// points.
fn index(form: HeadForm, fits: &[Fit]) -> Angle {
    match form {
        HeadForm::Open => Angle::from_deg(30.0),
        _ => super::index(fits),
    }
}

/// A grip from the side.
fn side(make: &Make, (thickness_mm, width_mm): (f64, f64), index: Angle) -> Grip {
    Grip {
        fits: make.fits.clone(),
        approach: Approach::Side,
        depth: Length::from_mm(thickness_mm),
        head_width: Length::from_mm(width_mm),
        offset: Length::ZERO,
        index,
        retention: Retention::None,
    }
}

/// A spanner of any kind.
pub(super) fn spanner(make: &Make, figures: &Figures) -> Shape {
    let (form, flats_mm) = (form(make), flats_mm(make));
    let head_mm = spanner::head_mm(form, flats_mm, figures.thin);
    let mut shape = Shape::body(&[head_mm], tool_n_m(make, hold(make, form)), spanner::SOURCE);
    shape.grip = Some(side(make, head_mm, index(form, &make.fits)));
    let radius_mm = spanner::length_mm(flats_mm) - 0.5 * head_mm.1;
    let ratchet = form == HeadForm::RatchetRing;
    shape.handle = Some(Handle {
        style: if ratchet { HandleStyle::Ratchet } else { HandleStyle::Bar },
        radius: Length::from_mm(radius_mm),
        arm: Length::from_mm(handles::arm_mm(radius_mm)),
        step: ratchet.then(|| handles::step(figures, Some(RING_TEETH))).flatten(),
        hand_room: Length::from_mm(SPANNER_HAND_ROOM_MM),
    });
    shape
}

/// An open head on a square.
pub(super) fn crow_foot(make: &Make, figures: &Figures) -> Shape {
    let (row, flats_mm) = (of(make.hand.unwrap_or(Link::Square10)), flats_mm(make));
    let head_mm = spanner::head_mm(HeadForm::Open, flats_mm, figures.thin);
    let body_mm = (1.2 * row.male_mm).max(head_mm.0);
    let strength_n_m = tool_n_m(make, Hold::Open).min(row.test_n_m());
    let mut shape = Shape::body(&[(body_mm, row.end_mm)], strength_n_m, spanner::SOURCE);
    let mut grip = side(make, head_mm, Angle::from_deg(60.0));
    grip.offset = Length::from_mm(spanner::crow_foot_offset_mm(flats_mm, row.width_mm));
    shape.grip = Some(grip);
    shape
}
