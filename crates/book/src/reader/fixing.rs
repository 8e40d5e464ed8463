//! Fixings: the fasteners, their holes and heads.

use super::{BookNames, KeyedTable, access, tighten};
use crate::limits;
use crate::names::NameIndex;
use crate::rules::texts as rule;
use crate::spot::ValueSpot;
use crate::table_reader::TableReader;
use crate::words;
use bolting::{PropertyClass, Thread};
use faults::{TomlField, TomlKind};
use model::{Drive, DriveForm, Fixing, HeadDimensions, HistoryCause, Hole, Lubrication, PartId, TappedIn};
use units::Length;

/// Height and diameter taken for clips, latches and clamps where the book gives none (assumption: a finger's width);
/// no rule of reach asks for them.
const BARE_HEAD_MM: f64 = 10.0;

/// The part that a fixing belongs to.
pub(super) struct FixingOwner<'p> {
    pub(super) part: PartId,
    pub(super) ways: &'p NameIndex,
    /// Holes of the part's fixings before this one: labels count on from there.
    pub(super) holes_before_count: usize,
}

pub(super) fn read_fixing(
    keyed: KeyedTable<'_>,
    names: &BookNames,
    owner: &FixingOwner<'_>,
) -> (Fixing, ValueSpot) {
    let (row, key) = keyed.start_reading();
    // Accesses are read last and apart, so that a fault in one does not silence the rules about the fixing.
    let access_rows = row.child_tables("access", "access");
    let drive = read_drive(&row, row.required_field("drive"));
    let count = row.optional_count("count");
    let holes = read_holes(&row, count, owner.holes_before_count);
    let thread = row.parse_field(row.optional_field("thread"), &rule::B115, Thread::parse);
    let engagement = row.optional_quantity("engagement", limits::body_or_zero_length_range());
    let mut fixing = Fixing {
        key,
        title: row.required_text("title"),
        part: owner.part,
        kind: row.required_choice("kind", words::FASTENER_KINDS),
        thread,
        length: row.optional_quantity("length", limits::body_length_range()),
        class: row.parse_field(row.optional_field("class"), &rule::B116, PropertyClass::parse),
        drive,
        head: read_fastener_head(&row, drive),
        holes,
        engagement: engagement.unwrap_or_default(),
        clamped: row.optional_quantity("clamped", limits::body_or_zero_length_range()),
        tapped_depth: row.optional_quantity("tapped_depth", limits::body_length_range()),
        tapped_in: row.optional_choice("tapped_in", words::TAPPED_IN).unwrap_or(TappedIn::Steel),
        tightening: tighten::read_tightening(&row),
        joint: row.optional_text("joint"),
        lubrication: row.optional_choice("lubrication", words::LUBRICATIONS).unwrap_or(Lubrication::Unstated),
        one_time: row.flag("one_time"),
        price: row.optional_price("price"),
        captive: row.flag("captive"),
        critical: row.flag("critical"),
        history: read_history(&row),
        keep: row.optional_choice("keep", words::KEEPS),
        accesses: Vec::new(),
    };
    let mut spot = row.finish();
    spot.count = count;
    if spot.bad {
        // No book comes of it; a head of nothing keeps the rules about room silent.
        fixing.head =
            HeadDimensions { grip_height: Length::ZERO, diameter: Length::ZERO, protrusion: Length::ZERO };
    }
    let labels = index_hole_labels(&fixing.holes);
    let context =
        access::AccessReferences { names, labels: &labels, holes: fixing.holes.len(), ways: owner.ways };
    let (accesses, spots): (Vec<_>, Vec<_>) =
        access_rows.into_iter().map(|row| access::read_access(row, &context)).unzip();
    fixing.accesses = accesses;
    let span = spots.first().map_or(spot.span, |s| s.span);
    spot.keys.insert("access", ValueSpot::of_list(span, spots));
    (fixing, spot)
}

/// A drive; worked by hand after a fault, which asks for nothing more.
pub(super) fn read_drive(row: &TableReader<'_>, field: TomlField<'_>) -> Drive {
    let text = field.read_text();
    let Some(text) = text else { return Drive::new(DriveForm::Hand, 0.0) };
    Drive::parse(&text.value).unwrap_or_else(|error| {
        row.desk.bag.push(rule::b117_drive(&error.to_string(), text.span));
        Drive::new(DriveForm::Hand, 0.0)
    })
}

/// Labels of the holes with their positions.
fn index_hole_labels(holes: &[Hole]) -> NameIndex {
    let mut index = NameIndex::new("hole");
    for (position, hole) in holes.iter().enumerate() {
        index.insert(&hole.label, position);
    }
    index
}

/// The holes; one at the origin where none is written and there is one fastener.
fn read_holes(row: &TableReader<'_>, count: Option<u16>, before_count: usize) -> Vec<Hole> {
    let field = row.optional_field("holes");
    let Some(span) = field.span() else { return single_hole_at_origin(count, before_count) };
    let items = row.cut_to_limit("holes", field.list_items(), limits::MAX_HOLES);
    let mut spots = Vec::new();
    let mut holes = Vec::new();
    for (index, item) in items.into_iter().enumerate() {
        let label = (before_count + index + 1).to_string();
        spots.push(ValueSpot::of_field(&item).unwrap_or(ValueSpot::new(span)));
        holes.extend(read_hole(row, item, label));
    }
    row.note_place("holes", ValueSpot::of_list(span, spots));
    holes
}

/// The one hole of a fixing that gives no positions.
fn single_hole_at_origin(count: Option<u16>, before_count: usize) -> Vec<Hole> {
    let label = (before_count + 1).to_string();
    let one = count.is_none_or(|count| count == 1);
    if one { vec![Hole { label, x: Length::ZERO, y: Length::ZERO }] } else { Vec::new() }
}

/// `[x, y]`, or `{ label, x, y }`.
fn read_hole(row: &TableReader<'_>, item: TomlField<'_>, label: String) -> Option<Hole> {
    if item.kind() != Some(TomlKind::Table) {
        return read_hole_pair(row, item, label);
    }
    let inner = TableReader::new(item.read_table()?, "hole", row.desk);
    let hole = Hole {
        label: inner.optional_text("label").unwrap_or(label),
        x: inner.required_quantity("x", limits::face_place_range()),
        y: inner.required_quantity("y", limits::face_place_range()),
    };
    drop(inner.finish());
    Some(hole)
}

fn read_hole_pair(row: &TableReader<'_>, item: TomlField<'_>, label: String) -> Option<Hole> {
    let span = item.span()?;
    let ends: Vec<TomlField<'_>> = item.list_items();
    let Ok([x, y]) = <[TomlField<'_>; 2]>::try_from(ends) else {
        row.desk.bag.push(rule::b118_hole(span));
        return None;
    };
    let place = |field: TomlField<'_>| field.read_quantity_in(limits::face_place_range()).map(|l| l.value);
    Some(Hole { label, x: place(x)?, y: place(y)? })
}

fn read_fastener_head(row: &TableReader<'_>, drive: Drive) -> HeadDimensions {
    let bare = Length::from_mm(if drive.size() > 0.0 { drive.size() } else { BARE_HEAD_MM });
    let Some(inner) = row.child_table("head", "head") else {
        return HeadDimensions {
            grip_height: Length::from_mm(BARE_HEAD_MM),
            diameter: bare,
            protrusion: Length::ZERO,
        };
    };
    let height = inner.optional_quantity("height", limits::body_length_range());
    let recess = inner.optional_quantity("recess", limits::body_length_range());
    let diameter = inner.required_quantity("diameter", limits::body_length_range());
    let protrusion = inner.optional_quantity("protrusion", limits::body_or_zero_length_range());
    row.note_place("head", inner.finish());
    let own = if drive.is_internal() { recess } else { height };
    HeadDimensions {
        grip_height: own.or(height).or(recess).unwrap_or(Length::from_mm(BARE_HEAD_MM)),
        diameter,
        protrusion: protrusion.unwrap_or_default(),
    }
}

fn read_history(row: &TableReader<'_>) -> Vec<(HistoryCause, f64)> {
    let read = |row: TableReader<'_>| {
        let cause = row.required_choice("cause", words::HISTORY_CAUSES);
        let factor = row.required_field("factor").read_number(-1.0e6..=1.0e6).map_or(1.0, |f| f.value);
        ((cause, factor), row.finish())
    };
    let (history, spots) = row.child_tables("history", "history").into_iter().map(read).unzip();
    super::shared::note_item_places(row, "history", spots);
    history
}
