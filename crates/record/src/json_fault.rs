//! A text that is not the JSON it should be, in words for a person: where, in what way, and last the reader's own words.

use serde_json::error::Category;

/// What precedes the list of all words that would do; it helps nobody at the bench.
const LIST_OF_WORDS: &str = ", expected one of";

/// Where a text cannot be read as JSON and in what way, the reader's own words last in brackets.
///
/// "at line 3, column 7 the text is not JSON (expected value)". What to do is for the caller to add, who knows where the
/// text comes from.
#[must_use]
pub fn describe_json_error(error: &serde_json::Error) -> String {
    let what = match error.classify() {
        Category::Io => "the text breaks off",
        Category::Syntax => "the text is not JSON",
        Category::Data => "something is missing, or is not what belongs there",
        Category::Eof => "the text ends before it is complete",
    };
    let detail = reader_words(error);
    match error.line() {
        0 => format!("{what} ({detail})"),
        line => format!("at line {line}, column {} {what} ({detail})", error.column().max(1)),
    }
}

/// What the reader says, without the place that is told already and without the list of all words that would do.
fn reader_words(error: &serde_json::Error) -> String {
    let words = error.to_string();
    let place = format!(" at line {} column {}", error.line(), error.column());
    let words = words.strip_suffix(&place).unwrap_or(&words);
    words.split_once(LIST_OF_WORDS).map_or(words, |(before, _)| before).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StreamKind, StreamRef};

    fn describe<T: serde::de::DeserializeOwned + core::fmt::Debug>(text: &str) -> String {
        describe_json_error(&serde_json::from_str::<T>(text).expect_err("the text is refused"))
    }

    #[test]
    fn the_place_is_told_first_and_the_readers_words_come_last() {
        let cut_off = "at line 1, column 1 the text ends before it is complete (EOF while parsing a value)";
        assert_eq!(describe::<serde_json::Value>(""), cut_off);
        let no_json = "at line 1, column 1 the text is not JSON (expected value)";
        assert_eq!(describe::<serde_json::Value>("x"), no_json);
        let other =
            "at line 2, column 1 something is missing, or is not what belongs there (missing field `kind`)";
        assert_eq!(describe::<StreamRef>("{\n}"), other);
    }

    #[test]
    fn the_list_of_all_words_that_would_do_is_left_out() {
        let words = describe::<StreamKind>("\"cart\"");
        assert!(words.ends_with("not what belongs there (unknown variant `cart`)"), "{words}");
    }

    #[test]
    fn an_error_without_a_place_names_none() {
        let error = serde_json::from_value::<u8>(serde_json::json!("7")).expect_err("a text is no number");
        assert!(describe_json_error(&error).starts_with("something is missing"), "{error}");
    }
}
