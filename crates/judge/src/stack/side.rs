//! Sides: the space and the drive on one side of a fastener, and what an act needs.

use crate::case::{DutyFacts, PlanCase};
use crate::duties::{duty_torque_n_m, greatest_torque_n_m, tightening_target};
use model::{Access, Act, Drive, DriveForm, FastenerKind, StageTarget, StationId, Swing, rules};

/// One side of a fastener.
pub(super) struct FastenerSide<'a> {
    pub drive: Drive,
    /// Whether the fastener is turned on a pipe.
    pub on_pipe: bool,
    pub grip_height_mm: f64,
    pub protrusion_mm: f64,
    pub access: &'a Access,
    pub hand_force_n: f64,
}

impl<'a> FastenerSide<'a> {
    /// The side that is worked.
    pub fn working_side(case: &PlanCase<'a>, duty: &DutyFacts<'a>) -> Self {
        let head = duty.fixing.head;
        FastenerSide {
            drive: duty.fixing.drive,
            on_pipe: is_on_pipe(duty),
            grip_height_mm: head.grip_height.as_mm(),
            protrusion_mm: head.protrusion.as_mm(),
            access: duty.access,
            hand_force_n: station_force_n(case, working_station(case, duty)),
        }
    }

    /// The side that is held, where there is one.
    pub fn held_side(case: &PlanCase<'a>, duty: &DutyFacts<'a>) -> Option<Self> {
        let hold = duty.access.counter_hold.as_ref()?;
        let own = own_station(case, duty, &hold.access);
        let station = own.unwrap_or_else(|| working_station(case, duty));
        Some(FastenerSide {
            drive: hold.drive,
            on_pipe: is_on_pipe(duty),
            grip_height_mm: hold.grip_height.as_mm(),
            protrusion_mm: 0.0,
            access: &hold.access,
            hand_force_n: station_force_n(case, station),
        })
    }

    /// Whether no tool is wanted.
    pub fn takes_bare_hand(&self) -> bool {
        let passes =
            || self.access.corridor.iter().all(|s| s.clear.as_mm() + super::FORGIVEN >= rules::HAND_PASS_MM);
        match self.drive.form() {
            DriveForm::Hand => true,
            DriveForm::Latch => passes(),
            DriveForm::Hexagon
            | DriveForm::BiHexagon
            | DriveForm::HexSocket
            | DriveForm::Hexalobular
            | DriveForm::ExternalHexalobular
            | DriveForm::CrossRecess
            | DriveForm::CrossRecessZ
            | DriveForm::Slot
            | DriveForm::Square
            | DriveForm::SquareSocket
            | DriveForm::SpringClamp
            | DriveForm::NotKnown
            | DriveForm::PushClip => false,
        }
    }

    /// Length of the closed part of the corridor.
    pub fn depth_mm(&self) -> f64 {
        self.access.corridor.iter().filter_map(|s| s.length).map(units::Length::as_mm).sum()
    }
}

/// A union that is turned has a pipe through it, on both of its sides.
fn is_on_pipe(duty: &DutyFacts) -> bool {
    duty.fixing.drive.is_turned() && duty.fixing.kind == FastenerKind::Union
}

fn own_station(case: &PlanCase, duty: &DutyFacts, access: &Access) -> Option<StationId> {
    let ways = &case.book.part(duty.fixing.part).ways;
    let of_way = access.way.and_then(|w| ways.get(usize::from(w))).and_then(|w| w.station);
    access.station.or(of_way)
}

fn working_station(case: &PlanCase, duty: &DutyFacts) -> StationId {
    own_station(case, duty, duty.access).unwrap_or(case.book.part(duty.fixing.part).station)
}

fn station_force_n(case: &PlanCase, station: StationId) -> f64 {
    case.book.station(station).hand_force.as_n()
}

/// The arc free for a radius: that of the smallest listed radius not below it; all round where none is listed.
pub(super) fn free_arc_deg(swings: &[Swing], radius_mm: f64) -> f64 {
    let mut best: Option<(f64, f64)> = None;
    for swing in swings.iter().filter(|s| s.radius.as_mm() >= radius_mm) {
        if best.is_none_or(|(radius, _)| swing.radius.as_mm() < radius) {
            best = Some((swing.radius.as_mm(), swing.arc.as_deg()));
        }
    }
    match best {
        Some((_, arc_deg)) => arc_deg,
        None if swings.is_empty() => 360.0,
        None => 0.0,
    }
}

/// What an act needs from a stack, beside the space.
pub(super) struct ActDemand {
    pub act: Act,
    pub torque_n_m: Option<f64>,
    pub target: Option<StageTarget>,
    pub tolerance_fraction: f64,
    pub tighten_n_m: Option<f64>,
    pub retention: bool,
    pub critical: bool,
    /// Whether it breaks loose so hard that it may break.
    pub may_break: bool,
}

impl ActDemand {
    /// What a duty needs.
    pub fn new(case: &PlanCase, duty: &DutyFacts) -> Self {
        let runs = matches!(duty.line.act, Act::RunOut | Act::RunIn);
        let open = duty.access.drop_over.iter().any(|o| case.book.opening(*o).cap.is_none());
        Self {
            act: duty.line.act,
            torque_n_m: duty_torque_n_m(duty),
            target: tightening_target(duty),
            tolerance_fraction: duty.fixing.tightening.tolerance_fraction,
            tighten_n_m: greatest_torque_n_m(duty.fixing),
            retention: runs && open && !duty.fixing.captive,
            critical: duty.fixing.critical,
            may_break: may_break(duty),
        }
    }

    /// Whether a torque tool is wanted.
    pub fn wants_torque_tool(&self) -> bool {
        self.act == Act::Tighten && matches!(self.target, Some(StageTarget::Torque(_)))
    }
}

/// Whether the causes that make it break loose harder come to the factor of a risky fastener.
fn may_break(duty: &DutyFacts) -> bool {
    let factor = duty.fixing.history.iter().fold(rules::BREAK_LOOSE_RATIO, |f, (_, cause)| f * cause);
    duty.fixing.drive.is_turned() && factor + super::FORGIVEN >= rules::RISKY_BREAK_LOOSE_RATIO
}
