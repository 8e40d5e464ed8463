//! Names, titles, the way in, duties, stacks and the kit.

use crate::bending::{PlanMutation, bent, duty_with, set_pieces, stack_of, step_of};
use model::plan::{DutyLine, InsteadStack, StepKind, WayInReason};
use model::{Act, HoleOrderOrigin, PieceKind, ReachVerdict, SolverStanding, Store};

/// The piece of a stack that is of a kind.
fn piece_of_kind(store: &Store, pieces: &[String], kinds: &[PieceKind]) -> Option<usize> {
    pieces.iter().position(|key| store.pieces.iter().any(|p| p.key == *key && kinds.contains(&p.kind)))
}

pub const NAMES: &[PlanMutation] = &[
    bent("format of another edition", "J101", |_, _, p| Some(p.format.push('0'))),
    bent("a step does a duty beyond the last", "J102", |_, _, p| {
        step_of(p, StepKind::Undo)?.actions.first_mut()?.duty = 99_999;
        Some(())
    }),
    bent("a stack of a piece that nobody owns", "J102", |_, _, p| {
        let at = duty_with(p, |_| true)?;
        stack_of(p, at)?.pieces[0] = "spoon".into();
        Some(())
    }),
    bent("a duty on a fixing that the book does not have", "J102", |_, _, p| {
        Some(p.duties.first_mut()?.fixing = "nothing".into())
    }),
    bent("a hole that the fixing does not have", "J102", |_, _, p| {
        Some(*step_of(p, StepKind::Undo)?.actions.first_mut()?.holes.first_mut()? = "zz".into())
    }),
    bent("a station that the book does not have", "J102", |_, _, p| {
        Some(step_of(p, StepKind::Remove)?.station = "roof".into())
    }),
    bent("made from another book", "J103", |_, _, p| Some(p.book.push('x'))),
    bent("no task is asked", "J104", |_, _, p| Some(p.asked.tasks.clear())),
    bent("the id of a stack twice", "J105", |_, _, p| {
        let first = p.stacks.first()?.clone();
        Some(p.stacks.push(first))
    }),
    bent("a stack that no duty uses", "J105", |_, _, p| {
        let mut idle = p.stacks.first()?.clone();
        idle.id = "S999".into();
        Some(p.stacks.push(idle))
    }),
    bent("kinds of a stack's pieces are those of others", "J105", |_, _, p| {
        let at = duty_with(p, |_| true)?;
        Some(stack_of(p, at)?.shapes.reverse())
    }),
    bent("two steps with one lasting name", "J107", |_, _, p| {
        let name = p.strip.steps.first()?.name.clone();
        Some(p.strip.steps.last_mut()?.name = name)
    }),
    bent("title of another book", "J108", |_, _, p| Some(p.book_title.push('x'))),
    bent("title of another store", "J108", |_, _, p| Some(p.store_title.push('x'))),
    bent("prices in another currency", "J108", |_, _, p| Some(p.currency = "USD".into())),
    bent("a piece of the kit under the title of another", "J108", |_, _, p| {
        let title = p.kit.pieces.last()?.title.clone();
        Some(p.kit.pieces.first_mut()?.title = title)
    }),
    bent("no letter of the vehicle", "J108", |_, _, p| Some(p.asked.vehicle.clear())),
    bent("words of a stack give another size", "J109", |_, _, p| {
        let stack = p.stacks.iter_mut().find(|stack| stack.words.starts_with("13 mm"))?;
        Some(stack.words = stack.words.replacen("13 mm", "14 mm", 1))
    }),
    bent("words of a stack are those of another", "J109", |_, _, p| {
        let words = p.stacks.iter().find(|stack| stack.words.starts_with("10 mm"))?.words.clone();
        Some(p.stacks.iter_mut().find(|stack| stack.words.starts_with("13 mm"))?.words = words)
    }),
    bent("words of a stack leave a piece out", "J109", |_, _, p| {
        let stack = p.stacks.iter_mut().find(|stack| stack.words.contains(" extension, "))?;
        let (head, tail) = stack.words.split_once(" extension, ")?;
        let head = head.rsplit_once(", ").map_or("", |(head, _)| head);
        Some(stack.words = format!("{head}, {tail}"))
    }),
];

pub const WAYS_IN: &[PlanMutation] = &[
    bent("a part that a task needs off is left on", "J201", |b, _, p| {
        let task = b.tasks.iter().find(|task| !task.needs.is_empty())?;
        let off = task.needs.iter().find_map(|need| match need {
            model::Need::Off(part) => Some(b.part(*part).key.clone()),
            model::Need::Condition(_) => None,
        })?;
        Some(p.way_in.parts.retain(|line| line.part != off))
    }),
    bent("a condition that a part needs is left out", "J202", |_, _, p| {
        let is_for_part = |reason: &WayInReason| matches!(reason, WayInReason::Part(_));
        let at = p.way_in.conditions.iter().position(|line| line.because.iter().any(is_for_part))?;
        Some(_ = p.way_in.conditions.remove(at))
    }),
    bent("a part that another needs off is left on", "J202", |_, _, p| {
        let is_for_part = |reason: &WayInReason| matches!(reason, WayInReason::Part(_));
        let at = p.way_in.parts.iter().position(|line| line.because.iter().any(is_for_part))?;
        Some(_ = p.way_in.parts.remove(at))
    }),
    bent("a part comes off twice", "J203", |_, _, p| {
        let first = p.way_in.parts.first()?.clone();
        Some(p.way_in.parts.push(first))
    }),
    bent("a condition is made twice", "J203", |_, _, p| {
        let first = p.way_in.conditions.first()?.clone();
        Some(p.way_in.conditions.push(first))
    }),
    bent("no way is chosen", "J204", |_, _, p| {
        Some(p.way_in.parts.iter_mut().find(|line| line.way.is_some())?.way = None)
    }),
    bent("parts come off that nothing needs off", "J205", |_, _, p| {
        let any = p.asked.tasks.len() > 1;
        p.asked.tasks.truncate(1);
        any.then_some(())
    }),
    bent("a task is no longer asked", "J206", |_, _, p| Some(_ = p.asked.tasks.pop())),
    bent("a reason for a part is left out", "J206", |_, _, p| {
        Some(_ = p.way_in.parts.iter_mut().find(|line| line.because.len() > 1)?.because.pop())
    }),
    bent("a part is said to be needed by what does not need it", "J206", |_, _, p| {
        let task = p.asked.tasks.last()?.clone();
        let reason = WayInReason::Task(task);
        let line = p.way_in.parts.iter_mut().find(|line| !line.because.contains(&reason))?;
        Some(line.because.push(reason))
    }),
    bent("a condition is said to be needed by what does not need it", "J206", |_, _, p| {
        let part = p.way_in.parts.last()?.part.clone();
        let reason = WayInReason::Part(part);
        let line = p.way_in.conditions.iter_mut().find(|line| !line.because.contains(&reason))?;
        Some(line.because.push(reason))
    }),
    bent("a task is told as open besides that is asked already", "J207", |_, _, p| {
        let task = p.asked.tasks.first()?.clone();
        Some(p.way_in.also_open.push(task))
    }),
    bent("the way in costs less than it does", "J208", |_, _, p| {
        p.way_in.outcome.value -= 600.0;
        Some(p.way_in.outcome.bound -= 600.0)
    }),
    bent("a bound on the way in above its cost", "J208", |_, _, p| {
        Some(p.way_in.outcome.bound = p.way_in.outcome.value + 60.0)
    }),
    bent("a way in is called proven with a gap", "J208", |_, _, p| {
        p.way_in.outcome.standing = SolverStanding::Proven;
        Some(p.way_in.outcome.bound = p.way_in.outcome.value - 60.0)
    }),
];

pub const DUTIES: &[PlanMutation] = &[
    bent("one fastener is broken loose and not run out", "J301", |_, _, p| {
        let duties = p.duties.clone();
        let is_run_out = |duty: usize| duties[duty].act == Act::RunOut;
        let step = p.strip.steps.iter_mut().find(|step| {
            step.actions.iter().any(|action| is_run_out(action.duty) && action.holes.len() > 1)
        })?;
        let action = step.actions.iter_mut().find(|action| is_run_out(action.duty))?;
        Some(_ = action.holes.pop())
    }),
    bent("a stage that the fixing does not have", "J302", |_, _, p| {
        Some(p.duties.iter_mut().find(|duty| duty.act == Act::Tighten)?.stage = Some(9))
    }),
    bent("the torque of a duty doubled", "J304", |_, _, p| {
        let duty = p.duties.iter_mut().find(|d| d.act == Act::Tighten && d.torque_n_m.is_some())?;
        Some(duty.torque_n_m = duty.torque_n_m.map(|t_n_m| 2.0 * t_n_m))
    }),
    bent("the torque that breaks loose is left out", "J304", |_, _, p| {
        let duty = p.duties.iter_mut().find(|d| d.act == Act::Free && d.torque_n_m.is_some())?;
        Some(duty.torque_n_m = None)
    }),
    bent("a duty twice", "J305", |_, _, p| {
        let first = p.duties.first()?.clone();
        Some(p.duties.push(first))
    }),
    bent("a duty on a part that stays on", "J306", |_, _, p| {
        let fixing_part = p.strip.steps.iter().find(|step| step.kind == StepKind::Undo)?.part.clone()?;
        Some(p.way_in.parts.retain(|line| line.part != fixing_part))
    }),
    bent("a duty takes no time", "J415", |_, _, p| {
        let at = duty_with(p, |duty| duty.seconds > 0.0)?;
        Some(p.duties[at].seconds = 0.0)
    }),
    bent("the wrench is set a tenth too high", "J416", |_, _, p| {
        let duty = p.duties.iter_mut().find(|duty| duty.setting_n_m.is_some())?;
        Some(duty.setting_n_m = duty.setting_n_m.map(|t_n_m| 1.1 * t_n_m))
    }),
    bent("the hand gives less force than it takes", "J417", |_, _, p| {
        let duty = p.duties.iter_mut().find(|duty| duty.force_n.is_some())?;
        Some(duty.force_n = duty.force_n.map(|force_n| 0.5 * force_n))
    }),
    bent("an order by the maker that the book does not have", "J702", |_, _, p| {
        let other = |origin: &HoleOrderOrigin| *origin != HoleOrderOrigin::MakersSequence;
        let duty = p.duties.iter_mut().find(|duty| duty.hole_order.as_ref().is_some_and(other))?;
        Some(duty.hole_order = Some(HoleOrderOrigin::MakersSequence))
    }),
    bent("a proven duty is called likely", "J911", |_, _, p| {
        Some(p.duties.iter_mut().find(|d| d.sure == ReachVerdict::Proven)?.sure = ReachVerdict::Likely)
    }),
    bent("a duty with a stack is called impossible", "J908", |_, _, p| {
        Some(p.duties.iter_mut().find(|d| d.sure == ReachVerdict::Proven)?.sure = ReachVerdict::No)
    }),
    bent("a proven duty is called not known", "J908", |_, _, p| {
        Some(p.duties.iter_mut().find(|d| d.sure == ReachVerdict::Proven)?.sure = ReachVerdict::NotKnown)
    }),
    bent("a gap is called proven", "J908", |_, _, p| {
        let is_gap = |duty: &&mut DutyLine| duty.stack.is_none() && duty.sure == ReachVerdict::No;
        Some(p.duties.iter_mut().find(is_gap)?.sure = ReachVerdict::Proven)
    }),
    bent("a proven duty rests on a figure in doubt", "J908", |_, _, p| {
        Some(p.duties.first_mut()?.rests_on.push("the room".into()))
    }),
];

pub const STACKS: &[PlanMutation] = &[
    bent("a socket of another size", "J401", |_, s, p| {
        for at in 0..p.duties.len() {
            let Some(stack) = stack_of(p, at) else { continue };
            let Some(place) = piece_of_kind(s, &stack.pieces, &[PieceKind::Socket]) else { continue };
            let own = s.pieces.iter().find(|piece| piece.key == stack.pieces[place])?;
            let other = s.pieces.iter().find(|piece| {
                let size = |p: &model::Piece| Some(p.grip.as_ref()?.fits.first()?.low);
                piece.kind == PieceKind::Socket
                    && piece.toward_hand == own.toward_hand
                    && size(piece) != size(own)
                    && piece.at_hand() > 0
            });
            let Some(other) = other else { continue };
            let mut pieces = stack.pieces.clone();
            pieces[place].clone_from(&other.key);
            set_pieces(s, stack, pieces);
            return Some(());
        }
        None
    }),
    bent("an extension too many for the room", "J405", |_, s, p| {
        let long = s.pieces.iter().filter(|piece| piece.kind == PieceKind::Extension && piece.at_hand() > 0);
        let long: Vec<_> = long.collect();
        for at in 0..p.duties.len() {
            let Some(stack) = stack_of(p, at) else { continue };
            let Some(ratchet) = piece_of_kind(s, &stack.pieces, &[PieceKind::Ratchet]) else { continue };
            let link = s.pieces.iter().find(|piece| piece.key == stack.pieces[ratchet])?.toward_fastener;
            let fits = long.iter().filter(|piece| piece.toward_hand == link && piece.toward_fastener == link);
            let longest =
                fits.max_by(|a, b| a.length_in_stack().as_mm().total_cmp(&b.length_in_stack().as_mm()));
            let Some(longest) = longest else { continue };
            let mut pieces = stack.pieces.clone();
            pieces.insert(ratchet, longest.key.clone());
            set_pieces(s, stack, pieces);
            return Some(());
        }
        None
    }),
    bent("a ratchet where the torque is to be measured", "J411", |_, s, p| {
        let at = duty_with(p, |duty| duty.setting_n_m.is_some())?;
        let stack = stack_of(p, at)?;
        let wrench = piece_of_kind(s, &stack.pieces, &[PieceKind::TorqueWrench])?;
        let link = s.pieces.iter().find(|piece| piece.key == stack.pieces[wrench])?.toward_fastener;
        let ratchet = s.pieces.iter().find(|piece| {
            piece.kind == PieceKind::Ratchet && piece.toward_fastener == link && piece.at_hand() > 0
        })?;
        let mut pieces = stack.pieces.clone();
        pieces[wrench].clone_from(&ratchet.key);
        Some(set_pieces(s, stack, pieces))
    }),
    bent("a stack the wrong way round", "J414", |_, s, p| {
        let at = duty_with(p, |_| true)?;
        let stack = stack_of(p, at)?;
        let pieces = stack.pieces.iter().rev().cloned().collect();
        Some(set_pieces(s, stack, pieces))
    }),
    bent("nothing has to be held, and something is", "J413", |_, _, p| {
        let stack = p.stacks.iter_mut().find(|stack| stack.hold.is_empty() && !stack.pieces.is_empty())?;
        let piece = stack.pieces[0].clone();
        Some(stack.hold.push(piece))
    }),
    bent("the other side of a bolt is not held", "J413", |_, _, p| {
        Some(p.stacks.iter_mut().find(|stack| !stack.hold.is_empty())?.hold.clear())
    }),
    bent("a piece is used that is away", "J418", |_, s, p| {
        let away = |piece: &&model::Piece| piece.at_hand() == 0 && piece.grip.is_none();
        let away = s.pieces.iter().find(away)?;
        let at = duty_with(p, |_| true)?;
        let stack = stack_of(p, at)?;
        let mut pieces = stack.pieces.clone();
        *pieces.last_mut()? = away.key.clone();
        Some(set_pieces(s, stack, pieces))
    }),
    bent("bare hands where a tool is needed", "J401", |_, s, p| {
        let at = duty_with(p, |duty| duty.act == Act::Tighten)?;
        Some(set_pieces(s, stack_of(p, at)?, Vec::new()))
    }),
];

pub const KITS: &[PlanMutation] = &[
    bent("a piece in use is not in the kit", "J501", |_, _, p| {
        let at = p.kit.pieces.iter().position(|line| line.duties > 0)?;
        Some(_ = p.kit.pieces.remove(at))
    }),
    bent("more of a piece than are at hand", "J502", |_, _, p| Some(p.kit.pieces.first_mut()?.count = 99)),
    bent("a piece is looked for in another drawer", "J503", |_, _, p| {
        Some(p.kit.pieces.first_mut()?.place.drawer.push('9'))
    }),
    bent("a piece is in the kit twice", "J504", |_, _, p| {
        let first = p.kit.pieces.first()?.clone();
        Some(p.kit.pieces.push(first))
    }),
    bent("a special tool is answered by something else", "J505", |_, _, p| {
        let piece = p.kit.pieces.first()?.piece.clone();
        Some(p.kit.special.first_mut()?.1 = piece)
    }),
    bent("a piece is used by other duties than it says", "J506", |_, _, p| {
        Some(p.kit.pieces.first_mut()?.duties += 1)
    }),
    bent("a special tool is left in the cabinet", "J906", |_, _, p| Some(_ = p.kit.special.pop()?)),
    bent("a kit is called proven with a gap", "J507", |_, _, p| {
        p.kit.outcome.standing = SolverStanding::Proven;
        Some(p.kit.outcome.bound = p.kit.outcome.value - 1.0)
    }),
    bent("a bound on the kit above what it has", "J507", |_, _, p| {
        Some(p.kit.outcome.bound = p.kit.outcome.value + 1.0)
    }),
];

pub const DOUBTS: &[PlanMutation] = &[
    bent("a room in doubt more than there are", "J508", |_, _, p| {
        Some(p.kit.doubt.as_mut()?.duties.first_mut()?.rooms += 1)
    }),
    bent("a stack holds in one room more than it does", "J508", |_, _, p| {
        Some(p.kit.doubt.as_mut()?.duties.first_mut()?.by_stack += 1)
    }),
    bent("the kit serves one room more than it does", "J508", |_, _, p| {
        Some(p.kit.doubt.as_mut()?.duties.first_mut()?.by_kit += 1)
    }),
    bent("a duty in doubt is not told", "J508", |_, _, p| Some(_ = p.kit.doubt.as_mut()?.duties.pop()?)),
    bent("rooms are told of a duty that the plan does not have", "J508", |_, _, p| {
        Some(p.kit.doubt.as_mut()?.duties.first_mut()?.access = 99)
    }),
    bent("a stack to take instead that adds nothing", "J508", |_, _, p| {
        let told = p.kit.doubt.as_mut()?.duties.first_mut()?;
        let is_it =
            |duty: &&DutyLine| duty.fixing == told.fixing && duty.act == told.act && duty.stage == told.stage;
        let id = p.duties.iter().find(is_it)?.stack.clone()?;
        let own = p.stacks.iter().find(|stack| stack.id == id)?;
        let again = InsteadStack {
            pieces: own.pieces.clone(),
            hold: own.hold.clone(),
            words: own.words.clone(),
            rooms: 1,
        };
        Some(told.instead.push(again))
    }),
    bent("a stack to take instead that is not on the cart", "J501", |_, store, p| {
        let off =
            store.pieces.iter().find(|piece| p.kit.pieces.iter().all(|line| line.piece != piece.key))?;
        let told = p.kit.doubt.as_mut()?.duties.first_mut()?;
        let pieces = vec![off.key.clone()];
        Some(told.instead.push(InsteadStack { pieces, hold: Vec::new(), words: off.title.clone(), rooms: 1 }))
    }),
    bent("a fastener in doubt counted as served at every end", "J509", |_, _, p| {
        Some(p.kit.doubt.as_mut()?.fasteners.every += 1)
    }),
    bent("more rooms hang on a piece than do", "J509", |_, _, p| {
        p.kit.doubt.as_ref()?;
        Some(p.kit.pieces.first_mut()?.rooms += 1)
    }),
];
