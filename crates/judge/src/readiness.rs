//! Readiness: does the sheet show every gap, supply and cap, and does it say *go* only when nothing prevents it?

use crate::FoundViolations;
use crate::case::{PlanCase, StackFacts};
use crate::stack::does_stack_hold;
use crate::texts::figures_in;
use model::plan::Gap;
use model::{Act, FastenerKind, Fixing, MissKind, ReachVerdict, SpecialToolId, Stage, StageTarget, Supply};
use std::collections::{BTreeMap, BTreeSet};

/// J901 gaps, J902 go, J903 supplies, J904 one-time fasteners, J905 caps, J906 special tools, J907 missing figures.
/// `of_ways` are the special tools of the changes of settings in the plan.
pub(crate) fn judge_readiness(
    case: &PlanCase,
    of_ways: &BTreeSet<SpecialToolId>,
    found: &mut FoundViolations,
) {
    judge_gaps(case, found);
    judge_supplies(case, found);
    judge_one_time_fasteners(case, found);
    judge_cap_lines(case, found);
    judge_missing_tools(case, of_ways, found);
    judge_missing_figures(case, found);
}

/// Every fixing that is screwed in and has no figure is named, with its number of fasteners, and stands against the refit.
fn judge_missing_figures(case: &PlanCase, found: &mut FoundViolations) {
    let ready = &case.plan.readiness;
    let wanted: BTreeSet<(&str, usize)> = case
        .fixings_off()
        .map(|id| case.book.fixing(id))
        .filter(|f| has_no_figure(f))
        .map(|f| (f.key.as_str(), f.holes.len()))
        .collect();
    let said: BTreeSet<(&str, usize)> =
        ready.figures_missing.iter().map(|m| (m.fixing.as_str(), usize::from(m.count))).collect();
    for (fixing, _) in wanted.difference(&said) {
        found.add("J907", "readiness", format!("the missing figure of `{fixing}` is not shown"));
    }
    for (fixing, _) in said.difference(&wanted) {
        found.add("J907", "readiness", format!("`{fixing}` is shown without a figure and is not"));
    }
    if ready.figures_missing.is_empty() != ready.against_refit.is_empty() {
        found.add("J907", "readiness", "a missing figure and what stands against the refit do not agree");
    }
}

/// Screwed in by kind or by its thread, turned by a tool, and no pass says to what: neither a torque, an angle nor a word.
fn has_no_figure(fixing: &Fixing) -> bool {
    let screwed = fixing.thread.is_some()
        || matches!(
            fixing.kind,
            FastenerKind::Bolt
                | FastenerKind::Nut
                | FastenerKind::Stud
                | FastenerKind::Screw
                | FastenerKind::Union
                | FastenerKind::ThreadedPlug
                | FastenerKind::Sensor
        );
    let said = |s: &Stage| s.target != StageTarget::NotKnown;
    screwed && fixing.drive.is_turned() && !fixing.tightening.stages.iter().any(said)
}

fn judge_gaps(case: &PlanCase, found: &mut FoundViolations) {
    type ShownGapKey<'k> = (&'k str, u16, Act, Option<u8>);
    let ready = &case.plan.readiness;
    let is_gap = |d: &&model::plan::DutyLine| d.stack.is_none() && d.sure != ReachVerdict::NotKnown;
    let without = case.plan.duties.iter().filter(is_gap);
    let wanted: BTreeSet<ShownGapKey> = without.map(|d| (&*d.fixing, d.access, d.act, d.stage)).collect();
    let said: BTreeSet<ShownGapKey> =
        ready.gaps.iter().map(|g| (&*g.fixing, g.access, g.act, g.stage)).collect();
    for (fixing, _, act, _) in wanted.difference(&said) {
        found.add("J901", "readiness", format!("the gap {act} of `{fixing}` is not shown"));
    }
    for (fixing, _, act, _) in said.difference(&wanted) {
        found.add("J901", "readiness", format!("{act} of `{fixing}` is shown as a gap but has a stack"));
    }
    if ready.gaps.len() != said.len() {
        found.add("J901", "readiness", "a gap is shown twice");
    }
    let against = !ready.against.is_empty() || !ready.against_refit.is_empty();
    if ready.go && !(wanted.is_empty() && ready.gaps.is_empty() && !against) {
        found.add("J902", "readiness", "says go although something stands in the way");
    }
    if !ready.go && !against && ready.open.is_empty() {
        found.add("J902", "readiness", "does not say go, and gives no reason");
    }
    ready.gaps.iter().for_each(|gap| judge_gap(case, gap, found));
    let unowned =
        ready.gaps.iter().flat_map(|gap| &gap.nearest).find(|key| case.store.piece_by_key(key).is_none());
    if let Some(key) = unowned {
        found.add("J102", "readiness", format!("there is no piece `{key}`"));
    }
    let beyond = ready.shopping.iter().flat_map(|s| &s.closes).any(|g| *g >= ready.gaps.len());
    if beyond {
        found.add("J901", "readiness", "the shopping list closes a gap that is not shown");
    }
}

/// A gap says by how much which piece fails and what would close it, and its nearest stack does not do after all.
fn judge_gap(case: &PlanCase, gap: &Gap, found: &mut FoundViolations) {
    let place = format!("gap {} of `{}`", gap.act, gap.fixing);
    let fixing = case.book.fixing_by_key(&gap.fixing).map(|id| case.book.fixing(id));
    let nearest: Vec<_> = gap.nearest.iter().filter_map(|key| case.store.piece_by_key(key)).collect();
    let away = nearest.iter().map(|id| case.store.piece(*id)).find(|piece| piece.at_hand() == 0);
    let named = match gap.kind {
        MissKind::Away => away.map(|piece| piece.title.clone()),
        MissKind::NoGrip => fixing.map(|fixing| fixing.drive.to_string()),
        _ => Some(gap.wanted.words.clone()),
    };
    if named.is_none_or(|named| !gap.words.contains(&named)) {
        found.add("J901", place.clone(), format!("`{}` does not name what is missing", gap.words));
    }
    // A fastener that may drop, or a far side that nobody holds, is no matter of more or less.
    let is_measured = !matches!(
        gap.kind,
        MissKind::Away
            | MissKind::NoGrip
            | MissKind::TorqueRange
            | MissKind::Retention
            | MissKind::CounterHold
    );
    let is_said = |figure: &f64| (figure - gap.short_by).abs() <= 0.006 * gap.short_by.abs();
    if is_measured && gap.short_by > 0.0 && !figures_in(&gap.words).iter().any(is_said) {
        let words = format!("`{}` does not say {}", gap.words, crate::show_figure(gap.short_by));
        found.add("J901", place.clone(), words);
    }
    let of = |duty: &&crate::case::DutyFacts| {
        (duty.line.access, duty.line.act, duty.line.stage) == (gap.access, gap.act, gap.stage)
            && duty.line.fixing == gap.fixing
    };
    let duty = case.duties.iter().flatten().find(|duty| of(duty));
    let stack = StackFacts { pieces: nearest, hold: Vec::new() };
    if duty.is_some_and(|duty| !stack.pieces.is_empty() && does_stack_hold(case, duty, &stack)) {
        found.add("J901", place, "the stack that is called the nearest does it");
    }
}

fn judge_supplies(case: &PlanCase, found: &mut FoundViolations) {
    let tasks = case.tasks.iter().collect::<BTreeSet<_>>();
    let of_tasks = tasks.into_iter().flat_map(|t| &case.book.task(*t).supplies);
    let of_parts = case.off.keys().flat_map(|p| &case.book.part(*p).renew_with);
    let of_conditions = case.conditions.iter().flat_map(|c| &case.book.condition(*c).supplies);
    let mut wanted: BTreeMap<&str, u32> = BTreeMap::new();
    for supply in of_tasks.chain(of_parts).chain(of_conditions) {
        *wanted.entry(&supply.name).or_default() += u32::from(supply.count);
    }
    let lines = || case.plan.readiness.supplies.iter().map(|l| &l.supply);
    for (name, count) in wanted {
        let said = lines().filter(|s: &&Supply| s.name == name).map(|s| u32::from(s.count)).sum::<u32>();
        if said < count {
            found.add("J903", "readiness", format!("{count} × {name} needed, {said} on the sheet"));
        }
    }
}

fn judge_one_time_fasteners(case: &PlanCase, found: &mut FoundViolations) {
    for fixing in case.fixings_off().map(|f| case.book.fixing(f)).filter(|f| f.one_time) {
        let lines = case.plan.readiness.supplies.iter().filter(|l| l.wanted_by.contains(&fixing.key));
        let said: usize = lines.map(|l| usize::from(l.supply.count)).sum();
        if said < fixing.holes.len() {
            let words = format!(
                "{} new fasteners for `{}` needed, {said} on the sheet",
                fixing.holes.len(),
                fixing.key
            );
            found.add("J904", "readiness", words);
        }
    }
}

fn judge_cap_lines(case: &PlanCase, found: &mut FoundViolations) {
    let uncovered: BTreeSet<_> = case.off.keys().flat_map(|p| &case.book.part(*p).uncovers).collect();
    for opening in &uncovered {
        let it = case.book.opening(**opening);
        let line = case.plan.readiness.caps.iter().find(|c| c.opening == it.key);
        if !line.is_some_and(|l| l.cap == it.cap && l.count == it.count) {
            found.add("J905", "readiness", format!("the caps of opening `{}` are not on the sheet", it.key));
        }
    }
    for line in &case.plan.readiness.caps {
        let by = case.book.part_by_key(&line.uncovered_by).filter(|p| case.off.contains_key(p));
        let uncovers = by.is_some_and(|p| {
            case.book.part(p).uncovers.iter().any(|o| case.book.opening(*o).key == line.opening)
        });
        if !uncovers {
            let words = format!("opening `{}` is not uncovered by `{}`", line.opening, line.uncovered_by);
            found.add("J905", "readiness", words);
        }
    }
}

/// A special tool that nothing at hand answers to has to be shown.
fn judge_missing_tools(case: &PlanCase, of_ways: &BTreeSet<SpecialToolId>, found: &mut FoundViolations) {
    let of_tasks = case.tasks.iter().flat_map(|t| &case.book.task(*t).special_tools);
    let of_parts = case.off.keys().flat_map(|p| &case.book.part(*p).special_tools);
    let tools: BTreeSet<_> = of_tasks.chain(of_parts).chain(of_ways).collect();
    for tool in tools.into_iter().filter_map(|t| case.book.special_tools.get(t.index())) {
        let in_kit = case.plan.kit.special.iter().any(|(key, _)| *key == tool.key);
        let shown = case.plan.readiness.not_at_hand.iter().any(|n| n.key == tool.key);
        if !in_kit && !shown {
            let words = format!("special tool `{}` is neither in the kit nor shown as missing", tool.key);
            found.add("J906", "readiness", words);
        }
    }
}
