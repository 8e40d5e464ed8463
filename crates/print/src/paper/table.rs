//! Tables on paper: columns by their shares, a heading row that is repeated on each page, rows that stay whole.

use crate::drawing::TextAnchor;
use crate::paper::block::{PaperAlign, PaperCell, PaperColumn, PaperRow};
use crate::paper::flow::{BOX_MM, LEAD_RATIO};
use crate::paper::font::LetterFaces;
use crate::paper::ink::{InkItem, InkNib, InkRole, PageInks, WHITE};
use crate::paper::piece::PaperPiece;

/// Size of the letters in a table: 8.7 pt, as beside the steps.
const CELL_MM: f64 = 3.06;
/// Free space at each side of a cell, and above and below its words.
const PAD_MM: f64 = 1.0;

/// One piece for each row.
pub fn table_pieces(
    letters: &LetterFaces,
    columns: &[PaperColumn],
    rows: &[PaperRow],
    width_mm: f64,
) -> Vec<PaperPiece> {
    if columns.is_empty() {
        return Vec::new();
    }
    let edges_mm = column_edges(columns, width_mm);
    let (mut head, mut head_mm) = heading_row(letters, columns, &edges_mm);
    if columns.iter().all(|c| c.title.is_empty()) {
        (head, head_mm) = (PageInks::default(), 0.0);
    }
    let header = (head_mm > 0.0).then_some((head, head_mm));
    let mut out = Vec::with_capacity(rows.len() + 1);
    if let Some((inks, height_mm)) = header.clone() {
        out.push(PaperPiece {
            inks,
            height_mm,
            gap_mm: 2.5,
            keep: !rows.is_empty(),
            ..PaperPiece::default()
        });
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
fn column_edges(columns: &[PaperColumn], width_mm: f64) -> Vec<f64> {
    let share = |c: &PaperColumn| if c.width_weight.is_finite() { c.width_weight.max(0.05) } else { 1.0 };
    let whole: f64 = columns.iter().map(share).sum();
    let mut x_mm = 0.0;
    let mut out = vec![0.0];
    for column in columns {
        x_mm += width_mm * share(column) / whole;
        out.push(x_mm);
    }
    out
}

fn heading_row(letters: &LetterFaces, columns: &[PaperColumn], edges_mm: &[f64]) -> (PageInks, f64) {
    let cells: Vec<PaperCell> = columns.iter().map(|c| PaperCell::Bold(c.title.clone())).collect();
    let (mut inks, height_mm) = cells_row(letters, columns, &cells, edges_mm);
    let right_mm = edges_mm.last().copied().unwrap_or_default();
    inks.line((0.0, 0.0), (right_mm, 0.0), InkNib::full_line(0.35));
    inks.line((0.0, height_mm), (right_mm, height_mm), InkNib::full_line(0.35));
    inks.set_role(InkRole::Row(true));
    (inks, height_mm)
}

fn plain_row(letters: &LetterFaces, columns: &[PaperColumn], row: &PaperRow, edges_mm: &[f64]) -> PaperPiece {
    let (mut inks, height_mm) = cells_row(letters, columns, &row.cells, edges_mm);
    let right_mm = edges_mm.last().copied().unwrap_or_default();
    let hair = InkNib { colour: (140, 140, 140), ..InkNib::full_line(0.13) };
    inks.line((0.0, height_mm), (right_mm, height_mm), hair);
    inks.set_role(InkRole::Row(false));
    PaperPiece { inks, height_mm, ..PaperPiece::default() }
}

/// A heading across all columns; it stays with the row below.
fn group_row(letters: &LetterFaces, row: &PaperRow, width_mm: f64) -> PaperPiece {
    let words: Vec<String> = row.cells.iter().map(cell_words).filter(|w| !w.is_empty()).collect();
    let mut inks = PageInks::default();
    let mut y_mm = 2.6;
    for line in letters.wrap(&words.join("  "), CELL_MM, true, width_mm - 2.0 * PAD_MM) {
        inks.text((PAD_MM, y_mm + CELL_MM), CELL_MM, true, &line);
        y_mm += CELL_MM * LEAD_RATIO;
    }
    y_mm += 0.6;
    inks.line((0.0, y_mm), (width_mm, y_mm), InkNib::full_line(0.25));
    inks.0.insert(0, InkItem::Role(InkRole::Cell));
    inks.0.push(InkItem::RoleEnd);
    inks.set_role(InkRole::Row(false));
    PaperPiece { inks, height_mm: y_mm, keep: true, ..PaperPiece::default() }
}

fn cell_words(cell: &PaperCell) -> String {
    match cell {
        PaperCell::Words(text) | PaperCell::Bold(text) | PaperCell::Tick(text) => text.clone(),
        PaperCell::Blank => String::new(),
    }
}

/// Cells side by side, and how high the highest is.
fn cells_row(
    letters: &LetterFaces,
    columns: &[PaperColumn],
    cells: &[PaperCell],
    edges_mm: &[f64],
) -> (PageInks, f64) {
    let mut inks = PageInks::default();
    let mut height_mm = CELL_MM * LEAD_RATIO + 2.0 * PAD_MM;
    for ((column, cell), pair) in columns.iter().zip(cells).zip(edges_mm.windows(2)) {
        let (left_mm, right_mm) = (pair[0], pair[1]);
        let mut inner_mm = left_mm + PAD_MM;
        if let PaperCell::Tick(_) = cell {
            let nib = Some(InkNib::full_line(0.3));
            inks.rect((inner_mm, PAD_MM), (BOX_MM * 0.85, BOX_MM * 0.85), Some(WHITE), nib);
            inner_mm += BOX_MM * 0.85 + 1.5;
            height_mm = height_mm.max(BOX_MM * 0.85 + 2.0 * PAD_MM);
        }
        if *cell == PaperCell::Blank {
            height_mm = height_mm.max(8.5);
            let hair = || InkNib { colour: (140, 140, 140), ..InkNib::full_line(0.13) };
            inks.line((left_mm + PAD_MM, 7.2), (right_mm - PAD_MM, 7.2), hair());
        }
        let bold = matches!(cell, PaperCell::Bold(_));
        inks.0.push(InkItem::Role(InkRole::Cell));
        let room_mm = (right_mm - inner_mm - PAD_MM).max(1.0);
        let mut y_mm = PAD_MM;
        for line in letters.wrap(&cell_words(cell), CELL_MM, bold, room_mm) {
            let (anchor, x_mm) = match column.align {
                PaperAlign::Left => (TextAnchor::Start, inner_mm),
                PaperAlign::Right => (TextAnchor::End, right_mm - PAD_MM),
            };
            inks.anchored_text(letters, (x_mm, y_mm + CELL_MM * 0.92), anchor, (CELL_MM, bold), &line);
            y_mm += CELL_MM * LEAD_RATIO;
        }
        inks.0.push(InkItem::RoleEnd);
        height_mm = height_mm.max(y_mm + PAD_MM);
    }
    (inks, height_mm)
}
