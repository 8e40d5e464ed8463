//! The kit under doubt: which pieces to carry for fasteners whose room, head or torque nobody knows, and what the kit then serves.
//!
//! **Question.** Every duty has a stack in the kit. Where a duty is only likely, its stack may not fit once the fastener is bare. Which
//! further pieces are worth carrying, so that another stack is on the cart then?
//!
//! **Model.** A likely duty `d` has `n(d)` possible rooms ([`crate::possible_rooms`]). Without a stack for the room that is found there is a walk
//! to the cabinet, [`WALK_S`]. Every room weighs the same, `1/n(d)`: a weight, no chance, for nobody has counted. Rooms of a duty that
//! the same stacks hold in are one *pattern* `q` of `m(q)` rooms. With `K` the kit that stands:
//!
//! `min  w·|x \ K| + Σ_d Σ_q (no stack of q inside K ∪ x) · WALK_S · m(q)/n(d)`, `w` = fetching a piece once and putting it back.
//!
//! **Method.** An AND-OR cover as the kit itself: a row for each pattern, an alternative for each of its stacks, and one without pieces at the price of
//! the walk; `cover` proves it or tells its gap. Proven fasteners come first: their stacks are in `K`, and nothing of it is given up.
//! No more is added than the cart has places.
//!
//! **Range.** A walk for each duty by itself: that one walk may serve several is not counted. The least to carry and the least to buy carry nothing
//! for doubt.
//!
//! **Worked example.** A bolt with eight rooms, six of which want a 75 mm extension: 12 s · 6/8 = 9 s against 5.4 s for a piece. It comes along;
//! for two rooms of eight, 3 s, it would not.
//!
//! **Sources.** Mamer and Smith, Optimizing field repair kits based on job completion rate, Management Science 28 (1982) (from memory).

use std::collections::{BTreeMap, BTreeSet};

use cover::choice::{self, KitLimits, KitProblem, KitWorth, PricedPiece, TimedStack};
use effort::SolverBudget;
use model::plan::{DoubtedDuty, InsteadStack, KitDoubt, RoomCounts};
use model::{Book, PieceId, Stack, Store};
use times::WALK_S;

use super::{KitAnswer, MS_PER_S, SEED, numbered_copies, piece_weight_ms, quickest_working};
use crate::possible_rooms::DutyRooms;
use crate::scope::{PlanScope, ScopedDuty};

/// What the rooms of a duty in which a working does not hold may cost in walks.
pub(super) fn expected_walk_ms(duty: &ScopedDuty, working: usize) -> u64 {
    duty.rooms.as_ref().map_or(0, |rooms| walk_ms(rooms.of - rooms.count_held(working), rooms.of))
}

fn walk_ms(rooms: u32, of: u32) -> u64 {
    (WALK_S * MS_PER_S * f64::from(rooms) / f64::from(of.max(1))).round() as u64
}

/// The rooms of a duty that some stack of the kit serves, a bit each.
fn rooms_served(answer: &KitAnswer, duty: &ScopedDuty, rooms: &DutyRooms) -> u64 {
    answer.workings_inside(duty).fold(0, |all, at| all | rooms.held[at])
}

/// Adds the pieces whose rooms are worth more than carrying them.
pub(super) fn add_pieces_for_rooms(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    answer: &mut KitAnswer,
    budget: &SolverBudget,
) {
    let carried: usize = answer.pieces.iter().map(|(_, count)| usize::from(*count)).sum();
    let free = store.cart_places.map(|places| usize::from(places).saturating_sub(carried));
    let Some((items, problem)) = index_rooms(scope, answer).filter(|_| free != Some(0)) else { return };
    let weights = KitWorth { price: 0, load: piece_weight_ms(), time: 1 };
    let limits = KitLimits { price: None, load: free.map(|free| free as u64) };
    let Ok(found) = choice::choose_by_weights(&problem, &weights, &limits, budget, SEED) else { return };
    let added = found.pieces.iter().map(|item| items[*item as usize]);
    let mut counts: BTreeMap<PieceId, u16> = answer.pieces.iter().copied().collect();
    for (piece, copy) in added {
        let count = counts.entry(piece).or_default();
        *count = (*count).max(copy);
    }
    answer.pieces = counts.into_iter().collect();
    answer.best = scope.duties.iter().map(|d| quickest_working(book, answer, d)).collect();
}

/// A pattern of rooms: what it costs in walks, and the copies that each stack that holds there lacks in the kit.
type RoomPattern = (u64, Vec<Vec<(PieceId, u16)>>);

/// The pieces that are not in the kit, and the patterns of rooms that it does not serve; `None` where there are none.
fn index_rooms(scope: &PlanScope, answer: &KitAnswer) -> Option<(Vec<(PieceId, u16)>, KitProblem)> {
    let mut patterns: Vec<RoomPattern> = Vec::new();
    for duty in &scope.duties {
        let Some(rooms) = &duty.rooms else { continue };
        let served = rooms_served(answer, duty, rooms);
        let mut alike: BTreeMap<Vec<usize>, u32> = BTreeMap::new();
        for room in (0..rooms.of).filter(|room| served >> room & 1 == 0) {
            let holding = (0..rooms.held.len()).filter(|at| rooms.held[*at] >> room & 1 == 1).collect();
            *alike.entry(holding).or_default() += 1;
        }
        let missing = |at: &usize| {
            let copies = numbered_copies(&duty.workings[*at].stack.all_pieces());
            copies.into_iter().filter(|(piece, copy)| *copy > answer.count(*piece)).collect()
        };
        let wanted = alike.into_iter().filter(|(holding, _)| !holding.is_empty());
        patterns.extend(wanted.map(|(holding, count)| {
            (walk_ms(count, rooms.of), holding.iter().map(missing).collect::<Vec<_>>())
        }));
    }
    let all = patterns.iter().flat_map(|(_, stacks)| stacks).flatten().copied();
    let items: Vec<(PieceId, u16)> = all.collect::<BTreeSet<_>>().into_iter().collect();
    let number = |copy: &(PieceId, u16)| items.partition_point(|item| item < copy) as u32;
    let step = |(walk, stacks): &RoomPattern| {
        let carried =
            stacks.iter().map(|copies| TimedStack { time: 0, pieces: copies.iter().map(number).collect() });
        carried.chain([TimedStack { time: *walk, pieces: Vec::new() }]).collect()
    };
    let steps: Vec<Vec<TimedStack>> = patterns.iter().map(step).collect();
    let pieces = vec![PricedPiece { price: 0, load: 1 }; items.len()];
    (!steps.is_empty()).then_some((items, KitProblem { pieces, steps }))
}

/// What a kit serves of the duties in doubt; `used` gives the stack that each duty of the scope is done with in the end.
#[must_use]
pub fn kit_doubt(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    answer: &KitAnswer,
    used: &[Option<&Stack>],
) -> Option<KitDoubt> {
    let mut served: BTreeMap<(usize, u16), FastenersInDoubt> = BTreeMap::new();
    let mut duties = Vec::new();
    for (duty, stack) in scope.duties.iter().zip(used) {
        let (Some(rooms), Some(stack)) = (&duty.rooms, stack) else { continue };
        let by_kit = rooms_served(answer, duty, rooms);
        let all = FastenersInDoubt { served: u64::MAX, of: rooms.of, holes: BTreeSet::new() };
        let fasteners = served.entry((duty.duty.fixing.index(), duty.duty.access)).or_insert(all);
        fasteners.served &= by_kit;
        fasteners.holes.extend(&duty.holes);
        duties.push(doubted_duty(book, store, answer, duty, (rooms, stack)));
    }
    let mut fasteners = RoomCounts::default();
    for doubted in served.values() {
        fasteners.count_fasteners(doubted.holes.len() as u32, doubted.served.count_ones(), doubted.of);
    }
    (!duties.is_empty()).then_some(KitDoubt { fasteners, duties })
}

/// The fasteners of an access, and the rooms in which each of their acts is served.
struct FastenersInDoubt {
    served: u64,
    of: u32,
    holes: BTreeSet<u16>,
}

fn doubted_duty(
    book: &Book,
    store: &Store,
    answer: &KitAnswer,
    duty: &ScopedDuty,
    (rooms, stack): (&DutyRooms, &Stack),
) -> DoubtedDuty {
    let listed = listed_workings(answer, duty, rooms, stack);
    let own = listed.first().map_or(0, |at| rooms.held[*at]);
    let mut held = own;
    let mut instead = Vec::new();
    for at in listed.iter().skip(1) {
        let gain = (rooms.held[*at] & !held).count_ones();
        instead.push(instead_stack(store, &duty.workings[*at].stack, gain));
        held |= rooms.held[*at];
    }
    DoubtedDuty {
        fixing: book.fixing(duty.duty.fixing).key.clone(),
        access: duty.duty.access,
        act: duty.duty.act,
        stage: duty.duty.stage,
        rooms: rooms.of,
        by_stack: own.count_ones(),
        by_kit: held.count_ones(),
        instead,
    }
}

/// The working that a duty is planned with, then those of the kit that serve rooms which none before serves, the most first.
fn listed_workings(answer: &KitAnswer, duty: &ScopedDuty, rooms: &DutyRooms, stack: &Stack) -> Vec<usize> {
    let mut listed: Vec<usize> = duty.workings.iter().position(|w| w.stack == *stack).into_iter().collect();
    let mut held = listed.iter().fold(0, |all, at| all | rooms.held[*at]);
    loop {
        let gain = |at: &usize| (rooms.held[*at] & !held).count_ones();
        let best = answer.workings_inside(duty).max_by_key(|at| (gain(at), core::cmp::Reverse(*at)));
        let Some(best) = best.filter(|at| gain(at) > 0) else { return listed };
        listed.push(best);
        held |= rooms.held[best];
    }
}

fn instead_stack(store: &Store, stack: &Stack, rooms: u32) -> InsteadStack {
    let keys = |ids: &[PieceId]| ids.iter().map(|id| store.piece(*id).key.clone()).collect();
    InsteadStack {
        pieces: keys(&stack.pieces),
        hold: keys(&stack.hold),
        words: reach::describe_stack(store, stack),
        rooms,
    }
}

/// Rooms of duties in doubt that none of the stacks told for them serves without a piece.
pub(super) fn rooms_only_with(
    scope: &PlanScope,
    answer: &KitAnswer,
    used: &[Option<&Stack>],
    piece: PieceId,
) -> u32 {
    let lost = |(duty, stack): (&ScopedDuty, &Option<&Stack>)| {
        let (Some(rooms), Some(stack)) = (&duty.rooms, stack) else { return 0 };
        let listed = listed_workings(answer, duty, rooms, stack);
        let uses = |at: &&usize| duty.workings[**at].stack.all_pieces().contains(&piece);
        let union = |all: u64, at: &usize| all | rooms.held[*at];
        let without = listed.iter().filter(|at| !uses(at)).fold(0, union);
        (listed.iter().fold(0, union) & !without).count_ones()
    };
    scope.duties.iter().zip(used).map(lost).sum()
}
