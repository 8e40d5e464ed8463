//! Squares and hexagonal shanks, and the bodies of the pieces that carry them.
//!
//! Nominal sizes: ISO 1174-1 (checked: names in two sources). Lengths of the male square: ISO 1174-1, from memory.
//! Test torques of driving parts: the table of `bolting::drive` (ISO 3315, from memory, low confidence). Bodies of extensions, joints and adapters:
//! ISO 3316; of ratchets and bars: ISO 3315; hexagonal shanks: ISO 1173. All bodies are from memory, plausible, to be
//! checked against the standard.

use bolting::drive::square_drive;
use model::PieceLink;
use units::Length;

/// What the table of bodies rests on, in the words a piece carries.
pub(crate) const BODY_SOURCE: &str =
    "ISO 3315 and ISO 3316 bodies, from memory, plausible, to be checked against the standard";

/// One link and the bodies made for it, in mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LinkRow {
    /// The link.
    pub(crate) link: PieceLink,
    /// Nominal width.
    pub(crate) width_mm: f64,
    /// Greatest length of the male end.
    pub(crate) male_mm: f64,
    /// Diameter round the female end of sockets, extensions, bits.
    pub(crate) end_mm: f64,
    /// Diameter of an extension's bar.
    pub(crate) bar_mm: f64,
    /// Length of an extension's female end.
    pub(crate) head_mm: f64,
    /// Length of a universal joint.
    pub(crate) joint_length_mm: f64,
    /// Diameter of a universal joint.
    pub(crate) joint_diameter_mm: f64,
    /// Length of a ratchet, from the axis.
    pub(crate) ratchet_length_mm: f64,
    /// Height of a ratchet's head without its square.
    pub(crate) ratchet_height_mm: f64,
    /// Diameter of a ratchet's head.
    pub(crate) ratchet_diameter_mm: f64,
    /// Length of a breaker bar, from the axis.
    pub(crate) breaker_length_mm: f64,
}

/// Nominal, male, end, bar, head; joint length and diameter; ratchet length, height, diameter; bar length.
const fn make_link_row(
    link: PieceLink,
    ends_mm: [f64; 5],
    joint_mm: [f64; 2],
    ratchet_mm: [f64; 3],
    breaker_length_mm: f64,
) -> LinkRow {
    LinkRow {
        link,
        width_mm: ends_mm[0],
        male_mm: ends_mm[1],
        end_mm: ends_mm[2],
        bar_mm: ends_mm[3],
        head_mm: ends_mm[4],
        joint_length_mm: joint_mm[0],
        joint_diameter_mm: joint_mm[1],
        ratchet_length_mm: ratchet_mm[0],
        ratchet_height_mm: ratchet_mm[1],
        ratchet_diameter_mm: ratchet_mm[2],
        breaker_length_mm,
    }
}

/// The table.
const ROWS: [LinkRow; 5] = [
    make_link_row(PieceLink::Hex6, [6.3, 10.0, 11.0, 7.2, 18.0], [35.0, 13.0], [90.0, 14.0, 22.0], 100.0),
    make_link_row(PieceLink::Square6, [6.3, 7.5, 12.5, 8.5, 13.0], [38.0, 14.0], [130.0, 17.0, 25.0], 150.0),
    make_link_row(
        PieceLink::Square10,
        [10.0, 11.0, 20.0, 12.0, 18.0],
        [52.0, 21.0],
        [200.0, 23.0, 35.0],
        250.0,
    ),
    make_link_row(
        PieceLink::Square12,
        [12.5, 15.5, 24.0, 16.0, 24.0],
        [70.0, 28.0],
        [260.0, 30.0, 45.0],
        450.0,
    ),
    make_link_row(
        PieceLink::Square20,
        [20.0, 23.0, 38.0, 24.0, 36.0],
        [105.0, 44.0],
        [500.0, 45.0, 70.0],
        600.0,
    ),
];

/// Test torque of a hexagonal shank (assumption: just below the 52 N·m of the 6 mm key).
const SHANK_N_M: f64 = 50.0;

impl LinkRow {
    /// Test torque of the driving end.
    pub(crate) fn test_torque_n_m(&self) -> f64 {
        match self.link {
            PieceLink::Hex6 => SHANK_N_M,
            _ => square_drive(Length::from_mm(self.width_mm)).map_or(SHANK_N_M, |s| s.test.torque.as_n_m()),
        }
    }
}

/// The row of a link.
pub(crate) const fn row_of_link(link: PieceLink) -> &'static LinkRow {
    match link {
        PieceLink::Hex6 => &ROWS[0],
        PieceLink::Square6 => &ROWS[1],
        PieceLink::Square10 => &ROWS[2],
        PieceLink::Square12 => &ROWS[3],
        PieceLink::Square20 => &ROWS[4],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_link_has_its_own_row() {
        for link in PieceLink::ALL {
            assert_eq!(row_of_link(link).link, link);
        }
    }

    #[test]
    fn squares_have_the_nominal_sizes_of_iso_1174() {
        // ISO 1174-1: 6.3, 10, 12.5, 20 mm, which the trade calls 1/4, 3/8, 1/2, 3/4 in; exact by definition.
        let sizes: Vec<f64> = PieceLink::ALL[1..].iter().map(|l| row_of_link(*l).width_mm).collect();
        assert_eq!(sizes, [6.3, 10.0, 12.5, 20.0]);
    }
}
