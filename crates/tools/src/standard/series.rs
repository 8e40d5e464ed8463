//! Which sizes are made: the usual ones that a range means, and the others that can be asked for.
//!
//! Hexagons: ISO 691 with the half sizes of small sets; hexagon socket keys: ISO 2936; hexalobular numbers: ISO 10664
//! (T) and the trade's E numbers; cross recesses: ISO 4757; slot blades: ISO 2380-1. The choice of what is *usual* is
//! common practice, no single source.

use model::DriveForm;

/// Usual widths across flats.
const HEXAGON: &[f64] = &[
    3.2, 4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0,
    21.0, 22.0, 24.0, 27.0, 30.0, 32.0, 34.0, 36.0, 41.0, 46.0,
];
/// Widths across flats that are also made.
const HEXAGON_ALSO: &[f64] = &[3.5, 20.0, 23.0, 25.0, 26.0, 28.0, 29.0, 33.0, 35.0, 38.0];
/// Usual hexagon socket sizes.
const HEX_SOCKET: &[f64] =
    &[1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 17.0, 19.0, 22.0, 24.0];
/// Hexagon socket sizes that are also made.
const HEX_SOCKET_ALSO: &[f64] = &[0.9, 1.3, 3.5, 4.5, 5.5, 7.0, 9.0, 11.0, 13.0, 15.0, 16.0, 18.0, 21.0];
/// T numbers.
const HEXALOBULAR: &[f64] =
    &[5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 15.0, 20.0, 25.0, 27.0, 30.0, 40.0, 45.0, 50.0, 55.0, 60.0, 70.0, 80.0];
/// T numbers that are also made.
const HEXALOBULAR_ALSO: &[f64] = &[1.0, 2.0, 3.0, 4.0, 90.0, 100.0];
/// E numbers.
const EXTERNAL: &[f64] = &[4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 11.0, 12.0, 14.0, 16.0, 18.0, 20.0, 24.0];
/// Numbers of cross recesses.
const CROSS: &[f64] = &[0.0, 1.0, 2.0, 3.0, 4.0];
/// Widths of slot blades.
const SLOT: &[f64] = &[2.5, 3.0, 3.5, 4.0, 4.5, 5.5, 6.5, 8.0, 10.0, 12.0, 14.0];
/// Widths of slot blades that are also made.
const SLOT_ALSO: &[f64] = &[1.5, 2.0, 5.0, 6.0, 7.0, 9.0];

/// Widths of square keys, metric: those of drain plugs (common practice, no single source); inch ones go by the inch series.
const SQUARE_SOCKET: &[f64] = &[7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 17.0, 19.0];

/// Usual inch widths in thirty-seconds of an inch (common practice, no single source): by 1/32 to 3/8, by 1/16 to 1-1/2.
const INCH_32NDS: &[u8] =
    &[4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 34, 36, 38, 40, 42, 44, 46, 48];
/// A thirty-second of an inch, mm; exact.
const MM_PER_32ND: f64 = 25.4 / 32.0;
/// Widest inch size that is made, in thirty-seconds of an inch (assumption).
const MAX_INCH_32NDS: f64 = 96.0;

/// The usual inch widths in mm, rising.
pub(crate) fn usual_inch_sizes_mm() -> impl Iterator<Item = f64> {
    INCH_32NDS.iter().map(|n| f64::from(*n) * MM_PER_32ND)
}

/// Whether an inch width is made: any whole number of thirty-seconds of an inch from 1/16 to 3 in.
pub(crate) fn is_inch_size_made(size_mm: f64) -> bool {
    let n = size_mm / MM_PER_32ND;
    (2.0..=MAX_INCH_32NDS).contains(&n) && (n - units::math::round(n)).abs() < 1.0e-9
}

/// The usual sizes of a form, rising.
pub(crate) const fn usual_sizes(form: DriveForm) -> &'static [f64] {
    match form {
        DriveForm::Hexagon | DriveForm::BiHexagon => HEXAGON,
        DriveForm::HexSocket => HEX_SOCKET,
        DriveForm::Hexalobular => HEXALOBULAR,
        DriveForm::ExternalHexalobular => EXTERNAL,
        DriveForm::CrossRecess | DriveForm::CrossRecessZ => CROSS,
        DriveForm::Slot => SLOT,
        DriveForm::SquareSocket => SQUARE_SOCKET,
        DriveForm::Square
        | DriveForm::SpringClamp
        | DriveForm::PushClip
        | DriveForm::Latch
        | DriveForm::Hand
        | DriveForm::NotKnown => &[],
    }
}

/// The other sizes that are made.
const fn seldom_sizes(form: DriveForm) -> &'static [f64] {
    match form {
        DriveForm::Hexagon | DriveForm::BiHexagon => HEXAGON_ALSO,
        DriveForm::HexSocket => HEX_SOCKET_ALSO,
        DriveForm::Hexalobular => HEXALOBULAR_ALSO,
        DriveForm::Slot => SLOT_ALSO,
        _ => &[],
    }
}

/// Whether a size is made at all.
pub(crate) fn is_size_made(form: DriveForm, size_number: f64) -> bool {
    usual_sizes(form).iter().chain(seldom_sizes(form)).any(|s| *s == size_number)
}

/// The usual sizes on both sides of one.
pub(crate) fn neighbouring_sizes(form: DriveForm, size_number: f64) -> Vec<f64> {
    let sizes = usual_sizes(form);
    let above = sizes.partition_point(|s| *s < size_number);
    sizes[above.saturating_sub(1)..(above + 1).min(sizes.len())].to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_stand_on_both_sides() {
        let check = |size: f64, expected: &[f64]| {
            assert_eq!(neighbouring_sizes(DriveForm::Hexalobular, size), expected, "{size}");
        };
        check(11.0, &[10.0, 15.0]);
        check(1.0, &[5.0]);
        check(200.0, &[80.0]);
    }

    #[test]
    fn series_rise() {
        for form in [DriveForm::Hexagon, DriveForm::HexSocket, DriveForm::Hexalobular, DriveForm::Slot] {
            assert!(usual_sizes(form).windows(2).all(|w| w[0] < w[1]));
            assert!(seldom_sizes(form).iter().all(|s| !usual_sizes(form).contains(s)));
        }
    }
}
