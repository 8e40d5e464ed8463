//! Settings of the vehicle as the bench shows them: where each stands, and where it should stand at hand-over.

use model::Book;
use model::plan::{Step, StepKind};
use record::Visit;
use record::visit::{SettingStanding, setting_value_words};
use serde::{Deserialize, Serialize};

/// A setting of the book in a visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SettingCard {
    /// Setting key.
    pub setting: String,
    /// What a person calls it.
    pub title: String,
    /// The word of its value.
    pub value: String,
    /// Whether it stands as it should at hand-over.
    pub is_at_end: bool,
    /// The words of the values that are right at hand-over.
    pub end: Vec<String>,
    /// "the lift stands at chest".
    pub words: String,
    /// What brings it to where it should be, in the imperative.
    pub closes: String,
    /// Every value of it, in the order of the book: the word, and the setting with it in words.
    pub values: Vec<(String, String)>,
}

impl SettingCard {
    /// The card of a setting.
    #[must_use]
    pub fn of_standing(standing: &SettingStanding<'_>) -> Self {
        let setting = standing.setting;
        let with_words = |value: &String| (value.clone(), setting_value_words(setting, value));
        Self {
            setting: setting.key.clone(),
            title: setting.title.clone(),
            value: standing.value.to_owned(),
            is_at_end: standing.is_at_end(),
            end: standing.end_words().into_iter().map(str::to_owned).collect(),
            words: standing.as_words(),
            closes: standing.closing_words(),
            values: setting.values.iter().map(with_words).collect(),
        }
    }
}

/// All settings of a book in a visit, in the order of the book.
#[must_use]
pub fn setting_cards(visit: &Visit, book: &Book) -> Vec<SettingCard> {
    SettingStanding::of_book(visit, book).iter().map(SettingCard::of_standing).collect()
}

/// Those that do not stand as they should at hand-over; none without a book.
#[must_use]
pub fn settings_to_bring_back(visit: &Visit, book: Option<&Book>) -> Vec<SettingCard> {
    let cards = book.map_or_else(Vec::new, |book| setting_cards(visit, book));
    cards.into_iter().filter(|card| !card.is_at_end).collect()
}

/// A setting of a key with a value, in words; by its key where the book has no such setting.
#[must_use]
pub fn setting_words(book: &Book, key: &str, value: &str) -> String {
    let known = book.setting_by_key(key).map(|id| setting_value_words(book.setting(id), value));
    known.unwrap_or_else(|| format!("{key} is “{value}”"))
}

/// What a step changes besides its work: "after it the crank is “any”"; its own new value stands in its sentence.
#[must_use]
pub fn effect_words(book: &Book, step: &Step) -> Vec<String> {
    let own = usize::from(step.kind == StepKind::Set);
    let besides = step.sets.iter().skip(own);
    besides.map(|set| format!("after it {}", setting_words(book, &set.setting, &set.value))).collect()
}
