//! What a miss and a wanted piece are called: one sentence each, with the figures that decide.

use crate::miss::vacancy::MissQuestion;
use crate::words::words_of_piece;
use model::{MissKind, Piece, PieceKind, PieceSpec};
use units::{Torque, significant};

/// Ranges that torque wrenches are usually sold in, N·m (common practice, no single source).
const WRENCHES_N_M: &[(f64, f64)] = &[
    (0.4, 2.0),
    (1.0, 5.0),
    (2.0, 10.0),
    (5.0, 25.0),
    (10.0, 50.0),
    (20.0, 100.0),
    (40.0, 200.0),
    (80.0, 400.0),
];

/// A specification in one line: "extension 1/4 in, 40 to 57 mm long, at most 14 mm thick".
pub(crate) fn spec_words(spec: &PieceSpec) -> String {
    let mut words = spec.kind.spoken_word().to_owned();
    if let Some(drive) = spec.drive {
        words = format!("{words} {drive}");
    }
    if let Some(link) = spec.link {
        words = format!("{words} {link}");
    }
    let length = match (spec.min_length_mm, spec.max_length_mm) {
        (Some(low), Some(high)) if low < high => {
            Some(format!("{} to {} mm long", significant_mm(low), significant_mm(high)))
        }
        (Some(one), _) | (_, Some(one)) => Some(format!("{} mm long", significant_mm(one))),
        _ => None,
    };
    let measures = matches!(spec.kind, PieceKind::TorqueWrench | PieceKind::TorqueScrewdriver);
    let torque = spec.torque_n_m.map(|t| {
        let t = Torque::from_n_m(t);
        if measures {
            format!("for {t} ({})", wrench_range_words(t))
        } else {
            format!("rated for at least {t}")
        }
    });
    let parts = [
        length,
        spec.max_diameter_mm.map(|d| format!("at most {} mm across", significant_mm(d))),
        torque,
        spec.max_step_deg.map(|s| format!("turning in steps of at most {}°", significant(s, 3))),
        spec.bend_deg.map(|b| format!("bending by at least {}°", significant(b, 3))),
        spec.retention.then(|| "retaining the fastener".to_owned()),
    ];
    parts.into_iter().flatten().fold(words, |words, part| format!("{words}, {part}"))
}

fn significant_mm(value_mm: f64) -> String {
    significant(value_mm, 3)
}

/// A usual wrench that covers a torque in the upper 80 % of its scale.
fn wrench_range_words(torque: Torque) -> String {
    let t = torque.as_n_m();
    let usual = WRENCHES_N_M.iter().find(|(low, high)| low.max(0.2 * high) <= t && t <= *high);
    usual.map_or_else(|| "no common range covers it".to_owned(), |(low, high)| format!("{low} to {high} N·m"))
}

/// What a chain falls short of, without what would close the gap.
pub(crate) fn shortfall_words(
    ask: MissQuestion,
    kind: MissKind,
    short_figure: f64,
    chain: &[&Piece],
    culprit: usize,
) -> String {
    let by = significant(short_figure, 3);
    let piece = chain.get(culprit).map_or_else(String::new, |p| words_of_piece(p));
    let longest = chain
        .iter()
        .skip(1)
        .take(chain.len().saturating_sub(2))
        .max_by(|a, b| a.length_in_stack().as_mm().total_cmp(&b.length_in_stack().as_mm()));
    let with = longest.or(chain.last()).map_or_else(String::new, |p| words_of_piece(p));
    let torque = ask.work.torque.map_or_else(String::new, |t| t.to_string());
    match kind {
        MissKind::NoGrip if ask.site.has_pipe => {
            format!("nothing open at hand fits {}, out of which a pipe comes", ask.site.drive)
        }
        MissKind::NoGrip => format!("nothing at hand fits {}", ask.site.drive),
        MissKind::NoJoin => format!("nothing at hand connects the {piece} to a suitable handle"),
        MissKind::Engagement => format!("the {piece} engages the head {by} mm too little"),
        MissKind::Clearance => format!("the {piece} is {by} mm too thick for the corridor"),
        MissKind::TooShort => format!("{by} mm too short to reach out of the corridor with the {with}"),
        MissKind::Headroom => format!("{by} mm too little headroom with the {with}"),
        MissKind::Bend => bend_words(ask, by),
        MissKind::Swing => format!("{by}° too little swing for the {piece}"),
        MissKind::SideRoom => format!("{by} mm too little room beside the head for the {piece}"),
        MissKind::Strength => format!("the {piece} is {by} N·m too weak for {torque}"),
        MissKind::Force => format!("{torque} with the {piece} takes {by} N more than a hand can give there"),
        MissKind::Feel => format!("the {piece} is too long to feel {torque}: the force is {by} N too low"),
        MissKind::TorqueRange => format!("none of your torque wrenches covers {torque} with what fits here"),
        MissKind::JointError => {
            format!(
                "the joint's angle adds {} % more torque error than allowed",
                significant(short_figure * 100.0, 3)
            )
        }
        MissKind::Retention => "the fastener may drop into an opening that cannot be capped".to_owned(),
        MissKind::CounterHold => "the other side cannot be held".to_owned(),
        MissKind::Away => format!("the {piece} is not at hand"),
    }
}

fn bend_words(ask: MissQuestion, by: String) -> String {
    match ask.site.access.bends.first() {
        Some(bend) => {
            format!("none of your joints takes the {} bend, {} from the head", bend.angle, bend.at)
        }
        None => format!("the joint cannot stay straight ({by}°)"),
    }
}
