//! Drive features: what a tool takes hold of, as form and size.

use serde::{Deserialize, Serialize};
use units::Length;

/// The form of a drive feature, or of what has to be worked where there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DriveForm {
    /// External hexagon, by width across flats.
    Hexagon,
    /// External twelve-point, by width across flats.
    BiHexagon,
    /// Internal hexagon (hexagon socket), by width across flats.
    HexSocket,
    /// Internal hexalobular, by its number (ISO 10664).
    Hexalobular,
    /// External hexalobular, by its number.
    ExternalHexalobular,
    /// Cross recess type H (ISO 4757), by its number.
    CrossRecess,
    /// Cross recess type Z (ISO 4757), by its number.
    CrossRecessZ,
    /// Straight slot, by blade width.
    Slot,
    /// Self-closing spring clamp, by hose diameter; needs pliers.
    SpringClamp,
    /// Expanding or barbed clip, by hole diameter; needs a lifter.
    PushClip,
    /// Latch of an electrical connector or quick coupling; needs a finger or a hook.
    Latch,
    /// Worked by the bare hand.
    Hand,
}

/// How the size of a form is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum DriveSizeKind {
    Millimetres,
    Number,
    None,
}

/// Form, leading word, and how the size is written.
const FORMS: &[(DriveForm, &str, DriveSizeKind)] = &[
    (DriveForm::BiHexagon, "bi-hexagon", DriveSizeKind::Millimetres),
    (DriveForm::Hexagon, "hexagon", DriveSizeKind::Millimetres),
    (DriveForm::HexSocket, "hex socket", DriveSizeKind::Millimetres),
    (DriveForm::Slot, "slot", DriveSizeKind::Millimetres),
    (DriveForm::SpringClamp, "spring clamp", DriveSizeKind::Millimetres),
    (DriveForm::PushClip, "push clip", DriveSizeKind::Millimetres),
    (DriveForm::Latch, "latch", DriveSizeKind::None),
    (DriveForm::Hand, "hand", DriveSizeKind::None),
    (DriveForm::CrossRecessZ, "PZ", DriveSizeKind::Number),
    (DriveForm::CrossRecess, "PH", DriveSizeKind::Number),
    (DriveForm::ExternalHexalobular, "E", DriveSizeKind::Number),
    (DriveForm::Hexalobular, "T", DriveSizeKind::Number),
];

/// A drive feature: form and size. Written `hexagon 10 mm`, `hex socket 6 mm`, `T30`, `E10`, `PH2`, `latch`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Drive {
    form: DriveForm,
    /// Hundredths of a millimetre, or the number times 100; 0 where the form has no size.
    size_hundredths: u32,
}

/// A text is not a drive feature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DriveError {
    /// The text as written.
    pub text: String,
}

impl core::fmt::Display for DriveError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(
            f,
            "`{}` is not a drive; write `hexagon 10 mm`, `bi-hexagon 10 mm`, `hex socket 6 mm`, `T30`, `E10`, `PH2`, \
             `PZ2`, `slot 6 mm`, `spring clamp 24 mm`, `push clip 8 mm`, `latch` or `hand`",
            self.text
        )
    }
}

impl core::error::Error for DriveError {}

impl Drive {
    /// A drive whose size is a width or diameter in millimetres, or the number of a numbered form.
    #[must_use]
    pub fn new(form: DriveForm, size_mm_or_number: f64) -> Self {
        let hundredths = units::math::round(size_mm_or_number * 100.0).clamp(0.0, 1.0e6);
        Self { form, size_hundredths: hundredths as u32 }
    }

    /// The form.
    #[must_use]
    pub const fn form(self) -> DriveForm {
        self.form
    }

    /// The size: millimetres, or the number of a numbered form; 0 where the form has none.
    #[must_use]
    pub fn size(self) -> f64 {
        f64::from(self.size_hundredths) / 100.0
    }

    /// Whether the tool goes into the fastener rather than over it.
    #[must_use]
    pub const fn is_internal(self) -> bool {
        match self.form {
            DriveForm::HexSocket
            | DriveForm::Hexalobular
            | DriveForm::CrossRecess
            | DriveForm::CrossRecessZ
            | DriveForm::Slot => true,
            DriveForm::Hexagon
            | DriveForm::BiHexagon
            | DriveForm::ExternalHexalobular
            | DriveForm::SpringClamp
            | DriveForm::PushClip
            | DriveForm::Latch
            | DriveForm::Hand => false,
        }
    }

    /// Whether a fastener with this drive is turned, rather than squeezed, pulled or unlatched.
    #[must_use]
    pub const fn is_turned(self) -> bool {
        match self.form {
            DriveForm::Hexagon
            | DriveForm::BiHexagon
            | DriveForm::HexSocket
            | DriveForm::Hexalobular
            | DriveForm::ExternalHexalobular
            | DriveForm::CrossRecess
            | DriveForm::CrossRecessZ
            | DriveForm::Slot => true,
            DriveForm::SpringClamp | DriveForm::PushClip | DriveForm::Latch | DriveForm::Hand => false,
        }
    }

    /// Reads `hexagon 10 mm`, `hexagon 10`, `hexagon 3/8 in`, `T30`, `E10`, `PH2`, `latch` and the like.
    ///
    /// # Errors
    /// [`DriveError`] with the text and the forms that are known.
    pub fn parse(text: &str) -> Result<Self, DriveError> {
        let bad = || DriveError { text: text.into() };
        let trimmed = text.trim();
        let (form, rest, kind) = FORMS
            .iter()
            .find_map(|(form, word, kind)| Some((*form, strip_word(trimmed, word)?, *kind)))
            .ok_or_else(bad)?;
        let rest = rest.trim();
        let size = match kind {
            DriveSizeKind::None if rest.is_empty() => 0.0,
            DriveSizeKind::None => return Err(bad()),
            DriveSizeKind::Number => rest.parse::<f64>().map_err(|_| bad())?,
            DriveSizeKind::Millimetres => rest
                .parse::<f64>()
                .ok()
                .or_else(|| Length::parse(rest).ok().map(Length::as_mm))
                .ok_or_else(bad)?,
        };
        // Cross-recess bits begin at number 0 (ISO 8764-1: 0 to 4).
        let least = if matches!(form, DriveForm::CrossRecess | DriveForm::CrossRecessZ) { 0.0 } else { 0.2 };
        let in_range = kind == DriveSizeKind::None || (least..=200.0).contains(&size);
        if in_range { Ok(Self::new(form, size)) } else { Err(bad()) }
    }
}

/// The text behind a leading word, without regard to case for words of more than two letters.
fn strip_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    let head = text.get(..word.len())?;
    let same = if word.len() > 2 { head.eq_ignore_ascii_case(word) } else { head == word };
    same.then(|| &text[word.len()..])
}

impl core::fmt::Display for Drive {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let size = units::significant(self.size(), 4);
        match FORMS.iter().find(|(form, ..)| *form == self.form) {
            Some((_, word, DriveSizeKind::Millimetres)) => write!(f, "{word} {size} mm"),
            Some((_, word, DriveSizeKind::Number)) => write!(f, "{word}{size}"),
            Some((_, word, DriveSizeKind::None)) => f.write_str(word),
            None => f.write_str("drive"),
        }
    }
}

impl Serialize for Drive {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Drive {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}
