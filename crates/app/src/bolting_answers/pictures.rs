//! Pictures of answers: the preload as a bar beside its limits, wrench and adapter as seen from above.

use super::preload::PreloadAnswer;
use super::tightening_verdict::PreloadEnd;
use super::why::FixingReasons;
use super::wrench::WrenchAnswer;
use super::{FigureRange, figures};
use print::svg::write_svg;
use print::{
    LeverLengthView, LoadLimitView, PreloadBarEnd, PreloadBarView, WrenchAboveView, draw_preload_bar,
    draw_wrench_above,
};

/// The preload of a fixing beside its limits; `None` where no preload or no limit is known.
#[must_use]
pub fn draw_fixing_preload(reasons: &FixingReasons) -> Option<String> {
    let preload = reasons.preload_n.filter(|_| !reasons.limits.is_empty())?;
    let end = match reasons.preload_end {
        PreloadEnd::Stated => PreloadBarEnd::Closed,
        PreloadEnd::NotKnown => PreloadBarEnd::NotKnown,
        PreloadEnd::MayBreak | PreloadEnd::BreaksWhereSlippery | PreloadEnd::Breaks => PreloadBarEnd::Breaks,
    };
    let torque =
        reasons.torque_n_m.map_or_else(String::new, |n_m| format!(": {} N·m", units::significant(n_m, 3)));
    let limit = |name: &str, load_n: f64| LoadLimitView { name: name.to_owned(), load_n };
    Some(write_svg(&draw_preload_bar(&PreloadBarView {
        id: format!("preload-{}", reasons.fixing),
        title: format!("{}, {}{torque}", reasons.title, reasons.size),
        preload_n: (preload.low, preload.high),
        end,
        limits: reasons.limits.iter().map(|known| limit(known.name, known.load_n)).collect(),
    })))
}

/// The preload of an answer beside proof load and breaking load.
#[must_use]
pub fn draw_preload_answer(answer: &PreloadAnswer) -> String {
    let limit = |name: &str, load_n: f64| LoadLimitView { name: name.to_owned(), load_n };
    let proof = answer.proof_load_n.map(|load_n| limit("proof load", load_n));
    let breaks = if answer.class.is_some() { "a strong bolt breaks" } else { "the strongest class breaks" };
    let class = answer.class.map_or_else(String::new, |class| format!(", {class}"));
    let torque = figures::format_torque_range(answer.torque_range_n_m, answer.friction.digits());
    // One friction has a scatter, which is what the bolt may end up with.
    let range: FigureRange = answer.scatter.as_ref().map_or(answer.preload_range_n, |s| s.preload_n);
    write_svg(&draw_preload_bar(&PreloadBarView {
        id: String::from("preload"),
        title: format!("{}{class}: {torque}", answer.thread),
        preload_n: (range.low, range.high),
        end: if answer.may_break { PreloadBarEnd::Breaks } else { PreloadBarEnd::Closed },
        limits: proof.into_iter().chain([limit(breaks, answer.breaks_at_n)]).collect(),
    }))
}

/// Wrench and adapter of an answer as seen from above; without an adapter the wrench alone, its lever dashed, for it does not count.
#[must_use]
pub fn draw_wrench_answer(answer: &WrenchAnswer) -> String {
    let best = answer.best_wrench();
    let with = best.map_or_else(String::new, |line| format!(" with {}", line.title));
    let set_n_m = best.and_then(|line| line.mark_n_m).unwrap_or(answer.setting_n_m);
    let measured = |length_mm: f64| LeverLengthView { length_mm, is_guessed: false };
    let lever = match &answer.adapter {
        Some(adapter) => {
            LeverLengthView { length_mm: adapter.length_mm, is_guessed: adapter.doubt.is_some() }
        }
        None => LeverLengthView {
            length_mm: best.map_or(USUAL_LEVER_MM, |line| line.length_mm),
            is_guessed: true,
        },
    };
    let torque =
        format!("{} {}", units::significant(answer.torque_n_m / unit_factor(answer), 4), answer.unit_given);
    write_svg(&draw_wrench_above(&WrenchAboveView {
        id: String::from("wrench"),
        title: format!("{torque}{with}"),
        setting: format!("{} N·m", units::significant(set_n_m, 4)),
        torque,
        lever,
        adapter: answer.adapter.as_ref().map(|adapter| measured(adapter.offset_mm)),
        angle_deg: answer.adapter.as_ref().map_or(0.0, |adapter| adapter.angle_deg),
    }))
}

/// Lever that is drawn where none is known and none counts (assumption: between a quarter-inch and a half-inch wrench).
const USUAL_LEVER_MM: f64 = 250.0;

/// Newton metres in the unit that the torque was written in.
fn unit_factor(answer: &WrenchAnswer) -> f64 {
    units::Torque::UNITS.iter().find(|unit| unit.symbol == answer.unit_given).map_or(1.0, |unit| unit.factor)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bolting_answers::preload::{PreloadRequest, compute_preload};
    use crate::bolting_answers::wrench::{WrenchRequest, compute_wrench_setting};

    fn some(text: &str) -> Option<String> {
        Some(text.to_owned())
    }

    #[test]
    fn a_preload_is_drawn_beside_proof_and_breaking() {
        let asked = PreloadRequest {
            thread: String::from("M8"),
            class: some("8.8"),
            lubrication: some("oiled"),
            torque: some("25 N·m"),
            ..PreloadRequest::default()
        };
        let answer = compute_preload(&asked).expect("a sound question");
        let drawn = draw_preload_answer(&answer);
        assert!(
            drawn.contains("proof load 21 kN, REACHED") && drawn.contains("a strong bolt breaks"),
            "{drawn}"
        );
        assert!(drawn.contains("M8, 8.8: 25 N·m"), "{drawn}");
    }

    #[test]
    fn a_wrench_is_drawn_with_its_lengths_and_angle() {
        let asked = WrenchRequest {
            torque: String::from("135 lbf·in"),
            length: some("10 in"),
            offset: some("1.5 in"),
            angle: some("180°"),
            ..WrenchRequest::default()
        };
        let drawn = draw_wrench_answer(&compute_wrench_setting(&asked, None).expect("a sound question"));
        assert!(drawn.contains("set 17.94 N·m") && drawn.contains("135 lbf·in at the fastener"), "{drawn}");
        assert!(
            drawn.contains("L 254 mm<") && drawn.contains("E 38.1 mm, 180° from straight ahead"),
            "{drawn}"
        );
    }
}
