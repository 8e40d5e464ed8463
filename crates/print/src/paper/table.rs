//! Tables on paper: columns by their shares, a heading row that stands again on each page, rows that stay whole.

use crate::drawing::Anchor;
use crate::paper::block::{Align, Cell, Column, Row};
use crate::paper::flow::{BOX_MM, LEAD_RATIO};
use crate::paper::font::Letters;
use crate::paper::ink::{Inks, Nib, WHITE};
use crate::paper::piece::Piece;

/// Size of the letters in a table: 9 pt.
const CELL_MM: f64 = 3.18;
/// Free space at each side of a cell, and above and below its words.
const PAD_MM: f64 = 1.3;

/// One piece for each row.
pub fn pieces(letters: &Letters, columns: &[Column], rows: &[Row], width_mm: f64) -> Vec<Piece> {
    if columns.is_empty() {
        return Vec::new();
    }
    let edges_mm = edges(columns, width_mm);
    let (mut head, mut head_mm) = heading_row(letters, columns, &edges_mm);
    if columns.iter().all(|c| c.title.is_empty()) {
        (head, head_mm) = (Inks::default(), 0.0);
    }
    let header = (head_mm > 0.0).then_some((head, head_mm));
    let mut out = Vec::with_capacity(rows.len() + 1);
    if let Some((inks, height_mm)) = header.clone() {
        out.push(Piece { inks, height_mm, gap_mm: 2.5, keep: !rows.is_empty(), ..Piece::default() });
    }
    for row in rows {
        let mut piece = if row.is_heading {
            group_row(letters, row, width_mm)
        } else {
            plain_row(letters, columns, row, &edges_mm)
        };
        piece.header = header.clone();
        out.push(piece);
    }
    if let Some(last) = out.last_mut() {
        last.keep = false;
    }
    out
}

/// Left edge of each column, and the right edge of the last.
fn edges(columns: &[Column], width_mm: f64) -> Vec<f64> {
    let share = |c: &Column| if c.share_ratio.is_finite() { c.share_ratio.max(0.05) } else { 1.0 };
    let whole: f64 = columns.iter().map(share).sum();
    let mut x_mm = 0.0;
    let mut out = vec![0.0];
    for column in columns {
        x_mm += width_mm * share(column) / whole;
        out.push(x_mm);
    }
    out
}

fn heading_row(letters: &Letters, columns: &[Column], edges_mm: &[f64]) -> (Inks, f64) {
    let cells: Vec<Cell> = columns.iter().map(|c| Cell::Bold(c.title.clone())).collect();
    let (mut inks, height_mm) = cells_row(letters, columns, &cells, edges_mm);
    let right_mm = edges_mm.last().copied().unwrap_or_default();
    inks.line((0.0, 0.0), (right_mm, 0.0), Nib::full(0.35));
    inks.line((0.0, height_mm), (right_mm, height_mm), Nib::full(0.35));
    (inks, height_mm)
}

fn plain_row(letters: &Letters, columns: &[Column], row: &Row, edges_mm: &[f64]) -> Piece {
    let (mut inks, height_mm) = cells_row(letters, columns, &row.cells, edges_mm);
    let right_mm = edges_mm.last().copied().unwrap_or_default();
    let hair = Nib { colour: (140, 140, 140), ..Nib::full(0.13) };
    inks.line((0.0, height_mm), (right_mm, height_mm), hair);
    Piece { inks, height_mm, ..Piece::default() }
}

/// A heading across all columns; it stays with the row below.
fn group_row(letters: &Letters, row: &Row, width_mm: f64) -> Piece {
    let words: Vec<String> = row.cells.iter().map(words_of).filter(|w| !w.is_empty()).collect();
    let mut inks = Inks::default();
    let mut y_mm = 2.6;
    for line in letters.wrap(&words.join("  "), CELL_MM, true, width_mm - 2.0 * PAD_MM) {
        inks.text((PAD_MM, y_mm + CELL_MM), CELL_MM, true, &line);
        y_mm += CELL_MM * LEAD_RATIO;
    }
    y_mm += 0.6;
    inks.line((0.0, y_mm), (width_mm, y_mm), Nib::full(0.25));
    Piece { inks, height_mm: y_mm, keep: true, ..Piece::default() }
}

fn words_of(cell: &Cell) -> String {
    match cell {
        Cell::Words(text) | Cell::Bold(text) | Cell::Tick(text) => text.clone(),
        Cell::Blank => String::new(),
    }
}

/// Cells side by side, and how high the highest is.
fn cells_row(letters: &Letters, columns: &[Column], cells: &[Cell], edges_mm: &[f64]) -> (Inks, f64) {
    let mut inks = Inks::default();
    let mut height_mm = CELL_MM * LEAD_RATIO + 2.0 * PAD_MM;
    for ((column, cell), pair) in columns.iter().zip(cells).zip(edges_mm.windows(2)) {
        let (left_mm, right_mm) = (pair[0], pair[1]);
        let mut inner_mm = left_mm + PAD_MM;
        if let Cell::Tick(_) = cell {
            let nib = Some(Nib::full(0.3));
            inks.rect((inner_mm, PAD_MM), (BOX_MM * 0.85, BOX_MM * 0.85), Some(WHITE), nib);
            inner_mm += BOX_MM * 0.85 + 1.5;
            height_mm = height_mm.max(BOX_MM * 0.85 + 2.0 * PAD_MM);
        }
        if *cell == Cell::Blank {
            height_mm = height_mm.max(8.5);
            let hair = || Nib { colour: (140, 140, 140), ..Nib::full(0.13) };
            inks.line((left_mm + PAD_MM, 7.2), (right_mm - PAD_MM, 7.2), hair());
        }
        let bold = matches!(cell, Cell::Bold(_));
        let room_mm = (right_mm - inner_mm - PAD_MM).max(1.0);
        let mut y_mm = PAD_MM;
        for line in letters.wrap(&words_of(cell), CELL_MM, bold, room_mm) {
            let (anchor, x_mm) = match column.align {
                Align::Left => (Anchor::Start, inner_mm),
                Align::Right => (Anchor::End, right_mm - PAD_MM),
            };
            inks.anchored(letters, (x_mm, y_mm + CELL_MM * 0.92), anchor, (CELL_MM, bold), &line);
            y_mm += CELL_MM * LEAD_RATIO;
        }
        height_mm = height_mm.max(y_mm + PAD_MM);
    }
    (inks, height_mm)
}
