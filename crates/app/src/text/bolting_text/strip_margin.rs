//! The margin against stripping as text.

use super::{push_figure, push_grounds};
use crate::bolting_answers::FigureRange;
use crate::bolting_answers::figures::{
    COARSE, format_figure, format_force_range, format_range, format_torque_range,
};
use crate::bolting_answers::strip_margin::{FirstFailure, StripMarginAnswer};
use crate::text::table::bullet;

/// The answer.
#[must_use]
pub fn format_strip_margin(answer: &StripMarginAnswer) -> String {
    let one = |figure: f64| FigureRange::from_ends(figure, figure);
    let mut out = String::new();
    let first = match answer.gives_way {
        FirstFailure::BoltBreaks => "even a strong bolt breaks before a thread strips",
        FirstFailure::HoleStrips => "the thread in the HOLE strips before a strong bolt breaks",
        FirstFailure::BoltStrips => "a strong BOLT's thread strips before it breaks",
    };
    push_figure(&mut out, "margin", &format!("{}: {first}", format_figure(answer.margin_ratio, COARSE)));
    let needed = format!(
        "{} mm; {} mm engaged",
        format_figure(answer.needed_mm, COARSE),
        units::significant(answer.engagement_mm, 4)
    );
    push_figure(&mut out, "needed", &needed);
    push_figure(&mut out, "wire insert", &insert_words(answer));
    push_figure(&mut out, "strips at", &format_torque_range(answer.strips_at_n_m, COARSE));
    if let Some((n_m, margin)) = answer.torque_n_m.zip(answer.torque_margin_ratio) {
        let text = format!(
            "strips at {} of {}",
            format_range(margin, COARSE, "times"),
            format_torque_range(one(n_m), 3)
        );
        push_figure(&mut out, "tightened", &text);
    }
    let loads = format!(
        "hole strips at {}, bolt's thread at {}; a strong bolt breaks at {}",
        format_force_range(one(answer.hole_strips_n), COARSE),
        format_force_range(one(answer.bolt_strips_n), COARSE),
        format_force_range(one(answer.bolt_breaks_n), COARSE)
    );
    push_figure(&mut out, "loads", &loads);
    out.push('\n');
    let what = format!(
        "{} of class {} in {}, {}",
        answer.thread,
        answer.class,
        answer.material.spoken_word(),
        answer.friction.words()
    );
    out.push_str(&bullet("", &what));
    push_grounds(&mut out, &answer.why);
    out
}

fn insert_words(answer: &StripMarginAnswer) -> String {
    let mm = |mm: f64| units::significant(mm, 3);
    let stock = match answer.insert_stock_mm {
        Some(stock) => format!("one of {} mm holds more than a strong bolt", mm(stock)),
        None => String::from("none up to three diameters holds as much as a strong bolt"),
    };
    match answer.insert_mm {
        Some(length) => format!("an insert of {} mm is stronger than the bolt {stock}", mm(length)),
        None => stock,
    }
}
