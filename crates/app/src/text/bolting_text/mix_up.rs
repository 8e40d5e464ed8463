//! Mix-ups as text: one swap, or the harmful swaps of a book.

use super::{push_figure, push_grounds};
use crate::bolting_answers::mix_up::{HarmfulSwap, MixUpAnswer, MixUpEffect, MixUpMatrix};
use crate::text::table::{PageWidth, bullet, count_with_noun, heading};
use bolting::mixup::MixUpSeverity;

/// How bad it is, in one word.
const fn severity_words(severity: MixUpSeverity) -> &'static str {
    match severity {
        MixUpSeverity::Harmless => "harmless",
        MixUpSeverity::Noticed => "noticed at once",
        MixUpSeverity::Unknown => "NOT KNOWN: it may do harm",
        MixUpSeverity::Weakened => "WEAKENED: holds, with less margin",
        MixUpSeverity::Harmful => "HARMFUL: breaks or damages something, or does not clamp",
    }
}

/// The answer about one swap.
#[must_use]
pub fn format_mix_up(answer: &MixUpAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    push_figure(&mut out, "mix-up", severity_words(answer.severity), width);
    for happening in &answer.happens {
        out.push_str(&bullet(width, "  - ", &happening.words));
    }
    out.push('\n');
    out.push_str(&bullet(width, "", &format!("{} in the hole of {}", answer.fastener, answer.instead_of)));
    push_grounds(&mut out, &answer.why, width);
    out
}

/// The answer about a whole book.
#[must_use]
pub fn format_mix_up_matrix(answer: &MixUpMatrix, width: PageWidth) -> String {
    let mut out = String::new();
    let bad = answer.swaps.iter().filter(|s| s.severity == MixUpSeverity::Harmful).count();
    let unknown = answer.swaps.iter().filter(|s| s.severity == MixUpSeverity::Unknown).count();
    let weak = answer.swaps.len() - bad - unknown;
    let text = format!(
        "{bad} harmful, {weak} weakening and {unknown} not known, of {} tried",
        count_with_noun(answer.pairs, "look-alike pair")
    );
    push_figure(&mut out, "mix-ups", &text, width);
    for (title, wanted) in [
        ("harmful", MixUpSeverity::Harmful),
        ("weakened", MixUpSeverity::Weakened),
        ("not known", MixUpSeverity::Unknown),
    ] {
        let mut last = "";
        for swap in answer.swaps.iter().filter(|s| s.severity == wanted) {
            if last.is_empty() {
                out.push_str(&heading(title));
            }
            if last != swap.hole_of {
                out.push_str(&bullet(
                    width,
                    "  ",
                    &format!("in a hole of {} ({})", swap.hole_of, swap.instead_of),
                ));
                last = &swap.hole_of;
            }
            push_swap(&mut out, swap, width);
        }
    }
    push_grounds(&mut out, &answer.why, width);
    out
}

/// One size of fastener in the hole named above it.
fn push_swap(out: &mut String, swap: &HarmfulSwap, width: PageWidth) {
    let words: Vec<&str> = swap.happens.iter().map(|h: &MixUpEffect| h.words.as_str()).collect();
    let whose = match &swap.fasteners_of[..] {
        [one, two, three, rest @ ..] if !rest.is_empty() => {
            format!("{one}, {two}, {three} and {} more", rest.len())
        }
        few => few.join(", "),
    };
    out.push_str(&bullet(width, "    - ", &format!("{} ({whose}): {}", swap.fastener, words.join("; "))));
}
