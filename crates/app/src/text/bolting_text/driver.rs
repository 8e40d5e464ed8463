//! A driver's clutch as text: what to do first, then what each step does, then the plot.

use super::{push_figure, push_grounds};
use crate::bolting_answers::driver::{CalibrationAnswer, ClutchStepAnswer, plot_in_characters};
use crate::bolting_answers::figures::format_figure;
use crate::text::table::{PageWidth, TextAlign, TextTable, bullet, count_with_noun, heading, heading_in};
use bolting::driver::ScatterTrend;

/// A calibration.
#[must_use]
pub fn format_calibration(answer: &CalibrationAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    push_figure(&mut out, "driver", &format!("{} on {}", answer.driver, answer.joint), width);
    push_calibration(&mut out, answer, None, width);
    push_grounds(&mut out, &answer.why, width);
    out
}

/// The step for a torque.
#[must_use]
pub fn format_clutch_step(answer: &ClutchStepAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    let step = answer.step.map_or_else(|| String::from("none"), |s| s.to_string());
    push_figure(&mut out, "step", &step, width);
    push_figure(&mut out, "do", &answer.words, width);
    if let Some(upper) = answer.upper_n_m {
        let text = format!(
            "99 of 100 stay below {} N·m, with 95 % confidence; {} N·m is wanted",
            format_figure(upper, 3),
            units::significant(answer.torque_n_m, 4)
        );
        push_figure(&mut out, "reaches", &text, width);
    }
    if let Some(more) = answer.more {
        let run_downs = count_with_noun(more.run_downs as usize, "more run-down");
        let fasteners = if more.run_downs == 1 { "a fresh fastener" } else { "fresh fasteners" };
        let text = format!("{run_downs} on {fasteners} could allow step {}", more.step);
        push_figure(&mut out, "more", &text, width);
    }
    push_figure(
        &mut out,
        "driver",
        &format!("{} on {}", answer.calibration.driver, answer.calibration.joint),
        width,
    );
    push_calibration(&mut out, &answer.calibration, Some(answer.torque_n_m), width);
    push_grounds(&mut out, &answer.calibration.why, width);
    out
}

fn push_calibration(out: &mut String, answer: &CalibrationAnswer, limit_n_m: Option<f64>, width: PageWidth) {
    let on = |day: &Option<String>| day.as_ref().map_or_else(String::new, |d| format!(", the newest on {d}"));
    push_figure(out, "readings", &format!("{}{}", answer.readings, on(&answer.calibrated_on)), width);
    push_figure(
        out,
        "checks",
        &format!("{}{}; {}", answer.checks, on(&answer.checked_on), answer.drift),
        width,
    );
    if let Some(words) = &answer.no_calibration {
        push_figure(out, "too few", words, width);
    }
    if let Some(scatter) = answer.scatter {
        let scatter = match scatter {
            ScatterTrend::Even => "rather even over the steps",
            ScatterTrend::Growing => "rather growing with the torque",
        };
        push_figure(
            out,
            "model",
            &format!("each step on its own readings; their scatter is {scatter}"),
            width,
        );
        push_clutch_steps(out, answer, width);
    }
    out.push_str(&heading("readings"));
    out.push_str(&plot_in_characters(answer, limit_n_m, width));
}

fn push_clutch_steps(out: &mut String, answer: &CalibrationAnswer, width: PageWidth) {
    out.push_str(&heading_in("what each step does", "N·m"));
    let right = TextAlign::Right;
    let mut table = TextTable::new(&[
        ("step", right),
        ("mean", right),
        ("scatter", right),
        ("99 % above", right),
        ("99 % below", right),
    ]);
    for line in &answer.steps {
        table.add_row(&[
            line.step.to_string(),
            format_figure(line.mean_n_m, 3),
            format_figure(line.scatter_n_m, 2),
            format_figure(line.lower_n_m, 3),
            format_figure(line.upper_n_m, 3),
        ]);
    }
    out.push_str(&table.to_text(width));
    out.push_str(&bullet(width, "", "bounds with 95 % confidence"));
}
