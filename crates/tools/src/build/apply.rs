//! The owner's figures over the standard ones, and pieces that are written out in full.

use model::{
    DimensionsSource, Grip, GripApproach, GripFit, Handle, HandleStyle, OutlineSection, PieceBend, PieceKind,
    PowerSource, Retention, TorqueMeasure,
};
use units::{Angle, Length, Torque};

use super::{PieceShape, handles};
use crate::draft::OwnerFigures;
use crate::keys;
use crate::recipe::PieceRecipe;

/// Puts the owner's figures over the standard ones; says where the dimensions then come from.
pub(crate) fn apply_owner_figures(
    mut shape: PieceShape,
    make: &PieceRecipe,
    figures: &OwnerFigures,
) -> (PieceShape, DimensionsSource) {
    let swung = keys::is_swung(make.kind.kind) || make.kind.bent;
    apply_grip_figures(&mut shape, figures);
    if swung {
        apply_swung_body(&mut shape, figures);
    } else {
        apply_stacked_body(&mut shape, figures);
    }
    apply_bend_figures(&mut shape, figures);
    apply_handle_figures(&mut shape, figures);
    apply_torque_figures(&mut shape, figures);
    let dimensions = dimensions_origin(&shape, figures, swung);
    (shape, dimensions)
}

/// Where the dimensions come from, once the stated ones are in.
fn dimensions_origin(shape: &PieceShape, figures: &OwnerFigures, swung: bool) -> DimensionsSource {
    if let Some(words) = &figures.dimensions {
        return DimensionsSource::Standard(words.clone());
    }
    let sides = if swung { figures.height.is_some() } else { figures.length.is_some() };
    let body = figures.outline.is_some() || (sides && figures.diameter.is_some());
    let flat = shape.grip.as_ref().is_some_and(|g| g.approach == GripApproach::Side);
    let grip = match (&shape.grip, flat) {
        (None, _) => true,
        (Some(_), true) => figures.thickness.is_some() && figures.head_width.is_some(),
        (Some(_), false) => figures.depth.is_some(),
    };
    if grip && (body || flat) {
        DimensionsSource::Stated
    } else {
        DimensionsSource::Standard(shape.source.to_owned())
    }
}

/// Figures of the end that takes hold.
fn apply_grip_figures(shape: &mut PieceShape, figures: &OwnerFigures) {
    let Some(grip) = &mut shape.grip else { return };
    set_if_some(&mut grip.approach, figures.approach);
    set_if_some(&mut grip.depth, figures.depth.or(figures.thickness));
    set_if_some(&mut grip.head_width, figures.head_width);
    set_if_some(&mut grip.offset, figures.offset);
    set_if_some(&mut grip.index, figures.index);
    set_if_some(&mut grip.retention, figures.retention);
    if let GripApproach::Side = grip.approach
        && shape.outline.len() == 1
        && shape.handle.is_some()
    {
        shape.outline[0] = OutlineSection { length: grip.depth, diameter: grip.head_width };
    }
}

/// A value, if there is another for it.
fn set_if_some<T>(slot: &mut T, value: Option<T>) {
    if let Some(value) = value {
        *slot = value;
    }
}

/// A body that is swung: its length lies across the axis, its height along it.
fn apply_swung_body(shape: &mut PieceShape, figures: &OwnerFigures) {
    if let Some(outline) = &figures.outline {
        shape.outline.clone_from(outline);
    }
    if let [only] = shape.outline.as_mut_slice() {
        set_if_some(&mut only.length, figures.height);
        set_if_some(&mut only.diameter, figures.diameter);
    }
    if let (Some(handle), Some(length)) = (&mut shape.handle, figures.length) {
        handle.radius = length;
        handle.arm = Length::from_mm(handles::arm_mm(length.as_mm()));
    }
}

/// A body along the axis.
fn apply_stacked_body(shape: &mut PieceShape, figures: &OwnerFigures) {
    if let Some(outline) = &figures.outline {
        shape.outline.clone_from(outline);
        return;
    }
    if let Some(length) = figures.length {
        stretch_outline(&mut shape.outline, length);
    }
    if let Some(diameter) = figures.diameter {
        thicken_outline(&mut shape.outline, diameter);
    }
    let whole: Length = shape.outline.iter().map(|s| s.length).sum();
    if let Some(grip) = shape.grip.as_mut().filter(|_| figures.depth.is_none()) {
        grip.depth = grip.depth.min(whole);
    }
}

/// Gives a body its stated length: the front is cut or drawn out, the end towards the hand stays as it is.
fn stretch_outline(outline: &mut Vec<OutlineSection>, length: Length) {
    let back: Length = outline.iter().skip(1).map(|s| s.length).sum();
    let front = length - back;
    match outline.first_mut() {
        Some(first) if front.as_mm() > 1.0 => first.length = front,
        _ => {
            let widest = outline.iter().map(|s| s.diameter).fold(Length::ZERO, Length::max);
            *outline = vec![OutlineSection { length, diameter: widest }];
        }
    }
}

/// Gives a body its stated largest diameter.
fn thicken_outline(outline: &mut [OutlineSection], diameter: Length) {
    let widest = outline.iter().map(|s| s.diameter).fold(Length::ZERO, Length::max);
    for section in outline {
        let is_widest = section.diameter == widest;
        section.diameter = if is_widest { diameter } else { section.diameter.min(diameter) };
    }
}

/// Figures of a joint.
fn apply_bend_figures(shape: &mut PieceShape, figures: &OwnerFigures) {
    let whole: Length = shape.outline.iter().map(|s| s.length).sum();
    if shape.bend.is_none()
        && let Some(angle) = figures.max_angle
    {
        shape.bend = Some(PieceBend { max_angle: angle, at: whole * 0.5, may_stay_straight: false });
    }
    let Some(bend) = &mut shape.bend else { return };
    set_if_some(&mut bend.max_angle, figures.max_angle);
    if bend.at > whole {
        bend.at = whole * 0.5;
    }
    set_if_some(&mut bend.at, figures.bend_at);
    set_if_some(&mut bend.may_stay_straight, figures.stays_straight);
}

/// Figures of the end that takes the hand.
fn apply_handle_figures(shape: &mut PieceShape, figures: &OwnerFigures) {
    if shape.handle.is_none() && figures.handle.is_some() {
        shape.handle = plain_handle(figures);
    }
    let Some(handle) = &mut shape.handle else { return };
    set_if_some(&mut handle.style, figures.handle);
    if let Some(radius) = figures.radius {
        handle.radius = radius;
        handle.arm = handle.arm.min(radius);
    }
    set_if_some(&mut handle.arm, figures.arm);
    set_if_some(&mut handle.hand_room, figures.hand_room);
    if handle.style == HandleStyle::Ratchet && handle.step.is_none() {
        handle.step = handles::ratchet_step(figures, None);
    }
    if let Some(measure) = &mut shape.measure {
        measure.arm = handle.arm;
    }
}

/// A handle from the owner's figures alone.
fn plain_handle(figures: &OwnerFigures) -> Option<Handle> {
    let radius = figures.radius.unwrap_or(Length::from_mm(100.0));
    let arm = Length::from_mm(handles::arm_mm(radius.as_mm()));
    Some(Handle {
        style: figures.handle?,
        radius,
        arm,
        step: handles::ratchet_step(figures, None),
        hand_room: Length::ZERO,
    })
}

/// Figures of torque.
fn apply_torque_figures(shape: &mut PieceShape, figures: &OwnerFigures) {
    set_if_some(&mut shape.strength, figures.strength);
}

/// A piece written out in full: what is not written is not there.
pub(crate) fn build_exact_shape(
    kind: PieceKind,
    fits: Option<Vec<GripFit>>,
    figures: &OwnerFigures,
) -> (PieceShape, DimensionsSource) {
    let length = |length: Option<Length>| length.unwrap_or(Length::ZERO);
    let shape = PieceShape {
        grip: fits.map(|fits| exact_grip(kind, fits, figures)),
        outline: figures.outline.clone().unwrap_or_default(),
        bend: figures.max_angle.map(|angle| PieceBend {
            max_angle: angle,
            at: length(figures.bend_at),
            may_stay_straight: figures.stays_straight.unwrap_or_default(),
        }),
        handle: figures.handle.map(|style| Handle {
            style,
            radius: length(figures.radius),
            arm: length(figures.arm),
            step: figures.step,
            hand_room: length(figures.hand_room),
        }),
        strength: figures.strength.unwrap_or(Torque::ZERO),
        measure: exact_measure(figures),
        power: exact_power(figures),
        source: "",
    };
    let words = figures.dimensions.clone();
    (shape, words.map_or(DimensionsSource::Stated, DimensionsSource::Standard))
}

/// The grip of a piece written out in full.
fn exact_grip(kind: PieceKind, fits: Vec<GripFit>, figures: &OwnerFigures) -> Grip {
    let length = |length: Option<Length>| length.unwrap_or(Length::ZERO);
    Grip {
        fits,
        approach: figures.approach.unwrap_or(GripApproach::Axial),
        depth: length(figures.depth),
        head_width: length(figures.head_width),
        offset: length(figures.offset),
        index: figures.index.unwrap_or(Angle::ZERO),
        retention: figures.retention.unwrap_or(Retention::None),
        is_open: kind.has_gap(),
    }
}

/// The torque scale of a piece written out in full; its lever is `length`, since `arm` is the handle's.
fn exact_measure(figures: &OwnerFigures) -> Option<TorqueMeasure> {
    let lever = figures.length.or(figures.arm);
    figures.range.map(|range| TorqueMeasure {
        range,
        tolerance_fraction: figures.tolerance_fraction.unwrap_or(0.0),
        scale_step: figures.scale_step,
        arm: lever.unwrap_or(Length::ZERO),
    })
}

/// The motor of a piece written out in full.
fn exact_power(figures: &OwnerFigures) -> Option<PowerSource> {
    let speed_rpm = figures.speed_rpm?;
    let max = figures.max_torque.unwrap_or(Torque::ZERO);
    Some(PowerSource { speed_rpm, max, clutch: figures.clutch.clone().unwrap_or_default() })
}
