//! What was seen in a visit as additions to its book: the visit's world knows a part as soon as it is seen.
//!
//! Observed order is kept as if it were precedence, each part after the one that came off before it: that is how it is known to
//! work, and the refit goes back the same way. A person frees a pair; visits that contradict one another do.

use std::collections::BTreeSet;

use book::{BookAddition, FixingAddition, GrownBook, PartAddition, TaskAddition, grow_book};
use model::{Book, FastenerKind, FastenerState};
use record::visit::{FigureWord, SeenFixing};
use record::{ToldSubject, ToldWhat, Visit};

use super::seen_places::measured_hole_places;

/// The task of a visit that began from nothing: whatever the engine was opened for.
pub(super) const SEEN_TASK: &str = "what-it-was-opened-for";

/// What goes into a grown book beside what was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct GrowthWanted {
    /// Tightening figures that were given at the bench: for the next visit, not for this one, which holds them itself.
    pub(super) with_figures: bool,
    /// The task that the visit is planned for.
    pub(super) with_task: bool,
    /// Places that were measured after a book was made of what was seen: for a plan that is made anew and for the next visit, not for
    /// the plan in hand, whose holes have their order already.
    pub(super) with_late_places: bool,
}

/// Title and origin of a book that begins with a visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct BookWords {
    pub(super) title: String,
    pub(super) origin: String,
}

impl BookWords {
    /// By the name of the vehicle: for the own workshop only.
    pub(super) fn of_visit(visit: &Visit) -> Self {
        let opened = visit.opened.as_ref();
        let called = match opened.map(|opened| (opened.name.as_str(), opened.letter.as_str())) {
            Some(("", letter)) => format!("vehicle {letter}"),
            Some((name, _)) => name.to_owned(),
            None => String::from("a vehicle"),
        };
        Self {
            title: format!("engine of {called}"),
            origin: String::from(
                "seen at the engine while it was worked on; nothing of it is from a maker's book",
            ),
        }
    }
}

/// The book of a visit as it stands; `None` where nothing was seen in it.
pub(super) fn grow_for_visit(base: Option<&Book>, visit: &Visit) -> Option<GrownBook> {
    let wanted = GrowthWanted { with_figures: false, with_task: false, with_late_places: false };
    grow(base, visit, (wanted, &BookWords::of_visit(visit)))
}

/// The book of a visit with what is wanted in it; `None` where nothing was seen.
pub(super) fn grow(
    base: Option<&Book>,
    visit: &Visit,
    (wanted, words): (GrowthWanted, &BookWords),
) -> Option<GrownBook> {
    (!visit.seen.is_empty()).then(|| grow_book(base, &addition_of(base, visit, (wanted, words))))
}

/// Parts that were seen and have been off, the first first; those that never were off are left out.
pub(super) fn parts_as_they_came_off(visit: &Visit) -> Vec<&str> {
    let mut off: Vec<(&str, _)> = visit
        .seen
        .parts
        .keys()
        .filter_map(|key| Some((key.as_str(), &visit.parts.get(key)?.made.as_ref()?.order)))
        .collect();
    off.sort_by(|a, b| a.1.cmp(b.1));
    off.into_iter().map(|(key, _)| key).collect()
}

fn addition_of(
    base: Option<&Book>,
    visit: &Visit,
    (wanted, words): (GrowthWanted, &BookWords),
) -> BookAddition {
    let off = parts_as_they_came_off(visit);
    let came_before =
        |key: &str| off.iter().position(|part| *part == key)?.checked_sub(1).map(|at| off[at].to_owned());
    let seen = visit.seen.parts_in_order().into_iter().map(|(key, part)| {
        let kind = visit.seen.last_word(&part_subject(key), ToldWhat::Kind).map(str::to_owned);
        let title = visit.seen.part_title(key).map(str::to_owned);
        let fixings = fixings_with_own_labels(visit, key).0;
        let several = fixings.len() > 1;
        PartAddition {
            title,
            part_kind: kind.or_else(|| part.part_kind.clone()),
            off_before: came_before(key).into_iter().collect(),
            notes: route_note(visit, key).into_iter().collect(),
            fixings: (1..)
                .zip(fixings)
                .map(|(at, (own, _))| fixing_seen(visit, (key, own), several.then_some(at), wanted))
                .collect(),
            ..part_told(visit, key)
        }
    });
    let twice = visit.seen.parts.keys().flat_map(|key| told_twice(visit, key, wanted));
    let mut parts: Vec<PartAddition> = seen
        .chain(twice)
        .chain(base.into_iter().flat_map(|book| told_of_known(book, visit, wanted)))
        .collect();
    let mut places = measured_hole_places(base, visit, wanted.with_late_places);
    for fixing in parts.iter_mut().flat_map(|part| &mut part.fixings) {
        fixing.places_um = places.remove(&fixing.key).unwrap_or_default();
    }
    BookAddition {
        title: words.title.clone(),
        origin: words.origin.clone(),
        tasks: if wanted.with_task { vec![task_of(visit)] } else { Vec::new() },
        parts,
    }
}

/// Fixings with their keys.
type KeyedFixings<'a> = Vec<(&'a str, &'a SeenFixing)>;

/// Fixings of a part as they were told, those whose labels are taken already apart: two devices told them without knowing of each other.
fn fixings_with_own_labels<'a>(visit: &'a Visit, part: &str) -> (KeyedFixings<'a>, KeyedFixings<'a>) {
    let mut taken = BTreeSet::new();
    visit.seen.fixings_of(part).into_iter().partition(|(_, seen)| {
        let is_free = seen.labels().all(|label| !taken.contains(&label));
        taken.extend(seen.labels().filter(|_| is_free));
        is_free
    })
}

/// A part of its own for each lot whose labels another device had given: a person looks which is which.
fn told_twice(visit: &Visit, part: &str, wanted: GrowthWanted) -> Vec<PartAddition> {
    let title = visit.seen.part_title(part).unwrap_or("part");
    let apart = |(own, _): (&str, &SeenFixing)| PartAddition {
        key: format!("{own}-part"),
        title: Some(format!("{title}, as another device tells it")),
        fixings: vec![fixing_seen(visit, (part, own), None, wanted)],
        ..PartAddition::default()
    };
    fixings_with_own_labels(visit, part).1.into_iter().map(apart).collect()
}

fn part_subject(key: &str) -> ToldSubject {
    ToldSubject::Part(key.to_owned())
}

/// What a person said of a part's order.
fn part_told(visit: &Visit, key: &str) -> PartAddition {
    let words =
        |what| visit.seen.words_on(&part_subject(key), what).iter().map(|word| word.value.clone()).collect();
    PartAddition {
        key: key.to_owned(),
        told_before: words(ToldWhat::OffAfter),
        freed: words(ToldWhat::NotAfter),
        ..PartAddition::default()
    }
}

fn fixing_seen(
    visit: &Visit,
    (part, key): (&str, &str),
    number: Option<usize>,
    wanted: GrowthWanted,
) -> FixingAddition {
    let seen = &visit.seen.fixings[key];
    let of_part = visit.seen.part_title(part).unwrap_or("part");
    let title = match number {
        Some(number) => format!("{of_part} fasteners {number}"),
        None => format!("{of_part} fasteners"),
    };
    let told = fixing_told(visit, key, wanted);
    let mut words = told.words;
    if let Some(drive) = visit.seen.drive_of(key).filter(|_| !words.iter().any(|(word, _)| *word == "drive"))
    {
        words.push((key_of_drive(drive), drive.to_owned()));
    }
    let mut notes = told.notes;
    notes.extend(seen.length.as_ref().map(|class| format!("Length class {class} by the ruler of the tray.")));
    FixingAddition {
        title: told.title.or(Some(title)),
        count: seen.count,
        first: Some(seen.first),
        words,
        notes,
        ..told
    }
}

/// A drive is a drive, unless it is the word for a kind of fastener that no tool turns: a spring clamp, a circlip.
fn key_of_drive(word: &str) -> &'static str {
    if FastenerKind::from_file_word(word).is_some() { "kind" } else { "drive" }
}

/// What a person said of a fixing, as words of a book.
fn fixing_told(visit: &Visit, key: &str, wanted: GrowthWanted) -> FixingAddition {
    let of = ToldSubject::Fixing(key.to_owned());
    let mut words: Vec<(&'static str, String)> =
        [("drive", ToldWhat::Drive), ("room", ToldWhat::Room), ("thread", ToldWhat::Thread)]
            .into_iter()
            .filter_map(|(word, what)| {
                let told = visit.seen.last_word(&of, what)?;
                let key = if what == ToldWhat::Drive { key_of_drive(told) } else { word };
                Some((key, told.to_owned()))
            })
            .collect();
    if let Some(FigureWord::Given { figure, source, .. }) =
        visit.figures.word_on(key).filter(|_| wanted.with_figures)
    {
        words.extend([("tighten", figure.clone()), ("source", source.clone())]);
    }
    let stacks = [(ToldWhat::Worked, "Done with"), (ToldWhat::Failed, "Not done with")];
    let notes = stacks.into_iter().flat_map(|(what, how)| {
        visit.seen.words_on(&of, what).iter().map(move |word| format!("{how} {}.", word.value))
    });
    let title = visit.seen.last_word(&of, ToldWhat::Title).map(str::to_owned);
    FixingAddition { key: key.to_owned(), title, words, notes: notes.collect(), ..FixingAddition::default() }
}

/// Words about parts and fixings that the base has already.
fn told_of_known(base: &Book, visit: &Visit, wanted: GrowthWanted) -> Vec<PartAddition> {
    let is_seen = |key: &String| visit.seen.parts.contains_key(key);
    let mut all = Vec::new();
    for id in base.part_ids().filter(|id| !is_seen(&base.part(*id).key)) {
        let key = &base.part(id).key;
        let told: Vec<FixingAddition> = base
            .fixings_of(id)
            .map(|fixing| fixing_told(visit, &base.fixing(fixing).key, wanted))
            .filter(|told| !(told.words.is_empty() && told.notes.is_empty() && told.title.is_none()))
            .collect();
        let more =
            visit.seen.fixings_of(key).into_iter().filter(|(own, _)| base.fixing_by_key(own).is_none());
        let more: Vec<FixingAddition> =
            more.map(|(own, _)| fixing_seen(visit, (key, own), None, wanted)).collect();
        let addition = PartAddition {
            title: visit.seen.last_word(&part_subject(key), ToldWhat::Title).map(str::to_owned),
            part_kind: visit.seen.last_word(&part_subject(key), ToldWhat::Kind).map(str::to_owned),
            fixings: told.into_iter().chain(more).collect(),
            ..part_told(visit, key)
        };
        if addition != (PartAddition { key: key.clone(), ..PartAddition::default() }) {
            all.push(addition);
        }
    }
    all
}

fn route_note(visit: &Visit, part: &str) -> Option<String> {
    let route = visit.seen.routes.get(part)?;
    let under =
        if route.under.is_empty() { String::new() } else { format!(", passes under {}", route.under) };
    let clips = if route.clips == 1 { "1 clip".to_owned() } else { format!("{} clips", route.clips) };
    Some(format!("Routing: {clips}{under}; its path is marked in the picture."))
}

/// The work that the engine was opened for: everything that was off, back or not, or was seen where nothing was off yet.
fn task_of(visit: &Visit) -> TaskAddition {
    let mut parts: Vec<String> = parts_as_they_came_off(visit).into_iter().map(str::to_owned).collect();
    if parts.is_empty() {
        parts = visit.seen.parts.keys().cloned().collect();
    }
    TaskAddition {
        key: SEEN_TASK.to_owned(),
        title: String::from("do the work that it was opened for"),
        off_first: parts,
    }
}

/// Where the fasteners of a fixing were put when they came off.
pub(super) fn slot_told<'a>(visit: &'a Visit, fixing: &str) -> Option<&'a str> {
    let off = visit.fasteners.of_fixing(fixing).filter(|(_, fastener)| fastener.state == FastenerState::Off);
    off.filter_map(|(_, fastener)| fastener.slot.as_deref()).next()
}
