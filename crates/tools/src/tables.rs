//! The keys of the store format, one field table for each kind of table: reader, columns, writer, schema and page.

use std::sync::LazyLock;

use faults::Fault;
use fields::{FieldTable, at, count, flag, flag_at, list, list_at, maybe, price, quantity, rows, text, word};
use model::{GripApproach, HandleStyle, Retention, Tray};
use units::Length;

use crate::draft::{PieceDraft, StoreDraft};
use crate::gather::{FORMAT, MAX_STORE_PIECES};
use crate::keys::KeyScope::{self, All, Bend, Grip, Handle, Measure, Power, Ratchet, Sets, Side, Swung};
use crate::parsing::{self, OutlineForm, PlaceForm, TorqueRangeForm, angle, any_length, body_length, torque};
use crate::recipe::{KINDS, LINKS};

/// Words for what holds a fastener.
const RETENTIONS: fields::WordTable<Retention> = &[
    ("none", Retention::None),
    ("magnet", Retention::Magnet),
    ("spring", Retention::Spring),
    ("rubber", Retention::Rubber),
    ("jaws", Retention::Jaws),
];
/// Words for how a handle is moved.
const HANDLES: fields::WordTable<HandleStyle> = &[
    ("ratchet", HandleStyle::Ratchet),
    ("bar", HandleStyle::Bar),
    ("in-line", HandleStyle::InLine),
    ("power", HandleStyle::Power),
    ("squeeze", HandleStyle::Squeeze),
];
/// Words for where a grip comes from.
const APPROACHES: fields::WordTable<GripApproach> =
    &[("axial", GripApproach::Axial), ("side", GripApproach::Side)];

/// Items of one list.
const MAX_LIST: usize = 1000;

/// A table of pieces or sets.
type PieceTable = FieldTable<PieceDraft, KeyScope>;

/// A file of a store.
pub(crate) static STORE: LazyLock<FieldTable<StoreDraft>> = LazyLock::new(|| {
    let format = text().constant(FORMAT).checked(|line| (line.value != FORMAT).then(|| other_format(line)));
    FieldTable::new("store", StoreDraft::default)
        .required("format", format, at!(format), "The format and its version.")
        .required("title", text(), maybe!(title), "What a person calls the store.")
        .optional(
            "origin",
            text(),
            maybe!(origin),
            "Where the store comes from; says so when it is invented.",
        )
        .optional("cart_places", count(1..=9999), maybe!(cart_places), "Places on the cart.")
        .optional(
            "tray",
            rows(MAX_STORE_PIECES, &TRAY).under_headings(),
            list_at!(trays),
            "Trays with like compartments.",
        )
        .optional(
            "set",
            rows(MAX_STORE_PIECES, &SET).under_headings(),
            list_at!(sets),
            "Many pieces in one line of words.",
        )
        .optional(
            "piece",
            rows(MAX_STORE_PIECES, &PIECE).under_headings(),
            list_at!(pieces),
            "One piece, or several alike.",
        )
});

/// S121: another format line.
fn other_format(line: &faults::Spanned<String>) -> Fault {
    let near = faults::nearest_name(&line.value, [FORMAT])
        .map_or("not known here", |_| "misspelt, or of another version");
    let fault = Fault::error("S121", format!("the format is {near}"));
    fault.at(line.span, "this format").help(format!("write `format = \"{FORMAT}\"`"))
}

static TRAY: LazyLock<FieldTable<Tray>> = LazyLock::new(|| {
    let blank = || {
        let (width, depth, height) = (Length::ZERO, Length::ZERO, Length::ZERO);
        Tray { key: String::new(), rows: 0, columns: 0, width, depth, height }
    };
    let side = || quantity("50 mm", Length::from_mm(1.0)..=Length::from_mm(2000.0));
    FieldTable::new("tray", blank)
        .required("key", text(), at!(key), "Short name, unique in the store.")
        .required("rows", count(1..=100), at!(rows), "Rows of compartments.")
        .required("columns", count(1..=100), at!(columns), "Compartments in a row.")
        .required("width", side(), at!(width), "Width of a compartment.")
        .required("depth", side(), at!(depth), "Depth of a compartment, front to back.")
        .required("height", side(), at!(height), "Height of a compartment.")
});

/// A set: many pieces in one line of words.
pub(crate) static SET: LazyLock<PieceTable> = LazyLock::new(|| {
    let sizes = || list(MAX_LIST, parsing::set_size()).or_text();
    let table = FieldTable::new("set", PieceDraft::default)
        .required("set", text(), maybe!(set), "Many pieces in one line of words.")
        .such_as("\"1/4 in deep sockets 4 to 14 mm\"")
        .scoped(Sets)
        .optional("except", sizes(), list_at!(except), "Sizes of the words that are missing.")
        .scoped(Sets)
        .optional("also", sizes(), list_at!(also), "Further sizes that are present.")
        .scoped(Sets);
    let table = with_name(table)
        .optional("link", word(LINKS).any_case(), maybe!(figures.link), LINK_WORDS)
        .scoped(All);
    with_owner(with_figures(with_outer(table)))
});

/// A single piece, or several alike.
pub(crate) static PIECE: LazyLock<PieceTable> = LazyLock::new(|| {
    let table = with_name(FieldTable::new("piece", PieceDraft::default))
        .required("kind", word(KINDS).any_case(), maybe!(kind), "Kind of piece.")
        .such_as("\"socket\"")
        .scoped(All)
        .optional("link", word(LINKS).any_case(), maybe!(figures.link), LINK_WORDS)
        .scoped(All)
        .optional(
            "hand_link",
            word(LINKS).any_case(),
            maybe!(figures.hand_link),
            "Link on the hand's side alone.",
        )
        .or_else("`link`")
        .scoped(All)
        .optional(
            "fastener_link",
            word(LINKS).any_case(),
            maybe!(figures.fastener_link),
            "Link on the fastener's side alone.",
        )
        .or_else("`link`")
        .scoped(All)
        .optional("size", parsing::size(), maybe!(size), "Size in the kind's own form.")
        .scoped(Grip)
        .optional(
            "fits",
            list(MAX_LIST, parsing::fit()).or_text(),
            maybe!(fits),
            "Drives that it takes, instead of a size.",
        )
        .or_else("from `size` and `points`")
        .scoped(Grip);
    with_owner(with_figures(with_outer(table)))
        .optional(
            "exact",
            flag(),
            flag_at!(figures.exact),
            "No missing figure is filled in; for programs that write stores.",
        )
        .or_else("`false`")
        .scoped(All)
});

/// About the link of a piece.
const LINK_WORDS: &str =
    "Square drive or hexagonal shank: the one that the kind has, on both sides for extensions and joints.";

/// Key and title.
fn with_name(table: PieceTable) -> PieceTable {
    table
        .optional(
            "key",
            parsing::piece_key(),
            maybe!(key),
            "Short name, unique in the store; of a set all but the size.",
        )
        .or_else("made from kind, link and size")
        .scoped(All)
        .optional("title", text(), maybe!(title), "What a person calls it.")
        .or_else("made likewise")
        .scoped(All)
}

/// Points and body.
fn with_outer(table: PieceTable) -> PieceTable {
    table
        .optional("points", count(0..=24), maybe!(figures.points), "6 or 12.")
        .or_else("6; rings 12")
        .scoped(Grip)
        .optional(
            "length",
            body_length(),
            maybe!(figures.length),
            "Length along the axis; of swung handles, spanners and keys across it; of an `exact` torque tool the lever of its scale.",
        )
        .or_else("tables")
        .scoped(All)
        .optional("diameter", body_length(), maybe!(figures.diameter), "Largest diameter; of swung handles that of the head.")
        .or_else("tables")
        .scoped(All)
        .optional("height", body_length(), maybe!(figures.height), "Height of a swung handle's head along the axis.")
        .or_else("tables")
        .scoped(Swung)
        .optional(
            "outline",
            OutlineForm,
            maybe!(figures.outline),
            "Body from the fastener's end to the hand's, instead of length and diameter.",
        )
        .or_else("tables")
        .scoped(All)
}

/// Every other figure.
fn with_figures(table: PieceTable) -> PieceTable {
    with_torque(with_handle(with_joint(with_grip(table))))
}

/// What takes hold.
fn with_grip(table: PieceTable) -> PieceTable {
    table
        .optional("depth", any_length(), maybe!(figures.depth), "How far it goes over a head or into a recess.")
        .or_else("tables")
        .scoped(Grip)
        .optional("thickness", body_length(), maybe!(figures.thickness), "Thickness of a head worked from the side.")
        .or_else("tables")
        .scoped(Side)
        .optional("head_width", any_length(), maybe!(figures.head_width), "Width across such a head.")
        .or_else("tables")
        .scoped(Side)
        .optional("offset", any_length(), maybe!(figures.offset), "Distance from the fastener's axis to the square's.")
        .or_else("tables")
        .scoped(Side)
        .optional("approach", word(APPROACHES).any_case(), maybe!(figures.approach), "From where it takes hold.")
        .or_else("by kind")
        .scoped(Grip)
        .optional("index", angle("30°"), maybe!(figures.index), "Angle after which it can be put on again.")
        .or_else("by form and points")
        .scoped(Grip)
        .optional("retention", word(RETENTIONS).any_case(), maybe!(figures.retention), "What keeps the fastener in it.")
        .or_else("`none`")
        .scoped(Grip)
        .optional(
            "thin",
            flag(),
            flag_at!(figures.thin),
            "Thin-walled socket (three quarters of the usual wall), thin spanner (six tenths of the usual thickness).",
        )
        .or_else("`false`")
        .scoped(Grip)
}

/// What bends.
fn with_joint(table: PieceTable) -> PieceTable {
    table
        .optional("max_angle", angle("40°"), maybe!(figures.max_angle), "Greatest angle of a joint.")
        .or_else("40°; tilting extension 15°")
        .scoped(Bend)
        .optional(
            "bend_at",
            any_length(),
            maybe!(figures.bend_at),
            "Distance of the joint's centre from the fastener's end.",
        )
        .or_else("middle; tilting extension 0")
        .scoped(Bend)
        .optional(
            "stays_straight",
            flag(),
            maybe!(figures.stays_straight),
            "Whether it can also be used straight.",
        )
        .or_else("`false`; tilting extension `true`")
        .scoped(Bend)
}

/// What takes the hand.
fn with_handle(table: PieceTable) -> PieceTable {
    table
        .optional("handle", word(HANDLES).any_case(), maybe!(figures.handle), "How it is moved.")
        .or_else("by kind")
        .scoped(Handle)
        .optional("teeth", count(4..=1000), maybe!(figures.teeth), "Teeth of a ratchet.")
        .or_else("36; ratcheting ring 72; a torque wrench without `teeth` or `step` has no ratchet")
        .scoped(Ratchet)
        .optional("step", angle("5°"), maybe!(figures.step), "Step of a ratchet, instead of teeth.")
        .or_else("360° over the teeth")
        .scoped(Ratchet)
        .optional("radius", any_length(), maybe!(figures.radius), "Radius that needs free swing.")
        .or_else("from `length`")
        .scoped(Handle)
        .optional(
            "arm",
            any_length(),
            maybe!(figures.arm),
            "Distance from the axis to the middle of the hand.",
        )
        .or_else("from `length`")
        .scoped(Handle)
        .optional(
            "hand_room",
            any_length(),
            maybe!(figures.hand_room),
            "Room for the hand beyond the body, along the axis.",
        )
        .or_else("by handle")
        .scoped(Handle)
}

/// What shows, limits or gives a torque.
fn with_torque(table: PieceTable) -> PieceTable {
    let clutch = list(MAX_LIST, torque("2 N·m")).or_text();
    table
        .optional("range", TorqueRangeForm, maybe!(figures.range), "Torques that it can be set to or shows.")
        .scoped(Measure)
        .optional(
            "tolerance",
            parsing::tolerance(),
            maybe!(figures.tolerance_fraction),
            "Error allowed by its class; a bare number is a fraction.",
        )
        .or_else("ISO 6789: 4 %, up to 10 N·m 6 %; screwdrivers 6 %")
        .scoped(Measure)
        .optional("scale_step", torque("0.1 N·m"), maybe!(figures.scale_step), "Smallest step of its scale.")
        .scoped(Measure)
        .optional(
            "speed",
            parsing::speed(),
            maybe!(figures.speed_rpm),
            "Speed without load, in turns a minute.",
        )
        .scoped(Power)
        .optional("max_torque", torque("30 N·m"), maybe!(figures.max_torque), "Greatest torque of a driver.")
        .scoped(Power)
        .optional("clutch", clutch, maybe!(figures.clutch), "Torques of its clutch steps, rising.")
        .scoped(Power)
        .optional(
            "strength",
            torque("60 N·m"),
            maybe!(figures.strength),
            "Greatest torque that it withstands.",
        )
        .or_else("tables")
        .scoped(All)
}

/// What its owner keeps with it.
fn with_owner(table: PieceTable) -> PieceTable {
    let number = || count(0..=9999);
    table
        .optional(
            "answers",
            parsing::names_of_tools(),
            maybe!(figures.answers),
            "Special tools of books that it serves as.",
        )
        .such_as("[\"crank-pin\"]")
        .scoped(All)
        .required("place", PlaceForm, maybe!(place), "Where it is kept.")
        .such_as("\"red cabinet / drawer 1\"")
        .scoped(All)
        .optional("count", number(), maybe!(count), "How many are owned; of a set, of each size.")
        .or_else("1")
        .scoped(All)
        .optional("lent", number(), at!(lent), "How many of them are lent out.")
        .or_else("0")
        .scoped(All)
        .optional(
            "in_calibration",
            number(),
            at!(in_calibration),
            "How many of them are out for calibration.",
        )
        .or_else("0")
        .scoped(All)
        .optional("price", price(None), maybe!(figures.price), "Price of one more.")
        .or_else("not known")
        .scoped(All)
        .optional(
            "dimensions",
            text(),
            maybe!(figures.dimensions),
            "Where the dimensions come from, in words.",
        )
        .or_else("made")
        .scoped(All)
}

/// The columns of a spreadsheet: the keys of a piece or a set.
pub(crate) fn sheet_columns() -> Vec<&'static str> {
    let pieces = PIECE.fields().iter().map(fields::Field::key);
    SET.fields()
        .iter()
        .filter(|field| field.scope() == Some(Sets))
        .map(fields::Field::key)
        .chain(pieces)
        .collect()
}
