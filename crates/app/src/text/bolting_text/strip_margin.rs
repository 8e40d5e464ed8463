//! The margin against stripping as text.

use super::{push_figure, push_grounds};
use crate::bolting_answers::FigureRange;
use crate::bolting_answers::figures::{
    COARSE, format_figure, format_force_range, format_range, format_torque_range,
};
use crate::bolting_answers::strip_margin::{FirstFailure, StripMarginAnswer};
use crate::text::table::{PageWidth, bullet};

/// The answer.
#[must_use]
pub fn format_strip_margin(answer: &StripMarginAnswer, width: PageWidth) -> String {
    let one = |figure: f64| FigureRange::from_ends(figure, figure);
    let mut out = String::new();
    let first = match answer.gives_way {
        FirstFailure::BoltBreaks => "even a strong bolt breaks before a thread strips",
        FirstFailure::HoleStrips => "the thread in the HOLE strips before a strong bolt breaks",
        FirstFailure::BoltStrips => "a strong BOLT's thread strips before it breaks",
    };
    push_figure(
        &mut out,
        "margin",
        &format!("{}: {first}", format_figure(answer.margin_ratio, COARSE)),
        width,
    );
    let needed = format!(
        "{} mm; {} mm engaged",
        format_figure(answer.needed_mm, COARSE),
        units::significant(answer.engagement_mm, 4)
    );
    push_figure(&mut out, "needed", &needed, width);
    push_figure(&mut out, "wire insert", &insert_words(answer), width);
    push_figure(&mut out, "strips at", &format_torque_range(answer.strips_at_n_m, COARSE), width);
    if let Some((n_m, margin)) = answer.torque_n_m.zip(answer.torque_margin_ratio) {
        let text = format!(
            "strips at {} {}",
            format_range(margin, COARSE, "times"),
            format_torque_range(one(n_m), 3)
        );
        push_figure(&mut out, "tightened", &text, width);
    }
    let loads = format!(
        "hole strips at {}, bolt's thread at {}; a strong bolt breaks at {}",
        format_force_range(one(answer.hole_strips_n), COARSE),
        format_force_range(one(answer.bolt_strips_n), COARSE),
        format_force_range(one(answer.bolt_breaks_n), COARSE)
    );
    push_figure(&mut out, "loads", &loads, width);
    out.push('\n');
    let what = format!(
        "{} of class {} in {}, {}",
        answer.thread,
        answer.class,
        answer.material.spoken_word(),
        answer.friction.words()
    );
    out.push_str(&bullet(width, "", &what));
    push_grounds(&mut out, &answer.why, width);
    out
}

fn insert_words(answer: &StripMarginAnswer) -> String {
    let mm = |mm: f64| units::significant(mm, 3);
    let stock = match answer.insert_stock_mm {
        Some(stock) => format!("one of {} mm holds more than a strong bolt", mm(stock)),
        None => String::from("none up to three diameters holds as much as a strong bolt"),
    };
    let Some(length_mm) = answer.insert_mm else { return stock };
    let holds = match answer.gives_way {
        FirstFailure::BoltBreaks => "holds more than a strong bolt",
        FirstFailure::HoleStrips => "tears out before a strong bolt breaks",
        FirstFailure::BoltStrips => "holds more than the bolt's own thread",
    };
    let carries = if length_mm > answer.engagement_mm {
        format!(", for no more than the {} mm engaged carry", mm(answer.engagement_mm))
    } else {
        String::new()
    };
    format!("this one of {} mm {holds}{carries}; {stock}", mm(length_mm))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bolting_answers::strip_margin::{StripMarginRequest, compute_strip_margin};

    fn answered(class: &str, engagement: &str, insert: &str) -> StripMarginAnswer {
        let asked = StripMarginRequest {
            thread: String::from("M8"),
            class: class.into(),
            engagement: engagement.into(),
            material: String::from("cast-aluminium"),
            insert: Some(insert.into()),
            ..StripMarginRequest::default()
        };
        compute_strip_margin(&asked).expect("a sound question")
    }

    /// A wire insert carries no more than is engaged: 12 mm hold 37.7 kN in cast aluminium (worked in `bolting::insert`), 20 mm with 12 engaged
    /// no more.
    #[test]
    fn an_insert_carries_no_more_than_is_engaged() {
        let (fits, long) = (answered("8.8", "12 mm", "12 mm"), answered("8.8", "12 mm", "20 mm"));
        assert_eq!((fits.hole_strips_n, fits.margin_ratio), (long.hole_strips_n, long.margin_ratio));
        assert!((fits.hole_strips_n / 37_700.0 - 1.0).abs() < 0.005, "{}", fits.hole_strips_n);
        assert!(insert_words(&long).contains("for no more than the 12 mm engaged carry"));
        assert!(!insert_words(&fits).contains("engaged"));
    }

    /// A strong 10.9 breaks at 1.2 times 38.1 kN, above what 12 mm of insert hold; a strong 8.8 at 35 kN, below it.
    #[test]
    fn an_insert_is_called_stronger_only_where_it_is() {
        let weak = insert_words(&answered("10.9", "12 mm", "12 mm"));
        assert!(weak.starts_with("this one of 12 mm tears out before a strong bolt breaks"), "{weak}");
        let strong = insert_words(&answered("8.8", "12 mm", "12 mm"));
        assert!(
            strong.starts_with("this one of 12 mm holds more than a strong bolt; one of 12 mm"),
            "{strong}"
        );
    }
}
