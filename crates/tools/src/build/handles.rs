//! Pieces that take the hand: ratchets, bars, torque tools, drivers, keys, pliers.

use model::{Handle, HandleStyle, PieceKind, PieceLink, PowerSource, TorqueMeasure};
use units::{Angle, Length, Torque};

use super::{PieceShape, axial_grip, nominal_across_mm, nominal_flats_mm, working_end_n_m};
use crate::draft::OwnerFigures;
use crate::recipe::PieceRecipe;
use crate::standard::bit as bits;
use crate::standard::link::{BODY_SOURCE, LinkRow, row_of_link};
use crate::standard::socket::{self, SocketRequest};
use crate::standard::strength::HexagonContact;

/// Half the width of a hand: its middle lies this far from the end of the handle (assumption).
const HALF_HAND_MM: f64 = 43.0;
/// Knuckles behind a ratchet's head (assumption).
const SWUNG_HAND_ROOM_MM: f64 = 20.0;
/// The hand behind an in-line handle (assumption).
const IN_LINE_HAND_ROOM_MM: f64 = 10.0;
/// Teeth of a ratchet that its owner did not count: 10° (trade table: 36 teeth).
const RATCHET_TEETH: i64 = 36;
/// Overload that a torque tool withstands, as a ratio of full scale: ISO 6789, from memory.
const OVERLOAD_RATIO: f64 = 1.25;
/// Full scale up to which a torque wrench may err by 6 %, above it by 4 %: ISO 6789 (checked in a tester maker's summary).
const SMALL_SCALE_N_M: f64 = 10.0;
/// In-line handles: diameter, length and lever of the fist (assumption).
const FIST_MM: (f64, f64, f64) = (32.0, 105.0, 16.0);
/// Room round an in-line handle that turns (assumption).
const IN_LINE_RADIUS_MM: f64 = 16.0;

/// Distance of the hand's middle from the axis, for a handle of a radius.
pub(super) fn arm_mm(radius_mm: f64) -> f64 {
    (radius_mm - HALF_HAND_MM).max(0.6 * radius_mm)
}

/// Step of a ratchet: as stated, or a turn over its teeth.
pub(super) fn ratchet_step(figures: &OwnerFigures, usual_teeth: Option<i64>) -> Option<Angle> {
    let teeth = figures.teeth.or(usual_teeth);
    figures.step.or_else(|| teeth.map(|t| Angle::from_deg(360.0 / t.max(1) as f64)))
}

/// A ratchet, a bar or a torque wrench.
pub(super) fn build_swung_tool(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    let row = row_of_link(make.fastener.unwrap_or(PieceLink::Square6));
    let (radius_mm, head_mm, step) = match make.kind.kind {
        PieceKind::BreakerBar => {
            (row.breaker_length_mm, (row.ratchet_height_mm, row.ratchet_diameter_mm), None)
        }
        PieceKind::TorqueWrench => (
            wrench_length_mm(figures),
            (1.25 * row.ratchet_height_mm, 1.1 * row.ratchet_diameter_mm),
            ratchet_step(figures, None),
        ),
        _ => (
            row.ratchet_length_mm,
            (row.ratchet_height_mm, row.ratchet_diameter_mm),
            ratchet_step(figures, Some(RATCHET_TEETH)),
        ),
    };
    let mut shape = PieceShape::of_body(&[head_mm], row.test_torque_n_m(), BODY_SOURCE);
    let style = if step.is_some() { HandleStyle::Ratchet } else { HandleStyle::Bar };
    shape.handle = Some(swung_handle(style, radius_mm, step, SWUNG_HAND_ROOM_MM));
    if make.kind.kind == PieceKind::TorqueWrench {
        add_torque_scale(&mut shape, make, figures, row);
    }
    shape
}

/// A handle that is swung.
fn swung_handle(style: HandleStyle, radius_mm: f64, step: Option<Angle>, hand_room_mm: f64) -> Handle {
    let (radius, arm) = (Length::from_mm(radius_mm), Length::from_mm(arm_mm(radius_mm)));
    Handle { style, radius, arm, step, hand_room: Length::from_mm(hand_room_mm) }
}

/// Length of a torque wrench by its full scale: 25 N·m 241 mm, 100 N·m 335 mm, 340 N·m 635 mm (from memory, plausible).
fn wrench_length_mm(figures: &OwnerFigures) -> f64 {
    let full_n_m = figures.range.map_or(25.0, |range| range.high().as_n_m());
    210.0 + 1.25 * full_n_m
}

/// Makes a torque tool of a handle.
fn add_torque_scale(shape: &mut PieceShape, make: &PieceRecipe, figures: &OwnerFigures, row: &LinkRow) {
    let Some(range) = figures.range else { return };
    let full_n_m = range.high().as_n_m();
    let screwdriver = make.kind.kind == PieceKind::TorqueScrewdriver;
    let small = screwdriver || full_n_m <= SMALL_SCALE_N_M;
    let usual_fraction = if small { 0.06 } else { 0.04 };
    shape.strength = Torque::from_n_m((OVERLOAD_RATIO * full_n_m).min(row.test_torque_n_m()));
    shape.measure = Some(TorqueMeasure {
        range,
        tolerance_fraction: figures.tolerance_fraction.unwrap_or(usual_fraction),
        scale_step: figures.scale_step,
        arm: shape.handle.map_or(Length::ZERO, |h| h.arm),
    });
}

/// Gives a body an in-line handle; its last section is the fist's.
fn add_fist(shape: &mut PieceShape) {
    shape.handle = Some(Handle {
        style: HandleStyle::InLine,
        radius: Length::from_mm(IN_LINE_RADIUS_MM),
        arm: Length::from_mm(FIST_MM.2),
        step: None,
        hand_room: Length::from_mm(IN_LINE_HAND_ROOM_MM),
    });
}

/// A handle in line with its square or bit holder.
pub(super) fn build_in_line_tool(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    let row = row_of_link(make.fastener.unwrap_or(PieceLink::Hex6));
    let mut shape = PieceShape::of_body(
        &[(40.0, row.end_mm), (FIST_MM.1, FIST_MM.0)],
        row.test_torque_n_m(),
        BODY_SOURCE,
    );
    add_fist(&mut shape);
    if make.kind.kind == PieceKind::TorqueScrewdriver {
        add_torque_scale(&mut shape, make, figures, row);
    }
    shape
}

/// A fixed socket on an in-line handle.
pub(super) fn build_nut_driver(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    const SHAFT_MM: f64 = 125.0; // From memory.
    let link = PieceLink::Square6;
    let asked = SocketRequest {
        flats_mm: nominal_flats_mm(make),
        link,
        deep: true,
        impact: false,
        thin: figures.thin,
    };
    let sections_mm = [(SHAFT_MM, socket::socket_outer_mm(asked)), (FIST_MM.1, FIST_MM.0)];
    let mut shape =
        PieceShape::of_body(&sections_mm, working_end_n_m(make, HexagonContact::Ring), socket::SOURCE);
    shape.grip = Some(axial_grip(make, socket::socket_bore_mm(asked)));
    add_fist(&mut shape);
    shape
}

/// A fixed blade on an in-line handle.
pub(super) fn build_screwdriver(make: &PieceRecipe) -> PieceShape {
    let across_mm = nominal_across_mm(make);
    let blade_mm = bits::driver_blade_mm(across_mm);
    let sections_mm = [(blade_mm, across_mm), (FIST_MM.1, FIST_MM.0)];
    let mut shape =
        PieceShape::of_body(&sections_mm, working_end_n_m(make, HexagonContact::Ring), bits::DRIVER_SOURCE);
    shape.grip = Some(axial_grip(make, blade_mm));
    add_fist(&mut shape);
    shape
}

/// A bent key, its short arm in the fastener.
pub(super) fn build_bent_key(make: &PieceRecipe) -> PieceShape {
    let across_mm = nominal_across_mm(make);
    let (long_mm, short_mm) = bits::key_arms_mm(across_mm);
    let mut shape = PieceShape::of_body(
        &[(short_mm, across_mm)],
        working_end_n_m(make, HexagonContact::Ring),
        bits::KEY_SOURCE,
    );
    shape.grip = Some(axial_grip(make, (short_mm - 1.5 * across_mm).max(0.4 * short_mm)));
    shape.handle = Some(swung_handle(HandleStyle::Bar, long_mm, None, IN_LINE_HAND_ROOM_MM));
    shape
}

/// A battery or air driver.
pub(super) fn build_power_driver(make: &PieceRecipe, figures: &OwnerFigures) -> PieceShape {
    const PISTOL_MM: (f64, f64) = (130.0, 110.0); // Assumption: radius and lever of a pistol grip.
    let row = row_of_link(make.fastener.unwrap_or(PieceLink::Hex6));
    let mut shape =
        PieceShape::of_body(&[(30.0, 2.0 * row.end_mm), (150.0, 65.0)], row.test_torque_n_m(), BODY_SOURCE);
    shape.handle = Some(Handle {
        style: HandleStyle::Power,
        radius: Length::from_mm(PISTOL_MM.0),
        arm: Length::from_mm(PISTOL_MM.1),
        step: None,
        hand_room: Length::ZERO,
    });
    let max = figures.max_torque.unwrap_or(Torque::from_n_m(row.test_torque_n_m()));
    let clutch: Vec<Torque> = figures.clutch.clone().unwrap_or_default();
    shape.power = Some(PowerSource { speed_rpm: figures.speed_rpm.unwrap_or(500.0), max, clutch });
    shape.strength = shape.strength.max(max * OVERLOAD_RATIO);
    shape
}

/// Pliers and hooks (assumption: usual bodies).
pub(super) fn build_squeezed_tool(make: &PieceRecipe) -> PieceShape {
    const USUAL: &str = "usual body, assumption";
    let pliers = make.kind.kind == PieceKind::Pliers;
    let sections_mm = if pliers { [(60.0, 35.0), (140.0, 60.0)] } else { [(150.0, 8.0), (100.0, 28.0)] };
    let mut shape = PieceShape::of_body(&sections_mm, working_end_n_m(make, HexagonContact::Ring), USUAL);
    shape.grip = Some(axial_grip(make, 10.0));
    let radius_mm = if pliers { 60.0 } else { 20.0 };
    shape.handle = Some(Handle {
        style: HandleStyle::Squeeze,
        radius: Length::from_mm(radius_mm),
        arm: Length::from_mm(radius_mm),
        step: None,
        hand_room: Length::ZERO,
    });
    shape
}

/// A tool that answers to a name, or works like nothing else.
pub(super) fn build_special_tool(make: &PieceRecipe) -> PieceShape {
    let mut shape = PieceShape::of_body(
        &[(100.0, 30.0)],
        working_end_n_m(make, HexagonContact::Ring),
        "usual body, assumption",
    );
    if !make.fits.is_empty() {
        shape.grip = Some(axial_grip(make, 10.0));
    }
    shape
}
