//! Answers about fasteners as text: the figure first, then why, then sources and cautions.

mod driver;
mod mix_up;
mod pattern;
mod preload;
mod strip_margin;
mod torque;
mod why;
mod wrench;

pub use driver::{driver, driver_step};
pub use mix_up::{matrix, mix_up};
pub use pattern::pattern;
pub use preload::preload;
pub use strip_margin::strip_margin;
pub use torque::torque;
pub use why::why;
pub use wrench::wrench;

use super::table::{Align, COLUMNS, Table, bullet, heading};
use crate::bolting::Grounds;

/// Width of the names before the leading figures.
const NAME: usize = 13;

/// A leading figure: its name, then the figure.
fn figure(out: &mut String, name: &str, text: &str) {
    let pad = " ".repeat(NAME.saturating_sub(name.chars().count()));
    out.push_str(&bullet(&format!("{name}{pad}"), text));
}

/// Everything below the leading figures.
fn grounds(out: &mut String, grounds: &Grounds) {
    out.push_str(&heading("why"));
    for formula in &grounds.formula {
        // A formula keeps the spaces that line it up; words are wrapped.
        if formula.chars().count() + 2 <= COLUMNS {
            out.push_str(&format!("  {formula}\n"));
        } else {
            out.push_str(&bullet("  ", formula));
        }
    }
    if !grounds.inputs.is_empty() {
        out.push('\n');
        let mut table = Table::new(&[
            ("  ", Align::Left),
            ("value", Align::Left),
            ("what", Align::Left),
            ("from", Align::Left),
        ]);
        for input in &grounds.inputs {
            table.row(&[input.symbol.clone(), input.value.clone(), input.what.clone(), input.from.clone()]);
        }
        out.push_str(&table.show());
    }
    out.push_str(&heading("holds"));
    out.push_str(&bullet("  ", &grounds.holds_for));
    out.push_str(&heading("source"));
    for source in &grounds.sources {
        out.push_str(&bullet("  - ", source));
    }
    out.push_str(&heading("caution"));
    for caution in &grounds.cautions {
        out.push_str(&bullet("  - ", caution));
    }
}
