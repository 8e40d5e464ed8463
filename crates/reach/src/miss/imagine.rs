//! An imagined piece: the body that a specification describes, at usual proportions where it leaves room.
//!
//! Every wanted piece is imagined and checked against all rules before it is named, so that getting it closes the gap.

use crate::miss::usual;
use crate::rules::style::StackRole;
use crate::site::{ReachSite, ReachWork};
use model::rules::{MIN_FEEL_N, STRENGTH_MARGIN, SWING_PLAY_DEG};
use model::{
    DimensionsSource, Grip, GripApproach, GripFit, Handle, HandleStyle, OutlineSection, Piece, PieceBend,
    PieceKind, PieceSpec, Retention, StorePlace, Swing, TorqueMeasure,
};
use units::{Angle, Length, Range, Torque};

/// A usual arm of a swung handle and of a fist round an in-line one (assumptions).
const ARM_MM: f64 = 150.0;
const FIST_ARM_MM: f64 = 15.0;
/// Step of a fine-tooth ratchet: 72 teeth.
const FINE_DEG: f64 = 5.0;
/// Room for the hand beyond the handle (assumption).
pub(crate) const HAND_ROOM_MM: f64 = 20.0;

/// Height of the arm of a tool in one piece (assumption: flat steel).
pub(crate) const ARM_HEIGHT_MM: f64 = 8.0;

/// The piece that a specification describes, at a length.
pub(crate) fn imagine_piece(
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
    spec: &PieceSpec,
    length_mm: f64,
) -> Piece {
    let diameter_mm = spec.max_diameter_mm.unwrap_or_else(|| usual::slim_mm(spec));
    let alone = is_alone(spec.kind);
    let torque = Torque::from_n_m(spec.torque_n_m.unwrap_or(0.0));
    let handle = imagined_handle(site, work, role, spec);
    let is_grip = spec.drive.is_some();
    Piece {
        key: "wanted".into(),
        title: spec.words.clone(),
        kind: spec.kind,
        grip: is_grip.then(|| imagined_grip(site, spec, diameter_mm)),
        toward_fastener: spec.link.filter(|_| !is_grip),
        toward_hand: spec.link.filter(|_| handle.is_none() && !alone),
        outline: imagined_outline(spec, length_mm, diameter_mm),
        bend: spec.bend_deg.map(|b| imagined_bend(site, spec, b, length_mm)),
        handle,
        // A hair above the margin, for rounding.
        strength: Torque::from_n_m((torque.as_n_m() * STRENGTH_MARGIN * 1.001).max(1.0)),
        measure: imagined_measure(site, work, role, spec),
        power: None,
        answers: Vec::new(),
        place: StorePlace { cabinet: String::new(), drawer: String::new() },
        count: 1,
        lent: 0,
        in_calibration: 0,
        price: None,
        dimensions: DimensionsSource::Stated,
    }
}

fn imagined_outline(spec: &PieceSpec, length_mm: f64, diameter_mm: f64) -> Vec<OutlineSection> {
    let section = |length_mm, diameter_mm| OutlineSection {
        length: Length::from_mm(length_mm),
        diameter: Length::from_mm(diameter_mm),
    };
    if usual::is_flat(spec.kind) {
        return vec![section(length_mm, 2.0 * spec.drive.map_or(0.0, model::Drive::size))];
    }
    if spec.kind == PieceKind::Special && length_mm > ARM_HEIGHT_MM {
        // A shank and, at its outer end, the arm.
        return vec![section(length_mm - ARM_HEIGHT_MM, diameter_mm), section(ARM_HEIGHT_MM, diameter_mm)];
    }
    vec![section(length_mm, diameter_mm)]
}

/// Whether a kind is grip and handle at once.
pub(crate) const fn is_alone(kind: PieceKind) -> bool {
    matches!(
        kind,
        PieceKind::RingSpanner
            | PieceKind::OpenSpanner
            | PieceKind::FlareSpanner
            | PieceKind::RatchetingRing
            | PieceKind::Pliers
            | PieceKind::Hook
            | PieceKind::Special
    )
}

fn imagined_grip(site: &ReachSite, spec: &PieceSpec, diameter_mm: f64) -> Grip {
    let flat = usual::is_flat(spec.kind);
    let drive = spec.drive.unwrap_or(site.drive);
    let room_mm = site.access.side.as_ref().map_or(0.0, |s| 2.0 * s.radial.as_mm());
    let depth_mm = if flat { diameter_mm } else { site.grip_height_mm + site.protrusion_mm };
    Grip {
        fits: vec![GripFit { form: drive.form(), low: drive.size(), high: drive.size() }],
        approach: if flat { GripApproach::Side } else { GripApproach::Axial },
        depth: Length::from_mm(depth_mm),
        head_width: Length::from_mm(if flat { (1.5 * drive.size()).min(room_mm) } else { 0.0 }),
        offset: Length::from_mm(if spec.kind == PieceKind::CrowFoot {
            1.2 * drive.size() + 8.0
        } else {
            0.0
        }),
        index: Angle::from_deg(spec.max_step_deg.unwrap_or(60.0).min(60.0)),
        retention: if spec.retention { Retention::Spring } else { Retention::None },
        is_open: spec.kind.has_gap() || (site.has_pipe && spec.kind == PieceKind::Special),
    }
}

/// A joint in the middle; a one-piece tool bends where the corridor does.
fn imagined_bend(site: &ReachSite, spec: &PieceSpec, angle_deg: f64, length_mm: f64) -> PieceBend {
    let middle_mm = 0.5 * length_mm;
    let first_mm = site.access.bends.first().map_or(middle_mm, |b| b.at.as_mm() + site.grip_height_mm);
    let at_mm = if is_alone(spec.kind) { first_mm } else { middle_mm };
    PieceBend { max_angle: Angle::from_deg(angle_deg), at: Length::from_mm(at_mm), may_stay_straight: false }
}

/// How a kind's handle is moved.
pub(crate) fn handle_style_of(site: &ReachSite, kind: PieceKind) -> Option<HandleStyle> {
    match kind {
        PieceKind::Ratchet | PieceKind::TorqueWrench | PieceKind::RatchetingRing => {
            Some(HandleStyle::Ratchet)
        }
        PieceKind::BreakerBar | PieceKind::RingSpanner | PieceKind::OpenSpanner | PieceKind::FlareSpanner => {
            Some(HandleStyle::Bar)
        }
        PieceKind::SpinnerHandle | PieceKind::TorqueScrewdriver => Some(HandleStyle::InLine),
        PieceKind::Pliers | PieceKind::Hook => Some(HandleStyle::Squeeze),
        PieceKind::Special if site.drive.is_turned() => Some(HandleStyle::Ratchet),
        PieceKind::Special => Some(HandleStyle::Squeeze),
        PieceKind::Socket
        | PieceKind::BitSocket
        | PieceKind::Bit
        | PieceKind::BitHolder
        | PieceKind::Extension
        | PieceKind::TiltingExtension
        | PieceKind::Joint
        | PieceKind::Adapter
        | PieceKind::NutDriver
        | PieceKind::Screwdriver
        | PieceKind::PowerDriver
        | PieceKind::CrowFoot => None,
    }
}

fn imagined_handle(site: &ReachSite, work: &ReachWork, role: StackRole, spec: &PieceSpec) -> Option<Handle> {
    let style = handle_style_of(site, spec.kind)?;
    let arm_mm = imagined_arm_mm(site, work, role, (style, usual::is_flat(spec.kind)));
    let step_deg = spec.max_step_deg.map_or(FINE_DEG, |s| s.min(FINE_DEG));
    Some(Handle {
        style,
        radius: Length::from_mm(arm_mm),
        arm: Length::from_mm(arm_mm),
        step: (style == HandleStyle::Ratchet).then(|| Angle::from_deg(step_deg)),
        hand_room: Length::from_mm(HAND_ROOM_MM),
    })
}

fn imagined_measure(
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
    spec: &PieceSpec,
) -> Option<TorqueMeasure> {
    let style = handle_style_of(site, spec.kind)?;
    let wanted =
        usual::kind_measures_torque(spec.kind) || (spec.kind == PieceKind::Special && work.wants_measure());
    let torque = work.torque.filter(|_| wanted && role == StackRole::Work)?;
    let range = Range::new(torque * 0.4, torque * 1.6).ok()?;
    let arm_mm = imagined_arm_mm(site, work, role, (style, false));
    Some(TorqueMeasure { range, tolerance_fraction: 0.04, scale_step: None, arm: Length::from_mm(arm_mm) })
}

/// An arm that the hand can work and that swings: as usual as the torque and the space allow.
fn imagined_arm_mm(
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
    (style, flat): (HandleStyle, bool),
) -> f64 {
    let torque_n_mm = work.torque.map_or(0.0, |t| t.as_n_m() * 1000.0);
    let least_mm = torque_n_mm / site.hand_force.as_n().max(1.0) * 1.001;
    let feels = work.act == model::Act::Tighten && torque_n_mm > 0.0;
    let most_mm = if feels { torque_n_mm / MIN_FEEL_N * 0.999 } else { f64::INFINITY };
    let usual_mm = if style == HandleStyle::InLine { FIST_ARM_MM } else { ARM_MM };
    let wanted_mm = usual_mm.max(least_mm).min(most_mm);
    if role == StackRole::Hold || !matches!(style, HandleStyle::Ratchet | HandleStyle::Bar) {
        return wanted_mm;
    }
    widest_arc_radius_mm(swings_for_kind(site, flat), least_mm)
        .map_or(wanted_mm, |radius_mm| wanted_mm.min(radius_mm))
}

fn swings_for_kind<'s>(site: &'s ReachSite, flat: bool) -> &'s [Swing] {
    match (&site.access.side, flat) {
        (Some(side), true) => &side.swings,
        _ => &site.access.swings,
    }
}

/// The radius with the widest arc of those that the hand can work at.
fn widest_arc_radius_mm(swings: &[Swing], least_mm: f64) -> Option<f64> {
    swings
        .iter()
        .filter(|s| s.radius.as_mm() >= least_mm)
        .max_by(|a, b| {
            a.arc.as_deg().total_cmp(&b.arc.as_deg()).then(a.radius.as_mm().total_cmp(&b.radius.as_mm()))
        })
        .map(|s| s.radius.as_mm())
}

/// The coarsest step that the space allows a handle of this kind; `None` where any would do.
pub(crate) fn max_step_deg(
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
    kind: PieceKind,
) -> Option<f64> {
    let style =
        handle_style_of(site, kind).filter(|s| matches!(s, HandleStyle::Ratchet | HandleStyle::Bar))?;
    let flat = usual::is_flat(kind);
    let arm_mm = imagined_arm_mm(site, work, role, (style, flat));
    let arc = model::Access::arc_for(swings_for_kind(site, flat), Length::from_mm(arm_mm));
    let free_deg = arc.as_deg() - SWING_PLAY_DEG;
    (role == StackRole::Work && (0.0..60.0).contains(&free_deg)).then_some(free_deg)
}
