//! Fixings: the fasteners, their holes and heads, how they are tightened and treated.

use std::sync::LazyLock;

use fields::{
    FieldAccess, FieldTable, QuantityForm, at, flag, flag_at, known, known_at, list, list_at, maybe, number,
    quantity, rows, table, text, word,
};
use model::{Drive, DriveForm, HistoryCause, PatternRule};
use units::{Length, Torque};

use super::access::{ACCESS, NOT_KNOWN, body_length, body_or_zero_length, known_body_length, room_class};
use super::basics::{ABOUT_KEY, ABOUT_TITLE, KEY_OF_TITLE, book_price, item_count, with_origins};
use super::world::{ACT, act_at};
use super::{own_key, parsing};
use crate::drafts::{FixingDraft, HeadDraft, HoleDraft, blank_fixing};
use crate::limits::{self, MAX_ACCESSES, MAX_LIST_ITEMS};
use crate::words;

/// A place on a part's face.
pub(crate) fn face_place() -> QuantityForm<Length> {
    quantity("40 mm", limits::face_place_range())
}

/// What is taken of a head where nothing is told.
const BY_STANDARDS: &str = "between the ends that the standards of its drive allow";

static HEAD: LazyLock<FieldTable<HeadDraft>> = LazyLock::new(|| {
    FieldTable::new("head", HeadDraft::default)
        .optional("height", known_body_length(), known_at!(height), "Height of an outer drive.")
        .or_else(BY_STANDARDS)
        .optional("recess", known_body_length(), known_at!(recess), "Depth of an inner drive.")
        .or_else(BY_STANDARDS)
        .optional(
            "diameter",
            known_body_length(),
            known_at!(diameter),
            "Largest diameter, flange or washer included.",
        )
        .or_else(BY_STANDARDS)
        .optional(
            "protrusion",
            known(body_or_zero_length()),
            known_at!(protrusion),
            "How far a stud projects above its nut; 0 where it ends inside.",
        )
        .or_else("not known for a nut, else 0")
});

pub(crate) static HOLE: LazyLock<FieldTable<HoleDraft>> = LazyLock::new(|| {
    FieldTable::new("hole", HoleDraft::default)
        .optional("label", text(), maybe!(label), "Label, unique on the part.")
        .or_else("its number")
        .optional("x", face_place(), maybe!(x), "Rightward.")
        .or_else(NOT_KNOWN)
        .optional("y", face_place(), maybe!(y), "Upward.")
        .or_else(NOT_KNOWN)
});

static HISTORY: LazyLock<FieldTable<(HistoryCause, f64)>> = LazyLock::new(|| {
    FieldTable::new("history", || (HistoryCause::Heat, 1.0))
        .required("cause", word(words::HISTORY_CAUSES), at!(0), "Why.")
        .required("factor", number(-1.0e6..=1.0e6), at!(1), "How much harder, 1 to 5.")
});

pub(crate) static FIXING: LazyLock<FieldTable<FixingDraft>> = LazyLock::new(|| {
    let fastener = with_fastener(FieldTable::new("fixing", blank_fixing));
    let treated = with_treatment(with_tightening(with_seat(fastener)));
    with_origins!(with_world(treated), fixing.origins)
        .optional("room", room_class(), maybe!(room), "The room round all its holes in one word.")
        .or_else(NOT_KNOWN)
        .optional(
            "access",
            rows(MAX_ACCESSES, &ACCESS).under_headings(),
            list_at!(accesses),
            "The room round some of its holes; with one, every hole in at least one.",
        )
        .or_else("not known, or as `room` says")
        .apart()
});

/// What its acts ask of the world, and what they change there.
fn with_world(keys: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    keys.optional(
        "loosening",
        table(&ACT),
        act_at!(fixing.world.loosening),
        "What breaking it loose asks and changes; it is then a step of its own, and it is run out later.",
    )
    .or_else("undone as `taking_off` of the part says")
    .optional(
        "tightening",
        table(&ACT),
        act_at!(fixing.world.tightening),
        "What tightening it to its figure asks of the world and changes there.",
    )
    .optional(
        "tighten_after",
        list(MAX_LIST_ITEMS, text().called("key of a fixing")),
        list_at!(tighten_after),
        "Fixings, of any part, that have their figure before its tightening begins.",
    )
}

/// What the fastener is.
fn with_fastener(table: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    table
        .optional("key", own_key(), at!(fixing.key), ABOUT_KEY)
        .apart()
        .or_else(KEY_OF_TITLE)
        .optional("title", text(), at!(fixing.title), ABOUT_TITLE)
        .or_else("made from the part's")
        .optional("kind", word(words::FASTENER_KINDS), maybe!(kind), "What kind of fastener it is.")
        .or_else("by its drive: `bolt`, `clip`, `clamp` or `connector`")
        .optional("thread", parsing::thread(), maybe!(fixing.thread), "Thread.")
        .optional("left_hand", flag(), flag_at!(fixing.is_left_hand), "The thread is left-handed.")
        .or_else("`false`")
        .optional("length", body_length(), maybe!(fixing.length), "Length under the head.")
        .optional("class", parsing::property_class(), maybe!(fixing.class), "Property class.")
        .optional("drive", parsing::drive(), drive_at(), "What the tool takes hold of.")
        .or_else("not known: the first thing to look at")
}

/// The access of the drive, which is written only where it is known.
fn drive_at() -> FieldAccess<FixingDraft, Drive> {
    (
        |row| Some(row.fixing.drive).filter(|drive| drive.form() != DriveForm::NotKnown),
        |row, drive| row.fixing.drive = drive,
    )
}

/// Head, holes and thread in its hole.
fn with_seat(keys: FieldTable<FixingDraft>) -> FieldTable<FixingDraft> {
    keys.optional("head", table(&HEAD), maybe!(head), "Head.")
        .or_else(BY_STANDARDS)
        .optional("count", item_count(), maybe!(count), "How many fasteners.")
        .or_else("as many as holes, else 1")
        .optional("holes", parsing::holes(), maybe!(holes), "Places on the part's face, or labels alone.")
        .or_else("places not known")
        .optional("engagement", known(body_or_zero_length()), known_at!(fixing.engagement), "Thread engaged.")
        .or_else("not known; times assume one diameter")
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
            "slackened",
            flag(),
            flag_at!(fixing.slackened),
            "Only loosened and left in its hole, and tightened again at refit.",
        )
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
