//! A link as a code that a phone's camera reads: dark squares as outlines, with the quiet zone that the standard asks.
//!
//! ISO/IEC 18004: four modules of free space on each side. Level M restores about 15 % of the code, L only 7 %: oily
//! fingers ask for M. Modules of at least 0.5 mm are read by any phone from a hand's breadth (common practice, no single source).

use qrcode::{Color, EcLevel, QrCode};

use crate::paper::ink::{INK, Inks, Op, Seg, WHITE, polygon};

/// Free modules on each side (ISO/IEC 18004).
const QUIET: usize = 4;
/// Smallest module, mm.
pub const MODULE_MM: f64 = 0.5;
/// Largest module that a label needs, mm.
const LARGEST_MM: f64 = 1.0;

/// A code ready to be drawn.
pub struct Code {
    dark: Vec<bool>,
    width: usize,
}

impl Code {
    /// The code of a link; `None` for an empty or far too long one.
    #[must_use]
    pub fn of(link: &str) -> Option<Self> {
        if link.is_empty() {
            return None;
        }
        let code = QrCode::with_error_correction_level(link.as_bytes(), EcLevel::M).ok()?;
        let dark = code.to_colors().into_iter().map(|c| c == Color::Dark).collect();
        Some(Self { dark, width: code.width() })
    }

    /// Modules on a side, with the quiet zone.
    fn modules(&self) -> f64 {
        (self.width + 2 * QUIET) as f64
    }

    /// Side of the code within a room, quiet zone included; `None` where its modules would be too small.
    #[must_use]
    pub fn side_mm(&self, room_mm: f64) -> Option<f64> {
        let module_mm = (room_mm / self.modules()).min(LARGEST_MM);
        (module_mm >= MODULE_MM).then(|| module_mm * self.modules())
    }

    /// Draws it with its top left corner, quiet zone included, at a place.
    pub fn draw(&self, inks: &mut Inks, at_mm: (f64, f64), side_mm: f64) {
        let module_mm = side_mm / self.modules();
        inks.rect(at_mm, (side_mm, side_mm), Some(WHITE), None);
        let origin = |i: usize| (QUIET + i) as f64 * module_mm;
        let mut segs: Vec<Seg> = Vec::new();
        for (row, line) in self.dark.chunks(self.width).enumerate() {
            let (top, bottom) = (at_mm.1 + origin(row), at_mm.1 + origin(row + 1));
            let mut column = 0;
            while column < line.len() {
                let end = (column..line.len()).find(|i| !line[*i]).unwrap_or(line.len());
                if end > column {
                    let (left, right) = (at_mm.0 + origin(column), at_mm.0 + origin(end));
                    segs.extend(polygon(&[(left, top), (right, top), (right, bottom), (left, bottom)], true));
                }
                column = end + 1;
            }
        }
        inks.0.push(Op::Path { segs, fill: Some(INK), nib: None });
    }
}
