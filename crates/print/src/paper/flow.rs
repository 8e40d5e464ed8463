//! Blocks to pieces: words broken by their real widths, pictures to scale, boxes to tick as outlines.

use crate::drawing::{Anchor, Drawing};
use crate::paper::block::{Block, Signal, StepLine};
use crate::paper::draw::draw;
use crate::paper::font::Letters;
use crate::paper::ink::{Colour, INK, Inks, Nib, Op, WHITE};
use crate::paper::piece::{Piece, stacked_height, together};
use crate::paper::{PaperError, pdf, table};

/// Sizes of letters, mm: small print, text, heading within a sheet, the one figure. 10 pt text is 3.53 mm.
pub const SMALL_MM: f64 = 2.75;
/// Text.
pub const TEXT_MM: f64 = 3.53;
const HEADING_MM: f64 = 4.6;
const LARGE_MM: f64 = 10.0;
/// From base line to base line, of the size.
pub const LEAD_RATIO: f64 = 1.3;
/// Side of a box to tick: large enough for a pencil held in a cold hand (assumption).
pub const BOX_MM: f64 = 4.6;

/// What lays blocks out.
pub struct Layout<'a> {
    /// Faces.
    pub letters: &'a Letters,
    /// Height of the lowest page, mm.
    pub page_mm: f64,
}

impl Layout<'_> {
    /// The pieces of blocks within a width.
    pub fn pieces(&self, blocks: &[Block], width_mm: f64) -> Result<Vec<Piece>, PaperError> {
        let mut out = Vec::new();
        let mut new_page = false;
        for block in blocks {
            if *block == Block::NewPage {
                new_page = true;
                continue;
            }
            let mut pieces = self.block(block, width_mm)?;
            if let Some(first) = pieces.first_mut() {
                first.new_page |= core::mem::take(&mut new_page);
            }
            out.extend(pieces);
        }
        Ok(out)
    }

    fn block(&self, block: &Block, width_mm: f64) -> Result<Vec<Piece>, PaperError> {
        Ok(match block {
            Block::Heading(text) => self.heading(text, width_mm),
            Block::Text(text) => self.paragraph(text, TEXT_MM, false, width_mm, 2.2),
            Block::Small(text) => self.paragraph(text, SMALL_MM, false, width_mm, 1.6),
            Block::Large(text) => self.paragraph(text, LARGE_MM, true, width_mm, 3.0),
            Block::Caution { signal, text } => vec![self.caution(*signal, text, width_mm)],
            Block::Table { columns, rows } => table::pieces(self.letters, columns, rows, width_mm),
            Block::Picture { drawing, height_mm } => vec![self.picture(drawing, *height_mm, width_mm)],
            Block::Photo { jpeg, caption, height_mm } => {
                vec![self.photo(jpeg, caption, *height_mm, width_mm)?]
            }
            Block::Steps(lines) => lines.iter().flat_map(|line| self.step(line, width_mm)).collect(),
            Block::Blanks { label, lines } => self.blanks(label, *lines, width_mm),
            Block::Together(blocks) => together(self.pieces(blocks, width_mm)?, self.page_mm),
            Block::Columns(columns) => self.columns(columns, width_mm)?,
            Block::NewPage => Vec::new(),
        })
    }

    fn heading(&self, text: &str, width_mm: f64) -> Vec<Piece> {
        let mut pieces = self.paragraph(text, HEADING_MM, true, width_mm, 5.0);
        pieces.iter_mut().for_each(|p| p.keep = true);
        if let Some(last) = pieces.last_mut() {
            last.height_mm += 0.6;
        }
        pieces
    }

    /// One piece a line; the first line stays with the second.
    fn paragraph(&self, text: &str, size_mm: f64, bold: bool, width_mm: f64, gap_mm: f64) -> Vec<Piece> {
        let lines = self.letters.wrap(text, size_mm, bold, width_mm);
        let count = lines.len();
        let piece = |(i, line): (usize, String)| {
            let mut inks = Inks::default();
            inks.text((0.0, size_mm), size_mm, bold, &line);
            Piece {
                inks,
                height_mm: size_mm * LEAD_RATIO,
                gap_mm: if i == 0 { gap_mm } else { 0.0 },
                keep: count > 1 && (i == 0 || i + 2 == count),
                ..Piece::default()
            }
        };
        lines.into_iter().enumerate().map(piece).collect()
    }

    /// A panel with the signal word and, beside or below it, what to mind.
    fn caution(&self, signal: Signal, text: &str, width_mm: f64) -> Piece {
        let (ground, ink) = colours(signal);
        let word = signal.word();
        let word_mm = self.letters.width_mm(word, TEXT_MM, true) + 11.0;
        let lines = self.letters.wrap(text, TEXT_MM, false, width_mm - word_mm - 5.0);
        let height_mm = (lines.len().max(1) as f64 * TEXT_MM * LEAD_RATIO + 2.6).max(7.4);
        let mut inks = Inks::default();
        inks.rect((0.0, 0.0), (word_mm, height_mm), Some(ground), None);
        inks.rect((0.0, 0.0), (width_mm, height_mm), None, Some(Nib::full(0.5)));
        inks.line((word_mm, 0.0), (word_mm, height_mm), Nib::full(0.5));
        let mut x_mm = 2.5;
        if signal != Signal::Notice {
            alert(&mut inks, (2.0, 1.2), ink, ground);
            x_mm = 8.5;
        }
        let at_mm = (x_mm, 1.3 + TEXT_MM);
        inks.0.push(Op::Text {
            at_mm,
            shift_mm: 0.0,
            turn_deg: 0.0,
            size_mm: TEXT_MM,
            bold: true,
            colour: ink,
            text: word.into(),
        });
        for (i, line) in lines.iter().enumerate() {
            let y_mm = 1.3 + TEXT_MM + i as f64 * TEXT_MM * LEAD_RATIO;
            inks.text((word_mm + 2.5, y_mm), TEXT_MM, false, line);
        }
        Piece { inks, height_mm, gap_mm: 2.4, keep: true, ..Piece::default() }
    }

    fn picture(&self, drawing: &Drawing, height_mm: f64, width_mm: f64) -> Piece {
        let high_mm = height_mm.clamp(5.0, (self.page_mm - 12.0).max(5.0));
        let scale = (width_mm / drawing.width_px.max(1.0)).min(high_mm / drawing.height_px.max(1.0));
        let left_mm = (width_mm - drawing.width_px * scale) / 2.0;
        let mut inks = Inks::default();
        draw(&mut inks, self.letters, drawing, (left_mm, 0.0), scale);
        Piece { inks, height_mm: drawing.height_px * scale, gap_mm: 2.5, ..Piece::default() }
    }

    fn photo(&self, jpeg: &[u8], caption: &str, height_mm: f64, width_mm: f64) -> Result<Piece, PaperError> {
        let (w, h) = pdf::photo_size(jpeg, caption)?;
        let high_mm = height_mm.clamp(5.0, (self.page_mm - 30.0).max(5.0));
        let scale = (width_mm / w).min(high_mm / h);
        let size_mm = (w * scale, h * scale);
        let mut inks = Inks::default();
        inks.0.push(Op::Photo { jpeg: jpeg.to_vec(), at_mm: (0.0, 0.0), size_mm });
        inks.rect((0.0, 0.0), size_mm, None, Some(Nib::full(0.2)));
        let mut y_mm = size_mm.1 + 1.0;
        for line in self.letters.wrap(caption, SMALL_MM, false, width_mm) {
            inks.text((0.0, y_mm + SMALL_MM), SMALL_MM, false, &line);
            y_mm += SMALL_MM * LEAD_RATIO;
        }
        Ok(Piece { inks, height_mm: y_mm, gap_mm: 2.5, ..Piece::default() })
    }

    /// Cautions first, then box, number, words, figure and slot; all of it together.
    fn step(&self, line: &StepLine, width_mm: f64) -> Vec<Piece> {
        let mut pieces: Vec<Piece> =
            line.cautions.iter().map(|(signal, text)| self.caution(*signal, text, width_mm)).collect();
        pieces.push(self.step_line(line, width_mm));
        together(pieces, self.page_mm)
    }

    fn step_line(&self, line: &StepLine, width_mm: f64) -> Piece {
        let left_mm = BOX_MM + 2.0 + self.letters.width_mm(&line.number, TEXT_MM, true).max(6.0) + 2.0;
        // A third of the width at most for figure and slot; longer ones are broken.
        let right_mm = width_mm * 0.3;
        let figure = self.letters.wrap(&line.figure, 4.6, true, right_mm);
        let slot = self.letters.wrap(&line.slot, TEXT_MM, true, right_mm);
        let has_right = !figure.is_empty() || !slot.is_empty();
        let words_mm = (width_mm - left_mm - if has_right { right_mm + 3.0 } else { 0.0 }).max(20.0);
        let mut inks = Inks::default();
        inks.line((0.0, 0.0), (width_mm, 0.0), Nib { colour: (150, 150, 150), ..Nib::full(0.13) });
        inks.rect((0.0, 1.2), (BOX_MM, BOX_MM), Some(WHITE), Some(Nib::full(0.35)));
        inks.text((BOX_MM + 2.0, 1.2 + TEXT_MM), TEXT_MM, true, &line.number);
        let mut y_mm = 1.2;
        for text in self.letters.wrap(&line.words, TEXT_MM, false, words_mm) {
            inks.text((left_mm, y_mm + TEXT_MM), TEXT_MM, false, &text);
            y_mm += TEXT_MM * LEAD_RATIO;
        }
        for text in line.details.iter().flat_map(|d| self.letters.wrap(d, SMALL_MM, false, words_mm)) {
            inks.text((left_mm, y_mm + SMALL_MM), SMALL_MM, false, &text);
            y_mm += SMALL_MM * LEAD_RATIO;
        }
        let mut right_y_mm = 1.0;
        for (texts, size_mm) in [(figure, 4.6), (slot, TEXT_MM)] {
            for text in texts {
                let at_mm = (width_mm, right_y_mm + size_mm);
                inks.anchored(self.letters, at_mm, Anchor::End, (size_mm, true), &text);
                right_y_mm += size_mm * LEAD_RATIO;
            }
        }
        let height_mm = y_mm.max(right_y_mm).max(BOX_MM + 1.2) + 1.4;
        Piece { inks, height_mm, gap_mm: 0.6, ..Piece::default() }
    }

    fn blanks(&self, label: &str, lines: u32, width_mm: f64) -> Vec<Piece> {
        let mut pieces = self.paragraph(label, TEXT_MM, false, width_mm, 3.0);
        pieces.iter_mut().for_each(|p| p.keep = true);
        for _ in 0..lines.min(200) {
            let mut inks = Inks::default();
            inks.line((0.0, 7.6), (width_mm, 7.6), Nib { colour: (120, 120, 120), ..Nib::full(0.18) });
            pieces.push(Piece { inks, height_mm: 8.0, ..Piece::default() });
        }
        pieces
    }

    /// Side by side; below each other where that is higher than a page.
    fn columns(&self, columns: &[Vec<Block>], width_mm: f64) -> Result<Vec<Piece>, PaperError> {
        const BETWEEN_MM: f64 = 6.0;
        let count = columns.len().max(1) as f64;
        let share_mm = (width_mm - BETWEEN_MM * (count - 1.0)) / count;
        let mut joined = Piece { gap_mm: 2.5, ..Piece::default() };
        for (i, blocks) in columns.iter().enumerate() {
            let pieces = self.pieces(blocks, share_mm)?;
            if share_mm < 25.0 || stacked_height(&pieces) > self.page_mm {
                return columns
                    .iter()
                    .map(|b| self.pieces(b, width_mm))
                    .collect::<Result<Vec<_>, _>>()
                    .map(|all| all.into_iter().flatten().collect());
            }
            for piece in together(pieces, self.page_mm) {
                joined.height_mm = joined.height_mm.max(piece.height_mm);
                joined.inks.take(piece.inks, ((share_mm + BETWEEN_MM) * i as f64, 0.0));
            }
        }
        Ok(vec![joined])
    }
}

/// Ground and letters of a signal word: safety red, orange, yellow and blue as ANSI Z535.1 pairs them with the words
/// (screen values from memory); black on yellow and orange, white on red and blue.
fn colours(signal: Signal) -> (Colour, Colour) {
    match signal {
        Signal::Danger => ((200, 16, 46), WHITE),
        Signal::Warning => ((255, 130, 0), INK),
        Signal::Caution => ((255, 209, 0), INK),
        Signal::Notice => ((0, 75, 135), WHITE),
    }
}

/// The safety alert sign: a triangle with an exclamation mark, as an outline.
fn alert(inks: &mut Inks, (x, y): (f64, f64), ink: Colour, ground: Colour) {
    let corners = [(x + 2.6, y), (x + 5.2, y + 4.6), (x, y + 4.6)];
    let segs = crate::paper::ink::polygon(&corners, true);
    inks.0.push(Op::Path { segs, fill: Some(ink), nib: None });
    inks.rect((x + 2.35, y + 1.5), (0.5, 1.6), Some(ground), None);
    inks.circle((x + 2.6, y + 3.8), 0.32, Some(ground), None);
}
