//! The setting of a torque wrench as text.

use super::{push_figure, push_grounds};
use crate::bolting_answers::figures::{FINE, format_figure, signed_percent, with_unit};
use crate::bolting_answers::wrench::{ScaleSetting, SettingRange, WrenchAnswer};
use crate::bolting_answers::wrenches::WrenchLine;
use crate::text::table::{PageWidth, TextAlign, TextTable, bullet, heading};
use bolting::wrench::WrenchFit;

/// The answer.
#[must_use]
pub fn format_wrench(answer: &WrenchAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    push_figure(&mut out, "set", &wrench_setting_words(answer), width);
    if let Some(scale) = &answer.on_scale {
        push_figure(&mut out, "on its scale", &scale_words(scale), width);
    }
    if let Some(range) = &answer.in_range {
        push_figure(&mut out, "wrench", &usable_range_words(range), width);
    }
    if let Some(doubt) = answer.adapter.as_ref().and_then(|adapter| adapter.doubt) {
        push_figure(&mut out, "may be", &doubt.words(), width);
    }
    if let Some(adapter) = &answer.adapter {
        let off = adapter.uncorrected_n_m / answer.torque_n_m - 1.0;
        let actual = with_unit(adapter.uncorrected_n_m, FINE, "N·m");
        push_figure(
            &mut out,
            "uncorrected",
            &format!("{actual} at the fastener, {}", signed_percent(off)),
            width,
        );
    }
    if let Some(joint) = &answer.behind_joint {
        let off = |n_m: f64| signed_percent(n_m / answer.torque_n_m - 1.0);
        let text = format!(
            "{} to {} N·m at the fastener ({} to {}), {} on average",
            format_figure(joint.least_n_m, FINE),
            format_figure(joint.greatest_n_m, FINE),
            off(joint.least_n_m),
            off(joint.greatest_n_m),
            with_unit(joint.mean_n_m, FINE, "N·m")
        );
        push_figure(&mut out, "joint", &text, width);
    }
    push_wrenches(&mut out, answer, width);
    push_grounds(&mut out, &answer.why, width);
    out
}

/// What to set: the mark of the wrench that is taken, else the exact setting.
fn wrench_setting_words(answer: &WrenchAnswer) -> String {
    let is_on_its_lever =
        |line: &&WrenchLine| answer.adapter.as_ref().is_none_or(|a| a.length_mm == line.length_mm);
    let best = answer.best_wrench().filter(is_on_its_lever);
    if let Some((line, mark_n_m)) = best.and_then(|line| Some((line, line.mark_n_m?))) {
        let mark = units::significant(mark_n_m, 4);
        return format!("{mark} N·m on {}{}", line.title, at_hand_words(line));
    }
    let n_m = with_unit(answer.setting_n_m, FINE, "N·m");
    let setting = if answer.unit_given == "N·m" {
        n_m
    } else {
        format!("{} ({n_m})", with_unit(answer.setting_in_unit_given, FINE, answer.unit_given))
    };
    if answer.wrenches.is_empty() {
        setting
    } else {
        format!("none of the store's wrenches; {setting} on one that suits it")
    }
}

fn scale_words(scale: &ScaleSetting) -> String {
    let mark = units::significant(scale.setting_in_unit_of_scale, 6);
    format!(
        "{mark} {}; rounding changes it by {} ({} at the fastener)",
        scale.unit_of_scale,
        signed_percent(scale.error_fraction),
        with_unit(scale.at_fastener_n_m, FINE, "N·m")
    )
}

fn usable_range_words(range: &SettingRange) -> String {
    let usable = format!(
        "usable from {} to {} N·m",
        format_figure(range.usable_from_n_m, 2),
        units::significant(range.full_scale_n_m, 4)
    );
    let fit = match range.fit {
        WrenchFit::Good => "the setting is in the best part of that range",
        WrenchFit::Usable => "the setting is within it",
        WrenchFit::TooLow => "the setting is BELOW it",
        WrenchFit::CannotReach => "the setting is ABOVE it",
    };
    format!("{usable}: {fit}")
}

/// The wrenches of the store that do it, best first, then those that do not.
fn push_wrenches(out: &mut String, answer: &WrenchAnswer, width: PageWidth) {
    if answer.wrenches.is_empty() {
        return;
    }
    out.push_str(&heading("your own wrenches, the best first; N·m"));
    let (right, left) = (TextAlign::Right, TextAlign::Left);
    let heads = [("set", right), ("at fastener", right), ("tool", right), ("wrench", left), ("where", left)];
    let mut table = TextTable::new(&heads);
    for line in answer.wrenches.iter().filter(|l| l.unfit.is_none()) {
        table.add_row(&[
            line.mark_n_m.map_or_else(String::new, |n_m| units::significant(n_m, 4)),
            line.at_fastener().replace(" N·m", ""),
            format!("±{} %", units::significant(line.tool_fraction * 100.0, 2)),
            format!("{}{}", line.title, at_hand_words(line)),
            line.place.clone(),
        ]);
    }
    if table.is_empty() {
        out.push_str("none is suitable\n");
    } else {
        out.push_str(&table.to_text(width));
    }
    for line in &answer.wrenches {
        if let Some(unfit) = &line.unfit {
            out.push_str(&bullet(width, "  - not ", &format!("{}: {unfit}", line.title)));
        }
    }
    let spread = answer.wrenches.first().and_then(|l| l.preload_deviation_fraction);
    if let Some(spread) = spread {
        let whole = units::math::round(spread * 100.0);
        out.push_str(&bullet(
width,
            "",
            &format!("With friction only estimated, the preload is uncertain by ±{whole} %, whichever wrench is used."),
        ));
    }
}

fn at_hand_words(line: &WrenchLine) -> &'static str {
    if line.is_at_hand { "" } else { " (NOT AT HAND)" }
}
