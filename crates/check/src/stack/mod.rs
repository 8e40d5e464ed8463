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
mod reach;
mod shape;
mod side;
mod swing;

use crate::Found;
use crate::case::{Case, DutyFacts, StackFacts};
use model::Piece;
use side::{Ask, Side};

pub(crate) use figures::each_s;

/// What a bound is forgiven.
const FORGIVEN: f64 = 1.0e-6;

/// Where a stack is used, and what is found there.
struct Notes<'f> {
    place: String,
    found: &'f mut Found,
}

impl Notes<'_> {
    fn add(&mut self, code: &'static str, words: impl Into<String>) {
        self.found.add(code, self.place.clone(), words);
    }

    /// Adds a violation when `is` lies above `most`.
    fn at_most(&mut self, code: &'static str, is: f64, most: f64, words: &str) {
        if is.is_nan() || most.is_nan() || is > most + FORGIVEN {
            self.add(code, format!("{words}: {is:.3} is above {most:.3}"));
        }
    }
}

/// J401 to J413 the rules, J414 the chain, J415 seconds, J416 setting, J417 force.
pub(crate) fn judge(case: &Case, found: &mut Found) {
    for (at, duty) in case.duties.iter().enumerate() {
        let Some(duty) = duty else { continue };
        let Some(stack) = case.stack(duty.line.stack.as_ref()) else {
            if duty.line.stack.is_none() {
                figures::of_gap(duty, &mut Notes { place: format!("duty {at}"), found });
            }
            continue;
        };
        let mut notes = Notes { place: format!("duty {at} ({} {})", duty.line.act, duty.fixing.key), found };
        one(case, duty, stack, &mut notes);
        figures::judge(case, duty, stack, case.holes[at].len(), &mut notes);
    }
}

fn one(case: &Case, duty: &DutyFacts, stack: &StackFacts, notes: &mut Notes) {
    let ask = Ask::new(case, duty);
    let side = Side::working(case, duty);
    work(case, &side, &ask, stack, notes);
    hold(case, duty, &ask, stack, notes);
    let most = |id| stack.all().filter(|other| *other == id).count();
    for id in stack.all() {
        let piece = case.store.piece(id);
        if most(id) > usize::from(piece.at_hand()) {
            notes.add("J418", format!("`{}` is used more often than it is at hand", piece.key));
        }
    }
}

fn work(case: &Case, side: &Side, ask: &Ask, stack: &StackFacts, notes: &mut Notes) {
    if stack.pieces.is_empty() {
        if !side.bare_hand() {
            notes.add("J401", format!("the bare hand does not work {} here", side.drive));
        }
        return;
    }
    let chain: Vec<&Piece> = stack.pieces.iter().map(|id| case.store.piece(*id)).collect();
    let Some((grip, handle)) = shape::ends(&chain, notes) else { return };
    rules_1_to_10(side, ask, &chain, notes);
    swing::rule_7(side, grip, handle, notes);
    measure::rule_11(side, ask, &chain, grip, notes);
    measure::rule_12(ask, grip, notes);
}

/// All rules that both sides obey, but swing.
fn rules_1_to_10(side: &Side, ask: &Ask, chain: &[&Piece], notes: &mut Notes) {
    let Some((grip, handle)) = shape::ends_of(chain) else { return };
    reach::rules_1_to_5(side, chain, grip, handle, notes);
    bends::rule_6(side, chain, grip, notes);
    reach::rule_8(side, chain, grip, handle, notes);
    load::rule_9(ask, chain, notes);
    load::rule_10(side, ask, handle, notes);
}

fn hold(case: &Case, duty: &DutyFacts, ask: &Ask, stack: &StackFacts, notes: &mut Notes) {
    let Some(other) = Side::held(case, duty) else {
        if !stack.hold.is_empty() {
            notes.add("J413", "nothing has to be held");
        }
        return;
    };
    if stack.hold.is_empty() {
        if !other.bare_hand() {
            notes.add("J413", "nothing holds the other side");
        }
        return;
    }
    let chain: Vec<&Piece> = stack.hold.iter().map(|id| case.store.piece(*id)).collect();
    let Some((_, handle)) = shape::ends(&chain, notes) else { return };
    let Some(last) = chain.last() else { return };
    if !shape::is_swung(handle) && handle.style != model::HandleStyle::InLine {
        notes.add("J413", format!("`{}` cannot hold: neither swung nor in line", last.key));
    }
    if last.power.is_some() || last.measure.is_some() {
        notes.add("J413", format!("`{}` may not hold: it drives or measures", last.key));
    }
    rules_1_to_10(&other, ask, &chain, notes);
}
