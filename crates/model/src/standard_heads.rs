//! Heads by their drive: the hull of head height and diameter over the standards that carry it.
//!
//! **Question.** A book tells that a bolt has a 10 mm hexagon and not how high its head is. Between which ends does the
//! height lie?
//!
//! **Method.** Every standard relates head height or recess depth to the drive's size within a factor; the hull over them is
//! taken as two factors of the size, a little wider than the tables. It is *firm* within these ends for heads to the
//! standards named here, and no more than that.
//!
//! **Sources** (all from memory; the rows that the factors are checked against stand in the tests): ISO 4014 and ISO 4017
//! (hexagon heads), EN 1665 and ISO 4162 (flanged heads), ISO 4032, ISO 4035 and nuts of 1.5 d (hexagon nuts), ISO 4762
//! and ISO 7380 (hexagon sockets), ISO 10664 (hexalobular recesses), ISO 4757 (cross recesses), ASME B16.11 (square heads of
//! pipe plugs), ASME B18.2.1 and B18.2.2 (square bolts and nuts).

use crate::{Drive, DriveForm, Known};
use units::Length;

/// Ends of height (or recess depth) and of diameter, as ratios of the drive's size in mm.
#[derive(Debug, Clone, Copy)]
struct HeadRatios {
    grip_of_size_ratio: (f64, f64),
    diameter_of_size_ratio: (f64, f64),
}

/// Number, and circle round the points of hexalobular recesses, mm (ISO 10664, from memory).
const INTERNAL_LOBES_MM: &[(u32, f64)] = &[
    (6, 1.75),
    (8, 2.4),
    (10, 2.8),
    (15, 3.35),
    (20, 3.95),
    (25, 4.5),
    (27, 5.07),
    (30, 5.6),
    (40, 6.75),
    (45, 7.93),
    (50, 8.95),
    (55, 11.35),
    (60, 13.45),
    (70, 15.7),
];
/// The same of the external series (from memory).
const EXTERNAL_LOBES_MM: &[(u32, f64)] = &[
    (4, 3.86),
    (5, 4.73),
    (6, 5.74),
    (7, 6.16),
    (8, 7.52),
    (10, 9.42),
    (11, 10.08),
    (12, 11.17),
    (14, 12.9),
    (16, 14.76),
    (18, 16.7),
    (20, 18.45),
    (24, 22.16),
];
/// Number, least and greatest penetration of cross recesses, mm (ISO 4757, from memory).
const CROSS_RECESS_MM: &[(u32, f64, f64)] =
    &[(0, 0.7, 1.8), (1, 0.8, 2.9), (2, 1.2, 4.2), (3, 1.8, 5.6), (4, 2.4, 7.9)];

/// Whether a numbered drive has this number.
fn has_number(drive: Drive, number: u32) -> bool {
    (drive.size() - f64::from(number)).abs() < 0.01
}

fn lobe_circle_mm(rows_mm: &[(u32, f64)], drive: Drive) -> Option<f64> {
    rows_mm.iter().find(|(number, _)| has_number(drive, *number)).map(|(_, circle_mm)| *circle_mm)
}

fn ends_of_ratios(size_mm: f64, (low_ratio, high_ratio): (f64, f64)) -> Known<Length> {
    Known::between(Length::from_mm(size_mm * low_ratio), Length::from_mm(size_mm * high_ratio))
}

/// The hull of what is taken hold of: height of an outer drive, depth of a recess.
///
/// Nothing for a drive of which no standard is named here.
#[must_use]
pub fn standard_grip_height(drive: Drive) -> Known<Length> {
    match head_ratios(drive) {
        Some((size_mm, ratios)) => ends_of_ratios(size_mm, ratios.grip_of_size_ratio),
        None => flat_recess_depth(drive),
    }
}

/// The hull of the largest diameter of the head, flange or washer included.
///
/// Nothing for a drive of which no standard is named here.
#[must_use]
pub fn standard_head_diameter(drive: Drive) -> Known<Length> {
    head_ratios(drive)
        .map_or(Known::Nothing, |(size_mm, ratios)| ends_of_ratios(size_mm, ratios.diameter_of_size_ratio))
}

/// Depths of cross recesses and slots.
fn flat_recess_depth(drive: Drive) -> Known<Length> {
    match drive.form() {
        DriveForm::CrossRecess | DriveForm::CrossRecessZ => {
            let row = CROSS_RECESS_MM.iter().find(|(number, ..)| has_number(drive, *number));
            row.map_or(Known::Nothing, |(_, low_mm, high_mm)| {
                Known::between(Length::from_mm(*low_mm), Length::from_mm(*high_mm))
            })
        }
        // ISO 1207 and ISO 2009 (from memory): a slot is about as deep as 0.2 to 1 times its blade's width.
        DriveForm::Slot => ends_of_ratios(drive.size(), (0.2, 1.0)),
        _ => Known::Nothing,
    }
}

/// The size in mm that a form's ratios are taken of, and the ratios.
fn head_ratios(drive: Drive) -> Option<(f64, HeadRatios)> {
    let outer = HeadRatios { grip_of_size_ratio: (0.29, 0.96), diameter_of_size_ratio: (1.0, 2.0) };
    let inner = HeadRatios { grip_of_size_ratio: (0.32, 1.1), diameter_of_size_ratio: (1.2, 3.5) };
    // Corners of a square lie on 1.414 of its flats; heads whose corners are rounded lie within, flanged ones outside.
    let square = HeadRatios { grip_of_size_ratio: (0.4, 1.0), diameter_of_size_ratio: (1.2, 2.0) };
    match drive.form() {
        DriveForm::Hexagon | DriveForm::BiHexagon => Some((drive.size(), outer)),
        DriveForm::HexSocket => Some((drive.size(), inner)),
        DriveForm::Hexalobular => Some((lobe_circle_mm(INTERNAL_LOBES_MM, drive)?, inner)),
        DriveForm::ExternalHexalobular => Some((lobe_circle_mm(EXTERNAL_LOBES_MM, drive)?, outer)),
        DriveForm::Square => Some((drive.size(), square)),
        DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Slot
        | DriveForm::SquareSocket
        | DriveForm::SpringClamp
        | DriveForm::PushClip
        | DriveForm::Latch
        | DriveForm::NotKnown
        | DriveForm::Hand => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{standard_grip_height, standard_head_diameter};
    use crate::{Drive, DriveForm};
    use units::Length;

    /// (width across flats, greatest diameter, heights) for M5 to M16, all from memory: heights of ISO 4014 heads, ISO 4032
    /// nuts, ISO 4035 thin nuts, EN 1665 flanged heads, nuts of 1.5 d; diameters of EN 1665 flanges.
    const ROWS: &[(f64, f64, &[f64])] = &[
        (8.0, 11.8, &[3.5, 4.7, 2.7, 5.8, 7.5]),
        (10.0, 14.2, &[4.0, 5.2, 3.2, 6.6, 9.0]),
        (13.0, 18.0, &[5.3, 6.8, 4.0, 8.1, 12.0]),
        (16.0, 22.3, &[6.4, 8.4, 5.0, 10.4, 15.0]),
        (18.0, 26.6, &[7.5, 10.8, 6.0, 12.4]),
        (24.0, 35.0, &[10.0, 14.8, 8.0, 16.4]),
    ];
    /// (width, greatest diameter, height) of the small flanges of ISO 4162, from memory.
    const SMALL_FLANGES: &[(f64, f64, f64)] =
        &[(8.0, 13.6, 6.9), (10.0, 17.0, 8.5), (13.0, 20.8, 9.7), (18.0, 28.6, 12.9)];

    fn allows(drive: Drive, height_mm: f64, diameter_mm: Option<f64>) {
        assert!(
            standard_grip_height(drive).allows(Length::from_mm(height_mm)),
            "{drive}: {height_mm} mm high"
        );
        if let Some(wide_mm) = diameter_mm {
            assert!(
                standard_head_diameter(drive).allows(Length::from_mm(wide_mm)),
                "{drive}: {wide_mm} mm wide"
            );
        }
    }

    #[test]
    fn heads_of_the_standards_lie_within_their_hull() {
        for (width_mm, diameter_mm, heights) in ROWS {
            let drive = Drive::new(DriveForm::Hexagon, *width_mm);
            heights.iter().for_each(|height| allows(drive, *height, Some(*diameter_mm)));
        }
        for (width_mm, diameter_mm, height_mm) in SMALL_FLANGES {
            allows(Drive::new(DriveForm::Hexagon, *width_mm), *height_mm, Some(*diameter_mm));
        }
        // Least depths of hexagon sockets, ISO 4762, and hexalobular recesses, ISO 10664 (from memory).
        for (width_mm, depth_mm) in [(4.0, 2.5), (5.0, 3.0), (6.0, 4.0), (8.0, 5.0), (10.0, 6.0)] {
            allows(Drive::new(DriveForm::HexSocket, width_mm), depth_mm, None);
        }
        for (number, depth_mm) in [(20.0, 1.8), (25.0, 2.2), (30.0, 2.6), (40.0, 3.5), (50.0, 4.5)] {
            allows(Drive::new(DriveForm::Hexalobular, number), depth_mm, None);
        }
    }

    /// (width across flats, height) in inches: pipe plugs 1/8 to 1 NPT (ASME B16.11), square bolts 1/4 and 1/2 (ASME
    /// B18.2.1), square nuts 1/4 and 1/2 (ASME B18.2.2); all from memory.
    const SQUARES_IN: &[(f64, f64)] = &[
        (9.0 / 32.0, 0.25),
        (0.375, 0.25),
        (0.4375, 0.3125),
        (0.5625, 0.375),
        (0.625, 0.4375),
        (0.8125, 0.5),
        (0.375, 11.0 / 64.0),
        (0.75, 21.0 / 64.0),
        (0.4375, 7.0 / 32.0),
        (0.8125, 0.4375),
    ];

    #[test]
    fn square_heads_of_the_standards_lie_within_their_hull() {
        for (width_in, height_in) in SQUARES_IN {
            let drive = Drive::new(DriveForm::Square, width_in * 25.4);
            allows(drive, height_in * 25.4, Some(width_in * 25.4 * 2.0_f64.sqrt()));
        }
    }

    #[test]
    fn nothing_is_said_of_a_drive_without_a_standard() {
        assert!(!standard_grip_height(Drive::new(DriveForm::SpringClamp, 24.0)).is_known());
        assert!(!standard_grip_height(Drive::new(DriveForm::Hexalobular, 33.0)).is_known());
    }
}
