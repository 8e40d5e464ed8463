//! The card: where its two codes, its ruler and its words stand on the sheet, as plain data in millimetres.
//!
//! **Frame.** Origin in the top left corner of the card, x to the right, y downward. The codes stand in opposite corners, because two codes
//! side by side tell little of what lies above and below them. The card fits an A5 sheet (ISO 216) and half a letter sheet.
//!
//! Codes follow ISO/IEC 18004 (from memory): version 1, 21 modules a side, level M, four modules of free space around.

use qrcode::{Color, EcLevel, QrCode, Version};

/// Width of the card, mm.
pub const CARD_WIDTH_MM: f64 = 210.0;
/// Height of the card, mm.
pub const CARD_HEIGHT_MM: f64 = 139.0;
/// Modules on a side of a code.
pub const CODE_MODULES: usize = 21;
/// Side of one module, mm.
pub const MODULE_MM: f64 = 1.8;
/// Side of a code without its free space, mm.
pub const CODE_SIDE_MM: f64 = CODE_MODULES as f64 * MODULE_MM;
/// Free space that a code wants on each side, mm.
pub const QUIET_MM: f64 = 4.0 * MODULE_MM;
/// From the edge of the card to a code, mm; free space included.
const CODE_MARGIN_MM: f64 = 9.0;

/// The ruler's zero, mm from the left; the ruler lies along the lower edge.
pub const RULER_LEFT_MM: f64 = 10.0;
/// What the ruler measures, mm.
pub const RULER_LENGTH_MM: f64 = 120.0;
/// Ticks of the ruler, mm apart.
const TICK_MM: usize = 5;
/// Width of a tick, mm.
const TICK_WIDTH_MM: f64 = 0.3;

/// The corner of the card in which a code stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CardCode {
    /// Top left.
    Left,
    /// Bottom right.
    Right,
}

impl CardCode {
    /// Both codes.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// What the code says; the 1 is the edition of this layout.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Left => "TRAYWRIGHT-CARD:1:L",
            Self::Right => "TRAYWRIGHT-CARD:1:R",
        }
    }

    /// Its name in a sentence.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// Its top left corner, free space left out, mm.
    #[must_use]
    pub const fn origin_mm(self) -> (f64, f64) {
        match self {
            Self::Left => (CODE_MARGIN_MM, CODE_MARGIN_MM),
            Self::Right => (
                CARD_WIDTH_MM - CODE_MARGIN_MM - CODE_SIDE_MM,
                CARD_HEIGHT_MM - CODE_MARGIN_MM - CODE_SIDE_MM,
            ),
        }
    }

    /// Its corners from the top left one clockwise, mm.
    #[must_use]
    pub fn corners_mm(self) -> [(f64, f64); 4] {
        let (left_mm, top_mm) = self.origin_mm();
        let (right_mm, bottom_mm) = (left_mm + CODE_SIDE_MM, top_mm + CODE_SIDE_MM);
        [(left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm)]
    }

    /// Its middle, mm.
    #[must_use]
    pub fn centre_mm(self) -> (f64, f64) {
        let (left_mm, top_mm) = self.origin_mm();
        (left_mm + CODE_SIDE_MM / 2.0, top_mm + CODE_SIDE_MM / 2.0)
    }

    /// Its modules row by row, true where dark; empty if the text did not fit, which a test excludes.
    #[must_use]
    pub fn dark_modules(self) -> Vec<bool> {
        let code = QrCode::with_version(self.text(), Version::Normal(1), EcLevel::M);
        let colours = code.map(QrCode::into_colors).unwrap_or_default();
        colours.into_iter().map(|colour| colour == Color::Dark).collect()
    }
}

/// The middle of the card, mm.
pub const CARD_CENTRE_MM: (f64, f64) = (CARD_WIDTH_MM / 2.0, CARD_HEIGHT_MM / 2.0);

/// A dark rectangle of the card.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardRect {
    /// Left end, mm.
    pub left_mm: f64,
    /// Upper end, mm.
    pub top_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
}

/// A word on the card.
#[derive(Debug, Clone, PartialEq)]
pub struct CardLabel {
    /// What it says.
    pub text: String,
    /// Middle of its foot, mm.
    pub at_mm: (f64, f64),
    /// Height of its capitals, mm.
    pub height_mm: f64,
}

/// A class of lengths on the ruler. The bounds are an assumption: thirds in which bolts of one flange are told apart by eye.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthClass {
    /// Its letter.
    pub letter: char,
    /// Lengths above this, mm.
    pub above_mm: f64,
    /// Up to and including this, mm.
    pub up_to_mm: f64,
}

/// The three classes, from the ruler's zero on.
pub const LENGTH_CLASSES: [LengthClass; 3] = [
    LengthClass { letter: 'A', above_mm: 0.0, up_to_mm: 25.0 },
    LengthClass { letter: 'B', above_mm: 25.0, up_to_mm: 50.0 },
    LengthClass { letter: 'C', above_mm: 50.0, up_to_mm: RULER_LENGTH_MM },
];

/// The class of a length; `None` where it is no length or beyond the ruler.
#[must_use]
pub fn class_of_length(length_mm: f64) -> Option<LengthClass> {
    LENGTH_CLASSES.into_iter().find(|class| length_mm > class.above_mm && length_mm <= class.up_to_mm)
}

/// Everything dark on the card: the modules of both codes, run by run, and the ticks of the ruler.
#[must_use]
pub fn list_card_rectangles() -> Vec<CardRect> {
    let mut all: Vec<CardRect> = CardCode::BOTH.into_iter().flat_map(list_code_rectangles).collect();
    all.extend(list_ruler_ticks());
    all
}

/// The dark runs of one code.
fn list_code_rectangles(code: CardCode) -> Vec<CardRect> {
    let (left_mm, top_mm) = code.origin_mm();
    let mut runs = Vec::new();
    for (row, line) in code.dark_modules().chunks(CODE_MODULES).enumerate() {
        let mut column = 0;
        while column < line.len() {
            let end = (column..line.len()).find(|at| !line[*at]).unwrap_or(line.len());
            if end > column {
                runs.push(CardRect {
                    left_mm: left_mm + column as f64 * MODULE_MM,
                    top_mm: top_mm + row as f64 * MODULE_MM,
                    width_mm: (end - column) as f64 * MODULE_MM,
                    height_mm: MODULE_MM,
                });
            }
            column = end + 1;
        }
    }
    runs
}

/// Ticks every 5 mm; each tenth millimetre longer, the bounds of the classes longest.
fn list_ruler_ticks() -> Vec<CardRect> {
    let is_bound =
        |at_mm: f64| LENGTH_CLASSES.iter().any(|class| at_mm == class.above_mm || at_mm == class.up_to_mm);
    let tick = |step: usize| {
        let along_mm = (step * TICK_MM) as f64;
        let height_mm = if is_bound(along_mm) {
            12.0
        } else if step.is_multiple_of(2) {
            6.0
        } else {
            4.0
        };
        CardRect {
            left_mm: RULER_LEFT_MM + along_mm - TICK_WIDTH_MM / 2.0,
            top_mm: CARD_HEIGHT_MM - height_mm,
            width_mm: TICK_WIDTH_MM,
            height_mm,
        }
    };
    (0..=RULER_LENGTH_MM as usize / TICK_MM).map(tick).collect()
}

/// The words of the card: letters and bounds of the classes, and what to do with the card.
#[must_use]
pub fn list_card_labels() -> Vec<CardLabel> {
    let letter = |class: LengthClass| CardLabel {
        text: class.letter.to_string(),
        at_mm: (RULER_LEFT_MM + (class.above_mm + class.up_to_mm) / 2.0, CARD_HEIGHT_MM - 8.0),
        height_mm: 4.0,
    };
    let bound = |class: LengthClass| CardLabel {
        text: format!("{}", class.up_to_mm),
        at_mm: (RULER_LEFT_MM + class.up_to_mm, CARD_HEIGHT_MM - 13.0),
        height_mm: 2.5,
    };
    let mut labels: Vec<CardLabel> = LENGTH_CLASSES.into_iter().map(letter).collect();
    labels.extend(LENGTH_CLASSES.into_iter().map(bound));
    labels.push(CardLabel {
        text: String::from("Lay flat on the flange, both codes free. Print at 100 %."),
        at_mm: (CARD_CENTRE_MM.0 + 22.0, 20.0),
        height_mm: 3.0,
    });
    labels
}
