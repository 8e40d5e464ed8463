//! Stacks: does the stack of each duty obey rules 1 to 13 of [`model::rules`], and are its figures right?
//!
//! Written from the text of the rules alone. A bound is forgiven by one part in a million of a millimetre, degree, newton
//! or newton metre.

// symbol: is = what a rule measures, in the unit of the rule
// symbol: most = what the rule allows, in the same unit

mod bends;
mod figures;
mod load;
mod measure;
mod reach_rules;
mod shape;
mod side;
mod swing;

use crate::FoundViolations;
use crate::case::{DutyFacts, PlanCase, StackFacts};
use model::Piece;
use side::{ActDemand, FastenerSide};

pub(crate) use figures::fastener_time_s;

/// Tolerance of every bound, in the bound's own unit.
const FORGIVEN: f64 = 1.0e-6;

/// Where a stack is used, and what is found there.
struct DutyNotes<'f> {
    place: String,
    found: &'f mut FoundViolations,
}

impl DutyNotes<'_> {
    fn add(&mut self, code: &'static str, words: impl Into<String>) {
        self.found.add(code, self.place.clone(), words);
    }

    /// Adds a violation when `is` lies above `most`.
    fn check_at_most(&mut self, code: &'static str, is: f64, most: f64, words: &str) {
        if is.is_nan() || most.is_nan() || is > most + FORGIVEN {
            self.add(code, format!("{words}: {is:.3} is above {most:.3}"));
        }
    }
}

/// J401 to J413 the rules, J414 the chain, J415 seconds, J416 setting, J417 force.
pub(crate) fn judge_stacks(case: &PlanCase, found: &mut FoundViolations) {
    for (at, duty) in case.duties.iter().enumerate() {
        let Some(duty) = duty else { continue };
        let Some(stack) = case.stack_by_id(duty.line.stack.as_ref()) else {
            if duty.line.stack.is_none() {
                figures::judge_gap_figures(duty, &mut DutyNotes { place: format!("duty {at}"), found });
            }
            continue;
        };
        let mut notes =
            DutyNotes { place: format!("duty {at} ({} {})", duty.line.act, duty.fixing.key), found };
        judge_one_stack(case, duty, stack, &mut notes);
        figures::judge_stack_figures(case, duty, stack, case.holes[at].len(), &mut notes);
    }
}

/// Whether the stack of a duty obeys the rules in this case, whatever the plan's figures say.
pub(crate) fn does_stack_hold(case: &PlanCase, duty: &DutyFacts, stack: &StackFacts) -> bool {
    let mut found = FoundViolations::default();
    judge_one_stack(case, duty, stack, &mut DutyNotes { place: String::new(), found: &mut found });
    found.0.is_empty()
}

fn judge_one_stack(case: &PlanCase, duty: &DutyFacts, stack: &StackFacts, notes: &mut DutyNotes) {
    let ask = ActDemand::new(case, duty);
    let side = FastenerSide::working_side(case, duty);
    judge_working_side(case, &side, &ask, stack, notes);
    judge_holding_side(case, duty, &ask, stack, notes);
    let most = |id| stack.all_pieces().filter(|other| *other == id).count();
    for id in stack.all_pieces() {
        let piece = case.store.piece(id);
        if most(id) > usize::from(piece.at_hand()) {
            notes.add("J418", format!("`{}` is used more often than it is at hand", piece.key));
        }
    }
}

fn judge_working_side(
    case: &PlanCase,
    side: &FastenerSide,
    ask: &ActDemand,
    stack: &StackFacts,
    notes: &mut DutyNotes,
) {
    if stack.pieces.is_empty() {
        if !side.takes_bare_hand() {
            notes.add("J401", format!("the bare hand cannot work {} here", side.drive));
        }
        return;
    }
    let chain: Vec<&Piece> = stack.pieces.iter().map(|id| case.store.piece(*id)).collect();
    let Some((grip, handle)) = shape::judge_chain_ends(&chain, notes) else { return };
    rules_1_to_10(side, ask, &chain, notes);
    swing::rule_7(side, grip, handle, notes);
    measure::rule_11(side, ask, &chain, grip, notes);
    measure::rule_12(ask, grip, notes);
}

/// All rules that both sides obey, but swing.
fn rules_1_to_10(side: &FastenerSide, ask: &ActDemand, chain: &[&Piece], notes: &mut DutyNotes) {
    let Some((grip, handle)) = shape::chain_ends(chain) else { return };
    reach_rules::rules_1_to_5(side, chain, grip, handle, notes);
    bends::rule_6(side, chain, grip, notes);
    reach_rules::rule_8(side, chain, grip, handle, notes);
    load::rule_9(ask, chain, notes);
    load::rule_10(side, ask, handle, notes);
}

fn judge_holding_side(
    case: &PlanCase,
    duty: &DutyFacts,
    ask: &ActDemand,
    stack: &StackFacts,
    notes: &mut DutyNotes,
) {
    let Some(other) = FastenerSide::held_side(case, duty) else {
        if !stack.hold.is_empty() {
            notes.add("J413", "nothing has to be held");
        }
        return;
    };
    if stack.hold.is_empty() {
        if !other.takes_bare_hand() {
            notes.add("J413", "nothing holds the other side");
        }
        return;
    }
    let chain: Vec<&Piece> = stack.hold.iter().map(|id| case.store.piece(*id)).collect();
    let Some((_, handle)) = shape::judge_chain_ends(&chain, notes) else { return };
    let Some(last) = chain.last() else { return };
    if !shape::is_swung_handle(handle) && handle.style != model::HandleStyle::InLine {
        notes.add("J413", format!("`{}` cannot hold: neither swung nor in line", last.key));
    }
    if last.power.is_some() || last.measure.is_some() {
        notes.add("J413", format!("`{}` may not hold: it drives or measures", last.key));
    }
    rules_1_to_10(&other, ask, &chain, notes);
}
