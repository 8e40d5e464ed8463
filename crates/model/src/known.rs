//! Figures that may be unknown: nothing, exact, or between two ends, with where they come from.
//!
//! **Question.** A book leaves most figures out. How does an answer say no more than what is known?
//!
//! **Method.** A [`units::Known`] figure is nothing, exact, or between two ends: a *doubt*, of which nobody says which value in it
//! is true. A [`Spec`] is the other thing that is written as a range: a maker's `21 to 26 N·m`, of which every value is right.
//! Each figure has a [`FigureOrigin`], and each origin a [`FigureGrade`]; what is worked out from several figures has the
//! worst grade of them. Only *firm* and *seen* figures carry a proof.
//!
//! **Assumptions.** A figure without an origin was told by whoever wrote the book and counts as measured; a tightening
//! figure is firm only with a citation ([`is_citation`]), or where the whole book is invented and says so.

units::worded! {
    /// How far a figure may be trusted, best first.
    pub enum FigureGrade {
        /// Measured; service data or a standard, cited.
        Firm = "firm",
        /// A class whose bounds are stated.
        Seen = "seen",
        /// Inferred or guessed.
        Assumed = "assumed",
    }
}

units::worded! {
    /// Where a figure comes from.
    pub enum FigureOrigin {
        /// Measured at the engine, or told by whoever wrote the book.
        Measured = "measured",
        /// The maker's service data.
        ServiceData = "service-data" / "service data",
        /// A named standard.
        Standard = "standard",
        /// Worked out from other figures.
        WorkedOut = "worked-out" / "worked out",
        /// A class whose bounds are stated, or a picture.
        Seen = "seen",
        /// From what visits did.
        Inferred = "inferred",
        /// Guessed.
        Guessed = "guessed",
    }
}

impl FigureOrigin {
    /// How far a figure of this origin may be trusted.
    #[must_use]
    pub const fn grade(self) -> FigureGrade {
        match self {
            Self::Measured | Self::ServiceData | Self::Standard => FigureGrade::Firm,
            Self::Seen => FigureGrade::Seen,
            Self::WorkedOut | Self::Inferred | Self::Guessed => FigureGrade::Assumed,
        }
    }
}

/// Origins of the figures of a book, a part or a fixing by kind; nothing where the one above it says.
///
/// Origins are inherited downwards by kind and never across kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FigureOrigins {
    /// Head, room, holes.
    pub space: Option<FigureOrigin>,
    /// Tightening.
    pub tightening: Option<FigureOrigin>,
    /// Times.
    pub times: Option<FigureOrigin>,
}

impl FigureOrigins {
    /// These origins, and where they say nothing, those of the one above.
    #[must_use]
    pub fn or_else(self, above: Self) -> Self {
        Self {
            space: self.space.or(above.space),
            tightening: self.tightening.or(above.tightening),
            times: self.times.or(above.times),
        }
    }
}

/// A specification: exactly known as a range of which every value is right, such as a maker's `21 to 26 N·m`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spec<T> {
    /// The least value that is right.
    pub low: T,
    /// The greatest value that is right.
    pub high: T,
}

/// Words that name a place in a document, in the languages of the trade's English manuals.
const PLACE_WORDS: &[&str] = &[
    "p",
    "pp",
    "page",
    "pages",
    "table",
    "step",
    "sheet",
    "section",
    "sect",
    "sec",
    "par",
    "para",
    "paragraph",
    "chapter",
    "ch",
    "fig",
    "figure",
    "item",
    "row",
    "line",
    "clause",
    "annex",
    "appendix",
    "no",
    "§",
];

/// Whether a source names a document and a place in it: `workshop manual p. 2-14 step 3`, `ISO 4014 table 1`.
///
/// A place is a word for one (`PLACE_WORDS`) with a figure, or a capital letter with one, behind it; before it stands
/// the document. Any other text is a hint and not a citation.
#[must_use]
pub fn is_citation(source: &str) -> bool {
    let words: Vec<&str> =
        source.split([' ', ',', ';', ':', '(', ')', '\u{a0}']).filter(|w| !w.is_empty()).collect();
    let names_place = |at: usize| {
        let word = words[at];
        let bare = word.trim_end_matches('.').to_lowercase();
        let here = PLACE_WORDS.contains(&bare.as_str());
        let follows = words.get(at + 1).is_some_and(|next| next.chars().any(|c| c.is_ascii_digit()));
        let joined = PLACE_WORDS.iter().any(|place| {
            let rest = word.to_lowercase();
            let rest = rest.strip_prefix(place).map(|rest| rest.trim_start_matches('.').to_owned());
            rest.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        });
        (here && follows) || joined
    };
    (1..words.len()).any(names_place)
}

#[cfg(test)]
mod tests {
    use super::{FigureGrade, FigureOrigin, is_citation};

    #[test]
    fn a_citation_names_a_document_and_a_place_in_it() {
        for good in [
            "workshop manual p. 2-14 step 3",
            "S6 table E-1",
            "ISO 4014 table 1",
            "TM 9-2815, par. 4-12",
            "maker's sheet 12, page 3",
            "manual p.14",
        ] {
            assert!(is_citation(good), "{good}");
        }
        for bad in [
            "",
            "a friend",
            "invented figure",
            "from memory",
            "p. 2-14",
            "the manual",
            "step by step",
            "page",
            "a Haus 3",
        ] {
            assert!(!is_citation(bad), "{bad}");
        }
    }

    #[test]
    fn grades_worsen_downwards_and_the_worst_of_several_counts() {
        let worst = FigureOrigin::ALL.iter().map(|origin| origin.grade()).max();
        assert_eq!(worst, Some(FigureGrade::Assumed));
        assert!(FigureGrade::Firm < FigureGrade::Seen && FigureGrade::Seen < FigureGrade::Assumed);
    }
}
