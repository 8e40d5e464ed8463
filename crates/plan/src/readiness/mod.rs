//! Readiness: what can be worked, what stands open and what to get, read off the scope, the book and the store.
//!
//! A gap is a duty of the scope that nothing at hand can do at any value of the figures in doubt. At each of three moments
//! the verdict is *no* where something known cannot be done (gaps, tools not at hand), *open* where a fastener is not
//! proven or a question stands, else *go*. A missing tightening figure stands against the refit and not the strip: the
//! figure can be looked up meanwhile.

mod figures;
mod gaps;
mod not_at_hand;
mod open;
mod rescue;
mod shopping;
mod supplies;
mod tightening;
mod trade;

pub use figures::missing_figure_words;
pub use open::readiness_verdicts;
pub(crate) use shopping::merge_specs;
pub use trade::open_ends_words;

use std::collections::BTreeSet;

use model::plan::{CapLine, Gap, NotAtHandLine, Readiness, ReadinessVerdict};
use model::{Book, MissKind, Store};
use units::Torque;

use crate::coverage::coverage_of_scope;
use crate::looks::rank_looks;
use crate::scope::PlanScope;

/// The first line of every sheet.
pub const SERVICE_DATA: &str = "Follow the maker's service data.";

/// What every sheet of a plan says whose book is invented.
pub const INVENTED_NOTE: &str = "All figures of this book are invented.";

/// The readiness sheet of a scope.
#[must_use]
pub fn readiness_sheet(book: &Book, store: &Store, scope: &PlanScope) -> Readiness {
    let gaps = gaps::list_gaps(book, store, scope);
    let (coverage, proven_by_class) = coverage_of_scope(book, scope);
    let mut open = open::open_lines(book, scope);
    open.extend(tightening::ask_first_lines(book, scope));
    open.sort();
    let not_at_hand = not_at_hand::list_not_at_hand(book, store, scope, &gaps);
    let mut shopping = shopping::shopping_of_gaps(&gaps);
    shopping.extend(not_at_hand::special_tool_shopping(book, store, scope));
    let against = reasons_against(book, scope, &gaps, &not_at_hand);
    let figures_missing = figures::missing_figure_lines(book, scope);
    let against_refit: Vec<String> = missing_figure_words(&figures_missing).into_iter().collect();
    let verdict = readiness_verdicts(&against, &figures_missing, &coverage, &open);
    Readiness {
        coverage,
        proven_by_class,
        verdict,
        go: verdict.first_bolt == ReadinessVerdict::Go && verdict.refit == ReadinessVerdict::Go,
        open,
        looks: if coverage.is_whole() { Vec::new() } else { rank_looks(book, store, scope, 1) },
        assumed: open::assumed_figures(book, scope),
        book_note: book.is_invented.then(|| INVENTED_NOTE.to_owned()),
        against,
        against_refit,
        figures_missing,
        shopping,
        not_at_hand,
        supplies: supplies::supply_lines(book, scope),
        rescue: rescue::rescue_lines(book, scope),
        caps: cap_lines(book, scope),
        safety: safety_lines(book, scope),
        brittle: brittle_parts(book, scope),
        gaps,
    }
}

fn reasons_against(
    book: &Book,
    scope: &PlanScope,
    gaps: &[Gap],
    not_at_hand: &[NotAtHandLine],
) -> Vec<String> {
    let sentences = [
        unworkable_words(scope, book, gaps),
        uncovered_torque_words(book, scope, gaps),
        away_words(not_at_hand),
    ];
    sentences.into_iter().flatten().collect()
}

/// Fasteners with a gap that is not merely a torque that nothing shows.
fn unworkable_words(scope: &PlanScope, book: &Book, gaps: &[Gap]) -> Option<String> {
    let holes: BTreeSet<(&str, u16)> = gaps
        .iter()
        .filter(|g| g.kind != MissKind::TorqueRange)
        .flat_map(|g| holes_of_gap(scope, book, g).into_iter().map(|h| (g.fixing.as_str(), h)))
        .collect();
    let fixings: BTreeSet<&str> = holes.iter().map(|(f, _)| *f).collect();
    let fasteners = counted_words(holes.len(), "fastener");
    let fixings = counted_words(fixings.len(), "fixing");
    (!holes.is_empty()).then(|| format!("{fasteners} in {fixings} cannot be worked with the tools at hand."))
}

fn counted_words(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

fn holes_of_gap(scope: &PlanScope, book: &Book, gap: &Gap) -> Vec<u16> {
    let same = |d: &&crate::scope::ScopedDuty| {
        let duty = d.duty;
        (duty.access, duty.act, duty.stage) == (gap.access, gap.act, gap.stage)
            && book.fixing(duty.fixing).key == gap.fixing
    };
    scope.duties.iter().find(same).map_or_else(Vec::new, |d| d.holes.clone())
}

/// Torques that no torque tool at hand covers.
fn uncovered_torque_words(book: &Book, scope: &PlanScope, gaps: &[Gap]) -> Option<String> {
    if !gaps.iter().any(|g| g.kind == MissKind::TorqueRange) {
        return None;
    }
    let mut figures: Vec<Torque> = scope
        .duties
        .iter()
        .filter(|d| d.workings.is_empty())
        .filter(|d| d.miss.as_ref().is_some_and(|m| m.kind == MissKind::TorqueRange))
        .filter_map(|d| d.duty.torque(book.fixing(d.duty.fixing)))
        .collect();
    figures.sort_by(|a, b| a.as_n_m().total_cmp(&b.as_n_m()));
    let mut words: Vec<String> = figures.iter().map(ToString::to_string).collect();
    words.dedup();
    let what = if words.is_empty() { "the torque required".to_owned() } else { words.join(", ") };
    Some(format!("No torque tool at hand covers {what} with what fits there."))
}

fn away_words(not_at_hand: &[NotAtHandLine]) -> Option<String> {
    let named: Vec<String> =
        not_at_hand.iter().map(|n| format!("{} ({})", n.title, n.state.spoken_word())).collect();
    (!named.is_empty()).then(|| format!("Not at hand: {}.", named.join(", ")))
}

fn cap_lines(book: &Book, scope: &PlanScope) -> Vec<CapLine> {
    let line = |part: &model::Part, id: &model::OpeningId| {
        let opening = book.opening(*id);
        CapLine {
            opening: opening.key.clone(),
            cap: opening.cap.clone(),
            count: opening.count,
            uncovered_by: part.key.clone(),
        }
    };
    let parts = scope.parts.iter().map(|(id, _)| book.part(*id));
    parts.flat_map(|part| part.uncovers.iter().map(move |id| line(part, id))).collect()
}

fn safety_lines(book: &Book, scope: &PlanScope) -> Vec<String> {
    let states = scope.conditions.iter().map(|id| book.condition(*id)).filter(|c| c.safety);
    let told = states.map(|c| format!("{}: {}", c.title, c.establish));
    core::iter::once(SERVICE_DATA.to_owned()).chain(told).collect()
}

fn brittle_parts(book: &Book, scope: &PlanScope) -> Vec<String> {
    let parts = scope.parts.iter().map(|(id, _)| book.part(*id));
    parts.filter(|p| p.brittle).map(|p| p.title.clone()).collect()
}
