//! The volume method: raises a Lagrangian bound step by step and averages the relaxed answers on the way.
//!
//! **Question.** A relaxation gives for multipliers `u ≥ 0` a bound `L(u)` and a slope `g(u)`, the violation of the relaxed
//! rows by the relaxed answer `x(u)`. Which `u` makes `L` greatest, and what does the linear program's answer look like?
//!
//! **Method.** Around the best multipliers so far, the *centre*, walk along the *direction* `v`, a running mean of slopes:
//! `u = max(0, centre + s·v)` with `s = f · (target − L) / |v|²`. The same mean of the relaxed answers tends to the answer of
//! the linear program. The weight of the newest slope makes `|v|` least, within limits. `f` grows after a step up along
//! the slope and shrinks after twenty steps that did not raise `L`.
//!
//! **Range.** Any `u ≥ 0` bounds, so an early end only costs sharpness.
//!
//! **Worked example.** One row covered by one column of cost 2: `L(u) = u + min(0, 2 − u)`. From `u = 0`, `g = 1` and target 3:
//! `s = f·3`, so with `f = 0.1` the next `u` is 0.3, `L = 0.3`, and so on up to 2.
//!
//! **Sources.** F. Barahona, R. Anbil, "The volume algorithm: producing primal solutions with a subgradient method",
//! Mathematical Programming 87 (2000), 385-399, section 2; the figures for `f` and the weight are theirs (from memory).

/// Steps without a rise before the step is made shorter.
const MAX_REDS: u32 = 20;
const SHORTER_FACTOR: f64 = 0.66;
const LONGER_FACTOR: f64 = 1.1;
const MAX_STEP_FACTOR: f64 = 2.0;
/// The greatest weight of the newest slope at the start, and the least that it is brought to.
const MAX_NEWEST_FRACTION: f64 = 0.1;
const LEAST_NEWEST_FRACTION: f64 = 0.005;
/// Steps after which the weight of the newest slope is halved, if the bound has hardly risen.
const HALVE_EVERY: u32 = 80;

/// The state of the walk.
#[derive(Debug, Clone)]
pub struct VolumeAscent {
    /// The multipliers with the best bound.
    pub centre_cost: Vec<f64>,
    /// Their bound.
    pub bound_cost: f64,
    direction_share: Vec<f64>,
    step_factor: f64,
    newest_fraction: f64,
    since_halved: u32,
    halved_at_cost: f64,
    reds: u32,
}

impl VolumeAscent {
    /// A walk from given multipliers, with the first step's factor.
    #[must_use]
    pub const fn from_centre(centre_cost: Vec<f64>, step_factor: f64) -> Self {
        Self {
            centre_cost,
            bound_cost: f64::NEG_INFINITY,
            direction_share: Vec::new(),
            step_factor,
            newest_fraction: MAX_NEWEST_FRACTION,
            since_halved: 0,
            halved_at_cost: f64::NEG_INFINITY,
            reds: 0,
        }
    }

    /// Writes the next multipliers to try; false where the direction says that there is nowhere to go.
    pub fn next_trial(&self, target_cost: f64, trial_cost: &mut Vec<f64>) -> bool {
        trial_cost.clear();
        if self.direction_share.is_empty() {
            trial_cost.extend_from_slice(&self.centre_cost);
            return true;
        }
        let pairs = || self.centre_cost.iter().zip(&self.direction_share);
        let square: f64 = pairs().map(|(u, v)| if *u <= 0.0 && *v < 0.0 { 0.0 } else { v * v }).sum();
        if square < 1e-12 {
            return false;
        }
        let step = self.step_factor * (target_cost - self.bound_cost).max(1e-9) / square;
        trial_cost.extend(pairs().map(|(u, v)| (u + step * v).max(0.0)));
        true
    }

    /// Records the bound and slope at the trial multipliers; returns the weight of the newest relaxed answer in the mean.
    pub fn take_evaluation(&mut self, trial_cost: &[f64], bound_cost: f64, slope_share: &[f64]) -> f64 {
        if self.direction_share.is_empty() {
            self.direction_share.extend_from_slice(slope_share);
            self.bound_cost = bound_cost;
            self.halved_at_cost = bound_cost;
            return 1.0;
        }
        let along: f64 = self.direction_share.iter().zip(slope_share).map(|(v, g)| v * g).sum();
        let newest = self.mix_slope(slope_share, along);
        if bound_cost > self.bound_cost {
            self.bound_cost = bound_cost;
            self.centre_cost.copy_from_slice(trial_cost);
            self.reds = 0;
            if along > 0.0 {
                self.step_factor = (self.step_factor * LONGER_FACTOR).min(MAX_STEP_FACTOR);
            }
        } else {
            self.reds += 1;
            if self.reds >= MAX_REDS {
                self.reds = 0;
                self.step_factor *= SHORTER_FACTOR;
            }
        }
        newest
    }

    /// Mixes the newest slope into the direction and returns its weight.
    fn mix_slope(&mut self, slope_share: &[f64], along_share: f64) -> f64 {
        self.since_halved += 1;
        if self.since_halved >= HALVE_EVERY {
            let hardly = self.bound_cost < self.halved_at_cost + 0.01 * self.halved_at_cost.abs();
            if hardly && self.newest_fraction > LEAST_NEWEST_FRACTION {
                self.newest_fraction /= 2.0;
            }
            self.since_halved = 0;
            self.halved_at_cost = self.bound_cost;
        }
        let slope: f64 = slope_share.iter().map(|g| g * g).sum();
        let mean: f64 = self.direction_share.iter().map(|v| v * v).sum();
        // |a·g + (1 − a)·v|² is least at a = (|v|² − v·g) / (|g|² − 2·v·g + |v|²).
        let under = slope - 2.0 * along_share + mean;
        let best = if under > 1e-12 { (mean - along_share) / under } else { 0.0 };
        let newest = if best <= 0.0 { self.newest_fraction / 10.0 } else { best.min(self.newest_fraction) };
        for (v, g) in self.direction_share.iter_mut().zip(slope_share) {
            *v = newest * g + (1.0 - newest) * *v;
        }
        newest
    }
}
