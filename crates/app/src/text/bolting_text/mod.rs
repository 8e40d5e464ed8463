//! Answers about fasteners as text: the figure first, then why, then sources and cautions.

mod driver;
mod mix_up;
mod pattern;
mod preload;
mod strip_margin;
mod torque;
mod why;
mod wrench;

pub use driver::{format_calibration, format_clutch_step};
pub use mix_up::{format_mix_up, format_mix_up_matrix};
pub use pattern::format_pattern;
pub use preload::format_preload;
pub use strip_margin::format_strip_margin;
pub use torque::format_torque;
pub use why::format_step_reasons;
pub use wrench::format_wrench;

use super::table::{PageWidth, TextAlign, TextTable, bullet, heading, width_of};
use crate::bolting_answers::AnswerGrounds;

/// Width of the names before the leading figures.
const NAME: usize = 13;

/// A leading figure: its name, then the figure.
fn push_figure(out: &mut String, name: &str, text: &str, width: PageWidth) {
    let pad = " ".repeat(NAME.saturating_sub(name.chars().count()));
    out.push_str(&bullet(width, &format!("{name}{pad}"), text));
}

/// Everything below the leading figures.
fn push_grounds(out: &mut String, grounds: &AnswerGrounds, width: PageWidth) {
    out.push_str(&heading("why"));
    for formula in &grounds.formula {
        // A formula keeps the spaces that line it up; words are wrapped.
        if width_of(formula) + 2 <= width.columns() {
            out.push_str(&format!("  {formula}\n"));
        } else {
            out.push_str(&bullet(width, "  ", formula));
        }
    }
    if !grounds.inputs.is_empty() {
        out.push('\n');
        let mut table = TextTable::new(&[
            ("  ", TextAlign::Left),
            ("value", TextAlign::Left),
            ("what", TextAlign::Left),
            ("from", TextAlign::Left),
        ]);
        for input in &grounds.inputs {
            table.add_row(&[
                input.symbol.clone(),
                input.value.clone(),
                input.what.clone(),
                input.from.clone(),
            ]);
        }
        out.push_str(&table.to_text(width));
    }
    out.push_str(&heading("holds"));
    out.push_str(&bullet(width, "  ", &grounds.holds_for));
    out.push_str(&heading("source"));
    for source in &grounds.sources {
        out.push_str(&bullet(width, "  - ", source));
    }
    out.push_str(&heading("caution"));
    for caution in &grounds.cautions {
        out.push_str(&bullet(width, "  - ", caution));
    }
}
