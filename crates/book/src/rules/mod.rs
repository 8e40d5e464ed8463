//! The rules of a good book: one file for each group of closely related ones, all of them run in one go.
//!
//! A rule is a constant with its code, why it exists, a bad sample and what to do; the same text makes
//! `docs/errors-book.md`. Rules look at the resolved book; what could not be read is silent here, because it has been
//! reported already.

pub(crate) mod names;
pub(crate) mod texts;

use crate::spot::Spots;
use faults::{Collector, Fault, Rule, Span};
use model::Book;

/// Declares a rule as a constant.
macro_rules! rule {
    ($name:ident $title:literal, why $why:literal, bad $bad:literal, help $help:literal) => {
        #[doc = $why]
        pub(crate) const $name: faults::Rule = faults::Rule {
            code: stringify!($name),
            title: $title,
            why: $why,
            bad_sample: $bad,
            help: $help,
        };
    };
}
pub(crate) use rule;

/// What the rules look at.
pub(crate) struct Subject<'b> {
    pub(crate) book: &'b Book,
    pub(crate) spots: &'b Spots,
    pub(crate) bag: &'b Collector,
}

/// All rules of books, by group; [`faults::page`] and [`faults::find`] take them as they are.
pub const RULES: &[&[Rule]] = &[names::RULES, texts::RULES];

/// Runs every rule.
pub(crate) fn check(subject: &Subject<'_>) {
    const CHECKS: &[fn(&Subject<'_>)] = &[];
    CHECKS.iter().for_each(|check| check(subject));
}

/// An error by a rule, with the rule's help.
pub(crate) fn error(rule: &Rule, message: impl Into<String>, span: Span, label: impl Into<String>) -> Fault {
    Fault::error(rule.code, message).at(span, label).help(rule.help)
}

/// A warning by a rule, with the rule's help.
pub(crate) fn warning(
    rule: &Rule,
    message: impl Into<String>,
    span: Span,
    label: impl Into<String>,
) -> Fault {
    Fault::warning(rule.code, message).at(span, label).help(rule.help)
}
