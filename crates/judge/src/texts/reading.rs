//! Reading a text: phrases that it has to say are taken out one by one; what is left are plain words and figures to be explained.

/// A text while it is read.
pub(crate) struct TextReading {
    left: String,
}

/// What stands where a phrase was taken out; no text has it.
const TAKEN: char = '\u{1}';

impl TextReading {
    pub fn new(text: &str) -> Self {
        Self { left: text.into() }
    }

    /// Takes out the first place where a phrase stands by itself; `false` where it does not.
    pub fn take(&mut self, phrase: &str) -> bool {
        let Some(at) = self.find(phrase) else { return phrase.is_empty() };
        self.left.replace_range(at..at + phrase.len(), &TAKEN.to_string());
        true
    }

    /// Where a phrase stands with neither letter nor figure right before or behind it.
    fn find(&self, phrase: &str) -> Option<usize> {
        let left = &self.left;
        let is_part = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        let starts_inside = phrase.starts_with(char::is_alphanumeric);
        let ends_inside = phrase.ends_with(char::is_alphanumeric);
        let stands = |at: &usize| {
            let (before, behind) =
                (left[..*at].chars().next_back(), left[*at + phrase.len()..].chars().next());
            !(starts_inside && is_part(before) || ends_inside && is_part(behind))
        };
        if phrase.is_empty() {
            return None;
        }
        left.match_indices(phrase).map(|(at, _)| at).find(stands)
    }

    /// The words that are left, without their punctuation.
    pub fn words_left(&self) -> Vec<&str> {
        let is_gap = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '.' | '(' | ')' | TAKEN);
        self.left.split(is_gap).filter(|word| !word.is_empty()).collect()
    }
}

/// The figures of a text, in order; "M6" and "8.8" have one each.
pub(crate) fn figures_in(text: &str) -> Vec<f64> {
    let is_figure = |c: char| c.is_ascii_digit() || c == '.';
    text.split(|c| !is_figure(c)).filter_map(|one| one.trim_matches('.').parse().ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phrase_stands_by_itself_or_not_at_all() {
        let mut reading = TextReading::new("Tighten 4 × cover bolts: 19 N·m.");
        assert!(!reading.take("9 N·m") && !reading.take("4 × cover bolt") && reading.take("4 × cover bolts"));
        assert!(!reading.take("4 × cover bolts"), "it is taken out once");
        assert_eq!(reading.words_left(), ["Tighten", "19", "N·m"]);
        assert_eq!(figures_in("M6 × 25, 8.8 at 3."), [6.0, 25.0, 8.8, 3.0]);
    }
}
