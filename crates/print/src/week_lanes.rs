//! All open visits on one calendar: one lane for each vehicle, work full, waits hatched, closed hours folded away, now as a line,
//! promises as flags, and the finish as a whisker from half of all cases to nearly always.
//!
//! The axis counts open hours; where the shop is closed it has a short fold. On a phone the days go downward, else along.

use crate::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use crate::words::{shorten_to_width, text_width_px};

/// A stretch along the axis, from and to, h.
pub type AxisStretch = (f64, f64);

/// Which way the days go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeekDirection {
    /// From left to right, for a tablet, a computer, paper.
    Along,
    /// Downward, for a phone.
    Down,
}

/// The date that was promised.
#[derive(Debug, Clone, PartialEq)]
pub struct PromiseFlagView {
    /// Where it lies on the axis.
    pub at_h: f64,
    /// Whether the vehicle is likely to be late.
    pub is_missed: bool,
}

/// One vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct WeekLaneView {
    /// Its letter.
    pub letter: String,
    /// What it is called.
    pub name: String,
    /// Where hands work on it.
    pub work: Vec<AxisStretch>,
    /// Where it waits.
    pub waits: Vec<AxisStretch>,
    /// Where it stands on the lift.
    pub lift: Vec<AxisStretch>,
    /// Finish in half of all cases, in four of five, in nineteen of twenty.
    pub finish_h: (f64, f64, f64),
    /// What was promised.
    pub promise: Option<PromiseFlagView>,
}

/// All lanes over one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct WeekView {
    /// Id of the drawing in its page.
    pub id: String,
    /// What it shows, for those who do not see it.
    pub title: String,
    /// Length of the axis.
    pub length_h: f64,
    /// Open days: where each lies, and its name.
    pub days: Vec<(AxisStretch, String)>,
    /// Now.
    pub now_h: f64,
    /// Whether the axis ends before the last finish.
    pub is_cut: bool,
    /// The vehicles.
    pub lanes: Vec<WeekLaneView>,
}

/// Size of letters: not under 16 px on the narrowest page.
const LETTER_PX: f64 = 17.0;
/// Width of a drawing whose days go along; of one whose days go down.
const ALONG_PX: f64 = 736.0;
const DOWN_PX: f64 = 328.0;
/// Across a lane: its bar; the line of the lift beside it; the room for flag and whisker.
const BAR_PX: f64 = 30.0;

/// Draws the lanes.
#[must_use]
pub fn draw_week_lanes(view: &WeekView, direction: WeekDirection) -> Drawing {
    match direction {
        WeekDirection::Along => draw_along(view),
        WeekDirection::Down => draw_down(view),
    }
}

/// Where a lane lies on the paper: its axis runs along or down, its bar lies across.
struct LaneFrame {
    direction: WeekDirection,
    /// Where the axis begins, and how long an hour is.
    from_px: f64,
    hour_px: f64,
    /// The near edge of the bar.
    edge_px: f64,
}

impl LaneFrame {
    fn along_px(&self, at_h: f64) -> f64 {
        self.from_px + at_h * self.hour_px
    }

    /// A point by its place on the axis and its distance across from the bar's near edge.
    fn point(&self, at_h: f64, across_px: f64) -> (f64, f64) {
        let (a, b) = (self.along_px(at_h), self.edge_px + across_px);
        match self.direction {
            WeekDirection::Along => (a, b),
            WeekDirection::Down => (b, a),
        }
    }

    fn draw_box(&self, svg: &mut Drawing, (from_h, to_h): AxisStretch, fill: &str, pen: DrawingPen) {
        let to_h = to_h.max(from_h + 1.5 / self.hour_px);
        let corners = [
            self.point(from_h, 0.0),
            self.point(to_h, 0.0),
            self.point(to_h, BAR_PX),
            self.point(from_h, BAR_PX),
        ];
        svg.path(&corners, true, fill, Some(pen));
    }

    fn draw_line(&self, svg: &mut Drawing, from: (f64, f64), to: (f64, f64), pen: DrawingPen) {
        svg.line(self.point(from.0, from.1), self.point(to.0, to.1), pen);
    }

    /// Bar, lift, whisker and flag of one vehicle.
    fn draw_lane(&self, svg: &mut Drawing, lane: &WeekLaneView, length_h: f64) {
        self.draw_line(svg, (0.0, BAR_PX / 2.0), (length_h, BAR_PX / 2.0), DrawingPen::THIN);
        for wait in &lane.waits {
            self.draw_box(svg, *wait, "#ffffff", DrawingPen::THIN);
            self.draw_box(svg, *wait, HATCH, DrawingPen::THIN);
        }
        let outline = DrawingPen { colour: "#ffffff", width_px: 0.6, dash: "" };
        lane.work.iter().for_each(|work| self.draw_box(svg, *work, INK, outline));
        for (from_h, to_h) in &lane.lift {
            for across_px in [BAR_PX + 5.0, BAR_PX + 9.0] {
                self.draw_line(svg, (*from_h, across_px), (*to_h, across_px), DrawingPen::THIN);
            }
        }
        self.draw_whisker(svg, lane.finish_h);
        if let Some(promise) = &lane.promise {
            self.draw_flag(svg, promise);
        }
    }

    /// A line with an end at the half and at nearly always, and a full disc at four in five.
    fn draw_whisker(&self, svg: &mut Drawing, (half_h, likely_h, nearly_h): (f64, f64, f64)) {
        let across_px = -9.0;
        self.draw_line(svg, (half_h, across_px), (nearly_h, across_px), DrawingPen::THICK);
        for end_h in [half_h, nearly_h] {
            self.draw_line(svg, (end_h, across_px - 6.0), (end_h, across_px + 6.0), DrawingPen::THICK);
        }
        svg.circle(self.point(likely_h, across_px), 5.5, INK, None);
    }

    /// A staff across the lane with a pennant; full where the promise is missed, and struck through.
    fn draw_flag(&self, svg: &mut Drawing, promise: &PromiseFlagView) {
        let (at_h, top_px) = (promise.at_h, -34.0);
        self.draw_line(svg, (at_h, top_px), (at_h, BAR_PX + 6.0), DrawingPen::THICK);
        let back_h = at_h - 18.0 / self.hour_px;
        let pennant =
            [self.point(at_h, top_px), self.point(back_h, top_px + 8.0), self.point(at_h, top_px + 16.0)];
        let fill = if promise.is_missed { INK } else { "#ffffff" };
        svg.path(&pennant, true, fill, Some(DrawingPen::THICK));
        if promise.is_missed {
            let (low_h, high_h) = (at_h - 22.0 / self.hour_px, at_h + 4.0 / self.hour_px);
            self.draw_line(svg, (low_h, top_px - 3.0), (high_h, top_px + 19.0), DrawingPen::THICK);
            self.draw_line(svg, (high_h, top_px - 3.0), (low_h, top_px + 19.0), DrawingPen::THICK);
        }
    }
}

/// Days from left to right, a lane below the other.
fn draw_along(view: &WeekView) -> Drawing {
    const HEAD_PX: f64 = 34.0;
    const LANE_PX: f64 = 112.0;
    let bottom_px = HEAD_PX + LANE_PX * view.lanes.len() as f64;
    let mut svg = Drawing::new(&view.id, &view.title, ALONG_PX, bottom_px + 20.0);
    let (from_px, to_px) = (12.0, ALONG_PX - 12.0);
    let hour_px = (to_px - from_px) / view.length_h.max(0.5);
    let frame = |edge_px| LaneFrame { direction: WeekDirection::Along, from_px, hour_px, edge_px };
    let axis = frame(0.0);
    let mut free_px = 0.0;
    for ((from_h, _), name) in &view.days {
        let x = axis.along_px(*from_h);
        svg.line((x, HEAD_PX - 8.0), (x, bottom_px), DrawingPen::LIMIT);
        let wide_px = text_width_px(name, LETTER_PX, false);
        if x >= free_px && x + wide_px <= ALONG_PX {
            svg.text((x + 3.0, 20.0), LETTER_PX, TextAnchor::Start, false, INK, name);
            free_px = x + wide_px + 10.0;
        }
    }
    let x = axis.along_px(view.now_h);
    draw_now(&mut svg, ((x, HEAD_PX - 8.0), (x, bottom_px)), (x, bottom_px + 15.0), TextAnchor::Start);
    for (at, lane) in view.lanes.iter().enumerate() {
        let top_px = HEAD_PX + LANE_PX * at as f64;
        svg.line((0.0, top_px), (ALONG_PX, top_px), DrawingPen::THIN);
        let title = shorten_to_width(&format!("{}  {}", lane.letter, lane.name), 19.0, true, 330.0);
        svg.rect((2.0, top_px + 4.0), (text_width_px(&title, 19.0, true) + 12.0, 24.0), "#ffffff", None);
        svg.text((6.0, top_px + 22.0), 19.0, TextAnchor::Start, true, INK, &title);
        frame(top_px + 64.0).draw_lane(&mut svg, lane, view.length_h);
    }
    draw_cut(&mut svg, view, bottom_px + 14.0);
    svg
}

/// Days downward, a lane beside the other.
fn draw_down(view: &WeekView) -> Drawing {
    const HEAD_PX: f64 = 34.0;
    const DAYS_PX: f64 = 62.0;
    /// Room for an hour, within which a week stays on a few thumbs' lengths.
    const HOUR_PX: f64 = 13.0;
    let hour_px = (HOUR_PX * 40.0 / view.length_h.max(8.0)).clamp(7.0, 26.0);
    let bottom_px = HEAD_PX + hour_px * view.length_h;
    let mut svg = Drawing::new(&view.id, &view.title, DOWN_PX, bottom_px + 22.0);
    let lane_px = (DOWN_PX - DAYS_PX) / view.lanes.len().max(1) as f64;
    let frame = |edge_px| LaneFrame { direction: WeekDirection::Down, from_px: HEAD_PX, hour_px, edge_px };
    let axis = frame(0.0);
    let mut free_px = 0.0;
    for ((from_h, _), name) in &view.days {
        let y = axis.along_px(*from_h);
        svg.line((0.0, y), (DOWN_PX, y), DrawingPen::LIMIT);
        if y >= free_px && y + 20.0 <= bottom_px {
            svg.text((0.0, y + 18.0), LETTER_PX, TextAnchor::Start, false, INK, name);
            free_px = y + 22.0;
        }
    }
    for (at, lane) in view.lanes.iter().enumerate() {
        let left_px = DAYS_PX + lane_px * at as f64;
        svg.line((left_px, 0.0), (left_px, bottom_px), DrawingPen::THIN);
        let title =
            shorten_to_width(&format!("{} {}", lane.letter, lane.name), LETTER_PX, true, lane_px - 8.0);
        svg.text((left_px + 6.0, 22.0), LETTER_PX, TextAnchor::Start, true, INK, &title);
        let edge_px = left_px + (lane_px - BAR_PX - 12.0).clamp(0.0, 46.0);
        frame(edge_px).draw_lane(&mut svg, lane, view.length_h);
    }
    draw_cut(&mut svg, view, bottom_px + 16.0);
    let y = axis.along_px(view.now_h);
    draw_now(&mut svg, ((0.0, y), (DOWN_PX, y)), (DOWN_PX - 2.0, y + 16.0), TextAnchor::End);
    svg
}

/// Says that the work goes on behind the last day that is drawn.
fn draw_cut(svg: &mut Drawing, view: &WeekView, base_px: f64) {
    if view.is_cut {
        let at = (svg.width_px - 4.0, base_px);
        svg.text(at, LETTER_PX, TextAnchor::End, false, INK, "and further days");
    }
}

/// The line that is now, with its word.
fn draw_now(
    svg: &mut Drawing,
    (from, to): ((f64, f64), (f64, f64)),
    word_px: (f64, f64),
    anchor: TextAnchor,
) {
    svg.line(from, to, DrawingPen::NOW);
    svg.text(word_px, LETTER_PX, anchor, true, NOW, "now");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::write_svg;

    fn view() -> WeekView {
        let lane = |letter: &str, promise| WeekLaneView {
            letter: letter.into(),
            name: "green bus with a long name that nobody reads to its end".into(),
            work: vec![(0.0, 3.0), (8.5, 10.0)],
            waits: vec![(3.0, 8.5)],
            lift: vec![(0.0, 9.0)],
            finish_h: (9.0, 10.0, 13.0),
            promise,
        };
        let flag = |is_missed| Some(PromiseFlagView { at_h: 9.5, is_missed });
        WeekView {
            id: "week".into(),
            title: "Calendar".into(),
            length_h: 16.5,
            days: vec![((0.0, 8.0), "Mon 1".into()), ((8.5, 16.5), "Tue 2".into())],
            now_h: 1.0,
            is_cut: false,
            lanes: vec![lane("A", flag(true)), lane("B", flag(false)), lane("C", None)],
        }
    }

    #[test]
    fn both_ways_show_every_lane_day_and_now_in_letters_that_are_read() {
        for direction in [WeekDirection::Along, WeekDirection::Down] {
            let svg = write_svg(&draw_week_lanes(&view(), direction));
            for words in ["Mon 1", "Tue 2", ">now<", "A ", "B ", "C ", "week-metal"] {
                assert!(svg.contains(words), "{words}: {svg}");
            }
            let sizes = svg.split("font-size=\"").skip(1).filter_map(|rest| rest.split('"').next());
            assert!(sizes.filter_map(|size| size.parse::<f64>().ok()).all(|size_px| size_px >= 16.0));
        }
    }

    #[test]
    fn nothing_lies_outside_the_drawing() {
        let empty = WeekView { lanes: Vec::new(), days: Vec::new(), length_h: 0.0, now_h: 0.0, ..view() };
        for drawing in [
            draw_week_lanes(&view(), WeekDirection::Along),
            draw_week_lanes(&view(), WeekDirection::Down),
            draw_week_lanes(&empty, WeekDirection::Along),
            draw_week_lanes(&empty, WeekDirection::Down),
        ] {
            for text in crate::words::text_boxes(&drawing) {
                let (left_px, top_px, right_px, bottom_px) = text.edges_px;
                assert!(left_px >= -0.5 && right_px <= drawing.width_px + 0.5, "{text:?}");
                assert!(top_px >= -0.5 && bottom_px <= drawing.height_px + 0.5, "{text:?}");
            }
        }
    }
}
