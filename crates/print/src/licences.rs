//! The licences of what the program carries besides its own code: the typefaces on page and paper.

/// A typeface with its licence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FaceLicence {
    /// Name of the face.
    pub name: &'static str,
    /// What it is used for.
    pub used_for: &'static str,
    /// Licence, as SPDX names it.
    pub licence: &'static str,
    /// The licence in full, with the notice of its holders.
    pub text: &'static str,
}

/// The faces that the program carries.
pub const FACE_LICENCES: [FaceLicence; 2] = [
    FaceLicence {
        name: "Atkinson Hyperlegible",
        used_for: "letters of pages, drawings and paper",
        licence: "OFL-1.1",
        text: include_str!("../assets/letters-licence.txt"),
    },
    FaceLicence {
        name: "Noto Sans",
        used_for: "letters and signs on paper that the first face lacks",
        licence: "Apache-2.0",
        text: include_str!("../../../LICENSE-APACHE"),
    },
];

#[cfg(test)]
mod tests {
    use super::FACE_LICENCES;

    /// The OFL asks for its notice and licence with each copy (condition 2), the Apache licence for its text (section 4a).
    #[test]
    fn every_face_comes_with_its_whole_licence() {
        let whole = ["SIL OPEN FONT LICENSE Version 1.1", "END OF TERMS AND CONDITIONS"];
        for (face, words) in FACE_LICENCES.iter().zip(whole) {
            assert!(face.text.contains(words), "{}", face.name);
        }
        assert!(FACE_LICENCES[0].text.contains("Copyright 2020 Braille Institute of America"));
    }
}
