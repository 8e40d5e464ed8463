//! Mix-ups as text: one swap, or the harmful swaps of a book.

use super::{figure, grounds};
use crate::bolting::mix_up::{Happening, MixUpAnswer, MixUpMatrix, Swap};
use crate::text::table::{bullet, heading};
use bolting::mixup::Severity;

/// How bad it is, in one word.
const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Harmless => "harmless",
        Severity::Noticed => "noticed at once",
        Severity::Weakened => "WEAKENED: holds now, with less in reserve",
        Severity::Harmful => "HARMFUL: breaks or spoils something, or clamps nothing",
    }
}

/// The answer about one swap.
#[must_use]
pub fn mix_up(answer: &MixUpAnswer) -> String {
    let mut out = String::new();
    figure(&mut out, "mix-up", severity(answer.severity));
    for happening in &answer.happens {
        out.push_str(&bullet("  - ", &happening.words));
    }
    out.push('\n');
    out.push_str(&bullet("", &format!("{} in the hole of {}", answer.fastener, answer.instead_of)));
    grounds(&mut out, &answer.why);
    out
}

/// The answer about a whole book.
#[must_use]
pub fn matrix(answer: &MixUpMatrix) -> String {
    let mut out = String::new();
    let bad = answer.swaps.iter().filter(|s| s.severity == Severity::Harmful).count();
    let weak = answer.swaps.len() - bad;
    let text = format!("{bad} harmful and {weak} weakening, of {} look-alike pairs tried", answer.pairs);
    figure(&mut out, "mix-ups", &text);
    for (title, wanted) in [("harmful", Severity::Harmful), ("weakened", Severity::Weakened)] {
        let mut last = "";
        for swap in answer.swaps.iter().filter(|s| s.severity == wanted) {
            if last.is_empty() {
                out.push_str(&heading(title));
            }
            if last != swap.hole_of {
                out.push_str(&bullet("  ", &format!("in a hole of {} ({})", swap.hole_of, swap.instead_of)));
                last = &swap.hole_of;
            }
            one(&mut out, swap);
        }
    }
    grounds(&mut out, &answer.why);
    out
}

/// One size of fastener in the hole named above it.
fn one(out: &mut String, swap: &Swap) {
    let words: Vec<&str> = swap.happens.iter().map(|h: &Happening| h.words.as_str()).collect();
    let whose = match &swap.fasteners_of[..] {
        [one, two, three, rest @ ..] if !rest.is_empty() => {
            format!("{one}, {two}, {three} and {} more", rest.len())
        }
        few => few.join(", "),
    };
    out.push_str(&bullet("    - ", &format!("{} ({whose}): {}", swap.fastener, words.join("; "))));
}
