//! Finding the two codes of the card: squares to whole pixels with the library `rqrr`, then corners to fractions, then which code it is.
//!
//! A picture is tried at several sizes; where both codes are found the search ends. What a code says is known beforehand, so it need not be decoded: its 441 modules are read
//! through the refined map and compared with those of both codes. That still works where a decoder gives up on blur, dirt or a corner that was guessed.
//!
//! The library may stop itself on strange pictures (it asserts, and adds whole numbers that may overflow); that counts as nothing found.

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::edges::refine_code_corners;
use crate::homography::{PlaneHomography, PointPair};
use crate::layout::{CODE_MODULES, CardCode, MODULE_MM};
use crate::picture::GreyPicture;

/// Side to which a picture is shrunk for the first try, px.
const FIRST_TRY_SIDE_PX: usize = 1_700;
/// Least share of modules that agree. Chance gives a half; the two codes agree in three quarters, which a test holds down.
pub const MIN_AGREEMENT_RATIO: f64 = 0.88;
/// Squares of a picture that are looked at, at most.
const MAX_GRIDS: usize = 24;

/// A code of the card as it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundCode {
    /// Which of the two.
    pub code: CardCode,
    /// Its refined corners.
    pub pairs: Vec<PointPair>,
}

/// What the search of a picture came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CodeSearch {
    /// The codes of the card, left before right, at most one of each.
    pub found: Vec<FoundCode>,
    /// A code whose words were read while its edges stayed unclear.
    pub unclear: Option<CardCode>,
}

/// A square that looks like a code: its corners, px, and what it says where that was read.
struct SeenGrid {
    corners_px: [(f64, f64); 4],
    text: Option<String>,
}

/// Looks for the codes of the card.
#[must_use]
pub fn find_card_codes(picture: &GreyPicture<'_>) -> CodeSearch {
    let longest = picture.width().max(picture.height());
    let first = longest.div_ceil(FIRST_TRY_SIDE_PX).max(1);
    let mut factors = vec![first, first + 1, 2 * first + 1, first.saturating_sub(1).max(1)];
    factors.dedup();
    let mut search = CodeSearch::default();
    for factor in factors {
        for grid in find_grids(picture, factor) {
            match recognise_code(picture, &grid) {
                Some(code) if !search.found.iter().any(|known| known.code == code.code) => {
                    search.found.push(code);
                }
                Some(_) => {}
                None => {
                    let said =
                        CardCode::BOTH.into_iter().find(|code| grid.text.as_deref() == Some(code.text()));
                    search.unclear = search.unclear.or(said);
                }
            }
        }
        if search.found.len() == CardCode::BOTH.len() {
            break;
        }
    }
    search.found.sort_by_key(|code| code.code);
    search
}

/// What one try finds in the picture shrunk by a factor.
fn find_grids(picture: &GreyPicture<'_>, factor: usize) -> Vec<SeenGrid> {
    let (shades, width, height) = picture.shrink_by(factor);
    if width.min(height) < 2 {
        return Vec::new();
    }
    let read = || {
        let mut image =
            rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| shades[y * width + x]);
        let grids = image.detect_grids();
        let of_size = grids.iter().filter(|grid| rqrr::BitGrid::size(&grid.grid) == CODE_MODULES);
        of_size.map(|grid| (grid.decode().ok().map(|read| read.1), grid.bounds)).collect::<Vec<_>>()
    };
    let grids = catch_unwind(AssertUnwindSafe(read)).unwrap_or_default();
    let enlarge = |at: i32| (f64::from(at) + 0.5) * factor as f64;
    grids
        .into_iter()
        .take(MAX_GRIDS)
        .map(|(text, bounds)| SeenGrid { corners_px: bounds.map(|at| (enlarge(at.x), enlarge(at.y))), text })
        .collect()
}

/// Which code of the card a square is, if any.
fn recognise_code(picture: &GreyPicture<'_>, grid: &SeenGrid) -> Option<FoundCode> {
    // DIFFERENCE: `rqrr` 0.10 tells the bounds of one module more than the code has, to the right and below.
    let side_mm = (CODE_MODULES + 1) as f64 * MODULE_MM;
    let (left_mm, top_mm) = CardCode::Left.origin_mm();
    let ends = [(0.0, 0.0), (side_mm, 0.0), (side_mm, side_mm), (0.0, side_mm)];
    let coarse: Vec<PointPair> = ends
        .into_iter()
        .zip(grid.corners_px)
        .map(|(end, picture_px)| PointPair { card_mm: (left_mm + end.0, top_mm + end.1), picture_px })
        .collect();
    // Both codes have the same finder patterns; the square is refined as if it were the left one and moved afterwards.
    let pairs = refine_code_corners(picture, CardCode::Left, &coarse)?;
    let dark = read_modules(picture, &PlaneHomography::fit_pairs(&pairs)?)?;
    let code = CardCode::BOTH.into_iter().find(|code| {
        let agree = code.dark_modules().iter().zip(&dark).filter(|(wanted, seen)| wanted == seen).count();
        agree as f64 >= MIN_AGREEMENT_RATIO * dark.len() as f64
    })?;
    let origin_mm = code.origin_mm();
    let moved = |pair: PointPair| PointPair {
        card_mm: (pair.card_mm.0 - left_mm + origin_mm.0, pair.card_mm.1 - top_mm + origin_mm.1),
        ..pair
    };
    Some(FoundCode { code, pairs: pairs.into_iter().map(moved).collect() })
}

/// The modules of the left code's place, dark where darker than the mean.
fn read_modules(picture: &GreyPicture<'_>, map: &PlaneHomography) -> Option<Vec<bool>> {
    let (left_mm, top_mm) = CardCode::Left.origin_mm();
    let middle_mm = |at: usize| (at as f64 + 0.5) * MODULE_MM;
    let shades: Vec<f64> = (0..CODE_MODULES * CODE_MODULES)
        .map(|at| {
            let card_mm = (left_mm + middle_mm(at % CODE_MODULES), top_mm + middle_mm(at / CODE_MODULES));
            picture.shade_at(map.picture_px(card_mm)?)
        })
        .collect::<Option<_>>()?;
    let mean = shades.iter().sum::<f64>() / shades.len() as f64;
    Some(shades.into_iter().map(|shade| shade < mean).collect())
}
