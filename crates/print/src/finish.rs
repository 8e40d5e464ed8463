//! The spread of the finish date: how likely each finish is, with the half, four-in-five and nineteen-in-twenty dates as lines.

use crate::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use crate::foot::{FOOT_PX, draw_title, draw_title_block};

const WIDTH_PX: f64 = 1000.0;
const LEFT_PX: f64 = 60.0;
const TOP_PX: f64 = 120.0;
const PLOT_PX: f64 = 260.0;
/// Room below the bars for the dates of their edges.
const DATES_PX: f64 = 64.0;

/// A date that is drawn as a line.
#[derive(Debug, Clone, PartialEq)]
pub struct DateLine {
    /// `planned`, `50 %`, `80 %`, `95 %`.
    pub name: String,
    /// The date as a person reads it.
    pub date: String,
    /// Where it lies, as a share of the width from the first bar's left edge to the last one's right edge.
    pub at_share: f64,
    /// Whether it is the one to go by.
    pub is_now: bool,
}

/// The spread of a finish date.
#[derive(Debug, Clone, PartialEq)]
pub struct FinishView {
    /// Id of the drawing in its page.
    pub id: String,
    /// Title.
    pub title: String,
    /// Samples by bar, from the earliest finish on; the last holds all later ones.
    pub bars: Vec<u32>,
    /// Dates as lines.
    pub lines: Vec<DateLine>,
    /// Date of the first bar's left edge and of the last one's right edge.
    pub edges: (String, String),
    /// Title block.
    pub foot: Vec<(String, String)>,
}

/// Draws the spread.
#[must_use]
pub fn draw_finish(view: &FinishView) -> Drawing {
    let height_px = TOP_PX + PLOT_PX + DATES_PX + FOOT_PX;
    let mut svg = Drawing::new(&view.id, &view.title, WIDTH_PX, height_px);
    draw_title(&mut svg, (20.0, 40.0), 24.0, &view.title);
    let most = f64::from(view.bars.iter().copied().max().unwrap_or(0).max(1));
    let width_px = WIDTH_PX - 2.0 * LEFT_PX;
    let bar_px = width_px / view.bars.len().max(1) as f64;
    let foot_px = TOP_PX + PLOT_PX;
    for (at, samples) in view.bars.iter().enumerate() {
        let tall_px = PLOT_PX * f64::from(*samples) / most;
        let corner = (LEFT_PX + bar_px * at as f64, foot_px - tall_px);
        if *samples > 0 {
            svg.rect(corner, (bar_px, tall_px), HATCH, Some(DrawingPen::THIN));
        }
    }
    svg.line((LEFT_PX, foot_px), (LEFT_PX + width_px, foot_px), DrawingPen::THICK);
    svg.text((LEFT_PX, foot_px + 24.0), 16.0, TextAnchor::Start, false, INK, &view.edges.0);
    svg.text((LEFT_PX + width_px, foot_px + 24.0), 16.0, TextAnchor::End, false, INK, &view.edges.1);
    for (at, line) in view.lines.iter().enumerate() {
        draw_date_line(&mut svg, line, at, width_px);
    }
    let note = "bar height: number of samples that finish then; the last bar includes all later ones";
    svg.text((LEFT_PX, foot_px + 50.0), 14.0, TextAnchor::Start, false, INK, note);
    draw_title_block(&mut svg, WIDTH_PX, height_px - FOOT_PX, &view.foot);
    svg
}

/// A line through the bars with its words above, each a little higher than the one before so that they do not run into each other.
fn draw_date_line(svg: &mut Drawing, line: &DateLine, at: usize, width_px: f64) {
    let x = LEFT_PX + width_px * line.at_share.clamp(0.0, 1.0);
    let top_px = TOP_PX - 8.0 - 18.0 * (at % 3) as f64;
    let (pen, colour) = if line.is_now { (DrawingPen::NOW, NOW) } else { (DrawingPen::LIMIT, INK) };
    svg.line((x, top_px), (x, TOP_PX + PLOT_PX), pen);
    let anchor = if line.at_share > 0.7 { TextAnchor::End } else { TextAnchor::Start };
    let beside = if line.at_share > 0.7 { -6.0 } else { 6.0 };
    let words = format!("{} {}", line.name, line.date);
    svg.text((x + beside, top_px + 4.0), 16.0, anchor, line.is_now, colour, &words);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::write_svg;

    fn view() -> FinishView {
        let line = |name: &str, at_share: f64, is_now: bool| DateLine {
            name: name.into(),
            date: "Thu 4 Mar, 11:20".into(),
            at_share,
            is_now,
        };
        FinishView {
            id: "finish".into(),
            title: "Finish of <the job>".into(),
            bars: vec![1, 4, 9, 3, 0, 1],
            lines: vec![line("50 %", 0.4, false), line("80 %", 0.6, true), line("95 %", 0.95, false)],
            edges: ("Wed 3 Mar".into(), "Fri 5 Mar".into()),
            foot: vec![("book".into(), "tern".into())],
        }
    }

    #[test]
    fn every_bar_with_samples_and_every_date_is_drawn() {
        let drawn = write_svg(&draw_finish(&view()));
        assert_eq!(drawn.matches("finish-metal)").count(), 5, "five bars have samples");
        assert_eq!(drawn.matches(NOW).count(), 2, "one line and its words are the ones to go by");
        assert!(drawn.contains("80 % Thu 4 Mar, 11:20") && drawn.contains("&lt;the job&gt;"));
        assert_eq!(drawn, write_svg(&draw_finish(&view())));
    }

    #[test]
    fn nothing_to_draw_is_no_fault() {
        let empty = FinishView { bars: Vec::new(), lines: Vec::new(), ..view() };
        assert!(write_svg(&draw_finish(&empty)).contains("</svg>"));
    }
}
