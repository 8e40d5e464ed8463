//! Finding the two codes of the card, to whole pixels, with the library `rqrr`.
//!
//! A picture is tried shrunk first, which is quicker and quietens noise, then in finer steps. The library may stop itself on strange
//! pictures (it asserts, and adds whole numbers that may overflow); that counts as nothing found.

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::layout::CardCode;
use crate::picture::GreyPicture;

/// Side to which a picture is shrunk for the first try, px.
const FIRST_TRY_SIDE_PX: usize = 900;

/// A code of the card as it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundCode {
    /// Which of the two.
    pub code: CardCode,
    /// Its corners from the code's own top left one clockwise, px; true to a few pixels.
    pub corners_px: [(f64, f64); 4],
}

/// The codes of the card in a picture, left before right, at most one of each.
#[must_use]
pub fn find_card_codes(picture: &GreyPicture<'_>) -> Vec<FoundCode> {
    let longest = picture.width().max(picture.height());
    let first = longest.div_ceil(FIRST_TRY_SIDE_PX).max(1);
    let mut factors = vec![first, first + 1, first.saturating_sub(1), first.div_ceil(2), 1];
    factors.retain(|factor| *factor >= 1);
    let mut tried = Vec::new();
    let mut found: Vec<FoundCode> = Vec::new();
    for factor in factors {
        if tried.contains(&factor) {
            continue;
        }
        tried.push(factor);
        for code in find_at_scale(picture, factor) {
            if !found.iter().any(|known| known.code == code.code) {
                found.push(code);
            }
        }
        if found.len() == CardCode::BOTH.len() {
            break;
        }
    }
    found.sort_by_key(|code| code.code);
    found
}

/// What one try finds in the picture shrunk by a factor.
fn find_at_scale(picture: &GreyPicture<'_>, factor: usize) -> Vec<FoundCode> {
    let (shades, width, height) = picture.shrink_by(factor);
    let read = || {
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| shades[y * width + x]);
        let grids = image.detect_grids();
        grids.iter().filter_map(|grid| Some((grid.decode().ok()?.1, grid.bounds))).collect::<Vec<_>>()
    };
    let grids = catch_unwind(AssertUnwindSafe(read)).unwrap_or_default();
    let code_of = |text: &str| CardCode::BOTH.into_iter().find(|code| code.text() == text);
    let corner = |at: rqrr::Point| ((f64::from(at.x) + 0.5) * factor as f64, (f64::from(at.y) + 0.5) * factor as f64);
    grids
        .into_iter()
        .filter_map(|(text, bounds)| Some(FoundCode { code: code_of(&text)?, corners_px: bounds.map(corner) }))
        .collect()
}
