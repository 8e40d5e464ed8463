//! Answers about fasteners as text: the figure first, then why, then sources and cautions.

mod preload;
mod torque;
mod wrench;

pub use preload::preload;
pub use torque::torque;
pub use wrench::wrench;

use super::table::{Align, Table, bullet, heading};
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
        out.push_str(&format!("  {formula}\n"));
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
            let symbol = format!("  {}", input.symbol);
            table.row(&[symbol, input.value.clone(), input.what.clone(), input.from.clone()]);
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
