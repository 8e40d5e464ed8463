//! Torque and tension measured together: the nut factor of a joint and its scatter, from trials.
//!
//! **Question.** Ten bolts of this joint were tightened on a load cell: what torque-to-preload factor do they show, and how far may the next
//! one be off?
//!
//! **Symbols.** `F` preloads at one torque `T`, `d` diameter; `K = T/(d·F̄)`; `γmax = Fmax/F̄ − 1`, `γmin = 1 − Fmin/F̄`; `γp/g = k·s/F̄`
//! with the two-sided tolerance factor `k` for a share `p` with confidence `g`.
//!
//! **Assumptions and range.** Independent trials, one per bolt: **repeats on one bolt are not independent**; thirty readings on ten bolts of the
//! standard's own example are worth about eleven. At least two trials; five or more say something.
//!
//! **Worked example.** 450 lbf·in, d 0.375 in, thirty preloads of mean 4721 lbf and scatter 1097 lbf: K = 450/(0.375·4721) = 0.254,
//! γ90/95 = 2.145·1097/4721 = 0.498.
//!
//! **Sources.** NASA-STD-5020B, A.2, table 6 and table 5.
//!
//! symbol: k = the short form's factor

use units::{Force, Length, Torque};

use crate::tolerance;

/// What trials show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreloadTrials {
    /// Mean preload.
    pub mean: Force,
    /// Standard deviation of single preloads.
    pub scatter: Force,
    /// Factor of the short form.
    pub k: f64,
    /// Greatest preload above the mean, as a share of it.
    pub above_fraction: f64,
    /// Least preload below the mean, as a share of it.
    pub below_fraction: f64,
    /// Deviation that covers 90 % of preloads with 95 % confidence, as a share of the mean.
    pub covering_fraction: f64,
}

/// Sums up preloads measured at one torque; `None` for fewer than two, or where mean or lever is not above zero.
#[must_use]
pub fn sum_up_trials(preloads: &[Force], torque: Torque, d: Length) -> Option<PreloadTrials> {
    let values: Vec<f64> = preloads.iter().map(|f| f.as_n()).collect();
    let (mean_n, scatter_n) = tolerance::mean_and_scatter(&values)?;
    if mean_n <= 0.0 || d <= Length::ZERO {
        return None;
    }
    let most_n = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least_n = values.iter().copied().fold(f64::INFINITY, f64::min);
    let factor = tolerance::two_sided_factor_of(values.len() as u32, 0.90, 0.95);
    Some(PreloadTrials {
        mean: Force::from_n(mean_n),
        scatter: Force::from_n(scatter_n),
        k: torque / (Force::from_n(mean_n) * d),
        above_fraction: most_n / mean_n - 1.0,
        below_fraction: 1.0 - least_n / mean_n,
        covering_fraction: factor * scatter_n / mean_n,
    })
}
