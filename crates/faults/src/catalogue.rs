//! The list of rules behind the codes, and the page that explains them.

use std::fmt::Write as _;

/// The rule behind one code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FaultRule {
    /// The code, such as `B204`.
    pub code: &'static str,
    /// What is wrong, in a few words.
    pub title: &'static str,
    /// Why the rule exists.
    pub why: &'static str,
    /// A text that breaks the rule.
    pub bad_sample: &'static str,
    /// What to do.
    pub help: &'static str,
}

/// The rule behind a code, case aside.
#[must_use]
pub fn find_rule<'r>(rules: &[&'r [FaultRule]], code: &str) -> Option<&'r FaultRule> {
    rules.iter().flat_map(|list| list.iter()).find(|rule| rule.code.eq_ignore_ascii_case(code))
}

/// One rule in words: what it means, why it is there, a bad sample, what to do.
#[must_use]
pub fn explain_rule(rule: &FaultRule) -> String {
    let mut text = String::new();
    let fence = code_fence(rule.bad_sample);
    let _ = writeln!(text, "## {}: {}\n\n{}\n", rule.code, rule.title, rule.why);
    if !rule.bad_sample.is_empty() {
        let _ = writeln!(text, "A bad sample:\n\n{fence}toml\n{}\n{fence}\n", rule.bad_sample.trim_end());
    }
    let _ = writeln!(text, "What to do: {}", rule.help);
    text
}

/// The page of all rules in the order of their codes, in Markdown.
#[must_use]
pub fn rules_page(title: &str, opening: &str, rules: &[&[FaultRule]]) -> String {
    let mut sorted: Vec<&FaultRule> = rules.iter().flat_map(|list| list.iter()).collect();
    sorted.sort_by_key(|rule| rule.code);
    sorted.dedup_by_key(|rule| rule.code);
    let mut text = format!("# {title}\n\n{}\n\n", opening.trim());
    for rule in &sorted {
        let _ = writeln!(text, "- {}: {}", rule.code, rule.title);
    }
    for rule in sorted {
        let _ = write!(text, "\n{}", explain_rule(rule));
    }
    text
}

/// A code fence longer than any run of back-ticks in the sample.
fn code_fence(sample: &str) -> String {
    let longest = sample.split(|c| c != '`').map(str::len).max().unwrap_or_default();
    "`".repeat(longest.max(2) + 1)
}
