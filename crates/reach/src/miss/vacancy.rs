//! A slot of a chain: the geometry of the one piece that would make the rest of the chain work.
//!
//! Every length that the space could allow is tried at a few points with an imagined piece as slim as it has to be; the
//! longest run of lengths at which all rules hold is the window that the specification names.

use crate::chain::audit_chain;
use crate::miss::imagine::{
    ARM_HEIGHT_MM, HAND_ROOM_MM, handle_style_of, imagine_piece, is_alone, max_step_deg,
};
use crate::miss::usual;
use crate::rules::bends::MAX_CHAIN;
use crate::rules::style::StackRole;
use crate::rules::{clearance, engagement, length};
use crate::site::{ReachSite, ReachWork};
use model::rules::BEND_SLACK_MM;
use model::{
    DriveForm, GripApproach, HandleStyle, MissKind, ObtainKind, Piece, PieceKind, PieceLink, PieceSpec,
};

/// Lengths tried in a window.
const TRIES: usize = 9;
/// Halvings that find the edge of a window to well below a thousandth of a millimetre.
const HALVINGS: usize = 22;
/// Longest piece thought of.
const MAX_PIECE_MM: f64 = 900.0;

/// A place for one piece among others.
#[derive(Debug, Clone)]
pub(crate) struct ChainVacancy<'p> {
    pub before: Vec<&'p Piece>,
    pub kind: PieceKind,
    pub link: Option<PieceLink>,
    pub after: Vec<&'p Piece>,
}

/// What is asked, on which side.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MissQuestion<'a> {
    pub site: &'a ReachSite<'a>,
    pub work: &'a ReachWork,
    pub role: StackRole,
}

impl ChainVacancy<'_> {
    /// The specification of a piece that fills the slot, if there is one; its words are still empty.
    pub fn specify_piece(&self, ask: MissQuestion) -> Option<PieceSpec> {
        if self.before.len() + 1 + self.after.len() > MAX_CHAIN {
            return None;
        }
        let spec = self.blank_spec(ask);
        if usual::is_flat(spec.kind) {
            return self.flat_spec(ask, spec);
        }
        let (low_mm, high_mm) = self.window_mm(ask, &spec)?;
        let step_mm = (high_mm - low_mm) / (TRIES - 1) as f64;
        let lengths = (0..TRIES).map(|at| low_mm + step_mm * at as f64);
        let tried: Vec<Option<PieceSpec>> = lengths.map(|l| self.spec_at_length(ask, &spec, l)).collect();
        let run = longest_run(&tried);
        let mut runs = tried.get(run.clone())?.iter().flatten();
        let first = runs.next()?.clone();
        let narrow = runs.fold(first, |narrow, s| narrower_spec(&narrow, s));
        let at_mm = |at: usize| low_mm + step_mm * at as f64;
        let (first_mm, last_mm) = (at_mm(run.start), at_mm(run.end - 1));
        let low_mm = if run.start == 0 {
            first_mm
        } else {
            self.edge_mm(ask, &spec, (at_mm(run.start - 1), first_mm))
        };
        let high_mm =
            if run.end == TRIES { last_mm } else { self.edge_mm(ask, &spec, (at_mm(run.end), last_mm)) };
        let mut spec = PieceSpec { min_length_mm: Some(low_mm), max_length_mm: Some(high_mm), ..narrow };
        let exact = spec.clone();
        settle_limits(&mut spec);
        let spec = [spec, exact].into_iter().find(|s| self.holds_over_window(ask, s))?;
        Some(PieceSpec { how: usual::how_to_obtain(&spec), ..spec })
    }

    /// What the slot's place in the chain says already.
    fn blank_spec(&self, ask: MissQuestion) -> PieceSpec {
        let is_grip = self.before.is_empty();
        let bend = ask.site.access.bends.iter().map(|b| b.angle.as_deg()).fold(0.0, f64::max);
        let bent =
            !ask.site.access.bends.is_empty() && matches!(self.kind, PieceKind::Joint | PieceKind::Special);
        PieceSpec {
            kind: self.kind,
            drive: is_grip.then_some(ask.site.drive),
            link: self.link,
            min_length_mm: None,
            max_length_mm: None,
            max_diameter_mm: None,
            torque_n_m: ask.work.torque.map(units::Torque::as_n_m),
            max_step_deg: max_step_deg(ask.site, ask.work, ask.role, self.kind),
            bend_deg: bent.then_some(bend),
            retention: is_grip && ask.role == StackRole::Work && ask.work.wants_retention,
            how: ObtainKind::Make,
            words: String::new(),
        }
    }

    /// Where the slot starts.
    fn start_mm(&self, ask: MissQuestion) -> f64 {
        let engaged_mm = match self.before.first().and_then(|p| p.grip.as_ref()) {
            Some(grip) => engagement::engaged_mm(grip, ask.site),
            None if ask.site.drive.is_turned() => ask.site.grip_height_mm,
            None => 0.0,
        };
        self.before.iter().fold(-engaged_mm, |z, p| z + p.length_in_stack().as_mm())
    }

    /// From which grip the chain goes up.
    fn approach(&self) -> GripApproach {
        self.before.first().and_then(|p| p.grip.as_ref()).map_or(GripApproach::Axial, |g| g.approach)
    }

    /// Lengths between which the chain reaches out and fits below what is above.
    fn window_mm(&self, ask: MissQuestion, spec: &PieceSpec) -> Option<(f64, f64)> {
        let start_mm = self.start_mm(ask);
        let rest_mm: f64 = self.after.iter().map(|p| p.length_in_stack().as_mm()).sum();
        let last = self.after.last();
        let style =
            last.map_or_else(|| handle_style_of(ask.site, spec.kind), |p| p.handle.map(|h| h.style))?;
        let room_mm = last.and_then(|p| p.handle).map_or(HAND_ROOM_MM, |h| h.hand_room.as_mm());
        let top_mm = start_mm + rest_mm;
        let one_piece = spec.kind == PieceKind::Special;
        let own_mm = if one_piece { 0.5 * ARM_HEIGHT_MM } else { 0.0 };
        let plane_mm = last.map_or(top_mm - own_mm, |p| length::arm_plane_mm(top_mm, p));
        // The middle of a handle in the slot moves out by half of what its length does.
        let swung = matches!(style, HandleStyle::Ratchet | HandleStyle::Bar);
        let slope = if last.is_none() && swung && !one_piece { 2.0 } else { 1.0 };
        let (low_mm, high_mm) = match (self.approach(), &ask.site.access.side) {
            (GripApproach::Side, Some(side)) => (0.0, side.headroom.as_mm() - room_mm - top_mm),
            _ => {
                let short_mm = length::reach_short_mm(style, top_mm, plane_mm, ask.site.depth_mm);
                (short_mm * slope, ask.site.headroom_mm - room_mm - top_mm)
            }
        };
        let shortest_mm = if self.before.is_empty() { 10.0 } else { 8.0 };
        let (low_mm, high_mm) = self.joint_window_mm(ask, spec, (low_mm.max(shortest_mm), high_mm));
        let high_mm = high_mm.min(low_mm.max(usual::lengths_mm(spec.kind).1)).min(MAX_PIECE_MM);
        (low_mm <= high_mm).then_some((low_mm, high_mm))
    }

    /// A joint's centre has to lie at the bend that nothing before it takes.
    fn joint_window_mm(
        &self,
        ask: MissQuestion,
        spec: &PieceSpec,
        (low_mm, high_mm): (f64, f64),
    ) -> (f64, f64) {
        let taken = self.before.iter().filter(|p| p.bend.is_some()).count();
        match ask.site.access.bends.get(taken).filter(|_| spec.kind == PieceKind::Joint) {
            Some(bend) => {
                let centre_mm = bend.at.as_mm() - self.start_mm(ask);
                let slack_mm = BEND_SLACK_MM - 0.5;
                (low_mm.max(2.0 * (centre_mm - slack_mm)), high_mm.min(2.0 * (centre_mm + slack_mm)))
            }
            None => (low_mm, high_mm),
        }
    }

    /// The length nearest to one that fails at which the rules still hold, by halving.
    fn edge_mm(&self, ask: MissQuestion, spec: &PieceSpec, (mut fails_mm, mut holds_mm): (f64, f64)) -> f64 {
        for _ in 0..HALVINGS {
            let middle_mm = 0.5 * (fails_mm + holds_mm);
            if self.spec_at_length(ask, spec, middle_mm).is_some() {
                holds_mm = middle_mm;
            } else {
                fails_mm = middle_mm;
            }
        }
        holds_mm
    }

    /// The specification at one length, if all rules hold with it.
    fn spec_at_length(&self, ask: MissQuestion, spec: &PieceSpec, length_mm: f64) -> Option<PieceSpec> {
        let mut spec = spec.clone();
        if self.approach() == GripApproach::Axial {
            let start_mm = self.start_mm(ask);
            let most_mm =
                clearance::greatest_diameter_mm(&ask.site.stretches, start_mm, start_mm + length_mm);
            if most_mm < usual::least_diameter_mm(&spec) {
                return None;
            }
            spec.max_diameter_mm = Some(most_mm);
        }
        self.works_at_length(ask, &spec, length_mm).then_some(spec)
    }

    fn works_at_length(&self, ask: MissQuestion, spec: &PieceSpec, length_mm: f64) -> bool {
        let piece = imagine_piece(ask.site, ask.work, ask.role, spec, length_mm);
        let mut chain = self.before.clone();
        chain.push(&piece);
        chain.extend(&self.after);
        audit_chain(ask.site, ask.work, ask.role, &chain).is_some_and(|a| a.all_rules_hold())
    }

    /// Whether the piece works at both ends of its window and in the middle.
    fn holds_over_window(&self, ask: MissQuestion, spec: &PieceSpec) -> bool {
        let (low_mm, high_mm) = (spec.min_length_mm.unwrap_or(0.0), spec.max_length_mm.unwrap_or(0.0));
        [low_mm, 0.5 * (low_mm + high_mm), high_mm].iter().all(|l| self.works_at_length(ask, spec, *l))
    }

    /// A flat tool: as thick as the room is high.
    fn flat_spec(&self, ask: MissQuestion, spec: PieceSpec) -> Option<PieceSpec> {
        let side = ask.site.access.side.as_ref()?;
        let thick_mm = side.height.as_mm().min(4.0 + ask.site.grip_height_mm);
        let spec = PieceSpec { max_diameter_mm: Some(thick_mm), ..spec };
        self.works_at_length(ask, &spec, thick_mm)
            .then(|| PieceSpec { how: usual::how_to_obtain(&spec), ..spec })
    }
}

/// Rounds a window inward to tenths and leaves out limits that say nothing.
fn settle_limits(spec: &mut PieceSpec) {
    let (low_mm, high_mm) = (spec.min_length_mm.unwrap_or(0.0), spec.max_length_mm.unwrap_or(0.0));
    // A hundredth of a tenth is what halving leaves over.
    let low = units::math::ceil(low_mm * 10.0 - 0.01) / 10.0;
    let high = units::math::floor(high_mm * 10.0 + 0.01) / 10.0;
    if low <= high {
        (spec.min_length_mm, spec.max_length_mm) = (Some(low), Some(high));
    }
    spec.max_diameter_mm = spec.max_diameter_mm.map(|d| units::math::floor(d * 10.0) / 10.0);
    // Where even a thick piece passes, thickness is no matter.
    if spec.max_diameter_mm.is_some_and(|d| d >= 3.0 * usual::slim_mm(spec)) {
        spec.max_diameter_mm = None;
    }
}

/// Of two specifications the smaller diameter.
fn narrower_spec(a: &PieceSpec, b: &PieceSpec) -> PieceSpec {
    let least = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => Some(x.min(y)),
        (x, y) => x.or(y),
    };
    PieceSpec { max_diameter_mm: least(a.max_diameter_mm, b.max_diameter_mm), ..a.clone() }
}

/// The longest run of tries that worked.
fn longest_run(tried: &[Option<PieceSpec>]) -> core::ops::Range<usize> {
    let mut best = 0..0;
    let mut from = 0;
    for (at, one) in tried.iter().enumerate() {
        if one.is_none() {
            from = at + 1;
        } else if at + 1 - from > best.len() {
            best = from..at + 1;
        }
    }
    best
}

/// The slots of a chain that fails a rule, the likeliest first.
pub(crate) fn vacancies_of_chain<'p>(
    ask: MissQuestion,
    chain: &[&'p Piece],
    kind: MissKind,
    culprit: usize,
) -> Vec<ChainVacancy<'p>> {
    let last = chain.len() - 1;
    let replace = |at: usize, kind: PieceKind| ChainVacancy {
        before: chain[..at].to_vec(),
        kind,
        link: if at == 0 { chain[0].toward_hand } else { chain[at].toward_fastener },
        after: chain[at + 1..].to_vec(),
    };
    let insert = |at: usize, kind: PieceKind| ChainVacancy {
        before: chain[..at].to_vec(),
        kind,
        link: chain[at].toward_fastener,
        after: chain[at..].to_vec(),
    };
    let mut slots = Vec::new();
    if kind == MissKind::Bend {
        slots.extend((1..=last).map(|at| insert(at, PieceKind::Joint)));
        slots.extend((1..last).map(|at| replace(at, PieceKind::Joint)));
    }
    if kind == MissKind::TooShort {
        slots.extend((1..=last).take(1).map(|at| insert(at, PieceKind::Extension)));
    }
    let culprit =
        if kind == MissKind::Headroom { longest_between(chain).unwrap_or(culprit) } else { culprit };
    let others = (0..=last).filter(|at| *at != culprit);
    for at in [culprit].into_iter().chain(others) {
        slots.extend(kinds_for_place(ask, chain, at).into_iter().map(|kind| replace(at, kind)));
    }
    slots
}

fn longest_between(chain: &[&Piece]) -> Option<usize> {
    (1..chain.len().saturating_sub(1)).max_by(|a, b| {
        chain[*a].length_in_stack().as_mm().total_cmp(&chain[*b].length_in_stack().as_mm()).then(b.cmp(a))
    })
}

/// Kinds of piece that could fill a place of a chain.
fn kinds_for_place(ask: MissQuestion, chain: &[&Piece], at: usize) -> Vec<PieceKind> {
    if chain.len() == 1 {
        return Vec::new();
    }
    if at == 0 {
        return grip_kinds(ask);
    }
    if at + 1 < chain.len() {
        // A piece between with the same link on both ends; an adapter's place is left alone.
        let same = chain[at].toward_fastener == chain[at].toward_hand;
        let kind = if chain[at].bend.is_some() { PieceKind::Joint } else { PieceKind::Extension };
        return if same { vec![kind] } else { Vec::new() };
    }
    handle_kinds(ask)
}

/// Kinds of grip that have a link.
pub(crate) fn grip_kinds(ask: MissQuestion) -> Vec<PieceKind> {
    let axial = if ask.site.drive.is_internal() { PieceKind::BitSocket } else { PieceKind::Socket };
    if !ask.site.drive.is_turned() {
        return Vec::new();
    }
    if ask.site.has_pipe {
        return vec![PieceKind::CrowFoot];
    }
    if ask.site.access.side.is_some() { vec![axial, PieceKind::CrowFoot] } else { vec![axial] }
}

/// Kinds of handle that have a link.
pub(crate) fn handle_kinds(ask: MissQuestion) -> Vec<PieceKind> {
    if !ask.site.drive.is_turned() {
        return Vec::new();
    }
    if ask.role == StackRole::Work && ask.work.wants_measure() {
        return vec![PieceKind::TorqueWrench, PieceKind::TorqueScrewdriver];
    }
    vec![PieceKind::Ratchet, PieceKind::BreakerBar, PieceKind::SpinnerHandle]
}

/// Tools that are grip and handle at once, the usual ones first.
pub(crate) fn one_piece_vacancies(ask: MissQuestion) -> Vec<ChainVacancy<'static>> {
    let kinds: &[PieceKind] = match (ask.site.drive.is_turned(), ask.work.wants_measure()) {
        (false, _) => &[PieceKind::Pliers, PieceKind::Special],
        (true, true) if ask.role == StackRole::Work => &[PieceKind::Special],
        (true, _) if ask.site.has_pipe => {
            &[PieceKind::FlareSpanner, PieceKind::OpenSpanner, PieceKind::Special]
        }
        (true, _) if ask.site.drive.form() == DriveForm::Square => {
            &[PieceKind::OpenSpanner, PieceKind::Special]
        }
        (true, _) => &[PieceKind::RingSpanner, PieceKind::RatchetingRing, PieceKind::Special],
    };
    debug_assert!(kinds.iter().all(|k| is_alone(*k)));
    let slot =
        |kind: &PieceKind| ChainVacancy { before: Vec::new(), kind: *kind, link: None, after: Vec::new() };
    kinds.iter().map(slot).collect()
}
