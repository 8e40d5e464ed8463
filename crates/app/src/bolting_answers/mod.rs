//! Answers about one fastener: a question as typed, and a figure with everything it is based on.
//!
//! Each question has one file with a struct `…Asked`, whose fields are the texts as a person wrote them on the command
//! line or in a form, and a struct `…Answer` which both front ends show and which is serialized to JSON unchanged. An
//! error names its field, so that a form can mark the box and the command line the option.
//!
//! Every answer ends in its [`AnswerGrounds`]: formulas in the symbols of their source, the inputs with where each comes from,
//! the range in which it holds, sources, and cautions. **The maker's figure wins over every one of them.**

pub mod driver;
pub mod figures;
pub mod friction;
pub mod holes;
mod lever;
pub mod mix_up;
mod passes;
pub mod pattern;
pub mod pictures;
pub mod preload;
mod read;
pub mod strip_margin;
pub mod tightening_verdict;
pub mod torque;
pub mod why;
pub mod wrench;
pub mod wrenches;

pub use friction::{FrictionCoefficients, FrictionUsed};
pub use mix_up::{MixUpAnswer, MixUpMatrix, MixUpMatrixRequest, MixUpRequest};
pub(crate) use passes::{PassReasons, pass_of_step_action};
pub use pattern::{PatternAnswer, PatternRequest};
pub use preload::{PreloadAnswer, PreloadRequest};
pub use strip_margin::{StripMarginAnswer, StripMarginRequest};
pub use tightening_verdict::verdict_note;
pub use torque::{TorqueAnswer, TorqueRequest};
pub use why::{StepReasons, explain_step, explain_step_with_tools};
pub use wrench::{WrenchAnswer, WrenchRequest};
pub use wrenches::WrenchLine;

use crate::load::FileLoadError;
use crate::write::FileWriteError;
use serde::Serialize;

/// What every answer ends with.
const MAKER_WINS: &str = "The maker's service figure wins over anything worked out here.";

/// Why there is no answer.
#[derive(Debug)]
pub enum BoltingError {
    /// A text that cannot be used.
    Field {
        /// The field as it is named in the question, `torque`; on the command line `--torque`.
        field: &'static str,
        /// What is wrong and what to write.
        words: String,
    },
    /// A file could not be used.
    Load(FileLoadError),
    /// An output could not be written.
    Write(FileWriteError),
}

impl core::fmt::Display for BoltingError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Field { field, words } => write!(f, "{field}: {words}"),
            Self::Load(error) => error.fmt(f),
            Self::Write(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for BoltingError {}

impl From<FileLoadError> for BoltingError {
    fn from(error: FileLoadError) -> Self {
        Self::Load(error)
    }
}

impl From<FileWriteError> for BoltingError {
    fn from(error: FileWriteError) -> Self {
        Self::Write(error)
    }
}

/// A closed range; its unit is the one that the name of the field holding it ends in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FigureRange {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

impl FigureRange {
    /// The range between two figures, in either order.
    #[must_use]
    pub const fn from_ends(one_figure: f64, other_figure: f64) -> Self {
        Self { low: one_figure.min(other_figure), high: one_figure.max(other_figure) }
    }

    /// Whether both ends are one figure.
    #[must_use]
    pub fn is_single(self) -> bool {
        self.high - self.low <= 1.0e-12 * self.high.abs()
    }

    /// The figure, where both ends are one.
    #[must_use]
    pub fn single_figure(self) -> Option<f64> {
        self.is_single().then_some(self.low)
    }

    /// Both ends times a factor above zero.
    #[must_use]
    pub const fn scaled_by(self, factor: f64) -> Self {
        Self { low: self.low * factor, high: self.high * factor }
    }
}

/// One input of a formula.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FormulaInput {
    /// Its symbol in the formulas.
    pub symbol: String,
    /// Its value with unit, as shown.
    pub value: String,
    /// What it is.
    pub what: String,
    /// Where it comes from.
    pub from: String,
}

/// What an answer rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AnswerGrounds {
    /// Formulas in the symbols of their source.
    pub formula: Vec<String>,
    /// Their inputs.
    pub inputs: Vec<FormulaInput>,
    /// The range in which the answer holds.
    pub holds_for: String,
    /// Where formulas and tables come from.
    pub sources: Vec<String>,
    /// Cautions; the last is that the maker's figure wins.
    pub cautions: Vec<String>,
}

impl AnswerGrounds {
    /// Grounds without inputs and with the one caution that all share.
    fn new(formula: &[&str], holds_for: &str, sources: &[&str]) -> Self {
        let owned = |texts: &[&str]| texts.iter().map(|t| (*t).to_owned()).collect();
        Self {
            formula: owned(formula),
            inputs: Vec::new(),
            holds_for: holds_for.to_owned(),
            sources: owned(sources),
            cautions: vec![MAKER_WINS.to_owned()],
        }
    }

    fn add_input(&mut self, symbol: &str, value: String, what: &str, from: &str) {
        let owned = |text: &str| text.to_owned();
        self.inputs.push(FormulaInput { symbol: owned(symbol), value, what: owned(what), from: owned(from) });
    }

    /// A caution ahead of the one that all share.
    fn add_caution(&mut self, words: impl Into<String>) {
        self.cautions.insert(self.cautions.len() - 1, words.into());
    }

    fn add_source(&mut self, words: &str) {
        if !self.sources.iter().any(|s| s == words) {
            self.sources.push(words.to_owned());
        }
    }
}
