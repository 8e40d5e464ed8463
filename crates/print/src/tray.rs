//! A tray as it lies: front edge at the bottom, each compartment with its code and what belongs in it.

use crate::drawing::{Drawing, DrawingPen, INK, TextAnchor};
use crate::foot::{FOOT_PX, draw_title, draw_title_block};
use crate::view::{CompartmentView, TrayView};
use crate::words::wrap_to_width;

const WIDTH_PX: f64 = 1000.0;
const TOP_PX: f64 = 64.0;
/// Code, and words of a compartment.
const CODE_PX: f64 = 24.0;
const WORDS_PX: f64 = 16.0;
/// From base line to base line of the words.
const LEAD_PX: f64 = 18.0;
/// Lines below the code.
const MAX_LINES: usize = 5;
/// Height of a row of which nothing is used.
const EMPTY_ROW_PX: f64 = 34.0;

/// The lines of a compartment: the first of what it holds in bold, all broken to its width.
fn compartment_lines(view: &CompartmentView, room_px: f64) -> Vec<(bool, String)> {
    let lines = view.lines.iter().enumerate().flat_map(|(i, line)| {
        let bold = i == 0;
        wrap_to_width(line, WORDS_PX, bold, room_px, 3).into_iter().map(move |line| (bold, line))
    });
    lines.take(MAX_LINES).collect()
}

/// Draws the tray of a view; rows of which nothing is used are low.
#[must_use]
pub fn draw_tray(view: &TrayView) -> Drawing {
    let (rows, columns) = (view.rows.max(1), f64::from(view.columns.max(1)));
    let wide_px = (WIDTH_PX - 40.0) / columns;
    let room_px = wide_px - 14.0;
    let row_px = |row: u16| {
        let own = view.compartments.iter().filter(|c| c.row == row);
        let lines = own.map(|c| compartment_lines(c, room_px).len()).max();
        lines.map_or(EMPTY_ROW_PX, |lines| 34.0 + LEAD_PX * lines as f64)
    };
    // The front row is at the foot of the drawing.
    let top_px = |row: u16| TOP_PX + (row + 1..rows).map(row_px).sum::<f64>();
    let foot_px = top_px(0) + row_px(0);
    let block_px = if view.foot.is_empty() { 0.0 } else { FOOT_PX };
    let height_px = foot_px + 34.0 + block_px;
    let mut svg = Drawing::new(&view.id, &view.title, WIDTH_PX, height_px);
    draw_title(&mut svg, (20.0, 40.0), 24.0, &view.title);
    let left_px = |column: u16| 20.0 + f64::from(column) * wide_px;
    for (row, column) in (0..rows).flat_map(|row| (0..view.columns).map(move |column| (row, column))) {
        svg.rect((left_px(column), top_px(row)), (wide_px, row_px(row)), "#ffffff", Some(DrawingPen::THIN));
    }
    for c in view.compartments.iter().filter(|c| c.row < rows) {
        let (x, y) = (left_px(c.column), top_px(c.row));
        svg.rect((x, y), (wide_px, row_px(c.row)), "none", Some(DrawingPen::THICK));
        svg.text((x + 8.0, y + 25.0), CODE_PX, TextAnchor::Start, true, INK, &c.code);
        for (i, (bold, line)) in compartment_lines(c, room_px).iter().enumerate() {
            let y = y + 43.0 + LEAD_PX * i as f64;
            svg.text((x + 8.0, y), WORDS_PX, TextAnchor::Start, *bold, INK, line);
        }
    }
    let front = "front edge, nearest to you";
    svg.text((WIDTH_PX / 2.0, foot_px + 22.0), WORDS_PX, TextAnchor::Middle, false, INK, front);
    if !view.foot.is_empty() {
        draw_title_block(&mut svg, WIDTH_PX, height_px - FOOT_PX, &view.foot);
    }
    svg
}
