//! A calibration as a picture: torque against step, readings, what 99 of 100 stay below, and the torque wanted.
//!
//! After the look of the drawings: direct labels, the limit as a thick line with its word, the interval hatched, readings
//! as small open circles, no grid.

use super::{CalibrationAnswer, ClutchStepLine};
use crate::bolting_answers::driver::readings::ReadingUse;
use crate::text::table::PageWidth;
use print::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use print::svg::write_svg;
use units::math;

/// Room of the axes: from the least to the greatest step and torque, with a margin.
struct PlotRoom {
    first_number: f64,
    last_number: f64,
    low_n_m: f64,
    high_n_m: f64,
}

impl PlotRoom {
    fn of_answer(answer: &CalibrationAnswer, limit_n_m: Option<f64>) -> Self {
        let steps = answer.points.iter().map(|p| f64::from(p.step));
        let torques = answer.points.iter().map(|p| p.torque_n_m).chain(limit_n_m);
        let bounds = answer.steps.iter().flat_map(|s| [s.lower_n_m, s.upper_n_m]);
        let ends = |values: &mut dyn Iterator<Item = f64>| {
            values.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)))
        };
        let (first, last) = ends(&mut steps.into_iter());
        let (low, high) = ends(&mut torques.chain(bounds));
        let margin = ((high - low) * 0.06).max(0.01 * high.abs()).max(1.0e-3);
        Self {
            first_number: first - 0.5,
            last_number: last + 0.5,
            low_n_m: (low - margin).max(0.0),
            high_n_m: high + margin,
        }
    }

    /// The position of a step and a torque, as shares of the width and of the height from the top.
    fn place_shares(&self, step_number: f64, torque_n_m: f64) -> (f64, f64) {
        let across = (step_number - self.first_number) / (self.last_number - self.first_number);
        (across, (self.high_n_m - torque_n_m) / (self.high_n_m - self.low_n_m))
    }
}

const HIGH: usize = 16;
/// Room for the torques at the left.
const SIDE: usize = 8;

/// The plot in characters: `o` readings, `x` checks, `-` means, `^` what 99 of 100 stay below, `=` the torque wanted.
#[must_use]
pub fn plot_in_characters(answer: &CalibrationAnswer, limit_n_m: Option<f64>, page: PageWidth) -> String {
    if answer.points.is_empty() {
        return String::new();
    }
    let room = PlotRoom::of_answer(answer, limit_n_m);
    let wide = page.columns() - 2 * SIDE;
    let mut grid = vec![vec![' '; wide]; HIGH];
    let cell = |step: f64, n_m: f64| {
        let (across, down) = room.place_shares(step, n_m);
        let at = |share: f64, most: usize| {
            math::round(share * (most - 1) as f64).clamp(0.0, (most - 1) as f64) as usize
        };
        (at(down, HIGH), at(across, wide))
    };
    if let Some(n_m) = limit_n_m {
        grid[cell(room.first_number, n_m).0].fill('=');
    }
    for line in &answer.steps {
        let step = f64::from(line.step);
        for (n_m, mark) in [(line.mean_n_m, '-'), (line.upper_n_m, '^')] {
            let (row, column) = cell(step, n_m);
            grid[row][column.saturating_sub(1)..=(column + 1).min(wide - 1)].fill(mark);
        }
    }
    for point in &answer.points {
        let (row, column) = cell(f64::from(point.step), point.torque_n_m);
        grid[row][column] = if point.purpose == ReadingUse::Check { 'x' } else { 'o' };
    }
    with_axes(&room, &grid, answer)
}

fn with_axes(room: &PlotRoom, grid: &[Vec<char>], answer: &CalibrationAnswer) -> String {
    let mut out = format!("{:>SIDE$}\n", "N·m");
    for (row, cells) in grid.iter().enumerate() {
        let torque_n_m = room.high_n_m - (room.high_n_m - room.low_n_m) * row as f64 / (HIGH - 1) as f64;
        let name = if row % 5 == 0 { units::significant(torque_n_m, 3) } else { String::new() };
        let text: String = cells.iter().collect();
        out.push_str(format!("{name:>SIDE$} |{}", text.trim_end()).trim_end());
        out.push('\n');
    }
    let wide = grid.first().map_or(0, Vec::len);
    let mut foot = vec![' '; wide + 3];
    let mut steps: Vec<u32> = answer.points.iter().map(|p| p.step).collect();
    steps.sort_unstable();
    steps.dedup();
    for step in steps {
        let (across, _) = room.place_shares(f64::from(step), room.low_n_m);
        let at = math::round(across * (wide - 1) as f64) as usize;
        for (i, c) in step.to_string().chars().enumerate() {
            if let Some(place) = foot.get_mut(at + i) {
                *place = c;
            }
        }
    }
    let foot: String = foot.into_iter().collect();
    out.push_str(&format!("{:>SIDE$}  {}\n", "step", foot.trim_end()));
    out.push_str("  o read  x check  - mean  ^ 99 of 100 stay below  = wanted\n");
    out
}

const WIDTH_PX: f64 = 900.0;
const HEIGHT_PX: f64 = 560.0;
/// Left, top, width and height of the field.
const FIELD_PX: (f64, f64, f64, f64) = (90.0, 80.0, 640.0, 400.0);

/// The plot as a drawing.
#[must_use]
pub fn draw_calibration(answer: &CalibrationAnswer, limit_n_m: Option<f64>) -> String {
    let title = format!("{}, {}: torque by clutch step", answer.driver, answer.joint);
    let mut drawing = Drawing::new("driver", &title, WIDTH_PX, HEIGHT_PX);
    drawing.text((30.0, 44.0), 24.0, TextAnchor::Start, true, INK, &title);
    if answer.points.is_empty() {
        return write_svg(&drawing);
    }
    let room = PlotRoom::of_answer(answer, limit_n_m);
    let at = |step: f64, n_m: f64| {
        let (left, top, width, height) = FIELD_PX;
        let (across, down) = room.place_shares(step, n_m);
        (left + across * width, top + down * height)
    };
    draw_band(&mut drawing, &answer.steps, &at);
    draw_axes(&mut drawing, answer, &room, &at);
    if let Some(n_m) = limit_n_m {
        drawing.line(
            at(room.first_number, n_m),
            at(room.last_number, n_m),
            DrawingPen { width_px: 4.0, ..DrawingPen::NOW },
        );
        let (x, y) = at(room.last_number, n_m);
        drawing.text(
            (x + 8.0, y + 6.0),
            17.0,
            TextAnchor::Start,
            true,
            NOW,
            &format!("wanted {} N·m", units::significant(n_m, 3)),
        );
    }
    for point in &answer.points {
        let (x, y) = at(f64::from(point.step), point.torque_n_m);
        if point.purpose == ReadingUse::Check {
            drawing.line((x - 5.0, y - 5.0), (x + 5.0, y + 5.0), DrawingPen::THICK);
            drawing.line((x - 5.0, y + 5.0), (x + 5.0, y - 5.0), DrawingPen::THICK);
        } else {
            drawing.circle((x, y), 4.0, "none", Some(DrawingPen::THIN));
        }
    }
    drawing.text((30.0, HEIGHT_PX - 18.0), 15.0, TextAnchor::Start, false, INK, &answer.drift);
    write_svg(&drawing)
}

/// The interval that 99 of 100 run-downs lie in, hatched, and the mean.
fn draw_band(drawing: &mut Drawing, steps: &[ClutchStepLine], at: &impl Fn(f64, f64) -> (f64, f64)) {
    let side = |of: fn(&ClutchStepLine) -> f64| steps.iter().map(move |s| at(f64::from(s.step), of(s)));
    let mut outline: Vec<(f64, f64)> = side(|s| s.upper_n_m).collect();
    let mean: Vec<(f64, f64)> = side(|s| s.mean_n_m).collect();
    outline.extend(side(|s| s.lower_n_m).rev());
    let Some((x, y)) = side(|s| s.upper_n_m).next_back() else { return };
    drawing.path(&outline, true, HATCH, Some(DrawingPen::LIMIT));
    drawing.path(&mean, false, "none", Some(DrawingPen::THICK));
    drawing.text((x + 8.0, y + 5.0), 15.0, TextAnchor::Start, false, INK, "99 of 100 below");
}

fn draw_axes(
    drawing: &mut Drawing,
    answer: &CalibrationAnswer,
    room: &PlotRoom,
    at: &impl Fn(f64, f64) -> (f64, f64),
) {
    let corner = at(room.first_number, room.low_n_m);
    drawing.line(corner, at(room.last_number, room.low_n_m), DrawingPen::THIN);
    drawing.line(corner, at(room.first_number, room.high_n_m), DrawingPen::THIN);
    let mut steps: Vec<u32> = answer.points.iter().map(|p| p.step).collect();
    steps.sort_unstable();
    steps.dedup();
    for step in steps {
        let (x, y) = at(f64::from(step), room.low_n_m);
        drawing.text((x, y + 22.0), 16.0, TextAnchor::Middle, false, INK, &step.to_string());
    }
    drawing.text((corner.0, corner.1 + 44.0), 15.0, TextAnchor::Start, false, INK, "clutch step");
    for fifth in 0..=4 {
        let n_m = room.low_n_m + (room.high_n_m - room.low_n_m) * f64::from(fifth) / 4.0;
        let (x, y) = at(room.first_number, n_m);
        drawing.text((x - 8.0, y + 5.0), 16.0, TextAnchor::End, false, INK, &units::significant(n_m, 3));
    }
    drawing.text((corner.0 - 8.0, FIELD_PX.1 - 12.0), 15.0, TextAnchor::End, false, INK, "N·m");
}
