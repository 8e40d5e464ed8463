//! Where the camera stood, and what a tap then says about a head that lies above the card's plane.
//!
//! **Question.** A head 20 mm high, seen slantwise, appears beside its place by 20 mm times the slant. What is its place, and how sure is that?
//!
//! **Model.** A camera with square pixels looks from `−t` through the middle of the picture: `x = f·(R X + t)`, divided by depth. Card frame: x right,
//! y down, z away from the viewer, so that a head of height `h` lies at `z = −h`. The lens bends straight lines by `1 + k·r²`, `r` the distance
//! from the middle over half the diagonal.
//!
//! **Method.** Ten unknowns: turn (3), shift (3), `ln f`, middle (2), `k`. The last four have a stated prior, so that the focal length comes from the
//! tilt where there is some and from the prior where there is none, without a threshold between the two. Least squares as in
//! [`crate::small_solve`]; the inverse of the information at its end is the covariance, and the doubt of a place follows from it by
//! derivatives. Corners of one code err together (blur, light, a sheet that is not flat), so their errors are counted as [`ERRORS_TOGETHER_FACTOR`]
//! times larger than if each stood alone.
//!
//! **Priors** (common practice, no single source; from memory): main cameras of phones have 23 to 28 mm of focal length on the frame of 36 by
//! 24 mm, 0.53 to 0.65 of the diagonal; the middle is off by 1 % where the lens moves against shake; what is left of the bending after the
//! camera's own correction is some tenths of a percent. A picture that was cropped off its middle, or taken with a zoom, is outside of them; where
//! it shows at all, it shows as a residual.
//!
//! symbol: values, slope, r, rotation = unknowns scaled to 1, residuals in standard deviations, turns without unit

use units::math;

use crate::answers::CameraTold;
use crate::homography::{PlaneHomography, PointPair};
use crate::layout::CARD_CENTRE_MM;
use crate::picture::GreyPicture;
use crate::small_solve::{UnknownsFit, fit_unknowns, solve_positive};

/// Focal length over diagonal when nobody tells it.
pub const USUAL_FOCAL_RATIO: f64 = 0.59;
/// Standard deviation of its logarithm.
pub const USUAL_FOCAL_SPREAD_RATIO: f64 = 0.08;
/// The same where it was told, as by the camera's note in the file.
pub const TOLD_FOCAL_SPREAD_RATIO: f64 = 0.03;
/// Standard deviation of the middle, over the diagonal.
pub const MIDDLE_SPREAD_RATIO: f64 = 0.01;
/// Standard deviation of the bending at the picture's corner.
pub const BENDING_SPREAD_RATIO: f64 = 0.005;
/// How much larger the errors of corners count because they err together.
pub const ERRORS_TOGETHER_FACTOR: f64 = 3.0;
/// Least error of a corner, px.
pub const MIN_CORNER_ERROR_PX: f64 = 0.08;

const UNKNOWNS: usize = 10;

/// The camera against the card.
#[derive(Debug, Clone, PartialEq)]
pub struct CardPose {
    frame: PoseFrame,
    fit: UnknownsFit,
    /// Standard deviation of a corner that the fit leaves, px.
    pub corner_error_px: f64,
}

/// What the unknowns are counted from.
#[derive(Debug, Clone, PartialEq)]
struct PoseFrame {
    rotation: [[f64; 3]; 3],
    shift_mm: [f64; 3],
    middle_px: (f64, f64),
    diagonal_px: f64,
    focal_ratio: f64,
    focal_spread_ratio: f64,
}

/// The camera at given unknowns.
struct PoseCamera {
    rotation: [[f64; 3]; 3],
    shift_mm: [f64; 3],
    focal_px: f64,
    middle_px: (f64, f64),
    bending_ratio: f64,
    half_diagonal_px: f64,
}

impl CardPose {
    /// The pose that fits pairs best, beginning from their map; `None` where it cannot be told.
    #[must_use]
    pub fn fit_pairs(
        pairs: &[PointPair],
        map: &PlaneHomography,
        picture: &GreyPicture<'_>,
        camera: CameraTold,
    ) -> Option<Self> {
        Self::fit_in_frame(pairs, map, (picture.centre_px(), picture.diagonal_px()), camera)
    }

    /// The same for a picture of which only middle and diagonal are known, px.
    #[must_use]
    pub fn fit_in_frame(
        pairs: &[PointPair],
        map: &PlaneHomography,
        (middle_px, diagonal_px): ((f64, f64), f64),
        camera: CameraTold,
    ) -> Option<Self> {
        let (focal_ratio, focal_spread_ratio) = match camera {
            CameraTold::Nothing => (USUAL_FOCAL_RATIO, USUAL_FOCAL_SPREAD_RATIO),
            CameraTold::FocalRatio(ratio) => (ratio, TOLD_FOCAL_SPREAD_RATIO),
        };
        if !(focal_ratio.is_finite() && focal_ratio > 0.05 && diagonal_px > 1.0) {
            return None;
        }
        let (rotation, shift_mm) = start_of_map(map, middle_px, focal_ratio * diagonal_px)?;
        let frame = PoseFrame { rotation, shift_mm, middle_px, diagonal_px, focal_ratio, focal_spread_ratio };
        // First with a usual error of a corner, then with the one that was found: the prior's weight against the corners hangs on it.
        let mut corner_error_px = 0.3;
        let mut fit = None;
        for _ in 0..2 {
            let weight = 1.0 / (corner_error_px * ERRORS_TOGETHER_FACTOR);
            let start = fit.map_or_else(|| vec![0.0; UNKNOWNS], |fit: UnknownsFit| fit.values);
            let fitted = fit_unknowns(&start, |values| frame.list_residuals(values, pairs, weight))?;
            let misses = frame.list_misses_px(&fitted.values, pairs)?;
            let squares: f64 = misses.iter().map(|miss| miss * miss).sum();
            let free = misses.len().saturating_sub(UNKNOWNS - 2).max(1);
            corner_error_px = (squares / free as f64).sqrt().max(MIN_CORNER_ERROR_PX);
            fit = Some(fitted);
        }
        Some(Self { frame, fit: fit?, corner_error_px })
    }

    /// Angle between the camera's axis and the upright on the card, degrees.
    #[must_use]
    pub fn tilt_deg(&self) -> f64 {
        let upright = self.camera().rotation[2][2].abs().min(1.0);
        math::acos(upright) * 180.0 / std::f64::consts::PI
    }

    /// Focal length over the diagonal, and the standard deviation of its logarithm.
    #[must_use]
    pub fn focal_ratio(&self) -> (f64, f64) {
        let mut slope = [0.0; UNKNOWNS];
        slope[6] = 1.0;
        let variance = self.variance_of(&slope).unwrap_or(f64::INFINITY);
        (self.camera().focal_px / self.frame.diagonal_px, variance.sqrt())
    }

    /// Height of the camera above the card, mm.
    #[must_use]
    pub fn distance_mm(&self) -> f64 {
        let camera = self.camera();
        turn_back(&camera.rotation, camera.shift_mm)[2].abs()
    }

    /// Where a point is seen that lies above the card by a height, px; `None` behind the camera.
    #[must_use]
    pub fn picture_px(&self, card_mm: (f64, f64), height_mm: f64) -> Option<(f64, f64)> {
        self.camera().picture_px([card_mm.0, card_mm.1, -height_mm])
    }

    /// The place on the card below a point that is seen there and lies above the card by a height, mm.
    #[must_use]
    pub fn card_mm(&self, picture_px: (f64, f64), height_mm: f64) -> Option<(f64, f64)> {
        self.camera().card_mm(picture_px, height_mm)
    }

    /// Standard deviation of that place from corners, camera and tap, mm: root of the sum of both directions.
    #[must_use]
    pub fn error_mm(&self, picture_px: (f64, f64), height_mm: f64, tap_error_px: f64) -> Option<f64> {
        let at = |values: &[f64], at_px: (f64, f64)| self.frame.camera_at(values).card_mm(at_px, height_mm);
        let mut slopes = [[0.0; UNKNOWNS]; 2];
        let nudge = 1e-6;
        for unknown in 0..UNKNOWNS {
            let mut moved = self.fit.values.clone();
            moved[unknown] += nudge;
            let above = at(&moved, picture_px)?;
            moved[unknown] -= 2.0 * nudge;
            let below = at(&moved, picture_px)?;
            slopes[0][unknown] = (above.0 - below.0) / (2.0 * nudge);
            slopes[1][unknown] = (above.1 - below.1) / (2.0 * nudge);
        }
        let here = at(&self.fit.values, picture_px)?;
        let right = at(&self.fit.values, (picture_px.0 + 1.0, picture_px.1))?;
        let down = at(&self.fit.values, (picture_px.0, picture_px.1 + 1.0))?;
        let tap = [right, down]
            .iter()
            .map(|there| (there.0 - here.0).powi(2) + (there.1 - here.1).powi(2))
            .sum::<f64>()
            * tap_error_px.powi(2);
        let variance = self.variance_of(&slopes[0])? + self.variance_of(&slopes[1])? + tap;
        variance.is_finite().then(|| variance.sqrt())
    }

    fn camera(&self) -> PoseCamera {
        self.frame.camera_at(&self.fit.values)
    }

    /// `slope · covariance · slope`.
    fn variance_of(&self, slope: &[f64; UNKNOWNS]) -> Option<f64> {
        let solved = solve_positive(&self.fit.information, slope)?;
        Some(solved.iter().zip(slope).map(|(a, b)| a * b).sum())
    }
}

impl PoseFrame {
    fn camera_at(&self, values: &[f64]) -> PoseCamera {
        let value = |at: usize| values.get(at).copied().unwrap_or(0.0);
        let depth_mm = math::hypot(math::hypot(self.shift_mm[0], self.shift_mm[1]), self.shift_mm[2]);
        let turn = turn_by([value(0), value(1), value(2)]);
        PoseCamera {
            rotation: std::array::from_fn(|row| {
                std::array::from_fn(|column| (0..3).map(|k| turn[row][k] * self.rotation[k][column]).sum())
            }),
            shift_mm: std::array::from_fn(|at| self.shift_mm[at] + depth_mm * value(3 + at)),
            focal_px: self.focal_ratio * self.diagonal_px * math::exp(value(6)),
            middle_px: (
                self.middle_px.0 + self.diagonal_px * value(7),
                self.middle_px.1 + self.diagonal_px * value(8),
            ),
            bending_ratio: value(9),
            half_diagonal_px: self.diagonal_px / 2.0,
        }
    }

    fn list_misses_px(&self, values: &[f64], pairs: &[PointPair]) -> Option<Vec<f64>> {
        let camera = self.camera_at(values);
        let mut misses = Vec::with_capacity(2 * pairs.len() + 4);
        for pair in pairs {
            let seen = camera.picture_px([pair.card_mm.0, pair.card_mm.1, 0.0])?;
            misses.extend([seen.0 - pair.picture_px.0, seen.1 - pair.picture_px.1]);
        }
        Some(misses)
    }

    /// Misses of the corners and of the priors, each in its standard deviations.
    fn list_residuals(&self, values: &[f64], pairs: &[PointPair], weight: f64) -> Option<Vec<f64>> {
        let mut r = self.list_misses_px(values, pairs)?;
        r.iter_mut().for_each(|miss| *miss *= weight);
        r.extend([
            values[6] / self.focal_spread_ratio,
            values[7] / MIDDLE_SPREAD_RATIO,
            values[8] / MIDDLE_SPREAD_RATIO,
            values[9] / BENDING_SPREAD_RATIO,
        ]);
        Some(r)
    }
}

impl PoseCamera {
    // symbol: point = x, y, z of the card's frame, mm
    fn picture_px(&self, point: [f64; 3]) -> Option<(f64, f64)> {
        let turned =
            |row: usize| (0..3).map(|k| self.rotation[row][k] * point[k]).sum::<f64>() + self.shift_mm[row];
        let depth_mm = turned(2);
        if !(depth_mm.is_finite() && depth_mm > 1.0) {
            return None;
        }
        let (x_px, y_px) = (self.focal_px * turned(0) / depth_mm, self.focal_px * turned(1) / depth_mm);
        let bent = self.bend_at(x_px, y_px);
        Some((self.middle_px.0 + bent * x_px, self.middle_px.1 + bent * y_px))
    }

    fn bend_at(&self, x_px: f64, y_px: f64) -> f64 {
        1.0 + self.bending_ratio * (x_px * x_px + y_px * y_px) / self.half_diagonal_px.powi(2)
    }

    fn card_mm(&self, picture_px: (f64, f64), height_mm: f64) -> Option<(f64, f64)> {
        let bent_px = (picture_px.0 - self.middle_px.0, picture_px.1 - self.middle_px.1);
        // The bending is some thousandths, so that a few rounds undo it to the last digits.
        let (x_px, y_px) = (0..12).fold(bent_px, |(x_px, y_px), _| {
            let bent = self.bend_at(x_px, y_px);
            (bent_px.0 / bent, bent_px.1 / bent)
        });
        let ray = turn_back(&self.rotation, [x_px / self.focal_px, y_px / self.focal_px, 1.0]);
        let eye_mm = turn_back(&self.rotation, self.shift_mm).map(|along| -along);
        let way = (-height_mm - eye_mm[2]) / ray[2];
        let place = (eye_mm[0] + way * ray[0], eye_mm[1] + way * ray[1]);
        (way > 0.0 && place.0.is_finite() && place.1.is_finite()).then_some(place)
    }
}

/// `Rᵀ v`.
// symbol: vector = in any unit
fn turn_back(rotation: &[[f64; 3]; 3], vector: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|column| (0..3).map(|row| rotation[row][column] * vector[row]).sum())
}

/// The turn about an axis by its length in radians (Rodrigues, from memory).
fn turn_by(axis_rad: [f64; 3]) -> [[f64; 3]; 3] {
    let [x, y, z] = axis_rad;
    let angle_rad = (x * x + y * y + z * z).sqrt();
    let (sine, rest) = if angle_rad < 1e-9 {
        (1.0, 0.5)
    } else {
        (math::sin(angle_rad) / angle_rad, (1.0 - math::cos(angle_rad)) / (angle_rad * angle_rad))
    };
    let cross = [[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]];
    std::array::from_fn(|row| {
        std::array::from_fn(|column| {
            let square: f64 = (0..3).map(|k| cross[row][k] * cross[k][column]).sum();
            f64::from(u8::from(row == column)) + sine * cross[row][column] + rest * square
        })
    })
}

/// Turn and shift that a map shows for a focal length: its columns over `K`, made upright.
fn start_of_map(
    map: &PlaneHomography,
    middle_px: (f64, f64),
    focal_px: f64,
) -> Option<([[f64; 3]; 3], [f64; 3])> {
    let h = map.entries();
    let column = |at: usize| {
        let w = h[6 + at];
        [(h[at] - middle_px.0 * w) / focal_px, (h[3 + at] - middle_px.1 * w) / focal_px, w]
    };
    let length = |v: [f64; 3]| (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    let (first, second, third) = (column(0), column(1), column(2));
    let size = (length(first) * length(second)).sqrt();
    // The middle of the card lies before the camera.
    let depth = first[2] * CARD_CENTRE_MM.0 + second[2] * CARD_CENTRE_MM.1 + third[2];
    let size = if depth < 0.0 { -size } else { size };
    let x: [f64; 3] = first.map(|each| each / length(first) * size.signum());
    let along: f64 = (0..3).map(|k| x[k] * second[k]).sum();
    let rest: [f64; 3] = std::array::from_fn(|k| second[k] - along * x[k]);
    let y: [f64; 3] = rest.map(|each| each / length(rest) * size.signum());
    let z = [x[1] * y[2] - x[2] * y[1], x[2] * y[0] - x[0] * y[2], x[0] * y[1] - x[1] * y[0]];
    let shift_mm = third.map(|each| each / size);
    let is_sound = [x, y, z, shift_mm].iter().flatten().all(|each| each.is_finite());
    is_sound.then(|| (std::array::from_fn(|row| [x[row], y[row], z[row]]), shift_mm))
}
