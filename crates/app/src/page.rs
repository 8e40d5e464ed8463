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
