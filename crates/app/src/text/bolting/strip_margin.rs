//! The margin against stripping as text.

use super::{figure, grounds};
use crate::bolting::Between;
use crate::bolting::figures::{COARSE, between, force, kept, torque};
use crate::bolting::strip_margin::{GivesWay, StripMarginAnswer};
use crate::text::table::bullet;
use bolting::TappedIn;

/// What a hole is tapped into, in words.
#[must_use]
pub const fn material(tapped_in: TappedIn) -> &'static str {
    match tapped_in {
        TappedIn::Steel => "steel",
        TappedIn::GreyIron => "grey iron",
        TappedIn::CastAluminium => "cast aluminium",
        TappedIn::Plastic => "plastic",
    }
}

/// The answer.
#[must_use]
pub fn strip_margin(answer: &StripMarginAnswer) -> String {
    let one = |figure: f64| Between::of(figure, figure);
    let mut out = String::new();
    let first = match answer.gives_way {
        GivesWay::BoltBreaks => "the bolt breaks before a thread strips",
        GivesWay::HoleStrips => "the thread in the HOLE strips before the bolt breaks",
        GivesWay::BoltStrips => "the BOLT's thread strips before it breaks",
    };
    figure(&mut out, "margin", &format!("{}: {first}", kept(answer.margin_ratio, COARSE)));
    let needed = format!(
        "{} mm; {} mm are engaged",
        kept(answer.needed_mm, COARSE),
        units::significant(answer.engagement_mm, 4)
    );
    figure(&mut out, "needed", &needed);
    figure(&mut out, "wire insert", &insert(answer));
    figure(&mut out, "strips at", &torque(answer.strips_at_n_m, COARSE));
    if let Some((n_m, margin)) = answer.torque_n_m.zip(answer.torque_margin_ratio) {
        let text = format!("strips at {} of {}", between(margin, COARSE, "times"), torque(one(n_m), 3));
        figure(&mut out, "tightened", &text);
    }
    let loads = format!(
        "hole strips at {}, bolt's thread at {}, bolt breaks at {}",
        force(one(answer.hole_strips_n), COARSE),
        force(one(answer.bolt_strips_n), COARSE),
        force(one(answer.bolt_breaks_n), COARSE)
    );
    figure(&mut out, "loads", &loads);
    out.push('\n');
    let what = format!(
        "{} of class {} in {}, {}",
        answer.thread,
        answer.class,
        material(answer.material),
        answer.friction.words()
    );
    out.push_str(&bullet("", &what));
    grounds(&mut out, &answer.why);
    out
}

fn insert(answer: &StripMarginAnswer) -> String {
    let mm = |mm: f64| units::significant(mm, 3);
    let stock = match answer.insert_stock_mm {
        Some(stock) => format!("one of {} mm holds more than the bolt", mm(stock)),
        None => String::from("none up to three diameters holds as much as the bolt"),
    };
    match answer.insert_mm {
        Some(length) => format!("{} mm are reckoned with; {stock}", mm(length)),
        None => stock,
    }
}
