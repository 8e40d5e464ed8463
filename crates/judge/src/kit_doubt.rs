//! The kit under doubt: in how many of the rooms that the figures in doubt allow do the stacks of the cart hold?
//!
//! Every stack that the plan tells for a duty in doubt, its own and those to take instead, is put to the rules in every corner of what
//! the book allows. Rooms, what each stack adds, the fasteners and what hangs on each piece are counted again from there.

use crate::case::{DutyFacts, PlanCase, StackFacts};
use crate::{FoundViolations, names, stack};
use model::plan::{DoubtedDuty, RoomCounts};
use model::{Book, BookReading, FixingId, PieceId, ReachVerdict};
use std::collections::{BTreeMap, BTreeSet};

/// J508 rooms of duties in doubt, J509 counts of fasteners and pieces, J501 stacks inside the kit.
pub(crate) fn judge_kit_doubt(case: &PlanCase, found: &mut FoundViolations) {
    let told = case.plan.kit.doubt.as_ref().map_or(&[][..], |doubt| &doubt.duties);
    let is_doubtful = !case.book.is_exact_for_reach() && case.duties.iter().flatten().any(is_likely);
    let corners: Vec<Book> = if is_doubtful || !told.is_empty() {
        BookReading::all_corners().into_iter().map(|reading| case.book.at_reading(reading)).collect()
    } else {
        Vec::new()
    };
    let mut unheard = FoundViolations::default();
    let cases: Vec<PlanCase> = corners
        .iter()
        .map(|book| names::read_plan_names(book, case.store, case.plan, &mut unheard))
        .collect();
    let mut counted: Vec<CountedDuty> = Vec::new();
    for line in told {
        counted.extend(count_line(case, &cases, line, found));
    }
    let listed: BTreeSet<usize> = counted.iter().map(|duty| duty.at).collect();
    for (at, duty) in case.duties.iter().enumerate() {
        let Some(duty) = duty.as_ref().filter(|duty| is_likely(duty) && !listed.contains(&at)) else {
            continue;
        };
        if different_rooms(&cases, duty.id, duty.line.access).len() > 1 {
            let place = format!("duty {at} ({} {})", duty.line.act, duty.fixing.key);
            found.add("J508", place, "is in doubt, and the kit does not tell what it serves of it");
        }
    }
    judge_room_counts(case, &counted, found);
}

fn is_likely(duty: &DutyFacts) -> bool {
    duty.line.sure == ReachVerdict::Likely && duty.line.stack.is_some()
}

/// A duty in doubt with its stacks and the rooms that each holds in.
struct CountedDuty {
    /// Position in the plan's duties.
    at: usize,
    rooms: u32,
    stacks: Vec<(StackFacts, BTreeSet<usize>)>,
}

impl CountedDuty {
    /// The rooms that the stacks without a piece serve.
    fn served_without(&self, piece: Option<PieceId>) -> BTreeSet<usize> {
        let lacks = |stack: &StackFacts| piece.is_none_or(|piece| stack.all_pieces().all(|id| id != piece));
        self.stacks.iter().filter(|(stack, _)| lacks(stack)).flat_map(|(_, rooms)| rooms).copied().collect()
    }
}

/// The corners that differ for an access of a fixing, the first of those alike.
fn different_rooms(cases: &[PlanCase], id: FixingId, access: u16) -> Vec<usize> {
    let room = |at: usize| {
        let fixing = cases[at].book.fixing(id);
        (&fixing.head, fixing.reckoned_torque, fixing.accesses.get(usize::from(access)))
    };
    let is_new = |at: &usize| (0..*at).all(|earlier| room(earlier) != room(*at));
    (0..cases.len()).filter(is_new).collect()
}

fn count_line(
    case: &PlanCase,
    cases: &[PlanCase],
    line: &DoubtedDuty,
    found: &mut FoundViolations,
) -> Option<CountedDuty> {
    let place = format!("kit in doubt ({} {})", line.act, line.fixing);
    let is_it = |duty: &DutyFacts| {
        let it = (&duty.line.fixing, duty.line.access, duty.line.act, duty.line.stage);
        it == (&line.fixing, line.access, line.act, line.stage)
    };
    let at = case.duties.iter().position(|duty| duty.as_ref().is_some_and(is_it));
    let likely = at.and_then(|at| Some((at, case.duties[at].as_ref().filter(|duty| is_likely(duty))?)));
    let Some((at, duty)) = likely else {
        found.add("J508", place, "the plan has no such duty that is likely");
        return None;
    };
    let rooms = different_rooms(cases, duty.id, line.access);
    let holds = |room: &usize, stack: &StackFacts| {
        let duty = cases[*room].duties.get(at).and_then(Option::as_ref);
        duty.is_some_and(|duty| stack::does_stack_hold(&cases[*room], duty, stack))
    };
    let served = |stack: StackFacts| {
        let held = rooms.iter().copied().filter(|room| holds(room, &stack)).collect();
        (stack, held)
    };
    let own = case.stack_by_id(duty.line.stack.as_ref()).cloned().unwrap_or_default();
    let mut counted = CountedDuty { at, rooms: rooms.len() as u32, stacks: vec![served(own)] };
    let mut said = vec![("rooms", line.rooms, counted.rooms)];
    said.push(("by the stack of the plan", line.by_stack, counted.served_without(None).len() as u32));
    for other in &line.instead {
        let look =
            |keys: &[String]| keys.iter().map(|key| case.store.piece_by_key(key)).collect::<Option<Vec<_>>>();
        let (Some(pieces), Some(hold)) = (look(&other.pieces), look(&other.hold)) else {
            found.add(
                "J102",
                place.clone(),
                "a stack to take instead is of a piece that the store does not have",
            );
            continue;
        };
        let stack = StackFacts { pieces, hold };
        judge_instead(case, duty, &stack, &place, found);
        let before = counted.served_without(None);
        counted.stacks.push(served(stack));
        let gain = counted.served_without(None).len() - before.len();
        said.push(("by a stack to take instead", other.rooms, gain as u32));
    }
    said.push(("by the kit", line.by_kit, counted.served_without(None).len() as u32));
    for (what, said, right) in said.into_iter().filter(|(_, said, right)| said != right) {
        found.add(
            "J508",
            place.clone(),
            format!("{what}: {right} of {}, and the plan says {said}", counted.rooms),
        );
    }
    Some(counted)
}

/// A stack to take instead lies in the kit and does the duty as the book stands.
fn judge_instead(
    case: &PlanCase,
    duty: &DutyFacts,
    instead: &StackFacts,
    place: &str,
    found: &mut FoundViolations,
) {
    for piece in instead.all_pieces() {
        let used = instead.all_pieces().filter(|other| *other == piece).count();
        let key = &case.store.piece(piece).key;
        let carried =
            case.plan.kit.pieces.iter().find(|line| line.piece == *key).map_or(0, |line| line.count);
        if used > usize::from(carried) {
            found.add(
                "J501",
                place,
                format!("`{key}` is not in the kit as often as a stack to take instead uses it"),
            );
        }
    }
    if !stack::does_stack_hold(case, duty, instead) {
        found.add("J508", place, "a stack to take instead does not hold in any room");
    }
}

/// The rooms in which each act of the fasteners of an access is served, of how many, and their holes.
type FastenersServed = (BTreeSet<usize>, u32, BTreeSet<u16>);

fn judge_room_counts(case: &PlanCase, counted: &[CountedDuty], found: &mut FoundViolations) {
    let mut served: BTreeMap<(FixingId, u16), FastenersServed> = BTreeMap::new();
    for duty in counted {
        let Some(facts) = case.duties[duty.at].as_ref() else { continue };
        let now = duty.served_without(None);
        let fasteners = served
            .entry((facts.id, facts.line.access))
            .or_insert_with(|| (now.clone(), duty.rooms, BTreeSet::new()));
        fasteners.0.retain(|room| now.contains(room));
        fasteners.2.extend(&case.holes[duty.at]);
    }
    let mut counts = RoomCounts::default();
    for (rooms, of, holes) in served.values() {
        counts.count_fasteners(holes.len() as u32, rooms.len() as u32, *of);
    }
    let said = case.plan.kit.doubt.as_ref().map(|doubt| doubt.fasteners).unwrap_or_default();
    if said != counts {
        let words = |c: RoomCounts| {
            format!("{} at every end, {} at most, {} at few, {} at none", c.every, c.most, c.few, c.none)
        };
        found.add("J509", "kit in doubt", format!("counted {}; said {}", words(counts), words(said)));
    }
    for line in &case.plan.kit.pieces {
        let Some(id) = case.store.piece_by_key(&line.piece) else { continue };
        let lost = |duty: &CountedDuty| duty.served_without(None).len() - duty.served_without(Some(id)).len();
        let right: usize = counted.iter().map(lost).sum();
        if right != line.rooms as usize {
            let words = format!("{right} rooms in doubt hang on it, the plan says {}", line.rooms);
            found.add("J509", format!("kit line `{}`", line.piece), words);
        }
    }
}
