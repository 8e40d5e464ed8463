//! Books as spreadsheets: one row a fixing, rows of one part title together, for what most people have in a list already.
//!
//! A row holds what fits in cells; what does not (spaces, ways, history) stays in the TOML files of the same folder. The
//! columns are the keys of the field table [`ROW`], so that they are read, written and described like all others.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use faults::{FaultCollector, FileId, SourceTexts};
use fields::{FieldTable, NameDirectory, PlacedValue, ReadingDesk, SheetRow, SheetRules, ValueSpot};
use fields::{at, flag, flag_at, known, known_at, list_at, maybe, names, quantity, text, word};
use model::{Book, Drive, DriveForm, PartId};
use units::Mass;

use crate::drafts::{FixingDraft, HeadDraft, PartDraft, blank_fixing, blank_part};
use crate::limits::MAX_LIST_ITEMS;
use crate::rules::names as rule;
use crate::tables::access::{known_body_length, room_class};
use crate::tables::basics::{book_price, item_count, needed_parts, off};
use crate::tables::{PARTS, parsing};
use crate::words;

/// A row as it is written.
#[derive(Debug, Clone)]
pub(crate) struct RowDraft {
    part: PartDraft,
    fixing: FixingDraft,
}

/// Every column of a book's spreadsheet.
pub(crate) static ROW: LazyLock<FieldTable<RowDraft>> = LazyLock::new(|| {
    let mass = quantity("4.8 kg", Mass::from_kg(-1.0)..=Mass::from_kg(1.0e6)).with_limits_untold();
    let blank = || RowDraft { part: blank_part(), fixing: blank_fixing() };
    let table = FieldTable::new("row", blank)
        .required("part", text(), at!(part.part.title), "Title of the part; rows of one title are one part.")
        .such_as("timing cover")
        .optional("part_kind", word(words::PART_KINDS), maybe!(part.part.kind), "What kind of part it is.")
        .optional("mass", known(mass), known_at!(part.part.mass), "Mass of the part.")
        .optional("helper", flag(), flag_at!(part.part.helper), "Needs a second pair of hands.")
        .optional(
            "off_first",
            names(MAX_LIST_ITEMS, &PARTS),
            (
                |row| needed_parts(&row.part.part.needs),
                |row, found| row.part.part.needs.extend(found.into_iter().map(off)),
            ),
            "Keys of the parts that must be off before, with semicolons between them.",
        );
    with_fixing(table)
});

/// The columns of the fixing.
fn with_fixing(table: FieldTable<RowDraft>) -> FieldTable<RowDraft> {
    table
        .optional("fixing", text(), list_at!(fixing.fixing.title), "Title of the fixing.")
        .or_else("made from the part's")
        .optional(
            "count",
            item_count(),
            maybe!(fixing.count),
            "How many fasteners; a row without is a part alone.",
        )
        .optional("kind", word(words::FASTENER_KINDS), maybe!(fixing.kind), "What kind of fastener it is.")
        .optional("drive", parsing::drive(), (known_drive, set_drive), "What the tool takes hold of.")
        .optional("thread", parsing::thread(), maybe!(fixing.fixing.thread), "Thread.")
        .optional(
            "length",
            crate::tables::access::body_length(),
            maybe!(fixing.fixing.length),
            "Length under the head.",
        )
        .optional("class", parsing::property_class(), maybe!(fixing.fixing.class), "Property class.")
        .optional(
            "height",
            known_body_length(),
            (height_of, set_height),
            "Height of the head, or depth of its recess.",
        )
        .optional(
            "diameter",
            known_body_length(),
            (diameter_of, set_diameter),
            "Largest diameter of the head.",
        )
        .optional("room", room_class(), maybe!(fixing.room), "The room round all its holes in one word.")
        .optional(
            "tighten",
            parsing::passes(),
            list_at!(fixing.fixing.tightening.stages),
            "Passes, with semicolons between them.",
        )
        .optional("source", text(), list_at!(fixing.fixing.tightening.source), "Where the figures come from.")
        .optional(
            "lubrication",
            word(words::LUBRICATIONS),
            at!(fixing.fixing.lubrication),
            "What the figures hold for.",
        )
        .optional(
            "tapped_in",
            word(words::TAPPED_IN),
            at!(fixing.fixing.tapped_in),
            "What it is tapped into.",
        )
        .optional("one_time", flag(), flag_at!(fixing.fixing.one_time), "Renewed each time.")
        .optional("price", book_price(), maybe!(fixing.fixing.price), "Price of one new fastener.")
        .optional("captive", flag(), flag_at!(fixing.fixing.captive), "Stays on the part by itself.")
        .optional("critical", flag(), flag_at!(fixing.fixing.critical), "Never tightened by power.")
        .optional("keep", word(words::KEEPS), maybe!(fixing.fixing.keep), "Where to keep it while it is off.")
}

/// The drive, where it is known.
fn known_drive(row: &RowDraft) -> Option<Drive> {
    Some(row.fixing.fixing.drive).filter(|drive| drive.form() != DriveForm::NotKnown)
}

fn set_drive(row: &mut RowDraft, drive: Drive) {
    row.fixing.fixing.drive = drive;
}

type KnownLength = model::Known<units::Length>;

fn head_of(row: &mut RowDraft) -> &mut HeadDraft {
    row.fixing.head.get_or_insert_default()
}

/// The height of the head, or the depth of its recess.
fn height_of(row: &RowDraft) -> Option<KnownLength> {
    let head = row.fixing.head.as_ref()?;
    [head.height, head.recess].into_iter().find(|figure| figure.is_known())
}

/// Kept as both: the drive, which may stand in a later column, tells which it is.
fn set_height(row: &mut RowDraft, height: KnownLength) {
    let head = head_of(row);
    (head.height, head.recess) = (height, height);
}

fn diameter_of(row: &RowDraft) -> Option<KnownLength> {
    row.fixing.head.as_ref().map(|head| head.diameter).filter(|figure| figure.is_known())
}

fn set_diameter(row: &mut RowDraft, diameter: KnownLength) {
    head_of(row).diameter = diameter;
}

/// The rows of one file.
pub(crate) fn read_rows(sources: &SourceTexts, file: FileId, bag: &FaultCollector) -> Vec<SheetRow> {
    let columns: Vec<&'static str> = ROW.fields().iter().map(fields::Field::key).collect();
    let rules = SheetRules { unknown_column: &rule::B124, bad_form: &rule::B125 };
    if sources.is_readable(file) {
        fields::read_sheet(sources, file, bag, &columns, rules)
    } else {
        Vec::new()
    }
}

/// The part title of a row.
pub(crate) fn part_title(row: &SheetRow) -> Option<&str> {
    row.cells.get("part").map(|cell| cell.value.as_str())
}

/// Adds the rows of spreadsheets to the parts that were read, by title; `places` has the position of each title's part.
pub(crate) fn add_rows(
    parts: &mut Vec<(PartDraft, ValueSpot)>,
    rows: &[SheetRow],
    places: &BTreeMap<String, usize>,
    desk: &ReadingDesk<'_>,
) {
    for row in rows {
        let PlacedValue { value, spot } = ROW.read_row(row, desk);
        let RowDraft { part, mut fixing } = value;
        let Some(place) = part_title(row).and_then(|title| places.get(title)).copied() else { continue };
        if place >= parts.len() {
            let mut at = ValueSpot::new(row.span);
            at.keys.insert("fixing", ValueSpot::of_list(row.span, Vec::new()));
            parts.push((PartDraft { fixings: Vec::new(), ..part }, at));
        }
        let Some((known, at)) = parts.get_mut(place) else { continue };
        if fixing.count.is_none() {
            continue;
        }
        if let Some(head) = &mut fixing.head {
            let unused = if fixing.fixing.drive.is_internal() { &mut head.height } else { &mut head.recess };
            *unused = model::Known::Nothing;
        }
        known.fixings.push(fixing);
        at.keys.entry("fixing").or_insert_with(|| ValueSpot::of_list(row.span, Vec::new())).items.push(spot);
    }
}

/// A book as a spreadsheet: one row a fixing, and one for each part without any.
#[must_use]
pub fn write_book_rows(book: &Book) -> String {
    let names = crate::write::names_of(book);
    let columns: Vec<&'static str> = ROW.fields().iter().map(fields::Field::key).collect();
    let mut sheet = csv::Writer::from_writer(Vec::new());
    let mut push = |cells: &[String]| {
        // Writing to memory does not fail.
        let _ = sheet.write_record(cells);
    };
    push(&columns.iter().map(|column| (*column).to_owned()).collect::<Vec<_>>());
    for id in book.part_ids() {
        for row in rows_of_part(book, id) {
            push(&row_cells(&row, &columns, &names));
        }
    }
    let bytes = sheet.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

fn rows_of_part(book: &Book, id: PartId) -> Vec<RowDraft> {
    let part = PartDraft { part: book.part(id).clone(), fixings: Vec::new(), repeat: Vec::new() };
    let fixings: Vec<_> = book.fixings_of(id).collect();
    if fixings.is_empty() {
        return vec![RowDraft { part, fixing: blank_fixing() }];
    }
    let row = |id| {
        let fixing = crate::fixing::draft_fixing(book, book.fixing(id));
        RowDraft { part: part.clone(), fixing }
    };
    fixings.into_iter().map(row).collect()
}

fn row_cells(row: &RowDraft, columns: &[&'static str], names: &NameDirectory) -> Vec<String> {
    let cells = ROW.write_cells(row, names);
    columns.iter().map(|column| cells.get(column).cloned().unwrap_or_default()).collect()
}
