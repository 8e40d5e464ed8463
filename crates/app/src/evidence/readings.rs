//! The readings of a visit as boards: one for each measure, each place judged against its limits, the places against each other.
//!
//! The book has the limits and how far the gauge may be off; what a person says of the gauge in hand counts before it. Without
//! either, a single reading is judged as it stands, and the board says so (`trend::reading_verdict`).

// symbol: values, value, low, high, gauge_error, mean, gauge = figures in the unit of the board

use model::reading_kind::ReadingKind;
use model::{Book, Measure, MeasureLimits, TaskId};
use record::{MeasuredReading, Visit};
use trend::places::{PlaceReadings, SpreadJudgement, SpreadLimit, judge_spread, worst_outcome};
use trend::reading_verdict::{
    DecisionRule, MeasureAgain, ReadingJudgement, ReadingLimit, ReadingOutcome, combine_gauge_uncertainty,
    judge_grades, judge_reading,
};
use units::significant;

/// What is said where nothing limits a reading.
const NO_LIMITS: &str = "the book tells no limits";
/// Digits of a reading that is shown as it was read.
const READ_DIGITS: u32 = 6;

/// A measure with what was read.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingBoard {
    /// Key of the book's measure; empty where the book asks for none.
    pub measure: String,
    /// What is measured.
    pub title: String,
    /// What kind of reading it is.
    pub kind: Option<ReadingKind>,
    /// What it is measured with.
    pub with: String,
    /// Its unit; empty for grades, and where the book does not tell.
    pub unit: String,
    /// Its limits as figures.
    pub limits: MeasureLimits,
    /// Its limits in words: `at most 20 %; highest and lowest within 10 %`.
    pub limit_words: String,
    /// The limits of one place in words: `at most 20 %`.
    pub place_limit_words: String,
    /// Grades of a look, the best first; empty for figures.
    pub grades: Vec<String>,
    /// Where the limits come from.
    pub source: String,
    /// Its places, in the book's order.
    pub places: Vec<ReadingPlace>,
    /// The lowest against the highest.
    pub spread: Option<ReadingVerdict>,
}

/// A place of a board.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingPlace {
    /// The place; empty for the only one.
    pub place: String,
    /// What is read there: `leak-down, cylinder 3`.
    pub what: String,
    /// The readings that count together; empty where nothing was read.
    pub readings: Vec<MeasuredReading>,
    /// What they come to; `None` where nothing was read.
    pub shown: Option<String>,
    /// How it stands against the limits; `None` without a reading or a limit.
    pub verdict: Option<ReadingVerdict>,
}

/// What a reading comes to, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingVerdict {
    /// Pass, fail, or too close to call.
    pub outcome: ReadingOutcome,
    /// In words: `within`, `too close to call`.
    pub words: String,
    /// What would settle it; empty where nothing is open.
    pub again: String,
}

impl ReadingBoard {
    /// What comes of all of it: fail where a place fails, pass where all pass; `None` where nothing was judged.
    #[must_use]
    pub fn outcome(&self) -> Option<ReadingOutcome> {
        let places = self.places.iter().filter_map(|place| place.verdict.as_ref());
        worst_outcome(places.chain(&self.spread).map(|verdict| verdict.outcome))
    }

    /// What lies outside its limits, in words for the owner; `None` where nothing does.
    #[must_use]
    pub fn outside_words(&self) -> Option<String> {
        let fails = |verdict: &ReadingVerdict| verdict.outcome == ReadingOutcome::Fail;
        let outside = self.places.iter().filter(|place| place.verdict.as_ref().is_some_and(fails));
        let told: Vec<String> = outside
            .map(|place| format!("{} {}", place.what, place.shown.as_deref().unwrap_or_default()))
            .collect();
        if !told.is_empty() {
            return Some(format!("{}, limit {}", told.join("; "), self.place_limit_words));
        }
        let spread = self.spread.as_ref().filter(|spread| fails(spread))?;
        Some(format!("{}: {}", self.title, spread.words))
    }

    /// Places at which nothing was read.
    #[must_use]
    pub fn unread_count(&self) -> usize {
        self.places.iter().filter(|place| place.readings.is_empty()).count()
    }

    /// Whether anything was read.
    #[must_use]
    pub fn is_begun(&self) -> bool {
        self.unread_count() < self.places.len()
    }

    /// The board of something that the book has no measure for.
    #[must_use]
    pub fn without_measure(title: &str) -> Self {
        let place = ReadingPlace {
            place: String::new(),
            what: title.to_owned(),
            readings: Vec::new(),
            shown: None,
            verdict: None,
        };
        Self {
            measure: String::new(),
            title: title.to_owned(),
            kind: None,
            with: String::new(),
            unit: String::new(),
            limits: MeasureLimits::default(),
            limit_words: String::from(NO_LIMITS),
            place_limit_words: String::from(NO_LIMITS),
            grades: Vec::new(),
            source: String::new(),
            places: vec![place],
            spread: None,
        }
    }
}

/// The boards of a task, in the book's order.
#[must_use]
pub fn boards_of_task(book: &Book, task: TaskId, visit: &Visit) -> Vec<ReadingBoard> {
    let of_task = book.measures.iter().filter(|measure| measure.task == Some(task));
    of_task.map(|measure| board_of_measure(measure, visit)).collect()
}

/// All boards of a visit: what its tasks ask for, what is asked whatever the task, and whatever was read besides.
#[must_use]
pub fn boards_of_visit(book: Option<&Book>, tasks: &[String], visit: &Visit) -> Vec<ReadingBoard> {
    let measures = book.map_or(&[][..], |book| book.measures.as_slice());
    let is_asked = |measure: &Measure| {
        let task = measure.task.and_then(|id| book.map(|book| book.task(id).key.as_str()));
        task.is_none_or(|key| tasks.iter().any(|asked| asked == key))
    };
    let boards = measures.iter().map(|measure| (is_asked(measure), board_of_measure(measure, visit)));
    let mut boards: Vec<ReadingBoard> =
        boards.filter(|(asked, board)| *asked || board.is_begun()).map(|(_, board)| board).collect();
    for taken in &visit.readings {
        let reading = &taken.reading;
        let is_known = measures.iter().any(|measure| place_of_reading(measure, reading).is_some());
        if is_known || boards.iter().any(|board| board.measure.is_empty() && board.title == reading.what) {
            continue;
        }
        boards.push(board_of_words(&reading.what, visit));
    }
    boards
}

/// The board of what somebody read without the book's asking.
#[must_use]
pub fn board_of_words(what: &str, visit: &Visit) -> ReadingBoard {
    let mut board = ReadingBoard::without_measure(what);
    let readings = visit.readings.iter().map(|taken| &taken.reading).filter(|reading| reading.what == what);
    let readings = readings_that_count(readings);
    let Some(last) = readings.last() else { return board };
    board.unit.clone_from(&last.unit);
    board.with.clone_from(&last.method);
    board.limits = MeasureLimits { unit: last.unit.clone(), low: last.low, high: last.high, ..board.limits };
    board.limit_words = limits_in_words(&board.limits, None);
    board.place_limit_words.clone_from(&board.limit_words);
    board.places[0] = judge_place("", what, readings, &board);
    board
}

/// The place of a measure that a reading is of; `None` where it is of another one.
fn place_of_reading<'m>(measure: &'m Measure, reading: &MeasuredReading) -> Option<&'m str> {
    let is_it = |place: &&str| match &reading.measure {
        Some(key) => *key == measure.key && reading.place == *place,
        None => reading.what == measure.name_at(place),
    };
    measure.named_places().into_iter().find(is_it)
}

/// The board of a measure.
#[must_use]
pub fn board_of_measure(measure: &Measure, visit: &Visit) -> ReadingBoard {
    let limits = measure.limits();
    let mut board = ReadingBoard {
        measure: measure.key.clone(),
        title: measure.title.clone(),
        kind: measure.kind,
        with: measure.with.clone().unwrap_or_default(),
        unit: limits.unit.clone(),
        limit_words: limits_in_words(&limits, measure.worst.as_deref()),
        place_limit_words: place_limits_in_words(&limits, measure.worst.as_deref())
            .unwrap_or_else(|| NO_LIMITS.into()),
        limits,
        grades: measure.grades.clone(),
        source: measure.source.clone(),
        places: Vec::new(),
        spread: None,
    };
    let places = measure.named_places().into_iter().map(|place| {
        let all = visit.readings.iter().map(|taken| &taken.reading);
        let here = all.filter(|reading| place_of_reading(measure, reading) == Some(place));
        let what = measure.name_at(place);
        if board.grades.is_empty() {
            judge_place(place, &what, readings_that_count(here), &board)
        } else {
            judge_grade_place(place, &what, readings_that_count(here), measure.worst_grade())
        }
    });
    board.places = places.collect();
    board.spread = judge_board_spread(&board);
    board
}

/// Of all readings of a place those that count: the last one that stands in the others' stead, and what was read once more after it.
fn readings_that_count<'r>(readings: impl Iterator<Item = &'r MeasuredReading>) -> Vec<MeasuredReading> {
    let mut counted: Vec<MeasuredReading> = Vec::new();
    for reading in readings {
        let is_same_gauge = counted
            .last()
            .is_some_and(|last| last.unit == reading.unit && last.gauge_error == reading.gauge_error);
        if !(reading.is_once_more && is_same_gauge) {
            counted.clear();
        }
        counted.push(reading.clone());
    }
    counted
}

fn limit_of(limits: &MeasureLimits) -> Option<ReadingLimit> {
    match (limits.low, limits.high) {
        (Some(low), Some(high)) => Some(ReadingLimit::Between(low, high)),
        (Some(low), None) => Some(ReadingLimit::AtLeast(low)),
        (None, Some(high)) => Some(ReadingLimit::AtMost(high)),
        (None, None) => None,
    }
}

/// Standard uncertainty of the gauge that a place was read with; `None` where nobody says how far it may be off.
fn gauge_uncertainty(readings: &[MeasuredReading], limits: &MeasureLimits) -> Option<f64> {
    let told = readings.last().and_then(|reading| reading.gauge_error).or(limits.gauge_error);
    combine_gauge_uncertainty(None, told)
}

fn judge_place(
    place: &str,
    what: &str,
    readings: Vec<MeasuredReading>,
    board: &ReadingBoard,
) -> ReadingPlace {
    let values: Vec<f64> = readings.iter().map(|reading| reading.value).collect();
    let unit = readings.last().map(|reading| reading.unit.clone());
    let is_of_unit = unit.as_ref().is_some_and(|unit| *unit == board.unit);
    let gauge = gauge_uncertainty(&readings, &board.limits);
    let judged = limit_of(&board.limits).filter(|_| is_of_unit).and_then(|limit| {
        let rule =
            if gauge.is_some() || values.len() > 1 { DecisionRule::Proven } else { DecisionRule::Simple };
        judge_reading(&values, gauge, limit, rule)
            .or_else(|_| judge_reading(&values, None, limit, DecisionRule::Simple))
            .ok()
    });
    ReadingPlace {
        place: place.to_owned(),
        what: what.to_owned(),
        shown: unit.map(|unit| values_in_words(&values, judged.as_ref(), &unit)),
        verdict: judged.map(|judged| verdict_of_reading(&judged, board)),
        readings,
    }
}

/// `9.2 bar`, or `9.15 bar, mean of 2`, with no more digits than its uncertainty deserves.
fn values_in_words(values: &[f64], judged: Option<&ReadingJudgement>, unit: &str) -> String {
    let figure = match values {
        [one] => significant(*one, READ_DIGITS),
        _ => {
            let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
            trend::shown::show_with_deviation(mean, judged.and_then(|judged| judged.standard_uncertainty))
        }
    };
    let of = if values.len() > 1 { format!(", mean of {}", values.len()) } else { String::new() };
    format!("{} {unit}{of}", figure.replace('-', "\u{2212}"))
}

fn verdict_of_reading(judged: &ReadingJudgement, board: &ReadingBoard) -> ReadingVerdict {
    let is_bare = judged.standard_uncertainty.is_none();
    let words = match judged.outcome {
        ReadingOutcome::Pass => "within",
        ReadingOutcome::TooClose => "too close to call",
        ReadingOutcome::Fail => "outside",
    };
    let bare = if is_bare { " as it stands; nobody says how far the gauge may be off" } else { "" };
    let advice = board.kind.map_or("", |kind| kind.note().again);
    let again = match judged.again {
        Some(MeasureAgain::MoreReadings { in_all }) => format!("read it {in_all} times in all"),
        Some(MeasureAgain::BetterGauge { standard_uncertainty }) => {
            let error = standard_uncertainty * units::math::sqrt(3.0);
            format!("take a gauge that is good to {} {}", significant(error, 1), board.unit)
        }
        Some(MeasureAgain::OnTheLimit) => String::from("it lies on its limit, where no gauge will tell"),
        None => String::new(),
    };
    let again = match (again.is_empty(), advice.is_empty()) {
        (true, _) => String::new(),
        (false, true) => again,
        (false, false) => format!("{again}; {advice}"),
    };
    ReadingVerdict { outcome: judged.outcome, words: format!("{words}{bare}"), again }
}

fn judge_grade_place(
    place: &str,
    what: &str,
    readings: Vec<MeasuredReading>,
    worst: Option<usize>,
) -> ReadingPlace {
    let looks: Vec<u32> = readings.iter().map(|reading| reading.value.max(0.0) as u32).collect();
    let worst = worst.and_then(|worst| u32::try_from(worst).ok());
    let outcome = worst.and_then(|worst| judge_grades(&looks, worst));
    let verdict = outcome.map(|outcome| match outcome {
        ReadingOutcome::Pass => plain_verdict(outcome, "within"),
        ReadingOutcome::Fail => plain_verdict(outcome, "outside"),
        ReadingOutcome::TooClose => ReadingVerdict {
            again: ReadingKind::VisualGrade.note().again.to_owned(),
            ..plain_verdict(outcome, "too close to call by one look")
        },
    });
    let shown =
        readings.last().map(|last| last.grade.clone().unwrap_or_else(|| format!("grade {}", last.value)));
    ReadingPlace { place: place.to_owned(), what: what.to_owned(), readings, shown, verdict }
}

fn plain_verdict(outcome: ReadingOutcome, words: &str) -> ReadingVerdict {
    ReadingVerdict { outcome, words: words.to_owned(), again: String::new() }
}

/// The lowest place against the highest; `None` where the book sets no limit, or fewer than two places were read.
fn judge_board_spread(board: &ReadingBoard) -> Option<ReadingVerdict> {
    let limits = &board.limits;
    let limit = match (limits.apart, limits.lowest_share) {
        (Some(apart), _) => SpreadLimit::DifferenceAtMost(apart),
        (None, Some(share)) => SpreadLimit::LowestAtLeastShare(share),
        (None, None) => return None,
    };
    let read: Vec<PlaceReadings> = board
        .places
        .iter()
        .filter(|place| place.readings.last().is_some_and(|reading| reading.unit == board.unit))
        .map(|place| PlaceReadings {
            place: place.place.clone(),
            readings: place.readings.iter().map(|reading| reading.value).collect(),
        })
        .collect();
    let all: Vec<MeasuredReading> = board.places.iter().flat_map(|place| place.readings.clone()).collect();
    let gauge = gauge_uncertainty(&all, limits);
    let rule = if gauge.is_some() { DecisionRule::Proven } else { DecisionRule::Simple };
    let judged = judge_spread(&read, gauge, limit, rule).ok()?;
    Some(verdict_of_spread(&judged, limit, &board.unit))
}

fn verdict_of_spread(judged: &SpreadJudgement, limit: SpreadLimit, unit: &str) -> ReadingVerdict {
    let (low, high) = (significant(judged.lowest, READ_DIGITS), significant(judged.highest, READ_DIGITS));
    let ends = format!(
        "lowest {low} {unit} ({}), highest {high} {unit} ({})",
        judged.lowest_place, judged.highest_place
    );
    let compared = match limit {
        SpreadLimit::DifferenceAtMost(_) => format!("{} {unit} apart", significant(judged.difference, 3)),
        SpreadLimit::LowestAtLeastShare(_) => judged
            .lowest_share
            .map_or_else(String::new, |share| format!("the lowest {:.0} % of the highest", share * 100.0)),
    };
    let (word, again) = match judged.outcome {
        ReadingOutcome::Pass => ("near enough to each other", ""),
        ReadingOutcome::Fail => ("too far from each other", ""),
        ReadingOutcome::TooClose => ("too close to call", "read lowest and highest once more, in turn"),
    };
    ReadingVerdict {
        outcome: judged.outcome,
        words: format!("{ends}: {compared}, {word}"),
        again: again.to_owned(),
    }
}

/// `0.28 to 0.38 mm`; with grades `no worse than fine scores`.
fn place_limits_in_words(limits: &MeasureLimits, worst: Option<&str>) -> Option<String> {
    let unit = &limits.unit;
    match (limits.low, limits.high) {
        (Some(low), Some(high)) => Some(format!("{low} to {high} {unit}")),
        (Some(low), None) => Some(format!("at least {low} {unit}")),
        (None, Some(high)) => Some(format!("at most {high} {unit}")),
        (None, None) => worst.map(|worst| format!("no worse than {worst}")),
    }
}

/// `0.28 to 0.38 mm; highest and lowest within 0.05 mm`.
fn limits_in_words(limits: &MeasureLimits, worst: Option<&str>) -> String {
    let (unit, own) = (&limits.unit, place_limits_in_words(limits, worst));
    let apart = limits.apart.map(|apart| format!("highest and lowest within {apart} {unit}"));
    let share =
        limits.lowest_share.map(|share| format!("lowest at least {:.0} % of the highest", share * 100.0));
    let all: Vec<String> = [own, apart, share].into_iter().flatten().collect();
    if all.is_empty() { String::from(NO_LIMITS) } else { all.join("; ") }
}
