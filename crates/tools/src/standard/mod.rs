//! Published standard dimensions and test torques, as data: what a piece measures where its owner gives no figure.
//!
//! Each table names its source and how sure it is. *Checked* rows were compared with a public reproduction of the
//! standard; rows *from memory* are plausible and have to be checked against the standard before anyone relies on the
//! last millimetre. The mechanic's own figures always win.

pub(crate) mod bit;
pub(crate) mod link;
pub(crate) mod series;
pub(crate) mod socket;
pub(crate) mod spanner;
pub(crate) mod strength;

use units::math;

/// Width across the corners of a hexagon over its width across flats, 2/√3.
pub(crate) const CORNERS_RATIO: f64 = 1.154_700_538_379_251_5;

/// Value of a rising table at a point: exact on its rows, a power law between and beyond them.
pub(crate) fn interpolate_table(rows_mm: &[(f64, f64)], at_mm: f64) -> f64 {
    let above = rows_mm.partition_point(|row| row.0 < at_mm).clamp(1, rows_mm.len() - 1);
    let (low, high) = (rows_mm[above - 1], rows_mm[above]);
    if at_mm == low.0 {
        return low.1;
    }
    if at_mm == high.0 {
        return high.1;
    }
    let slope = math::ln(high.1 / low.1) / math::ln(high.0 / low.0);
    low.1 * math::pow(at_mm.max(0.1) / low.0, slope)
}

#[cfg(test)]
mod tests {
    use super::interpolate_table;

    #[test]
    fn a_table_is_exact_on_its_rows_and_a_power_law_elsewhere() {
        let squares = [(1.0, 1.0), (2.0, 4.0), (4.0, 16.0)];
        for (at_mm, expected) in [(1.0, 1.0), (2.0, 4.0), (4.0, 16.0), (3.0, 9.0), (8.0, 64.0), (0.5, 0.25)] {
            assert!((interpolate_table(&squares, at_mm) - expected).abs() < 1.0e-9, "{at_mm}");
        }
    }
}
