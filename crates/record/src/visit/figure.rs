//! Tightening figures that the book does not have: for which fixings, and what a person said of each.
//!
//! A fixing on the list is never tight or checked before a figure was given or a person answered for going without: a mark
//! that says otherwise leaves the fastener run in. A figure that replaces another word puts the fixing's tight fasteners
//! back to run in, for they were not tightened by it.

use std::collections::{BTreeMap, BTreeSet};

use model::FastenerState;
use serde::{Deserialize, Serialize};

use super::EventStamp;

/// What a person said of a figure that the book does not have.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum FigureWord {
    /// The figure, with its source.
    Given {
        /// The figure with its unit, as it was read.
        figure: String,
        /// Where it is from.
        source: String,
        /// Who read it.
        name: String,
        /// Who wrote it down, when.
        stamp: EventStamp,
    },
    /// Tightened without a figure.
    Waived {
        /// Why.
        reason: String,
        /// Who answers for it.
        name: String,
        /// Who wrote it down, when.
        stamp: EventStamp,
    },
}

impl FigureWord {
    /// How the fastener is to be tightened, in words: "45 N·m (p. 2-14, N. N.)", "no figure, N. N.".
    #[must_use]
    pub fn as_words(&self) -> String {
        match self {
            Self::Given { figure, source, name, .. } => format!("{figure} ({source}; {name})"),
            Self::Waived { name, .. } => format!("no figure, {name}"),
        }
    }

    fn figure(&self) -> Option<&str> {
        match self {
            Self::Given { figure, .. } => Some(figure),
            Self::Waived { .. } => None,
        }
    }
}

/// The fixings without a figure in the book, and the last word on each.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitFigures {
    /// Fixings that have to be tightened and for which the book in force has no figure.
    pub missing: BTreeSet<String>,
    /// The last word on each, by fixing.
    pub words: BTreeMap<String, FigureWord>,
}

impl VisitFigures {
    /// The last word on a fixing's figure.
    #[must_use]
    pub fn word_on(&self, fixing: &str) -> Option<&FigureWord> {
        self.words.get(fixing)
    }

    /// The state and passes that a mark leaves: run in, where it says tight and there is nothing to be tight by.
    pub(crate) fn admit_mark(
        &self,
        fixing: &str,
        to: FastenerState,
        stage: Option<u8>,
    ) -> (FastenerState, Option<u8>) {
        let tight = matches!(to, FastenerState::Tight | FastenerState::Checked);
        let open = self.missing.contains(fixing) && !self.words.contains_key(fixing);
        if tight && open { (FastenerState::FingerTight, Some(0)) } else { (to, stage) }
    }

    /// Takes a word down; says whether what was tightened before was tightened by something else.
    pub(crate) fn take_word(&mut self, fixing: &str, word: FigureWord) -> bool {
        let before = self.words.insert(fixing.to_owned(), word);
        let now = self.words.get(fixing).and_then(FigureWord::figure);
        now.is_some() && before.as_ref().and_then(FigureWord::figure) != now && self.missing.contains(fixing)
    }
}
