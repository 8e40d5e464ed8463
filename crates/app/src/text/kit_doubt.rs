//! What a kit serves of fasteners in doubt, in words: counts, never a chance that nobody has counted.

use super::table::count_with_noun;
use model::plan::{DutyLine, KitDoubt, KitLine, Plan};

/// "24 fasteners in doubt: with this cart 14 at every end of what may be found, 6 at most, 2 at few, 2 at none".
pub(crate) fn served_words(doubt: &KitDoubt) -> String {
    let counts = &doubt.fasteners;
    let classes =
        [(counts.every, "every end"), (counts.most, "most"), (counts.few, "few"), (counts.none, "none")];
    let told: Vec<String> = classes
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, words)| format!("{count} at {words}"))
        .collect();
    format!(
        "{} in doubt; with this cart, of the ends of what may be found: {}.",
        count_with_noun(counts.fasteners() as usize, "fastener"),
        told.join(", ")
    )
}

/// What a piece is on the cart for, where no step uses it.
pub(crate) fn carried_for_words(line: &KitLine) -> String {
    if line.duties > 0 || line.rooms == 0 {
        return String::new();
    }
    format!(" (in case: {} would be without it)", count_with_noun(line.rooms as usize, "possible room"))
}

/// "does it not fit (3 of 8 rooms): T25 bit 1/4 in, ratchet"; `None` where the duty is not in doubt or nothing else on the cart serves more.
pub(crate) fn instead_words(plan: &Plan, duty: &DutyLine) -> Option<String> {
    let is_it = |line: &&model::plan::DoubtedDuty| {
        (&line.fixing, line.access, line.act, line.stage) == (&duty.fixing, duty.access, duty.act, duty.stage)
    };
    let line = plan.kit.doubt.as_ref()?.duties.iter().find(is_it)?;
    let all: Vec<&str> = line.instead.iter().map(|stack| stack.words.as_str()).collect();
    let open = line.rooms - line.by_stack;
    (!all.is_empty())
        .then(|| format!("does it not fit ({open} of {} possible rooms): {}", line.rooms, all.join("; or ")))
}
