//! The solver's own form of a duty: the space on one side of the fastener (`Site`) and what the act needs (`Work`).

use model::rules::HAND_PASS_MM;
use model::{Access, Act, Book, Drive, DriveForm, Duty, FastenerKind, Fixing, Sight, StageTarget, StationId};
use times::{FELT_FACTOR, FREE_TURN_DEG, HAND_TURNS, TIGHTEN_TURN_DEG};
use units::{Force, Torque};

/// One stretch of a corridor between two distances from the head.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CorridorStretch {
    pub from_mm: f64,
    pub to_mm: f64,
    pub clear_mm: f64,
}

/// What a stack finds on one side of a fastener.
#[derive(Debug, Clone)]
pub(crate) struct ReachSite<'a> {
    pub drive: Drive,
    /// Whether a pipe comes out of the fastener, so that closed grips cannot be put on.
    pub has_pipe: bool,
    pub grip_height_mm: f64,
    pub protrusion_mm: f64,
    pub access: &'a Access,
    /// The corridor's segments with their ends; the first reaches inward and the last outward without end.
    pub stretches: Vec<CorridorStretch>,
    /// Clear diameter of the narrowest segment.
    pub narrowest_mm: f64,
    pub depth_mm: f64,
    pub headroom_mm: f64,
    pub hand_force: Force,
    pub station: StationId,
}

impl<'a> ReachSite<'a> {
    /// The side that is turned; `None` where a duty points past its fixing's accesses.
    pub fn of_duty(book: &'a Book, duty: Duty) -> Option<Self> {
        let fixing = book.fixings.get(duty.fixing.index())?;
        let access = fixing.accesses.get(usize::from(duty.access))?;
        let part = book.part(fixing.part);
        let station = station_of_access(book, fixing, access).unwrap_or(part.station);
        let head = &fixing.head;
        let head_mm = (head.grip_height.as_mm(), head.protrusion.as_mm());
        let force = book.station(station).hand_force;
        let site = Self::new(fixing.drive, head_mm, access, (station, force));
        Some(Self { has_pipe: has_pipe(fixing), ..site })
    }

    /// The side that is held, where there is one.
    pub fn of_hold(book: &'a Book, duty: Duty) -> Option<Self> {
        let main = Self::of_duty(book, duty)?;
        let hold = main.access.counter_hold.as_ref()?;
        let fixing = book.fixing(duty.fixing);
        let station = station_of_access(book, fixing, &hold.access).unwrap_or(main.station);
        let force = book.station(station).hand_force;
        let head_mm = (hold.grip_height.as_mm(), 0.0);
        let site = Self::new(hold.drive, head_mm, &hold.access, (station, force));
        Some(Self { has_pipe: has_pipe(fixing), ..site })
    }

    fn new(
        drive: Drive,
        (grip_height_mm, protrusion_mm): (f64, f64),
        access: &'a Access,
        (station, hand_force): (StationId, Force),
    ) -> Self {
        let stretches = corridor_stretches(access);
        Self {
            drive,
            has_pipe: false,
            grip_height_mm,
            protrusion_mm,
            access,
            narrowest_mm: stretches.iter().map(|s| s.clear_mm).fold(f64::INFINITY, f64::min),
            stretches,
            depth_mm: access.corridor_depth().as_mm(),
            headroom_mm: access.headroom.as_mm(),
            hand_force,
            station,
        }
    }

    /// Whether the bare hand can work the drive here.
    pub fn takes_bare_hand(&self) -> bool {
        match self.drive.form() {
            DriveForm::Hand => true,
            DriveForm::Latch => self.narrowest_mm >= HAND_PASS_MM,
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

    /// Bends of the corridor at more than 0°.
    pub fn count_true_bends(&self) -> i32 {
        self.access.bends.iter().filter(|b| b.angle.as_deg() > 0.0).count() as i32
    }
}

/// Whether a pipe comes out of the fasteners of a fixing.
fn has_pipe(fixing: &Fixing) -> bool {
    fixing.kind == FastenerKind::Union && fixing.drive.is_turned()
}

/// The working position of an access: its own, else that of the way that opens it.
fn station_of_access(book: &Book, fixing: &Fixing, access: &Access) -> Option<StationId> {
    let way = access.way.and_then(|w| book.part(fixing.part).ways.get(usize::from(w)));
    access.station.or_else(|| way.and_then(|w| w.station))
}

/// The corridor's segments laid end to end from the head outward.
fn corridor_stretches(access: &Access) -> Vec<CorridorStretch> {
    let mut from_mm = f64::NEG_INFINITY;
    let mut end_mm = 0.0;
    let mut stretches = Vec::with_capacity(access.corridor.len());
    for segment in &access.corridor {
        end_mm += segment.length.map_or(f64::INFINITY, units::Length::as_mm);
        stretches.push(CorridorStretch { from_mm, to_mm: end_mm, clear_mm: segment.clear.as_mm() });
        from_mm = end_mm;
    }
    stretches
}

/// What the act needs from a stack, beside the space.
#[derive(Debug, Clone)]
pub(crate) struct ReachWork {
    pub act: Act,
    /// Torque of the act, where the book gives a figure.
    pub torque: Option<Torque>,
    pub target: Option<StageTarget>,
    pub tolerance_fraction: f64,
    /// The greatest tightening torque: the figure that a driver must stay below.
    pub tighten: Option<Torque>,
    /// Whether it is never run in by a driver.
    pub is_critical: bool,
    /// Whether it may break on the way out, so that the hand has to feel it.
    pub is_risky: bool,
    /// Whether what is dropped falls into an opening that cannot be capped.
    pub wants_retention: bool,
    /// Holes that it is done at.
    pub holes: u16,
    /// Slow-down of a head that is only felt.
    pub slow_factor: f64,
    pub turns: f64,
    /// Whether the other side has to be held.
    pub held: bool,
}

impl ReachWork {
    /// What a duty needs; `None` where it points past its fixing's accesses.
    pub fn of_duty(book: &Book, duty: Duty) -> Option<Self> {
        let fixing = book.fixings.get(duty.fixing.index())?;
        let access = fixing.accesses.get(usize::from(duty.access))?;
        let runs = matches!(duty.act, Act::RunOut | Act::RunIn);
        let over_opening =
            access.drop_over.iter().any(|o| book.openings.get(o.index()).is_some_and(|o| o.cap.is_none()));
        Some(Self {
            act: duty.act,
            torque: duty.torque(fixing),
            target: duty.stage_target(fixing),
            tolerance_fraction: fixing.tightening.tolerance_fraction,
            tighten: fixing.greatest_torque(),
            is_critical: fixing.critical,
            is_risky: fixing.is_risky(),
            wants_retention: runs && over_opening && !fixing.captive,
            holes: access.holes.len() as u16,
            slow_factor: if access.sight == Sight::FeltOnly { FELT_FACTOR } else { 1.0 },
            turns: fixing.turns_to_free(),
            held: access.counter_hold.is_some(),
        })
    }

    /// Whether the act is tightening to a torque, which needs a tool that measures.
    pub fn wants_measure(&self) -> bool {
        self.act == Act::Tighten && matches!(self.target, Some(StageTarget::Torque(_)))
    }

    /// The angle to turn by.
    pub fn turn_deg(&self) -> f64 {
        match (self.act, self.target) {
            (Act::Free, _) => FREE_TURN_DEG,
            (Act::RunOut, _) => 360.0 * self.turns,
            (Act::RunIn, _) => 360.0 * (self.turns - HAND_TURNS).max(0.5),
            (Act::Tighten, Some(StageTarget::Angle(angle))) => angle.as_deg(),
            (Act::Tighten, _) => TIGHTEN_TURN_DEG,
        }
    }
}
