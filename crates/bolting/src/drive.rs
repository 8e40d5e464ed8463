//! Drive features: their dimensions by thread, and the torques that tools and drives withstand.
//!
//! Tables in millimetres and N·m, each with its source; a size that a table does not hold gives `None`, never a guess,
//! except spanners, where a power law through the table's own rows fills the gaps and says so.
//!
//! **Sources.** ISO 4014/4017 and ISO 272 (hexagons; the 1982 edition changed M10, M12, M14 and M22), EN 1665 and ISO 4162
//! (flange heads), ISO 4762, ISO 10642 and DIN 913 (hexagon sockets), ISO 10664 (hexalobular), DIN ISO 1711-1 (test
//! torques of spanners and sockets, by a hand-tool maker's annex), JIS B 4648 (hexagon keys), ISO 1174-1 (squares).

use serde::{Deserialize, Serialize};
use units::{Length, Torque, math};

use crate::Thread;

/// How far a value may be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ValueGrade {
    /// Read in a published table.
    Published,
    /// Worked out between published rows.
    Interpolated,
    /// From memory, not checked: a hint only.
    FromMemory,
}

/// A torque with how far it may be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatedTorque {
    /// The torque.
    pub torque: Torque,
    /// How far to trust it.
    pub confidence: ValueGrade,
}

const fn rated_torque(torque_n_m: f64, confidence: ValueGrade) -> RatedTorque {
    RatedTorque { torque: Torque::from_n_m(torque_n_m), confidence }
}

/// The row of a table whose first column is a size, within a hundredth of a millimetre.
fn row_of_size<T>(table: &'static [T], size_mm: f64, size_of: fn(&T) -> f64) -> Option<&'static T> {
    table.iter().find(|r| (size_of(r) - size_mm).abs() < 0.01)
}

fn metric_row<T>(table: &'static [T], thread: Thread, size_of: fn(&T) -> f64) -> Option<&'static T> {
    if thread.is_metric() { row_of_size(table, thread.d_mm(), size_of) } else { None }
}

/// Widths across flats by nominal diameter: today's first, then what older or flanged heads have.
const HEXAGON: &[(f64, &[f64])] = &[
    (4.0, &[7.0]),
    (5.0, &[8.0]),
    (6.0, &[10.0]),
    (8.0, &[13.0]),
    (10.0, &[16.0, 17.0, 15.0]),
    (12.0, &[18.0, 19.0]),
    (14.0, &[21.0, 22.0]),
    (16.0, &[24.0]),
    (18.0, &[27.0]),
    (20.0, &[30.0]),
    (22.0, &[34.0, 32.0]),
    (24.0, &[36.0]),
];

/// Widths across flats that a hexagon head of a metric thread may have, mm, the present standard's first; else empty.
#[must_use]
pub fn hexagon_widths_mm(thread: Thread) -> &'static [f64] {
    metric_row(HEXAGON, thread, |r| r.0).map_or(&[], |r| r.1)
}

/// Form of a screw's head, as far as it sets the size of the drive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ScrewHeadForm {
    /// Cylinder head.
    Cylinder,
    /// Countersunk head.
    Countersunk,
    /// Pan or button head.
    Button,
    /// No head: a set screw.
    Set,
}

/// `d`; key widths of cylinder heads, countersunk and button heads, set screws; 0 where none is given.
const HEX_KEYS: &[(f64, f64, f64, f64)] = &[
    (3.0, 2.5, 2.0, 1.5),
    (4.0, 3.0, 2.5, 2.0),
    (5.0, 4.0, 3.0, 2.5),
    (6.0, 5.0, 4.0, 3.0),
    (8.0, 6.0, 5.0, 4.0),
    (10.0, 8.0, 6.0, 5.0),
    (12.0, 10.0, 8.0, 6.0),
    (14.0, 12.0, 0.0, 6.0),
    (16.0, 14.0, 10.0, 8.0),
    (18.0, 14.0, 0.0, 0.0),
    (20.0, 17.0, 12.0, 10.0),
    (24.0, 19.0, 14.0, 12.0),
];

/// Width of the hexagon key for a screw.
#[must_use]
pub fn hex_key_width(thread: Thread, head: ScrewHeadForm) -> Option<Length> {
    let found = metric_row(HEX_KEYS, thread, |r| r.0)?;
    let mm = match head {
        ScrewHeadForm::Cylinder => found.1,
        ScrewHeadForm::Countersunk | ScrewHeadForm::Button => found.2,
        ScrewHeadForm::Set => found.3,
    };
    (mm > 0.0).then(|| Length::from_mm(mm))
}

/// Key width and least guaranteed torque, JIS B 4648.
const HEX_KEY_TORQUES: &[(f64, f64)] = &[
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

/// Torque that a hexagon key of a width withstands.
#[must_use]
pub fn hex_key_torque(width: Length) -> Option<RatedTorque> {
    let found = row_of_size(HEX_KEY_TORQUES, width.as_mm(), |r| r.0)?;
    Some(rated_torque(found.1, ValueGrade::Published))
}

/// Torque at which a hexagon key breaks, by the rule of thumb `0.2·Rm·s³`.
#[must_use]
pub fn hex_key_rule_of_thumb(width: Length, rm_mpa: f64) -> Torque {
    let s_mm = width.as_mm();
    Torque::from_n_m(0.2 * rm_mpa * s_mm * s_mm * s_mm / 1000.0)
}

/// One size of the internal hexalobular drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HexalobularSize {
    /// The number behind the `T`.
    pub number: u32,
    /// Point to point of the recess (ISO 10664).
    pub across_points_mm: f64,
    /// Valley to valley, where the table read gives it.
    pub across_valleys_mm: Option<f64>,
    /// Point to point of the tool.
    pub tool_mm: Option<f64>,
    /// Torque band of the tool, low and high: a tool trade's table, for ISO 10664 has none.
    pub torque_n_m: Option<(f64, f64)>,
    /// How far to trust the recess dimensions.
    pub confidence: ValueGrade,
}

const fn published_hexalobular(
    number: u32,
    a_mm: f64,
    b_mm: f64,
    tool_mm: f64,
    torque_n_m: (f64, f64),
) -> HexalobularSize {
    HexalobularSize {
        number,
        across_points_mm: a_mm,
        across_valleys_mm: Some(b_mm),
        tool_mm: Some(tool_mm),
        torque_n_m: Some(torque_n_m),
        confidence: ValueGrade::Published,
    }
}

const fn remembered_hexalobular(
    number: u32,
    a_mm: f64,
    tool_mm: Option<f64>,
    torque_n_m: Option<(f64, f64)>,
) -> HexalobularSize {
    let confidence = ValueGrade::FromMemory;
    HexalobularSize {
        number,
        across_points_mm: a_mm,
        across_valleys_mm: None,
        tool_mm,
        torque_n_m,
        confidence,
    }
}

/// T27's recess is not in the table read; its size is the tool's plus the play of its neighbours.
const HEXALOBULAR: &[HexalobularSize] = &[
    published_hexalobular(6, 1.75, 1.27, 1.70, (0.75, 0.9)),
    published_hexalobular(8, 2.4, 1.75, 2.31, (2.2, 2.6)),
    published_hexalobular(10, 2.8, 2.05, 2.74, (3.7, 4.5)),
    published_hexalobular(15, 3.35, 2.4, 3.27, (6.4, 7.7)),
    published_hexalobular(20, 3.95, 2.85, 3.86, (10.5, 12.7)),
    published_hexalobular(25, 4.5, 3.25, 4.43, (15.9, 19.0)),
    remembered_hexalobular(27, 5.07, Some(4.99), Some((22.5, 26.9))),
    published_hexalobular(30, 5.6, 4.05, 5.52, (31.1, 37.4)),
    published_hexalobular(40, 6.75, 4.85, 6.65, (54.1, 65.1)),
    published_hexalobular(45, 7.93, 5.64, 7.82, (86.0, 103.2)),
    published_hexalobular(50, 8.95, 6.45, 8.83, (132.0, 158.0)),
    remembered_hexalobular(55, 11.35, Some(11.22), Some((218.0, 256.0))),
    remembered_hexalobular(60, 13.45, Some(13.25), Some((379.0, 445.0))),
    remembered_hexalobular(70, 15.7, Some(15.51), Some((630.0, 700.0))),
    remembered_hexalobular(80, 17.75, None, None),
    remembered_hexalobular(90, 20.2, None, None),
    remembered_hexalobular(100, 22.4, None, None),
];

/// The internal hexalobular drive of a number.
#[must_use]
pub fn find_hexalobular(number: u32) -> Option<&'static HexalobularSize> {
    HEXALOBULAR.iter().find(|row| row.number == number)
}

/// `d`, then T number of cylinder, countersunk, button heads; 0 where none is given.
const HEXALOBULAR_BY_THREAD: &[(f64, u32, u32, u32)] = &[
    (2.0, 6, 6, 6),
    (2.5, 8, 8, 8),
    (3.0, 10, 10, 10),
    (4.0, 20, 20, 20),
    (5.0, 25, 25, 25),
    (6.0, 30, 30, 30),
    (8.0, 45, 45, 40),
    (10.0, 50, 50, 50),
    (12.0, 55, 55, 0),
    (14.0, 60, 0, 0),
    (16.0, 70, 0, 0),
    (18.0, 80, 0, 0),
    (20.0, 90, 0, 0),
];

/// The usual T number for a screw.
#[must_use]
pub fn hexalobular_number_for(thread: Thread, head: ScrewHeadForm) -> Option<u32> {
    let found = metric_row(HEXALOBULAR_BY_THREAD, thread, |r| r.0)?;
    let number = match head {
        ScrewHeadForm::Cylinder => found.1,
        ScrewHeadForm::Countersunk => found.2,
        ScrewHeadForm::Button => found.3,
        ScrewHeadForm::Set => 0,
    };
    (number > 0).then_some(number)
}

/// E number and point to point; two published pages agree.
const EXTERNAL_HEXALOBULAR: &[(u32, f64)] = &[
    (4, 3.8),
    (5, 4.7),
    (6, 5.6),
    (7, 6.1),
    (8, 7.4),
    (10, 9.3),
    (12, 11.1),
    (14, 12.8),
    (16, 14.7),
    (18, 16.6),
    (20, 18.4),
    (24, 22.1),
];

/// Point to point of an external hexalobular drive; an E number is not a T number.
#[must_use]
pub fn external_hexalobular(number: u32) -> Option<Length> {
    EXTERNAL_HEXALOBULAR.iter().find(|r| r.0 == number).map(|r| Length::from_mm(r.1))
}

/// Kinds of spanner, weakest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SpannerKind {
    /// Ring spanner or socket.
    RingOrSocket,
    /// Open end of a single-ended or combination spanner.
    Open,
    /// Open ends at both sides.
    DoubleOpen,
    /// Light pattern.
    Light,
}

/// Width across flats; test torque of ring or socket, open, double open, light pattern; DIN ISO 1711-1.
const SPANNERS: &[(f64, [f64; 4])] = &[
    (7.0, [25.2, 11.4, 9.12, 4.56]),
    (8.0, [34.5, 16.6, 13.3, 6.65]),
    (10.0, [58.1, 31.0, 24.8, 12.4]),
    (11.0, [72.7, 40.4, 32.3, 16.1]),
    (12.0, [89.1, 51.5, 41.2, 20.6]),
    (13.0, [107.0, 64.5, 51.6, 25.8]),
    (14.0, [128.0, 79.4, 63.5, 31.7]),
    (15.0, [150.0, 96.2, 77.0, 38.5]),
    (16.0, [175.0, 115.0, 92.3, 46.1]),
    (17.0, [201.0, 134.0, 107.0, 53.5]),
    (18.0, [230.0, 160.0, 128.0, 64.0]),
    (19.0, [261.0, 186.0, 149.0, 74.5]),
    (21.0, [330.0, 247.0, 198.0, 99.0]),
    (22.0, [368.0, 281.0, 225.0, 112.0]),
    (24.0, [451.0, 359.0, 287.0, 143.0]),
    (27.0, [594.0, 499.0, 399.0, 199.0]),
    (30.0, [760.0, 670.0, 536.0, 268.0]),
    (32.0, [884.0, 804.0, 643.0, 321.0]),
    (36.0, [1165.0, 1117.0, 894.0, 447.0]),
];

/// Sizes for which the power law through the nearest rows is still used (assumption).
const SPANNER_SIZES_MM: core::ops::RangeInclusive<f64> = 3.0..=60.0;

/// Test torque of a spanner or socket of a width across flats.
///
/// Between and just beyond the rows a power law through the two nearest is used; the ring column follows
/// `0.2655·s^2.340` within 0.4 % throughout.
#[must_use]
pub fn spanner_torque(width: Length, kind: SpannerKind) -> Option<RatedTorque> {
    let s_mm = width.as_mm();
    let column = kind as usize;
    if let Some(found) = row_of_size(SPANNERS, s_mm, |r| r.0) {
        return Some(rated_torque(found.1[column], ValueGrade::Published));
    }
    if !SPANNER_SIZES_MM.contains(&s_mm) {
        return None;
    }
    let above = SPANNERS.iter().position(|r| r.0 > s_mm).unwrap_or(SPANNERS.len() - 1).max(1);
    let (low, high) = (&SPANNERS[above - 1], &SPANNERS[above]);
    let exponent = math::ln(high.1[column] / low.1[column]) / math::ln(high.0 / low.0);
    Some(rated_torque(low.1[column] * math::pow(s_mm / low.0, exponent), ValueGrade::Interpolated))
}

/// A square drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SquareDrive {
    /// Name in the trade, inches.
    pub inch_name: &'static str,
    /// Name in ISO 1174-1.
    pub name_mm: f64,
    /// Nominal width.
    pub nominal_mm: f64,
    /// Greatest torque of a torque wrench with it; from memory, a hint only.
    pub wrench_max: RatedTorque,
    /// Test torque of driving parts; from memory, a hint only.
    pub test: RatedTorque,
}

const fn remembered_square(
    inch_name: &'static str,
    name_mm: f64,
    nominal_mm: f64,
    max_n_m: f64,
    test_n_m: f64,
) -> SquareDrive {
    let (wrench_max, test) =
        (rated_torque(max_n_m, ValueGrade::FromMemory), rated_torque(test_n_m, ValueGrade::FromMemory));
    SquareDrive { inch_name, name_mm, nominal_mm, wrench_max, test }
}

/// Square drives, smallest first. Names ISO 1174-1; torques ISO 6789 and ISO 3315, **from memory**; for the largest the
/// lower of two remembered wrench limits is used.
pub const SQUARES: &[SquareDrive] = &[
    remembered_square("1/4", 6.3, 6.35, 30.0, 62.0),
    remembered_square("3/8", 10.0, 9.53, 135.0, 202.0),
    remembered_square("1/2", 12.5, 12.7, 340.0, 512.0),
    remembered_square("3/4", 20.0, 19.05, 1000.0, 1412.0),
    remembered_square("1", 25.0, 25.4, 2100.0, 2515.0),
];

/// The square of an ISO name or nominal width.
#[must_use]
pub fn square_drive(width: Length) -> Option<&'static SquareDrive> {
    let mm = width.as_mm();
    SQUARES.iter().find(|s| (s.name_mm - mm).abs() < 0.011 || (s.nominal_mm - mm).abs() < 0.011)
}

/// Step of a ratchet: a full turn over its teeth; `None` without teeth.
#[must_use]
pub fn ratchet_step_deg(teeth_count: u32) -> Option<f64> {
    (teeth_count > 0).then(|| 360.0 / f64::from(teeth_count))
}

/// How a tool can be put on a hexagon again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HexagonGrip {
    /// Six points, or a straight open end.
    SixPoint,
    /// Twelve points, or an open end set at 15° and turned over.
    TwelvePoint,
    /// Twelve points with the head set at 7.5° to the side, turned over.
    TwelvePointTurnedOver,
}

/// The least angle between two positions of a tool on a hexagon: 60°, 30° or 15°, by geometry.
#[must_use]
pub const fn hexagon_index_deg(grip: HexagonGrip) -> f64 {
    match grip {
        HexagonGrip::SixPoint => 60.0,
        HexagonGrip::TwelvePoint => 30.0,
        HexagonGrip::TwelvePointTurnedOver => 15.0,
    }
}

/// Room that the end of a handle needs for a step: the chord `2·L·sin(a/2)`.
#[must_use]
pub fn swing_travel(handle: Length, step_deg: f64) -> Length {
    handle * (2.0 * math::sin_deg(step_deg / 2.0))
}
