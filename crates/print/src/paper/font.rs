//! Letters on paper: faces, widths, and what is written for a character that no typeface has.
//!
//! Atkinson Hyperlegible (OFL) sets the text; Noto Sans (Apache-2.0) has the signs that it lacks. A sign in neither is
//! written as words or as its number, never as the empty box of a missing glyph.

use std::borrow::Cow;
use std::sync::OnceLock;

use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider as _};

/// Bytes of the faces: text regular and bold, further signs regular and bold.
pub const FACES: [&[u8]; 4] = [
    include_bytes!("../../assets/letters-400.ttf"),
    include_bytes!("../../assets/letters-700.ttf"),
    ttf_noto_sans::REGULAR,
    ttf_noto_sans::BOLD,
];

/// Height of a capital against the size of the letters, in the text face.
pub const CAPITAL_RATIO: f64 = 0.668;

/// A letter as a face draws it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glyph {
    /// Which of [`FACES`].
    pub face: usize,
    /// Its number there.
    pub id: u32,
    /// How far it moves on, against the size of the letters.
    pub advance_ratio: f64,
    /// The letter.
    pub letter: char,
}

struct FontFace {
    map: Charmap<'static>,
    widths: GlyphMetrics<'static>,
    units_per_em: u16,
}

/// The faces, ready to measure.
pub struct LetterFaces {
    faces: Vec<FontFace>,
}

impl LetterFaces {
    /// The faces, read once; `None` if one of them is damaged.
    #[must_use]
    pub fn shared() -> Option<&'static Self> {
        static SHARED: OnceLock<Option<LetterFaces>> = OnceLock::new();
        SHARED.get_or_init(Self::new).as_ref()
    }

    /// Reads the faces; `None` if one of them is damaged.
    #[must_use]
    pub fn new() -> Option<Self> {
        let faces = FACES.iter().map(|bytes| read_face(bytes)).collect::<Option<Vec<_>>>()?;
        Some(Self { faces })
    }

    /// The glyphs of a text.
    #[must_use]
    pub fn glyphs(&self, text: &str, bold: bool) -> Vec<Glyph> {
        let mut out = Vec::with_capacity(text.len());
        for letter in text.chars() {
            if let Some(glyph) = self.glyph(letter, bold) {
                out.push(glyph);
                continue;
            }
            out.extend(sign_in_words(letter).chars().filter_map(|c| self.glyph(c, bold)));
        }
        out
    }

    /// Width of a text.
    #[must_use]
    pub fn width_mm(&self, text: &str, size_mm: f64, bold: bool) -> f64 {
        self.glyphs(text, bold).iter().map(|g| g.advance_ratio).sum::<f64>() * size_mm
    }

    /// Breaks a text into lines no wider than this: at spaces and, where one word is too long, within it.
    #[must_use]
    pub fn wrap(&self, text: &str, size_mm: f64, bold: bool, width_mm: f64) -> Vec<String> {
        let mut lines = Vec::new();
        for paragraph in text.lines() {
            self.wrap_line(paragraph, size_mm, bold, width_mm, &mut lines);
        }
        lines
    }

    fn wrap_line(&self, text: &str, size_mm: f64, bold: bool, width_mm: f64, lines: &mut Vec<String>) {
        let (mut line, mut line_mm) = (String::new(), 0.0);
        let space_mm = self.width_mm(" ", size_mm, bold);
        // The no-break space keeps figure and unit together, so only plain blanks part words.
        for word in text.split([' ', '\t']).filter(|w| !w.is_empty()) {
            let word_mm = self.width_mm(word, size_mm, bold);
            if !line.is_empty() && line_mm + space_mm + word_mm <= width_mm {
                line.push(' ');
                line.push_str(word);
                line_mm += space_mm + word_mm;
                continue;
            }
            if !line.is_empty() {
                lines.push(core::mem::take(&mut line));
            }
            (line, line_mm) = self.break_word(word, size_mm, bold, width_mm, lines);
        }
        if !line.is_empty() {
            lines.push(line);
        }
    }

    /// Pushes full lines of a word that is too long, and gives its end with the width of that.
    fn break_word(
        &self,
        word: &str,
        size_mm: f64,
        bold: bool,
        width_mm: f64,
        lines: &mut Vec<String>,
    ) -> (String, f64) {
        let (mut line, mut line_mm) = (String::new(), 0.0);
        for letter in word.chars() {
            let letter_mm = self.width_mm(letter.encode_utf8(&mut [0; 4]), size_mm, bold);
            if !line.is_empty() && line_mm + letter_mm > width_mm {
                lines.push(core::mem::take(&mut line));
                line_mm = 0.0;
            }
            line.push(letter);
            line_mm += letter_mm;
        }
        (line, line_mm)
    }

    /// The largest size, no larger than given, at which a text is no wider than this.
    #[must_use]
    pub fn fit_mm(&self, text: &str, size_mm: f64, bold: bool, width_mm: f64) -> f64 {
        let natural_mm = self.width_mm(text, size_mm, bold);
        if natural_mm > width_mm { size_mm * width_mm.max(0.0) / natural_mm } else { size_mm }
    }

    fn glyph(&self, letter: char, bold: bool) -> Option<Glyph> {
        let letter = if letter.is_whitespace() { ' ' } else { letter };
        let first = usize::from(bold);
        [first, first + 2].into_iter().find_map(|face| {
            let of = self.faces.get(face)?;
            let id = of.map.map(letter).filter(|id| id.to_u32() != 0)?;
            let advance_ratio = f64::from(of.widths.advance_width(id)?) / f64::from(of.units_per_em);
            Some(Glyph { face, id: id.to_u32(), advance_ratio, letter })
        })
    }
}

fn read_face(bytes: &'static [u8]) -> Option<FontFace> {
    let font = FontRef::new(bytes).ok()?;
    let widths = font.glyph_metrics(Size::unscaled(), LocationRef::default());
    let per_em = font.metrics(Size::unscaled(), LocationRef::default()).units_per_em;
    (per_em > 0).then(|| FontFace { map: font.charmap(), widths, units_per_em: per_em })
}

/// What is written for a sign that no face has.
fn sign_in_words(letter: char) -> Cow<'static, str> {
    match letter {
        '⌀' | '∅' => "Ø".into(),
        '✓' | '✔' => "yes".into(),
        '☐' => "[ ]".into(),
        '⚠' => "!".into(),
        '\u{2010}' | '\u{2011}' | '\u{2212}' => "-".into(),
        '→' => "->".into(),
        '\u{fe0f}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' => "".into(),
        c if c.is_control() => "".into(),
        c => format!("[U+{:04X}]", u32::from(c)).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::LetterFaces;

    #[test]
    fn no_sign_is_silently_missing() {
        let letters = LetterFaces::new().expect("the faces are sound");
        for text in ["9 N·m", "→ Ω ≤ ≥ ⌀ ☐ ✓", "日本", "a\u{202e}b", "\u{0}", "é ß Ж"] {
            let glyphs = letters.glyphs(text, false);
            assert!(glyphs.iter().all(|g| g.id != 0), "{text}");
        }
        let said: String = letters.glyphs("⌀ 8 日", true).iter().map(|g| g.letter).collect();
        assert_eq!(said, "Ø 8 [U+65E5]");
    }

    #[test]
    fn a_long_word_is_broken_and_none_is_lost() {
        let letters = LetterFaces::new().expect("the faces are sound");
        let text = "a Donaudampfschifffahrtsgesellschaftskapitänsmützenknopf b";
        let lines = letters.wrap(text, 4.0, false, 20.0);
        assert!(lines.len() > 3);
        assert!(lines.iter().all(|l| letters.width_mm(l, 4.0, false) <= 20.0 + 1e-9));
        let kept: String = lines.concat().replace(' ', "");
        assert_eq!(kept, text.replace(' ', ""));
    }
}
