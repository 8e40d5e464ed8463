//! A link as a code that a phone's camera reads: dark squares as outlines, with the quiet zone that the standard asks.
//!
//! ISO/IEC 18004: four modules of free space on each side. Level M restores about 15 % of the code, L only 7 %: oily
//! fingers ask for M. Modules of at least 0.5 mm are read by any phone from a hand's breadth (common practice, no single source).

use qrcode::{Color, EcLevel, QrCode};

use crate::paper::ink::{INK, InkItem, InkSegment, PageInks, WHITE, polygon_segments};

/// Free modules on each side (ISO/IEC 18004).
const QUIET: usize = 4;
/// Smallest module, mm.
pub const MIN_MODULE_MM: f64 = 0.5;
/// Largest module that a label needs, mm.
const MAX_MODULE_MM: f64 = 1.0;

/// A code ready to be drawn.
pub struct LinkCode {
    dark: Vec<bool>,
    width: usize,
}

impl LinkCode {
    /// The code of a link; `None` for an empty or far too long one.
    #[must_use]
    pub fn of_link(link: &str) -> Option<Self> {
        if link.is_empty() {
            return None;
        }
        let code = QrCode::with_error_correction_level(link.as_bytes(), EcLevel::M).ok()?;
        let dark = code.to_colors().into_iter().map(|c| c == Color::Dark).collect();
        Some(Self { dark, width: code.width() })
    }

    /// The code for a page that prints: one unit is a module, the quiet zone is within.
    #[must_use]
    pub fn svg_text(&self) -> String {
        let side = self.width + 2 * QUIET;
        let dark = self.dark.iter().enumerate().filter(|(_, dark)| **dark);
        let path: String = dark
            .map(|(at, _)| format!("M{} {}h1v1h-1z", at % self.width + QUIET, at / self.width + QUIET))
            .collect();
        format!(
            "<svg viewBox=\"0 0 {side} {side}\" role=\"img\" aria-label=\"opens the page of this slot\">\
             <path d=\"{path}\" shape-rendering=\"crispEdges\"/></svg>"
        )
    }

    /// Modules on a side, with the quiet zone.
    fn side_modules(&self) -> f64 {
        (self.width + 2 * QUIET) as f64
    }

    /// Side of the code within a room, quiet zone included; `None` where its modules would be too small.
    #[must_use]
    pub fn side_mm(&self, room_mm: f64) -> Option<f64> {
        let module_mm = (room_mm / self.side_modules()).min(MAX_MODULE_MM);
        (module_mm >= MIN_MODULE_MM).then(|| module_mm * self.side_modules())
    }

    /// Draws it with its top left corner, quiet zone included, at a place.
    pub fn draw(&self, inks: &mut PageInks, at_mm: (f64, f64), side_mm: f64) {
        let module_mm = side_mm / self.side_modules();
        inks.rect(at_mm, (side_mm, side_mm), Some(WHITE), None);
        let origin = |i: usize| (QUIET + i) as f64 * module_mm;
        let mut segs: Vec<InkSegment> = Vec::new();
        for (row, line) in self.dark.chunks(self.width).enumerate() {
            let (top, bottom) = (at_mm.1 + origin(row), at_mm.1 + origin(row + 1));
            let mut column = 0;
            while column < line.len() {
                let end = (column..line.len()).find(|i| !line[*i]).unwrap_or(line.len());
                if end > column {
                    let (left, right) = (at_mm.0 + origin(column), at_mm.0 + origin(end));
                    segs.extend(polygon_segments(
                        &[(left, top), (right, top), (right, bottom), (left, bottom)],
                        true,
                    ));
                }
                column = end + 1;
            }
        }
        inks.0.push(InkItem::Path { segs, fill: Some(INK), nib: None });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The library `rqrr` reads the modules of the page back.
    #[test]
    fn a_code_of_the_page_is_read_back() {
        const PX: usize = 4;
        let link = "http://192.0.2.7:7420/v/01M8AS20T57CR2NFQ9HCTBHH7Y/slot/A-T1-03";
        let svg = LinkCode::of_link(link).expect("the link is short").svg_text();
        let inner = |from: &str, to: &str| -> String {
            let (_, rest) = svg.split_once(from).expect("it is there");
            rest.split_once(to).expect("it ends").0.to_owned()
        };
        let view = inner("viewBox=\"0 0 ", "\"");
        let side: usize = view.split(' ').next().and_then(|n| n.parse().ok()).expect("a number");
        let mut dark = vec![false; side * side];
        for module in inner(" d=\"M", "\"").split('M') {
            let (x, rest) = module.split_once(' ').expect("two numbers");
            let y = rest.split_once('h').expect("a square").0;
            let at = |n: &str| n.parse::<usize>().expect("a number");
            dark[at(y) * side + at(x)] = true;
        }
        let grey = |x: usize, y: usize| if dark[y / PX * side + x / PX] { 0 } else { 255 };
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side * PX, side * PX, grey);
        let grids = image.detect_grids();
        let read = grids.first().expect("a code is found").decode().expect("it can be read").1;
        assert_eq!(read, link);
    }
}
