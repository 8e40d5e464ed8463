//! What pages and sheets call a verdict and a caution.

use model::SignalWord;
use model::plan::{Readiness, ReadinessVerdict};

/// "Go", "Open" or "No-go": the worse of the first bolt and the refit.
#[must_use]
pub fn verdict_word(ready: &Readiness) -> &'static str {
    match ready.verdict.first_bolt.max(ready.verdict.refit) {
        ReadinessVerdict::Go => "Go",
        ReadinessVerdict::Open => "Open",
        ReadinessVerdict::No => "No-go",
    }
}

/// Whether to begin, as a person says it: "Go", "Open", "Do not start: 2 things stand against it".
#[must_use]
pub fn start_sentence(ready: &Readiness) -> String {
    start_words(ready.verdict.first_bolt.max(ready.verdict.refit), ready.against.len())
        .unwrap_or_else(|| verdict_word(ready).to_owned())
}

/// What stands against starting; `None` where nothing known does.
fn start_words(worst: ReadinessVerdict, against: usize) -> Option<String> {
    match (worst, against) {
        (ReadinessVerdict::Go | ReadinessVerdict::Open, _) => None,
        (ReadinessVerdict::No, 0) => Some(String::from("Do not start as it is planned")),
        (ReadinessVerdict::No, 1) => Some(String::from("Do not start: 1 thing stands against it")),
        (ReadinessVerdict::No, many) => Some(format!("Do not start: {many} things stand against it")),
    }
}

/// The class of a caution in our style sheets, by its signal word.
#[must_use]
pub const fn caution_class(word: SignalWord) -> &'static str {
    match word {
        SignalWord::Danger => "danger",
        SignalWord::Warning => "warning",
        SignalWord::Caution => "caution-word",
        SignalWord::Notice => "notice",
    }
}

#[cfg(test)]
mod tests {
    use super::{ReadinessVerdict, start_words};

    #[test]
    fn a_no_is_a_sentence_that_counts_what_stands_against_it() {
        let words = |against| start_words(ReadinessVerdict::No, against);
        assert_eq!(words(1).as_deref(), Some("Do not start: 1 thing stands against it"));
        assert_eq!(words(2).as_deref(), Some("Do not start: 2 things stand against it"));
        assert_eq!(words(0).as_deref(), Some("Do not start as it is planned"));
        assert_eq!(start_words(ReadinessVerdict::Open, 2), None);
    }
}
