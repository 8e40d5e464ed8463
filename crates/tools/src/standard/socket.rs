//! Sockets: outer diameter, length and bore, by width across flats and square.
//!
//! **Question.** How thick and how long is a socket whose owner did not measure it?
//!
//! **Method.** The greatest outer diameters of ISO 2725-1 follow `d = 1.25·s + c` to a few tenths, with `c` 2.2 mm for
//! the 6.3 and 10 mm squares and 3.0 mm for 12.5 mm (13 mm: 18.5 and 19.3 mm). Machine sockets (ISO 2725-2) are thicker.
//! All of it is from memory, plausible, to be checked against the standard. A real socket may be thinner: the maxima
//! err on the side of "does not fit". The clear bore of a long socket is at least 60 % of its length (ASME B107.5M,
//! 4.8, read in a public reproduction); that of a short one is taken as 0.8 s, a nut and half its height again (assumption).
//!
//! **Example.** 10 mm on 1/4 in: 1.25 · 10 + 2.2 = 14.7 mm.

use model::PieceLink;

use super::{CORNERS_RATIO, link};

/// The source of the table.
pub(crate) const SOURCE: &str =
    "ISO 2725-1 maxima and ISO 1174-1, from memory, plausible, to be checked against the standard";
/// The same for machine sockets.
pub(crate) const IMPACT_SOURCE: &str =
    "ISO 2725-2 maxima and ISO 1174-1, from memory, plausible, to be checked against the standard";

/// Outer diameter over width across flats, slope.
const SLOPE_RATIO: f64 = 1.25;
/// How much thicker a machine socket is (from memory).
const IMPACT_MORE_MM: f64 = 5.0;
/// Share of the usual wall that a thin-walled socket has (assumption).
const THIN_RATIO: f64 = 0.75;
/// Share of a long socket's length that is clear: ASME B107.5M, 4.8.
const DEEP_BORE_RATIO: f64 = 0.6;
/// Bore of a short socket over its width across flats (assumption).
const SHORT_BORE_RATIO: f64 = 0.8;

/// Link, sizes up to, length of a short socket, length of a long one: ISO 2725-1, from memory; long ones have only a
/// least length there, usual ones are taken.
const LENGTHS_MM: &[(PieceLink, f64, f64, f64)] = &[
    (PieceLink::Hex6, 99.0, 25.0, 50.0),
    (PieceLink::Square6, 99.0, 25.0, 50.0),
    (PieceLink::Square10, 16.0, 32.0, 63.0),
    (PieceLink::Square10, 99.0, 35.0, 63.0),
    (PieceLink::Square12, 22.0, 40.0, 80.0),
    (PieceLink::Square12, 99.0, 50.0, 85.0),
    (PieceLink::Square20, 32.0, 55.0, 90.0),
    (PieceLink::Square20, 99.0, 65.0, 95.0),
];

/// Which socket is asked for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SocketRequest {
    /// Width across flats, or that of the hexagon with the same corners.
    pub(crate) flats_mm: f64,
    /// Its square.
    pub(crate) link: PieceLink,
    /// Long.
    pub(crate) deep: bool,
    /// For machines.
    pub(crate) impact: bool,
    /// Thin-walled.
    pub(crate) thin: bool,
}

/// Outer diameter round the bore.
pub(crate) fn socket_outer_mm(asked: SocketRequest) -> f64 {
    let more_mm = match asked.link {
        PieceLink::Hex6 | PieceLink::Square6 | PieceLink::Square10 => 2.2,
        PieceLink::Square12 => 3.0,
        PieceLink::Square20 => 6.0,
    };
    let usual_mm = SLOPE_RATIO * asked.flats_mm + more_mm + if asked.impact { IMPACT_MORE_MM } else { 0.0 };
    let corners_mm = CORNERS_RATIO * asked.flats_mm;
    if asked.thin { corners_mm + THIN_RATIO * (usual_mm - corners_mm) } else { usual_mm }
}

/// Whole length.
pub(crate) fn socket_length_mm(asked: SocketRequest) -> f64 {
    let row = LENGTHS_MM.iter().find(|row| row.0 == asked.link && asked.flats_mm <= row.1);
    let (short_mm, long_mm) = row.map_or((65.0, 95.0), |row| (row.2, row.3));
    if asked.deep { long_mm } else { short_mm }
}

/// How far it goes over a head.
pub(crate) fn socket_bore_mm(asked: SocketRequest) -> f64 {
    let length_mm = socket_length_mm(asked);
    if asked.deep {
        return DEEP_BORE_RATIO * length_mm;
    }
    (SHORT_BORE_RATIO * asked.flats_mm).min(length_mm - link::row_of_link(asked.link).male_mm)
}

/// Sections from the fastener's end: length, diameter.
pub(crate) fn socket_sections_mm(asked: SocketRequest) -> Vec<(f64, f64)> {
    let (outer_mm, length_mm) = (socket_outer_mm(asked), socket_length_mm(asked));
    let end = link::row_of_link(asked.link);
    if outer_mm >= end.end_mm {
        return vec![(length_mm, outer_mm)];
    }
    let tail_mm = end.male_mm + 2.0;
    vec![(length_mm - tail_mm, outer_mm), (tail_mm, end.end_mm)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outer_diameters_follow_the_maxima_of_iso_2725() {
        // Maxima of ISO 2725-1, from memory; tolerance 0.3 mm, the rounding of the table that the line is laid through.
        let cases = [
            (PieceLink::Square6, 5.5, 8.8),
            (PieceLink::Square6, 8.0, 12.2),
            (PieceLink::Square6, 10.0, 14.7),
            (PieceLink::Square6, 13.0, 18.5),
            (PieceLink::Square10, 17.0, 23.5),
            (PieceLink::Square10, 19.0, 26.0),
            (PieceLink::Square12, 10.0, 15.5),
            (PieceLink::Square12, 19.0, 26.7),
            (PieceLink::Square12, 24.0, 33.0),
            (PieceLink::Square12, 32.0, 43.0),
        ];
        for (link, flats_mm, expected_mm) in cases {
            let asked = SocketRequest { flats_mm, link, deep: false, impact: false, thin: false };
            assert!((socket_outer_mm(asked) - expected_mm).abs() <= 0.3, "{link} {flats_mm}");
        }
    }

    #[test]
    fn a_long_socket_is_clear_for_six_tenths_of_its_length() {
        // ASME B107.5M, 4.8: at least 60 % of the overall length; exact.
        let asked = SocketRequest {
            flats_mm: 10.0,
            link: PieceLink::Square6,
            deep: true,
            impact: false,
            thin: false,
        };
        assert!((socket_bore_mm(asked) / socket_length_mm(asked) - 0.6).abs() < 1.0e-12);
    }

    #[test]
    fn sections_add_up_and_thin_walls_hold_the_corners() {
        for link in PieceLink::ALL {
            for flats_mm in [4.0, 10.0, 19.0, 36.0] {
                for (deep, thin) in [(false, false), (true, false), (true, true)] {
                    let asked = SocketRequest { flats_mm, link, deep, impact: false, thin };
                    let total_mm: f64 = socket_sections_mm(asked).iter().map(|s| s.0).sum();
                    assert!((total_mm - socket_length_mm(asked)).abs() < 1.0e-9);
                    assert!(socket_outer_mm(asked) > flats_mm * CORNERS_RATIO);
                    assert!(socket_bore_mm(asked) > 0.0 && socket_bore_mm(asked) < socket_length_mm(asked));
                }
            }
        }
    }
}
