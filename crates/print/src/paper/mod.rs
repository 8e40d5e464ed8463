//! Paper: sheets made of blocks, labels and cards in true size; PDF and a page that prints come from the same blocks.
//!
//! A [`Pack`] is what one run prints. Its flowing sheets are laid out by the layout from top to bottom over as many
//! pages as they need; labels and hole cards have places of their own, in millimetres. Nothing leaves the page, nothing is
//! cut off: a word too long for its column is broken, a row too high for a page goes on behind it.

mod block;
mod draw;
mod flow;
mod font;
mod frame;
mod hole_card;
mod html;
mod ink;
mod label;
mod pages;
mod part_box;
mod pdf;
mod piece;
mod qr;
mod table;
mod tags;

pub use block::{
    HoleCard, HoleSpot, LabelGrid, LabelSheet, Pack, PaperAlign, PaperBlock, PaperCell, PaperColumn,
    PaperError, PaperFoot, PaperLabel, PaperRow, PaperSheet, PaperSize, PaperStep, PartBox, SheetBody,
};
pub(crate) use font::LetterFaces;
pub use html::{write_blocks_html, write_html};
pub use pages::LaidPack;

/// The pack as a PDF file; the same pack gives the same bytes.
///
/// # Errors
/// There is no sheet, labels do not fit the paper, or a photograph is no JPEG.
pub fn write_pdf(pack: &Pack) -> Result<Vec<u8>, PaperError> {
    lay_out_pack(pack)?.write_pdf()
}

/// Lays a pack out on its pages, to tell how many they are before they are written.
///
/// # Errors
/// As [`write_pdf`], but for what only the writing finds.
pub fn lay_out_pack(pack: &Pack) -> Result<LaidPack, PaperError> {
    LaidPack::lay_out(pack)
}
