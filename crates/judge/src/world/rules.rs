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
        let is_broken = |rule: &WorldRule| match &rule.kind {
            WorldRuleKind::AtLeastOne(needs) => !needs.iter().any(|need| moment.allows(need)),
            WorldRuleKind::NeverTogether(needs) => moment.allows_all(needs),
            WorldRuleKind::StaysStill(_) => false,
        };
        let broken = |rule: &WorldRule| is_broken(rule) && moment.allows_all(&rule.during);
        let rules = book.rules.iter().enumerate();
        Self { reported: rules.filter(|(_, rule)| broken(rule)).map(|(index, _)| index).collect() }
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
            let broken = match &rule.kind {
                WorldRuleKind::AtLeastOne(needs) => {
                    (!needs.iter().any(|need| after.allows(need))).then_some(needs)
                }
                WorldRuleKind::NeverTogether(needs) => after.allows_all(needs).then_some(needs),
                WorldRuleKind::StaysStill(_) => {
                    judge_stillness(book, rule, (before, after), at, found);
                    continue;
                }
            };
            match broken.filter(|_| after.allows_all(&rule.during)) {
                None => _ = self.reported.remove(&index),
                Some(needs) if self.reported.insert(index) => {
                    found.add("J622", at, broken_words(book, rule, needs, after));
                }
                Some(_) => {}
            }
        }
    }
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
