//! The four questions of the command `trend`, each from a table or figures to one plain answer with its cautions.

pub mod line;
pub mod odometer;
pub mod reading;
pub mod wear;

use crate::columns::ReadingTableFault;
use crate::least_squares::LeastSquaresError;
use crate::line::TrendLineError;
use crate::odometer::OdometerError;
use crate::reading_verdict::ReadingJudgeError;
use crate::wear::WearError;

/// Why a question has no answer, in words that say what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrendFailure {
    words: String,
}

impl TrendFailure {
    /// From words.
    #[must_use]
    pub fn new(words: impl Into<String>) -> Self {
        Self { words: words.into() }
    }
}

impl core::fmt::Display for TrendFailure {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(&self.words)
    }
}

impl core::error::Error for TrendFailure {}

macro_rules! failures_from {
    ($($error:ty),*) => {
        $(impl From<$error> for TrendFailure {
            fn from(error: $error) -> Self {
                Self::new(error.to_string())
            }
        })*
    };
}

failures_from!(
    ReadingTableFault,
    LeastSquaresError,
    TrendLineError,
    WearError,
    OdometerError,
    ReadingJudgeError
);

/// A confidence as a share, from a share or a percentage.
///
/// # Errors
/// [`TrendFailure`] outside 0.5 to 0.999.
pub fn check_confidence(confidence_share: f64) -> Result<f64, TrendFailure> {
    if (0.5..=0.999).contains(&confidence_share) {
        Ok(confidence_share)
    } else {
        Err(TrendFailure::new("--confidence is a share from 0.5 to 0.999, for example 0.9"))
    }
}

/// What to say where few readings are behind an answer.
pub(crate) fn say_few(readings: usize) -> Option<String> {
    let words = format!(
        "Few readings ({readings}): the interval is wide for that reason, and one more narrows it most."
    );
    (readings < crate::line::FEW_READINGS).then_some(words)
}

/// What to say where rows were left out.
pub(crate) fn say_left_out(left_out: usize) -> Option<String> {
    let rows = if left_out == 1 { "1 row has" } else { return say_rows(left_out) };
    Some(format!("{rows} an empty cell and is left out."))
}

fn say_rows(left_out: usize) -> Option<String> {
    (left_out > 0).then(|| format!("{left_out} rows have an empty cell and are left out."))
}
