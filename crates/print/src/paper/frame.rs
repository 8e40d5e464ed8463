//! What is on every page: the sheet's heading above, the title block with the page's number at the foot.

use crate::drawing::TextAnchor;
use crate::paper::block::{PaperFoot, PaperSheet, PaperSize};
use crate::paper::flow::SMALL_MM;
use crate::paper::font::LetterFaces;
use crate::paper::ink::{InkItem, InkNib, InkRole, PageInks};

/// Free edge of the paper: more than the 4 to 6 mm that desk printers leave blank (common practice, no single source).
pub const EDGE_MM: f64 = 12.0;
/// Height of one line of cells of the title block.
const CELL_ROW_MM: f64 = 9.6;
const TITLE_MM: f64 = 6.4;
const SUBTITLE_MM: f64 = 3.9;
const VALUE_MM: f64 = 3.2;
/// Largest share of the width that a cell takes where all cells then lie in one row, and else; longer values are broken.
const MAX_CELL_SHARES: [f64; 2] = [0.6, 0.36];

/// The title block of a sheet, with its rows of cells.
pub struct TitleBlock {
    rows: Vec<Vec<TitleCell>>,
    /// Height with the space above it.
    pub height_mm: f64,
}

struct TitleCell {
    name: String,
    lines: Vec<String>,
    width_mm: f64,
}

/// The page's number as it is written.
#[must_use]
pub fn page_number_words(page: usize, pages: usize) -> String {
    format!("{page} of {pages}")
}

/// Width between the edges.
#[must_use]
pub fn inner_mm(size: PaperSize) -> f64 {
    size.size_mm().0 - 2.0 * EDGE_MM
}

/// Lays cells out; the last one is the page's number, written later.
#[must_use]
pub fn lay_out_title_block(letters: &LetterFaces, foot: &PaperFoot, date: &str, width_mm: f64) -> TitleBlock {
    let mut cells = foot.clone();
    cells.push(("date".into(), date.into()));
    cells.push(("page".into(), page_number_words(888, 888)));
    let [wide, narrow] = MAX_CELL_SHARES.map(|share| cell_rows(letters, &cells, width_mm, share * width_mm));
    let rows = if wide.len() == 1 { wide } else { narrow };
    let height_mm = rows.iter().map(|row| title_row_mm(row)).sum::<f64>() + 4.0;
    TitleBlock { rows, height_mm }
}

/// Cells in rows, none wider than `max_cell_mm`.
fn cell_rows(
    letters: &LetterFaces,
    cells: &[(String, String)],
    width_mm: f64,
    max_cell_mm: f64,
) -> Vec<Vec<TitleCell>> {
    let mut rows: Vec<Vec<TitleCell>> = vec![Vec::new()];
    let mut used_mm = 0.0;
    for (name, value) in cells {
        let natural_mm =
            letters.width_mm(value, VALUE_MM, true).max(letters.width_mm(name, SMALL_MM, false)) + 3.4;
        let cell_mm = natural_mm.min(max_cell_mm);
        if used_mm + cell_mm > width_mm + 1e-6 {
            rows.push(Vec::new());
            used_mm = 0.0;
        }
        used_mm += cell_mm;
        let lines = letters.wrap(value, VALUE_MM, true, cell_mm - 2.8);
        if let Some(row) = rows.last_mut() {
            row.push(TitleCell { name: name.clone(), lines, width_mm: cell_mm });
        }
    }
    for row in &mut rows {
        let spare_mm = width_mm - row.iter().map(|c| c.width_mm).sum::<f64>();
        let each_mm = spare_mm / row.len().max(1) as f64;
        row.iter_mut().for_each(|c| c.width_mm += each_mm);
    }
    rows
}

fn title_row_mm(row: &[TitleCell]) -> f64 {
    let lines = row.iter().map(|c| c.lines.len()).max().unwrap_or(1).max(1);
    CELL_ROW_MM + (lines - 1) as f64 * VALUE_MM * 1.2
}

impl TitleBlock {
    /// Draws it with its lower edge at the foot of the paper.
    pub fn draw(&self, inks: &mut PageInks, letters: &LetterFaces, size: PaperSize, page: &str) {
        let (width_mm, left_mm) = (inner_mm(size), EDGE_MM);
        let mut y_mm = size.size_mm().1 - EDGE_MM - (self.height_mm - 4.0);
        inks.0.push(InkItem::Role(InkRole::PageMark));
        inks.line((left_mm, y_mm), (left_mm + width_mm, y_mm), InkNib::full_line(0.5));
        for (r, row) in self.rows.iter().enumerate() {
            let high_mm = title_row_mm(row);
            let mut x_mm = left_mm;
            for (i, cell) in row.iter().enumerate() {
                if i > 0 {
                    inks.line((x_mm, y_mm), (x_mm, y_mm + high_mm), InkNib::full_line(0.2));
                }
                let lead_mm = if i > 0 { 1.6 } else { 0.0 };
                let name_mm = letters.fit_mm(&cell.name, SMALL_MM, false, cell.width_mm - lead_mm - 1.0);
                inks.text((x_mm + lead_mm, y_mm + 3.5), name_mm, false, &cell.name);
                let is_page = r + 1 == self.rows.len() && i + 1 == row.len();
                let page_lines = [page.to_owned()];
                let lines: &[String] = if is_page { &page_lines } else { &cell.lines };
                for (n, line) in lines.iter().enumerate() {
                    let at_mm = (x_mm + lead_mm, y_mm + 7.8 + n as f64 * VALUE_MM * 1.2);
                    inks.text(at_mm, VALUE_MM, true, line);
                }
                x_mm += cell.width_mm;
            }
            y_mm += high_mm;
            if r + 1 < self.rows.len() {
                inks.line((left_mm, y_mm), (left_mm + width_mm, y_mm), InkNib::full_line(0.2));
            }
        }
        inks.0.push(InkItem::RoleEnd);
    }
}

/// Height of a sheet's heading on its first page.
#[must_use]
pub fn first_head_mm(letters: &LetterFaces, sheet: &PaperSheet, width_mm: f64) -> f64 {
    let titles = letters.wrap(&sheet.title, TITLE_MM, true, width_mm).len() as f64;
    let subtitles = letters.wrap(&sheet.subtitle, SUBTITLE_MM, false, width_mm).len() as f64;
    titles * TITLE_MM * 1.2 + subtitles * SUBTITLE_MM * 1.3 + 4.0
}

/// Height of the heading on further pages.
pub const FURTHER_HEAD_MM: f64 = 8.0;

/// Draws the heading of a first page.
pub fn draw_first_head(inks: &mut PageInks, letters: &LetterFaces, sheet: &PaperSheet, width_mm: f64) {
    let mut y_mm = EDGE_MM;
    for (text, size_mm, bold, lead) in
        [(&sheet.title, TITLE_MM, true, 1.2), (&sheet.subtitle, SUBTITLE_MM, false, 1.3)]
    {
        inks.0.push(InkItem::Role(if bold { InkRole::Title } else { InkRole::Paragraph }));
        for line in letters.wrap(text, size_mm, bold, width_mm) {
            inks.text((EDGE_MM, y_mm + size_mm * 0.8), size_mm, bold, &line);
            y_mm += size_mm * lead;
        }
        inks.0.push(InkItem::RoleEnd);
    }
}

/// Draws the heading of a further page.
pub fn draw_further_head(
    inks: &mut PageInks,
    letters: &LetterFaces,
    sheet: &PaperSheet,
    note: &str,
    width_mm: f64,
) {
    let note_mm = letters.width_mm(note, SMALL_MM, false);
    let lines = letters.wrap(&sheet.title, VALUE_MM, true, (width_mm - note_mm - 4.0).max(20.0));
    let more = if lines.len() > 1 { " …" } else { "" };
    let line = lines.first().map_or_else(String::new, |l| format!("{l}{more}"));
    inks.0.push(InkItem::Role(InkRole::PageMark));
    inks.text((EDGE_MM, EDGE_MM + 2.6), VALUE_MM, true, &line);
    let at_mm = (EDGE_MM + width_mm, EDGE_MM + 2.6);
    inks.anchored_text(letters, at_mm, TextAnchor::End, (SMALL_MM, false), note);
    inks.line((EDGE_MM, EDGE_MM + 4.6), (EDGE_MM + width_mm, EDGE_MM + 4.6), InkNib::full_line(0.2));
    inks.0.push(InkItem::RoleEnd);
}
