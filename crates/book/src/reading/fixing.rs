//! Fixings: the fasteners, their holes and heads.

use super::{Keyed, Names, access, tighten};
use crate::limits;
use crate::names::Index;
use crate::row::Row;
use crate::rules::texts as rule;
use crate::spot::Spot;
use crate::words;
use bolting::{PropertyClass, Thread};
use faults::{Field, Kind};
use model::{Drive, DriveForm, Fixing, Head, HistoryCause, Hole, Lubrication, PartId, TappedIn};
use units::Length;

/// Height and diameter taken for clips, latches and clamps where the book gives none (assumption: a finger's width);
/// no rule of reach asks for them.
const BARE_HEAD_MM: f64 = 10.0;

/// The part that a fixing belongs to.
pub(super) struct Owner<'p> {
    pub(super) part: PartId,
    pub(super) ways: &'p Index,
    /// Holes of the part's fixings before this one: labels count on from there.
    pub(super) holes_before_count: usize,
}

pub(super) fn fixing(keyed: Keyed<'_>, names: &Names, owner: &Owner<'_>) -> (Fixing, Spot) {
    let (row, key) = keyed.open();
    // Accesses are read last and apart, so that a fault in one does not silence the rules about the fixing.
    let access_rows = row.rows("access", "access");
    let drive = drive(&row, row.need("drive"));
    let count = row.count("count");
    let holes = holes(&row, count, owner.holes_before_count);
    let thread = row.parsed(row.maybe("thread"), &rule::B115, Thread::parse);
    let engagement = row.quantity_if("engagement", limits::body_or_nothing());
    let mut fixing = Fixing {
        key,
        title: row.text("title"),
        part: owner.part,
        kind: row.choice("kind", words::FASTENER_KINDS),
        thread,
        length: row.quantity_if("length", limits::body()),
        class: row.parsed(row.maybe("class"), &rule::B116, PropertyClass::parse),
        drive,
        head: head(&row, drive),
        holes,
        engagement: engagement.unwrap_or_default(),
        clamped: row.quantity_if("clamped", limits::body_or_nothing()),
        tapped_depth: row.quantity_if("tapped_depth", limits::body()),
        tapped_in: row.choice_if("tapped_in", words::TAPPED_IN).unwrap_or(TappedIn::Steel),
        tightening: tighten::tightening(&row),
        joint: row.text_if("joint"),
        lubrication: row.choice_if("lubrication", words::LUBRICATIONS).unwrap_or(Lubrication::Unstated),
        one_time: row.flag("one_time"),
        price: row.price("price"),
        captive: row.flag("captive"),
        critical: row.flag("critical"),
        history: history(&row),
        keep: row.choice_if("keep", words::KEEPS),
        accesses: Vec::new(),
    };
    let mut spot = row.finish();
    spot.count = count;
    if spot.bad {
        // No book comes of it; a head of nothing keeps the rules about room silent.
        fixing.head = Head { grip_height: Length::ZERO, diameter: Length::ZERO, protrusion: Length::ZERO };
    }
    let labels = labels(&fixing.holes);
    let context = access::Around { names, labels: &labels, holes: fixing.holes.len(), ways: owner.ways };
    let (accesses, spots): (Vec<_>, Vec<_>) =
        access_rows.into_iter().map(|row| access::access(row, &context)).unzip();
    fixing.accesses = accesses;
    let span = spots.first().map_or(spot.span, |s| s.span);
    spot.keys.insert("access", Spot::list(span, spots));
    (fixing, spot)
}

/// A drive; worked by hand after a fault, which asks for nothing more.
pub(super) fn drive(row: &Row<'_>, field: Field<'_>) -> Drive {
    let text = field.str();
    let Some(text) = text else { return Drive::new(DriveForm::Hand, 0.0) };
    Drive::parse(&text.value).unwrap_or_else(|error| {
        row.desk.bag.push(rule::b117_drive(&error.to_string(), text.span));
        Drive::new(DriveForm::Hand, 0.0)
    })
}

/// Labels of the holes with their positions.
fn labels(holes: &[Hole]) -> Index {
    let mut index = Index::new("hole");
    for (position, hole) in holes.iter().enumerate() {
        index.insert(&hole.label, position);
    }
    index
}

/// The holes; one at the origin where none is written and there is one fastener.
fn holes(row: &Row<'_>, count: Option<u16>, before_count: usize) -> Vec<Hole> {
    let field = row.maybe("holes");
    let Some(span) = field.span() else { return unplaced(count, before_count) };
    let items = row.at_most("holes", field.items(), limits::HOLES_MAX);
    let mut spots = Vec::new();
    let mut holes = Vec::new();
    for (index, item) in items.into_iter().enumerate() {
        let label = (before_count + index + 1).to_string();
        spots.push(Spot::of(&item).unwrap_or(Spot::new(span)));
        holes.extend(hole(row, item, label));
    }
    row.note("holes", Spot::list(span, spots));
    holes
}

/// The one hole of a fixing that gives no positions.
fn unplaced(count: Option<u16>, before_count: usize) -> Vec<Hole> {
    let label = (before_count + 1).to_string();
    let one = count.is_none_or(|count| count == 1);
    if one { vec![Hole { label, x: Length::ZERO, y: Length::ZERO }] } else { Vec::new() }
}

/// `[x, y]`, or `{ label, x, y }`.
fn hole(row: &Row<'_>, item: Field<'_>, label: String) -> Option<Hole> {
    if item.kind() != Some(Kind::Table) {
        return pair(row, item, label);
    }
    let inner = Row::new(item.table()?, "hole", row.desk);
    let hole = Hole {
        label: inner.text_if("label").unwrap_or(label),
        x: inner.quantity("x", limits::place()),
        y: inner.quantity("y", limits::place()),
    };
    drop(inner.finish());
    Some(hole)
}

fn pair(row: &Row<'_>, item: Field<'_>, label: String) -> Option<Hole> {
    let span = item.span()?;
    let ends: Vec<Field<'_>> = item.items();
    let Ok([x, y]) = <[Field<'_>; 2]>::try_from(ends) else {
        row.desk.bag.push(rule::b118_hole(span));
        return None;
    };
    let place = |field: Field<'_>| field.quantity_in(limits::place()).map(|l| l.value);
    Some(Hole { label, x: place(x)?, y: place(y)? })
}

fn head(row: &Row<'_>, drive: Drive) -> Head {
    let bare = Length::from_mm(if drive.size() > 0.0 { drive.size() } else { BARE_HEAD_MM });
    let Some(inner) = row.row("head", "head") else {
        return Head { grip_height: Length::from_mm(BARE_HEAD_MM), diameter: bare, protrusion: Length::ZERO };
    };
    let height = inner.quantity_if("height", limits::body());
    let recess = inner.quantity_if("recess", limits::body());
    let diameter = inner.quantity("diameter", limits::body());
    let protrusion = inner.quantity_if("protrusion", limits::body_or_nothing());
    row.note("head", inner.finish());
    let own = if drive.is_internal() { recess } else { height };
    Head {
        grip_height: own.or(height).or(recess).unwrap_or(Length::from_mm(BARE_HEAD_MM)),
        diameter,
        protrusion: protrusion.unwrap_or_default(),
    }
}

fn history(row: &Row<'_>) -> Vec<(HistoryCause, f64)> {
    let read = |row: Row<'_>| {
        let cause = row.choice("cause", words::HISTORY_CAUSES);
        let factor = row.need("factor").number(-1.0e6..=1.0e6).map_or(1.0, |f| f.value);
        ((cause, factor), row.finish())
    };
    let (history, spots) = row.rows("history", "history").into_iter().map(read).unzip();
    super::shared::note_items(row, "history", spots);
    history
}
