//! One chain of pieces against one side of a fastener: every rule checked, every shortfall noted.
//!
//! This is the whole of rules 1 to 12 for one chain. The plain search checks it for every chain; the fast search checks the
//! same rules earlier; the nearest miss reads by how much a chain falls short.

use crate::duty_times::HandleMotion;
use crate::rules::bends::{ChainJoints, MAX_CHAIN, PlacedJoint, TakenBends};
use crate::rules::style::StackRole;
use crate::rules::swing::HandleSwing;
use crate::rules::{
    bends, clearance, drive, engagement, force, length, links, measure, side, strength, style, swing,
};
use crate::site::{ReachSite, ReachWork};
use model::{BendTaken, Grip, GripApproach, Handle, MissKind, Piece, Retention};
use units::{Force, Torque};

/// Rules that a chain can fall short of, by their place in [`MissKind`].
const KINDS: usize = MissKind::Away as usize + 1;

/// The result of checking a chain against all rules.
#[derive(Debug, Clone)]
pub(crate) struct ChainAudit {
    short_figure: [f64; KINDS],
    culprit: [u8; KINDS],
    pub engaged_mm: f64,
    pub top_mm: f64,
    pub arm_plane_mm: f64,
    pub swung: HandleSwing,
    pub taken: TakenBends,
    pub force: Option<Force>,
    pub setting: Option<Torque>,
    pub joint_error_fraction: f64,
    pub motion: HandleMotion,
}

/// All kinds of shortfall, in the order of what a person notices first.
pub(crate) const ALL_KINDS: [MissKind; 13] = [
    MissKind::Engagement,
    MissKind::Clearance,
    MissKind::TooShort,
    MissKind::Headroom,
    MissKind::Bend,
    MissKind::Swing,
    MissKind::SideRoom,
    MissKind::Strength,
    MissKind::Force,
    MissKind::Feel,
    MissKind::TorqueRange,
    MissKind::JointError,
    MissKind::Retention,
];

impl ChainAudit {
    /// By how much a rule is failed; 0 where it holds.
    pub fn short_by(&self, kind: MissKind) -> f64 {
        self.short_figure[kind as usize]
    }
    /// The piece that fails a rule most.
    pub fn culprit(&self, kind: MissKind) -> usize {
        usize::from(self.culprit[kind as usize])
    }
    /// The rules that are failed.
    pub fn failed_rules(&self) -> impl Iterator<Item = MissKind> + '_ {
        ALL_KINDS.into_iter().filter(|k| self.short_by(*k) > 0.0)
    }
    /// Whether all rules hold.
    pub fn all_rules_hold(&self) -> bool {
        self.failed_rules().next().is_none()
    }
    fn note_shortfall(&mut self, kind: MissKind, piece: usize, short_figure: f64) {
        if short_figure > self.short_figure[kind as usize] {
            self.short_figure[kind as usize] = short_figure;
            self.culprit[kind as usize] = piece as u8;
        }
    }
}

/// Whether pieces make a chain: grip first, handle last, neither between, linked throughout and one way.
///
/// A piece that has both a grip and a handle is used alone.
pub(crate) fn is_chain(chain: &[&Piece]) -> bool {
    let [first, .., last] = chain else {
        return matches!(chain, [only] if only.grip.is_some() && only.handle.is_some());
    };
    let between = &chain[1..chain.len() - 1];
    chain.len() <= MAX_CHAIN
        && first.grip.is_some()
        && first.handle.is_none()
        && last.handle.is_some()
        && last.grip.is_none()
        && between.iter().all(|p| p.grip.is_none() && p.handle.is_none())
        && chain.windows(2).all(|w| w[0].toward_hand.is_some() && w[0].toward_hand == w[1].toward_fastener)
        && links::do_links_go_one_way(&chain[..chain.len() - 1])
}

/// The ends of a chain that fits the drive and whose handle may do such work at all.
fn fitting_ends<'c>(
    site: &ReachSite,
    role: StackRole,
    chain: &[&'c Piece],
) -> Option<(&'c Grip, &'c Handle)> {
    let (first, last) = (chain.first()?, chain.last()?);
    let (grip, handle) = (first.grip.as_ref()?, last.handle.as_ref()?);
    (is_chain(chain) && drive::can_grip_take_hold(grip, site) && style::suits_drive(site, role, last))
        .then_some((grip, handle))
}

/// Asks all rules of a chain; `None` where it is no chain for such a drive and act.
pub(crate) fn audit_chain(
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
    chain: &[&Piece],
) -> Option<ChainAudit> {
    let (grip, handle) = fitting_ends(site, role, chain)?;
    let last = chain.len() - 1;
    if role == StackRole::Work && !style::may_grip_spin(work, grip, last == 0) {
        return None;
    }
    let engaged_mm = engagement::engaged_mm(grip, site);
    let top_mm = chain.iter().fold(-engaged_mm, |z, p| z + p.length_in_stack().as_mm());
    let swung = swing::swing_of_handle(site, grip, handle);
    let mut audit = ChainAudit {
        short_figure: [0.0; KINDS],
        culprit: [0; KINDS],
        engaged_mm,
        top_mm,
        arm_plane_mm: length::arm_plane_mm(top_mm, chain[last]),
        swung,
        taken: TakenBends::default(),
        force: force::force_at_handle(work, handle),
        setting: None,
        joint_error_fraction: 0.0,
        motion: HandleMotion::of_handle(chain[last], handle.style, swung.stroke_deg),
    };
    audit.note_shortfall(MissKind::Engagement, 0, engagement::engagement_short_mm(engaged_mm, site));
    match grip.approach {
        GripApproach::Axial => audit_along_axis(&mut audit, site, handle, chain),
        GripApproach::Side => audit_beside_head(&mut audit, site, (grip, handle), chain),
    }
    audit_load(&mut audit, site, work, chain);
    if role == StackRole::Work {
        audit.note_shortfall(MissKind::Swing, last, swung.short_deg);
        audit_measuring(&mut audit, work, grip, chain[last], last)?;
        let loose = work.wants_retention && grip.retention == Retention::None;
        audit.note_shortfall(MissKind::Retention, 0, if loose { 1.0 } else { 0.0 });
    }
    Some(audit)
}

/// Rules 4 to 6 for grips that come along the axis.
fn audit_along_axis(audit: &mut ChainAudit, site: &ReachSite, handle: &Handle, chain: &[&Piece]) {
    let last = chain.len() - 1;
    let mut start_mm = -audit.engaged_mm;
    for (at, piece) in chain.iter().enumerate() {
        let short_mm = clearance::piece_short_mm(&site.stretches, start_mm, &piece.outline);
        audit.note_shortfall(MissKind::Clearance, at, short_mm);
        start_mm += piece.length_in_stack().as_mm();
    }
    let (top_mm, plane_mm) = (audit.top_mm, audit.arm_plane_mm);
    audit.note_shortfall(
        MissKind::TooShort,
        last,
        length::reach_short_mm(handle.style, top_mm, plane_mm, site.depth_mm),
    );
    let room_mm = handle.hand_room.as_mm();
    audit.note_shortfall(
        MissKind::Headroom,
        last,
        length::headroom_short_mm(top_mm, room_mm, site.headroom_mm),
    );
    let joints = joints_of_chain(-audit.engaged_mm, chain);
    match bends::match_bends(&site.access.bends, &joints) {
        Some(taken) => set_bends(audit, taken),
        None => audit.note_shortfall(MissKind::Bend, last, greatest_bend_deg(site)),
    }
}

fn set_bends(audit: &mut ChainAudit, taken: TakenBends) {
    audit.taken = taken;
    audit.joint_error_fraction = measure::joint_error_fraction(taken.iter().flatten());
}

fn greatest_bend_deg(site: &ReachSite) -> f64 {
    site.access.bends.iter().map(|b| b.angle.as_deg()).fold(1.0, f64::max)
}

/// The joints of a chain at their places, for a chain that starts at `start_mm`.
pub(crate) fn joints_of_chain(start_mm: f64, chain: &[&Piece]) -> ChainJoints {
    let mut joints = ChainJoints::default();
    let mut z_mm = start_mm;
    for (at, piece) in chain.iter().enumerate() {
        if let Some(bend) = piece.bend {
            joints.push(PlacedJoint { piece: at as u8, centre_mm: z_mm + bend.at.as_mm(), bend });
        }
        z_mm += piece.length_in_stack().as_mm();
    }
    joints
}

/// Rule 8, and the part of rule 6 that holds for grips from the side.
fn audit_beside_head(
    audit: &mut ChainAudit,
    site: &ReachSite,
    (grip, handle): (&Grip, &Handle),
    chain: &[&Piece],
) {
    let last = chain.len() - 1;
    audit.note_shortfall(MissKind::SideRoom, 0, side::room_short_mm(site.access.side.as_ref(), grip));
    if !bends::all_straight(&joints_of_chain(0.0, chain)) {
        audit.note_shortfall(MissKind::Bend, last, 1.0);
    }
    let Some(room) = site.access.side.as_ref().filter(|_| last > 0) else { return };
    for (at, piece) in chain.iter().enumerate().skip(1) {
        let short_mm = side::side_reach_short_mm(room, grip.offset.as_mm(), piece.largest_diameter().as_mm());
        audit.note_shortfall(MissKind::SideRoom, at, short_mm);
    }
    let short_mm = side::side_headroom_short_mm(room, audit.top_mm, handle.hand_room.as_mm());
    audit.note_shortfall(MissKind::Headroom, last, short_mm);
}

/// Rules 9 and 10.
fn audit_load(audit: &mut ChainAudit, site: &ReachSite, work: &ReachWork, chain: &[&Piece]) {
    let last = chain.len() - 1;
    for (at, piece) in chain.iter().enumerate() {
        audit.note_shortfall(
            MissKind::Strength,
            at,
            strength::strength_short_n_m(strength::torque_capacity(piece), work.torque),
        );
    }
    audit.note_shortfall(MissKind::Force, last, force::force_short_n(site, audit.force));
    audit.note_shortfall(MissKind::Feel, last, force::feel_short_n(work, audit.force));
}

/// Rule 11; `None` where the handle may not do the act at all.
fn audit_measuring(
    audit: &mut ChainAudit,
    work: &ReachWork,
    grip: &Grip,
    handle: &Piece,
    last: usize,
) -> Option<()> {
    let torque = work.torque.filter(|_| work.wants_measure());
    if !style::suits_act(work, handle) {
        // A plain handle where a figure is asked for is a near miss; all else is the wrong tool.
        let near = torque.filter(|_| handle.power.is_none() && handle.measure.is_none())?;
        audit.note_shortfall(MissKind::TorqueRange, last, near.as_n_m());
        return Some(());
    }
    if let (Some(tool), Some(torque)) = (&handle.measure, torque) {
        let setting = measure::wrench_setting(tool, grip, torque);
        audit.setting = Some(setting);
        audit.note_shortfall(MissKind::TorqueRange, last, measure::range_short_n_m(tool, setting));
        audit.note_shortfall(
            MissKind::JointError,
            last,
            audit.joint_error_fraction - work.tolerance_fraction,
        );
    }
    Some(())
}

/// The joints that turn by more than 0°, or that lie at a bend, as a stack lists them.
pub(crate) fn list_bends_taken(taken: &TakenBends) -> Vec<BendTaken> {
    taken.iter().flatten().copied().collect()
}
