//! Fixings: the fasteners, their holes and heads, how they are tightened and treated.

use std::sync::LazyLock;

use fields::{
    FieldAccess, FieldTable, QuantityForm, at, flag, flag_at, list_at, maybe, number, quantity, rows, table,
    text, word,
};
use model::{HistoryCause, PatternRule};
use units::{Length, Torque};

use super::access::{ACCESS, body_length, body_or_zero_length};
use super::basics::{ABOUT_KEY, ABOUT_TITLE, book_price, item_count};
use super::{own_key, parsing};
use crate::drafts::{FixingDraft, HeadDraft, HoleDraft, blank_fixing};
use crate::limits::{self, MAX_ACCESSES, MAX_LIST_ITEMS};
use crate::words;

/// A place on a part's face.
pub(super) fn face_place() -> QuantityForm<Length> {
    quantity("40 mm", limits::face_place_range())
}

static HEAD: LazyLock<FieldTable<HeadDraft>> = LazyLock::new(|| {
    FieldTable::new("head", HeadDraft::default)
        .optional("height", body_length(), maybe!(height), "Height of an outer drive.")
        .optional("recess", body_length(), maybe!(recess), "Depth of an inner drive.")
        .required("diameter", body_length(), at!(diameter), "Largest diameter, flange or washer included.")
        .optional(
            "protrusion",
            body_or_zero_length(),
            maybe!(protrusion),
            "How far a stud projects above its nut.",
        )
});

pub(super) static HOLE: LazyLock<FieldTable<HoleDraft>> = LazyLock::new(|| {
    FieldTable::new("hole", HoleDraft::default)
        .optional("label", text(), maybe!(label), "Label, unique on the part.")
        .or_else("its number")
        .required("x", face_place(), at!(x), "Rightward.")
        .required("y", face_place(), at!(y), "Upward.")
});

static HISTORY: LazyLock<FieldTable<(HistoryCause, f64)>> = LazyLock::new(|| {
    FieldTable::new("history", || (HistoryCause::Heat, 1.0))
        .required("cause", word(words::HISTORY_CAUSES), at!(0), "Why.")
        .required("factor", number(-1.0e6..=1.0e6), at!(1), "How much harder, 1 to 5.")
});

pub(crate) static FIXING: LazyLock<FieldTable<FixingDraft>> = LazyLock::new(|| {
    let fastener = with_fastener(FieldTable::new("fixing", blank_fixing));
    with_treatment(with_tightening(with_seat(fastener)))
        .optional(
            "access",
            rows(MAX_ACCESSES, &ACCESS).under_headings(),
            list_at!(accesses),
            "At least one; every hole at least once.",
        )
        .or_else("a fault (B304)")
        .apart()
});

/// What the fastener is.
fn with_fastener(table: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    table
        .required("key", own_key(), at!(fixing.key), ABOUT_KEY)
        .apart()
        .required("title", text(), at!(fixing.title), ABOUT_TITLE)
        .required("kind", word(words::FASTENER_KINDS), at!(fixing.kind), "What kind of fastener it is.")
        .optional("thread", parsing::thread(), maybe!(fixing.thread), "Thread.")
        .optional("length", body_length(), maybe!(fixing.length), "Length under the head.")
        .optional("class", parsing::property_class(), maybe!(fixing.class), "Property class.")
        .required("drive", parsing::drive(), at!(fixing.drive), "What the tool takes hold of.")
}

/// Head, holes and thread in its hole.
fn with_seat(keys: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    keys.optional("head", table(&HEAD), maybe!(head), "Head; needed for drives that are turned.")
        .or_else("10 mm high, as wide as the drive")
        .optional("count", item_count(), maybe!(count), "How many fasteners.")
        .or_else("as many as holes")
        .optional("holes", parsing::holes(), maybe!(holes), "Places on the part's face.")
        .or_else("one at the origin")
        .optional(
            "engagement",
            body_or_zero_length(),
            at!(fixing.engagement),
            "Thread engaged; needed with a thread.",
        )
        .optional(
            "clamped",
            body_or_zero_length(),
            maybe!(fixing.clamped),
            "Thickness clamped under the head.",
        )
        .optional(
            "tapped_depth",
            body_length(),
            maybe!(fixing.tapped_depth),
            "Depth of usable thread; left out for through holes.",
        )
        .optional("tapped_in", word(words::TAPPED_IN), at!(fixing.tapped_in), "What it is tapped into.")
        .or_else("`steel`")
}

/// How it is tightened.
fn with_tightening(table: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    // Wider than any bolt: what breaks is the business of a rule.
    let end_torque =
        quantity("60 N·m", Torque::from_n_m(-1.0e12)..=Torque::from_n_m(1.0e12)).with_limits_untold();
    table
        .optional(
            "tighten",
            parsing::passes(),
            list_at!(fixing.tightening.stages),
            "Passes: torques, angles, seat, by feel.",
        )
        .or_else("nothing; the figure of a turned thread is missing")
        .optional("pattern", parsing::pattern(), pattern_at(), "Order of the holes.")
        .or_else("`auto`")
        .optional(
            "end_torque",
            end_torque,
            maybe!(fixing.tightening.end_torque),
            "Torque at the end of an angle pass.",
        )
        .optional(
            "tolerance",
            parsing::tolerance(),
            at!(fixing.tightening.tolerance_fraction),
            "Allowed deviation of the torque.",
        )
        .or_else("4 %")
        .optional(
            "closing_pass",
            flag(),
            flag_at!(fixing.tightening.closing_pass),
            "Once more at the last torque.",
        )
        .or_else("`false`")
        .optional("source", text(), list_at!(fixing.tightening.source), "Where the figures come from.")
        .optional("joint", text(), maybe!(fixing.joint), "Fixings of one part tightened as one pattern.")
        .optional(
            "lubrication",
            word(words::LUBRICATIONS),
            at!(fixing.lubrication),
            "What the figures hold for.",
        )
        .or_else("`unstated`")
}

/// The access of the pattern, which is written only where it is not chosen by the program.
fn pattern_at() -> FieldAccess<FixingDraft, PatternRule> {
    (
        |row| Some(row.fixing.tightening.pattern.clone()).filter(|pattern| *pattern != PatternRule::Auto),
        |row, pattern| row.fixing.tightening.pattern = pattern,
    )
}

/// How it is treated while it is off.
fn with_treatment(table: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    let history = rows(MAX_LIST_ITEMS, &HISTORY);
    table
        .optional("one_time", flag(), flag_at!(fixing.one_time), "Renewed each time.")
        .or_else("`false`")
        .optional("price", book_price(), maybe!(fixing.price), "Price of one new fastener.")
        .optional("captive", flag(), flag_at!(fixing.captive), "Stays on the part by itself.")
        .or_else("`false`")
        .optional(
            "critical",
            flag(),
            flag_at!(fixing.critical),
            "Never tightened by power, and checked a second time.",
        )
        .or_else("`false`")
        .optional("history", history, list_at!(fixing.history), "What makes it break loose harder.")
        .optional("keep", word(words::KEEPS), maybe!(fixing.keep), "Where to keep it while it is off.")
}
