//! The book as a whole: it has something to plan, and counts count.
//!
//! Why: a book without parts has nothing to take off, one without tasks nothing to do it for.

use super::{RuleSubject, rule};
use faults::{Fault, FaultRule};

rule! { B120 "nothing to plan",
why "A book needs at least one part; without a task there is nothing to plan, though slots and labels can be had.",
bad "# no [[task]] in any file",
help "add a `[[part]]` and a `[[task]]`; check that every file of the book was given." }
rule! { B123 "count of zero",
why "A supply or an opening with a count of zero is a slip: it would vanish from the list of what to get.",
bad "supplies   = [{ name = \"seal\", count = 0 }]",
help "write how many there are, or remove the line." }

pub(super) const RULES: &[FaultRule] = &[B120, B123];

pub(super) fn check_whole_book(subject: &RuleSubject<'_>) {
    b120_nothing_to_plan(subject);
    b123_count_of_nothing(subject);
}

fn b120_nothing_to_plan(subject: &RuleSubject<'_>) {
    let book = subject.book;
    if book.parts.is_empty() {
        subject.bag.push(Fault::error(B120.code, "the book has no part").help(B120.help));
    } else if book.tasks.is_empty() {
        subject.bag.push(Fault::warning(B120.code, "the book has no task").help(B120.help));
    }
}

fn b123_count_of_nothing(subject: &RuleSubject<'_>) {
    let (book, spots) = (subject.book, subject.spots);
    let openings = book.openings.iter().zip(&spots.openings).map(|(o, s)| (o.title.as_str(), o.count, s));
    let conditions =
        book.conditions.iter().zip(&spots.conditions).map(|(c, s)| (&c.supplies, s.key("supplies")));
    let tasks = book.tasks.iter().zip(&spots.tasks).map(|(t, s)| (&t.supplies, s.key("supplies")));
    let parts = book.parts.iter().zip(&spots.parts).map(|(p, s)| (&p.renew_with, s.key("renew_with")));
    let lists = conditions.chain(tasks).chain(parts);
    let supplies = lists.flat_map(|(list, spot)| {
        list.iter().enumerate().map(|(i, supply)| (supply.name.as_str(), supply.count, spot.item(i)))
    });
    for (name, _, spot) in openings.chain(supplies).filter(|(_, count, _)| *count == 0) {
        let message = format!("`{name}` has a count of 0");
        subject.bag.push(super::rule_error(&B123, message, spot.key("count").span, "zero"));
    }
}
