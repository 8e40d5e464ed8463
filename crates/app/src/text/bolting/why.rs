//! Why this figure, as text: the figure, what it does, what stands against it.

use super::{figure, grounds};
use crate::bolting::Between;
use crate::bolting::figures::{COARSE, force, kept, percent, torque};
use crate::bolting::strip_margin::GivesWay;
use crate::bolting::why::{AngleWhy, FixingWhy, Why};
use crate::text::table::{bullet, heading};
use bolting::angle::Reach;

/// The answer.
#[must_use]
pub fn why(answer: &Why) -> String {
    let mut out = String::new();
    out.push_str(&bullet("", &format!("step {}: {}", answer.step, answer.text)));
    for fixing in &answer.fixings {
        one(&mut out, fixing);
    }
    grounds(&mut out, &answer.why);
    out
}

fn one(out: &mut String, fixing: &FixingWhy) {
    out.push_str(&heading(&format!("{} ({})", fixing.title, fixing.size)));
    for pass in &fixing.passes {
        figure(out, &format!("pass {}", pass.pass), &format!("{} with {}", pass.figure, pass.stack));
        if let Some(setting) = pass.setting_n_m {
            figure(out, "  set", &format!("{} N·m; correction {}", kept(setting, 3), pass.correction));
        }
    }
    figure(out, "figure from", &fixing.source);
    preload(out, fixing);
    if let Some(angle) = &fixing.angle {
        turned(out, angle);
    }
    if let Some(((margin, gives), strips)) =
        fixing.strip_margin_ratio.zip(fixing.gives_way).zip(fixing.strips_at_n_m)
    {
        let first = match gives {
            GivesWay::BoltBreaks => "the bolt breaks first",
            GivesWay::HoleStrips => "the thread in the hole strips first",
            GivesWay::BoltStrips => "the bolt's thread strips first",
        };
        figure(
            out,
            "strip margin",
            &format!("{}: {first}, from {}", kept(margin, COARSE), torque(strips, COARSE)),
        );
    }
    if let Some((range, judged)) = fixing.plausible_n_m.zip(fixing.plausible) {
        figure(out, "plausible", &format!("{judged}; {} raise no question", torque(range, COARSE)));
    }
    if let Some(reuse) = fixing.reuse {
        figure(out, "fastener", reuse);
    }
}

fn preload(out: &mut String, fixing: &FixingWhy) {
    let Some(range) = fixing.preload_n else {
        figure(out, "preload", "not worked out: no torque in the book, or no solid bolt, screw or nut");
        return;
    };
    let proof =
        fixing.of_proof_fraction.map_or_else(String::new, |s| format!(", {} of proof load", percent(s)));
    figure(out, "preload", &format!("{}{proof}", force(range, COARSE)));
    let allowed = Between::of(fixing.allowed_fraction, fixing.allowed_fraction);
    let because = format!("{}, torque ± {}; settling 5 %", fixing.friction.words(), percent(allowed));
    figure(out, "  because", &because);
    if let Some(share) = fixing.of_yield_fraction {
        figure(out, "  at most", &format!("{} of yield", percent(Between::of(share, share))));
    }
}

fn turned(out: &mut String, angle: &AngleWhy) {
    let reach = match angle.reach {
        Reach::Elastic => "below yield throughout",
        Reach::MayYield => "may go beyond yield",
        Reach::Yields => "goes beyond yield, as such figures mean to",
        Reach::Doubtful => "far beyond what the bolt holds by this reckoning: doubtful",
    };
    let text = format!(
        "{}° more: {}; first yield after {}°; {} felt at the end; {reach}",
        units::significant(angle.angle_deg, 3),
        force(angle.preload_n, COARSE),
        kept(angle.first_yield_deg, COARSE),
        torque(angle.end_torque_n_m, COARSE)
    );
    figure(out, "angle", &text);
}
