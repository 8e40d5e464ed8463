//! Accesses: the space round the holes, and the other side where it is held.

use std::sync::LazyLock;

use faults::TomlKind;
use fields::{
    FieldInput, FieldTable, KnownForm, NameDirectory, PlacedValue, QuantityForm, ReadingDesk,
    TableDescription, TableForm, TomlItem, TomlValue, ValueForm, WordForm, at, known, known_at, list, maybe,
    name, names, quantity, rows, table, text, word,
};
use model::{
    BendFigures, Known, OpeningId, RoomClass, SegmentFigures, SideFigures, SideRoomFigures, StationId,
    SwingFigures,
};
use units::Length;

use super::parsing::drive;
use super::{OPENINGS, STATIONS};
use crate::drafts::{AccessDraft, HoldDraft, SpaceDraft, blank_drive, blank_space};
use crate::limits::{self, MAX_LIST_ITEMS};
use crate::words;

/// A length of a body or a room.
pub(crate) fn body_length() -> QuantityForm<Length> {
    quantity("25 mm", limits::body_length_range())
}

/// A length that may be zero.
pub(crate) fn body_or_zero_length() -> QuantityForm<Length> {
    quantity("25 mm", limits::body_or_zero_length_range())
}

/// A length of a body or a room that may be in doubt.
pub(crate) fn known_body_length() -> KnownForm<Length> {
    known(body_length())
}

/// A length that may be zero or in doubt.
fn known_body_or_zero_length() -> KnownForm<Length> {
    known(body_or_zero_length())
}

static SEGMENT: LazyLock<FieldTable<SegmentFigures>> = LazyLock::new(|| {
    FieldTable::new("segment", SegmentFigures::default)
        .optional("length", known_body_length(), maybe!(length), "Length of the stretch.")
        .or_else("the last, open one")
        .required("clear", known_body_length(), known_at!(clear), "Diameter that is clear round the axis.")
});

static BEND: LazyLock<FieldTable<BendFigures>> = LazyLock::new(|| {
    let angle = known(quantity("30°", limits::angle_range()));
    FieldTable::new("bend", BendFigures::default)
        .required("at", known_body_or_zero_length(), known_at!(at), "Distance from the head.")
        .required("angle", angle, known_at!(angle), "By how much the axis turns.")
});

static SWING: LazyLock<FieldTable<SwingFigures>> = LazyLock::new(|| {
    let arc = known(quantity("60°", limits::angle_range()));
    FieldTable::new("swing", || SwingFigures { radius: Length::ZERO, arc: Known::Nothing })
        .required("radius", body_length(), at!(radius), "Radius of the handle.")
        .required("arc", arc, known_at!(arc), "Arc that is free for it.")
});

static SIDE: LazyLock<FieldTable<SideRoomFigures>> = LazyLock::new(|| {
    FieldTable::new("side", SideRoomFigures::default)
        .optional(
            "radial",
            known_body_length(),
            known_at!(radial),
            "Radius that is clear all round the axis.",
        )
        .or_else(NOT_KNOWN)
        .optional("height", known_body_length(), known_at!(height), "Clear height from the seat of the head.")
        .or_else(NOT_KNOWN)
        .optional(
            "reach",
            known_body_length(),
            known_at!(reach),
            "How far the room reaches in its best direction.",
        )
        .or_else("`radial`")
        .optional(
            "headroom",
            known_body_or_zero_length(),
            known_at!(headroom),
            "Greatest length of a shaft beside the head, hand included; 0 for none.",
        )
        .or_else(NOT_KNOWN)
        .optional(
            "swings",
            rows(MAX_LIST_ITEMS, &SWING),
            maybe!(swings),
            "Free arcs for handles; `[]` is all round.",
        )
        .or_else(NOT_KNOWN)
});

/// What is said of a key whose figure is not known when it is left out.
pub(crate) const NOT_KNOWN: &str = "not known";

/// The word for a side where there is no room.
const NO_SIDE: &str = "none";

/// The room beside a head, or the word that there is none.
struct SideForm(TableForm<SideRoomFigures>);

impl ValueForm for SideForm {
    type Value = SideFigures;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<SideFigures>> {
        if input.kind() == Some(TomlKind::Text) {
            const WORDS: &[(&str, SideFigures)] = &[(NO_SIDE, SideFigures::Absent)];
            return input.read_choice(WORDS, false).map(PlacedValue::from);
        }
        let told = self.0.read(input, desk)?;
        Some(told.map(|mut room| {
            room.reach = if room.reach.is_known() { room.reach } else { room.radial };
            SideFigures::Present(room)
        }))
    }

    fn write(&self, value: &SideFigures, names: &NameDirectory) -> TomlItem {
        match value {
            SideFigures::NotKnown => TomlItem::None,
            SideFigures::Absent => TomlItem::Value(TomlValue::from(NO_SIDE)),
            SideFigures::Present(room) => self.0.write(room, names),
        }
    }

    fn schema(&self) -> serde_json::Value {
        serde_json::json!({ "anyOf": [{ "const": NO_SIDE }, self.0.schema()] })
    }

    fn words(&self) -> String {
        format!("{}, or `\"{NO_SIDE}\"`", self.0.words())
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        self.0.tables()
    }
}

/// The room class of some holes.
pub(crate) const fn room_class() -> WordForm<RoomClass> {
    word(words::ROOM_CLASSES)
}

/// The space of an access, the same on both sides.
macro_rules! with_space {
    ($table:expr, $row:ty, $($space:tt)*) => {
        $table
            .optional(
                "station",
                name(&STATIONS),
                (
                    |row: &$row| row.$($space)*access.station.map(StationId::index),
                    |row: &mut $row, position| row.$($space)*access.station = Some(StationId::new(position)),
                ),
                "Working position.",
            )
            .or_else("the part's")
            .optional("room", room_class(), maybe!($($space)*figures.room), "The room in one word, which bounds what is not told.")
            .optional(
                "corridor",
                rows(MAX_LIST_ITEMS, &SEGMENT),
                maybe!($($space)*figures.corridor),
                "From the head outward; the last stretch has no length.",
            )
            .or_else(NOT_KNOWN)
            .such_as("[{ length = 40, clear = 22 }, { clear = 60 }]")
            .optional(
                "bends",
                rows(MAX_LIST_ITEMS, &BEND),
                maybe!($($space)*figures.bends),
                "Where the axis turns, rising by distance; `[]` is straight.",
            )
            .or_else(NOT_KNOWN)
            .optional(
                "headroom",
                known_body_length(),
                known_at!($($space)*figures.headroom),
                "Greatest length from the head, hand included.",
            )
            .or_else(NOT_KNOWN)
            .such_as("180")
            .optional(
                "swings",
                rows(MAX_LIST_ITEMS, &SWING),
                maybe!($($space)*figures.swings),
                "Free arcs for handles; `[]` is free all round.",
            )
            .or_else(NOT_KNOWN)
            .optional(
                "side",
                SideForm(table(&SIDE)),
                (
                    |row: &$row| Some(row.$($space)*figures.side.clone()).filter(|side| *side != SideFigures::NotKnown),
                    |row: &mut $row, side| row.$($space)*figures.side = side,
                ),
                "Room beside the head for a flat tool.",
            )
            .or_else(NOT_KNOWN)
            .optional(
                "sight",
                word(words::SIGHTS),
                maybe!($($space)*figures.sight),
                "Whether the head can be seen, or only felt.",
            )
            .or_else("by the room, else `seen`")
            .optional(
                "drop_over",
                names(MAX_LIST_ITEMS, &OPENINGS),
                (
                    |row: &$row| {
                        let told = row.$($space)*figures.tells_openings;
                        told.then(|| row.$($space)*access.drop_over.iter().map(|id| id.index()).collect())
                    },
                    |row: &mut $row, found: Vec<usize>| {
                        row.$($space)*figures.tells_openings = true;
                        row.$($space)*access.drop_over = found.into_iter().map(OpeningId::new).collect();
                    },
                ),
                "Openings that lie below; `[]` is none.",
            )
            .or_else(NOT_KNOWN)
    };
}

static HELD_SPACE: LazyLock<FieldTable<SpaceDraft>> =
    LazyLock::new(|| with_space!(FieldTable::new("held_access", blank_space), SpaceDraft,));

static COUNTER_HOLD: LazyLock<FieldTable<HoldDraft>> = LazyLock::new(|| {
    let blank = || HoldDraft { drive: blank_drive(), grip_height: Known::Nothing, space: blank_space() };
    FieldTable::new("counter_hold", blank)
        .required("drive", drive(), at!(drive), "What is held.")
        .optional(
            "grip_height",
            known_body_length(),
            known_at!(grip_height),
            "Height of the held head, or depth of its recess.",
        )
        .or_else("by the standards of its drive")
        .required("access", table(&HELD_SPACE), at!(space), "The way to it.")
});

pub(crate) static ACCESS: LazyLock<FieldTable<AccessDraft>> = LazyLock::new(|| {
    let blank = || AccessDraft { space: blank_space(), hold: None, holes: None, way: None };
    let named = FieldTable::new("access", blank)
        .optional("holes", list(MAX_LIST_ITEMS, text()), maybe!(holes), "Labels of the holes.")
        .or_else("all holes")
        .optional("way", text(), maybe!(way), "The way it applies to.")
        .or_else("every way");
    with_space!(named, AccessDraft, space.).optional(
        "counter_hold",
        table(&COUNTER_HOLD),
        maybe!(hold),
        "The other side, where it needs holding.",
    )
});
