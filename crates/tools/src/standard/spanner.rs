//! Spanners and crow-feet: head width, thickness and length by width across flats.
//!
//! Greatest head widths of ISO 3318: ring `1.5·s + 4`, open `2.1·s + 7`. Thicknesses and lengths are straight lines
//! through the usual sizes of ISO 7738 and ISO 10102 to 10104. All from memory, plausible, to be checked against the
//! standard. **Example.** 13 mm: ring 23.5 mm wide, 10.4 mm thick; open 34.3 mm wide, 7.1 mm thick; 173 mm long.

/// What the lines rest on.
pub(crate) const SOURCE: &str =
    "ISO 3318 head widths, ISO 7738 thickness and length, from memory, to be checked against the standard";

/// Share of the usual thickness that a thin spanner has (assumption).
const THIN_RATIO: f64 = 0.6;

/// Which head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SpannerHeadForm {
    /// Closed ring.
    Ring,
    /// Open end.
    Open,
    /// Slotted ring.
    Flare,
    /// Ring with a ratchet.
    RatchetRing,
}

/// Thickness and width of a head.
pub(crate) fn spanner_head_mm(form: SpannerHeadForm, flats_mm: f64, thin: bool) -> (f64, f64) {
    let (thickness_mm, width_mm) = match form {
        SpannerHeadForm::Ring => (0.45 * flats_mm + 4.5, 1.5 * flats_mm + 4.0),
        SpannerHeadForm::Open => (0.35 * flats_mm + 2.5, 2.1 * flats_mm + 7.0),
        SpannerHeadForm::Flare => (0.5 * flats_mm + 4.5, 1.75 * flats_mm + 5.0),
        SpannerHeadForm::RatchetRing => (0.45 * flats_mm + 4.5, 1.75 * flats_mm + 4.0),
    };
    (thickness_mm * if thin { THIN_RATIO } else { 1.0 }, width_mm)
}

/// Whole length of a spanner.
pub(crate) fn spanner_length_mm(flats_mm: f64) -> f64 {
    11.0 * flats_mm + 30.0
}

/// Distance between the axes of a crow-foot's head and its square (assumption: half the head, a wall, half the square).
pub(crate) fn crow_foot_offset_mm(flats_mm: f64, square_mm: f64) -> f64 {
    0.75 * flats_mm + 1.4 * square_mm
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn head_widths_follow_the_maxima_of_iso_3318() {
        // ISO 3318, from memory; exact on the line.
        for (flats_mm, ring_mm, open_mm) in [(10.0, 19.0, 28.0), (13.0, 23.5, 34.3), (19.0, 32.5, 46.9)] {
            assert!((spanner_head_mm(SpannerHeadForm::Ring, flats_mm, false).1 - ring_mm).abs() < 1.0e-9);
            assert!((spanner_head_mm(SpannerHeadForm::Open, flats_mm, false).1 - open_mm).abs() < 1.0e-9);
        }
    }
}
