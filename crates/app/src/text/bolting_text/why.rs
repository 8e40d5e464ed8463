//! Why this figure, as text: the figure, its effect, and the reasons against it.

use super::{push_figure, push_grounds};
use crate::bolting_answers::FigureRange;
use crate::bolting_answers::figures::{
    COARSE, format_figure, format_force_range, format_percent_range, format_torque_range,
};
use crate::bolting_answers::why::{AngleReasons, FixingReasons, StepReasons};
use crate::text::table::{PageWidth, bullet, heading};
use bolting::angle::YieldReach;
use units::significant;

/// The answer.
#[must_use]
pub fn format_step_reasons(answer: &StepReasons, width: PageWidth) -> String {
    let mut out = String::new();
    out.push_str(&bullet(width, "", &format!("step {}: {}", answer.step, answer.text)));
    for fixing in &answer.fixings {
        push_fixing_reasons(&mut out, fixing, width);
    }
    push_grounds(&mut out, &answer.why, width);
    out
}

fn push_fixing_reasons(out: &mut String, fixing: &FixingReasons, width: PageWidth) {
    out.push_str(&heading(&format!("{} ({})", fixing.title, fixing.size)));
    for pass in &fixing.passes {
        push_figure(
            out,
            &format!("pass {}", pass.pass),
            &format!("{} with {}", pass.figure, pass.stack),
            width,
        );
        if let Some(setting) = pass.setting_n_m {
            let set = pass.mark_n_m.map_or_else(|| format_figure(setting, 3), |mark| significant(mark, 4));
            push_figure(out, "  set", &format!("{set} N·m; correction {}", pass.correction), width);
        }
        if let Some(lever) = &pass.lever {
            push_figure(out, "  lever", &lever.words(), width);
            if let Some(doubt) = lever.doubt {
                push_figure(out, "  may be", &doubt.words(), width);
            }
        }
    }
    push_figure(out, "figure from", &fixing.source, width);
    push_preload(out, fixing, width);
    if let Some(angle) = &fixing.angle {
        push_angle(out, angle, width);
    }
    if let Some(words) = fixing.strip_words() {
        push_figure(out, "strip margin", &words, width);
    }
    if let Some((range, judged)) = fixing.plausible_n_m.zip(fixing.plausible) {
        push_figure(
            out,
            "verdict",
            &format!("{judged}; the band of its thread is {}", format_torque_range(range, COARSE)),
            width,
        );
        for ground in &fixing.grounds {
            push_figure(out, "  ground", &ground.words, width);
        }
    }
    if let Some(seal) = fixing.seal {
        push_figure(out, "seal", seal, width);
    }
    if let Some(reuse) = fixing.reuse {
        push_figure(out, "fastener", reuse, width);
    }
}

fn push_preload(out: &mut String, fixing: &FixingReasons, width: PageWidth) {
    let Some(words) = fixing.preload_words() else {
        push_figure(
            out,
            "preload",
            "not worked out: the book has no torque, or it is not a solid bolt, stud, screw or nut",
            width,
        );
        return;
    };
    push_figure(out, "preload", &words, width);
    let allowed = FigureRange::from_ends(fixing.allowed_fraction, fixing.allowed_fraction);
    let because =
        format!("{}, torque ± {}; settling 5 %", fixing.friction.words(), format_percent_range(allowed));
    push_figure(out, "  because", &because, width);
    if let Some(share) = fixing.of_yield_fraction {
        push_figure(
            out,
            "  at most",
            &format!("{} of yield", format_percent_range(FigureRange::from_ends(share, share))),
            width,
        );
    }
}

fn push_angle(out: &mut String, angle: &AngleReasons, width: PageWidth) {
    let reach = match angle.reach {
        YieldReach::Elastic => "below yield throughout",
        YieldReach::MayYield => "may go beyond yield",
        YieldReach::Yields => "goes beyond yield, as intended by such figures",
        YieldReach::Doubtful => "far beyond the calculated strength of the bolt: doubtful",
    };
    let text = format!(
        "{}° more: {}; first yield after {}°; {} felt at the end; {reach}",
        significant(angle.angle_deg, 3),
        format_force_range(angle.preload_n, COARSE),
        format_figure(angle.first_yield_deg, COARSE),
        format_torque_range(angle.end_torque_n_m, COARSE)
    );
    push_figure(out, "angle", &text, width);
}
