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
    /// Square head, as of pipe plugs and old bolts, by width across flats.
    Square,
    /// Square recess, as of pipe and drain plugs, by its width.
    SquareSocket,
    /// Self-closing spring clamp, by hose diameter; needs pliers.
    SpringClamp,
    /// Expanding or barbed clip, by hole diameter; needs a lifter.
    PushClip,
    /// Latch of an electrical connector or quick coupling; needs a finger or a hook.
    Latch,
    /// Worked by the bare hand.
    Hand,
    /// Not known: nobody has looked yet. Something that is turned.
    NotKnown,
}

impl DriveForm {
    /// Whether its size is a width or a diameter, rather than a number or nothing.
    #[must_use]
    pub const fn is_sized_in_mm(self) -> bool {
        match self {
            Self::Hexagon
            | Self::BiHexagon
            | Self::HexSocket
            | Self::Slot
            | Self::Square
            | Self::SquareSocket
            | Self::SpringClamp
            | Self::PushClip => true,
            Self::Hexalobular
            | Self::ExternalHexalobular
            | Self::CrossRecess
            | Self::CrossRecessZ
            | Self::Latch
            | Self::Hand
            | Self::NotKnown => false,
        }
    }
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
    (DriveForm::SquareSocket, "square socket", DriveSizeKind::Millimetres),
    (DriveForm::Square, "square", DriveSizeKind::Millimetres),
    (DriveForm::SpringClamp, "spring clamp", DriveSizeKind::Millimetres),
    (DriveForm::PushClip, "push clip", DriveSizeKind::Millimetres),
    (DriveForm::Latch, "latch", DriveSizeKind::None),
    (DriveForm::Hand, "hand", DriveSizeKind::None),
    (DriveForm::NotKnown, "not known", DriveSizeKind::None),
    (DriveForm::CrossRecessZ, "PZ", DriveSizeKind::Number),
    (DriveForm::CrossRecess, "PH", DriveSizeKind::Number),
    (DriveForm::ExternalHexalobular, "E", DriveSizeKind::Number),
    (DriveForm::Hexalobular, "T", DriveSizeKind::Number),
];

/// A drive feature: form and size. Written `hexagon 10 mm`, `hexagon 9/16 in`, `T30`, `E10`, `PH2`, `latch`.
///
/// Sizes are whole millionths, in which a hundredth of a millimetre and a sixty-fourth of an inch are both exact; what is
/// written in inches is shown in inches. Two drives are equal when form and size are, however the size was written.
#[derive(Debug, Clone, Copy)]
pub struct Drive {
    form: DriveForm,
    /// Millionths of a millimetre, or of the number; 0 where the form has no size.
    size_millionths: u32,
    /// Whether the size is shown in inches.
    in_inches: bool,
}

impl PartialEq for Drive {
    fn eq(&self, other: &Self) -> bool {
        (self.form, self.size_millionths) == (other.form, other.size_millionths)
    }
}

impl Eq for Drive {}

impl PartialOrd for Drive {
    fn partial_cmp(&self, other: &Self) -> Option<core::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Drive {
    fn cmp(&self, other: &Self) -> core::cmp::Ordering {
        (self.form, self.size_millionths).cmp(&(other.form, other.size_millionths))
    }
}

impl core::hash::Hash for Drive {
    fn hash<H: core::hash::Hasher>(&self, state: &mut H) {
        (self.form, self.size_millionths).hash(state);
    }
}

/// Millionths of a millimetre in a sixty-fourth of an inch; exact, for an inch is 25.4 mm (NIST SP 811).
const MILLIONTHS_PER_64TH_IN: u32 = 396_875;
/// Widths that are a multiple of this are metric, whatever else they are (assumption: sizes come in half millimetres).
const METRIC_STEP_MILLIONTHS: u32 = 500_000;

/// A size in mm as whole millionths of a millimetre.
fn to_millionths(size_mm_or_number: f64) -> u32 {
    units::math::round(size_mm_or_number * 1.0e6).clamp(0.0, 4.0e9) as u32
}

/// A width in mm as it is written in inches, `9/16`, `1-1/8`, `1`; `None` where it is no whole number of sixty-fourths of
/// an inch, or a half millimetre besides.
#[must_use]
pub fn inch_words(width_mm: f64) -> Option<String> {
    let millionths = to_millionths(width_mm);
    let is_inch = millionths > 0
        && millionths.is_multiple_of(MILLIONTHS_PER_64TH_IN)
        && !millionths.is_multiple_of(METRIC_STEP_MILLIONTHS);
    is_inch.then(|| fraction_words(millionths)).flatten()
}

/// Whole inches and the fraction in its lowest terms; `None` where it is no whole number of sixty-fourths.
fn fraction_words(millionths: u32) -> Option<String> {
    if !millionths.is_multiple_of(MILLIONTHS_PER_64TH_IN) {
        return None;
    }
    let sixty_fourths = millionths / MILLIONTHS_PER_64TH_IN;
    let (whole, rest) = (sixty_fourths / 64, sixty_fourths % 64);
    if rest == 0 {
        return Some(whole.to_string());
    }
    let shift = rest.trailing_zeros();
    let fraction = format!("{}/{}", rest >> shift, 64_u32 >> shift);
    Some(if whole == 0 { fraction } else { format!("{whole}-{fraction}") })
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
             `PZ2`, `slot 6 mm`, `square 3/8 in` (head), `square socket 3/8 in` (recess), `spring clamp 24 mm`, `push clip 8 mm`, `latch` or `hand`",
            self.text
        )
    }
}

impl core::error::Error for DriveError {}

impl Drive {
    /// A drive whose size is a width or diameter in millimetres, or the number of a numbered form; shown in inches where
    /// [`inch_words`] has words for it.
    #[must_use]
    pub fn new(form: DriveForm, size_mm_or_number: f64) -> Self {
        let in_inches = form.is_sized_in_mm() && inch_words(size_mm_or_number).is_some();
        Self { form, size_millionths: to_millionths(size_mm_or_number), in_inches }
    }

    /// The form.
    #[must_use]
    pub const fn form(self) -> DriveForm {
        self.form
    }

    /// The size: millimetres, or the number of a numbered form; 0 where the form has none.
    #[must_use]
    pub fn size(self) -> f64 {
        f64::from(self.size_millionths) / 1.0e6
    }

    /// The width or diameter as it is written, `10 mm` or `9/16 in`; says nothing true of a numbered form.
    #[must_use]
    pub fn width_words(self) -> String {
        if self.in_inches {
            let inches = || units::significant(self.size() / 25.4, 9);
            return format!("{} in", fraction_words(self.size_millionths).unwrap_or_else(inches));
        }
        format!("{} mm", units::significant(self.size(), 9))
    }

    /// Whether the tool goes into the fastener rather than over it.
    #[must_use]
    pub const fn is_internal(self) -> bool {
        match self.form {
            DriveForm::HexSocket
            | DriveForm::Hexalobular
            | DriveForm::CrossRecess
            | DriveForm::CrossRecessZ
            | DriveForm::Slot
            | DriveForm::SquareSocket => true,
            DriveForm::Hexagon
            | DriveForm::BiHexagon
            | DriveForm::Square
            | DriveForm::ExternalHexalobular
            | DriveForm::SpringClamp
            | DriveForm::PushClip
            | DriveForm::Latch
            | DriveForm::NotKnown
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
            | DriveForm::Slot
            | DriveForm::Square
            | DriveForm::SquareSocket
            | DriveForm::NotKnown => true,
            DriveForm::SpringClamp | DriveForm::PushClip | DriveForm::Latch | DriveForm::Hand => false,
        }
    }

    /// Reads `hexagon 10 mm`, `hexagon 10`, `hexagon 3/8 in`, `hexagon 1-1/8 in`, `T30`, `E10`, `PH2`, `latch` and the like.
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
        let mut in_inches = false;
        let size = match kind {
            DriveSizeKind::None if rest.is_empty() => 0.0,
            DriveSizeKind::None => return Err(bad()),
            DriveSizeKind::Number => rest.parse::<f64>().map_err(|_| bad())?,
            DriveSizeKind::Millimetres => {
                let length = Length::parse_with_unit(&without_hyphen(rest)).ok();
                in_inches = length.is_some_and(|(_, unit)| unit.symbol == "in");
                rest.parse::<f64>().ok().or_else(|| length.map(|(l, _)| l.as_mm())).ok_or_else(bad)?
            }
        };
        // Cross-recess bits begin at number 0 (ISO 8764-1: 0 to 4).
        let least = if matches!(form, DriveForm::CrossRecess | DriveForm::CrossRecessZ) { 0.0 } else { 0.2 };
        let in_range = kind == DriveSizeKind::None || (least..=200.0).contains(&size);
        if in_range { Ok(Self { form, size_millionths: to_millionths(size), in_inches }) } else { Err(bad()) }
    }
}

/// `1-1/8 in` as `1 1/8 in`, the way that a length is read.
fn without_hyphen(text: &str) -> String {
    match text.split_once('-') {
        Some((whole, rest)) if !whole.is_empty() => format!("{whole} {rest}"),
        _ => text.to_owned(),
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
        match FORMS.iter().find(|(form, ..)| *form == self.form) {
            Some((_, word, DriveSizeKind::Millimetres)) => write!(f, "{word} {}", self.width_words()),
            Some((_, word, DriveSizeKind::Number)) => {
                write!(f, "{word}{}", units::significant(self.size(), 9))
            }
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
