//! What a torque leaves in a bolt, as a bar on a scale of load: the interval hatched, each limit a thick line with its word.
//!
//! A limit that the interval reaches is drawn in the accent and says so, so that it reads the same in one colour. Where the upper end is not
//! known, or lies in breaking, the bar is open there.

use crate::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use crate::foot::draw_title;

/// A load at which something gives way.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadLimitView {
    /// What gives way: "proof load".
    pub name: String,
    /// At which load.
    pub load_n: f64,
}

/// How the bar ends on its upper side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PreloadBarEnd {
    /// At its upper figure.
    Closed,
    /// Somewhere above, nobody knows where.
    NotKnown,
    /// In breaking.
    Breaks,
}

/// A preload beside its limits.
#[derive(Debug, Clone, PartialEq)]
pub struct PreloadBarView {
    /// Unique in one page.
    pub id: String,
    /// What is tightened to what: "cover bolts, M6 × 25, 8.8: 9 N·m".
    pub title: String,
    /// Least and greatest preload.
    pub preload_n: (f64, f64),
    /// How the bar ends on its upper side.
    pub end: PreloadBarEnd,
    /// Loads at which something gives way, in any order.
    pub limits: Vec<LoadLimitView>,
}

const WIDTH_PX: f64 = 900.0;
const LEFT_PX: f64 = 40.0;
const RIGHT_PX: f64 = 190.0;
/// Height of a row of a limit's words.
const ROW_PX: f64 = 24.0;
const TITLE_PX: f64 = 62.0;
const BAR_PX: f64 = 46.0;
/// Room right of the greatest load, as a share of it.
const MARGIN_RATIO: f64 = 1.05;
/// Steps of the scale, per power of ten.
const STEPS: [f64; 4] = [1.0, 2.0, 5.0, 10.0];
/// Most figures along the scale.
const MAX_FIGURES: f64 = 8.0;

/// Draws the bar of a view.
#[must_use]
pub fn draw_preload_bar(view: &PreloadBarView) -> Drawing {
    let rows = view.limits.len().max(1) as f64;
    let top_px = TITLE_PX + rows * ROW_PX + 10.0;
    let mut drawing = Drawing::new(&view.id, &view.title, WIDTH_PX, top_px + BAR_PX + 74.0);
    draw_title(&mut drawing, (20.0, 36.0), 22.0, &view.title);
    let most_n = view.limits.iter().map(|limit| limit.load_n).fold(view.preload_n.1, f64::max);
    let scale = (WIDTH_PX - LEFT_PX - RIGHT_PX) / (most_n * MARGIN_RATIO).max(1.0);
    draw_scale(&mut drawing, scale, top_px + BAR_PX);
    draw_bar(&mut drawing, view, scale, top_px);
    let mut limits: Vec<&LoadLimitView> = view.limits.iter().collect();
    limits.sort_by(|a, b| a.load_n.total_cmp(&b.load_n));
    for (row, limit) in limits.into_iter().enumerate() {
        let words_px = TITLE_PX + ROW_PX * (row as f64 + 0.7);
        draw_limit(&mut drawing, view, limit, (LEFT_PX + limit.load_n * scale, words_px, top_px));
    }
    drawing
}

/// The interval, hatched; open where its upper end is not known or lies in breaking.
fn draw_bar(drawing: &mut Drawing, view: &PreloadBarView, scale_px_per_n: f64, top_px: f64) {
    let (low_n, high_n) = view.preload_n;
    let (left, right) = (LEFT_PX + low_n * scale_px_per_n, LEFT_PX + high_n * scale_px_per_n);
    let (top, foot) = (top_px + 8.0, top_px + BAR_PX - 8.0);
    drawing.rect((left, top), ((right - left).max(1.0), foot - top), HATCH, None);
    drawing.path(
        &[(right, top), (left, top), (left, foot), (right, foot)],
        false,
        "none",
        Some(DrawingPen::THICK),
    );
    let kn = |load_n: f64| units::significant(load_n / 1000.0, 2);
    let words = match view.end {
        PreloadBarEnd::Closed => {
            drawing.line((right, top), (right, foot), DrawingPen::THICK);
            format!("{} to {} kN", kn(low_n), kn(high_n))
        }
        PreloadBarEnd::NotKnown => {
            drawing.line((right, top), (right, foot), DrawingPen::LIMIT);
            format!("from {} kN, up to ?", kn(low_n))
        }
        PreloadBarEnd::Breaks => {
            drawing.line((right, top), (right, foot), DrawingPen::LIMIT);
            format!("from {} kN, BREAKS", kn(low_n))
        }
    };
    let middle_px = f64::midpoint(top, foot) + 6.0;
    drawing.text((WIDTH_PX - RIGHT_PX + 8.0, middle_px), 16.0, TextAnchor::Start, true, INK, &words);
}

/// A limit: a thick line through the bar, its words at its head; at x, the height of the words, the top of the bar.
fn draw_limit(
    drawing: &mut Drawing,
    view: &PreloadBarView,
    limit: &LoadLimitView,
    (x, words_px, top_px): (f64, f64, f64),
) {
    let is_reached = view.preload_n.1 >= limit.load_n;
    let (pen, colour) = if is_reached { (DrawingPen::NOW, NOW) } else { (DrawingPen::THICK, INK) };
    drawing.line((x, words_px - 6.0), (x, top_px + BAR_PX), pen);
    let reached = if is_reached { ", REACHED" } else { "" };
    let words = format!("{} {} kN{reached}", limit.name, units::significant(limit.load_n / 1000.0, 2));
    // Words stand left of a line that lies far to the right.
    let (anchor, beside) =
        if x > WIDTH_PX / 2.0 { (TextAnchor::End, -8.0) } else { (TextAnchor::Start, 8.0) };
    drawing.text((x + beside, words_px), 16.0, anchor, is_reached, colour, &words);
}

/// Loads along the foot, in round steps from zero.
fn draw_scale(drawing: &mut Drawing, scale_px_per_n: f64, foot_px: f64) {
    let end_px = WIDTH_PX - RIGHT_PX;
    drawing.line((LEFT_PX, foot_px), (end_px, foot_px), DrawingPen::THIN);
    let most_kn = (end_px - LEFT_PX) / scale_px_per_n / 1000.0;
    let power = units::math::pow(10.0, units::math::floor(units::math::log10(most_kn / MAX_FIGURES)));
    let wanted = STEPS.iter().find(|step| **step * power * MAX_FIGURES >= most_kn);
    let step_kn = wanted.map_or(most_kn, |step| step * power);
    let mut count = 0_u32;
    while f64::from(count) * step_kn <= most_kn {
        let load_kn = f64::from(count) * step_kn;
        let x = LEFT_PX + load_kn * 1000.0 * scale_px_per_n;
        drawing.line((x, foot_px), (x, foot_px + 7.0), DrawingPen::THIN);
        let figure = units::significant(load_kn, 3);
        drawing.text((x, foot_px + 24.0), 16.0, TextAnchor::Middle, false, INK, &figure);
        count += 1;
    }
    drawing.text((LEFT_PX, foot_px + 50.0), 16.0, TextAnchor::Start, false, INK, "preload, kN");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::write_svg;

    fn view(preload_n: (f64, f64), end: PreloadBarEnd) -> PreloadBarView {
        let limit = |name: &str, load_n: f64| LoadLimitView { name: name.into(), load_n };
        PreloadBarView {
            id: "preload".into(),
            title: "Cover bolts, M8 × 25, <8.8>: 25 N·m".into(),
            preload_n,
            end,
            limits: vec![limit("a strong bolt breaks", 33_000.0), limit("proof load", 21_200.0)],
        }
    }

    #[test]
    fn every_limit_is_named_and_the_one_that_is_reached_says_so() {
        let drawn = write_svg(&draw_preload_bar(&view((12_200.0, 27_600.0), PreloadBarEnd::Closed)));
        assert!(drawn.contains("proof load 21 kN, REACHED") && drawn.contains("breaks 33 kN<"), "{drawn}");
        assert_eq!(drawn.matches("REACHED").count(), 1);
        assert_eq!(drawn.matches(NOW).count(), 2, "one line and its words are the ones to look at");
        assert!(drawn.contains("12 to 28 kN") && drawn.contains("&lt;8.8&gt;"));
        let again = write_svg(&draw_preload_bar(&view((12_200.0, 27_600.0), PreloadBarEnd::Closed)));
        assert_eq!(drawn, again);
    }

    #[test]
    fn an_end_that_is_not_known_is_open() {
        let dashes = |end| {
            let drawn = write_svg(&draw_preload_bar(&view((12_200.0, 20_000.0), end)));
            (drawn.matches("stroke-dasharray").count(), drawn.contains(" to 20 kN"))
        };
        assert_eq!(dashes(PreloadBarEnd::Closed), (0, true));
        assert_eq!(dashes(PreloadBarEnd::NotKnown), (1, false));
        assert_eq!(dashes(PreloadBarEnd::Breaks), (1, false));
    }

    #[test]
    fn nothing_to_draw_is_no_fault() {
        let bare = PreloadBarView { limits: Vec::new(), ..view((0.0, 0.0), PreloadBarEnd::Closed) };
        assert!(write_svg(&draw_preload_bar(&bare)).contains("</svg>"));
        for load_n in [1.0e-300, 1.0e300] {
            let odd = view((0.0, load_n), PreloadBarEnd::Closed);
            assert!(write_svg(&draw_preload_bar(&odd)).len() < 20_000);
        }
    }
}
