//! What stands against the start and the refit: a sentence for each reason, and none without one.

use super::counted;
use crate::FoundViolations;
use crate::case::PlanCase;
use crate::texts::TextReading;
use model::MissKind;
use std::collections::BTreeSet;
use units::Torque;

/// J918: fasteners that cannot be worked, torques that nothing shows, tools not at hand; figures that are missing.
pub(super) fn judge_against(case: &PlanCase, found: &mut FoundViolations) {
    let reasons = [unworkable_fasteners(case), uncovered_torques(case), tools_away(case)];
    let wanted: Vec<Vec<String>> = reasons.into_iter().filter(|names| !names.is_empty()).collect();
    compare_sentences(&wanted, &case.plan.readiness.against, "the start", found);
    let missing: Vec<_> = case.fixings_off().filter(|id| case.book.fixing(*id).is_figure_missing()).collect();
    let fasteners: usize = missing.iter().map(|id| case.book.fixing(*id).holes.len()).sum();
    let names = vec![counted(fasteners, "fastener"), counted(missing.len(), "fixing")];
    let wanted = if missing.is_empty() { Vec::new() } else { vec![names] };
    compare_sentences(&wanted, &case.plan.readiness.against_refit, "the refit", found);
}

/// Each reason is one sentence that names all that belongs to it.
fn compare_sentences(wanted: &[Vec<String>], said: &[String], what: &str, found: &mut FoundViolations) {
    let mut left: Vec<&String> = said.iter().collect();
    for names in wanted {
        let says = |line: &&String| {
            let mut reading = TextReading::new(line);
            names.iter().all(|name| reading.take(name))
        };
        match left.iter().position(says) {
            Some(at) => _ = left.remove(at),
            None => {
                let words = format!("nothing is said against {what} of {}", names.join(", "));
                found.add("J918", "readiness", words);
            }
        }
    }
    for line in left {
        found.add("J918", "readiness", format!("nothing stands against {what} as this says: {line}"));
    }
}

/// "3 fasteners", "1 fixing": what a gap that is more than a torque stands against.
fn unworkable_fasteners(case: &PlanCase) -> Vec<String> {
    let mut holes: BTreeSet<(&str, u16)> = BTreeSet::new();
    for gap in case.plan.readiness.gaps.iter().filter(|gap| gap.kind != MissKind::TorqueRange) {
        for (duty, of) in case.duties.iter().zip(&case.holes) {
            let is_it = |line: &model::plan::DutyLine| {
                (&*line.fixing, line.access, line.act, line.stage)
                    == (&*gap.fixing, gap.access, gap.act, gap.stage)
            };
            if duty.is_some_and(|duty| is_it(duty.line)) {
                holes.extend(of.iter().map(|hole| (gap.fixing.as_str(), *hole)));
            }
        }
    }
    let fixings: BTreeSet<&str> = holes.iter().map(|(fixing, _)| *fixing).collect();
    if holes.is_empty() {
        return Vec::new();
    }
    vec![counted(holes.len(), "fastener"), counted(fixings.len(), "fixing")]
}

/// The torques of the gaps that only a torque tool would close.
fn uncovered_torques(case: &PlanCase) -> Vec<String> {
    let gaps = case.plan.readiness.gaps.iter().filter(|gap| gap.kind == MissKind::TorqueRange);
    let torque = |gap: &model::plan::Gap| {
        let of = |line: &&model::plan::DutyLine| {
            (&*line.fixing, line.access, line.act, line.stage)
                == (&*gap.fixing, gap.access, gap.act, gap.stage)
        };
        case.plan.duties.iter().find(of)?.torque_n_m
    };
    let words: BTreeSet<String> =
        gaps.filter_map(torque).map(|t_n_m| Torque::from_n_m(t_n_m).to_string()).collect();
    words.into_iter().collect()
}

/// The titles of what is not at hand.
fn tools_away(case: &PlanCase) -> Vec<String> {
    let lines = case.plan.readiness.not_at_hand.iter();
    lines.map(|line| format!("{} ({})", line.title, line.state.spoken_word())).collect()
}
