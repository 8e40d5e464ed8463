//! A driver's clutch as text: what to do first, then what each step does, then the plot.

use super::{figure, grounds};
use crate::bolting::driver::{ShowAnswer, StepAnswer, characters};
use crate::bolting::figures::kept;
use crate::text::table::{Align, Table, bullet, heading};
use bolting::driver::{Scatter, Shape};

/// A calibration.
#[must_use]
pub fn driver(answer: &ShowAnswer) -> String {
    let mut out = String::new();
    figure(&mut out, "driver", &format!("{} on {}", answer.driver, answer.joint));
    calibration(&mut out, answer, None);
    grounds(&mut out, &answer.why);
    out
}

/// The step for a torque.
#[must_use]
pub fn driver_step(answer: &StepAnswer) -> String {
    let mut out = String::new();
    let step = answer.step.map_or_else(|| String::from("none"), |s| s.to_string());
    figure(&mut out, "step", &step);
    figure(&mut out, "do", &answer.words);
    if let Some(upper) = answer.upper_n_m {
        let text = format!(
            "99 of 100 stay below {} N·m, with 95 % confidence; {} N·m are wanted",
            kept(upper, 3),
            units::significant(answer.torque_n_m, 4)
        );
        figure(&mut out, "reaches", &text);
    }
    if let Some(more) = answer.more {
        let text =
            format!("{} more run-downs on fresh fasteners could allow step {}", more.run_downs, more.step);
        figure(&mut out, "more", &text);
    }
    figure(&mut out, "driver", &format!("{} on {}", answer.calibration.driver, answer.calibration.joint));
    calibration(&mut out, &answer.calibration, Some(answer.torque_n_m));
    grounds(&mut out, &answer.calibration.why);
    out
}

fn calibration(out: &mut String, answer: &ShowAnswer, limit_n_m: Option<f64>) {
    let on = |day: &Option<String>| day.as_ref().map_or_else(String::new, |d| format!(", the newest of {d}"));
    figure(out, "readings", &format!("{}{}", answer.readings, on(&answer.calibrated_on)));
    figure(out, "checks", &format!("{}{}; {}", answer.checks, on(&answer.checked_on), answer.drift));
    if let Some(words) = &answer.no_calibration {
        figure(out, "too little", words);
    }
    if let Some((shape, scatter)) = answer.shape.zip(answer.scatter) {
        let shape = match shape {
            Shape::Line => "a straight line over the steps",
            Shape::Stairs => "each step on its own, for no line fits",
        };
        let scatter = match scatter {
            Scatter::Even => "even scatter",
            Scatter::Growing => "scatter that grows with the torque",
        };
        figure(out, "model", &format!("{shape}, {scatter}"));
        steps(out, answer);
    }
    out.push_str(&heading("readings"));
    out.push_str(&characters(answer, limit_n_m));
}

fn steps(out: &mut String, answer: &ShowAnswer) {
    out.push_str(&heading("what each step does, N·m"));
    let right = Align::Right;
    let mut table = Table::new(&[
        ("step", right),
        ("mean", right),
        ("scatter", right),
        ("99 % above", right),
        ("99 % below", right),
    ]);
    for line in &answer.steps {
        table.row(&[
            line.step.to_string(),
            kept(line.mean_n_m, 3),
            kept(line.scatter_n_m, 2),
            kept(line.lower_n_m, 3),
            kept(line.upper_n_m, 3),
        ]);
    }
    out.push_str(&table.show());
    out.push_str(&bullet("", "bounds with 95 % confidence"));
}
