//! Tightening figures that the book does not have: which fixings stay run in until somebody gives one.

use model::Book;
use model::plan::MissingFigureLine;

use super::counted_words;
use crate::scope::PlanScope;

/// Most fixings named in one sentence.
const MAX_NAMED: usize = 3;

/// The fixings of the parts in the way whose figure is missing, in the order of the parts.
pub(super) fn missing_figure_lines(book: &Book, scope: &PlanScope) -> Vec<MissingFigureLine> {
    let fixings = scope.parts.iter().flat_map(|(part, _)| book.fixings_of(*part)).map(|id| book.fixing(id));
    let missing = fixings.filter(|f| f.is_figure_missing());
    let line = |f: &model::Fixing| MissingFigureLine {
        fixing: f.key.clone(),
        title: f.title.clone(),
        count: u16::try_from(f.holes.len()).unwrap_or(u16::MAX),
    };
    missing.map(line).collect()
}

/// What stands against the refit, if a figure is missing.
#[must_use]
pub fn missing_figure_words(missing: &[MissingFigureLine]) -> Option<String> {
    if missing.is_empty() {
        return None;
    }
    let fasteners: usize = missing.iter().map(|m| usize::from(m.count)).sum();
    let named: Vec<&str> = missing.iter().take(MAX_NAMED).map(|m| m.title.as_str()).collect();
    let more = match missing.len().saturating_sub(MAX_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Some(format!(
        "The tightening figure is missing for {} ({}): {}{more}. Give it with its source, or answer for it by name.",
        counted_words(fasteners, "fastener"),
        counted_words(missing.len(), "fixing"),
        named.join(", "),
    ))
}
