//! The rules of a good book: one file for each group of closely related ones, all run in one pass.
//!
//! A rule is a constant with its code, why it exists, a bad sample and what to do; the same text makes
//! `docs/errors-book.md`. Rules look at the resolved book; what could not be read is skipped here, because it has been
//! reported already.

mod bends;
mod care;
mod circle;
mod conditions;
mod corridors;
mod drives;
mod graph;
mod holes;
mod joints;
mod measures;
pub(crate) mod names;
mod openings;
mod parts;
mod rooms;
mod served;
pub(crate) mod settings;
mod stages;
pub(crate) mod texts;
mod threads;
mod tightening_order;
mod torques;
mod ways;
mod whole;
mod world;

use crate::reader::BookSpots;
use faults::{Fault, FaultCollector, FaultRule, SourceSpan};
use fields::ValueSpot;
use model::{Access, Book, ConditionKind, Fixing, PartId};
use std::collections::BTreeSet;

/// Declares a rule as a constant.
macro_rules! rule {
    ($name:ident $title:literal, why $why:literal, bad $bad:literal, help $help:literal) => {
        #[doc = $why]
        pub(crate) const $name: faults::FaultRule = faults::FaultRule {
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
pub(crate) struct RuleSubject<'b> {
    book: &'b Book,
    spots: &'b BookSpots,
    bag: &'b FaultCollector,
    /// Parts with a fixing that is tightened.
    fixing_stages: BTreeSet<PartId>,
    /// Parts that another part needs off.
    needed_off: BTreeSet<PartId>,
    /// Whether anything is drained, and so filled again.
    is_filled: bool,
}

impl<'b> RuleSubject<'b> {
    fn new(book: &'b Book, spots: &'b BookSpots, bag: &'b FaultCollector) -> Self {
        let tightened = book.fixings.iter().filter(|f| !f.tightening.stages.is_empty());
        let fixing_stages = tightened.map(|f| f.part).collect();
        let is_filled = book.conditions.iter().any(|c| c.kind == ConditionKind::Drained);
        Self { book, spots, bag, fixing_stages, needed_off: parts::parts_needed_off(book), is_filled }
    }

    /// All fixings with their places.
    fn fixings(&self) -> impl Iterator<Item = (&'b Fixing, &'b ValueSpot)> + use<'b> {
        self.book.fixings.iter().zip(&self.spots.fixings)
    }

    /// Fixings whose own figures could all be read.
    fn sound_fixings(&self) -> impl Iterator<Item = (&'b Fixing, &'b ValueSpot)> + use<'b> {
        self.fixings().filter(|(_, spot)| !spot.bad)
    }

    /// Accesses that could be read.
    fn accesses(&self) -> impl Iterator<Item = (&'b Fixing, &'b Access, &'b ValueSpot)> + use<'b> {
        self.fixings().flat_map(|(fixing, spot)| {
            let spots = &spot.key("access").items;
            let pairs = fixing.accesses.iter().zip(spots).filter(|(_, spot)| !spot.bad);
            pairs.map(move |(access, spot)| (fixing, access, spot))
        })
    }
}

/// All rules of books, by group; `faults::scrolling_page` and [`faults::find_rule`] take them as they are.
pub const RULES: &[&[FaultRule]] = &[
    names::RULES,
    texts::RULES,
    whole::RULES,
    measures::RULES,
    circle::RULES,
    ways::RULES,
    conditions::RULES,
    openings::RULES,
    parts::RULES,
    holes::RULES,
    served::RULES,
    threads::RULES,
    stages::RULES,
    torques::RULES,
    drives::RULES,
    care::RULES,
    joints::RULES,
    tightening_order::RULES,
    corridors::RULES,
    bends::RULES,
    rooms::RULES,
    settings::RULES,
    world::RULES,
];

/// Runs every rule.
pub(crate) fn run_book_rules(book: &Book, spots: &BookSpots, bag: &FaultCollector) {
    const CHECKS: &[fn(&RuleSubject<'_>)] = &[
        whole::check_whole_book,
        measures::check_measures,
        circle::check_precedence,
        ways::check_ways,
        conditions::check_conditions,
        openings::check_openings,
        parts::check_parts,
        holes::check_holes,
        served::check_access_coverage,
        threads::check_threads,
        stages::check_stages,
        torques::check_torques,
        drives::check_drives,
        care::check_fastener_care,
        joints::check_joints,
        tightening_order::check_tightening_order,
        corridors::check_corridors,
        bends::check_bends,
        rooms::check_rooms,
        world::check_world,
    ];
    let subject = RuleSubject::new(book, spots, bag);
    CHECKS.iter().for_each(|check| check(&subject));
}

/// An error by a rule, with the rule's help.
pub(crate) fn rule_error(
    rule: &FaultRule,
    message: impl Into<String>,
    span: SourceSpan,
    label: impl Into<String>,
) -> Fault {
    Fault::error(rule.code, message).at(span, label).help(rule.help)
}

/// A warning by a rule, with the rule's help.
pub(crate) fn rule_warning(
    rule: &FaultRule,
    message: impl Into<String>,
    span: SourceSpan,
    label: impl Into<String>,
) -> Fault {
    Fault::warning(rule.code, message).at(span, label).help(rule.help)
}
