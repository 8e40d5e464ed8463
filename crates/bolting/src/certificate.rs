//! A torque wrench's certificate: from readings on a tester to the error that a setting may have.
//!
//! **Question.** Five clicks at 100 N·m read 100.4, 99.7, 100.9, 100.2 and 99.8 on the tester: how far off may the next be?
//!
//! **Symbols.** `X` set or shown, `Xr` reference readings, `a = (X − X̄r)/X̄r` mean deviation; `r` resolution, `b` spans of series means (repeat,
//! square drive turned, adapter turned, point of the hand moved) as shares, `w` standard uncertainties, `k = 2`:
//!
//! ```text
//! w² = w_md² + (r/(2·√3·X))² + Σ(b/(2·√3))² + (s/(X̄r·√n))²        W' = |a| + 2·w + |b_ep|
//! ```
//!
//! **Assumptions and range.** Spans are half-widths of rectangular distributions; `w_md` is the tester's own, as a share. At least two readings.
//! `W'` is what [`crate::choice::TorqueWrench::certified_error_fraction`] needs.
//!
//! **Worked example.** The readings above, r 1 N·m, spans 0.8, 0.5, 0.4, 0.3 %, w_md 0.15 %, b_ep 0.2 %: a −0.20 %, w 0.50 %, W' 1.39 %.
//!
//! **Sources.** ISO 6789-2:2017, its seven contributions; **formulas from memory**, the example recomputed outside this project.

use units::{Torque, math};

use crate::tolerance;

/// Spans of series means, as shares of the torque; what was not tested is zero and makes the answer too good.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SeriesSpans {
    /// Between repeated series.
    pub repeat_fraction: f64,
    /// With the square drive turned.
    pub drive_fraction: f64,
    /// With the adapter turned.
    pub adapter_fraction: f64,
    /// With the hand moved along the grip.
    pub hand_fraction: f64,
}

/// Readings of one setting on a tester.
#[derive(Debug, Clone, PartialEq)]
pub struct TesterReadings {
    /// What was set or shown.
    pub shown: Torque,
    /// What the tester read.
    pub reference: Vec<Torque>,
    /// Resolution of the wrench.
    pub resolution: Torque,
    /// Spans of series means.
    pub spans: SeriesSpans,
    /// Standard uncertainty of the tester.
    pub tester_fraction: f64,
    /// Error of the tester that is not corrected for.
    pub tester_error_fraction: f64,
}

/// What the readings say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CertifiedError {
    /// Mean deviation of the wrench.
    pub deviation_fraction: f64,
    /// Standard uncertainty.
    pub standard_fraction: f64,
    /// Error that a setting may have.
    pub interval_fraction: f64,
}

/// Deviation of what is shown from a reference: `(X − Xr)/Xr`.
#[must_use]
pub fn shown_deviation_fraction(shown: Torque, reference: Torque) -> f64 {
    if reference > Torque::ZERO { (shown - reference) / reference } else { 0.0 }
}

/// The error that a setting may have; `None` for fewer than two readings, or torques not above zero.
#[must_use]
pub fn certified_error(readings: &TesterReadings) -> Option<CertifiedError> {
    let values: Vec<f64> = readings.reference.iter().map(|t| t.as_n_m()).collect();
    let (mean_n_m, scatter_n_m) = tolerance::mean_and_scatter(&values)?;
    if mean_n_m <= 0.0 || readings.shown <= Torque::ZERO {
        return None;
    }
    let rectangular = |span: f64| span / (2.0 * math::sqrt(3.0));
    let spans = readings.spans;
    let parts = [
        readings.tester_fraction,
        rectangular(readings.resolution / readings.shown),
        rectangular(spans.repeat_fraction),
        rectangular(spans.drive_fraction),
        rectangular(spans.adapter_fraction),
        rectangular(spans.hand_fraction),
        scatter_n_m / mean_n_m / math::sqrt(values.len() as f64),
    ];
    let standard_fraction = crate::clamp::combined_deviation_fraction(&parts);
    let deviation_fraction = shown_deviation_fraction(readings.shown, Torque::from_n_m(mean_n_m));
    let interval_fraction =
        deviation_fraction.abs() + 2.0 * standard_fraction + readings.tester_error_fraction.abs();
    Some(CertifiedError { deviation_fraction, standard_fraction, interval_fraction })
}
