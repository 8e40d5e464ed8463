//! The readiness sheet line by line: is everything on it that prevents the start, has to be in hand or has to be known, and nothing else?
//!
//! Each list is drawn up again from book, store and plan and laid beside the plan's. Sentences are read for what they have to name: how many, which, why.

mod against;
mod buying;
mod open;
mod ready;
mod supplies;

use crate::FoundViolations;
use crate::case::PlanCase;
use model::SpecialToolId;
use std::collections::BTreeSet;

/// J903 and J904 supplies, J911 open lines, J913 safety, J914 brittle parts, J915 tools not at hand, J916 shopping, J917 rescue, J918 what stands
/// against the start, J919 what is assumed and noted, J920 looks. `of_ways` are the special tools of the changes of settings in the plan.
pub(crate) fn judge_sheet(case: &PlanCase, of_ways: &BTreeSet<SpecialToolId>, found: &mut FoundViolations) {
    against::judge_against(case, found);
    buying::judge_not_at_hand(case, of_ways, found);
    buying::judge_shopping(case, of_ways, found);
    open::judge_open_lines(case, found);
    open::judge_looks(case, found);
    ready::judge_safety(case, found);
    ready::judge_rescue(case, found);
    ready::judge_notes(case, found);
    supplies::judge_supply_lines(case, found);
}

/// "1 part", "3 parts".
fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}
