//! The greatest torque that a tool stands: published test torques by drive and size.
//!
//! **Sources.** Spanners and sockets: ISO 1711-1 as a tool maker's technical annex gives it (four copies agree, 7 to
//! 36 mm). Hexagon keys: minimum guaranteed torque of JIS B 4648:2008. Hexalobular tools: a tool-trade table, lower
//! figure of its band, T6 to T70 (two pages agree on T10 and T60). Cross blades: ISO 8764-1, from memory. Slot blades:
//! `T = a²·b` (thickness and width in mm, N·m), which gives the figures of ISO 2380-1, from memory.

use model::DriveForm;

use super::{CORNERS_RATIO, bit, on_table};

/// How a hexagon is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hold {
    /// All round: sockets and rings.
    Ring,
    /// By two flats, at the end of a single or combination spanner.
    Open,
    /// By two flats, at either end of a double spanner.
    OpenDouble,
}

/// ISO 1711-1: width across flats, ring or socket, open single or combination, open double; N·m.
const WRENCH_N_M: &[(f64, [f64; 3])] = &[
    (7.0, [25.2, 11.4, 9.12]),
    (8.0, [34.5, 16.6, 13.3]),
    (10.0, [58.1, 31.0, 24.8]),
    (11.0, [72.7, 40.4, 32.3]),
    (12.0, [89.1, 51.5, 41.2]),
    (13.0, [107.0, 64.5, 51.6]),
    (14.0, [128.0, 79.4, 63.5]),
    (15.0, [150.0, 96.2, 77.0]),
    (16.0, [175.0, 115.0, 92.3]),
    (17.0, [201.0, 134.0, 107.0]),
    (18.0, [230.0, 160.0, 128.0]),
    (19.0, [261.0, 186.0, 149.0]),
    (21.0, [330.0, 247.0, 198.0]),
    (22.0, [368.0, 281.0, 225.0]),
    (24.0, [451.0, 359.0, 287.0]),
    (27.0, [594.0, 499.0, 399.0]),
    (30.0, [760.0, 670.0, 536.0]),
    (32.0, [884.0, 804.0, 643.0]),
    (36.0, [1165.0, 1117.0, 894.0]),
];

/// JIS B 4648:2008: width across flats, N·m.
const KEY_N_M: &[(f64, f64)] = &[
    (1.5, 0.82),
    (2.0, 1.9),
    (2.5, 3.8),
    (3.0, 6.6),
    (4.0, 16.0),
    (5.0, 30.0),
    (6.0, 52.0),
    (8.0, 120.0),
    (10.0, 220.0),
    (12.0, 370.0),
    (14.0, 590.0),
    (17.0, 980.0),
    (19.0, 1360.0),
    (22.0, 2110.0),
    (24.0, 2750.0),
];

/// Hexalobular number, N·m.
const T_N_M: &[(f64, f64)] = &[
    (6.0, 0.75),
    (8.0, 2.2),
    (10.0, 3.7),
    (15.0, 6.4),
    (20.0, 10.5),
    (25.0, 15.9),
    (27.0, 22.5),
    (30.0, 31.1),
    (40.0, 54.1),
    (45.0, 86.0),
    (50.0, 132.0),
    (55.0, 218.0),
    (60.0, 379.0),
    (70.0, 630.0),
];

/// Cross number plus one, N·m: ISO 8764-1, from memory.
const CROSS_N_M: &[(f64, f64)] = &[(1.0, 1.0), (2.0, 3.5), (3.0, 8.2), (4.0, 19.5), (5.0, 38.0)];

/// Width of a slot blade, its thickness, mm: ISO 2380-1, from memory.
const SLOT_THICKNESS_MM: &[(f64, f64)] = &[
    (2.5, 0.4),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.8),
    (5.5, 1.0),
    (6.5, 1.2),
    (8.0, 1.2),
    (10.0, 1.6),
    (12.0, 2.0),
    (14.0, 2.5),
];

/// Torque that a wrench stands, by width across flats.
pub(crate) fn wrench_n_m(hold: Hold, flats_mm: f64) -> f64 {
    let column = hold as usize;
    let rows: Vec<(f64, f64)> = WRENCH_N_M.iter().map(|(s, t)| (*s, t[column])).collect();
    on_table(&rows, flats_mm)
}

/// Torque that the tool for a drive stands, its square apart; nothing for drives that are not turned.
pub(crate) fn tool_n_m(form: DriveForm, size_number: f64, hold: Hold) -> Option<f64> {
    let size_mm = size_number;
    Some(match form {
        DriveForm::Hexagon | DriveForm::BiHexagon => wrench_n_m(hold, size_mm),
        // As of the hexagon with the same corners (assumption).
        DriveForm::ExternalHexalobular => wrench_n_m(hold, bit::across_mm(form, size_mm) / CORNERS_RATIO),
        DriveForm::HexSocket => on_table(KEY_N_M, size_mm),
        DriveForm::Hexalobular => on_table(T_N_M, size_mm),
        DriveForm::CrossRecess | DriveForm::CrossRecessZ => on_table(CROSS_N_M, size_mm + 1.0),
        DriveForm::Slot => {
            let thickness_mm = on_table(SLOT_THICKNESS_MM, size_mm);
            thickness_mm * thickness_mm * size_mm
        }
        DriveForm::SpringClamp | DriveForm::PushClip | DriveForm::Latch | DriveForm::Hand => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn torques_on_the_tables_are_the_published_ones() {
        // ISO 1711-1 (maker's annex), JIS B 4648:2008, tool-trade table; exact, the rows are the source's own.
        let cases = [
            (DriveForm::Hexagon, 10.0, Hold::Ring, 58.1),
            (DriveForm::Hexagon, 13.0, Hold::Open, 64.5),
            (DriveForm::BiHexagon, 19.0, Hold::OpenDouble, 149.0),
            (DriveForm::HexSocket, 6.0, Hold::Ring, 52.0),
            (DriveForm::HexSocket, 10.0, Hold::Ring, 220.0),
            (DriveForm::Hexalobular, 30.0, Hold::Ring, 31.1),
            (DriveForm::Hexalobular, 60.0, Hold::Ring, 379.0),
        ];
        for (form, size, hold, expected_n_m) in cases {
            assert_eq!(tool_n_m(form, size, hold), Some(expected_n_m), "{form:?} {size}");
        }
    }

    #[test]
    fn rings_off_the_table_follow_the_power_law_of_the_standard() {
        // The table's own law, 0.2655·s^2.340 (fit with 0.37 % deviation); 2 %: the ends are extrapolated.
        for flats_mm in [5.5, 6.0, 9.0, 20.0, 34.0, 41.0] {
            let law_n_m = 0.2655 * units::math::pow(flats_mm, 2.340);
            let found_n_m = wrench_n_m(Hold::Ring, flats_mm);
            assert!((found_n_m / law_n_m - 1.0).abs() < 0.02, "{flats_mm}: {found_n_m} against {law_n_m}");
        }
    }

    #[test]
    fn slot_blades_stand_thickness_squared_times_width() {
        // ISO 2380-1, from memory: 1.0 x 5.5 stands 5.5 N·m, 1.2 x 6.5 stands 9.4 N·m; 1 % for its rounding.
        for (width_mm, expected_n_m) in [(5.5, 5.5), (6.5, 9.4)] {
            let found_n_m = tool_n_m(DriveForm::Slot, width_mm, Hold::Ring).expect("slots are turned");
            assert!((found_n_m / expected_n_m - 1.0).abs() < 0.01);
        }
    }
}
