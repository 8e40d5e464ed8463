//! Random numbers for playing times over, the same for the same seed, and the figure that a share of the samples does not pass.
//!
//! symbol: z = standard normal

use bolting::tolerance::normal_quantile;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Degrees of freedom beyond which a variance is taken as known (assumption).
const MAX_FREEDOM: u32 = 60;

/// Draws from a seed, a stream of its own for each sample.
#[derive(Debug)]
pub struct TimeDraws(Pcg64Mcg);

impl TimeDraws {
    /// The draws of one sample.
    #[must_use]
    pub fn of_sample(seed: u64, sample: u32) -> Self {
        let mixed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15)
            ^ (u64::from(sample) + 1).wrapping_mul(0xD1B5_4A32_D192_ED03);
        Self(Pcg64Mcg::seed_from_u64(mixed))
    }

    /// Above 0 and below 1.
    pub fn draw_uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// A standard normal, by the inverse of the distribution function.
    pub fn draw_normal(&mut self) -> f64 {
        normal_quantile(self.draw_uniform())
    }

    /// `ν/χ²(ν)`: what a variance known with `ν` degrees of freedom is multiplied by.
    pub fn draw_variance_ratio(&mut self, freedom: u32) -> f64 {
        if freedom > MAX_FREEDOM {
            return 1.0;
        }
        let chi: f64 = (0..freedom.max(1)).map(|_| self.draw_normal().powi(2)).sum();
        f64::from(freedom.max(1)) / chi.max(1.0e-6)
    }
}

/// The sample that `percent` of the sorted samples do not pass; the default where there is none.
#[must_use]
pub fn sample_at<T: Copy + Default>(sorted: &[T], percent: usize) -> T {
    let at = (sorted.len() * percent).div_ceil(100).max(1) - 1;
    sorted.get(at).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_numbers_have_mean_zero_and_deviation_one() {
        let mut draws = TimeDraws::of_sample(1, 0);
        let all: Vec<f64> = (0..40_000).map(|_| draws.draw_normal()).collect();
        let mean = all.iter().sum::<f64>() / 40_000.0;
        let variance = all.iter().map(|z| (z - mean) * (z - mean)).sum::<f64>() / 40_000.0;
        // Standard errors are 0.005 and 0.007; four of them.
        assert!(mean.abs() < 0.02 && (variance - 1.0).abs() < 0.03, "{mean} {variance}");
    }

    #[test]
    fn shares_count_from_below() {
        let all: Vec<f64> = (1..=100).map(f64::from).collect();
        assert_eq!([50, 80, 95].map(|p| sample_at(&all, p)), [50.0, 80.0, 95.0]);
        assert_eq!(sample_at(&[7.0], 95), 7.0);
        assert_eq!(sample_at::<f64>(&[], 95), 0.0);
    }
}
