//! Sold wishes: what is wanted for a gap, as a usual piece that shops sell.
//!
//! **Question.** A gap's nearest miss names the limits of one piece that would close it. Three acts on one bolt so ask for three
//! sockets that nobody sells, where one usual socket with extensions and adapters that are owned does all three.
//!
//! **Method.** The usual pieces of [`tools::sold_pieces`] are put beside the store and the gaps are reached again: where no size is
//! at hand, with the pieces that take hold of it; else also with the handles and what goes between. A stack with one piece that is
//! not owned closes its gap with that piece. The least dear pieces that together close every gap that one can close are a cover;
//! each gap then wishes for the piece that closes it. What no usual piece closes keeps the limits it had.
//!
//! A size is sold in several grades, so how strong it has to be is asked for and not read off: up to [`GRADE_RATIO`] times the
//! usual test torque, and no more than its square takes; and so is whether it has to retain the fastener.
//!
//! **Range.** One piece a gap: what two bought pieces only together would open stays as it was. Prices are no prices but ranks
//! (assumption, see [`rank_of_kind`]). A piece that is owned and away is fetched back, not bought.
//!
//! **Worked example.** Three acts on E14 bolts 60 mm deep, none at hand; owned are 75 mm extensions on 3/8 in and handles on all
//! squares, with adapters. Both the 3/8 in and the 1/2 in socket close all three acts: one of them is wished for, three times.

use core::fmt::Write as _;
use std::collections::{BTreeMap, BTreeSet};

use bolting::drive::square_drive;
use cover::choice::{self, KitAim, KitProblem, PricedPiece, TimedStack};
use effort::{RandomSeed, SolverBudget};
use model::rules::STRENGTH_MARGIN;
use model::{
    Book, Duty, GripApproach, MissKind, NearestMiss, ObtainKind, Piece, PieceId, PieceKind, PieceLink,
    PieceSpec, ReachVerdict, Retention, Store, WorkingStack,
};
use units::{Length, Torque};

use crate::scope::ScopedDuty;

/// The choice is the same for the same gaps.
const SEED: RandomSeed = RandomSeed(0);

/// Test torque of a strong grade over the usual one of the same size (assumption: sockets for machines).
const GRADE_RATIO: f64 = 1.5;

/// A gap, by its position among the duties, and the sold pieces that each close it, with the time that the act then takes.
struct ClosableGap {
    duty: usize,
    closers: BTreeMap<usize, u64>,
}

/// Lets each gap that a usual piece closes wish for one, the same for as many gaps as it closes.
pub(crate) fn wish_for_sold_pieces(
    book: &Book,
    store: &Store,
    duties: &mut [ScopedDuty],
    threads: u16,
    budget: &SolverBudget,
) {
    let is_open = |d: &ScopedDuty| {
        let is_away = d.miss.as_ref().is_none_or(|miss| miss.kind == MissKind::Away);
        d.workings.is_empty() && d.verdict == ReachVerdict::No && !is_away
    };
    let lacks_size = |d: &ScopedDuty| d.miss.as_ref().is_some_and(|miss| miss.kind == MissKind::NoGrip);
    let gaps: Vec<usize> = (0..duties.len()).filter(|at| is_open(&duties[*at])).collect();
    let (sizes, others): (Vec<usize>, Vec<usize>) = gaps.iter().partition(|at| lacks_size(&duties[**at]));
    let sold = tools::sold_pieces();
    let of = |positions: &[usize]| positions.iter().map(|at| duties[*at].duty).collect::<Vec<Duty>>();
    let mut closable = Vec::new();
    for (positions, wants_grips_alone) in [(sizes, true), (others, false)] {
        let wanted = of(&positions);
        let offered = offered_pieces(book, store, sold, &wanted, wants_grips_alone);
        closable.extend(closers_of_gaps(book, store, (sold, &offered), (&positions, &wanted), threads));
    }
    let chosen = choose_pieces(sold, &closable, budget);
    let must_retain = |d: &ScopedDuty| d.miss.as_ref().is_some_and(|miss| miss.wanted.retention);
    let retaining: BTreeSet<usize> = gaps.iter().copied().filter(|at| must_retain(&duties[*at])).collect();
    let torque_of = |duty: Duty| duty.torque(book.fixing(duty.fixing));
    for (at, piece) in &chosen {
        let (piece, drives) = (&sold[*piece], drives_of_duty(book, duties[*at].duty));
        let same = chosen.iter().filter(|(_, other)| core::ptr::eq(&sold[*other], piece));
        let torque = same.clone().filter_map(|(at, _)| torque_of(duties[*at].duty)).reduce(Torque::max);
        let retains = same.clone().any(|(at, _)| retaining.contains(at));
        if let Some(miss) = &mut duties[*at].miss {
            wish_for_piece(miss, specify_sold_piece(piece, &drives, torque, retains));
        }
    }
}

/// A sold piece in the strongest grade of its size, with a magnet where sockets have one.
fn strongest_grade(piece: &Piece) -> Piece {
    let limit = piece.toward_hand.and_then(square_of_link).and_then(square_drive).map(|s| s.test.torque);
    let strength = match (&piece.grip, limit) {
        (Some(_), Some(limit)) => (piece.strength * GRADE_RATIO).min(limit).max(piece.strength),
        _ => piece.strength,
    };
    let mut piece = Piece { strength, ..piece.clone() };
    let is_socket = matches!(piece.kind, PieceKind::Socket | PieceKind::BitSocket);
    if let Some(grip) = piece.grip.as_mut().filter(|_| is_socket) {
        grip.retention = Retention::Magnet;
    }
    piece
}

/// The width of a square; `None` for a shank.
const fn square_of_link(link: PieceLink) -> Option<Length> {
    match link {
        PieceLink::Hex6 => None,
        PieceLink::Square6 => Some(Length::from_mm(6.3)),
        PieceLink::Square10 => Some(Length::from_mm(10.0)),
        PieceLink::Square12 => Some(Length::from_mm(12.5)),
        PieceLink::Square20 => Some(Length::from_mm(20.0)),
    }
}

/// The drives on both sides of a duty's fastener.
fn drives_of_duty(book: &Book, duty: Duty) -> Vec<model::Drive> {
    let fixing = book.fixing(duty.fixing);
    let access = fixing.accesses.get(usize::from(duty.access));
    let hold = access.and_then(|access| access.counter_hold.as_ref()).map(|hold| hold.drive);
    core::iter::once(fixing.drive).chain(hold).collect()
}

fn does_fit(piece: &Piece, drive: model::Drive) -> bool {
    let fits = piece.grip.iter().flat_map(|grip| &grip.fits);
    fits.into_iter().any(|f| f.form == drive.form() && f.low <= drive.size() && drive.size() <= f.high)
}

/// Positions of the sold pieces that might close some of the gaps and of which none is at hand.
fn offered_pieces(
    book: &Book,
    store: &Store,
    sold: &[Piece],
    wanted: &[Duty],
    wants_grips_alone: bool,
) -> Vec<usize> {
    let drives: Vec<model::Drive> = wanted.iter().flat_map(|duty| drives_of_duty(book, *duty)).collect();
    let may_help = |piece: &Piece| match &piece.grip {
        Some(_) => drives.iter().any(|drive| does_fit(piece, *drive)),
        None => !wants_grips_alone && !drives.is_empty(),
    };
    let is_owned = |piece: &Piece| store.pieces.iter().any(|own| own.at_hand() > 0 && is_like(own, piece));
    (0..sold.len()).filter(|at| may_help(&sold[*at]) && !is_owned(&sold[*at])).collect()
}

/// Whether one piece does all that another does, because what they offer is the same.
fn is_like(own: &Piece, other: &Piece) -> bool {
    let grip = |piece: &Piece| piece.grip.as_ref().map(|g| (g.fits.clone(), g.approach, g.depth, g.is_open));
    own.kind == other.kind
        && (own.toward_fastener, own.toward_hand) == (other.toward_fastener, other.toward_hand)
        && own.outline == other.outline
        && grip(own) == grip(other)
        && own.handle == other.handle
        && own.measure.as_ref().map(|m| m.range) == other.measure.as_ref().map(|m| m.range)
        && own.strength >= other.strength
}

/// The gaps that one of the offered pieces closes, each with all such pieces.
fn closers_of_gaps(
    book: &Book,
    store: &Store,
    (sold, offered): (&[Piece], &[usize]),
    (positions, wanted): (&[usize], &[Duty]),
    threads: u16,
) -> Vec<ClosableGap> {
    if offered.is_empty() {
        return Vec::new();
    }
    let mut wider = store.clone();
    wider.pieces.extend(offered.iter().map(|at| strongest_grade(&sold[*at])));
    let bought = |id: &PieceId| id.index().checked_sub(store.pieces.len()).map(|at| offered[at]);
    let found = reach::find_reach(book, &wider, wanted, reach::ReachOptions { threads });
    let mut gaps = Vec::new();
    for (duty, reached) in positions.iter().zip(found) {
        let mut closers = BTreeMap::new();
        for working in &reached.workings {
            let new: BTreeSet<usize> = working.stack.all_pieces().iter().filter_map(bought).collect();
            if let [piece] = new.into_iter().collect::<Vec<_>>()[..] {
                let time_ms = time_ms(working);
                closers.entry(piece).and_modify(|t: &mut u64| *t = (*t).min(time_ms)).or_insert(time_ms);
            }
        }
        if !closers.is_empty() {
            gaps.push(ClosableGap { duty: *duty, closers });
        }
    }
    gaps
}

fn time_ms(working: &WorkingStack) -> u64 {
    (working.cost.as_s() * 1000.0).round().max(0.0) as u64
}

/// The least dear pieces that close all gaps, as (position of the duty, position of the piece).
fn choose_pieces(sold: &[Piece], gaps: &[ClosableGap], budget: &SolverBudget) -> Vec<(usize, usize)> {
    let used: BTreeSet<usize> = gaps.iter().flat_map(|gap| gap.closers.keys().copied()).collect();
    let used: Vec<usize> = used.into_iter().collect();
    let number = |piece: &usize| used.partition_point(|other| other < piece) as u32;
    let stack = |(piece, time): (&usize, &u64)| TimedStack { time: *time, pieces: vec![number(piece)] };
    // Of one kind the first of the table, so that several books ask for the same one.
    let price_of = |at: usize| rank_of_kind(sold[at].kind) * 1000 + at as u64;
    let problem = KitProblem {
        pieces: used.iter().map(|at| PricedPiece { price: price_of(*at), load: 1 }).collect(),
        steps: gaps.iter().map(|gap| gap.closers.iter().map(stack).collect()).collect(),
    };
    let chosen = choice::choose_in_order(&problem, &[KitAim::Price, KitAim::Time], budget, SEED);
    let Some(chosen) = chosen else { return Vec::new() };
    let stacks = problem.quickest_stacks(&chosen.pieces);
    let piece_of = |gap: &ClosableGap, stack: usize| gap.closers.keys().nth(stack).copied();
    let pairs = gaps.iter().zip(stacks);
    pairs.filter_map(|(gap, stack)| Some((gap.duty, piece_of(gap, stack?)?))).collect()
}

/// What a kind costs beside others, in no unit (assumption: a socket is bought before a wrench).
const fn rank_of_kind(kind: PieceKind) -> u64 {
    match kind {
        PieceKind::Socket
        | PieceKind::BitSocket
        | PieceKind::Bit
        | PieceKind::BitHolder
        | PieceKind::Extension
        | PieceKind::Adapter => 10,
        PieceKind::TiltingExtension
        | PieceKind::Joint
        | PieceKind::RingSpanner
        | PieceKind::OpenSpanner
        | PieceKind::FlareSpanner
        | PieceKind::CrowFoot
        | PieceKind::NutDriver
        | PieceKind::Screwdriver
        | PieceKind::SpinnerHandle => 12,
        PieceKind::RatchetingRing | PieceKind::Ratchet | PieceKind::BreakerBar => 20,
        PieceKind::Pliers | PieceKind::Hook | PieceKind::Special => 25,
        PieceKind::TorqueWrench | PieceKind::TorqueScrewdriver | PieceKind::PowerDriver => 60,
    }
}

/// The miss with a piece in the place of the limits.
fn wish_for_piece(miss: &mut NearestMiss, wanted: PieceSpec) {
    let said = miss.words.split_once("; needed: ").or_else(|| miss.words.split_once("; no single piece"));
    let said = said.map_or(miss.words.as_str(), |(said, _)| said);
    miss.words = format!("{said}; needed: {}", wanted.words);
    miss.wanted = wanted;
}

/// Whether a piece takes hold of more sizes than the one of a drive.
fn takes_a_range(piece: &Piece, drive: model::Drive) -> bool {
    let mut fits = piece.grip.iter().flat_map(|grip| &grip.fits);
    fits.any(|fit| fit.form == drive.form() && fit.low < fit.high)
}

/// The specification that a sold piece meets, strong enough for a torque.
fn specify_sold_piece(
    piece: &Piece,
    drives: &[model::Drive],
    torque: Option<Torque>,
    retains: bool,
) -> PieceSpec {
    let length_mm = piece.length_in_stack().as_mm();
    let beside = piece.grip.as_ref().filter(|grip| grip.approach == GripApproach::Side);
    let across = beside.map_or_else(|| piece.largest_diameter(), |grip| grip.depth);
    let usual = piece.measure.as_ref().map_or(piece.strength / STRENGTH_MARGIN, |m| m.range.high());
    let drive = drives.iter().copied().find(|drive| does_fit(piece, *drive));
    let mut words = piece.title.clone();
    // A piece for a range of sizes is not called by the one that is wanted.
    if let Some(drive) = drive.filter(|drive| takes_a_range(piece, *drive)) {
        let _ = write!(words, ", for {drive}");
    }
    if let Some(torque) = torque.filter(|torque| *torque > usual) {
        let _ = write!(words, ", rated for at least {torque}");
    }
    let retains = retains && piece.grip.is_some();
    if retains {
        words.push_str(", retaining the fastener");
    }
    PieceSpec {
        kind: piece.kind,
        drive,
        link: piece.toward_hand.or(piece.toward_fastener),
        min_length_mm: Some(length_mm),
        max_length_mm: Some(length_mm),
        max_diameter_mm: Some(across.as_mm()),
        torque_n_m: Some(torque.map_or(usual, |torque| torque.max(usual)).as_n_m()),
        max_step_deg: piece.handle.and_then(|handle| handle.step).map(units::Angle::as_deg),
        bend_deg: piece.bend.map(|bend| bend.max_angle.as_deg()),
        retention: retains,
        how: if piece.measure.is_some() { ObtainKind::Borrow } else { ObtainKind::Buy },
        words,
    }
}
