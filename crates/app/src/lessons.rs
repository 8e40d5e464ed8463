//! What the visits of one engine teach about it, as proposals with the number of visits behind each: order and times.
//!
//! Visits are of one engine where they take off parts of one book, by key. Nothing is changed by it: a person says in *Open
//! questions* what need not be off before what, or writes it into the book.

use learn::act_times::learn_act_times;
use learn::precedence::{LearnedOrder, learn_order};
use learn::visits::{ActPause, EngineVisit, PartRemoval};
use model::Book;
use record::{ToldWhat, Visit};

use crate::text::table::{PageWidth, bullet, count_with_noun, heading, spoken_time};
use crate::titles;
use crate::workshop::{VisitId, Workshop, WorkshopError};

/// Lines of one list, at most; the rest is counted.
const MAX_LINES: usize = 60;

/// What the visits of a journal teach about the engine of a book, as text.
///
/// # Errors
/// [`WorkshopError::Missing`] where no visit took any part of it off; [`WorkshopError::Rest`] where their histories cannot be learned from.
pub fn learn_from_visits(
    workshop: &mut Workshop,
    book: &Book,
    width: PageWidth,
) -> Result<String, WorkshopError> {
    let (mut visits, mut freed) = (Vec::new(), Vec::new());
    for id in workshop.list_visits()? {
        take_visit(&id, workshop.visit(&id)?.state(), book, (&mut visits, &mut freed));
    }
    if visits.is_empty() {
        let words = format!("no visit in this journal took a part of `{}` off", book.key);
        return Err(WorkshopError::Missing(words));
    }
    let fault = |fault: learn::visits::HistoryFault| WorkshopError::Rest(fault.to_string());
    let order = learn_order(&visits, &freed).map_err(fault)?;
    let times = learn_act_times(&visits).map_err(fault)?;
    let mut out = format!("{} of this engine\n", count_with_noun(visits.len(), "visit"));
    push_order(book, &order, visits.len(), &mut out, width);
    out.push_str(&heading("times to take a part off, its fasteners with it"));
    for time in times.iter().take(MAX_LINES) {
        let range = time.range_s.as_ref().map_or_else(String::new, |range| {
            format!(
                ", between {} and {} in 90 of 100 cases",
                spoken_time(range.low_figure),
                spoken_time(range.high_figure)
            )
        });
        let few = if time.is_few { "; few times, they say little" } else { "" };
        let words = format!(
            "{}: {}{range}, from {}, {} cut as breaks{few}",
            titles::part_title(book, &time.part),
            spoken_time(time.typical_s),
            count_with_noun(time.kept, "time"),
            time.cut
        );
        out.push_str(&bullet(width, "  - ", &words));
    }
    Ok(out)
}

/// Adds what a visit took off, and the pairs that were freed in it, where it took off parts of the book.
pub(crate) fn take_visit(
    id: &VisitId,
    state: &Visit,
    book: &Book,
    (visits, freed): (&mut Vec<EngineVisit>, &mut Vec<(String, String)>),
) {
    let visit = engine_visit(id.as_str(), state, book);
    if !visit.removals.is_empty() {
        visits.push(visit);
        freed.extend(freed_pairs(state));
    }
}

fn push_order(book: &Book, order: &LearnedOrder, visits: usize, out: &mut String, width: PageWidth) {
    let title = |key: &str| titles::part_title(book, key);
    out.push_str(&heading("order"));
    if order.proposed.is_empty() {
        let words = format!(
            "nothing is proposed: {} {} told by chance from need; every order that was seen is kept",
            count_with_noun(visits, "visit"),
            if visits == 1 { "cannot be" } else { "cannot yet be" }
        );
        out.push_str(&bullet(width, "  - ", &words));
    }
    for pair in order.proposed.iter().take(MAX_LINES) {
        let words = format!(
            "{} comes off before {}: {}, {} the other way round; by chance alone {:.1} times in 100",
            title(&pair.first),
            title(&pair.then),
            count_with_noun(pair.visits, "visit"),
            pair.contradictions,
            pair.chance_probability * 100.0
        );
        out.push_str(&bullet(width, "  - ", &words));
    }
    let words = format!(
        "{} kept as they were seen, {} seen both ways: either may come first",
        count_with_noun(order.all_candidates, "pair"),
        count_with_noun(order.free_pairs, "pair")
    );
    out.push_str(&bullet(width, "  - ", &words));
    for pair in order.unsettled.iter().take(MAX_LINES) {
        let words = format!(
            "{} and {}: the visits contradict each other in a circle; look",
            title(&pair.first),
            title(&pair.then)
        );
        out.push_str(&bullet(width, "  ? ", &words));
    }
    out.push_str(&heading("an order that keeps everything seen"));
    let titles: Vec<String> = order.safe_order.iter().map(|key| title(key)).collect();
    out.push_str(&bullet(width, "  - ", &titles.join(", ")));
}

/// Parts of the book in the order in which a visit took them off, each from the end of the one before it.
fn engine_visit(name: &str, visit: &Visit, book: &Book) -> EngineVisit {
    let second = |at_ms: i64| at_ms as f64 / 1_000.0;
    let mut off: Vec<(&str, &record::EventStamp)> = visit
        .parts
        .iter()
        .filter(|(key, _)| book.part_by_key(key).is_some())
        .filter_map(|(key, part)| Some((key.as_str(), part.made.as_ref()?)))
        .collect();
    off.sort_by(|a, b| a.1.order.cmp(&b.1.order));
    let mut begin_s = visit.opened.as_ref().map_or(0.0, |opened| second(opened.stamp.at_ms));
    let mut removals = Vec::new();
    for (part, stamp) in off {
        let end_s = second(stamp.at_ms).max(begin_s);
        let pauses = visit.pauses.iter().filter_map(|pause| {
            let (from_s, to_s) = (second(pause.stamp.at_ms), second(pause.resumed.as_ref()?.at_ms));
            (from_s >= begin_s && to_s <= end_s && from_s <= to_s)
                .then_some(ActPause { begin_s: from_s, end_s: to_s })
        });
        removals.push(PartRemoval { part: part.to_owned(), begin_s, end_s, pauses: pauses.collect() });
        begin_s = end_s;
    }
    EngineVisit { name: name.to_owned(), removals }
}

/// Pairs of which a person said that the one need not be off before the other.
fn freed_pairs(visit: &Visit) -> Vec<(String, String)> {
    let words = visit.seen.part_words.iter().flat_map(|(part, words)| {
        let freed = words.get(&ToldWhat::NotAfter).map(Vec::as_slice).unwrap_or_default();
        freed.iter().map(move |word| (word.value.clone(), part.clone()))
    });
    words.collect()
}
