//! Tightening figures that the book does not have, as the bench shows them: what was said of each, and what seems odd.

use bolting::guard::{TorqueVerdict, judge_torque, likely_unit_slip_from};
use model::{Book, FIGURE_MISSING_ADVICE, FIGURE_MISSING_WORDS, Fixing};
use record::Visit;
use record::visit::FigureWord;
use units::Torque;

/// A fixing without a figure in the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingFigure {
    /// Fixing key.
    pub fixing: String,
    /// What a person calls it.
    pub title: String,
    /// What was said of it: "45 N·m (p. 2-14; N. N.)", "no figure, N. N."; `None`: nothing yet.
    pub word: Option<String>,
    /// Why the figure that was given seems odd.
    pub remark: Option<String>,
}

/// The fixings of a step without a figure in the book.
#[must_use]
pub fn missing_figures(book: &Book, visit: &Visit, fixings: &[String]) -> Vec<MissingFigure> {
    let known = fixings.iter().filter_map(|key| book.fixing_by_key(key)).map(|id| book.fixing(id));
    known.filter(|f| f.is_figure_missing()).map(|f| missing_figure(f, visit)).collect()
}

fn missing_figure(fixing: &Fixing, visit: &Visit) -> MissingFigure {
    let word = visit.figures.word_on(&fixing.key);
    let remark = match word {
        Some(FigureWord::Given { figure, .. }) => figure_remark(fixing, figure),
        Some(FigureWord::Waived { .. }) | None => None,
    };
    MissingFigure {
        fixing: fixing.key.clone(),
        title: fixing.title.clone(),
        word: word.map(FigureWord::as_words),
        remark,
    }
}

/// A step's sentence with what was said of its figures in the place of "figure missing".
#[must_use]
pub(super) fn sentence_with_figures(sentence: &str, figures: &[MissingFigure]) -> String {
    let words: Option<Vec<&str>> = figures.iter().map(|f| f.word.as_deref()).collect();
    match words.filter(|words| !words.is_empty()) {
        Some(words) => {
            let told = sentence.replace(FIGURE_MISSING_WORDS, &words.join("; "));
            told.replace(FIGURE_MISSING_ADVICE, "").trim_end().to_owned()
        }
        None => sentence.to_owned(),
    }
}

/// Why a figure given at the bench seems odd for its fastener: outside what its thread or hexagon can be tightened to,
/// and the unit that was perhaps meant. A guard: the maker's figure wins.
#[must_use]
pub fn figure_remark(fixing: &Fixing, figure: &str) -> Option<String> {
    let first = figure.split(',').next()?.trim();
    let (torque, unit) = Torque::parse_with_unit(first).ok()?;
    let window = fixing.plausible_torques()?;
    let odd = match judge_torque(torque, &window) {
        TorqueVerdict::Plausible => return None,
        TorqueVerdict::Unusual => "unusual",
        TorqueVerdict::Absurd => "absurd",
    };
    let angle_follows = figure.contains('°') || figure.contains("deg");
    if angle_follows && torque <= window.range.high() {
        return None;
    }
    let what = fixing.thread.map_or_else(|| fixing.drive.to_string(), |t| t.to_string());
    let (low, high) = (window.range.low(), window.range.high());
    let (low, high) = (low.show_in(&Torque::UNITS[0], 2), high.show_in(&Torque::UNITS[0], 2));
    let slip = likely_unit_slip_from(torque, unit, &window.range).map_or_else(String::new, |slip| {
        let meant = slip.meant.show_in(&Torque::UNITS[0], 3);
        format!("; was {} meant instead of {}? that would be {meant}", slip.meant_in, slip.written_as)
    });
    Some(format!("{first} is {odd} for {what}: plausible are {low} to {high}{slip}"))
}
