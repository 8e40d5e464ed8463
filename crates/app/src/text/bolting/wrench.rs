//! The setting of a torque wrench as text.

use super::{figure, grounds};
use crate::bolting::figures::{FINE, kept, signed_percent, with_unit};
use crate::bolting::wrench::{InRange, OnScale, WrenchAnswer};
use crate::bolting::wrenches::WrenchLine;
use crate::text::table::{Align, Table, bullet, heading};
use bolting::wrench::Fit;

/// The answer.
#[must_use]
pub fn wrench(answer: &WrenchAnswer) -> String {
    let mut out = String::new();
    figure(&mut out, "set", &setting(answer));
    if let Some(scale) = &answer.on_scale {
        figure(&mut out, "on its scale", &on_scale(scale));
    }
    if let Some(range) = &answer.in_range {
        figure(&mut out, "wrench", &in_range(range));
    }
    if let Some(adapter) = &answer.adapter {
        let off = adapter.uncorrected_n_m / answer.torque_n_m - 1.0;
        let actual = with_unit(adapter.uncorrected_n_m, FINE, "N·m");
        figure(&mut out, "uncorrected", &format!("{actual} at the fastener, {}", signed_percent(off)));
    }
    if let Some(joint) = &answer.behind_joint {
        let off = |n_m: f64| signed_percent(n_m / answer.torque_n_m - 1.0);
        let text = format!(
            "{} to {} N·m at the fastener ({} to {}), {} on average",
            kept(joint.least_n_m, FINE),
            kept(joint.greatest_n_m, FINE),
            off(joint.least_n_m),
            off(joint.greatest_n_m),
            with_unit(joint.mean_n_m, FINE, "N·m")
        );
        figure(&mut out, "joint", &text);
    }
    wrenches(&mut out, answer);
    grounds(&mut out, &answer.why);
    out
}

fn setting(answer: &WrenchAnswer) -> String {
    let n_m = with_unit(answer.setting_n_m, FINE, "N·m");
    if answer.unit_given == "N·m" {
        return n_m;
    }
    format!("{} ({n_m})", with_unit(answer.setting_in_unit_given, FINE, answer.unit_given))
}

fn on_scale(scale: &OnScale) -> String {
    let mark = units::significant(scale.setting_in_unit_of_scale, 6);
    format!(
        "{mark} {}; rounding makes it {} ({} at the fastener)",
        scale.unit_of_scale,
        signed_percent(scale.error_fraction),
        with_unit(scale.at_fastener_n_m, FINE, "N·m")
    )
}

fn in_range(range: &InRange) -> String {
    let usable = format!(
        "usable from {} to {} N·m",
        kept(range.usable_from_n_m, 2),
        units::significant(range.full_scale_n_m, 4)
    );
    let fit = match range.fit {
        Fit::Good => "the setting lies in its best part",
        Fit::Usable => "the setting lies inside",
        Fit::TooLow => "the setting lies BELOW",
        Fit::CannotReach => "the setting lies ABOVE",
    };
    format!("{usable}: {fit}")
}

/// The wrenches of the store that do it, best first, then those that do not.
fn wrenches(out: &mut String, answer: &WrenchAnswer) {
    if answer.wrenches.is_empty() {
        return;
    }
    out.push_str(&heading("your own wrenches, the best first; N·m"));
    let (right, left) = (Align::Right, Align::Left);
    let heads = [("set", right), ("at fastener", right), ("tool", right), ("wrench", left), ("where", left)];
    let mut table = Table::new(&heads);
    for line in answer.wrenches.iter().filter(|l| l.unfit.is_none()) {
        table.row(&[
            line.mark_n_m.map_or_else(String::new, |n_m| units::significant(n_m, 4)),
            line.at_fastener().replace(" N·m", ""),
            format!("±{} %", units::significant(line.tool_fraction * 100.0, 2)),
            format!("{}{}", line.title, away(line)),
            line.place.clone(),
        ]);
    }
    if table.is_empty() {
        out.push_str("none does it\n");
    } else {
        out.push_str(&table.show());
    }
    for line in &answer.wrenches {
        if let Some(unfit) = &line.unfit {
            out.push_str(&bullet("  - not ", &format!("{}: {unfit}", line.title)));
        }
    }
    let spread = answer.wrenches.first().and_then(|l| l.preload_deviation_fraction);
    if let Some(spread) = spread {
        let whole = units::math::round(spread * 100.0);
        out.push_str(&bullet(
            "",
            &format!("With friction estimated the preload is ±{whole} %, whichever of these is taken."),
        ));
    }
}

fn away(line: &WrenchLine) -> &'static str {
    if line.is_at_hand { "" } else { " (NOT AT HAND)" }
}
