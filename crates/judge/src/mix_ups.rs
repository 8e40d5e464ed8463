//! Mix-ups: is every pair listed whose wrong fastener does harm in the other's hole, with what happens, and do the two lie apart as the plan says?
//!
//! The pairs are found anew: bolts and screws of the parts that come off, of one thread and with like heads, but of another length or class, on one
//! part or worked from one place. What happens in the hole is worked out by the formulas of `bolting`, which are held against figures from
//! outside; whether two fixings lie apart, from their slots and the trays of the store.

use crate::FoundViolations;
use crate::case::PlanCase;
use crate::slot_places::do_lie_together;
use crate::texts::TextReading;
use bolting::mixup::{MixUpBolt, MixUpConsequence, MixUpSeat, MixUpSeverity, mix_up_consequences};
use model::plan::{MixUpLine, SlotLine};
use model::{FastenerKind, Fixing, FixingId};
use std::collections::BTreeMap;

/// Heads whose diameters differ by no more look alike, mm (assumption).
const LIKE_HEADS_MM: f64 = 0.5;

/// J821 a harmful pair is not listed, J822 a pair is listed that does no harm, J823 what happens is told wrong, J824 kept apart, J825 worst first.
pub(crate) fn judge_mix_ups(case: &PlanCase, found: &mut FoundViolations) {
    let pairs = harmful_pairs(case);
    let mut last: Option<(MixUpSeverity, f64)> = None;
    let mut said: BTreeMap<(&str, &str), u32> = BTreeMap::new();
    for line in &case.plan.mix_ups {
        let place = format!("mix-up of `{}` and `{}`", line.fastener_of, line.hole_of);
        *said.entry((&line.fastener_of, &line.hole_of)).or_default() += 1;
        let ids = case.book.fixing_by_key(&line.fastener_of).zip(case.book.fixing_by_key(&line.hole_of));
        let Some((ids, happens)) = ids.and_then(|ids| Some((ids, pairs.get(&ids)?))) else {
            found.add("J822", place, "the plan lists a mix-up that does no harm");
            continue;
        };
        judge_line(case, line, ids, happens, &place, found);
        let rank = (happens[0].severity(), happens[0].overload_ratio());
        let is_worse = |before: (MixUpSeverity, f64)| {
            before.0.cmp(&rank.0).then(before.1.total_cmp(&rank.1)) == core::cmp::Ordering::Less
        };
        if last.is_some_and(is_worse) {
            found.add("J825", place, "a worse mix-up comes after a milder one");
        }
        last = Some(rank);
    }
    for (fastener, hole) in pairs.keys() {
        let keys = (case.book.fixing(*fastener).key.as_str(), case.book.fixing(*hole).key.as_str());
        let count = said.get(&keys).copied().unwrap_or(0);
        if count != 1 {
            let words =
                format!("`{}` in a hole of `{}` does harm and is listed {count} times", keys.0, keys.1);
            found.add("J821", "mix-ups", words);
        }
    }
}

/// The pairs that do harm or may: whose fastener, whose hole, and all that happens, worst first.
fn harmful_pairs(case: &PlanCase) -> BTreeMap<(FixingId, FixingId), Vec<MixUpConsequence>> {
    let is_loose = |id: &FixingId| {
        let fixing = case.book.fixing(*id);
        matches!(fixing.kind, FastenerKind::Bolt | FastenerKind::Screw)
            && !fixing.captive
            && !fixing.slackened
    };
    let loose: Vec<FixingId> = case.fixings_off().filter(is_loose).collect();
    let mut pairs = BTreeMap::new();
    for fastener in &loose {
        for hole in loose.iter().filter(|hole| *hole != fastener) {
            let (a, b) = (case.book.fixing(*fastener), case.book.fixing(*hole));
            let is_near = a.part == b.part || case.station_of_part(a.part) == case.station_of_part(b.part);
            let happens = if is_near && do_look_alike(a, b) { consequences(a, b) } else { Vec::new() };
            if !happens.is_empty() {
                pairs.insert((*fastener, *hole), happens);
            }
        }
    }
    pairs
}

fn do_look_alike(a: &Fixing, b: &Fixing) -> bool {
    let apart_mm = (a.head.diameter.as_mm() - b.head.diameter.as_mm()).abs();
    let has_like_head = a.drive == b.drive || apart_mm <= LIKE_HEADS_MM;
    a.thread.is_some() && a.thread == b.thread && has_like_head && (a.length, a.class) != (b.length, b.class)
}

fn bolt_of_fixing(fixing: &Fixing) -> Option<MixUpBolt> {
    Some(MixUpBolt { thread: fixing.screw_thread()?, length: fixing.length?, class: fixing.class })
}

/// What a fastener of one fixing does in a hole of another, as far as it does harm or may.
fn consequences(fastener: &Fixing, hole: &Fixing) -> Vec<MixUpConsequence> {
    let seat = || {
        Some(MixUpSeat {
            intended: bolt_of_fixing(hole)?,
            clamped: hole.clamped?,
            tapped_depth: hole.tapped_depth,
            torque: crate::duties::greatest_torque_n_m(hole).map(units::Torque::from_n_m),
            tapped_in: hole.tapped_in,
            lubrication: hole.lubrication,
        })
    };
    let Some((bolt, seat)) = bolt_of_fixing(fastener).zip(seat()) else { return Vec::new() };
    let mut happens = mix_up_consequences(&bolt, &seat);
    happens.retain(|one| {
        matches!(one.severity(), MixUpSeverity::Unknown | MixUpSeverity::Weakened | MixUpSeverity::Harmful)
    });
    happens
}

fn judge_line(
    case: &PlanCase,
    line: &MixUpLine,
    (fastener, hole): (FixingId, FixingId),
    happens: &[MixUpConsequence],
    place: &str,
    found: &mut FoundViolations,
) {
    if line.consequence != happens[0].kind() {
        let (right, said) = (happens[0].kind().spoken_word(), line.consequence.spoken_word());
        found.add("J823", place, format!("the worst is: {right}; the plan says: {said}"));
    }
    judge_words(case, line, (fastener, hole), happens, place, found);
    let of = |key: &str| -> Vec<&SlotLine> { case.plan.slots.iter().filter(|s| s.fixing == key).collect() };
    let (ours, theirs) = (of(&line.fastener_of), of(&line.hole_of));
    let lie_together = ours.iter().any(|a| theirs.iter().any(|b| do_lie_together(case, a, b)));
    let are_apart = !ours.is_empty() && !theirs.is_empty() && !lie_together;
    if line.kept_apart != are_apart {
        let words = if are_apart {
            "lie apart, the plan says they do not"
        } else {
            "do not lie apart, the plan says they do"
        };
        found.add("J824", place, words);
    }
}

/// The words name both fixings, and tell all that happens with its figures and nothing else.
fn judge_words(
    case: &PlanCase,
    line: &MixUpLine,
    (fastener, hole): (FixingId, FixingId),
    happens: &[MixUpConsequence],
    place: &str,
    found: &mut FoundViolations,
) {
    let mut reading = TextReading::new(&line.words);
    let titles = [fastener, hole].map(|id| &case.book.fixing(id).title);
    let names = format!("{} in a hole of {}", titles[0], titles[1]);
    let told: Vec<String> = happens.iter().map(ToString::to_string).collect();
    let says = core::iter::once(&names).chain(&told);
    let missing: Vec<&String> = says.filter(|phrase| !reading.take(phrase)).collect();
    for phrase in &missing {
        found.add("J823", place, format!("`{}` does not say `{phrase}`", line.words));
    }
    if missing.is_empty() && !reading.words_left().is_empty() {
        let words = format!("`{}` says `{}` besides", line.words, reading.words_left().join(" "));
        found.add("J823", place, words);
    }
}
