//! What an event says of a tightening figure that the book does not have.

use std::collections::BTreeSet;

use crate::visit::FigureWord;
use crate::{EventStamp, Visit};

/// Notes the fixings for which the book in force has no figure; what was said before is held to it too.
pub(super) fn note_missing_figures(visit: &mut Visit, missing: &BTreeSet<String>, stamp: &EventStamp) {
    visit.figures.missing.clone_from(missing);
    let seen = visit.seen.fixings.iter().filter(|(_, fixing)| fixing.is_turned());
    visit.figures.missing.extend(seen.map(|(key, _)| key.clone()));
    let missing = visit.figures.missing.clone();
    for fixing in missing.iter().filter(|f| visit.figures.word_on(f).is_none()) {
        visit.fasteners.of_fixing_mut(fixing).for_each(|f| f.loosen_to_run_in(stamp));
    }
}

pub(super) fn give_figure(
    visit: &mut Visit,
    fixing: &str,
    figure: &str,
    source: &str,
    name: &str,
    stamp: EventStamp,
) {
    let (figure, source, name) = (figure.to_owned(), source.to_owned(), name.to_owned());
    take_word(visit, fixing, FigureWord::Given { figure, source, name, stamp: stamp.clone() }, &stamp);
}

pub(super) fn waive_figure(visit: &mut Visit, fixing: &str, reason: &str, name: &str, stamp: EventStamp) {
    let (reason, name) = (reason.to_owned(), name.to_owned());
    take_word(visit, fixing, FigureWord::Waived { reason, name, stamp: stamp.clone() }, &stamp);
}

fn take_word(visit: &mut Visit, fixing: &str, word: FigureWord, stamp: &EventStamp) {
    if visit.figures.take_word(fixing, word) {
        visit.fasteners.of_fixing_mut(fixing).for_each(|f| f.loosen_to_run_in(stamp));
    }
}
