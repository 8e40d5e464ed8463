//! The order of the work by station: where the time goes, where the stack in hand changes, where one waits.

use crate::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use crate::foot::{FOOT_PX, draw_title, draw_title_block};
use crate::view::{BarView, TimelineView};
use crate::words::{text_width_px, wrap_to_width};

const WIDTH_PX: f64 = 1000.0;
const LEFT_PX: f64 = 150.0;
const TOP_PX: f64 = 96.0;
const LANE_PX: f64 = 54.0;
/// Size of a phase's name.
const PHASE_PX: f64 = 17.0;

/// Draws the time line of a view.
#[must_use]
pub fn draw_timeline(view: &TimelineView) -> Drawing {
    let lanes = view.lanes.len().max(1) as f64;
    let height_px = TOP_PX + lanes * LANE_PX + 70.0 + FOOT_PX;
    let mut svg = Drawing::new(&view.id, &view.title, WIDTH_PX, height_px);
    draw_title(&mut svg, (20.0, 40.0), 24.0, &view.title);
    let end_s = view.bars.iter().map(|b| b.start_s + b.setup_s + b.work_s).fold(60.0, f64::max);
    let scale = (WIDTH_PX - LEFT_PX - 24.0) / end_s;
    for (i, lane) in view.lanes.iter().enumerate() {
        let y = TOP_PX + LANE_PX * (i as f64 + 0.5);
        svg.line((LEFT_PX, y), (WIDTH_PX - 20.0, y), DrawingPen { width_px: 0.5, ..DrawingPen::THIN });
        for (k, line) in wrap_to_width(lane, 15.0, false, LEFT_PX - 18.0, 2).iter().enumerate() {
            svg.text(
                (LEFT_PX - 12.0, y + 5.0 + 17.0 * (k as f64 - 0.3)),
                15.0,
                TextAnchor::End,
                false,
                INK,
                line,
            );
        }
    }
    draw_bars(&mut svg, &view.bars, scale);
    let mut last_right_px = f64::MIN;
    for phase in &view.phases {
        let x = LEFT_PX + phase.start_s * scale;
        // A name that would meet the one before stands a line higher.
        let rise_px = if x + 5.0 < last_right_px { 20.0 } else { 0.0 };
        svg.line((x, TOP_PX - 14.0 - rise_px), (x, TOP_PX + lanes * LANE_PX), DrawingPen::LIMIT);
        let at = (x + 5.0, TOP_PX - 8.0 - rise_px);
        svg.text(at, PHASE_PX, TextAnchor::Start, true, INK, &phase.name);
        last_right_px = at.0 + text_width_px(&phase.name, PHASE_PX, true) + 6.0;
    }
    draw_hours(&mut svg, end_s, scale, TOP_PX + lanes * LANE_PX);
    draw_title_block(&mut svg, WIDTH_PX, height_px - FOOT_PX, &view.foot);
    svg
}

/// Narrower bars have no outline, px: it would cover them.
const OUTLINED_PX: f64 = 2.0;

/// The bars, one kind after the other: set-ups, work, waits, changes of tool.
fn draw_bars(svg: &mut Drawing, bars: &[BarView], scale_px_per_s: f64) {
    let x = |bar: &BarView| LEFT_PX + bar.start_s * scale_px_per_s;
    let y = |bar: &BarView| TOP_PX + LANE_PX * (bar.lane as f64 + 0.5);
    let setup_px = |bar: &BarView| bar.setup_s * scale_px_per_s;
    let work_px = |bar: &BarView| (bar.work_s * scale_px_per_s).max(0.6);
    let block = |svg: &mut Drawing, bar: &BarView, fill: &'static str, pen: Option<DrawingPen>| {
        svg.rect((x(bar) + setup_px(bar), y(bar) - 9.0), (work_px(bar), 18.0), fill, pen);
    };
    let worked = || bars.iter().filter(|bar| !bar.wait);
    let set_up = DrawingPen { width_px: 2.0, ..DrawingPen::THIN };
    for bar in worked().filter(|bar| bar.setup_s > 0.0) {
        svg.line((x(bar), y(bar)), (x(bar) + setup_px(bar), y(bar)), set_up);
    }
    let white = DrawingPen { colour: "#ffffff", width_px: 0.3, dash: "" };
    for bar in worked().filter(|bar| work_px(bar) < OUTLINED_PX) {
        block(svg, bar, NOW, None);
    }
    for bar in worked().filter(|bar| work_px(bar) >= OUTLINED_PX) {
        block(svg, bar, NOW, Some(white));
    }
    for bar in bars.iter().filter(|bar| bar.wait) {
        block(svg, bar, HATCH, Some(DrawingPen { width_px: 0.6, ..DrawingPen::THIN }));
    }
    let swap = DrawingPen { width_px: 1.4, ..DrawingPen::THIN };
    for bar in worked().filter(|bar| bar.swap) {
        svg.line((x(bar), y(bar) - 18.0), (x(bar), y(bar) - 11.0), swap);
    }
}

/// Hours below, and what the marks mean, said once.
fn draw_hours(svg: &mut Drawing, end_s: f64, scale_px_per_s: f64, y_px: f64) {
    let y = y_px;
    let step_s = [600.0, 1800.0, 3600.0, 7200.0, 14400.0, 28800.0]
        .into_iter()
        .find(|s| end_s / s <= 10.0)
        .unwrap_or(86400.0);
    let mut t = 0.0;
    while t <= end_s {
        let x = LEFT_PX + t * scale_px_per_s;
        svg.line((x, y), (x, y + 7.0), DrawingPen::THIN);
        let words = if step_s < 3600.0 { format!("{} min", t / 60.0) } else { format!("{} h", t / 3600.0) };
        svg.text((x, y + 23.0), 16.0, TextAnchor::Middle, false, INK, &words);
        t += step_s;
    }
    let note = "block: work; line: set-up; tick above: change of tool; hatched: wait";
    svg.text((LEFT_PX, y + 50.0), 16.0, TextAnchor::Start, false, INK, note);
}
