//! Near chains: of the chains that fit the drive, those that fail the fewest rules, and by least.
//!
//! Chains are looked at from short to long, up to a fixed effort; a prefix is left as soon as what it already fails is
//! worse than the chains in hand. Shortfalls under different rules are compared as fractions of a scale, which says how
//! much of each a person would call a lot (assumptions, see [`scale`]).

use crate::chain::{ChainAudit, audit_chain};
use crate::index::{PieceIndex, link_position};
use crate::rules::bends::MAX_CHAIN;
use crate::rules::style::StackRole;
use crate::rules::{clearance, drive, engagement, strength};
use crate::site::{ReachSite, ReachWork};
use model::rules::MAX_BETWEEN;
use model::{GripApproach, MissKind, Piece};

/// Chains kept.
const MAX_KEPT_CHAINS: usize = 8;
/// Chains looked at for one duty at most.
const MAX_CHAINS_LOOKED_AT: usize = 2500;

/// A chain that fails.
#[derive(Debug, Clone)]
pub(crate) struct NearChain {
    /// Positions in [`Index::bodies`].
    pub bodies: Vec<usize>,
    pub audit: ChainAudit,
    /// The rule that it fails most.
    pub kind: MissKind,
    pub failed: usize,
    share: f64,
}

impl NearChain {
    /// The pieces, from the fastener to the hand.
    pub fn pieces<'s>(&self, index: &PieceIndex<'s>) -> Vec<&'s Piece> {
        self.bodies.iter().map(|at| index.bodies[*at].piece).collect()
    }
    fn is_nearer(&self, other: &Self) -> bool {
        let key = |n: &Self| (n.failed, n.bodies.len());
        let (a, b) = (key(self), key(other));
        a.0.cmp(&b.0)
            .then(self.share.total_cmp(&other.share))
            .then(a.1.cmp(&b.1))
            .then_with(|| self.bodies.cmp(&other.bodies))
            .is_lt()
    }
}

/// How much of a shortfall counts as one whole share (assumptions).
fn shortfall_scale(site: &ReachSite, work: &ReachWork, kind: MissKind) -> f64 {
    let torque_n_m = work.torque.map_or(1.0, units::Torque::as_n_m).max(0.1);
    match kind {
        MissKind::Engagement | MissKind::Clearance | MissKind::SideRoom => 3.0,
        MissKind::TooShort | MissKind::Headroom => 25.0,
        MissKind::Bend => 30.0,
        MissKind::Swing => 15.0,
        MissKind::Strength | MissKind::TorqueRange => torque_n_m,
        MissKind::Force => site.hand_force.as_n().max(1.0),
        MissKind::Feel => model::rules::MIN_FEEL_N,
        MissKind::JointError => work.tolerance_fraction.max(0.01),
        MissKind::NoGrip
        | MissKind::NoJoin
        | MissKind::Retention
        | MissKind::CounterHold
        | MissKind::Away => 1.0,
    }
}

/// The search in progress.
struct ChainHunt<'h, 's> {
    index: &'h PieceIndex<'s>,
    site: &'h ReachSite<'h>,
    work: &'h ReachWork,
    role: StackRole,
    kept: Vec<NearChain>,
    effort: usize,
}

/// The nearest chains, nearest first; none where no chain fits the drive.
pub(crate) fn nearest_chains(
    index: &PieceIndex,
    site: &ReachSite,
    work: &ReachWork,
    role: StackRole,
) -> Vec<NearChain> {
    let mut hunt = ChainHunt { index, site, work, role, kept: Vec::new(), effort: 0 };
    for between in 0..=MAX_BETWEEN {
        for &at in &index.grips {
            let piece = index.bodies[at].piece;
            let fits = piece.grip.as_ref().filter(|g| drive::can_grip_take_hold(g, site));
            let Some(grip) = fits else { continue };
            if piece.handle.is_some() {
                if between == 0 {
                    hunt.look_at_chain(&[at]);
                }
                continue;
            }
            let axial = grip.approach == GripApproach::Axial;
            let start_mm = -engagement::engaged_mm(grip, site);
            hunt.follow_chain(&mut vec![at], between, (start_mm, axial));
        }
    }
    hunt.kept
}

impl ChainHunt<'_, '_> {
    /// Lengthens a chain by `more` pieces, then tries every handle.
    fn follow_chain(&mut self, bodies: &mut Vec<usize>, more: usize, place_mm: (f64, bool)) {
        if self.effort >= MAX_CHAINS_LOOKED_AT || self.is_hopeless(bodies, place_mm) {
            return;
        }
        let Some(link) = bodies.last().and_then(|at| self.index.bodies[*at].piece.toward_hand) else {
            return;
        };
        if more == 0 {
            for &handle in &self.index.handles {
                if self.index.bodies[handle].piece.toward_fastener == Some(link) {
                    bodies.push(handle);
                    self.look_at_chain(bodies);
                    bodies.pop();
                }
            }
            return;
        }
        for &between in &self.index.from[link_position(link)] {
            let at = self.index.betweens[between].body;
            if bodies.iter().filter(|b| **b == at).count() < self.index.bodies[at].at_hand {
                bodies.push(at);
                self.follow_chain(bodies, more - 1, place_mm);
                bodies.pop();
            }
        }
    }

    /// Whether a prefix already fails more than the worst chain kept.
    fn is_hopeless(&self, bodies: &[usize], (mut z_mm, axial): (f64, bool)) -> bool {
        let Some(worst) = self.kept.last().filter(|_| self.kept.len() == MAX_KEPT_CHAINS) else {
            return false;
        };
        let (mut thick_mm, mut weak_n_m) = (0.0_f64, 0.0_f64);
        for at in bodies {
            let body = &self.index.bodies[*at];
            if axial {
                thick_mm =
                    thick_mm.max(clearance::piece_short_mm(&self.site.stretches, z_mm, &body.piece.outline));
            }
            weak_n_m = weak_n_m.max(strength::strength_short_n_m(body.capacity, self.work.torque));
            z_mm += body.length_mm;
        }
        let long_mm = if axial { z_mm - self.site.headroom_mm } else { 0.0 };
        let shorts =
            [(MissKind::Clearance, thick_mm), (MissKind::Strength, weak_n_m), (MissKind::Headroom, long_mm)];
        let failed = shorts.iter().filter(|(_, short)| *short > 0.0);
        let count = failed.clone().count();
        let share: f64 =
            failed.map(|(kind, short)| short / shortfall_scale(self.site, self.work, *kind)).sum();
        count > worst.failed || (count == worst.failed && share >= worst.share)
    }

    /// Asks all rules of a chain and keeps it if it is near.
    fn look_at_chain(&mut self, bodies: &[usize]) {
        self.effort += 1;
        let mut chain: [Option<&Piece>; MAX_CHAIN] = [None; MAX_CHAIN];
        for (place, at) in chain.iter_mut().zip(bodies) {
            *place = Some(self.index.bodies[*at].piece);
        }
        let chain: Vec<&Piece> = chain.into_iter().flatten().collect();
        let Some(audit) = audit_chain(self.site, self.work, self.role, &chain) else { return };
        let share_of = |kind| audit.short_by(kind) / shortfall_scale(self.site, self.work, kind);
        let Some(kind) = audit.failed_rules().max_by(|a, b| share_of(*a).total_cmp(&share_of(*b))) else {
            return;
        };
        let (failed, share) = audit.failed_rules().fold((0, 0.0), |(n, sum), k| (n + 1, sum + share_of(k)));
        let near = NearChain { bodies: bodies.to_vec(), audit, kind, failed, share };
        let at = self.kept.partition_point(|k| k.is_nearer(&near));
        if at < MAX_KEPT_CHAINS {
            self.kept.insert(at, near);
            self.kept.truncate(MAX_KEPT_CHAINS);
        }
    }
}
