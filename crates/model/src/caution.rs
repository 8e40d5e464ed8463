//! Cautions: what to mind before a step.

use serde::{Deserialize, Serialize};

units::worded! {
    /// Signal words of ISO 3864-2 and ANSI Z535.4, weakest first.
    pub enum SignalWord {
        /// Damage to things, not to people.
        Notice = "NOTICE",
        /// Could cause minor or moderate injury.
        Caution = "CAUTION",
        /// Could cause death or serious injury.
        Warning = "WARNING",
        /// Will cause death or serious injury.
        Danger = "DANGER",
    }
}

impl core::fmt::Display for SignalWord {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.file_word())
    }
}

/// Something to mind before a step: the word, and hazard, consequence and how to avoid it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Caution {
    /// How bad it is.
    pub word: SignalWord,
    /// Hazard, consequence, and what to do.
    pub text: String,
}
