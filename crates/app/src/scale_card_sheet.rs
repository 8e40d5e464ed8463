//! The card that is laid beside heads in a picture, as a drawing in true size: two codes, and the ruler of the length classes.

use scale_card::layout::{CARD_HEIGHT_MM, CARD_WIDTH_MM, list_card_labels, list_card_rectangles};

/// Share of a letter's em that a capital is high, for the face of the sheets.
const CAPITAL_RATIO: f64 = 0.668;

/// The card as SVG, 1 to 1 in millimetres; print it at 100 %.
#[must_use]
pub fn scale_card_svg() -> String {
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{CARD_WIDTH_MM}mm\" height=\"{CARD_HEIGHT_MM}mm\" \
         viewBox=\"0 0 {CARD_WIDTH_MM} {CARD_HEIGHT_MM}\"><title>Scale card</title>\
         <rect width=\"{CARD_WIDTH_MM}\" height=\"{CARD_HEIGHT_MM}\" fill=\"#fff\" stroke=\"#111\" stroke-width=\"0.3\"/>\n"
    );
    for rect in list_card_rectangles() {
        let (left, top, width, height) = (rect.left_mm, rect.top_mm, rect.width_mm, rect.height_mm);
        out.push_str(&format!(
            "<rect x=\"{left:.3}\" y=\"{top:.3}\" width=\"{width:.3}\" height=\"{height:.3}\"/>\n"
        ));
    }
    for label in list_card_labels() {
        let size = label.height_mm / CAPITAL_RATIO;
        out.push_str(&format!(
            "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{size:.2}\" text-anchor=\"middle\" font-family=\"Atkinson Hyperlegible, sans-serif\">{}</text>\n",
            label.at_mm.0, label.at_mm.1, label.text
        ));
    }
    out.push_str("</svg>\n");
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_card_is_drawn_in_true_size_with_both_codes_and_the_ruler() {
        let svg = super::scale_card_svg();
        assert!(svg.starts_with("<svg ") && svg.contains("width=\"210mm\""));
        assert!(svg.matches("<rect ").count() > 100, "two codes of many modules");
        for letter in ["A", "B", "C"] {
            assert!(svg.contains(&format!(">{letter}</text>")));
        }
    }
}
