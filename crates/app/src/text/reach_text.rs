//! Reach as text: for each act on each fixing the best stacks, or the nearest miss.

use super::table::{bullet, spoken_time};
use model::{Book, Duty, Store};
use reach::DutyReach;

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
pub fn format_reach(book: &Book, store: &Store, answers: &[DutyReach]) -> String {
    let missing = answers.iter().filter(|a| a.workings.is_empty()).count();
    let mut out = format!(
        "{} acts on {} fixings; {missing} that nothing at hand can do\n",
        answers.len(),
        book.fixings.len()
    );
    let mut last = None;
    for answer in answers {
        if last != Some(answer.duty.fixing) {
            let fixing = book.fixing(answer.duty.fixing);
            out.push('\n');
            out.push_str(&bullet(
                "",
                &format!("{}: {}, {} x {}", fixing.key, fixing.title, fixing.holes.len(), fixing.drive),
            ));
            last = Some(answer.duty.fixing);
        }
        push_duty_reach(&mut out, book, store, answer);
    }
    out
}

fn push_duty_reach(out: &mut String, book: &Book, store: &Store, answer: &DutyReach) {
    out.push_str(&format!("  {}", duty_words(book, answer.duty)));
    match &answer.miss {
        Some(miss) => {
            out.push_str(": NONE\n");
            out.push_str(&bullet("    nearest: ", &miss.words));
            out.push_str(&bullet(
                &format!("    {}: ", super::readiness::obtain_verb(miss.wanted.how)),
                &miss.wanted.words,
            ));
        }
        None => {
            out.push_str(&format!(": {}\n", super::table::count_with_noun(answer.workings.len(), "stack")));
            for working in answer.workings.iter().take(MAX_STACKS_SHOWN) {
                let set = working.setting.map_or_else(String::new, |s| format!(", set {s}"));
                let text = format!(
                    "{}{set}, {}",
                    reach::describe_stack(store, &working.stack),
                    spoken_time(working.time.as_s())
                );
                out.push_str(&bullet("    - ", &text));
            }
        }
    }
}

/// The reach of a book as a record for other programs: `duties`, each with its best stacks, or the nearest miss.
#[must_use]
pub fn reach_record(book: &Book, store: &Store, answers: &[DutyReach]) -> serde_json::Value {
    let duties: Vec<_> = answers.iter().map(|answer| duty_record(book, store, answer)).collect();
    serde_json::json!({ "duties": duties })
}

fn duty_record(book: &Book, store: &Store, answer: &DutyReach) -> serde_json::Value {
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
