//! Slots, mix-ups and the readiness sheet.

use crate::bending::{PlanMutation, bent, fixing};
use model::plan::{
    LookAnswer, LookLine, MissingFigureLine, MixUpLine, OpenKind, OpenLine, Plan, ReadinessVerdict, SlotLine,
    StepKind, SupplyLine,
};
use model::{FastenerKind, Fixing, KeepPlace, MixUpKind, PieceAbsence, SlotAddress, Store, Supply};

/// The first line in a compartment.
fn in_tray(p: &mut Plan) -> Option<&mut SlotLine> {
    p.slots.iter_mut().find(|line| matches!(line.slot, SlotAddress::Compartment { .. }))
}

/// Gives a fixing another slot, in the table and in its steps.
fn move_slot(p: &mut Plan, at: usize, slot: &SlotAddress) {
    let line = &mut p.slots[at];
    line.slot = slot.clone();
    let (key, renewed) = (line.fixing.clone(), line.renewed);
    for step in p.strip.steps.iter_mut().chain(&mut p.refit.steps).filter(|s| s.fixings.contains(&key)) {
        if step.kind == StepKind::Undo || (step.kind == StepKind::RunIn && !renewed) {
            step.slot = Some(slot.clone());
        }
    }
}

/// The position of the first line that is so.
fn line_at(p: &Plan, is_it: impl Fn(&SlotLine) -> bool) -> Option<usize> {
    p.slots.iter().position(is_it)
}

const fn is_tray(line: &SlotLine) -> bool {
    matches!(line.slot, SlotAddress::Compartment { .. })
}

/// A compartment of the first tray that nothing lies in.
fn free_compartments(s: &Store, p: &Plan) -> Vec<SlotAddress> {
    let vehicle = &p.asked.vehicle;
    let all = s.trays.iter().flat_map(|tray| {
        let count = u32::from(tray.rows) * u32::from(tray.columns);
        (1..=count).map(|number| SlotAddress::in_tray(vehicle, &tray.key, number)).collect::<Vec<_>>()
    });
    all.filter(|slot| p.slots.iter().all(|line| line.slot != *slot)).collect()
}

fn are_look_alikes(a: &Fixing, b: &Fixing) -> bool {
    let is_alike = a.thread.is_some() && (a.thread, a.kind, a.drive) == (b.thread, b.kind, b.drive);
    is_alike && (a.length, a.class) != (b.length, b.class)
}

pub const SLOTS: &[PlanMutation] = &[
    bent("a fixing without a slot", "J801", |_, _, p| Some(_ = p.slots.pop())),
    bent("two slots for one fixing", "J801", |_, _, p| {
        let first = p.slots.first()?.clone();
        Some(p.slots.push(first))
    }),
    bent("a fastener less in a slot", "J802", |_, _, p| Some(p.slots.first_mut()?.count -= 1)),
    bent("two fixings in one compartment", "J803", |_, _, p| {
        let slot = in_tray(p)?.slot.clone();
        let at = line_at(p, |line| is_tray(line) && line.slot != slot)?;
        Some(move_slot(p, at, &slot))
    }),
    bent("a tray's address for what stays on its part", "J804", |_, s, p| {
        let slot = free_compartments(s, p).pop()?;
        let at = line_at(p, |line| line.slot == SlotAddress::OnPart)?;
        Some(move_slot(p, at, &slot))
    }),
    bent("a bolt that is renewed is told as kept", "J805", |_, _, p| {
        Some(p.slots.iter_mut().find(|line| line.renewed)?.renewed = false)
    }),
    bent("a bolt that is kept is told as renewed", "J805", |_, _, p| {
        Some(p.slots.iter_mut().find(|line| !line.renewed)?.renewed = true)
    }),
    bent("the drive of another fastener in the table", "J805", |_, _, p| {
        let drive = p.slots.first()?.drive;
        Some(p.slots.iter_mut().find(|line| line.drive != drive)?.drive = drive)
    }),
    bent("a nut for a bolt in the table", "J805", |_, _, p| {
        Some(p.slots.iter_mut().find(|line| line.kind == FastenerKind::Bolt)?.kind = FastenerKind::Nut)
    }),
    bent("another length in the table", "J805", |_, _, p| {
        let line = p.slots.iter_mut().find(|line| line.size.contains(" × "))?;
        Some(line.size = format!("{} × 99", line.size.split_once(" × ")?.0))
    }),
    bent("a strip step sends its bolts into another's slot", "J806", |_, _, p| {
        let slot = p.slots.iter().rfind(|line| is_tray(line))?.slot.clone();
        let is_other = |step: &&mut model::plan::Step| {
            step.kind == StepKind::Undo && step.slot.as_ref().is_some_and(|own| *own != slot)
        };
        Some(p.strip.steps.iter_mut().find(is_other)?.slot = Some(slot.clone()))
    }),
    bent("a refit step takes its bolts from another's slot", "J806", |_, _, p| {
        let slot = p.slots.iter().find(|line| is_tray(line))?.slot.clone();
        let is_other = |step: &&mut model::plan::Step| {
            step.kind == StepKind::RunIn && step.slot.as_ref().is_some_and(|own| *own != slot)
        };
        Some(p.refit.steps.iter_mut().find(is_other)?.slot = Some(slot.clone()))
    }),
    bent("a strip step names no slot", "J806", |_, _, p| {
        Some(p.strip.steps.iter_mut().find(|step| step.slot.is_some())?.slot = None)
    }),
    bent("new bolts are taken from the scrap", "J806", |_, _, p| {
        let renewed: Vec<&String> = p.slots.iter().filter(|l| l.renewed).map(|l| &l.fixing).collect();
        let is_new = |step: &&mut model::plan::Step| {
            step.kind == StepKind::RunIn && step.fixings.iter().any(|key| renewed.contains(&key))
        };
        Some(p.refit.steps.iter_mut().find(is_new)?.slot = Some(SlotAddress::Scrap))
    }),
    bent("a step without fasteners names a slot", "J806", |_, _, p| {
        Some(p.strip.steps.iter_mut().find(|s| s.kind == StepKind::Remove)?.slot = Some(SlotAddress::InHole))
    }),
    bent("a tray that is not there", "J807", |_, _, p| {
        let at = line_at(p, is_tray)?;
        Some(move_slot(p, at, &SlotAddress::in_tray(&p.asked.vehicle.clone(), "T99", 1)))
    }),
    bent("a compartment beyond the end of its tray", "J807", |_, s, p| {
        let at = line_at(p, is_tray)?;
        let tray = s.trays.first()?.key.clone();
        Some(move_slot(p, at, &SlotAddress::in_tray(&p.asked.vehicle.clone(), &tray, 999)))
    }),
    bent("a compartment of another vehicle", "J807", |_, s, p| {
        let at = line_at(p, is_tray)?;
        let tray = s.trays.first()?.key.clone();
        Some(move_slot(p, at, &SlotAddress::in_tray("B", &tray, 1)))
    }),
    bent("a bag of another vehicle", "J807", |_, _, p| {
        let at = line_at(p, is_tray)?;
        p.slots[at].keep = KeepPlace::Bag;
        Some(move_slot(p, at, &SlotAddress::Bag { vehicle: "B".into(), number: 77 }))
    }),
    bent("a hole card of another vehicle", "J807", |_, _, p| {
        let at = line_at(p, |line| line.keep == KeepPlace::HoleCard)?;
        Some(move_slot(p, at, &SlotAddress::HoleCard { vehicle: "B".into(), number: 77 }))
    }),
    bent("the letter asked for is not that of the slots", "J807", |_, _, p| {
        Some(p.asked.vehicle = "B".into())
    }),
    bent("bolts that the compartment is too small for", "J808", |_, s, p| {
        let small = s.trays.iter().min_by(|a, b| a.width.as_mm().total_cmp(&b.width.as_mm()))?;
        let (tray, count) = (small.key.clone(), u32::from(small.rows) * u32::from(small.columns));
        let at =
            line_at(p, |line| is_tray(line) && line.slot.compartment_of(&p.asked.vehicle, &tray).is_none())?;
        let slot = SlotAddress::in_tray(&p.asked.vehicle.clone(), &tray, count);
        Some(move_slot(p, at, &slot))
    }),
    bent("two fixings in one bag", "J809", |_, _, p| {
        let bag = SlotAddress::Bag { vehicle: p.asked.vehicle.clone(), number: 77 };
        for _ in 0..2 {
            let at = line_at(p, is_tray)?;
            p.slots[at].keep = KeepPlace::Bag;
            move_slot(p, at, &bag);
        }
        Some(())
    }),
    bent("two joints on one hole card", "J809", |_, _, p| {
        let card = p.slots.iter().find(|line| line.keep == KeepPlace::HoleCard)?.slot.clone();
        let at = line_at(p, |line| line.keep == KeepPlace::HoleCard && line.slot != card)?;
        Some(move_slot(p, at, &card))
    }),
    bent("look-alikes in compartments that touch", "J810", |b, s, p| {
        let free = free_compartments(s, p);
        for one in p.slots.iter().filter(|line| is_tray(line)) {
            for (at, other) in p.slots.iter().enumerate().filter(|(_, line)| is_tray(line)) {
                let alike = fixing(b, &one.fixing).zip(fixing(b, &other.fixing));
                if !alike.is_some_and(|(a, b)| are_look_alikes(a, b)) {
                    continue;
                }
                let number = one.slot.number()?;
                let beside = |slot: &&SlotAddress| match (slot, &one.slot) {
                    (SlotAddress::Compartment { tray, .. }, SlotAddress::Compartment { tray: own, .. }) => {
                        tray == own && slot.number().is_some_and(|n| n.abs_diff(number) == 1)
                    }
                    _ => false,
                };
                let neighbour = p.slots.iter().map(|line| &line.slot).chain(&free).find(beside).cloned();
                if let Some(neighbour) = neighbour {
                    let taken = line_at(p, |line| line.slot == neighbour);
                    let own = other.slot.clone();
                    if let Some(taken) = taken {
                        move_slot(p, taken, &own);
                    }
                    move_slot(p, at, &neighbour);
                    return Some(());
                }
            }
        }
        None
    }),
    bent("a bolt that is used again goes to scrap", "J811", |_, _, p| {
        let at = line_at(p, is_tray)?;
        Some(move_slot(p, at, &SlotAddress::Scrap))
    }),
    bent("a bolt that is renewed lies where it can be used again", "J811", |_, _, p| {
        let at = line_at(p, |line| line.slot == SlotAddress::Scrap)?;
        Some(move_slot(p, at, &SlotAddress::Bag { vehicle: p.asked.vehicle.clone(), number: 77 }))
    }),
    bent("several lengths of one joint lie loose in a bag", "J811", |_, _, p| {
        let at = line_at(p, |line| line.keep == KeepPlace::HoleCard)?;
        p.slots[at].keep = KeepPlace::Bag;
        Some(move_slot(p, at, &SlotAddress::Bag { vehicle: p.asked.vehicle.clone(), number: 77 }))
    }),
];

pub const MIX_UPS: &[PlanMutation] = &[
    bent("all mix-ups dropped", "J821", |_, _, p| {
        let any = !p.mix_ups.is_empty();
        p.mix_ups.clear();
        any.then_some(())
    }),
    bent("one mix-up dropped", "J821", |_, _, p| Some(_ = p.mix_ups.pop()?)),
    bent("a mix-up that does no harm", "J822", |_, _, p| {
        let fixing = p.slots.first()?.fixing.clone();
        let line = p.mix_ups.first()?.clone();
        Some(p.mix_ups.push(MixUpLine { hole_of: fixing.clone(), fastener_of: fixing, ..line }))
    }),
    bent("a figure of a mix-up changed", "J823", |_, _, p| {
        let line = p.mix_ups.iter_mut().find(|line| line.words.contains("N·m"))?;
        Some(line.words = line.words.replacen(" N·m", "9 N·m", 1))
    }),
    bent("the mix-up of another fastener in words", "J823", |_, _, p| {
        let words = p.mix_ups.last()?.words.clone();
        Some(p.mix_ups.first_mut()?.words = words)
    }),
    bent("a mix-up called harmless", "J823", |_, _, p| {
        Some(p.mix_ups.first_mut()?.consequence = MixUpKind::Harmless)
    }),
    bent("a harmful pair is told apart and lies together", "J824", |_, _, p| {
        let line = p.mix_ups.iter().find(|line| line.kept_apart)?;
        let (own, other) = (line.fastener_of.clone(), line.hole_of.clone());
        let slot = p.slots.iter().find(|line| line.fixing == other)?.slot.clone();
        let bag = SlotAddress::Bag { vehicle: p.asked.vehicle.clone(), number: 77 };
        let slot =
            if slot.stays_in_place() || matches!(slot, SlotAddress::HoleCard { .. }) { bag } else { slot };
        for key in [own, other] {
            let at = line_at(p, |line| line.fixing == key)?;
            move_slot(p, at, &slot);
        }
        Some(())
    }),
    bent("a pair that lies together is told apart, or the other way round", "J824", |_, _, p| {
        let line = p.mix_ups.first_mut()?;
        Some(line.kept_apart = !line.kept_apart)
    }),
    bent("the mildest mix-up first", "J825", |_, _, p| {
        let any = p.mix_ups.len() > 1;
        p.mix_ups.reverse();
        any.then_some(())
    }),
];

pub const READINESS: &[PlanMutation] = &[
    bent("a gap is not shown", "J901", |_, _, p| Some(_ = p.readiness.gaps.pop()?)),
    bent("a gap is shown twice", "J901", |_, _, p| {
        let first = p.readiness.gaps.first()?.clone();
        Some(p.readiness.gaps.push(first))
    }),
    bent("a gap does not say what would close it", "J901", |_, _, p| {
        Some(p.readiness.gaps.first_mut()?.words = "Too tight.".into())
    }),
    bent("a gap fails by another figure", "J901", |_, _, p| {
        let is_measured = |words: &str| words.contains(" mm too little");
        let gap = p.readiness.gaps.iter_mut().find(|gap| is_measured(&gap.words))?;
        Some(gap.short_by *= 3.0)
    }),
    bent("the nearest stack of a gap does it after all", "J901", |_, _, p| {
        let duties = p.duties.clone();
        let stacks = p.stacks.clone();
        for gap in &mut p.readiness.gaps {
            let other = duties.iter().find(|duty| duty.fixing == gap.fixing && duty.stack.is_some());
            let stack =
                other.and_then(|duty| stacks.iter().find(|stack| Some(&stack.id) == duty.stack.as_ref()));
            if let Some(stack) = stack.filter(|stack| stack.hold.is_empty()) {
                // Now a gap is shown where a stack is at hand.
                (gap.access, gap.act, gap.stage) = other.map(|duty| (duty.access, duty.act, duty.stage))?;
                gap.nearest.clone_from(&stack.pieces);
                return Some(());
            }
        }
        None
    }),
    bent("go with a reason against it", "J902", |_, _, p| {
        let is_no = !p.readiness.go;
        p.readiness.go = true;
        is_no.then_some(())
    }),
    bent("the first bolt is go with a gap", "J910", |_, _, p| {
        Some(p.readiness.verdict.first_bolt = ReadinessVerdict::Go)
    }),
    bent("the first start is open, and it is no", "J910", |_, _, p| {
        Some(p.readiness.verdict.first_start = ReadinessVerdict::Open)
    }),
    bent("more fasteners are proven than are", "J909", |_, _, p| Some(p.readiness.coverage.proven += 1)),
    bent("an open line that nothing asks for", "J911", |_, _, p| {
        let fixings = vec![p.slots.first()?.fixing.clone()];
        let words = String::from("Measure the head.");
        Some(p.readiness.open.push(OpenLine { kind: OpenKind::NotProven, words, fasteners: 1, fixings }))
    }),
    bent("the service data are not named", "J913", |_, _, p| Some(_ = p.readiness.safety.remove(0))),
    bent("a safety state dropped", "J913", |_, _, p| Some(_ = p.readiness.safety.pop()?)),
    bent("a safety state reworded", "J913", |_, _, p| {
        Some(p.readiness.safety.last_mut()?.push_str(" Or not."))
    }),
    bent("a safety state that the book does not have", "J913", |_, _, p| {
        Some(p.readiness.safety.push("hands washed".into()))
    }),
    bent("a part that may break is not named", "J914", |_, _, p| Some(_ = p.readiness.brittle.pop()?)),
    bent("a part that does not break is named", "J914", |_, _, p| {
        Some(p.readiness.brittle.push("engine block".into()))
    }),
    bent("a tool that is away is not named", "J915", |_, _, p| Some(_ = p.readiness.not_at_hand.pop()?)),
    bent("a tool is away for another reason", "J915", |_, _, p| {
        let line = p.readiness.not_at_hand.first_mut()?;
        Some(line.state = PieceAbsence::NotOwned)
    }),
    bent("a tool is away for another fixing", "J915", |_, _, p| {
        Some(p.readiness.not_at_hand.first_mut()?.wanted_by = vec!["nothing".into()])
    }),
    bent("a tool at hand is named as away", "J915", |_, s, p| {
        let at_hand = s.pieces.iter().find(|piece| piece.at_hand() > 0)?;
        let mut line = p.readiness.not_at_hand.first()?.clone();
        line.key.clone_from(&at_hand.key);
        Some(p.readiness.not_at_hand.push(line))
    }),
    bent("what would close a gap is not on the list", "J916", |_, _, p| {
        Some(_ = p.readiness.shopping.remove(0))
    }),
    bent("a thing to buy closes another gap", "J916", |_, _, p| {
        let own = p.readiness.shopping.first()?.closes.first().copied()?;
        let other = (0..p.readiness.gaps.len()).find(|at| !p.readiness.shopping[0].closes.contains(at))?;
        let first = p.readiness.shopping.first_mut()?;
        Some(first.closes.iter_mut().filter(|at| **at == own).for_each(|at| *at = other))
    }),
    bent("a thing to buy closes a gap beyond the last", "J901", |_, _, p| {
        Some(p.readiness.shopping.first_mut()?.closes.push(999))
    }),
    bent("a thing to buy unlocks what it does not", "J916", |_, _, p| {
        let fixing = p.slots.first()?.fixing.clone();
        Some(p.readiness.shopping.first_mut()?.unlocks.push(fixing))
    }),
    bent("a thing to buy in another size", "J916", |_, _, p| {
        let line = p.readiness.shopping.iter_mut().find(|line| line.spec.is_some())?;
        Some(line.words = line.words.replace(|c: char| c.is_ascii_digit(), "7"))
    }),
    bent("a thing to buy that is too weak", "J916", |_, _, p| {
        let line = p
            .readiness
            .shopping
            .iter_mut()
            .find(|line| line.spec.as_ref().is_some_and(|spec| spec.torque_n_m.is_some()))?;
        let spec = line.spec.as_mut()?;
        Some(spec.torque_n_m = spec.torque_n_m.map(|t_n_m| 0.5 * t_n_m))
    }),
    bent("a fixing that may break is not named", "J917", |_, _, p| Some(_ = p.readiness.rescue.pop()?)),
    bent("a break-loose factor halved", "J917", |_, _, p| {
        Some(p.readiness.rescue.first_mut()?.break_loose_factor *= 0.5)
    }),
    bent("the drill of an extractor twice as thick", "J917", |_, _, p| {
        let items = p.readiness.rescue.iter_mut().flat_map(|line| &mut line.items);
        let drill = items.into_iter().find(|item| item.starts_with("left-hand drill"))?;
        Some(*drill = drill.replace("drill 3 mm", "drill 6 mm").replace("drill 4 mm", "drill 8 mm"))
    }),
    bent("what to have ready out of order", "J917", |_, _, p| {
        Some(p.readiness.rescue.first_mut()?.items.reverse())
    }),
    bent("a reason against the start dropped", "J918", |_, _, p| Some(_ = p.readiness.against.pop()?)),
    bent("fewer fasteners cannot be worked than can", "J918", |_, _, p| {
        let line = p.readiness.against.iter_mut().find(|line| line.contains(" fasteners in "))?;
        Some(*line = format!("1{line}"))
    }),
    bent("another torque that no tool shows", "J918", |_, _, p| {
        let line = p.readiness.against.iter_mut().find(|line| line.contains(" N·m with "))?;
        Some(*line = line.replace(" N·m with ", "0 N·m with "))
    }),
    bent("a reason against the start that there is not", "J918", |_, _, p| {
        Some(p.readiness.against.push("It rains.".into()))
    }),
    bent("a missing figure stands against the refit and there is none", "J918", |_, _, p| {
        Some(p.readiness.against_refit.push("A figure is missing.".into()))
    }),
    bent("a figure is said to be missing that the book has", "J907", |_, _, p| {
        let fixing = p.slots.first()?.fixing.clone();
        let title = fixing.clone();
        Some(p.readiness.figures_missing.push(MissingFigureLine { fixing, title, count: 1 }))
    }),
    bent("a gasket dropped", "J903", |_, _, p| {
        let keys: Vec<&String> = p.slots.iter().map(|line| &line.fixing).collect();
        let of_part = |line: &SupplyLine| line.wanted_by.iter().all(|key| !keys.contains(&key));
        let at = p.readiness.supplies.iter().position(of_part)?;
        Some(_ = p.readiness.supplies.remove(at))
    }),
    bent("fewer of a supply than are needed", "J903", |_, _, p| {
        let line = p.readiness.supplies.iter_mut().find(|line| line.supply.count > 1)?;
        Some(line.supply.count -= 1)
    }),
    bent("more of a supply than are needed", "J903", |b, _, p| {
        let is_new = |line: &&mut SupplyLine| line.wanted_by.iter().all(|key| b.fixing_by_key(key).is_none());
        Some(p.readiness.supplies.iter_mut().find(is_new)?.supply.count += 1)
    }),
    bent("a supply at another price", "J903", |_, _, p| {
        let line = p.readiness.supplies.iter_mut().find(|line| line.supply.price_cents.is_some())?;
        Some(line.supply.price_cents = None)
    }),
    bent("a supply that may come later than the start", "J903", |b, _, p| {
        let is_due = |line: &&mut SupplyLine| {
            line.supply.before_start && line.wanted_by.iter().all(|key| b.fixing_by_key(key).is_none())
        };
        Some(p.readiness.supplies.iter_mut().find(is_due)?.supply.before_start = false)
    }),
    bent("a supply for something else", "J903", |b, _, p| {
        let is_of_book =
            |line: &&mut SupplyLine| line.wanted_by.iter().all(|key| b.fixing_by_key(key).is_none());
        Some(p.readiness.supplies.iter_mut().find(is_of_book)?.wanted_by.push("nothing".into()))
    }),
    bent("a supply that nothing needs", "J903", |_, _, p| {
        let supply = Supply { name: "wax".into(), count: 1, price_cents: None, before_start: false };
        Some(p.readiness.supplies.push(SupplyLine { supply, wanted_by: Vec::new() }))
    }),
    bent("fewer new bolts than are used once", "J904", |b, _, p| {
        let is_new = |line: &&mut SupplyLine| line.wanted_by.iter().any(|key| b.fixing_by_key(key).is_some());
        Some(p.readiness.supplies.iter_mut().find(is_new)?.supply.count -= 1)
    }),
    bent("new bolts of another size", "J904", |b, _, p| {
        let is_new = |line: &&mut SupplyLine| {
            line.supply.name.contains(" × ")
                && line.wanted_by.iter().any(|key| b.fixing_by_key(key).is_some())
        };
        let line = p.readiness.supplies.iter_mut().find(is_new)?;
        Some(line.supply.name = line.supply.name.replace(" × ", " × 9"))
    }),
    bent("the caps of an opening are not on the sheet", "J905", |_, _, p| Some(_ = p.readiness.caps.pop()?)),
    bent("fewer caps on the sheet than openings", "J905", |_, _, p| {
        Some(p.readiness.caps.iter_mut().find(|line| line.count > 1)?.count = 1)
    }),
    bent("a cap of another size on the sheet", "J905", |_, _, p| {
        Some(p.readiness.caps.iter_mut().find(|line| line.cap.is_some())?.cap = Some("cork".into()))
    }),
    bent("caps for an opening that nothing uncovers", "J905", |_, _, p| {
        let part = p.way_in.parts.first()?.part.clone();
        let line = p.readiness.caps.iter_mut().find(|line| line.uncovered_by != part)?;
        Some(line.uncovered_by = part)
    }),
    bent("it is not said that the book is invented", "J919", |_, _, p| Some(p.readiness.book_note = None)),
    bent("figures are said to be assumed that are told", "J919", |_, _, p| {
        Some(p.readiness.assumed.push("lengths of thread (3 fixings)".into()))
    }),
    bent("fasteners rest on a room class that is measured", "J919", |_, _, p| {
        Some(p.readiness.proven_by_class += 1)
    }),
    bent("a look at what is proven", "J920", |_, _, p| {
        let line = p.slots.first()?;
        let (fixing, fasteners) = (line.fixing.clone(), u32::from(line.count));
        let answers = vec![LookAnswer { answer: "yes".into(), settles: 1, helps: 0 }];
        let question = String::from("Is there room?");
        Some(p.readiness.looks.push(LookLine { fixing, question, seconds: 30.0, fasteners, answers }))
    }),
];
