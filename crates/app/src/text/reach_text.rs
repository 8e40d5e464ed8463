//! Reach as text: for each act on each fixing the best stacks, or the nearest miss.

use std::collections::BTreeSet;

use super::table::{PageWidth, bullet, count_with_noun, spoken_time};
use model::{Book, Duty, ReachVerdict, Store};
use plan::coverage::JudgedReach;

/// How many stacks are shown for a duty.
pub const MAX_STACKS_SHOWN: usize = 3;

/// What a duty is, in words: "tighten to 9 N·m, pass 2".
#[must_use]
pub fn duty_words(book: &Book, duty: Duty) -> String {
    let fixing = book.fixing(duty.fixing);
    let mut text = duty.act.to_string();
    if let Some(stage) = duty.stage.and_then(|s| fixing.tightening.stages.get(usize::from(s))) {
        text.push_str(&format!(" to {}", stage.as_written));
    } else if let Some(torque) = duty.torque(fixing) {
        text.push_str(&format!(", about {torque}"));
    }
    if fixing.accesses.len() > 1 {
        text.push_str(&format!(", access {}", duty.access + 1));
    }
    text
}

/// The reach of a book with a store.
#[must_use]
pub fn format_reach(book: &Book, store: &Store, answers: &[JudgedReach], width: PageWidth) -> String {
    let count = |verdict: ReachVerdict| answers.iter().filter(|a| a.verdict == verdict).count();
    let open = match (count(ReachVerdict::Likely), count(ReachVerdict::NotKnown)) {
        (0, 0) => String::new(),
        (likely, not_known) => format!("; {likely} likely, {not_known} not known"),
    };
    let fixings: BTreeSet<_> = answers.iter().map(|judged| judged.reach.duty.fixing).collect();
    let mut out = format!(
        "{} on {}; {} that nothing at hand can do{open}\n",
        count_with_noun(answers.len(), "act"),
        count_with_noun(fixings.len(), "fixing"),
        count(ReachVerdict::No)
    );
    let mut last = None;
    for judged in answers {
        let answer = &judged.reach;
        if last != Some(answer.duty.fixing) {
            let fixing = book.fixing(answer.duty.fixing);
            out.push('\n');
            out.push_str(&bullet(
                width,
                "",
                &format!("{}: {}, {} x {}", fixing.key, fixing.title, fixing.holes.len(), fixing.drive),
            ));
            last = Some(answer.duty.fixing);
        }
        push_duty_reach(&mut out, book, store, judged, width);
    }
    out
}

fn push_duty_reach(out: &mut String, book: &Book, store: &Store, judged: &JudgedReach, width: PageWidth) {
    let answer = &judged.reach;
    out.push_str(&format!("  {}", duty_words(book, answer.duty)));
    let verdict = match judged.verdict {
        ReachVerdict::Proven => String::new(),
        other => format!(", {}", other.spoken_word()),
    };
    match &answer.miss {
        Some(_) if judged.verdict != ReachVerdict::No => {
            let doubts = book.reach_doubts(answer.duty.fixing, answer.duty.access);
            out.push_str(&format!(": not known: {}\n", doubts.not_known.join(", ")));
        }
        Some(miss) => {
            out.push_str(": NONE\n");
            out.push_str(&bullet(width, "    nearest: ", &miss.words));
            out.push_str(&bullet(
                width,
                &format!("    {}: ", super::readiness::obtain_verb(miss.wanted.how)),
                &miss.wanted.words,
            ));
        }
        None => {
            out.push_str(&format!(": {}{verdict}\n", count_with_noun(answer.workings.len(), "stack")));
            for working in answer.workings.iter().take(MAX_STACKS_SHOWN) {
                let set = working.setting.map_or_else(String::new, |s| format!(", set {s}"));
                let text = format!(
                    "{}{set}, {}",
                    reach::describe_stack(store, &working.stack),
                    spoken_time(working.time.as_s())
                );
                out.push_str(&bullet(width, "    - ", &text));
            }
        }
    }
}

/// The reach of a book as a record for other programs: `duties`, each with its best stacks, or the nearest miss.
#[must_use]
pub fn reach_record(book: &Book, store: &Store, answers: &[JudgedReach]) -> serde_json::Value {
    let duties: Vec<_> = answers.iter().map(|answer| duty_record(book, store, answer)).collect();
    serde_json::json!({ "duties": duties })
}

fn duty_record(book: &Book, store: &Store, judged: &JudgedReach) -> serde_json::Value {
    let answer = &judged.reach;
    let doubts = book.reach_doubts(answer.duty.fixing, answer.duty.access);
    let rests_on: Vec<&str> = doubts.not_known.iter().chain(&doubts.assumed).copied().collect();
    let keys = |ids: &[model::PieceId]| ids.iter().map(|id| store.piece(*id).key.clone()).collect::<Vec<_>>();
    let duty = answer.duty;
    let stacks: Vec<_> = answer
        .workings
        .iter()
        .take(MAX_STACKS_SHOWN)
        .map(|w| {
            serde_json::json!({
                "pieces": keys(&w.stack.pieces),
                "hold": keys(&w.stack.hold),
                "words": reach::describe_stack(store, &w.stack),
                "seconds": w.time.as_s(),
                "setting_n_m": w.setting.map(units::Torque::as_n_m),
            })
        })
        .collect();
    serde_json::json!({
        "fixing": book.fixing(duty.fixing).key,
        "access": duty.access,
        "act": duty.act,
        "stage": duty.stage,
        "torque_n_m": duty.torque(book.fixing(duty.fixing)).map(units::Torque::as_n_m),
        "sure": judged.verdict,
        "rests_on": rests_on,
        "ways": answer.workings.len(),
        "best": stacks,
        "nearest_miss": answer.miss.as_ref().map(|m| serde_json::json!({
            "kind": m.kind,
            "pieces": keys(&m.stack),
            "short_by": m.short_by,
            "words": m.words,
            "wanted": m.wanted,
        })),
    })
}
