//! Tolerance factors: a bound that a share of all fasteners stays below, with a confidence that follows from few data.
//!
//! **Question.** Ten run-downs gave 4.0 N·m with a scatter of 0.06: which torque do 99 of 100 further ones stay below, and how
//! sure may one be of that?
//!
//! **Symbols.** `x̄`, `s` mean and standard deviation of `n` readings, `p` share to be covered, `g` confidence, `z` quantile of the normal
//! distribution, `t'(g; ν, δ)` that of the noncentral t with `ν` degrees of freedom and noncentrality `δ`, `d²` variance of the
//! estimated mean over that of one reading (`1/n` for a mean, `1/n + (x − x̄)²/Sxx` on a line).
//!
//! ```text
//! upper bound = x̄ + k·s        k = d·t'(g; ν, z_p/d)                       one-sided, exact
//! two-sided: x̄ ± k·s            E_z[ P(χ²_ν ≥ ν·(r(z)/k)²) ] = g,  Φ(z/√n + r) − Φ(z/√n − r) = p
//! ```
//!
//! **Assumptions and range.** Independent readings of one normal distribution; `p`, `g` between 0.5 and 0.9999, `ν` from 1. The noncentral t is the
//! integral of `Φ(t·u − δ)` over the density of `u = √(χ²/ν)`, by Simpson's rule with steps fine enough for six digits.
//!
//! **Worked example.** n 10, 99 % with 95 %: δ = 2.326·√10 = 7.357, t' = 12.59, k = 3.981; bound 4.0 + 3.981·0.06 = 4.24.
//!
//! **Sources.** One-sided factors as in the A- and B-basis tables of CMH-17-1G and MIL-HDBK-17 (public), two-sided as in
//! NASA-STD-5020B table 5; definitions ISO 16269-6; Howe's approximation is not used.
//!
//! symbol: x, t, z, k, u, delta, nu, nodes = arguments of the distributions above, places with weights, pure numbers

use core::f64::consts::PI;

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, Normal, StudentsT};
use statrs::function::gamma::ln_gamma;
use units::math;

/// Fewest steps of Simpson's rule over the density of `u`; even.
const STEPS: u32 = 320;
/// Most of them.
const MAX_STEPS_IN_U: f64 = 20_000.0;
/// Steps over the width `1/t` in which `Φ(t·u − δ)` rises.
const STEPS_IN_RISE: f64 = 4.0;
/// Maximum number of steps towards a bracketed root.
const MAX_ROOT_STEPS: u32 = 200;
/// A bracket this narrow, against its place, is a root.
const NARROW: f64 = 1.0e-11;

/// A number brought into a range; what is no number becomes the lower end.
fn held_within(x: f64, ends: core::ops::RangeInclusive<f64>) -> f64 {
    // symbol: ends = a range of pure numbers
    if x.is_nan() { *ends.start() } else { x.clamp(*ends.start(), *ends.end()) }
}

/// Degrees of freedom that are supported.
fn held_degrees(nu: f64) -> f64 {
    held_within(nu, 1.0..=1.0e6)
}

/// Shares and confidences that are supported.
fn held_share(x: f64) -> f64 {
    held_within(x, 0.5..=0.9999)
}

/// Distribution function of the standard normal.
#[must_use]
pub fn normal_cdf(x: f64) -> f64 {
    Normal::standard().cdf(x)
}

/// Quantile of the standard normal; probabilities are held inside 1e-15 and 1 − 1e-15.
#[must_use]
pub fn normal_quantile(probability: f64) -> f64 {
    Normal::standard().inverse_cdf(held_within(probability, 1.0e-15..=1.0 - 1.0e-15))
}

/// Probability that a Student t lies above `t`; degrees of freedom are held inside 1 and a million.
#[must_use]
pub fn student_above_probability(t: f64, nu: f64) -> f64 {
    StudentsT::new(0.0, 1.0, held_degrees(nu)).map_or(0.5, |d| d.sf(held_within(t, -1.0e9..=1.0e9)))
}

/// Quantile of Student's t, to nine digits; degrees of freedom are held inside 1 and a million.
#[must_use]
pub fn student_quantile(probability: f64, nu: f64) -> f64 {
    let wanted = held_within(probability, 1.0e-6..=1.0 - 1.0e-6);
    root_of_rising(-1.0e6, 1.0e6, wanted, |t| 1.0 - student_above_probability(t, nu))
}

/// Probability that F with these degrees of freedom lies above `x`.
#[must_use]
pub fn f_above_probability(x: f64, between_count: f64, within_count: f64) -> f64 {
    let f = FisherSnedecor::new(held_degrees(between_count), held_degrees(within_count));
    f.map_or(1.0, |d| d.sf(held_within(x, 0.0..=1.0e9)))
}

/// Probability that χ² with `ν` degrees of freedom lies above `x`.
fn chi_squared_above_probability(x: f64, nu: f64) -> f64 {
    ChiSquared::new(held_degrees(nu)).map_or(1.0, |d| d.sf(held_within(x, 0.0..=1.0e12)))
}

/// Where a rising function reaches a value, between two ends: two steps by the chord, then one by halving, so that neither
/// flat ends nor bends hold it up.
fn root_of_rising(mut low: f64, mut high: f64, wanted_figure: f64, of: impl Fn(f64) -> f64) -> f64 {
    let (mut below, mut above) = (of(low) - wanted_figure, of(high) - wanted_figure);
    for step in 0..MAX_ROOT_STEPS {
        let width = high - low;
        if width <= NARROW * (1.0 + low.abs().max(high.abs())) || below >= 0.0 || above <= 0.0 {
            break;
        }
        let chord = low - below * width / (above - below);
        // A chord that lands at an end would crawl; it is kept a little inside.
        let inside = chord.clamp(low + 1.0e-3 * width, high - 1.0e-3 * width);
        let next = if step % 3 == 2 || !inside.is_finite() { f64::midpoint(low, high) } else { inside };
        let off = of(next) - wanted_figure;
        if off < 0.0 {
            (low, below) = (next, off);
        } else {
            (high, above) = (next, off);
        }
    }
    if below >= 0.0 {
        low
    } else if above <= 0.0 {
        high
    } else {
        low - below * (high - low) / (above - below)
    }
}

/// Ends beyond which the density of `u = √(χ²/ν)` holds less than about 1e-14.
fn ends_of_u(nu: f64) -> (f64, f64) {
    // The spread of u is near 1/√(2ν); eight of them each way, and further up for few degrees of freedom.
    let spread = 8.0 / math::sqrt(2.0 * nu);
    ((1.0 - spread).max(0.0), 1.0 + spread)
}

/// The density of `u` laid out for Simpson's rule: places with their weights, fine enough for arguments up to `t`.
fn density_of_u(nu: f64, t: f64) -> Vec<(f64, f64)> {
    let (low, high) = ends_of_u(nu);
    let rise = (high - low) * t.abs() * STEPS_IN_RISE;
    let steps = STEPS.max(2 * (rise.min(MAX_STEPS_IN_U) / 2.0) as u32);
    let step = (high - low) / f64::from(steps);
    let ln_front = core::f64::consts::LN_2 + nu / 2.0 * math::ln(nu / 2.0) - ln_gamma(nu / 2.0);
    let density = |u: f64| {
        if u <= 0.0 {
            return if nu == 1.0 { math::sqrt(2.0 / PI) } else { 0.0 };
        }
        math::exp(ln_front + (nu - 1.0) * math::ln(u) - nu * u * u / 2.0)
    };
    let node = |i: u32| {
        let u = low + f64::from(i) * step;
        let simpson = if i == 0 || i == steps { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        (u, simpson * step / 3.0 * density(u))
    };
    (0..=steps).map(node).collect()
}

/// Distribution function of the noncentral t over a density laid out before.
fn noncentral_over(nodes: &[(f64, f64)], t: f64, delta: f64) -> f64 {
    nodes.iter().map(|(u, weight)| weight * normal_cdf(t * u - delta)).sum::<f64>().clamp(0.0, 1.0)
}

/// Distribution function of the noncentral t.
#[must_use]
pub fn noncentral_t_cdf(t: f64, nu: f64, delta: f64) -> f64 {
    let (t, delta) = (held_within(t, -1.0e9..=1.0e9), held_within(delta, -1.0e7..=1.0e7));
    noncentral_over(&density_of_u(held_degrees(nu), t), t, delta)
}

/// Quantile of the noncentral t.
#[must_use]
pub fn noncentral_t_quantile(probability: f64, nu: f64, delta: f64) -> f64 {
    let (nu, delta) = (held_degrees(nu), held_within(delta, -1.0e7..=1.0e7));
    let probability = held_within(probability, 1.0e-9..=1.0 - 1.0e-9);
    let mut high = 10.0 + delta.abs();
    let mut nodes = density_of_u(nu, high);
    // Few degrees of freedom have heavy tails: the end is moved out until it holds the quantile.
    while noncentral_over(&nodes, high, delta) < probability && high < 1.0e9 {
        high *= 2.0;
        nodes = density_of_u(nu, high);
    }
    root_of_rising(-high, high, probability, |t| noncentral_over(&nodes, t, delta))
}

/// One-sided factor of an estimated mean whose variance is `d²` of one reading's, with `ν` degrees of freedom for the scatter.
///
/// What is out of range is brought inside it: `ν` to 1, `d` to 1e-6, shares and confidences to 0.5 to 0.9999.
#[must_use]
pub fn one_sided_factor(nu: f64, d_ratio: f64, covered_share: f64, confidence_share: f64) -> f64 {
    let d = held_within(d_ratio, 1.0e-6..=1.0e6);
    d * noncentral_t_quantile(
        held_share(confidence_share),
        nu,
        normal_quantile(held_share(covered_share)) / d,
    )
}

/// One-sided factor for `n` readings of one kind.
#[must_use]
pub fn one_sided_factor_of(n_count: u32, covered_share: f64, confidence_share: f64) -> f64 {
    let n = f64::from(n_count.max(2));
    one_sided_factor(n - 1.0, 1.0 / math::sqrt(n), covered_share, confidence_share)
}

/// Two-sided factor for `n` readings of one kind, exact.
#[must_use]
pub fn two_sided_factor_of(n_count: u32, covered_share: f64, confidence_share: f64) -> f64 {
    let n = f64::from(n_count.max(2));
    let (p, g) = (held_share(covered_share), held_share(confidence_share));
    let nodes = half_widths(n, p);
    let confidence = |k: f64| {
        let nu = n - 1.0;
        nodes.iter().map(|(weight, r)| weight * chi_squared_above_probability(nu * r * r / (k * k), nu)).sum()
    };
    root_of_rising(0.1, 1.0e5, g, confidence)
}

/// Simpson nodes over the mean's place `z`: weight, and the half width `r` that covers the share from there.
fn half_widths(n_count: f64, covered_share: f64) -> Vec<(f64, f64)> {
    const NODES: u32 = 160;
    const REACH: f64 = 8.0;
    let step = REACH / f64::from(NODES);
    let node = |i: u32| {
        let z = f64::from(i) * step;
        let simpson = if i == 0 || i == NODES { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        // Both signs of z count alike.
        let weight = 2.0 * simpson * step / 3.0 * math::exp(-z * z / 2.0) / math::sqrt(2.0 * PI);
        let off = z / math::sqrt(n_count);
        let covered = |r: f64| normal_cdf(off + r) - normal_cdf(off - r);
        (weight, root_of_rising(0.0, 20.0 + off, covered_share, covered))
    };
    (0..=NODES).map(node).collect()
}

/// Readings after which the greatest is a bound without any distribution: the least `n` with `pⁿ ≤ 1 − g`.
#[must_use]
pub fn readings_without_distribution_count(covered_share: f64, confidence_share: f64) -> u32 {
    let (p, g) = (held_share(covered_share), held_share(confidence_share));
    math::ceil(math::ln(1.0 - g) / math::ln(p)) as u32
}

/// Mean and sample standard deviation; none for fewer than two values.
#[must_use]
pub fn mean_and_scatter(values: &[f64]) -> Option<(f64, f64)> {
    // symbol: values = readings in one unit, which the result shares
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    (values.len() >= 2).then(|| (mean, math::sqrt(squares / (n - 1.0))))
}
