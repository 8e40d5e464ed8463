//! What an event says of an engine that no book tells of.

use crate::visit::{MeasuredHeads, SeenFixing, SeenPart, SeenWay, ToldWord};
use crate::{EventStamp, SeenPoint, ToldSubject, ToldWhat, Visit, VisitBody};

/// What one of the four kinds of events about what was seen does; any other kind does nothing here.
pub(super) fn take_what_was_seen(visit: &mut Visit, body: &VisitBody, stamp: EventStamp) {
    use VisitBody as B;
    match body {
        B::PartSeen { part, title, part_kind } => see_part(visit, part, title, part_kind, stamp),
        B::FixingSeen { fixing, part, drive, count, first, heads, length } => {
            let (part, drive, length) = (part.clone(), drive.clone(), length.clone());
            let (heads, count, first) = (heads.clone(), *count, *first);
            see_fixing(visit, fixing, SeenFixing { part, drive, count, first, heads, length, stamp });
        }
        B::RouteSeen { part, path, clips, under } => note_route(visit, part, (path, *clips, under), stamp),
        B::Told { of, what, value, source } => note_told(visit, of, *what, (value, source), stamp),
        _ => {}
    }
}

/// What a card in a picture measured; any other kind of event does nothing here.
pub(super) fn note_measured_heads(visit: &mut Visit, body: &VisitBody, stamp: EventStamp) {
    let VisitBody::HeadsMeasured { fixing, picture, sides, height, outcome } = body else { return };
    let (picture, height, outcome) = (picture.clone(), height.clone(), outcome.clone());
    let measured = MeasuredHeads { picture, sides: *sides, height, outcome, stamp };
    // The last one counts: it was made of a newer picture, or of a height that was told meanwhile.
    visit.seen.measured.insert(fixing.clone(), measured);
}

fn see_part(visit: &mut Visit, part: &str, title: &str, part_kind: &Option<String>, stamp: EventStamp) {
    // A key that comes twice is the same part seen again: what was first said of it stays.
    visit.seen.parts.entry(part.to_owned()).or_insert_with(|| SeenPart {
        title: title.to_owned(),
        part_kind: part_kind.clone(),
        stamp,
    });
}

fn see_fixing(visit: &mut Visit, fixing: &str, seen: SeenFixing) {
    // Nobody has told a figure yet: what is turned does not become tight by being run in.
    if seen.is_turned() {
        visit.figures.missing.insert(fixing.to_owned());
    }
    visit.seen.fixings.entry(fixing.to_owned()).or_insert(seen);
}

fn note_route(
    visit: &mut Visit,
    part: &str,
    (path, clips, under): (&[SeenPoint], u16, &str),
    stamp: EventStamp,
) {
    let route = SeenWay { path: path.to_vec(), clips, under: under.to_owned(), stamp };
    visit.seen.routes.insert(part.to_owned(), route);
}

fn note_told(
    visit: &mut Visit,
    of: &ToldSubject,
    what: ToldWhat,
    (value, source): (&str, &str),
    stamp: EventStamp,
) {
    let (all, key) = match of {
        ToldSubject::Part(key) => (&mut visit.seen.part_words, key),
        ToldSubject::Fixing(key) => (&mut visit.seen.fixing_words, key),
    };
    let word = ToldWord { value: value.to_owned(), source: source.to_owned(), stamp };
    all.entry(key.clone()).or_default().entry(what).or_default().push(word);
}
