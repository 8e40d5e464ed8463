//! Accesses: the space round the holes, and the other side where it is held.

use std::sync::LazyLock;

use fields::{
    FieldTable, QuantityForm, at, list, list_at, maybe, name, names, quantity, rows, table, text, word,
};
use model::{Access, AccessBend, CorridorSegment, CounterHold, OpeningId, SideRoom, StationId, Swing};
use units::{Angle, Length};

use super::basics::ids_at;
use super::parsing::drive;
use super::{OPENINGS, STATIONS};
use crate::drafts::{AccessDraft, HoldDraft, blank_access, blank_drive};
use crate::limits::{self, MAX_LIST_ITEMS};
use crate::words;

/// A length of a body or a room.
pub(super) fn body_length() -> QuantityForm<Length> {
    quantity("25 mm", limits::body_length_range())
}

/// A length that may be zero.
pub(super) fn body_or_zero_length() -> QuantityForm<Length> {
    quantity("25 mm", limits::body_or_zero_length_range())
}

static SEGMENT: LazyLock<FieldTable<CorridorSegment>> = LazyLock::new(|| {
    FieldTable::new("segment", || CorridorSegment { length: None, clear: Length::ZERO })
        .optional("length", body_length(), maybe!(length), "Length of the stretch.")
        .or_else("the last, open one")
        .required("clear", body_length(), at!(clear), "Diameter that is clear round the axis.")
});

static BEND: LazyLock<FieldTable<AccessBend>> = LazyLock::new(|| {
    FieldTable::new("bend", || AccessBend { at: Length::ZERO, angle: Angle::ZERO })
        .required("at", body_or_zero_length(), at!(at), "Distance from the head.")
        .required("angle", quantity("30°", limits::angle_range()), at!(angle), "By how much the axis turns.")
});

static SWING: LazyLock<FieldTable<Swing>> = LazyLock::new(|| {
    FieldTable::new("swing", || Swing { radius: Length::ZERO, arc: Angle::ZERO })
        .required("radius", body_length(), at!(radius), "Radius of the handle.")
        .required("arc", quantity("60°", limits::angle_range()), at!(arc), "Arc that is free for it.")
});

/// A side room whose reach may be left out.
static SIDE: LazyLock<FieldTable<(SideRoom, Option<Length>)>> = LazyLock::new(|| {
    let blank = || {
        let zero = Length::ZERO;
        (SideRoom { radial: zero, height: zero, reach: zero, headroom: zero, swings: Vec::new() }, None)
    };
    let swings = rows(MAX_LIST_ITEMS, &SWING);
    FieldTable::new("side", blank)
        .required("radial", body_length(), at!(0.radial), "Radius that is clear all round the axis.")
        .required("height", body_length(), at!(0.height), "Clear height from the seat of the head.")
        .optional("reach", body_length(), maybe!(1), "How far the room reaches in its best direction.")
        .or_else("`radial`")
        .optional(
            "headroom",
            body_or_zero_length(),
            at!(0.headroom),
            "Greatest length of a shaft beside the head, hand included.",
        )
        .or_else("no shaft")
        .optional("swings", swings, list_at!(0.swings), "Free arcs for handles.")
        .or_else("free all round")
});

/// The side room of a draft.
fn side_room((room, reach): (SideRoom, Option<Length>)) -> SideRoom {
    SideRoom { reach: reach.unwrap_or(room.radial), ..room }
}

/// The space of an access, the same on both sides.
macro_rules! with_space {
    ($table:expr, $row:ty, $($access:tt)*) => {
        $table
            .optional(
                "station",
                name(&STATIONS),
                (
                    |row: &$row| row.$($access)*station.map(StationId::index),
                    |row: &mut $row, position| row.$($access)*station = Some(StationId::new(position)),
                ),
                "Working position.",
            )
            .or_else("the part's")
            .required(
                "corridor",
                rows(MAX_LIST_ITEMS, &SEGMENT),
                at!($($access)*corridor),
                "From the head outward; the last stretch has no length.",
            )
            .such_as("[{ length = 40, clear = 22 }, { clear = 60 }]")
            .optional(
                "bends",
                rows(MAX_LIST_ITEMS, &BEND),
                list_at!($($access)*bends),
                "Where the axis turns, rising by distance.",
            )
            .required(
                "headroom",
                body_length(),
                at!($($access)*headroom),
                "Greatest length from the head, hand included.",
            )
            .such_as("180")
            .optional(
                "swings",
                rows(MAX_LIST_ITEMS, &SWING),
                list_at!($($access)*swings),
                "Free arcs for handles.",
            )
            .or_else("free all round")
            .optional(
                "side",
                table(&SIDE),
                (
                    |row: &$row| row.$($access)*side.clone().map(|room| (room.clone(), Some(room.reach))),
                    |row: &mut $row, draft| row.$($access)*side = Some(side_room(draft)),
                ),
                "Room beside the head for a flat tool.",
            )
            .optional(
                "sight",
                word(words::SIGHTS),
                at!($($access)*sight),
                "Whether the head can be seen, or only felt.",
            )
            .or_else("`seen`")
            .optional(
                "drop_over",
                names(MAX_LIST_ITEMS, &OPENINGS),
                ids_at!(OpeningId, $($access)*drop_over),
                "Openings that lie below.",
            )
    };
}

static HELD_ACCESS: LazyLock<FieldTable<Access>> =
    LazyLock::new(|| with_space!(FieldTable::new("held_access", blank_access), Access,));

static COUNTER_HOLD: LazyLock<FieldTable<HoldDraft>> = LazyLock::new(|| {
    let blank = || HoldDraft { drive: blank_drive(), grip_height: Length::ZERO, access: blank_access() };
    FieldTable::new("counter_hold", blank)
        .required("drive", drive(), at!(drive), "What is held.")
        .required(
            "grip_height",
            body_length(),
            at!(grip_height),
            "Height of the held head, or depth of its recess.",
        )
        .required("access", table(&HELD_ACCESS), at!(access), "The way to it.")
});

pub(crate) static ACCESS: LazyLock<FieldTable<AccessDraft>> = LazyLock::new(|| {
    let blank = || AccessDraft { access: blank_access(), holes: None, way: None };
    let named = FieldTable::new("access", blank)
        .optional("holes", list(MAX_LIST_ITEMS, text()), maybe!(holes), "Labels of the holes.")
        .or_else("all holes")
        .optional("way", text(), maybe!(way), "The way it applies to.")
        .or_else("every way");
    with_space!(named, AccessDraft, access.).optional(
        "counter_hold",
        table(&COUNTER_HOLD),
        (
            |row| row.access.counter_hold.as_ref().map(hold_draft),
            |row, draft| row.access.counter_hold = Some(counter_hold(draft)),
        ),
        "The other side, where it needs holding.",
    )
});

/// A held side as it is written.
fn hold_draft(hold: &CounterHold) -> HoldDraft {
    HoldDraft { drive: hold.drive, grip_height: hold.grip_height, access: (*hold.access).clone() }
}

/// A held side in the model.
fn counter_hold(draft: HoldDraft) -> CounterHold {
    CounterHold { drive: draft.drive, grip_height: draft.grip_height, access: Box::new(draft.access) }
}
