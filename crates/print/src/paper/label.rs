//! Labels: the code large enough for arm's length, what the slot holds, whose it is, and the link to its page.
//!
//! Letters are read at a distance of 300 times their height at most without strain (about 11.5 minutes of arc; common practice
//! for signs, no single source); a capital of 10 mm is safe at 0.7 m in poor light and with dirt on it.

use crate::paper::block::{LabelGrid, LabelSheet, PaperError, PaperLabel, PaperSize};
use crate::paper::font::{CAPITAL_RATIO, LetterFaces};
use crate::paper::ink::{InkNib, PageInks};
use crate::paper::qr::LinkCode;

/// Free edge within a label: sheets shift by a millimetre or two in a printer (assumption).
const EDGE_MM: f64 = 2.2;
/// Largest size of the code's letters, mm; its capitals are 14 mm high.
const MAX_CODE_MM: f64 = 21.0;
/// Size of the words: first what is tried, then the least.
const WORDS_MM: (f64, f64) = (4.2, 1.9);
/// Share of the height that the code may take.
const CODE_SHARE: f64 = 0.62;

impl LabelGrid {
    /// 3 by 8 labels of 70 mm by 37 mm on A4, edge to edge (a common grid; no single source).
    pub const A4_3_BY_8: Self = Self {
        columns: 3,
        rows: 8,
        label_mm: (70.0, 37.0),
        pitch_mm: (70.0, 37.0),
        margin_mm: (0.0, 0.5),
        cut_marks: false,
    };
    /// 2 by 4 labels of 99.1 mm by 67.7 mm on A4 (a common grid; no single source).
    pub const A4_2_BY_4: Self = Self {
        columns: 2,
        rows: 4,
        label_mm: (99.1, 67.7),
        pitch_mm: (101.6, 67.7),
        margin_mm: (4.65, 13.1),
        cut_marks: false,
    };
    /// 3 by 10 labels of 2 5/8 in by 1 in on US letter (a common grid; no single source).
    pub const LETTER_3_BY_10: Self = Self {
        columns: 3,
        rows: 10,
        label_mm: (66.675, 25.4),
        pitch_mm: (69.85, 25.4),
        margin_mm: (4.7625, 12.7),
        cut_marks: false,
    };
    /// 2 by 5 labels of 4 in by 2 in on US letter (a common grid; no single source).
    pub const LETTER_2_BY_5: Self = Self {
        columns: 2,
        rows: 5,
        label_mm: (101.6, 50.8),
        pitch_mm: (106.3625, 50.8),
        margin_mm: (3.96875, 12.7),
        cut_marks: false,
    };

    /// Plain paper, to be cut: two columns, as high as the paper allows at 42 mm each.
    #[must_use]
    pub const fn for_plain_paper(size: PaperSize) -> Self {
        let (columns, rows, label_mm) = (2, 6, (90.0, 42.0));
        let (width_mm, height_mm) = size.size_mm();
        let margin_mm = ((width_mm - 180.0) / 2.0, (height_mm - 252.0) / 2.0);
        Self { columns, rows, label_mm, pitch_mm: label_mm, margin_mm, cut_marks: true }
    }

    /// Refuses a grid that leaves the paper or whose labels lie over each other.
    fn check_fit(&self, size: PaperSize) -> Result<(), PaperError> {
        let err = |words: String| Err(PaperError::Grid { words });
        let (w, h) = size.size_mm();
        let measures = [self.label_mm, self.pitch_mm, self.margin_mm];
        if measures.iter().any(|(a, b)| !a.is_finite() || !b.is_finite() || *a < 0.0 || *b < 0.0) {
            return err("a dimension is missing or negative".into());
        }
        if self.columns == 0 || self.rows == 0 || self.columns > 40 || self.rows > 80 {
            return err(format!("{} by {} labels", self.columns, self.rows));
        }
        if self.label_mm.0 < 20.0 || self.label_mm.1 < 10.0 {
            return err(format!("a label of {} mm by {} mm is too small", self.label_mm.0, self.label_mm.1));
        }
        let far = |margin_mm: f64, pitch_mm: f64, count: u32, label_mm: f64| {
            margin_mm + pitch_mm * f64::from(count - 1) + label_mm
        };
        let right_mm = far(self.margin_mm.0, self.pitch_mm.0, self.columns, self.label_mm.0);
        let bottom_mm = far(self.margin_mm.1, self.pitch_mm.1, self.rows, self.label_mm.1);
        if right_mm > w + 0.01 || bottom_mm > h + 0.01 {
            return err(format!(
                "the grid needs {right_mm:.1} mm by {bottom_mm:.1} mm, the paper is {w} mm by {h} mm"
            ));
        }
        let over = |pitch_mm: f64, label_mm: f64, count: u32| count > 1 && pitch_mm + 0.01 < label_mm;
        if over(self.pitch_mm.0, self.label_mm.0, self.columns)
            || over(self.pitch_mm.1, self.label_mm.1, self.rows)
        {
            return err("the labels would overlap".into());
        }
        Ok(())
    }

    /// Top left corner of a place, counted along the rows.
    fn corner_mm(&self, place: u32) -> (f64, f64) {
        let (column, row) = (place % self.columns, place / self.columns);
        (
            self.margin_mm.0 + self.pitch_mm.0 * f64::from(column),
            self.margin_mm.1 + self.pitch_mm.1 * f64::from(row),
        )
    }
}

/// The pages of a sheet of labels.
pub fn label_pages(
    letters: &LetterFaces,
    sheet: &LabelSheet,
    size: PaperSize,
) -> Result<Vec<PageInks>, PaperError> {
    sheet.grid.check_fit(size)?;
    let per_page = sheet.grid.columns * sheet.grid.rows;
    let mut pages = vec![PageInks::default()];
    let mut place = sheet.skip % per_page;
    for label in &sheet.labels {
        if place == per_page {
            pages.push(PageInks::default());
            place = 0;
        }
        let Some(page) = pages.last_mut() else { continue };
        let at_mm = sheet.grid.corner_mm(place);
        let mut inks = PageInks::default();
        draw_label(&mut inks, letters, label, sheet.grid.label_mm);
        page.take_inks(inks, at_mm);
        if sheet.grid.cut_marks {
            draw_cut_marks(page, at_mm, sheet.grid.label_mm);
        }
        place += 1;
    }
    Ok(pages)
}

/// A label from its own top left corner.
pub fn draw_label(inks: &mut PageInks, letters: &LetterFaces, label: &PaperLabel, (w, h): (f64, f64)) {
    let code = LinkCode::of_link(&label.link);
    // The quiet zone is white space already, so it may reach into the label's edge by a little.
    let room_mm = (h - 2.0).min(w * 0.48);
    let side_mm = code.as_ref().and_then(|c| c.side_mm(room_mm));
    let mut words_mm = w - 2.0 * EDGE_MM;
    let mut lines = label.lines.clone();
    if let (Some(code), Some(side_mm)) = (&code, side_mm) {
        code.draw(inks, (w - side_mm - 1.0, (h - side_mm) / 2.0), side_mm);
        words_mm = w - side_mm - 1.0 - EDGE_MM;
    } else if !label.link.is_empty() {
        lines.push(label.link.clone());
    }
    let foot_mm = letters.fit_mm(&label.vehicle, 3.4, true, words_mm);
    let largest_mm = MAX_CODE_MM.min((h - 2.0 * EDGE_MM) * CODE_SHARE / CAPITAL_RATIO).max(4.0);
    let code_mm = letters.fit_mm(&label.code, largest_mm, true, words_mm);
    let mut cap_mm = code_mm * CAPITAL_RATIO;
    let room =
        |cap_mm: f64| h - 2.0 * EDGE_MM - cap_mm - if label.vehicle.is_empty() { 0.0 } else { 4.6 } - 1.2;
    let (mut lines_wrapped, mut size_mm) = fit_lines(letters, &lines, words_mm, room(cap_mm));
    let mut code_size_mm = code_mm;
    // Words that are too long take room from the code, down to capitals of 10 mm where the label has them.
    while size_mm < 2.6 && cap_mm > 10.0 {
        cap_mm = (cap_mm - 1.0).max(10.0);
        code_size_mm = letters.fit_mm(&label.code, cap_mm / CAPITAL_RATIO, true, words_mm);
        (lines_wrapped, size_mm) = fit_lines(letters, &lines, words_mm, room(cap_mm));
    }
    inks.text((EDGE_MM, EDGE_MM + cap_mm), code_size_mm, true, &label.code);
    let mut y_mm = EDGE_MM + cap_mm + 1.2;
    for line in &lines_wrapped {
        y_mm += size_mm * 1.2;
        inks.text((EDGE_MM, y_mm), size_mm, false, line);
    }
    inks.text((EDGE_MM, h - EDGE_MM - 0.6), foot_mm, true, &label.vehicle);
}

/// Words broken at the largest size at which they fit; at the least size, how many lines are left out is said.
fn fit_lines(letters: &LetterFaces, lines: &[String], width_mm: f64, height_mm: f64) -> (Vec<String>, f64) {
    let mut size_mm = WORDS_MM.0;
    loop {
        let wrapped: Vec<String> =
            lines.iter().flat_map(|l| letters.wrap(l, size_mm, false, width_mm)).collect();
        let most = (height_mm / (size_mm * 1.2)).floor().max(0.0) as usize;
        if wrapped.len() <= most {
            return (wrapped, size_mm);
        }
        if size_mm <= WORDS_MM.1 {
            let left_out = wrapped.len() - most.saturating_sub(1);
            let mut kept: Vec<String> = wrapped.into_iter().take(most.saturating_sub(1)).collect();
            if most > 0 {
                kept.push(format!("… {left_out} more lines on the slot's page"));
            }
            let widest_mm = kept.iter().map(|l| letters.fit_mm(l, size_mm, false, width_mm));
            let size_mm = widest_mm.fold(size_mm, f64::min);
            return (kept, size_mm);
        }
        size_mm = (size_mm - 0.2).max(WORDS_MM.1);
    }
}

/// Short thin crosses at the corners, where the knife goes.
pub fn draw_cut_marks(inks: &mut PageInks, (x, y): (f64, f64), (w, h): (f64, f64)) {
    for (cx, cy) in [(x, y), (x + w, y), (x, y + h), (x + w, y + h)] {
        inks.line((cx - 2.0, cy), (cx + 2.0, cy), InkNib::full_line(0.13));
        inks.line((cx, cy - 2.0), (cx, cy + 2.0), InkNib::full_line(0.13));
    }
}
