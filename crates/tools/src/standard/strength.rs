//! The greatest torque that a tool withstands: published test torques by drive and size.
//!
//! The tables of spanners, hexagon keys and hexalobular tools are those of `bolting::drive`; here they are joined to forms of
//! drive, and continued between and beyond their rows.
//!
//! **Sources.** Spanners and sockets: ISO 1711-1 as a tool maker's technical annex gives it (four copies agree, 7 to
//! 36 mm). Hexagon keys: minimum guaranteed torque of JIS B 4648:2008. Hexalobular tools: a tool-trade table, lower
//! figure of its band, T6 to T70 (two pages agree on T10 and T60). Cross blades: ISO 8764-1, from memory. Slot blades:
//! `T = a²·b` (thickness and width in mm, N·m), which gives the figures of ISO 2380-1, from memory.

use bolting::drive::{SpannerKind, find_hexalobular, hex_key_torque, spanner_torque};
use model::DriveForm;
use units::Length;

use super::{interpolate_table, series};

/// How a hexagon is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum HexagonContact {
    /// All round: sockets and rings.
    Ring,
    /// By two flats, at the end of a single or combination spanner.
    Open,
    /// By two flats, at either end of a double spanner.
    OpenDouble,
}

/// External hexalobular number, width across flats of the hexagon on the same thread: the tool for the one is taken to
/// withstand what the tool for the other does (assumption; pairs of E number and thread from memory, low confidence).
const E_HEXAGON_MM: &[(f64, f64)] = &[
    (4.0, 5.5),
    (5.0, 7.0),
    (6.0, 8.0),
    (7.0, 8.0),
    (8.0, 10.0),
    (10.0, 13.0),
    (11.0, 13.0),
    (12.0, 13.0),
    (14.0, 16.0),
    (16.0, 18.0),
    (18.0, 18.0),
    (20.0, 21.0),
    (24.0, 27.0),
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

/// Torque that a wrench withstands, by width across flats; from the nearest size of the table's range beyond its ends.
pub(crate) fn wrench_n_m(hold: HexagonContact, flats_mm: f64) -> f64 {
    let kind = match hold {
        HexagonContact::Ring => SpannerKind::RingOrSocket,
        HexagonContact::Open => SpannerKind::Open,
        HexagonContact::OpenDouble => SpannerKind::DoubleOpen,
    };
    spanner_torque(Length::from_mm(flats_mm.clamp(3.0, 60.0)), kind)
        .map_or(1.0, |rated| rated.torque.as_n_m())
}

/// Rows of a table of `bolting::drive` over the usual sizes of a form.
fn rating_rows(form: DriveForm, torque_n_m: impl Fn(f64) -> Option<f64>) -> Vec<(f64, f64)> {
    series::usual_sizes(form).iter().filter_map(|size| Some((*size, torque_n_m(*size)?))).collect()
}

/// Torque that a hexagon key withstands.
fn hex_key_n_m(flats_mm: f64) -> f64 {
    let known = |s: f64| hex_key_torque(Length::from_mm(s)).map(|rated| rated.torque.as_n_m());
    interpolate_table(&rating_rows(DriveForm::HexSocket, known), flats_mm)
}

/// Torque that a hexalobular tool withstands, the lower figure of its band.
fn hexalobular_n_m(size_number: f64) -> f64 {
    let known = |t: f64| find_hexalobular(t as u32)?.torque_n_m.map(|band| band.0);
    interpolate_table(&rating_rows(DriveForm::Hexalobular, known), size_number)
}

/// Torque that the tool for a drive withstands, its square apart; nothing for drives that are not turned.
pub(crate) fn rated_tool_n_m(form: DriveForm, size_number: f64, hold: HexagonContact) -> Option<f64> {
    let size_mm = size_number;
    Some(match form {
        DriveForm::Hexagon | DriveForm::BiHexagon => wrench_n_m(hold, size_mm),
        DriveForm::ExternalHexalobular => wrench_n_m(hold, interpolate_table(E_HEXAGON_MM, size_mm)),
        DriveForm::Square => wrench_n_m(hold, size_mm),
        // A square bar is twisted at 0.208 s³, a hexagonal one at 0.188 s³ (torsion of prisms, handbook figures from memory):
        // a square key withstands what a hexagon key of its width does.
        DriveForm::HexSocket | DriveForm::SquareSocket => hex_key_n_m(size_mm),
        DriveForm::Hexalobular => hexalobular_n_m(size_mm),
        DriveForm::CrossRecess | DriveForm::CrossRecessZ => interpolate_table(CROSS_N_M, size_mm + 1.0),
        DriveForm::Slot => {
            let thickness_mm = interpolate_table(SLOT_THICKNESS_MM, size_mm);
            thickness_mm * thickness_mm * size_mm
        }
        DriveForm::SpringClamp
        | DriveForm::PushClip
        | DriveForm::Latch
        | DriveForm::Hand
        | DriveForm::NotKnown => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn torques_on_the_tables_are_the_published_ones() {
        // ISO 1711-1 (maker's annex), JIS B 4648:2008, tool-trade table; exact, the rows are the source's own.
        let cases = [
            (DriveForm::Hexagon, 10.0, HexagonContact::Ring, 58.1),
            (DriveForm::Hexagon, 13.0, HexagonContact::Open, 64.5),
            (DriveForm::BiHexagon, 19.0, HexagonContact::OpenDouble, 149.0),
            (DriveForm::HexSocket, 6.0, HexagonContact::Ring, 52.0),
            (DriveForm::HexSocket, 10.0, HexagonContact::Ring, 220.0),
            (DriveForm::Hexalobular, 30.0, HexagonContact::Ring, 31.1),
            (DriveForm::Hexalobular, 60.0, HexagonContact::Ring, 379.0),
        ];
        for (form, size, hold, expected_n_m) in cases {
            assert_eq!(rated_tool_n_m(form, size, hold), Some(expected_n_m), "{form:?} {size}");
        }
    }

    #[test]
    fn rings_off_the_table_follow_the_power_law_of_the_standard() {
        // The table's own law, 0.2655·s^2.340 (fit with 0.37 % deviation); 2 %: the ends are extrapolated.
        for flats_mm in [5.5, 6.0, 9.0, 20.0, 34.0, 41.0] {
            let law_n_m = 0.2655 * units::math::pow(flats_mm, 2.340);
            let found_n_m = wrench_n_m(HexagonContact::Ring, flats_mm);
            assert!((found_n_m / law_n_m - 1.0).abs() < 0.02, "{flats_mm}: {found_n_m} against {law_n_m}");
        }
    }

    #[test]
    fn slot_blades_stand_thickness_squared_times_width() {
        // ISO 2380-1, from memory: 1.0 x 5.5 withstands 5.5 N·m, 1.2 x 6.5 withstands 9.4 N·m; 1 % for its rounding.
        for (width_mm, expected_n_m) in [(5.5, 5.5), (6.5, 9.4)] {
            let found_n_m =
                rated_tool_n_m(DriveForm::Slot, width_mm, HexagonContact::Ring).expect("slots are turned");
            assert!((found_n_m / expected_n_m - 1.0).abs() < 0.01);
        }
    }
}
