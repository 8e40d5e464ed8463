//! Bits, keys and blades: diameters by drive, and lengths.
//!
//! Points of hexalobular tools, internal and external: the tables of `bolting::drive`; the sizes they leave out from
//! memory. Shafts of cross blades: ISO 8764-2; keys: ISO 2936; shanks: ISO 1173. From
//! memory, plausible, to be checked against the standard.

use bolting::drive::{external_hexalobular, find_hexalobular};
use model::{DriveForm, PieceLink};

use super::{CORNERS_RATIO, interpolate_table, series};

/// What bits on a square rest on.
pub(crate) const BIT_SOURCE: &str =
    "ISO 10664 and ISO 2936 tips on usual bodies, lengths from memory, to be checked against the standard";
/// What bits with a shank rest on.
pub(crate) const SHANK_SOURCE: &str =
    "ISO 1173 shanks of 25 and 50 mm, from memory, to be checked against the standard";
/// What keys rest on.
pub(crate) const KEY_SOURCE: &str = "ISO 2936 arms, from memory, to be checked against the standard";
/// What drivers rest on.
pub(crate) const DRIVER_SOURCE: &str =
    "ISO 8764-2 and ISO 2380-2 blades, from memory, to be checked against the standard";

/// Diameters over the points of hexalobular tools that the published table leaves out: number, mm, from memory.
const T_REST_MM: &[(f64, f64)] = &[
    (1.0, 0.84),
    (2.0, 0.97),
    (3.0, 1.12),
    (4.0, 1.3),
    (5.0, 1.43),
    (7.0, 1.99),
    (9.0, 2.5),
    (80.0, 17.55),
    (90.0, 20.0),
    (100.0, 22.2),
];

/// Diameter over the points of a hexalobular tool: the table of `bolting::drive`, else from memory.
fn t_points_mm(size_number: f64) -> f64 {
    let published = find_hexalobular(size_number as u32).and_then(|row| row.tool_mm);
    published.unwrap_or_else(|| interpolate_table(T_REST_MM, size_number))
}

/// Diameter over the points of an external hexalobular drive: the table of `bolting::drive`, a power law between.
fn e_points_mm(size_number: f64) -> f64 {
    let point = |e: &f64| Some((*e, external_hexalobular(*e as u32)?.as_mm()));
    let rows: Vec<(f64, f64)> =
        series::usual_sizes(DriveForm::ExternalHexalobular).iter().filter_map(point).collect();
    interpolate_table(&rows, size_number)
}

/// Shaft diameters of cross blades by number (plus one, so that number 0 has a place on the table): ISO 8764-2.
const CROSS_SHAFT_MM: &[(f64, f64)] = &[(1.0, 3.0), (2.0, 4.5), (3.0, 6.0), (4.0, 8.0), (5.0, 10.0)];

/// Width across flats, long arm, short arm of hexagon keys: ISO 2936, from memory.
const KEY_ARMS_MM: &[(f64, f64, f64)] = &[
    (1.5, 45.0, 14.0),
    (2.0, 50.0, 16.0),
    (2.5, 56.0, 18.0),
    (3.0, 63.0, 20.0),
    (4.0, 70.0, 25.0),
    (5.0, 80.0, 28.0),
    (6.0, 90.0, 32.0),
    (8.0, 100.0, 36.0),
    (10.0, 112.0, 40.0),
    (12.0, 125.0, 45.0),
    (14.0, 140.0, 56.0),
    (17.0, 160.0, 63.0),
    (19.0, 180.0, 70.0),
    (24.0, 224.0, 90.0),
];

/// Corners over flats of a square (geometry).
const SQUARE_CORNERS_RATIO: f64 = core::f64::consts::SQRT_2;

/// Diameter round the tip of a tool for an internal drive; round the fastener for an external one.
pub(crate) fn tip_across_mm(form: DriveForm, size_number: f64) -> f64 {
    match form {
        DriveForm::Hexalobular => t_points_mm(size_number),
        DriveForm::ExternalHexalobular => e_points_mm(size_number),
        DriveForm::CrossRecess | DriveForm::CrossRecessZ => {
            interpolate_table(CROSS_SHAFT_MM, size_number + 1.0)
        }
        DriveForm::Hexagon | DriveForm::BiHexagon | DriveForm::HexSocket => CORNERS_RATIO * size_number,
        DriveForm::Square | DriveForm::SquareSocket => SQUARE_CORNERS_RATIO * size_number,
        DriveForm::Slot | DriveForm::SpringClamp | DriveForm::PushClip => size_number,
        DriveForm::Latch | DriveForm::Hand | DriveForm::NotKnown => 8.0,
    }
}

/// How far the blade of a bit on a square projects from its body: usual lengths, from memory.
pub(crate) const fn blade_mm(link: PieceLink, long: bool) -> f64 {
    match (link, long) {
        (PieceLink::Hex6 | PieceLink::Square6, false) => 19.0,
        (PieceLink::Square10, false) => 25.0,
        (PieceLink::Square12, false) => 30.0,
        (PieceLink::Square20, false) => 40.0,
        (PieceLink::Hex6 | PieceLink::Square6, true) => 70.0,
        (PieceLink::Square10, true) => 80.0,
        (PieceLink::Square12 | PieceLink::Square20, true) => 100.0,
    }
}

/// Long and short arm of a bent key, by the diameter over its corners or points.
pub(crate) fn key_arms_mm(across_mm: f64) -> (f64, f64) {
    let flats_mm = across_mm / CORNERS_RATIO;
    let row = KEY_ARMS_MM.iter().find(|row| row.0 >= flats_mm - 0.05);
    row.map_or((224.0, 90.0), |row| (row.1, row.2))
}

/// Length of a screwdriver's blade, by its diameter or width: from memory.
pub(crate) fn driver_blade_mm(across_mm: f64) -> f64 {
    let rows = [(3.1, 75.0), (4.6, 90.0), (6.6, 115.0), (8.1, 150.0)];
    rows.iter().find(|row| across_mm <= row.0).map_or(180.0, |row| row.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hexalobular_points_are_those_of_the_published_tables() {
        // Tool-trade table after ISO 10664 (two pages agree), external ones from two pages; exact.
        let t = [(6.0, 1.70), (10.0, 2.74), (30.0, 5.52), (50.0, 8.83), (60.0, 13.25), (70.0, 15.51)];
        for (number, expected_mm) in t {
            assert_eq!(tip_across_mm(DriveForm::Hexalobular, number), expected_mm);
        }
        for (number, expected_mm) in [(4.0, 3.8), (8.0, 7.4), (10.0, 9.3), (14.0, 12.8), (24.0, 22.1)] {
            assert_eq!(tip_across_mm(DriveForm::ExternalHexalobular, number), expected_mm);
        }
    }

    #[test]
    fn tools_are_a_little_smaller_than_their_recess() {
        // Recess diameters A of ISO 10664 as a fastener maker's technical page gives them; the tool must go in.
        let recess =
            [(6.0, 1.75), (8.0, 2.4), (10.0, 2.8), (20.0, 3.95), (30.0, 5.6), (40.0, 6.75), (50.0, 8.95)];
        for (number, recess_mm) in recess {
            let tool_mm = tip_across_mm(DriveForm::Hexalobular, number);
            assert!(tool_mm < recess_mm && tool_mm > 0.95 * recess_mm, "T{number}");
        }
    }

    #[test]
    fn a_hexagon_is_two_over_root_three_across_its_corners() {
        assert!((tip_across_mm(DriveForm::HexSocket, 6.0) - 6.928_203).abs() < 1.0e-6);
    }
}
