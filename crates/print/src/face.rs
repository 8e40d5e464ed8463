//! The text face within a page or a drawing: so that the words are as wide on the reader's machine as they were laid out.

use std::sync::OnceLock;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

/// Names under which pages and drawings ask for the face: the embedded one, the same installed, then one as wide.
pub const FACE_FAMILY: &str = "Letters, 'Atkinson Hyperlegible', Verdana, sans-serif";

/// Regular and bold, as the bench serves them (WOFF2, the letters of European languages).
const WEB_FACES: [(u32, &[u8]); 2] = [
    (400, include_bytes!("../../web/assets/letters-400.woff2")),
    (700, include_bytes!("../../web/assets/letters-700.woff2")),
];

/// The rules of a style sheet that bring the face with them, about 46 kB.
#[must_use]
pub fn face_rules() -> &'static str {
    static RULES: OnceLock<String> = OnceLock::new();
    RULES.get_or_init(|| {
        let rule = |(weight, bytes): &(u32, &[u8])| {
            format!(
                "@font-face{{font-family:Letters;font-weight:{weight};src:url(data:font/woff2;base64,{}) format('woff2')}}",
                STANDARD.encode(bytes)
            )
        };
        WEB_FACES.iter().map(rule).collect()
    })
}

/// A drawing as a file of its own: the same with its face within.
#[must_use]
pub fn embed_face(svg: &str) -> String {
    match svg.find("<svg").and_then(|at| svg[at..].find('>').map(|end| at + end + 1)) {
        Some(at) => format!("{}\n<style>{}</style>{}", &svg[..at], face_rules(), &svg[at..]),
        None => svg.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Drawing, INK, TextAnchor};
    use crate::svg::write_svg;

    #[test]
    fn a_drawing_asks_for_the_face_that_it_brings() {
        let mut drawing = Drawing::new("a", "a", 100.0, 50.0);
        drawing.text((5.0, 20.0), 16.0, TextAnchor::Start, true, INK, "27 N·m");
        let alone = embed_face(&write_svg(&drawing));
        assert_eq!(alone.matches("@font-face{font-family:Letters;").count(), 2);
        assert!(alone.contains("font-family=\"Letters, "), "{}", &alone[..300]);
        assert!((30_000..60_000).contains(&alone.len()), "{} bytes", alone.len());
        assert_eq!(embed_face("no drawing"), "no drawing");
    }

    /// WOFF2 files begin with this signature (W3C, WOFF File Format 2.0, section 4.1).
    #[test]
    fn the_faces_are_what_the_style_says() {
        assert!(WEB_FACES.iter().all(|(_, bytes)| bytes.starts_with(b"wOF2") && bytes.len() < 25_000));
    }
}
