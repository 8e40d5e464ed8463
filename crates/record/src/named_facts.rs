//! What the body of a visit's event names besides the book's keys, and what in it cannot be.

use crate::decide::parse_figure;
use crate::{ContentDigest, EventId, MeasuredReading, SeenPoint, StreamRef, VisitBody};

/// Most fasteners of one kind on one part. (Assumption: a large sump has some forty.)
const MAX_SEEN_FASTENERS: u16 = 400;

/// The right and the lower edge of a picture, thousandths.
const PICTURE_EDGE: u16 = 1_000;

/// What a body names besides the book's keys, and what in it cannot be.
#[derive(Default)]
pub(crate) struct NamedFacts<'a> {
    pub events: Vec<&'a EventId>,
    pub streams: Vec<&'a StreamRef>,
    pub documents: Vec<&'a ContentDigest>,
    pub broken: Option<String>,
}

impl<'a> NamedFacts<'a> {
    fn event(event: &'a EventId) -> Self {
        Self { events: vec![event], ..Self::default() }
    }

    fn stream(stream: Option<&'a StreamRef>) -> Self {
        Self { streams: stream.into_iter().collect(), ..Self::default() }
    }

    fn documents(documents: impl IntoIterator<Item = &'a ContentDigest>) -> Self {
        Self { documents: documents.into_iter().collect(), ..Self::default() }
    }

    fn key(key: &str) -> Self {
        Self { broken: find_empty_key(key), ..Self::default() }
    }

    fn checked(broken: Option<String>) -> Self {
        Self { broken, ..Self::default() }
    }
}

/// One row for each kind of body, so that a new kind does not compile before it is here.
pub(crate) fn facts_of_body(body: &VisitBody) -> NamedFacts<'_> {
    use VisitBody as B;
    match body {
        B::Opened { vehicle, .. } => NamedFacts::stream(vehicle.as_ref()),
        B::BasedOn { book, store, figures_missing } => {
            let empty = figures_missing.iter().find_map(|fixing| find_empty_key(fixing));
            NamedFacts { documents: book.iter().chain(store).collect(), ..NamedFacts::checked(empty) }
        }
        B::Planned { plan, .. } => NamedFacts::documents([plan]),
        B::Pictured { picture, original, .. } => NamedFacts::documents([picture, original]),
        B::HeadsMeasured { picture, .. } => {
            NamedFacts { documents: vec![picture], ..NamedFacts::checked(find_broken_sight(body)) }
        }
        B::Marked { fixing, holes, .. } => {
            NamedFacts::checked(find_broken_holes(fixing, holes.iter().map(|w| w.hole.as_str())))
        }
        B::Renewed { fixing, holes } => {
            NamedFacts::checked(find_broken_holes(fixing, holes.iter().map(String::as_str)))
        }
        B::Settled { fastener, .. } => {
            NamedFacts::checked(find_broken_holes(&fastener.fixing, [fastener.hole.as_str()]))
        }
        B::FigureGiven { fixing, figure, source, name } => {
            let unread = || format!("“{figure}” is no tightening figure");
            let unread = parse_figure(figure).is_none().then(unread);
            NamedFacts::checked(find_empty_figure_word(fixing, [source, name]).or(unread))
        }
        B::FigureWaived { fixing, reason, name } => {
            NamedFacts::checked(find_empty_figure_word(fixing, [reason, name]))
        }
        B::WentOn { name, .. } => NamedFacts::key(name),
        B::Gathered { what, .. } => NamedFacts::key(what),
        B::PartOff { part: key }
        | B::PartOn { part: key }
        | B::Established { condition: key }
        | B::Restored { condition: key }
        | B::Capped { opening: key, .. }
        | B::Uncapped { opening: key, .. }
        | B::Task { task: key, .. }
        | B::Extra { step: key, .. }
        | B::Piece { piece: key, .. }
        | B::Overridden { line: key, .. } => NamedFacts::key(key),
        B::SettingChanged { setting, value } => {
            NamedFacts::checked(find_empty_key(setting).or_else(|| find_empty_key(value)))
        }
        B::PartSeen { .. } | B::FixingSeen { .. } | B::RouteSeen { .. } | B::Told { .. } => {
            NamedFacts::checked(find_broken_sight(body))
        }
        B::TakenOut { put_in: event, .. }
        | B::DealtWith { happening: event, .. }
        | B::GivenUp { happening: event, .. }
        | B::WaitOver { wait: event }
        | B::Answered { finding: event, .. }
        | B::FindingDone { finding: event, .. }
        | B::LookedAgain { event, .. }
        | B::Undone { event } => NamedFacts::event(event),
        B::Read { reading, .. } => NamedFacts::checked(find_broken_reading(reading)),
        B::RiskTold { .. } => NamedFacts::checked(find_broken_risk(body)),
        B::PutIn { .. }
        | B::Happened { .. }
        | B::WaitBegan { .. }
        | B::Noted { .. }
        | B::Found { .. }
        | B::Paused { .. }
        | B::Resumed
        | B::Counted { .. }
        | B::Closed { .. } => NamedFacts::default(),
    }
}

/// An empty name, where a name is wanted.
pub(crate) fn find_empty_key(key: &str) -> Option<String> {
    key.trim().is_empty().then(|| "a key is empty".to_owned())
}

fn find_broken_holes<'a>(fixing: &str, holes: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let mut holes = holes.into_iter().peekable();
    match holes.peek() {
        None => Some(format!("no hole of “{fixing}” is given")),
        Some(_) => find_empty_key(fixing).or_else(|| holes.find_map(find_empty_key)),
    }
}

/// A word about the figure of a fixing that has to be said and is empty.
fn find_empty_figure_word(fixing: &str, words: [&String; 2]) -> Option<String> {
    let empty = words.iter().any(|word| word.trim().is_empty());
    let words = || format!("a word about the figure of “{fixing}” is empty");
    find_empty_key(fixing).or_else(|| empty.then(words))
}

fn find_broken_reading(reading: &MeasuredReading) -> Option<String> {
    let figures = [Some(reading.value), reading.low, reading.high, reading.gauge_error];
    let bad = figures.into_iter().flatten().any(|figure| !figure.is_finite());
    bad.then(|| format!("a figure of “{}” is not a number", reading.what))
}

/// A risk without words, a chance beyond certainty, or a price that falls.
fn find_broken_risk(body: &VisitBody) -> Option<String> {
    let VisitBody::RiskTold { words, chance_percent, price_from_cents, price_to_cents } = body else {
        return None;
    };
    let is_priced = *price_from_cents >= 0 && price_from_cents <= price_to_cents;
    let is_bad = !is_priced || *chance_percent > 100;
    let fault = "a chance is 0 to 100 %, a price rises from its first figure to its second";
    find_empty_key(words).or_else(|| is_bad.then(|| String::from(fault)))
}

/// No fasteners, far too many, more heads than fasteners, or a head beside the picture.
fn find_broken_count(count: u16, heads: &[SeenPoint]) -> Option<String> {
    if count == 0 || count > MAX_SEEN_FASTENERS {
        return Some(format!("{count} fasteners of one kind were told; 1 to {MAX_SEEN_FASTENERS} are taken"));
    }
    if heads.len() > usize::from(count) {
        return Some(format!("{} heads lie in the picture, of {count} fasteners", heads.len()));
    }
    find_point_outside(heads)
}

fn find_point_outside(points: &[SeenPoint]) -> Option<String> {
    let is_outside = |point: &&SeenPoint| point.across.max(point.down) > PICTURE_EDGE;
    points.iter().any(|point| is_outside(&point)).then(|| String::from("a place lies beside the picture"))
}

/// What cannot be in one of the five kinds of events about what was seen.
fn find_broken_sight(body: &VisitBody) -> Option<String> {
    use VisitBody as B;
    match body {
        B::PartSeen { part, title, .. } => find_empty_key(part).or_else(|| find_empty_key(title)),
        B::FixingSeen { fixing, part, count, heads, .. } => {
            let keys = find_empty_key(fixing).or_else(|| find_empty_key(part));
            keys.or_else(|| find_broken_count(*count, heads))
        }
        B::HeadsMeasured { fixing, sides, outcome, .. } => {
            let is_flat = sides.width_px == 0 || sides.height_px == 0;
            let flat = is_flat.then(|| String::from("a picture has a side of 0 px"));
            find_empty_key(fixing).or(flat).or_else(|| outcome.find_broken())
        }
        B::RouteSeen { part, path, .. } => find_empty_key(part).or_else(|| find_point_outside(path)),
        B::Told { of, value, .. } => find_empty_key(of.key()).or_else(|| find_empty_key(value)),
        _ => None,
    }
}
