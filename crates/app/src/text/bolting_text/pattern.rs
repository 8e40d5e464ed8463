//! A tightening order as text: the order, the passes, and the holes as they lie.

use super::{push_figure, push_grounds};
use crate::bolting_answers::pattern::{HoleOrderRule, PatternAnswer};
use crate::text::table::{PageWidth, bullet, count_with_noun, heading};
use units::math;

/// Maximum number of lines of the drawing.
const MAX_ROWS: usize = 20;
/// A character is about twice as high as it is wide.
const HIGH_OVER_WIDE: f64 = 2.0;

/// The answer.
#[must_use]
pub fn format_pattern(answer: &PatternAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    push_figure(&mut out, "tighten", &answer.tighten.join(" "), width);
    let passes: Vec<String> = answer
        .passes
        .iter()
        .map(|p| {
            if p.is_closing {
                format!(
                    "{} in sequence around the joint ({}) until no fastener turns",
                    p.figure,
                    p.holes.join(" ")
                )
            } else {
                p.figure.clone()
            }
        })
        .collect();
    push_figure(&mut out, "passes", &passes.join(", then "), width);
    push_figure(&mut out, "loosen", &answer.loosen.join(" "), width);
    let rule = match answer.rule {
        HoleOrderRule::CrissCross => "criss-cross, because the holes form a ring",
        HoleOrderRule::FromCentre => "from the centre outwards, because the holes form a field or a row",
        HoleOrderRule::Given => "the sequence as given",
    };
    out.push('\n');
    out.push_str(&bullet(
        width,
        "",
        &format!("{}, {}: {rule}", answer.title, count_with_noun(answer.holes.len(), "hole")),
    ));
    out.push_str(&heading("layout, numbered in tightening order"));
    for line in draw_hole_grid(answer, width) {
        out.push_str(&format!("{}\n", line.trim_end()));
    }
    let renamed =
        answer.holes.iter().any(|h| answer.turn_of_hole(&h.label).is_none_or(|t| t.to_string() != h.label));
    if renamed {
        let pairs: Vec<String> =
            answer.tighten.iter().enumerate().map(|(i, l)| format!("{}={l}", i + 1)).collect();
        out.push('\n');
        out.push_str(&bullet(width, "labels: ", &pairs.join("  ")));
    }
    push_grounds(&mut out, &answer.why, width);
    out
}

/// The holes on a grid of characters, to scale as far as characters allow; a number moves on where its place is taken.
fn draw_hole_grid(answer: &PatternAnswer, width: PageWidth) -> Vec<String> {
    let span = |of: fn(&crate::bolting_answers::holes::PatternHole) -> f64| {
        let ends = answer.holes.iter().map(of).fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        (ends.0, (ends.1 - ends.0).max(1.0))
    };
    let ((left_mm, wide_mm), (foot_mm, high_mm)) = (span(|h| h.x_mm), span(|h| h.y_mm));
    let columns = width.columns() - 8;
    let per_mm = (columns as f64 / wide_mm).min((MAX_ROWS - 1) as f64 * HIGH_OVER_WIDE / high_mm);
    let rows = math::round(high_mm * per_mm / HIGH_OVER_WIDE).clamp(0.0, 60.0) as usize + 1;
    let mut grid = vec![vec![' '; width.columns()]; rows];
    for hole in &answer.holes {
        let column = math::round((hole.x_mm - left_mm) * per_mm).clamp(0.0, columns as f64) as usize + 2;
        let row = math::round((foot_mm + high_mm - hole.y_mm) * per_mm / HIGH_OVER_WIDE).max(0.0) as usize;
        let text = answer.turn_of_hole(&hole.label).map_or_else(String::new, |t| t.to_string());
        place_number(&mut grid[row.min(rows - 1)], column, &text);
    }
    grid.into_iter().map(|row| row.into_iter().collect()).collect()
}

/// Writes a number at a column, or behind what is already there.
fn place_number(row: &mut [char], column: usize, text: &str) {
    let long = text.chars().count();
    let free = |at: usize| (at.saturating_sub(1)..=at + long).all(|i| row.get(i).is_none_or(|c| *c == ' '));
    let at = (column..row.len().saturating_sub(long)).find(|at| free(*at)).unwrap_or(column);
    for (i, c) in text.chars().enumerate() {
        if let Some(cell) = row.get_mut(at + i) {
            *cell = c;
        }
    }
}
