//! The bent axis of a corridor on the sheet: from a distance along it to a point.

use crate::view::BendView;
use units::math;

/// A straight run of the axis.
#[derive(Debug, Clone, Copy)]
struct AxisRun {
    start_mm: f64,
    origin_mm: (f64, f64),
    turn_deg: f64,
}

/// An axis that starts at the head, goes up the sheet and turns to the right at each bend.
#[derive(Debug, Clone)]
pub struct CorridorAxis {
    runs: Vec<AxisRun>,
}

impl CorridorAxis {
    /// An axis with bends at rising distances.
    #[must_use]
    pub fn new(bends: &[BendView]) -> Self {
        let mut runs = vec![AxisRun { start_mm: f64::NEG_INFINITY, origin_mm: (0.0, 0.0), turn_deg: 0.0 }];
        for bend in bends {
            let last = runs[runs.len() - 1];
            let turn_deg = last.turn_deg + bend.angle_deg;
            let origin_mm = point_of_run(last, bend.at_mm, 0.0);
            runs.push(AxisRun { start_mm: bend.at_mm, origin_mm, turn_deg });
        }
        Self { runs }
    }

    /// The point at a distance along the axis and beside it, in millimetres, upward positive.
    #[must_use]
    pub fn point_at(&self, z_mm: f64, beside_mm: f64) -> (f64, f64) {
        let run = self.runs.iter().rev().find(|r| r.start_mm <= z_mm).copied();
        point_of_run(run.unwrap_or(self.runs[0]), z_mm, beside_mm)
    }

    /// The outline of a band along the axis between two distances, kinked at the bends.
    #[must_use]
    pub fn band_outline(&self, from_mm: f64, to_mm: f64, left_mm: f64, right_mm: f64) -> Vec<(f64, f64)> {
        let mut stations = vec![from_mm];
        stations.extend(self.runs.iter().map(|r| r.start_mm).filter(|z| from_mm < *z && *z < to_mm));
        stations.push(to_mm);
        let mut outline = self.side_points(&stations, left_mm);
        let mut back = self.side_points(&stations, right_mm);
        back.reverse();
        outline.append(&mut back);
        outline
    }

    /// Points beside the axis at rising distances; at a bend the point of the earlier run and of the later one.
    fn side_points(&self, stations_mm: &[f64], beside_mm: f64) -> Vec<(f64, f64)> {
        let mut points = Vec::new();
        for (i, z_mm) in stations_mm.iter().enumerate() {
            let inner = i > 0 && i + 1 < stations_mm.len();
            if inner || i + 1 == stations_mm.len() {
                points.push(self.point_at(z_mm - 1.0e-6, beside_mm));
            }
            if inner || i == 0 {
                points.push(self.point_at(*z_mm, beside_mm));
            }
        }
        points
    }
}

/// A point of one run.
fn point_of_run(run: AxisRun, z_mm: f64, beside_mm: f64) -> (f64, f64) {
    let along_mm = if run.start_mm.is_finite() { z_mm - run.start_mm } else { z_mm };
    let (sin, cos) = (math::sin_deg(run.turn_deg), math::cos_deg(run.turn_deg));
    (run.origin_mm.0 + along_mm * sin + beside_mm * cos, run.origin_mm.1 + along_mm * cos - beside_mm * sin)
}
