//! Pieces of a stack between the fastener and the handle: sockets, bits, extensions, joints, adapters.

use model::{PieceBend, PieceKind, PieceLink};
use units::{Angle, Length};

use super::{PieceShape, axial_grip, nominal_across_mm, nominal_flats_mm, working_end_n_m};
use crate::draft::OwnerFigures;
use crate::recipe::PieceRecipe;
use crate::standard::link::{BODY_SOURCE, LinkRow, row_of_link};
use crate::standard::socket::{self, SocketRequest};
use crate::standard::{bit as bits, strength::HexagonContact};

/// Angle that a universal joint takes: ASME B107.1 (2002), 4.12, joints turn fully at 40°.
const JOINT_DEG: f64 = 40.0;
/// Angle that a socket with its own joint takes (assumption).
const JOINTED_SOCKET_DEG: f64 = 30.0;
/// Angle that a tilting extension takes (from memory).
const TILT_DEG: f64 = 15.0;
/// Share of a square's test torque that its joint withstands (assumption).
const JOINT_STRENGTH_RATIO: f64 = 0.5;
/// How far a shank of 25 and of 50 mm projects from its holder: the length less 10 mm inside (assumption).
const SHANK_OUT_MM: (f64, f64) = (15.0, 40.0);

/// Row of the only link.
fn only_link_row(make: &PieceRecipe) -> &'static LinkRow {
    row_of_link(make.link().unwrap_or(PieceLink::Square6))
}

/// A socket.
pub(super) fn build_socket(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    let row = only_link_row(make);
    let asked = SocketRequest {
        flats_mm: nominal_flats_mm(make),
        link: row.link,
        deep: make.style.deep,
        impact: make.style.impact,
        thin: figures.thin,
    };
    let source = if asked.impact { socket::IMPACT_SOURCE } else { socket::SOURCE };
    let strength_n_m = working_end_n_m(make, HexagonContact::Ring).min(row.test_torque_n_m());
    let mut shape = PieceShape::of_body(&socket::socket_sections_mm(asked), strength_n_m, source);
    let bore_mm = socket::socket_bore_mm(asked);
    shape.grip = Some(axial_grip(make, bore_mm));
    if make.style.jointed {
        add_joint(&mut shape, row, bore_mm);
    }
    shape
}

/// Puts a joint behind the bore of a socket.
fn add_joint(shape: &mut PieceShape, row: &LinkRow, bore_mm: f64) {
    let length_mm = 0.6 * row.joint_length_mm;
    let at_mm = bore_mm + 0.5 * length_mm;
    let diameter_mm = shape.outline.iter().map(|s| s.diameter.as_mm()).fold(row.joint_diameter_mm, f64::max);
    let strength_n_m = shape.strength.as_n_m().min(JOINT_STRENGTH_RATIO * row.test_torque_n_m());
    let sections_mm = [(bore_mm + length_mm, diameter_mm), (row.male_mm, row.end_mm)];
    let grip = shape.grip.take();
    *shape = PieceShape::of_body(&sections_mm, strength_n_m, socket::SOURCE);
    shape.grip = grip;
    shape.bend = Some(make_bend(JOINTED_SOCKET_DEG, at_mm, false));
}

/// A place where the axis turns.
fn make_bend(max_deg: f64, at_mm: f64, may_stay_straight: bool) -> PieceBend {
    PieceBend { max_angle: Angle::from_deg(max_deg), at: Length::from_mm(at_mm), may_stay_straight }
}

/// A bit with a female square.
pub(super) fn build_bit_socket(make: &PieceRecipe) -> PieceShape {
    let row = only_link_row(make);
    let blade_mm = bits::blade_mm(row.link, make.style.deep);
    let sections_mm = [(blade_mm, nominal_across_mm(make)), (row.male_mm + 8.0, row.end_mm)];
    let mut shape = PieceShape::of_body(
        &sections_mm,
        working_end_n_m(make, HexagonContact::Ring).min(row.test_torque_n_m()),
        bits::BIT_SOURCE,
    );
    shape.grip = Some(axial_grip(make, blade_mm));
    shape
}

/// A bit with a hexagonal shank.
pub(super) fn build_bit(make: &PieceRecipe) -> PieceShape {
    let row = row_of_link(PieceLink::Hex6);
    let out_mm = if make.style.deep { SHANK_OUT_MM.1 } else { SHANK_OUT_MM.0 };
    let tip_mm = 0.5 * out_mm;
    let sections_mm =
        [(tip_mm, nominal_across_mm(make)), (out_mm - tip_mm, row.bar_mm.max(nominal_across_mm(make)))];
    let mut shape = PieceShape::of_body(
        &sections_mm,
        working_end_n_m(make, HexagonContact::Ring).min(row.test_torque_n_m()),
        bits::SHANK_SOURCE,
    );
    shape.grip = Some(axial_grip(make, out_mm));
    shape
}

/// A holder of hexagonal shanks on a square.
pub(super) fn build_bit_holder(make: &PieceRecipe) -> PieceShape {
    let (inner, outer) = (row_of_link(PieceLink::Hex6), row_of_link(make.hand.unwrap_or(PieceLink::Square6)));
    let sections_mm = [(inner.head_mm, inner.end_mm), (outer.male_mm + 2.0, outer.end_mm)];
    PieceShape::of_body(&sections_mm, inner.test_torque_n_m().min(outer.test_torque_n_m()), BODY_SOURCE)
}

/// An extension, rigid or tilting.
pub(super) fn build_extension(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    let row = only_link_row(make);
    let stated_mm = figures.length.map(Length::as_mm);
    let length_mm = stated_mm.or(make.length_mm).unwrap_or(100.0);
    let sections_mm = match length_mm - row.head_mm {
        bar_mm if bar_mm > 1.0 => vec![(bar_mm, row.bar_mm), (row.head_mm, row.end_mm)],
        _ => vec![(length_mm, row.end_mm)],
    };
    let mut shape = PieceShape::of_body(&sections_mm, row.test_torque_n_m(), BODY_SOURCE);
    if make.kind.kind == PieceKind::TiltingExtension {
        shape.bend = Some(make_bend(TILT_DEG, 0.0, true));
    }
    shape
}

/// A universal joint.
pub(super) fn build_joint(make: &PieceRecipe) -> PieceShape {
    let row = only_link_row(make);
    let (length_mm, diameter_mm) = (row.joint_length_mm, row.joint_diameter_mm);
    let strength_n_m = JOINT_STRENGTH_RATIO * row.test_torque_n_m();
    let mut shape = PieceShape::of_body(&[(length_mm, diameter_mm)], strength_n_m, BODY_SOURCE);
    shape.bend = Some(make_bend(JOINT_DEG, 0.5 * length_mm, false));
    shape
}

/// An adapter from one square to another.
pub(super) fn build_adapter(make: &PieceRecipe) -> PieceShape {
    let (hand, fastener) = (
        row_of_link(make.hand.unwrap_or(PieceLink::Square6)),
        row_of_link(make.fastener.unwrap_or(PieceLink::Square6)),
    );
    let length_mm = 1.3 * hand.male_mm.max(fastener.male_mm) + 8.0;
    let diameter_mm = hand.end_mm.max(fastener.end_mm);
    PieceShape::of_body(
        &[(length_mm, diameter_mm)],
        hand.test_torque_n_m().min(fastener.test_torque_n_m()),
        BODY_SOURCE,
    )
}
