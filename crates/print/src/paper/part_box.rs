//! Steps on one part in a box: the part above, then a line for each step with its box to tick; narrow enough for two columns.
//!
//! The box breaks between steps only. What the hand sets stands large at the right; the words run on below it.

use crate::drawing::TextAnchor;
use crate::paper::block::{PaperStep, PartBox};
use crate::paper::flow::{BlockLayout, signal_colours};
use crate::paper::ink::{INK, InkColour, InkItem, InkNib, InkRole, PageInks, WHITE};
use crate::paper::piece::{PaperPiece, join_pieces};

/// Text: 8.7 pt, capitals of 2.04 mm, read at 0.6 m by the rule of [`crate::paper::label`].
const WORDS_MM: f64 = 3.06;
/// Tools and small print: 8 pt.
const TOOLS_MM: f64 = 2.82;
/// The part.
const TITLE_MM: f64 = 3.45;
/// What the hand sets.
const FIGURE_MM: f64 = 5.0;
/// Slot.
const SLOT_MM: f64 = 3.53;
/// The verdict, and the sentence beside it.
const VERDICT_MM: f64 = 14.0;
const SAID_MM: f64 = 4.2;
/// From base line to base line, of the size.
const LEAD_RATIO: f64 = 1.17;
/// Side of a box to tick.
const TICK_MM: f64 = 3.9;
/// A box up to this height is not parted, mm.
const MAX_WHOLE_MM: f64 = 32.0;
const GREY: InkColour = (140, 140, 140);

impl BlockLayout<'_> {
    /// The pieces of a box: its title, then its steps.
    pub fn pieces_of_part_box(&self, part: &PartBox, width_mm: f64) -> Vec<PaperPiece> {
        let title = self.part_title_piece(&part.title, &part.beside, width_mm);
        let again = self.part_title_piece(&part.title, "continued", width_mm);
        let mut pieces = vec![title];
        for (at, line) in part.lines.iter().enumerate() {
            let mut piece = self.part_line_piece(line, width_mm);
            if at > 0 {
                piece.inks.line((0.0, 0.0), (width_mm, 0.0), hair_line());
                piece.header = Some((again.inks.clone(), again.height_mm));
            }
            pieces.push(piece);
        }
        let height_mm: f64 = pieces.iter().map(|p| p.height_mm).sum();
        if height_mm <= MAX_WHOLE_MM { join_pieces(pieces, self.page_mm) } else { pieces }
    }

    /// The part in bold under a thick line.
    fn part_title_piece(&self, title: &str, beside: &str, width_mm: f64) -> PaperPiece {
        let mut inks = PageInks::default();
        inks.line((0.0, 0.0), (width_mm, 0.0), InkNib::full_line(0.5));
        if title.is_empty() {
            return PaperPiece { inks, height_mm: 0.3, gap_mm: 1.8, keep: true, ..PaperPiece::default() };
        }
        let beside_mm = self.letters.width_mm(beside, TOOLS_MM, false).min(width_mm * 0.5);
        let mut y_mm = 0.8;
        for line in self.letters.wrap(title, TITLE_MM, true, width_mm - beside_mm - 3.0) {
            inks.text((0.0, y_mm + TITLE_MM), TITLE_MM, true, &line);
            y_mm += TITLE_MM * LEAD_RATIO;
        }
        let size_mm = self.letters.fit_mm(beside, TOOLS_MM, false, width_mm * 0.5);
        inks.anchored_text(
            self.letters,
            (width_mm, 0.8 + TITLE_MM),
            TextAnchor::End,
            (size_mm, false),
            beside,
        );
        inks.set_role(InkRole::Heading);
        PaperPiece { inks, height_mm: y_mm + 0.2, gap_mm: 1.3, keep: true, ..PaperPiece::default() }
    }

    /// Cautions, then box, number, words with tools below, and at the right what is set and where fasteners go.
    fn part_line_piece(&self, line: &PaperStep, width_mm: f64) -> PaperPiece {
        let mut inks = PageInks::default();
        let mut y_mm = 0.5;
        for (signal, text) in &line.cautions {
            y_mm = self.draw_mild_caution(&mut inks, (*signal, text), y_mm, width_mm);
        }
        let left_mm = TICK_MM + 1.2 + self.letters.width_mm(&line.number, WORDS_MM, true).max(5.6) + 1.2;
        let is_said = !line.words.is_empty();
        if is_said && line.stop.is_empty() {
            inks.rect((0.0, y_mm), (TICK_MM, TICK_MM), Some(WHITE), Some(InkNib::full_line(0.3)));
        }
        inks.text((TICK_MM + 1.2, y_mm + WORDS_MM), WORDS_MM, true, &line.number);
        let (right_mm, right_y_mm) = self.draw_right_side(&mut inks, line, y_mm, width_mm);
        let narrow_mm = (width_mm - left_mm - if right_mm > 0.0 { right_mm + 2.0 } else { 0.0 }).max(20.0);
        let wide_mm = (width_mm - left_mm).max(20.0);
        // A line may begin where the letters beside it have ended, though not their lead.
        let lines_beside = ((right_y_mm - y_mm) / (WORDS_MM * LEAD_RATIO) - 0.2).ceil().max(0.0) as usize;
        let width_of_line = |at: usize| if at < lines_beside { narrow_mm } else { wide_mm };
        for row in self.run_in_rows(line, &width_of_line) {
            let mut x_mm = left_mm;
            for (words, size_mm) in &row {
                inks.text((x_mm, y_mm + WORDS_MM), *size_mm, false, words);
                x_mm += self.letters.width_mm(words, *size_mm, false);
            }
            y_mm += WORDS_MM * LEAD_RATIO;
        }
        if !line.stop.is_empty() {
            y_mm = self.draw_stop(&mut inks, &line.stop, (left_mm, y_mm.max(right_y_mm)), wide_mm);
        }
        inks.set_role(InkRole::Paragraph);
        let height_mm = y_mm.max(right_y_mm).max(if is_said { TICK_MM + 0.5 } else { 0.0 }) + 0.5;
        PaperPiece { inks, height_mm, ..PaperPiece::default() }
    }

    /// Figure, what is beside it, and slot, below each other; gives how wide they are and where they end.
    fn draw_right_side(
        &self,
        inks: &mut PageInks,
        line: &PaperStep,
        top_mm: f64,
        width_mm: f64,
    ) -> (f64, f64) {
        let most_mm = width_mm * 0.36;
        let mut y_mm = top_mm - 0.4;
        let mut wide_mm: f64 = 0.0;
        for (text, size_mm, bold) in
            [(&line.figure, FIGURE_MM, true), (&line.beside, TOOLS_MM, false), (&line.slot, SLOT_MM, true)]
        {
            for words in self.letters.wrap(text, size_mm, bold, most_mm) {
                wide_mm = wide_mm.max(self.letters.width_mm(&words, size_mm, bold));
                let at_mm = (width_mm, y_mm + size_mm);
                inks.anchored_text(self.letters, at_mm, TextAnchor::End, (size_mm, bold), &words);
                y_mm += size_mm * LEAD_RATIO;
            }
        }
        (wide_mm, if wide_mm > 0.0 { y_mm } else { top_mm })
    }

    /// The words of a step with its tools and notes run in behind them, smaller, in rows of the widths that there are.
    fn run_in_rows(&self, line: &PaperStep, width_of_row: &dyn Fn(usize) -> f64) -> Vec<Vec<(String, f64)>> {
        let mut rows: Vec<Vec<(String, f64)>> = vec![Vec::new()];
        let mut used_mm = 0.0;
        let details = line.details.iter().map(|text| (text.as_str(), TOOLS_MM));
        let runs = core::iter::once((line.words.as_str(), WORDS_MM)).chain(details);
        for (at, (text, size_mm)) in runs.enumerate() {
            let mark = if at > 1 { "•\u{a0}" } else { "" };
            let words = text.split([' ', '\t', '\n']).filter(|word| !word.is_empty());
            for (nth, word) in words.enumerate() {
                let word = if nth == 0 { format!("{mark}{word}") } else { word.to_owned() };
                for part in self.letters.wrap(&word, size_mm, false, width_of_row(rows.len() - 1)) {
                    let part_mm = self.letters.width_mm(&part, size_mm, false);
                    let blank_mm = self.letters.width_mm(" ", size_mm, false);
                    if used_mm > 0.0 && used_mm + blank_mm + part_mm > width_of_row(rows.len() - 1) {
                        rows.push(Vec::new());
                        used_mm = 0.0;
                    }
                    let blank = if used_mm > 0.0 { " " } else { "" };
                    used_mm += part_mm + if used_mm > 0.0 { blank_mm } else { 0.0 };
                    let Some(row) = rows.last_mut() else { continue };
                    match row.last_mut().filter(|(_, size)| *size == size_mm) {
                        Some((run, _)) => run.push_str(&format!("{blank}{part}")),
                        None => row.push((format!("{blank}{part}"), size_mm)),
                    }
                }
            }
        }
        rows.retain(|row| !row.is_empty());
        rows
    }

    /// The signal word in its colours with the words beside it; gives where it ends.
    fn draw_mild_caution(
        &self,
        inks: &mut PageInks,
        (signal, text): (model::SignalWord, &str),
        top_mm: f64,
        width_mm: f64,
    ) -> f64 {
        let (ground, ink) = signal_colours(signal);
        let word = signal.file_word();
        let word_mm = self.letters.width_mm(word, TOOLS_MM, true) + 3.0;
        let lines = self.letters.wrap(text, TOOLS_MM, false, width_mm - word_mm - 2.5);
        let high_mm = (lines.len().max(1) as f64 * TOOLS_MM * LEAD_RATIO) + 0.9;
        inks.rect((0.0, top_mm), (word_mm, high_mm), Some(ground), None);
        inks.rect((0.0, top_mm), (width_mm, high_mm), None, Some(InkNib::full_line(0.35)));
        inks.0.push(coloured_text((1.5, top_mm + 0.3 + TOOLS_MM), TOOLS_MM, ink, word));
        for (at, line) in lines.iter().enumerate() {
            let y_mm = top_mm + 0.3 + TOOLS_MM + at as f64 * TOOLS_MM * LEAD_RATIO;
            inks.text((word_mm + 1.2, y_mm), TOOLS_MM, false, line);
        }
        top_mm + high_mm + 0.4
    }

    /// NO-GO in white on black, with the reason; gives where it ends.
    fn draw_stop(&self, inks: &mut PageInks, stop: &str, (x_mm, top_mm): (f64, f64), width_mm: f64) -> f64 {
        let lines = self.letters.wrap(&format!("NO-GO  {stop}"), WORDS_MM, true, width_mm - 3.0);
        let high_mm = lines.len() as f64 * WORDS_MM * LEAD_RATIO + 1.6;
        inks.rect((x_mm, top_mm + 0.6), (width_mm, high_mm), Some(INK), None);
        for (at, line) in lines.iter().enumerate() {
            let y_mm = top_mm + 1.2 + WORDS_MM + at as f64 * WORDS_MM * LEAD_RATIO;
            inks.0.push(coloured_text((x_mm + 1.5, y_mm), WORDS_MM, WHITE, line));
        }
        top_mm + 0.6 + high_mm
    }

    /// The verdict in letters read across the shop, with its sentence beside it.
    pub fn verdict_piece(&self, word: &str, text: &str, is_stop: bool, width_mm: f64) -> PaperPiece {
        let word_mm = self.letters.fit_mm(word, VERDICT_MM, true, width_mm * 0.45);
        let left_mm = self.letters.width_mm(word, word_mm, true) + 10.0;
        let lines = self.letters.wrap(text, SAID_MM, true, width_mm - left_mm - 4.0);
        let height_mm = (lines.len() as f64 * SAID_MM * 1.3 + 5.0).max(VERDICT_MM + 6.0);
        let (ground, ink) = if is_stop { (INK, WHITE) } else { (WHITE, INK) };
        let mut inks = PageInks::default();
        inks.rect((0.0, 0.0), (width_mm, height_mm), Some(ground), Some(InkNib::full_line(0.7)));
        inks.0.push(coloured_text((5.0, height_mm / 2.0 + word_mm * 0.33), word_mm, ink, word));
        let top_mm = (height_mm - lines.len() as f64 * SAID_MM * 1.3) / 2.0;
        for (at, line) in lines.iter().enumerate() {
            let y_mm = top_mm + SAID_MM + at as f64 * SAID_MM * 1.3;
            inks.0.push(coloured_text((left_mm, y_mm), SAID_MM, ink, line));
        }
        inks.set_role(InkRole::Heading);
        PaperPiece { inks, height_mm, gap_mm: 2.0, ..PaperPiece::default() }
    }

    /// A heading in white on a dark band.
    pub fn band_piece(&self, text: &str, width_mm: f64) -> PaperPiece {
        let lines = self.letters.wrap(text, TITLE_MM, true, width_mm - 3.0);
        let height_mm = lines.len().max(1) as f64 * TITLE_MM * LEAD_RATIO + 1.4;
        let mut inks = PageInks::default();
        inks.rect((0.0, 0.0), (width_mm, height_mm), Some(INK), None);
        for (at, line) in lines.iter().enumerate() {
            let y_mm = 0.4 + TITLE_MM + at as f64 * TITLE_MM * LEAD_RATIO;
            inks.0.push(coloured_text((1.5, y_mm), TITLE_MM, WHITE, line));
        }
        inks.set_role(InkRole::Heading);
        PaperPiece { inks, height_mm, gap_mm: 3.0, keep: true, ..PaperPiece::default() }
    }
}

fn hair_line() -> InkNib {
    InkNib { colour: GREY, ..InkNib::full_line(0.13) }
}

/// Bold words in a colour.
fn coloured_text(at_mm: (f64, f64), size_mm: f64, colour: InkColour, text: &str) -> InkItem {
    InkItem::Text { at_mm, shift_mm: 0.0, turn_deg: 0.0, size_mm, bold: true, colour, text: text.into() }
}
