//! A tray as it lies: front edge at the bottom, each compartment with its code and what belongs in it.

use crate::drawing::{Drawing, DrawingPen, INK, TextAnchor};
use crate::foot::{FOOT_PX, draw_title_block, shorten_text};
use crate::view::TrayView;

const WIDTH_PX: f64 = 1000.0;
const TOP_PX: f64 = 64.0;

/// Draws the tray of a view.
#[must_use]
pub fn draw_tray(view: &TrayView) -> Drawing {
    let (rows, columns) = (f64::from(view.rows.max(1)), f64::from(view.columns.max(1)));
    let cell = ((WIDTH_PX - 40.0) / columns, 104.0);
    let height_px = TOP_PX + rows * cell.1 + 34.0 + FOOT_PX;
    let mut svg = Drawing::new(&view.id, &view.title, WIDTH_PX, height_px);
    svg.text((20.0, 40.0), 24.0, TextAnchor::Start, true, INK, &view.title);
    for row in 0..view.rows {
        for column in 0..view.columns {
            let at = (20.0 + f64::from(column) * cell.0, TOP_PX + (rows - 1.0 - f64::from(row)) * cell.1);
            svg.rect(at, cell, "#ffffff", Some(DrawingPen::THIN));
        }
    }
    let chars = (cell.0 / 7.6) as usize;
    for c in &view.compartments {
        let at = (20.0 + f64::from(c.column) * cell.0, TOP_PX + (rows - 1.0 - f64::from(c.row)) * cell.1);
        svg.rect(at, cell, "none", Some(DrawingPen::THICK));
        svg.text((at.0 + 8.0, at.1 + 25.0), 22.0, TextAnchor::Start, true, INK, &c.code);
        for (i, line) in c.lines.iter().take(4).enumerate() {
            let y = at.1 + 45.0 + 17.0 * i as f64;
            svg.text((at.0 + 8.0, y), 14.0, TextAnchor::Start, i == 0, INK, &shorten_text(line, chars));
        }
    }
    let y = TOP_PX + rows * cell.1 + 22.0;
    svg.text((WIDTH_PX / 2.0, y), 15.0, TextAnchor::Middle, false, INK, "front edge, nearest to you");
    draw_title_block(&mut svg, WIDTH_PX, height_px - FOOT_PX, &view.foot);
    svg
}
