//! Rules: what must hold after every change, and what must not change meanwhile.

use super::values::WorldMoment;
use crate::FoundViolations;
use model::{Book, WorldNeed, WorldRule, WorldRuleKind};
use std::collections::BTreeSet;

/// Rules that are broken now and have been reported, by their position in the book.
#[derive(Default)]
pub(super) struct RuleWatch {
    reported: BTreeSet<usize>,
}

impl RuleWatch {
    /// A watch that knows which rules are broken as things stand: a plan is not to blame for them.
    pub fn begin(book: &Book, moment: &WorldMoment) -> Self {
        let rules = book.rules.iter().enumerate();
        let broken = rules.filter(|(_, rule)| broken_needs(rule, moment).is_some());
        Self { reported: broken.map(|(index, _)| index).collect() }
    }

    /// J622 a rule is broken, J623 a setting moved that stays still.
    pub fn judge_rules(
        &mut self,
        book: &Book,
        before: &WorldMoment,
        after: &WorldMoment,
        at: &str,
        found: &mut FoundViolations,
    ) {
        for (index, rule) in book.rules.iter().enumerate() {
            judge_stillness(book, rule, (before, after), at, found);
            match broken_needs(rule, after) {
                None => _ = self.reported.remove(&index),
                Some(needs) if self.reported.insert(index) => {
                    found.add("J622", at, broken_words(book, rule, needs, after));
                }
                Some(_) => {}
            }
        }
    }
}

/// What a rule that is broken at a moment speaks of; what stays still is a matter of changes.
fn broken_needs<'r>(rule: &'r WorldRule, moment: &WorldMoment) -> Option<&'r [WorldNeed]> {
    let broken = match &rule.kind {
        WorldRuleKind::AtLeastOne(needs) => (!needs.iter().any(|need| moment.allows(need))).then_some(needs),
        WorldRuleKind::NeverTogether(needs) => moment.allows_all(needs).then_some(needs),
        WorldRuleKind::StaysStill(_) => None,
    };
    broken.filter(|_| moment.allows_all(&rule.during)).map(Vec::as_slice)
}

/// The rule, and how all that it speaks of stands.
fn broken_words(book: &Book, rule: &WorldRule, needs: &[WorldNeed], after: &WorldMoment) -> String {
    let standing = needs.iter().map(|need| after.standing_words(book, need.thing));
    format!("rule `{}` is broken: {}", rule.title, standing.collect::<Vec<_>>().join(", "))
}

fn judge_stillness(
    book: &Book,
    rule: &WorldRule,
    (before, after): (&WorldMoment, &WorldMoment),
    at: &str,
    found: &mut FoundViolations,
) {
    let WorldRuleKind::StaysStill(settings) = &rule.kind else { return };
    if !before.allows_all(&rule.during) {
        return;
    }
    for id in settings {
        let value = |moment: &WorldMoment| moment.settings.get(id.index()).copied().unwrap_or_default();
        let (from, to) = (value(before), value(after));
        if from != to {
            let setting = book.setting(*id);
            let (from, to) = (setting.word(from), setting.word(to));
            let words = format!(
                "`{}` goes from `{from}` to `{to}` and must stay still: `{}`",
                setting.key, rule.title
            );
            found.add("J623", at, words);
        }
    }
}
