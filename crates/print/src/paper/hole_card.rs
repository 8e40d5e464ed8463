//! Hole cards in true size: laid on cardboard, each hole is punched where the part has it, and holds its own fastener.
//!
//! A pattern larger than the page is split into tiles that overlap by a strip; crosses on the overlap lie at the same place of
//! the part on both tiles, so that they are laid over each other, and a map says which tile lies where.

use crate::drawing::TextAnchor;
use crate::paper::block::{HoleCard, HoleSpot};
use crate::paper::flow::SMALL_MM;
use crate::paper::font::LetterFaces;
use crate::paper::ink::{
    INK, InkColour, InkItem, InkNib, PageInks, WHITE, circle_segments, polygon_segments,
};

/// Strip that two tiles share.
pub const OVERLAP_MM: f64 = 15.0;
/// Room for the ruler and its words.
pub const RULER_MM: f64 = 15.0;
/// Room round the outermost holes for their words.
const WORDS_MM: f64 = 13.0;
/// Words of a tile keep so far from its frame.
const RIM_MM: f64 = 1.2;
/// Size of a hole's number.
const LABEL_MM: f64 = 4.4;
const GREY: InkColour = (120, 120, 120);

/// Field of the part: left, bottom, right, top, in the part's own millimetres.
pub type CardField = (f64, f64, f64, f64);

/// A part of the pattern on one page.
#[derive(Debug, Clone, PartialEq)]
pub struct CardTile {
    /// Row letter from the top and column number from the left: "B2"; empty where there is only one.
    pub name: String,
    /// What of the part it shows.
    pub field: CardField,
}

/// How a pattern is split.
#[derive(Debug, Clone, PartialEq)]
pub struct CardTiling {
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// Row by row from the top.
    pub tiles: Vec<CardTile>,
}

/// The field that a card needs, words included.
#[must_use]
pub fn card_field(card: &HoleCard) -> CardField {
    let holes = card.holes.iter().filter(|h| h.at_mm.0.is_finite() && h.at_mm.1.is_finite()).map(|h| {
        let r = WORDS_MM.max(punch_radius_mm(h) + 3.0);
        (h.at_mm.0 - r, h.at_mm.1 - r, h.at_mm.0 + r, h.at_mm.1 + r)
    });
    let outline = card
        .outline_mm
        .iter()
        .filter(|p| p.0.is_finite() && p.1.is_finite())
        .map(|(x, y)| (x - 2.0, y - 2.0, x + 2.0, y + 2.0));
    let join = |a: CardField, b: CardField| (a.0.min(b.0), a.1.min(b.1), a.2.max(b.2), a.3.max(b.3));
    holes.chain(outline).reduce(join).unwrap_or((0.0, 0.0, 20.0, 20.0))
}

/// Maximum number of tiles in a row or a column: beyond 3 m the book names a wrong unit rather than a part (assumption).
const MAX_TILES: f64 = 20.0;

/// Parts a field into tiles of a room; `None` where it would take more than twenty in a row or a column.
#[must_use]
pub fn tile_field(field: CardField, (w, h): (f64, f64)) -> Option<CardTiling> {
    let (width_mm, height_mm) = (field.2 - field.0, field.3 - field.1);
    let count = |whole_mm: f64, room_mm: f64| {
        if whole_mm <= room_mm {
            return Some(1);
        }
        let count = ((whole_mm - OVERLAP_MM) / (room_mm - OVERLAP_MM)).ceil();
        (count <= MAX_TILES).then_some(count.max(1.0) as usize)
    };
    let (columns, rows) = (count(width_mm, w)?, count(height_mm, h)?);
    // Tiles of equal size, so that the last is no sliver.
    let even = |whole_mm: f64, count: usize, room_mm: f64| {
        let count = count as f64;
        if count < 2.0 { room_mm } else { ((whole_mm + (count - 1.0) * OVERLAP_MM) / count).min(room_mm) }
    };
    let (w, h) = (even(width_mm, columns, w), even(height_mm, rows, h));
    let tile = |i: usize| {
        let (row, column) = (i / columns, i % columns);
        let left = if columns == 1 {
            f64::midpoint(field.0, field.2) - w / 2.0
        } else {
            field.0 + (w - OVERLAP_MM) * column as f64
        };
        let top = if rows == 1 { field.3 } else { field.3 - (h - OVERLAP_MM) * row as f64 };
        let letter = char::from(b'A' + (row % 26) as u8);
        let name = if columns * rows == 1 { String::new() } else { format!("{letter}{}", column + 1) };
        let high_mm = if rows == 1 { height_mm.min(h) } else { h };
        CardTile { name, field: (left, top - high_mm, left + w, top) }
    };
    Some(CardTiling { columns, rows, tiles: (0..columns * rows).map(tile).collect() })
}

fn punch_radius_mm(hole: &HoleSpot) -> f64 {
    if hole.diameter_mm.is_finite() { (hole.diameter_mm / 2.0).clamp(0.5, 200.0) } else { 3.0 }
}

/// Draws a tile with its top left corner at a place of the paper.
pub fn draw_tile(
    inks: &mut PageInks,
    letters: &LetterFaces,
    card: &HoleCard,
    tiling: &CardTiling,
    tile: &CardTile,
    at_mm: (f64, f64),
) {
    let (left, bottom, right, top) = tile.field;
    let size_mm = (right - left, top - bottom);
    let place = |p: (f64, f64)| (at_mm.0 + p.0 - left, at_mm.1 + top - p.1);
    inks.0.push(InkItem::Within(at_mm.0, at_mm.1, size_mm.0, size_mm.1));
    let outline: Vec<(f64, f64)> = card.outline_mm.iter().map(|p| place(*p)).collect();
    if outline.len() > 1 {
        inks.0.push(InkItem::Path {
            segs: polygon_segments(&outline, true),
            fill: None,
            nib: Some(InkNib::full_line(0.5)),
        });
    }
    for hole in &card.holes {
        draw_punch_hole(inks, place(hole.at_mm), punch_radius_mm(hole));
    }
    inks.0.push(InkItem::Free);
    let mut taken: Vec<CardField> = card
        .holes
        .iter()
        .map(|h| {
            let ((x, y), r) = (place(h.at_mm), punch_radius_mm(h) + 0.6);
            (x - r, y - r, x + r, y + r)
        })
        .collect();
    let rim_mm = if tiling.tiles.len() > 1 { RIM_MM } else { 0.0 };
    let room =
        (at_mm.0 + rim_mm, at_mm.1 + rim_mm, at_mm.0 + size_mm.0 - rim_mm, at_mm.1 + size_mm.1 - rim_mm);
    for hole in &card.holes {
        let at = place(hole.at_mm);
        if at.0 >= room.0 && at.0 <= room.2 && at.1 >= room.1 && at.1 <= room.3 {
            draw_card_hole_words(inks, letters, hole, at, room, &mut taken);
        }
    }
    if tiling.tiles.len() > 1 {
        draw_overlap_marks(inks, letters, tile, at_mm, tiling);
    }
}

/// The hole to be punched, with centre lines beyond its edge.
fn draw_punch_hole(inks: &mut PageInks, (x, y): (f64, f64), radius_mm: f64) {
    let arm_mm = radius_mm + 2.0;
    for (dx, dy) in [(1.0, 0.0), (0.0, 1.0)] {
        let (ax, ay) = (dx * arm_mm, dy * arm_mm);
        inks.line((x - ax, y - ay), (x + ax, y + ay), InkNib { colour: GREY, ..InkNib::full_line(0.13) });
    }
    inks.0.push(InkItem::Path {
        segs: circle_segments((x, y), radius_mm),
        fill: None,
        nib: Some(InkNib::full_line(0.35)),
    });
}

/// Number with class, and the place in the order in a small square, where there is nothing else.
fn draw_card_hole_words(
    inks: &mut PageInks,
    letters: &LetterFaces,
    hole: &HoleSpot,
    (x, y): (f64, f64),
    room: CardField,
    taken: &mut Vec<CardField>,
) {
    let r = punch_radius_mm(hole) + 0.9;
    let label =
        if hole.class.is_empty() { hole.label.clone() } else { format!("{} {}", hole.label, hole.class) };
    let turn = hole.turn.map(|t| t.to_string()).unwrap_or_default();
    let turn_mm =
        if turn.is_empty() { 0.0 } else { (letters.width_mm(&turn, 3.2, true) + 1.6).max(4.2) + 1.0 };
    let label_mm = letters.fit_mm(&label, LABEL_MM, true, (room.2 - room.0 - turn_mm).max(5.0));
    let (w, h) = (letters.width_mm(&label, label_mm, true) + turn_mm, 4.8);
    let corners = [
        (x + r, y - r - h),
        (x + r, y + r),
        (x - r - w, y - r - h),
        (x - r - w, y + r),
        (x + r + 0.4, y - h / 2.0),
        (x - r - 0.4 - w, y - h / 2.0),
        (x - w / 2.0, y - r - h - 1.5),
        (x - w / 2.0, y + r + 1.5),
    ];
    let hits = |c: &(f64, f64)| {
        let out = c.0 < room.0 || c.1 < room.1 || c.0 + w > room.2 || c.1 + h > room.3;
        let over = taken.iter().filter(|t| c.0 < t.2 && c.0 + w > t.0 && c.1 < t.3 && c.1 + h > t.1).count();
        over + if out { 100 } else { 0 }
    };
    let (cx, cy) = corners.into_iter().min_by_key(hits).unwrap_or((x, y));
    let cx = cx.min(room.2 - w).max(room.0);
    let cy = cy.min(room.3 - h).max(room.1);
    taken.push((cx, cy, cx + w, cy + h));
    if !turn.is_empty() {
        let box_mm = turn_mm - 1.0;
        inks.rect((cx, cy + 0.3), (box_mm, 4.2), Some(WHITE), Some(InkNib::full_line(0.25)));
        inks.anchored_text(letters, (cx + box_mm / 2.0, cy + 3.5), TextAnchor::Middle, (3.2, true), &turn);
    }
    inks.rect((cx + turn_mm - 0.4, cy + 0.4), (w - turn_mm + 0.8, 4.3), Some(WHITE), None);
    inks.text((cx + turn_mm, cy + 3.9), label_mm, true, &label);
}

/// Dashed edges of the strip that another tile shares, crosses at its ends and the neighbour's name.
fn draw_overlap_marks(
    inks: &mut PageInks,
    letters: &LetterFaces,
    tile: &CardTile,
    at_mm: (f64, f64),
    tiling: &CardTiling,
) {
    let (w, h) = (tile.field.2 - tile.field.0, tile.field.3 - tile.field.1);
    let (x, y) = at_mm;
    inks.rect(at_mm, (w, h), None, Some(InkNib { colour: GREY, ..InkNib::full_line(0.13) }));
    let Some(place) = tiling.tiles.iter().position(|t| t.name == tile.name) else { return };
    let (row, column) = (place / tiling.columns, place % tiling.columns);
    let name = |row: usize, column: usize| tiling.tiles[row * tiling.columns + column].name.clone();
    let mid = OVERLAP_MM / 2.0;
    let dash = || InkNib { colour: GREY, ..InkNib::dashed_line(0.18, 2.0, 1.5) };
    let mut crosses = Vec::new();
    for (is_there, edge_x, neighbour) in [
        (column > 0, x + mid, column.checked_sub(1).map(|c| name(row, c))),
        (
            column + 1 < tiling.columns,
            x + w - mid,
            (column + 1 < tiling.columns).then(|| name(row, column + 1)),
        ),
    ] {
        if let (true, Some(neighbour)) = (is_there, neighbour) {
            inks.line((edge_x, y), (edge_x, y + h), dash());
            crosses.extend([(edge_x, y + h * 0.25), (edge_x, y + h * 0.75)]);
            let words = format!("overlaps {neighbour}");
            let colour = GREY;
            let at_mm = (edge_x - 0.8, y + h / 2.0 + letters.width_mm(&words, SMALL_MM, false) / 2.0);
            let (size_mm, bold, shift_mm, turn_deg) = (SMALL_MM, false, 0.0, 90.0);
            inks.0.push(InkItem::Text { at_mm, shift_mm, turn_deg, size_mm, bold, colour, text: words });
        }
    }
    for (edge_y, neighbour) in [
        (y + mid, row.checked_sub(1).map(|r| name(r, column))),
        (y + h - mid, (row + 1 < tiling.rows).then(|| name(row + 1, column))),
    ] {
        if let Some(neighbour) = neighbour {
            inks.line((x, edge_y), (x + w, edge_y), dash());
            crosses.extend([(x + w * 0.25, edge_y), (x + w * 0.75, edge_y)]);
            let words = format!("overlaps {neighbour}");
            inks.anchored_text(
                letters,
                (x + w / 2.0, edge_y - 0.8),
                TextAnchor::Middle,
                (SMALL_MM, false),
                &words,
            );
        }
    }
    for (cx, cy) in crosses {
        inks.line((cx - 3.0, cy), (cx + 3.0, cy), InkNib::full_line(0.25));
        inks.line((cx, cy - 3.0), (cx, cy + 3.0), InkNib::full_line(0.25));
    }
}

/// A ruler of 100 mm with its words beside it.
pub fn draw_ruler(inks: &mut PageInks, letters: &LetterFaces, (x, y): (f64, f64), width_mm: f64) {
    inks.line((x, y + 4.0), (x + 100.0, y + 4.0), InkNib::full_line(0.25));
    for i in 0..=20_u32 {
        let at = x + f64::from(i) * 5.0;
        let tick_mm = if i % 10 == 0 {
            4.0
        } else if i % 2 == 0 {
            2.6
        } else {
            1.5
        };
        inks.line((at, y + 4.0), (at, y + 4.0 - tick_mm), InkNib::full_line(0.2));
    }
    for (mm, anchor) in [(0.0, TextAnchor::Start), (50.0, TextAnchor::Middle), (100.0, TextAnchor::End)] {
        inks.anchored_text(letters, (x + mm, y + 7.4), anchor, (SMALL_MM, false), &format!("{mm} mm"));
    }
    let words = "Print at 100 % (actual size, not fitted to the page). Check the scale with a rule: if it is not 100 mm \
                 long, do not punch.";
    let beside_mm = (width_mm - 106.0).max(30.0);
    for (i, line) in letters.wrap(words, SMALL_MM, false, beside_mm).iter().enumerate() {
        inks.text((x + 106.0, y + 2.2 + i as f64 * SMALL_MM * 1.25), SMALL_MM, false, line);
    }
}

/// A small map of the tiles; those without a hole are not printed, and are crossed out.
pub fn draw_tile_map(
    inks: &mut PageInks,
    letters: &LetterFaces,
    card: &HoleCard,
    tiling: &CardTiling,
    (x, y): (f64, f64),
) {
    let (cell_w, cell_h) = (11.0_f64.min(100.0 / tiling.columns as f64), 7.0);
    for (i, tile) in tiling.tiles.iter().enumerate() {
        let at = (x + cell_w * (i % tiling.columns) as f64, y + cell_h * (i / tiling.columns) as f64);
        inks.rect(at, (cell_w, cell_h), Some(WHITE), Some(InkNib { colour: INK, ..InkNib::full_line(0.2) }));
        if !has_holes(card, tile) {
            inks.line(at, (at.0 + cell_w, at.1 + cell_h), InkNib { colour: GREY, ..InkNib::full_line(0.13) });
            continue;
        }
        let words_mm = letters.fit_mm(&tile.name, 3.2, true, cell_w - 1.0);
        let middle = (at.0 + cell_w / 2.0, at.1 + 4.7);
        inks.anchored_text(letters, middle, TextAnchor::Middle, (words_mm, true), &tile.name);
    }
}

/// Whether a hole or a part of the outline lies on a tile.
#[must_use]
pub fn has_holes(card: &HoleCard, tile: &CardTile) -> bool {
    let (left, bottom, right, top) = tile.field;
    let reaches = |hole: &HoleSpot| {
        let ((x, y), r) = (hole.at_mm, punch_radius_mm(hole));
        x + r >= left && x - r <= right && y + r >= bottom && y - r <= top
    };
    card.holes.iter().any(reaches)
}

/// The pattern made smaller until it fits a field (corner and size), with its scale below: to lay fasteners on, not to punch.
pub fn draw_smaller(
    inks: &mut PageInks,
    letters: &LetterFaces,
    card: &HoleCard,
    (at_mm, size_mm): ((f64, f64), (f64, f64)),
) {
    // Words keep their size, so the room that they need is not scaled with the holes.
    let spots = |of: fn(&HoleSpot) -> f64| card.holes.iter().map(of).filter(|mm| mm.is_finite());
    let span = |of: fn(&HoleSpot) -> f64| {
        let (low_mm, high_mm) = (spots(of).fold(f64::MAX, f64::min), spots(of).fold(f64::MIN, f64::max));
        (low_mm, (high_mm - low_mm).max(1.0))
    };
    let ((left_mm, wide_mm), (low_mm, tall_mm)) = (span(|h| h.at_mm.0), span(|h| h.at_mm.1));
    let ratio = ((size_mm.0 - 2.0 * WORDS_MM) / wide_mm).min((size_mm.1 - 2.0 * WORDS_MM) / tall_mm).min(1.0);
    let small = |hole: &HoleSpot| HoleSpot {
        at_mm: ((hole.at_mm.0 - left_mm) * ratio, (hole.at_mm.1 - low_mm) * ratio),
        diameter_mm: (hole.diameter_mm * ratio).max(3.0),
        ..hole.clone()
    };
    let smaller =
        HoleCard { holes: card.holes.iter().map(small).collect(), outline_mm: vec![], ..card.clone() };
    let field = card_field(&smaller);
    if let Some(tiling) = tile_field(field, (size_mm.0, size_mm.1.max(field.3 - field.1)))
        && let Some(tile) = tiling.tiles.first()
    {
        draw_tile(inks, letters, &smaller, &tiling, tile, at_mm);
    }
    let words = format!(
        "Scale 1 : {}. Too small to punch; print with --true-size for pages in true size.",
        units::significant(1.0 / ratio, 3)
    );
    inks.text((at_mm.0, at_mm.1 + size_mm.1 + 8.0), SMALL_MM, false, &words);
}
