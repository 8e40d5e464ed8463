//! What comes off next, on an engine that no book tells of: what was told so far, and what a tap may answer.

use std::collections::BTreeMap;

use model::{Book, Caution, FastenerState, PartKind, RoomClass, SignalWord, SlotAddress};
use record::{HeadsOutcome, SeenPoint, ToldSubject, ToldWhat, Visit};
use serde::Serialize;

use super::capitalise_first;
use crate::head_heights::head_height_words;

/// A word of the format and what a button says for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AnswerChoice {
    /// The word, as books write it; empty: it cannot be seen.
    pub word: String,
    /// What the button says.
    pub label: String,
    /// What to mind before such a part is worked on; empty where nothing is known to be.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub caution: String,
}

/// Fasteners of one kind of a part, as they stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeenFixingLine {
    /// Its key.
    pub key: String,
    /// What a tool takes hold of, in the words of a button; "not seen yet".
    pub drive: String,
    /// The same as books write it; empty where it was not seen.
    pub drive_word: String,
    /// How many there are.
    pub count: u16,
    /// Label of the first.
    pub first: u16,
    /// How many are off.
    pub off: usize,
    /// Where they lie; empty while none is off.
    pub slot: String,
    /// Their heads in the picture.
    pub heads: Vec<SeenPoint>,
    /// Digest of the picture; empty where none was taken.
    pub picture: String,
    /// The room, where it was told.
    pub room: String,
    /// Length class; empty where it was not told.
    pub length: String,
    /// Between which heights the heads stand above the card in the picture; empty where it was not told.
    pub height: String,
    /// What the card in the picture came to; empty where there is no picture, or no head was tapped in it.
    pub measured: String,
}

/// A part that was told of, as it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeenPartLine {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub title: String,
    /// The word for its kind; empty where none was told.
    pub part_kind: String,
    /// Whether it is off.
    pub is_off: bool,
    /// Plugs that are in its open ends.
    pub plugs: u32,
    /// What holds it.
    pub fixings: Vec<SeenFixingLine>,
    /// What devices say differently of it, in words.
    pub differ: Vec<String>,
}

/// The page of what comes off next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextOffView {
    /// Letter of the vehicle.
    pub letter: String,
    /// Parts in the order in which they were seen, the last first.
    pub parts: Vec<SeenPartLine>,
    /// Number of the next part that has no name yet.
    pub next_part: usize,
    /// Number of the next free bag.
    pub next_bag: u32,
    /// Drives, those in use first.
    pub drives: Vec<AnswerChoice>,
    /// Kinds of parts.
    pub kinds: Vec<AnswerChoice>,
    /// The five words for the room, with what each says.
    pub rooms: Vec<AnswerChoice>,
    /// Classes of the height of heads above a scale card.
    pub heights: Vec<AnswerChoice>,
    /// Bags in which two fixings lie, in words.
    pub shared: Vec<String>,
    /// Parts that are off.
    pub off: usize,
    /// Parts that were seen and are on.
    pub on: usize,
}

/// Drives that are offered before any is in use: metric, then inch, then what is not turned. (Common practice, no single source: the
/// sizes on engines of road vehicles.)
const DRIVES: [&str; 39] = [
    "hexagon 10 mm",
    "hexagon 8 mm",
    "hexagon 13 mm",
    "hexagon 12 mm",
    "hexagon 14 mm",
    "hexagon 15 mm",
    "hexagon 17 mm",
    "hexagon 7 mm",
    "T25",
    "T30",
    "T40",
    "E8",
    "E10",
    "E12",
    "hex socket 5 mm",
    "hex socket 6 mm",
    "hex socket 8 mm",
    "PH2",
    "hexagon 16 mm",
    "hexagon 18 mm",
    "hexagon 19 mm",
    "hexagon 5/16 in",
    "hexagon 3/8 in",
    "hexagon 7/16 in",
    "hexagon 1/2 in",
    "hexagon 9/16 in",
    "hexagon 5/8 in",
    "clamp",
    "circlip",
    "split-pin",
    "roll-pin",
    "washer",
    "shim",
    "lock-wire",
    "tab-plate",
    "push clip 8 mm",
    "latch",
    "hand",
    "",
];

/// Kinds that come off most, which stand before *more*. (Common practice, no single source.)
const KINDS_FIRST: [PartKind; 5] =
    [PartKind::Cover, PartKind::Hose, PartKind::Connector, PartKind::Bracket, PartKind::Mounting];

/// Drives on the row before *more*.
pub const MAX_DRIVES_SHOWN: usize = 6;

/// The view of a visit; `book` is the visit's grown book.
#[must_use]
pub fn next_off(visit: &Visit, book: Option<&Book>) -> NextOffView {
    let parts: Vec<SeenPartLine> =
        visit.seen.parts_in_order().iter().rev().map(|(key, _)| part_line(visit, key)).collect();
    let off = parts.iter().filter(|part| part.is_off).count();
    NextOffView {
        letter: visit.opened.as_ref().map_or_else(String::new, |opened| opened.letter.clone()),
        next_part: parts.len() + 1,
        next_bag: next_free_bag(visit, book),
        drives: drive_choices(visit),
        kinds: KINDS_FIRST
            .iter()
            .chain(PartKind::ALL.iter().filter(|kind| !KINDS_FIRST.contains(kind)))
            .map(|kind| kind_choice(*kind))
            .collect(),
        rooms: RoomClass::ALL.iter().map(|room| room_choice(*room)).collect(),
        heights: head_height_words()
            .map(|word| AnswerChoice { label: word.clone(), word, caution: String::new() })
            .collect(),
        shared: shared_slots(visit),
        on: parts.len() - off,
        off,
        parts,
    }
}

fn part_line(visit: &Visit, key: &str) -> SeenPartLine {
    let subject = ToldSubject::Part(key.to_owned());
    let fixings = visit.seen.fixings_of(key);
    let differ = fixings
        .iter()
        .filter_map(|(own, _)| differing_drives(visit, own))
        .chain(differing_names(visit, &subject));
    SeenPartLine {
        title: visit.seen.part_title(key).unwrap_or(key).to_owned(),
        part_kind: visit.seen.part_kind(key).unwrap_or_default().to_owned(),
        is_off: visit.is_part_off(key),
        plugs: visit
            .put_ins
            .values()
            .filter(|put| put.at.part.as_deref() == Some(key))
            .map(|put| u32::from(put.left))
            .sum(),
        differ: differ.collect(),
        fixings: fixings.iter().map(|(own, _)| fixing_line(visit, own)).collect(),
        key: key.to_owned(),
    }
}

fn fixing_line(visit: &Visit, key: &str) -> SeenFixingLine {
    let seen = &visit.seen.fixings[key];
    let subject = ToldSubject::Fixing(key.to_owned());
    let is_off = |state: FastenerState| state == FastenerState::Off;
    let off = visit.fasteners.of_fixing(key).filter(|(_, fastener)| is_off(fastener.state)).count();
    let slot = visit
        .fasteners
        .of_fixing(key)
        .filter(|(_, one)| is_off(one.state))
        .find_map(|(_, one)| one.slot.clone());
    let picture = visit.latest_picture_of(key);
    SeenFixingLine {
        drive: visit.seen.drive_of(key).map_or_else(|| String::from("not seen yet"), drive_label),
        drive_word: visit.seen.drive_of(key).unwrap_or_default().to_owned(),
        count: seen.count,
        first: seen.first,
        off,
        slot: slot.unwrap_or_default(),
        heads: seen.heads.clone(),
        picture: picture.map_or_else(String::new, |picture| picture.picture.to_string()),
        room: visit.seen.last_word(&subject, ToldWhat::Room).unwrap_or_default().to_owned(),
        length: seen.length.clone().unwrap_or_default(),
        height: visit.seen.last_word(&subject, ToldWhat::HeadHeight).unwrap_or_default().to_owned(),
        measured: if picture.is_some() { measured_words(visit, key) } else { String::new() },
        key: key.to_owned(),
    }
}

/// "measured, good to about 1 mm", or why not.
fn measured_words(visit: &Visit, key: &str) -> String {
    let seen = &visit.seen.fixings[key];
    let (heads, count) = (seen.heads.len(), usize::from(seen.count));
    if heads == 0 {
        return String::new();
    }
    match visit.seen.measured_heads(key).map(|measured| &measured.outcome) {
        None => String::from("not measured yet"),
        Some(HeadsOutcome::NotMeasured { why }) => format!("not measured: {why}"),
        Some(outcome @ HeadsOutcome::Measured { .. }) => {
            let error_mm = outcome.worst_error_um().unwrap_or(0).div_ceil(1000).max(1);
            let besides = if heads < count {
                format!(", {heads} of {count}: the others lie outside of the picture")
            } else {
                String::new()
            };
            format!("measured, good to about {error_mm} mm{besides}")
        }
    }
}

fn differing_drives(visit: &Visit, fixing: &str) -> Option<String> {
    let subject = ToldSubject::Fixing(fixing.to_owned());
    let words = visit.seen.differing_words(&subject, ToldWhat::Drive);
    (!words.is_empty()).then(|| {
        let said: Vec<String> = words.iter().map(|word| drive_label(&word.value)).collect();
        format!("Two devices say {}; the last word counts. Look, and tell it once more.", said.join(" and "))
    })
}

fn differing_names(visit: &Visit, subject: &ToldSubject) -> Option<String> {
    let words = visit.seen.differing_words(subject, ToldWhat::Title);
    let said: Vec<&str> = words.iter().map(|word| word.value.as_str()).collect();
    (!said.is_empty()).then(|| format!("Two devices call it {}.", said.join(" and ")))
}

/// The number after the highest bag that anything lies in or that the plan may use.
fn next_free_bag(visit: &Visit, book: Option<&Book>) -> u32 {
    let slots = visit.fasteners.iter().filter_map(|(_, _, fastener)| fastener.slot.as_deref());
    let number = |slot: &str| match SlotAddress::parse(slot) {
        Ok(SlotAddress::Bag { number, .. }) => Some(number),
        _ => None,
    };
    let highest = slots.filter_map(number).max().unwrap_or(0);
    // Where a book tells of fixings besides, its plan may have given as many bags.
    let seen = visit.seen.fixings.len();
    let of_book = book.map_or(0, |book| book.fixings.len().saturating_sub(seen));
    highest.max(u32::try_from(of_book).unwrap_or(0)) + 1
}

/// Bags in which fasteners of two fixings lie now, told by the parts that they hold.
fn shared_slots(visit: &Visit) -> Vec<String> {
    let mut lying: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (slot, contents) in visit.slot_contents() {
        let mut parts: Vec<&str> = contents.iter().map(|(fixing, _, _)| *fixing).collect();
        parts.dedup();
        if parts.len() > 1
            && matches!(
                SlotAddress::parse(slot),
                Ok(SlotAddress::Bag { .. } | SlotAddress::Compartment { .. })
            )
        {
            lying.insert(slot, parts);
        }
    }
    let title = |fixing: &str| {
        let part = visit.seen.fixings.get(fixing).map(|seen| seen.part.as_str()).unwrap_or(fixing);
        visit.seen.part_title(part).unwrap_or(part).to_owned()
    };
    let words = |(slot, fixings): (&str, Vec<&str>)| {
        let of: Vec<String> = fixings.into_iter().map(title).collect();
        format!(
            "Bag {slot} was given to {} on two devices. Take one lot out of it into a bag of its own, and write its code.",
            of.join(" and to ")
        )
    };
    lying.into_iter().map(words).collect()
}

/// Drives in the order of how often they were told, then the usual ones.
fn drive_choices(visit: &Visit) -> Vec<AnswerChoice> {
    let mut told: BTreeMap<&str, usize> = BTreeMap::new();
    for key in visit.seen.fixings.keys() {
        if let Some(word) = visit.seen.drive_of(key) {
            *told.entry(word).or_default() += 1;
        }
    }
    let mut told: Vec<(&str, usize)> = told.into_iter().collect();
    told.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let usual = DRIVES.into_iter().filter(|word| !told.iter().any(|(known, _)| known == word));
    let words: Vec<&str> = told.iter().map(|(word, _)| *word).chain(usual).collect();
    let choice =
        |word: &str| AnswerChoice { word: word.to_owned(), label: drive_label(word), caution: String::new() };
    words.into_iter().map(choice).collect()
}

/// "10 mm hex", "T30", "push clip", "by hand", "cannot see it".
fn drive_label(word: &str) -> String {
    match word {
        "" => String::from("cannot see it"),
        "hand" => String::from("by hand"),
        "push clip 8 mm" => String::from("push clip"),
        "clamp" => String::from("spring clamp"),
        "split-pin" => String::from("split pin"),
        "roll-pin" => String::from("roll pin"),
        "lock-wire" => String::from("lock wire"),
        "tab-plate" => String::from("tab plate"),
        "hexagon 7 mm" => String::from("7 mm, worm clamp"),
        _ => match (word.strip_prefix("hexagon "), word.strip_prefix("hex socket ")) {
            (Some(size), _) => format!("{size} hex"),
            (_, Some(size)) => format!("{size} hex key"),
            _ => word.to_owned(),
        },
    }
}

fn kind_choice(kind: PartKind) -> AnswerChoice {
    let caution =
        kind_caution(kind).map_or_else(String::new, |caution| format!("{}: {}", caution.word, caution.text));
    let word = kind.file_word().to_owned();
    let label = if kind == PartKind::Other { String::from("something else") } else { word.clone() };
    AnswerChoice { word, label, caution }
}

/// What to mind before a part of this kind is undone on an engine that nobody described. (Common practice, no single source.)
fn kind_caution(kind: PartKind) -> Option<Caution> {
    let (word, text) = match kind {
        PartKind::Mounting => (
            SignalWord::Danger,
            "It carries the engine or the gearbox, which falls once it is undone. Support that end from below or on a beam first.",
        ),
        PartKind::Hose | PartKind::Pipe | PartKind::Union => (
            SignalWord::Warning,
            "What is in it may be hot or under pressure and burns skin or eyes. Engine cold, pressure let off, eyes covered; then close both ends.",
        ),
        PartKind::Belt | PartKind::Tensioner => (
            SignalWord::Warning,
            "A tensioner spring breaks fingers. Mark the timing, slacken the tensioner first, hands out of its path.",
        ),
        PartKind::Wheel => (
            SignalWord::Danger,
            "A vehicle that slips off its support kills. On stands or a lift before the wheel comes off, never on a jack alone.",
        ),
        PartKind::Drain => (
            SignalWord::Warning,
            "What runs out may be hot and burns. Let it cool; have a pan below it that holds all of it.",
        ),
        PartKind::Connector | PartKind::Sensor | PartKind::Loom | PartKind::Pump => (
            SignalWord::Caution,
            "A live wire may spark or start a motor. Ignition off, battery disconnected before it is unplugged.",
        ),
        PartKind::Filter => (
            SignalWord::Caution,
            "Fuel or oil runs out and catches fire or burns. Pressure let off, no flame, rags ready.",
        ),
        PartKind::Cover => (
            SignalWord::Notice,
            "What falls in ruins the engine. Wipe round it first, cover the opening at once; both faces clean and a new gasket before it goes back.",
        ),
        PartKind::Bracket | PartKind::Other => return None,
    };
    Some(Caution { word, text: text.to_owned() })
}

/// "open: over 300 mm above the head, all round".
fn room_choice(room: RoomClass) -> AnswerChoice {
    let bounds = room.bounds();
    let mm = |length: units::Length| format!("{:.0}", length.as_mm());
    let above = format!("{} mm or more to work in", mm(bounds.beyond.0));
    let clear = format!("{} mm clear", mm(bounds.clear.0));
    let depth = if bounds.depth.1.as_mm() > 0.0 {
        format!(", up to {} mm deep", mm(bounds.depth.1))
    } else {
        String::new()
    };
    let label = format!("{}: {clear}, {above}{depth}", capitalise_first(room.spoken_word()));
    AnswerChoice { word: room.file_word().to_owned(), label, caution: String::new() }
}
