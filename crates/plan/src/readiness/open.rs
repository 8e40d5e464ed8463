//! What stands open: one line for each question, for all fasteners that it is asked of; and the verdicts that follow.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Coverage, MissingFigureLine, OpenKind, OpenLine, ReadinessVerdict, ReadinessVerdicts};
use model::{Book, FixingId, Known, ReachVerdict};

use super::{counted_words, figures, trade};
use crate::scope::PlanScope;

/// Most fixings named in one sentence.
const MAX_NAMED: usize = 3;

/// Fasteners of fixings by the question that is asked of them.
type AskedFasteners = BTreeMap<(OpenKind, &'static str), BTreeMap<FixingId, BTreeSet<u16>>>;

/// The questions of a scope, by kind, then by what they ask.
pub(super) fn open_lines(book: &Book, scope: &PlanScope) -> Vec<OpenLine> {
    let mut asked: AskedFasteners = BTreeMap::new();
    for duty in scope.duties.iter().filter(|duty| duty.verdict != ReachVerdict::Proven) {
        let id = duty.duty.fixing;
        let doubts = book.reach_doubts(id, duty.duty.access);
        let mut ask = |kind: OpenKind, figure: &'static str| {
            asked.entry((kind, figure)).or_default().entry(id).or_default().extend(&duty.holes);
        };
        doubts.not_known.iter().for_each(|figure| ask(OpenKind::FigureNotKnown, figure));
        if duty.verdict == ReachVerdict::Likely {
            doubts.assumed.iter().for_each(|figure| ask(OpenKind::NotProven, figure));
            if doubts.assumed.is_empty() {
                ask(OpenKind::NotProven, ROOM_IN_DOUBT);
            }
        }
    }
    let lines = asked.into_iter().map(|((kind, figure), fixings)| open_line(book, kind, figure, &fixings));
    let missing = figures::missing_figure_lines(book, scope);
    let mut lines: Vec<OpenLine> =
        lines.chain(missing_line(&missing)).chain(trade::trade_lines(book, scope)).collect();
    lines.sort();
    lines
}

/// What a likely fastener rests on where nothing is assumed: figures between two ends.
const ROOM_IN_DOUBT: &str = "figures of head or room that are in doubt";

fn open_line(
    book: &Book,
    kind: OpenKind,
    figure: &str,
    fixings: &BTreeMap<FixingId, BTreeSet<u16>>,
) -> OpenLine {
    let fasteners: usize = fixings.values().map(BTreeSet::len).sum();
    let titles: Vec<&str> = fixings.keys().map(|id| book.fixing(*id).title.as_str()).collect();
    let of = fasteners_words(fasteners, &titles);
    let words = match kind {
        OpenKind::FigureNotKnown => {
            format!("{} not known for {of}. {}", capitalised(figure), settling_words(figure))
        }
        OpenKind::NotProven if figure == ROOM_IN_DOUBT => {
            format!("Likely, not proven, for {of}: {figure}. Measure the head or the room.")
        }
        OpenKind::NotProven if figure == model::UNCITED_TORQUE_FIGURE => {
            format!(
                "Likely, not proven, for {of}: their tightening torque has no citation. {}",
                settling_words(figure)
            )
        }
        OpenKind::NotProven
        | OpenKind::TighteningMissing
        | OpenKind::AskFirst
        | OpenKind::Support
        | OpenKind::TradeQuestion => {
            format!("Likely, not proven, for {of}: {figure} is assumed. {}", settling_words(figure))
        }
    };
    let mut keys: Vec<String> = fixings.keys().map(|id| book.fixing(*id).key.clone()).collect();
    keys.sort();
    OpenLine { kind, words, fasteners: u32::try_from(fasteners).unwrap_or(u32::MAX), fixings: keys }
}

/// "The room is", "The height of the head is".
fn capitalised(figure: &str) -> String {
    let mut letters = figure.chars();
    let first = letters.next().map_or_else(String::new, |letter| letter.to_uppercase().to_string());
    format!("{first}{} is", letters.as_str())
}

/// What settles a question.
fn settling_words(figure: &str) -> &'static str {
    match figure {
        model::DRIVE_FIGURE => "Look what a tool takes hold of.",
        "the room" => {
            "Say which room it is (open, at arm's length, deep, from beside only, blind), or measure it."
        }
        "the height of the head" => "Measure the head.",
        "that the way is straight" => "Look whether the way to the head bends.",
        "how far the stud stands above the nut" => "Measure the stud above the nut.",
        model::UNCITED_TORQUE_FIGURE => "Give the figure's document with page, table or step.",
        _ => "Give the tightening figure with its source.",
    }
}

/// "10 fasteners (1 fixing): cover bolts".
fn fasteners_words(fasteners: usize, titles: &[&str]) -> String {
    let more = match titles.len().saturating_sub(MAX_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let named = titles.iter().take(MAX_NAMED).copied().collect::<Vec<_>>().join(", ");
    let counted = counted_words(titles.len(), "fixing");
    format!("{} ({counted}: {named}{more})", counted_words(fasteners, "fastener"))
}

fn missing_line(missing: &[MissingFigureLine]) -> Option<OpenLine> {
    let words = figures::missing_figure_words(missing)?;
    let mut fixings: Vec<String> = missing.iter().map(|line| line.fixing.clone()).collect();
    fixings.sort();
    let fasteners = missing.iter().map(|line| u32::from(line.count)).sum();
    Some(OpenLine { kind: OpenKind::TighteningMissing, words, fasteners, fixings })
}

/// The verdicts at the three moments; `lines` are the open ones.
#[must_use]
pub fn readiness_verdicts(
    against: &[String],
    missing: &[MissingFigureLine],
    coverage: &Coverage,
    lines: &[OpenLine],
) -> ReadinessVerdicts {
    let is_asked = |line: &OpenLine| matches!(line.kind, OpenKind::Support | OpenKind::TradeQuestion);
    let is_told = !lines.iter().any(is_asked);
    let first_bolt = if !against.is_empty() {
        ReadinessVerdict::No
    } else if coverage.is_whole() && is_told {
        ReadinessVerdict::Go
    } else {
        ReadinessVerdict::Open
    };
    let figures = if missing.is_empty() { ReadinessVerdict::Go } else { ReadinessVerdict::Open };
    let refit = first_bolt.max(figures);
    ReadinessVerdicts { first_bolt, refit, first_start: refit }
}

/// Kinds of figures that a plan assumes because nothing is told of them.
pub(super) fn assumed_figures(book: &Book, scope: &PlanScope) -> Vec<String> {
    let is_told = |time: Known<units::Duration>| time.is_known();
    let parts = scope.parts.iter().map(|(id, _)| book.part(*id));
    let part_times =
        parts.clone().filter(|part| !is_told(part.lift_time) || !is_told(part.place_time)).count();
    let tasks = scope.tasks.iter().filter(|id| !is_told(book.task(**id).work)).count();
    let in_way = book.fixings.iter().filter(|fixing| scope.way_of(fixing.part).is_some());
    let engaged = in_way.filter(|fixing| fixing.thread.is_some() && !fixing.engagement.is_known()).count();
    let stations: BTreeSet<usize> = parts.map(|part| part.station.index()).collect();
    let moves = stations.iter().filter(|at| !is_told(book.stations[**at].enter)).count();
    let lines = [
        (part_times, "part", "times to lift off and to set in place"),
        (tasks, "task", "times of the work itself"),
        (engaged, "fixing", "lengths of thread"),
        (moves, "station", "times to get into position"),
    ];
    let told = lines.into_iter().filter(|(count, ..)| *count > 0);
    told.map(|(count, what, of)| format!("{of} ({})", counted_words(count, what))).collect()
}
