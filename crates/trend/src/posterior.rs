//! What readings and a stated prior say together of a rate: a density on a grid, and quantiles of what follows from it.
//!
//! **Question.** Two readings alone say nothing of a rate. What do they say beside the rates of like vehicles?
//!
//! **Symbols.** Prior: `ln b` normal with median `m` and deviation `σ`, told as the range in which nine of ten rates lie. The grid holds the
//! prior's own places and those of the readings' likelihood, so that neither falls between two points.
//!
//! **Assumptions and range.** A rate above nought: wear does not heal, and an odometer does not run back.
//!
//! **Sources.** Gelman et al., Bayesian Data Analysis, chapter 3 (from memory).
//!
//! symbol: z = deviations from the median, a pure number
//! symbol: b, low, high, median, centre, deviation, points, nodes, x = rates and places in the units of the question; z pure numbers

use units::math;

/// Normal quantile at 95 %.
const NINE_IN_TEN: f64 = 1.644_853_626_951_472_7;
/// Points of the grid on each side.
const GRID_POINTS: i32 = 80;
/// How far out the grid reaches: the hyperbolic sine of it, in deviations.
const REACH: f64 = 4.5;
/// Steps of a search for a quantile, at most.
const MAX_SEARCH_STEPS: u32 = 200;

/// Rates of like vehicles: nine in ten lie between two ends, as many below as above, on a logarithmic scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatePrior {
    median: f64,
    log_deviation: f64,
}

// symbol: log_deviation = deviation of the logarithm, a pure number

impl RatePrior {
    /// From the ends of the range; `None` unless both are above nought and in order.
    #[must_use]
    pub fn from_range(low: f64, high: f64) -> Option<Self> {
        let is_sound = low > 1.0e-100 && high < 1.0e100 && low < high;
        is_sound.then(|| Self {
            median: math::sqrt(low * high),
            log_deviation: math::ln(high / low) / (2.0 * NINE_IN_TEN),
        })
    }

    /// Half of the rates lie below.
    #[must_use]
    pub const fn median_number(&self) -> f64 {
        self.median
    }

    /// Lower and upper end of the range.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        (self.rate_at(-NINE_IN_TEN), self.rate_at(NINE_IN_TEN))
    }

    /// The rate so many deviations from the median.
    #[must_use]
    pub fn rate_at(&self, z: f64) -> f64 {
        self.median * math::exp(self.log_deviation * z)
    }

    /// Logarithm of the density of `b`, up to a constant.
    #[must_use]
    pub fn log_density(&self, b: f64) -> f64 {
        let z = math::ln(b / self.median) / self.log_deviation;
        -z * z / 2.0 - math::ln(b)
    }
}

/// A density as points with weights that add up to one.
#[derive(Debug, Clone, PartialEq)]
pub struct RateDensity {
    nodes: Vec<(f64, f64)>,
}

/// Mean and deviation of the logarithm of the rate, roughly, on places of the prior and of the likelihood together.
fn find_middle(
    prior: &RatePrior,
    centre: f64,
    deviation: f64,
    log_weight: &impl Fn(f64) -> f64,
) -> Option<(f64, f64)> {
    let mut points: Vec<f64> = Vec::with_capacity(5 * GRID_POINTS as usize);
    for k in -GRID_POINTS..=GRID_POINTS {
        let turn = 7.0 * f64::from(k) / f64::from(GRID_POINTS);
        points.push(prior.rate_at(turn));
        points.push(centre + deviation * (math::exp(turn) - math::exp(-turn)) / 4.0);
    }
    points.retain(|b| *b > 0.0 && b.is_finite());
    points.sort_by(f64::total_cmp);
    points.dedup();
    let logs: Vec<f64> = points.iter().map(|b| log_weight(*b)).collect();
    let top = logs.iter().copied().filter(|l| !l.is_nan()).fold(f64::NEG_INFINITY, f64::max);
    if !top.is_finite() {
        return None;
    }
    let weight = |k: usize| {
        let (before, after) = (k.saturating_sub(1), (k + 1).min(points.len() - 1));
        let weight = (points[after] - points[before]) * math::exp(logs[k] - top);
        if weight.is_finite() { weight } else { 0.0 }
    };
    let weights: Vec<f64> = (0..points.len()).map(weight).collect();
    let total: f64 = weights.iter().sum();
    let mean_of = |of: &dyn Fn(f64) -> f64| -> f64 {
        points.iter().zip(&weights).map(|(b, w)| w / total * of(math::ln(*b))).sum()
    };
    let middle = mean_of(&|w| w);
    let spread = math::sqrt(mean_of(&|w| (w - middle) * (w - middle)));
    (middle.is_finite() && spread > 0.0).then_some((middle, spread))
}

impl RateDensity {
    /// Prior times likelihood; `centre` and `deviation` say where the likelihood has its weight. `None` where nothing is left.
    #[must_use]
    pub fn weigh_rates(
        prior: &RatePrior,
        centre: f64,
        deviation: f64,
        log_likelihood: impl Fn(f64) -> f64,
    ) -> Option<Self> {
        let log_weight = |b: f64| prior.log_density(b) + log_likelihood(b);
        let (middle, spread) = find_middle(prior, centre, deviation, &log_weight)?;
        // One smooth scale about the middle: near it points lie close, far out ever wider, and the sum is as good as an integral.
        let node = |k: i32| {
            let turn = REACH * f64::from(k) / f64::from(GRID_POINTS);
            let (up, down) = (math::exp(turn), math::exp(-turn));
            let b = math::exp(middle + spread * (up - down) / 2.0);
            (b, log_weight(b) + math::ln(b * (up + down)))
        };
        let logs: Vec<(f64, f64)> = (-GRID_POINTS..=GRID_POINTS)
            .map(node)
            .filter(|(b, l)| *b > 0.0 && b.is_finite() && !l.is_nan())
            .collect();
        let top = logs.iter().map(|(_, l)| *l).fold(f64::NEG_INFINITY, f64::max);
        if !top.is_finite() {
            return None;
        }
        let raw: Vec<(f64, f64)> = logs.iter().map(|(b, l)| (*b, math::exp(l - top))).collect();
        let total: f64 = raw.iter().map(|(_, w)| w).sum();
        let nodes = raw.iter().map(|(b, w)| (*b, w / total)).filter(|(_, w)| *w > 1.0e-13);
        Some(Self { nodes: nodes.collect() })
    }

    /// Mean of a function of the rate.
    #[must_use]
    pub fn mean_of(&self, of: impl Fn(f64) -> f64) -> f64 {
        self.nodes.iter().map(|(b, weight)| weight * of(*b)).sum()
    }

    /// The rate that this share of the density lies below.
    #[must_use]
    pub fn quantile_at(&self, share: f64) -> f64 {
        let mut below = 0.0;
        for (at, (b, weight)) in self.nodes.iter().enumerate() {
            // Each point stands for the stretch around it: half of its weight lies below itself.
            let reached = below + weight / 2.0;
            if reached >= share {
                let Some(before) = at.checked_sub(1).map(|k| self.nodes[k]) else { return *b };
                let from = below - before.1 / 2.0;
                let part = ((share - from) / (reached - from)).clamp(0.0, 1.0);
                return before.0 + part * (b - before.0);
            }
            below += weight;
        }
        self.nodes.last().map_or(0.0, |(b, _)| *b)
    }
}

/// Where a rising function of a place reaches a share: looked for around `start` by steps that double, within two ends; `None` where
/// it does not there.
pub fn find_rising_root(
    start: f64,
    first_step: f64,
    ends: (f64, f64),
    share: f64,
    of: impl Fn(f64) -> f64,
) -> Option<f64> {
    // symbol: start, first_step, ends = places
    let (mut low, mut below, mut high, mut above) = bracket_root(start, first_step, ends, share, &of)?;
    for turn in 0..MAX_SEARCH_STEPS {
        let width = high - low;
        if width <= 1.0e-9 * first_step || above <= 1.0e-10 || below >= -1.0e-10 {
            break;
        }
        let chord = low - below * width / (above - below);
        let inside = chord.clamp(low + 1.0e-4 * width, high - 1.0e-4 * width);
        let next = if turn % 3 == 2 { f64::midpoint(low, high) } else { inside };
        let off = of(next) - share;
        if off < 0.0 { (low, below) = (next, off) } else { (high, above) = (next, off) }
    }
    Some(if below >= -1.0e-10 { low } else { high })
}

type RootBracket = (f64, f64, f64, f64);

/// Two places between which a rising function reaches a share, each with how far it is off there.
fn bracket_root(
    start: f64,
    first_step: f64,
    ends: (f64, f64),
    share: f64,
    of: &impl Fn(f64) -> f64,
) -> Option<RootBracket> {
    // symbol: start, first_step, ends = places
    let start = start.clamp(ends.0, ends.1);
    let (mut near, mut off, mut step) = (start, of(start) - share, first_step);
    let is_upward = off < 0.0;
    loop {
        let next = if is_upward { (near + step).min(ends.1) } else { (near - step).max(ends.0) };
        let next_off = of(next) - share;
        if next_off.is_nan() || next == near {
            return None;
        }
        if is_upward && next_off >= 0.0 {
            return Some((near, off, next, next_off));
        }
        if !is_upward && next_off < 0.0 {
            return Some((next, next_off, near, off));
        }
        (near, off) = (next, next_off);
        step *= 2.0;
    }
}
