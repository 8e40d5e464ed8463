//! Which of several bolts goes into a hole: the letter of a size, the same on every drawing of a part.

use model::{Book, Fixing};

/// Sizes of the fasteners of one drawing, each with a letter where there are several.
///
/// A letter says of a hole which of two bolts goes into it; so it is the part's own, whatever drawing shows it: the sizes of all
/// fixings of the part, the shortest first, and no order in which a step or a card happens to name them.
pub(crate) struct SizeLetters {
    /// Letter and size of those that are drawn.
    drawn: Vec<(String, String)>,
}

impl SizeLetters {
    pub(crate) fn of_fixings(book: &Book, fixings: &[&Fixing]) -> Self {
        let of_part = |fixing: &Fixing| fixings.iter().any(|drawn| drawn.part == fixing.part);
        let mut all: Vec<(units::Length, String)> = book
            .fixings
            .iter()
            .filter(|fixing| of_part(fixing))
            .map(|fixing| {
                (fixing.length.unwrap_or(units::Length::from_mm(0.0)), fixing.size_or_drive_words())
            })
            .collect();
        all.sort_by(|a, b| a.0.as_mm().total_cmp(&b.0.as_mm()).then_with(|| a.1.cmp(&b.1)));
        all.dedup();
        let letter = |at: usize| char::from(b'a' + (at % 26) as u8).to_string();
        let is_drawn = |size: &String| fixings.iter().any(|fixing| fixing.size_or_drive_words() == *size);
        let lettered = all.into_iter().enumerate().map(|(at, (_, size))| (letter(at), size));
        let mut drawn: Vec<(String, String)> = lettered.filter(|(_, size)| is_drawn(size)).collect();
        if let [(only, _)] = drawn.as_mut_slice() {
            only.clear();
        }
        Self { drawn }
    }

    /// The letter of a fixing's size; empty where all that are drawn have one size.
    pub(crate) fn letter_of_fixing(&self, fixing: &Fixing) -> String {
        let size = fixing.size_or_drive_words();
        self.drawn
            .iter()
            .find(|(_, known)| *known == size)
            .map_or_else(String::new, |(letter, _)| letter.clone())
    }

    /// Letters with their sizes.
    pub(crate) fn letters_with_sizes(&self) -> Vec<(String, String)> {
        self.drawn.clone()
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    /// Both demo books.
    fn demo_books() -> Vec<Book> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/books");
        ["tern-24", "curlew-30"]
            .map(|name| crate::load::load_book(&folder.join(name)).expect("a demo book"))
            .into()
    }

    #[test]
    fn a_letter_means_the_same_bolt_on_every_drawing_of_its_part() {
        let mut of_two_sizes = 0;
        for book in demo_books() {
            for part in book.part_ids() {
                let all: Vec<&Fixing> = book.fixings_of(part).map(|id| book.fixing(id)).collect();
                let card = SizeLetters::of_fixings(&book, &all);
                let mut turned = all.clone();
                turned.reverse();
                let sheet = SizeLetters::of_fixings(&book, &turned);
                assert_eq!(card.letters_with_sizes(), sheet.letters_with_sizes());
                // A step that has any two of them.
                for (a, b) in all.iter().flat_map(|a| all.iter().map(move |b| (*a, *b))) {
                    let step = SizeLetters::of_fixings(&book, &[b, a]);
                    if a.size_or_drive_words() == b.size_or_drive_words() {
                        assert_eq!(step.letter_of_fixing(a), "");
                    } else {
                        of_two_sizes += 1;
                        assert_eq!(step.letter_of_fixing(a), card.letter_of_fixing(a), "{}", a.key);
                        assert_ne!(step.letter_of_fixing(a), step.letter_of_fixing(b), "{} {}", a.key, b.key);
                    }
                }
            }
        }
        assert!(of_two_sizes > 10, "the demo books have joints of two lengths: {of_two_sizes}");
    }

    #[test]
    fn the_shorter_bolt_has_the_first_letter() {
        let book = demo_books().remove(0);
        for part in book.part_ids() {
            let all: Vec<&Fixing> = book.fixings_of(part).map(|id| book.fixing(id)).collect();
            let letters = SizeLetters::of_fixings(&book, &all);
            for (a, b) in all.iter().flat_map(|a| all.iter().map(move |b| (*a, *b))) {
                if let (Some(short), Some(long)) = (a.length, b.length)
                    && short.as_mm() < long.as_mm()
                {
                    assert!(letters.letter_of_fixing(a) < letters.letter_of_fixing(b), "{} {}", a.key, b.key);
                }
            }
        }
    }
}
