//! Settings of the vehicle: what each was reported at, and where it stands by the book.
//!
//! The latest report counts. A report of the value that stands already is no change, so that two devices that report one move
//! report it once.

use std::collections::BTreeMap;

use model::{Book, Setting, SettingKind};
use serde::{Deserialize, Serialize};

use super::{EventStamp, Visit};

/// A setting was brought to a value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SettingReport {
    /// The word of the value.
    pub value: String,
    /// Who said so, when.
    pub stamp: EventStamp,
}

/// The changes of one setting, in order; each value differs from the one before.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SettingHistory(Vec<SettingReport>);

impl SettingHistory {
    pub(crate) fn record_value(
        all: &mut BTreeMap<String, Self>,
        setting: &str,
        value: &str,
        stamp: EventStamp,
    ) {
        let history = all.entry(setting.to_owned()).or_default();
        if history.latest().is_none_or(|latest| latest.value != value) {
            history.0.push(SettingReport { value: value.to_owned(), stamp });
        }
    }

    /// All changes, the first first.
    #[must_use]
    pub fn changes(&self) -> &[SettingReport] {
        &self.0
    }

    /// The last change.
    #[must_use]
    pub fn latest(&self) -> Option<&SettingReport> {
        self.0.last()
    }
}

/// Where a setting of the book stands.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingStanding<'a> {
    /// The setting.
    pub setting: &'a Setting,
    /// The word of its value; the book's start value where nothing was reported.
    pub value: &'a str,
    /// What brought it there; `None`: it came in so.
    pub since: Option<&'a EventStamp>,
}

impl<'a> SettingStanding<'a> {
    /// Where a setting stands in a visit.
    #[must_use]
    pub fn of_setting(visit: &'a Visit, setting: &'a Setting) -> Self {
        let latest = visit.settings.get(&setting.key).and_then(SettingHistory::latest);
        Self {
            setting,
            value: latest.map_or(setting.word(setting.start), |report| &report.value),
            since: latest.map(|report| &report.stamp),
        }
    }

    /// Where each setting of a book stands, in the order of the book.
    #[must_use]
    pub fn of_book(visit: &'a Visit, book: &'a Book) -> Vec<Self> {
        book.settings.iter().map(|setting| Self::of_setting(visit, setting)).collect()
    }

    /// Whether the book knows the value.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.setting.value_by_word(self.value).is_some()
    }

    /// Whether it stands as it should at the end of the visit.
    #[must_use]
    pub fn is_at_end(&self) -> bool {
        is_end_value(self.setting, self.value)
    }

    /// The words of the values that are right at the end, in the order of the book.
    #[must_use]
    pub fn end_words(&self) -> Vec<&'a str> {
        let values = self.setting.values.iter().map(String::as_str);
        values.filter(|value| is_end_value(self.setting, value)).collect()
    }

    /// "the lift stands at chest", "the cam pin is in", "the crank is “any”".
    #[must_use]
    pub fn as_words(&self) -> String {
        setting_value_words(self.setting, self.value)
    }

    /// What brings it to an end value, in the imperative: "take it out before the crank is turned".
    #[must_use]
    pub fn closing_words(&self) -> String {
        let ends = self.end_words();
        match self.setting.kind {
            SettingKind::PutIn if ends == ["out"] => "take it out before the crank is turned".into(),
            SettingKind::PutIn => format!("bring it to {} before the crank is turned", quote_words(&ends)),
            SettingKind::Support => {
                format!("bring it to {} before the engine is started", quote_words(&ends))
            }
            SettingKind::Lift => format!("bring it to {} before hand-over", ends.join(" or ")),
            SettingKind::Other => format!("bring it to {} before hand-over", quote_words(&ends)),
        }
    }
}

/// Whether a setting has such a value and it is right at the end of the visit.
pub(crate) fn is_end_value(setting: &Setting, value: &str) -> bool {
    setting.value_by_word(value).is_some_and(|at| setting.end >> at & 1 == 1)
}

/// A setting with a value, in words: "the lift stands at chest"; what is neither lift, support nor put in is quoted, as its
/// words are the book's own.
#[must_use]
pub fn setting_value_words(setting: &Setting, value: &str) -> String {
    let title = &setting.title;
    let article = if title.to_lowercase().starts_with("the ") { "" } else { "the " };
    match setting.kind {
        SettingKind::Lift => format!("{article}{title} stands at {value}"),
        SettingKind::PutIn | SettingKind::Support => format!("{article}{title} is {value}"),
        SettingKind::Other => format!("{article}{title} is “{value}”"),
    }
}

/// "“ground” or “low”".
pub(crate) fn quote_words(words: &[&str]) -> String {
    words.iter().map(|word| format!("“{word}”")).collect::<Vec<_>>().join(" or ")
}
