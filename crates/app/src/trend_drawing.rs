//! A trend as a picture: readings as open circles, the line, its interval hatched, the limit as a thick line with its word.
//!
//! symbol: reached, level, band = places and heights of the picture, in the units of its axes

use print::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use print::svg::write_svg;
use trend::answers::line::TrendPicture;
use trend::shown::show_figure;

const WIDTH_PX: f64 = 900.0;
const HEIGHT_PX: f64 = 560.0;
/// Left, top, width and height of the field.
const FIELD_PX: (f64, f64, f64, f64) = (100.0, 80.0, 640.0, 400.0);
/// Figures along each axis, at most.
const MAX_MARKS: f64 = 6.0;

/// Round figures between two ends: steps of 1, 2 or 5 times a power of ten.
fn round_marks((low, high): (f64, f64)) -> Vec<f64> {
    let mut step = (high - low) / MAX_MARKS;
    let text = format!("{step:e}");
    let (digits, power) = text.split_once('e').unwrap_or(("1", "0"));
    let leading: f64 = digits.parse().unwrap_or(1.0);
    let rounded = [1.0, 2.0, 5.0, 10.0].into_iter().find(|r| *r >= leading).unwrap_or(10.0);
    step = format!("{rounded}e{power}").parse().unwrap_or(step);
    let first = (low / step).ceil();
    (0..=MAX_MARKS as u32).map(|k| (first + f64::from(k)) * step).filter(|m| *m <= high).collect()
}

/// Lowest and highest of figures, with a margin; `None` where there are none.
fn find_ends(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let sound = values.filter(|v| v.is_finite());
    let (low, high) = sound.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    let margin = (0.06 * (high - low)).max(1.0e-9 * high.abs()).max(1.0e-12);
    (low <= high && (high - low).is_finite()).then_some((low - margin, high + margin))
}

/// Draws a trend as SVG; `axes` are the words beside them, `level_word` names the level.
#[must_use]
pub fn draw_trend(title: &str, axes: (&str, &str), level_word: &str, picture: &TrendPicture) -> String {
    let mut drawing = Drawing::new("trend", title, WIDTH_PX, HEIGHT_PX);
    drawing.text((30.0, 44.0), 24.0, TextAnchor::Start, true, INK, title);
    let across = picture.points.iter().map(|p| p.0).chain(picture.band.iter().map(|b| b[0]));
    let up = picture.points.iter().map(|p| p.1).chain(picture.band.iter().map(|b| b[1])).chain(picture.level);
    let (Some(x), Some(y)) = (find_ends(across.chain(picture.reached.into_iter().flatten())), find_ends(up))
    else {
        return write_svg(&drawing);
    };
    let at = |place: f64, height: f64| {
        let (left, top, width, tall) = FIELD_PX;
        let share = |v: f64, (low, high): (f64, f64)| ((v - low) / (high - low)).clamp(0.0, 1.0);
        (left + share(place, x) * width, top + (1.0 - share(height, y)) * tall)
    };
    let mut outline: Vec<(f64, f64)> = picture.band.iter().map(|b| at(b[0], b[3])).collect();
    outline.extend(picture.band.iter().rev().map(|b| at(b[0], b[2])));
    if picture.band.iter().any(|b| b[3] > b[2]) {
        drawing.path(&outline, true, HATCH, Some(DrawingPen::LIMIT));
    }
    let line: Vec<(f64, f64)> = picture.band.iter().map(|b| at(b[0], b[1])).collect();
    drawing.path(&line, false, "none", Some(DrawingPen::THICK));
    draw_axes(&mut drawing, axes, (x, y), &at);
    if let Some(level) = picture.level {
        let (from, to) = (at(x.0, level), at(x.1, level));
        drawing.line(from, to, DrawingPen { width_px: 4.0, ..DrawingPen::NOW });
        let words = format!("{level_word} {}", show_figure(level, 6));
        drawing.text((to.0 + 8.0, to.1 + 6.0), 17.0, TextAnchor::Start, true, NOW, &words);
        draw_reached(&mut drawing, picture.reached, level, &at);
    }
    for (place, height) in &picture.points {
        drawing.circle(at(*place, *height), 4.0, "none", Some(DrawingPen::THIN));
    }
    write_svg(&drawing)
}

/// Where the limit is reached: a dimension over the interval, the estimate as a short stroke.
fn draw_reached(
    drawing: &mut Drawing,
    reached: Option<[f64; 3]>,
    level: f64,
    at: &impl Fn(f64, f64) -> (f64, f64),
) {
    let Some([estimate, low, high]) = reached else { return };
    let ((from, y), (to, _), (middle, _)) = (at(low, level), at(high, level), at(estimate, level));
    drawing.line((middle, y - 12.0), (middle, y + 12.0), DrawingPen::THICK);
    let words = trend::shown::show_interval(estimate, low, high);
    drawing.dimension((from, y - 24.0), (to, y - 24.0), "");
    drawing.text((middle, y - 32.0), 16.0, TextAnchor::Middle, true, INK, &words);
}

fn draw_axes(
    drawing: &mut Drawing,
    axes: (&str, &str),
    (x, y): ((f64, f64), (f64, f64)),
    at: &impl Fn(f64, f64) -> (f64, f64),
) {
    let corner = at(x.0, y.0);
    drawing.line(corner, at(x.1, y.0), DrawingPen::THIN);
    drawing.line(corner, at(x.0, y.1), DrawingPen::THIN);
    for place in round_marks(x) {
        let foot = at(place, y.0);
        drawing.line(foot, (foot.0, foot.1 + 5.0), DrawingPen::THIN);
        drawing.text((foot.0, foot.1 + 22.0), 16.0, TextAnchor::Middle, false, INK, &show_figure(place, 6));
    }
    for height in round_marks(y) {
        let side = at(x.0, height);
        drawing.line(side, (side.0 - 5.0, side.1), DrawingPen::THIN);
        drawing.text(
            (side.0 - 8.0, side.1 + 5.0),
            16.0,
            TextAnchor::End,
            false,
            INK,
            &show_figure(height, 6),
        );
    }
    drawing.text((corner.0, corner.1 + 46.0), 15.0, TextAnchor::Start, false, INK, axes.0);
    drawing.text((corner.0 - 8.0, FIELD_PX.1 - 12.0), 15.0, TextAnchor::End, false, INK, axes.1);
}
