//! Coverage: does the plan claim no more than is known, and does it count right?
//!
//! Each duty's stack is put to the rules again at every tight reading of the book. A duty that is called *proven* has one
//! stack that holds at all of them and rests on nothing assumed; one that is called *no* has none; one that is called
//! *not known* rests on a figure that has neither value nor class. Fasteners are counted again by the worst of their acts,
//! and the verdicts follow from the counts.

use crate::case::{DutyFacts, PlanCase};
use crate::{FoundViolations, asked, names, stack};
use model::plan::{Coverage, ReadinessVerdict};
use model::{Book, ReachDoubts, ReachVerdict};
use std::collections::BTreeMap;

/// J908 what a duty claims, J909 counts, J910 verdicts, J912 what the trade asks.
pub(crate) fn judge_coverage(case: &PlanCase, found: &mut FoundViolations) {
    judge_claims(case, found);
    judge_counts(case, found);
    judge_verdicts(case, found);
    asked::judge_asked(case, found);
}

fn judge_claims(case: &PlanCase, found: &mut FoundViolations) {
    let readings: Vec<Book> = case.book.tight_readings();
    let mut unheard = FoundViolations::default();
    let read = |book| names::read_plan_names(book, case.store, case.plan, &mut unheard);
    let tight: Vec<PlanCase> = readings.iter().map(read).collect();
    for (at, duty) in case.duties.iter().enumerate() {
        let Some(duty) = duty else { continue };
        let doubts = case.book.reach_doubts(duty.id, duty.line.access);
        let has_stack = duty.line.stack.is_some();
        let words = match duty.line.sure {
            ReachVerdict::Proven if !doubts.allows_proof() => {
                Some(format!("says proven, and rests on {}", resting_words(&doubts)))
            }
            ReachVerdict::Proven if !has_stack => Some(String::from("says proven without a stack")),
            ReachVerdict::Proven => tight
                .iter()
                .any(|reading| !holds_in(reading, at, duty))
                .then(|| String::from("says proven, and its stack does not hold at every value in doubt")),
            ReachVerdict::Likely if !has_stack => Some(String::from("says likely without a stack")),
            ReachVerdict::Likely if !doubts.not_known.is_empty() => {
                Some(format!("says likely, and {} is not known", doubts.not_known.join(" and ")))
            }
            ReachVerdict::NotKnown if doubts.not_known.is_empty() && !doubts.is_unbounded => {
                Some(String::from("says not known, and everything that the rules need is told"))
            }
            ReachVerdict::No if has_stack => Some(String::from("says no, and has a stack")),
            ReachVerdict::Likely | ReachVerdict::NotKnown | ReachVerdict::No => None,
        };
        let rests_on: Vec<&str> = match duty.line.sure {
            ReachVerdict::Proven => Vec::new(),
            ReachVerdict::Likely | ReachVerdict::NotKnown | ReachVerdict::No => {
                doubts.not_known.iter().chain(&doubts.assumed).copied().collect()
            }
        };
        let said = duty.line.rests_on.iter().map(String::as_str);
        let words = words.or_else(|| {
            let right =
                if rests_on.is_empty() { String::from("nothing in doubt") } else { rests_on.join(" and ") };
            said.ne(rests_on.iter().copied())
                .then(|| format!("rests on {right}, and the plan says otherwise"))
        });
        if let Some(words) = words {
            found.add("J908", format!("duty {at} ({} {})", duty.line.act, duty.fixing.key), words);
        }
    }
}

/// Whether the stack of a duty holds at a reading.
fn holds_in(reading: &PlanCase, at: usize, duty: &DutyFacts) -> bool {
    let Some(read) = reading.duties.get(at).and_then(Option::as_ref) else { return false };
    let Some(used) = reading.stack_by_id(duty.line.stack.as_ref()) else { return false };
    stack::does_stack_hold(reading, read, used)
}

fn resting_words(doubts: &ReachDoubts) -> String {
    let told: Vec<&str> = doubts.not_known.iter().chain(&doubts.assumed).copied().collect();
    if told.is_empty() { String::from("figures whose ends bound nothing") } else { told.join(" and ") }
}

/// The coverage by the duties' own verdicts.
fn count_coverage(case: &PlanCase) -> Coverage {
    let mut worst: BTreeMap<(model::FixingId, u16), ReachVerdict> = BTreeMap::new();
    for (duty, holes) in case.duties.iter().zip(&case.holes) {
        let Some(duty) = duty else { continue };
        for hole in holes {
            let known = worst.entry((duty.id, *hole)).or_insert(duty.line.sure);
            *known = (*known).max(duty.line.sure);
        }
    }
    let mut coverage = Coverage::default();
    worst.into_values().for_each(|verdict| coverage.count_fastener(verdict));
    coverage
}

fn judge_counts(case: &PlanCase, found: &mut FoundViolations) {
    let (counted, said) = (count_coverage(case), case.plan.readiness.coverage);
    if counted != said {
        let words = |c: Coverage| {
            format!("{} proven, {} likely, {} not known, {} no", c.proven, c.likely, c.not_known, c.no)
        };
        found.add("J909", "readiness", format!("counted {}; said {}", words(counted), words(said)));
    }
}

fn judge_verdicts(case: &PlanCase, found: &mut FoundViolations) {
    let ready = &case.plan.readiness;
    let covered = count_coverage(case);
    let first_bolt = if !ready.against.is_empty() || covered.no > 0 {
        ReadinessVerdict::No
    } else if covered.likely + covered.not_known > 0 || !asked::subjects_to_ask(case).is_empty() {
        ReadinessVerdict::Open
    } else {
        ReadinessVerdict::Go
    };
    let lacks_figure = case.fixings_off().any(|id| case.book.fixing(id).is_figure_missing());
    let refit = if lacks_figure { first_bolt.max(ReadinessVerdict::Open) } else { first_bolt };
    let said = ready.verdict;
    let moments = [
        ("the first bolt", first_bolt, said.first_bolt),
        ("the refit", refit, said.refit),
        ("the first start", refit, said.first_start),
    ];
    for (moment, wanted, said) in moments.into_iter().filter(|(_, wanted, said)| wanted != said) {
        let words =
            format!("{moment} is {}, and the sheet says {}", wanted.spoken_word(), said.spoken_word());
        found.add("J910", "readiness", words);
    }
    if ready.go != (first_bolt == ReadinessVerdict::Go && refit == ReadinessVerdict::Go) {
        found.add(
            "J910",
            "readiness",
            "says go where first bolt and refit are not both go, or the other way round",
        );
    }
}
