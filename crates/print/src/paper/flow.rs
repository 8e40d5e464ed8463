//! Blocks to pieces: words broken by their real widths, pictures to scale, boxes to tick as outlines.

use crate::drawing::{Drawing, TextAnchor};
use crate::paper::block::{PaperBlock, PaperLabel, PaperStep};
use crate::paper::draw::draw_on_paper;
use crate::paper::font::LetterFaces;
use crate::paper::ink::{INK, InkColour, InkItem, InkNib, InkRole, PageInks, WHITE};
use crate::paper::label::{draw_cut_marks, draw_label};
use crate::paper::piece::{PaperPiece, join_pieces, stacked_height_mm};
use crate::paper::qr::LinkCode;
use crate::paper::{PaperError, pdf, table};
use model::SignalWord;

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

/// A tag to be cut out: the size of a card for a key ring.
const TAG_MM: (f64, f64) = (90.0, 52.0);
/// Largest side of a code beside words.
const CODE_MM: f64 = 27.0;

/// What lays blocks out.
pub struct BlockLayout<'a> {
    /// Faces.
    pub letters: &'a LetterFaces,
    /// Height of the lowest page, mm.
    pub page_mm: f64,
}

impl BlockLayout<'_> {
    /// The pieces of blocks within a width.
    pub fn pieces_of_blocks(
        &self,
        blocks: &[PaperBlock],
        width_mm: f64,
    ) -> Result<Vec<PaperPiece>, PaperError> {
        let mut out = Vec::new();
        let mut new_page = false;
        for block in blocks {
            if *block == PaperBlock::NewPage {
                new_page = true;
                continue;
            }
            let mut pieces = self.pieces_of_block(block, width_mm)?;
            if let Some(first) = pieces.first_mut() {
                first.new_page |= core::mem::take(&mut new_page);
            }
            out.extend(pieces);
        }
        Ok(out)
    }

    fn pieces_of_block(&self, block: &PaperBlock, width_mm: f64) -> Result<Vec<PaperPiece>, PaperError> {
        Ok(match block {
            PaperBlock::Heading(text) => self.heading_pieces(text, width_mm),
            PaperBlock::Text(text) => self.paragraph_pieces(text, TEXT_MM, false, width_mm, 2.2),
            PaperBlock::Small(text) => self.paragraph_pieces(text, SMALL_MM, false, width_mm, 1.6),
            PaperBlock::Large(text) => self.paragraph_pieces(text, LARGE_MM, true, width_mm, 3.0),
            PaperBlock::Caution { signal, text } => vec![self.caution_piece(*signal, text, width_mm)],
            PaperBlock::Table { columns, rows } => table::table_pieces(self.letters, columns, rows, width_mm),
            PaperBlock::Picture { drawing, height_mm } => {
                vec![self.picture_piece(drawing, *height_mm, width_mm)]
            }
            PaperBlock::Photo { jpeg, caption, height_mm } => {
                vec![self.photo_piece(jpeg, caption, *height_mm, width_mm)?]
            }
            PaperBlock::Steps(lines) => {
                lines.iter().flat_map(|line| self.pieces_of_step(line, width_mm)).collect()
            }
            PaperBlock::PartBox(part) => self.pieces_of_part_box(part, width_mm),
            PaperBlock::Verdict { word, text, is_stop } => {
                vec![self.verdict_piece(word, text, *is_stop, width_mm)]
            }
            // Filled in by the pack, which knows the pages.
            PaperBlock::Contents => Vec::new(),
            PaperBlock::Band(text) => vec![self.band_piece(text, width_mm)],
            PaperBlock::Tag(label) => vec![self.tag_piece(label, width_mm)],
            PaperBlock::Code { link, words } => vec![self.code_piece(link, words, width_mm)],
            PaperBlock::Blanks { label, lines } => self.blank_line_pieces(label, *lines, width_mm),
            PaperBlock::Together(blocks) => {
                join_pieces(self.pieces_of_blocks(blocks, width_mm)?, self.page_mm)
            }
            PaperBlock::Columns(columns) => self.column_pieces(columns, width_mm)?,
            PaperBlock::NewPage => Vec::new(),
        })
    }

    fn heading_pieces(&self, text: &str, width_mm: f64) -> Vec<PaperPiece> {
        let mut pieces = self.paragraph_pieces(text, HEADING_MM, true, width_mm, 5.0);
        pieces.iter_mut().for_each(|p| p.keep = true);
        if let Some(InkItem::Role(role)) = pieces.first_mut().and_then(|p| p.inks.0.first_mut()) {
            *role = InkRole::Heading;
        }
        if let Some(last) = pieces.last_mut() {
            last.height_mm += 0.6;
        }
        pieces
    }

    /// A label with marks to cut along.
    fn tag_piece(&self, label: &PaperLabel, width_mm: f64) -> PaperPiece {
        let size_mm = (TAG_MM.0.min(width_mm), TAG_MM.1);
        let mut inks = PageInks::default();
        draw_label(&mut inks, self.letters, label, size_mm);
        draw_cut_marks(&mut inks, (0.0, 0.0), size_mm);
        inks.set_role(InkRole::Paragraph);
        PaperPiece { inks, height_mm: size_mm.1 + 2.0, gap_mm: 4.0, ..PaperPiece::default() }
    }

    /// A code with words beside it; the address where it is too long for a code.
    fn code_piece(&self, link: &str, words: &str, width_mm: f64) -> PaperPiece {
        let code = LinkCode::of_link(link);
        let side_mm = code.as_ref().and_then(|code| code.side_mm(CODE_MM));
        let mut inks = PageInks::default();
        let mut left_mm = 0.0;
        if let (Some(code), Some(side_mm)) = (&code, side_mm) {
            code.draw(&mut inks, (0.0, 0.0), side_mm);
            left_mm = side_mm + 1.0;
        }
        let mut y_mm = 1.0;
        let words = if side_mm.is_some() { words.to_owned() } else { format!("{words}: {link}") };
        for line in self.letters.wrap(&words, SMALL_MM, false, (width_mm - left_mm).max(10.0)) {
            inks.text((left_mm, y_mm + SMALL_MM), SMALL_MM, false, &line);
            y_mm += SMALL_MM * LEAD_RATIO;
        }
        inks.set_role(InkRole::Paragraph);
        let height_mm = y_mm.max(side_mm.unwrap_or(0.0));
        PaperPiece { inks, height_mm, gap_mm: 1.5, ..PaperPiece::default() }
    }

    /// One piece a line; the first line stays with the second.
    fn paragraph_pieces(
        &self,
        text: &str,
        size_mm: f64,
        bold: bool,
        width_mm: f64,
        gap_mm: f64,
    ) -> Vec<PaperPiece> {
        let lines = self.letters.wrap(text, size_mm, bold, width_mm);
        let count = lines.len();
        let piece = |(i, line): (usize, String)| {
            let mut inks = PageInks::default();
            inks.text((0.0, size_mm), size_mm, bold, &line);
            inks.set_role(if i == 0 { InkRole::Paragraph } else { InkRole::Further });
            PaperPiece {
                inks,
                height_mm: size_mm * LEAD_RATIO,
                gap_mm: if i == 0 { gap_mm } else { 0.0 },
                keep: count > 1 && (i == 0 || i + 2 == count),
                ..PaperPiece::default()
            }
        };
        lines.into_iter().enumerate().map(piece).collect()
    }

    /// A panel with the signal word and, beside or below it, what to mind.
    fn caution_piece(&self, signal: SignalWord, text: &str, width_mm: f64) -> PaperPiece {
        let (ground, ink) = signal_colours(signal);
        let word = signal.file_word();
        let word_mm = self.letters.width_mm(word, TEXT_MM, true) + 11.0;
        let lines = self.letters.wrap(text, TEXT_MM, false, width_mm - word_mm - 5.0);
        let height_mm = (lines.len().max(1) as f64 * TEXT_MM * LEAD_RATIO + 2.6).max(7.4);
        let mut inks = PageInks::default();
        inks.rect((0.0, 0.0), (word_mm, height_mm), Some(ground), None);
        inks.rect((0.0, 0.0), (width_mm, height_mm), None, Some(InkNib::full_line(0.5)));
        inks.line((word_mm, 0.0), (word_mm, height_mm), InkNib::full_line(0.5));
        let mut x_mm = 2.5;
        if signal != SignalWord::Notice {
            draw_alert_sign(&mut inks, (2.0, 1.2), ink, ground);
            x_mm = 8.5;
        }
        let at_mm = (x_mm, 1.3 + TEXT_MM);
        inks.0.push(InkItem::Text {
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
        inks.set_role(InkRole::Paragraph);
        PaperPiece { inks, height_mm, gap_mm: 2.4, keep: true, ..PaperPiece::default() }
    }

    fn picture_piece(&self, drawing: &Drawing, height_mm: f64, width_mm: f64) -> PaperPiece {
        let high_mm = height_mm.clamp(5.0, (self.page_mm - 12.0).max(5.0));
        let scale = (width_mm / drawing.width_px.max(1.0)).min(high_mm / drawing.height_px.max(1.0));
        let left_mm = (width_mm - drawing.width_px * scale) / 2.0;
        let mut inks = PageInks::default();
        draw_on_paper(&mut inks, self.letters, drawing, (left_mm, 0.0), scale);
        inks.set_role(InkRole::Figure(drawing.title.clone()));
        PaperPiece { inks, height_mm: drawing.height_px * scale, gap_mm: 2.5, ..PaperPiece::default() }
    }

    fn photo_piece(
        &self,
        jpeg: &[u8],
        caption: &str,
        height_mm: f64,
        width_mm: f64,
    ) -> Result<PaperPiece, PaperError> {
        let (w, h) = pdf::photo_size(jpeg, caption)?;
        let high_mm = height_mm.clamp(5.0, (self.page_mm - 30.0).max(5.0));
        let scale = (width_mm / w).min(high_mm / h);
        let size_mm = (w * scale, h * scale);
        let mut inks = PageInks::default();
        inks.0.push(InkItem::Photo { jpeg: jpeg.to_vec(), at_mm: (0.0, 0.0), size_mm });
        inks.rect((0.0, 0.0), size_mm, None, Some(InkNib::full_line(0.2)));
        inks.set_role(InkRole::Figure(caption.to_owned()));
        let mut y_mm = size_mm.1 + 1.0;
        for line in self.letters.wrap(caption, SMALL_MM, false, width_mm) {
            inks.text((0.0, y_mm + SMALL_MM), SMALL_MM, false, &line);
            y_mm += SMALL_MM * LEAD_RATIO;
        }
        Ok(PaperPiece { inks, height_mm: y_mm, gap_mm: 2.5, ..PaperPiece::default() })
    }

    /// Cautions first, then box, number, words, figure and slot; all of it together.
    fn pieces_of_step(&self, line: &PaperStep, width_mm: f64) -> Vec<PaperPiece> {
        let mut pieces: Vec<PaperPiece> =
            line.cautions.iter().map(|(signal, text)| self.caution_piece(*signal, text, width_mm)).collect();
        pieces.push(self.step_line_piece(line, width_mm));
        join_pieces(pieces, self.page_mm)
    }

    fn step_line_piece(&self, line: &PaperStep, width_mm: f64) -> PaperPiece {
        let left_mm = BOX_MM + 2.0 + self.letters.width_mm(&line.number, TEXT_MM, true).max(6.0) + 2.0;
        // A third of the width at most for figure and slot; longer ones are broken.
        let right_mm = width_mm * 0.3;
        let figure = self.letters.wrap(&line.figure, 4.6, true, right_mm);
        let slot = self.letters.wrap(&line.slot, TEXT_MM, true, right_mm);
        let has_right = !figure.is_empty() || !slot.is_empty() || !line.beside.is_empty();
        let words_mm = (width_mm - left_mm - if has_right { right_mm + 3.0 } else { 0.0 }).max(20.0);
        let mut inks = PageInks::default();
        inks.line((0.0, 0.0), (width_mm, 0.0), InkNib { colour: (150, 150, 150), ..InkNib::full_line(0.13) });
        if line.stop.is_empty() {
            inks.rect((0.0, 1.2), (BOX_MM, BOX_MM), Some(WHITE), Some(InkNib::full_line(0.35)));
        }
        inks.text((BOX_MM + 2.0, 1.2 + TEXT_MM), TEXT_MM, true, &line.number);
        let mut y_mm = 1.2;
        for text in self.letters.wrap(&line.words, TEXT_MM, false, words_mm) {
            inks.text((left_mm, y_mm + TEXT_MM), TEXT_MM, false, &text);
            y_mm += TEXT_MM * LEAD_RATIO;
        }
        let stop = (!line.stop.is_empty()).then(|| format!("NO-GO: {}", line.stop));
        for text in stop.iter().flat_map(|stop| self.letters.wrap(stop, TEXT_MM, true, words_mm)) {
            inks.text((left_mm, y_mm + TEXT_MM), TEXT_MM, true, &text);
            y_mm += TEXT_MM * LEAD_RATIO;
        }
        for text in line.details.iter().flat_map(|d| self.letters.wrap(d, SMALL_MM, false, words_mm)) {
            inks.text((left_mm, y_mm + SMALL_MM), SMALL_MM, false, &text);
            y_mm += SMALL_MM * LEAD_RATIO;
        }
        let mut right_y_mm = 1.0;
        let beside = self.letters.wrap(&line.beside, SMALL_MM, true, right_mm);
        for (texts, size_mm) in [(figure, 4.6), (beside, SMALL_MM), (slot, TEXT_MM)] {
            for text in texts {
                let at_mm = (width_mm, right_y_mm + size_mm);
                inks.anchored_text(self.letters, at_mm, TextAnchor::End, (size_mm, true), &text);
                right_y_mm += size_mm * LEAD_RATIO;
            }
        }
        let height_mm = y_mm.max(right_y_mm).max(BOX_MM + 1.2) + 1.4;
        inks.set_role(InkRole::Paragraph);
        PaperPiece { inks, height_mm, gap_mm: 0.6, ..PaperPiece::default() }
    }

    fn blank_line_pieces(&self, label: &str, lines: u32, width_mm: f64) -> Vec<PaperPiece> {
        let mut pieces = self.paragraph_pieces(label, TEXT_MM, false, width_mm, 3.0);
        pieces.iter_mut().for_each(|p| p.keep = true);
        for _ in 0..lines.min(200) {
            let mut inks = PageInks::default();
            inks.line(
                (0.0, 7.6),
                (width_mm, 7.6),
                InkNib { colour: (120, 120, 120), ..InkNib::full_line(0.18) },
            );
            pieces.push(PaperPiece { inks, height_mm: 8.0, ..PaperPiece::default() });
        }
        pieces
    }

    /// Side by side; below each other where that is higher than a page.
    fn column_pieces(
        &self,
        columns: &[Vec<PaperBlock>],
        width_mm: f64,
    ) -> Result<Vec<PaperPiece>, PaperError> {
        const BETWEEN_MM: f64 = 6.0;
        let count = columns.len().max(1) as f64;
        let share_mm = (width_mm - BETWEEN_MM * (count - 1.0)) / count;
        let mut joined = PaperPiece { gap_mm: 2.5, ..PaperPiece::default() };
        for (i, blocks) in columns.iter().enumerate() {
            let pieces = self.pieces_of_blocks(blocks, share_mm)?;
            if share_mm < 25.0 || stacked_height_mm(&pieces) > self.page_mm {
                return columns
                    .iter()
                    .map(|b| self.pieces_of_blocks(b, width_mm))
                    .collect::<Result<Vec<_>, _>>()
                    .map(|all| all.into_iter().flatten().collect());
            }
            for piece in join_pieces(pieces, self.page_mm) {
                joined.height_mm = joined.height_mm.max(piece.height_mm);
                joined.inks.take_inks(piece.inks, ((share_mm + BETWEEN_MM) * i as f64, 0.0));
            }
        }
        Ok(vec![joined])
    }
}

/// Ground and letters of a signal word: safety red, orange, yellow and blue as ANSI Z535.1 pairs them with the words
/// (screen values from memory); black on yellow and orange, white on red and blue.
pub fn signal_colours(signal: SignalWord) -> (InkColour, InkColour) {
    match signal {
        SignalWord::Danger => ((200, 16, 46), WHITE),
        SignalWord::Warning => ((255, 130, 0), INK),
        SignalWord::Caution => ((255, 209, 0), INK),
        SignalWord::Notice => ((0, 75, 135), WHITE),
    }
}

/// The safety alert sign: a triangle with an exclamation mark, as an outline.
fn draw_alert_sign(inks: &mut PageInks, (x, y): (f64, f64), ink: InkColour, ground: InkColour) {
    let corners = [(x + 2.6, y), (x + 5.2, y + 4.6), (x, y + 4.6)];
    let segs = crate::paper::ink::polygon_segments(&corners, true);
    inks.0.push(InkItem::Path { segs, fill: Some(ink), nib: None });
    inks.rect((x + 2.35, y + 1.5), (0.5, 1.6), Some(ground), None);
    inks.circle((x + 2.6, y + 3.8), 0.32, Some(ground), None);
}
