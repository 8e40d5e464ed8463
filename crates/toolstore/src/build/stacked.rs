//! Pieces that stand in a stack between the fastener and the handle: sockets, bits, extensions, joints, adapters.

use model::{Bend, Link, PieceKind};
use units::{Angle, Length};

use super::{Shape, across_mm, axial, flats_mm, tool_n_m};
use crate::figures::Figures;
use crate::make::Make;
use crate::standard::link::{BODY_SOURCE, LinkRow, of};
use crate::standard::socket::{self, Asked};
use crate::standard::{bit as bits, strength::Hold};

/// Angle that a universal joint takes: ASME B107.1 (2002), 4.12, joints turn fully at 40°.
const JOINT_DEG: f64 = 40.0;
/// Angle that a socket with its own joint takes (assumption).
const JOINTED_SOCKET_DEG: f64 = 30.0;
/// Angle that a tilting extension takes (from memory).
const TILT_DEG: f64 = 15.0;
/// Share of a square's test torque that its joint stands (assumption).
const JOINT_STRENGTH_RATIO: f64 = 0.5;
/// How far a shank of 25 and of 50 mm stands out of its holder: the length less 10 mm inside (assumption).
const SHANK_OUT_MM: (f64, f64) = (15.0, 40.0);

/// Row of the only link.
fn row(make: &Make) -> &'static LinkRow {
    of(make.link().unwrap_or(Link::Square6))
}

/// A socket.
pub(super) fn socket(make: &Make, figures: &Figures) -> Shape {
    let row = row(make);
    let asked = Asked {
        flats_mm: flats_mm(make),
        link: row.link,
        deep: make.style.deep,
        impact: make.style.impact,
        thin: figures.thin,
    };
    let source = if asked.impact { socket::IMPACT_SOURCE } else { socket::SOURCE };
    let strength_n_m = tool_n_m(make, Hold::Ring).min(row.test_n_m());
    let mut shape = Shape::body(&socket::sections_mm(asked), strength_n_m, source);
    let bore_mm = socket::bore_mm(asked);
    shape.grip = Some(axial(make, bore_mm));
    if make.style.jointed {
        add_joint(&mut shape, row, bore_mm);
    }
    shape
}

/// Puts a joint behind the bore of a socket.
fn add_joint(shape: &mut Shape, row: &LinkRow, bore_mm: f64) {
    let length_mm = 0.6 * row.joint_length_mm;
    let at_mm = bore_mm + 0.5 * length_mm;
    let diameter_mm = shape.outline.iter().map(|s| s.diameter.as_mm()).fold(row.joint_diameter_mm, f64::max);
    let strength_n_m = shape.strength.as_n_m().min(JOINT_STRENGTH_RATIO * row.test_n_m());
    let sections_mm = [(bore_mm + length_mm, diameter_mm), (row.male_mm, row.end_mm)];
    let grip = shape.grip.take();
    *shape = Shape::body(&sections_mm, strength_n_m, socket::SOURCE);
    shape.grip = grip;
    shape.bend = Some(bend(JOINTED_SOCKET_DEG, at_mm, false));
}

/// A place where the axis turns.
fn bend(max_deg: f64, at_mm: f64, may_stay_straight: bool) -> Bend {
    Bend { max_angle: Angle::from_deg(max_deg), at: Length::from_mm(at_mm), may_stay_straight }
}

/// A bit with a female square.
pub(super) fn bit_socket(make: &Make) -> Shape {
    let row = row(make);
    let blade_mm = bits::blade_mm(row.link, make.style.deep);
    let sections_mm = [(blade_mm, across_mm(make)), (row.male_mm + 8.0, row.end_mm)];
    let mut shape =
        Shape::body(&sections_mm, tool_n_m(make, Hold::Ring).min(row.test_n_m()), bits::BIT_SOURCE);
    shape.grip = Some(axial(make, blade_mm));
    shape
}

/// A bit with a hexagonal shank.
pub(super) fn bit(make: &Make) -> Shape {
    let row = of(Link::Hex6);
    let out_mm = if make.style.deep { SHANK_OUT_MM.1 } else { SHANK_OUT_MM.0 };
    let tip_mm = 0.5 * out_mm;
    let sections_mm = [(tip_mm, across_mm(make)), (out_mm - tip_mm, row.bar_mm.max(across_mm(make)))];
    let mut shape =
        Shape::body(&sections_mm, tool_n_m(make, Hold::Ring).min(row.test_n_m()), bits::SHANK_SOURCE);
    shape.grip = Some(axial(make, out_mm));
    shape
}

/// A holder of hexagonal shanks on a square.
pub(super) fn bit_holder(make: &Make) -> Shape {
    let (inner, outer) = (of(Link::Hex6), of(make.hand.unwrap_or(Link::Square6)));
    let sections_mm = [(inner.head_mm, inner.end_mm), (outer.male_mm + 2.0, outer.end_mm)];
    Shape::body(&sections_mm, inner.test_n_m().min(outer.test_n_m()), BODY_SOURCE)
}

/// An extension, rigid or tilting.
pub(super) fn extension(make: &Make, figures: &Figures) -> Shape {
    let row = row(make);
    let stated_mm = figures.length.map(|l| l.value.as_mm());
    let length_mm = stated_mm.or(make.length_mm).unwrap_or(100.0);
    let sections_mm = match length_mm - row.head_mm {
        bar_mm if bar_mm > 1.0 => vec![(bar_mm, row.bar_mm), (row.head_mm, row.end_mm)],
        _ => vec![(length_mm, row.end_mm)],
    };
    let mut shape = Shape::body(&sections_mm, row.test_n_m(), BODY_SOURCE);
    if make.kind.kind == PieceKind::TiltingExtension {
        shape.bend = Some(bend(TILT_DEG, 0.0, true));
    }
    shape
}

/// A universal joint.
pub(super) fn joint(make: &Make) -> Shape {
    let row = row(make);
    let (length_mm, diameter_mm) = (row.joint_length_mm, row.joint_diameter_mm);
    let strength_n_m = JOINT_STRENGTH_RATIO * row.test_n_m();
    let mut shape = Shape::body(&[(length_mm, diameter_mm)], strength_n_m, BODY_SOURCE);
    shape.bend = Some(bend(JOINT_DEG, 0.5 * length_mm, false));
    shape
}

/// An adapter from one square to another.
pub(super) fn adapter(make: &Make) -> Shape {
    let (hand, fastener) =
        (of(make.hand.unwrap_or(Link::Square6)), of(make.fastener.unwrap_or(Link::Square6)));
    let length_mm = 1.3 * hand.male_mm.max(fastener.male_mm) + 8.0;
    let diameter_mm = hand.end_mm.max(fastener.end_mm);
    Shape::body(&[(length_mm, diameter_mm)], hand.test_n_m().min(fastener.test_n_m()), BODY_SOURCE)
}
