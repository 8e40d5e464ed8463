//! Friction of a question: one stated coefficient, a stated range, or the range of a surface and its lubrication.
//!
//! symbol: mu_g, mu_k = friction in the thread, under the head

use super::{AnswerGrounds, BoltingError, figures, read};
use bolting::{FastenerSurface, Friction, Lubrication};
use serde::Serialize;

/// Coefficients of friction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FrictionCoefficients {
    /// In the thread.
    pub mu_g: f64,
    /// Under the head or nut.
    pub mu_k: f64,
}

/// The friction used for an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FrictionUsed {
    /// The slipperiest.
    pub low: FrictionCoefficients,
    /// The roughest.
    pub high: FrictionCoefficients,
    /// Source.
    pub source: String,
    #[serde(skip)]
    ends: (Friction, Friction),
}

impl FrictionUsed {
    fn new(low: Friction, high: Friction, source: &str) -> Self {
        let mu = |f: Friction| FrictionCoefficients { mu_g: f.mu_g(), mu_k: f.mu_k() };
        Self { low: mu(low), high: mu(high), source: source.to_owned(), ends: (low, high) }
    }

    /// The range of a surface and its lubrication.
    #[must_use]
    pub fn of_lubrication(lubrication: Lubrication) -> Self {
        let range = lubrication.friction_range();
        Self::new(range.low, range.high, range.source)
    }

    /// The slipperiest and the roughest friction.
    #[must_use]
    pub const fn ends(&self) -> (Friction, Friction) {
        self.ends
    }

    /// Whether it is one friction and no range.
    #[must_use]
    pub fn is_single(&self) -> bool {
        self.low == self.high
    }

    /// Digits that an answer with this friction deserves.
    #[must_use]
    pub fn digits(&self) -> u32 {
        if self.is_single() { figures::FINE } else { figures::COARSE }
    }

    /// In words: `friction 0.12`, `friction 0.08 to 0.18`.
    #[must_use]
    pub fn words(&self) -> String {
        let (thread, head) = (
            ratio_range_words(self.low.mu_g, self.high.mu_g),
            ratio_range_words(self.low.mu_k, self.high.mu_k),
        );
        if thread == head {
            format!("friction {thread}")
        } else {
            format!("friction {thread} in the thread and {head} under the head")
        }
    }

    /// Writes both coefficients into the grounds of an answer, and a caution where they are a range.
    pub(super) fn add_to_grounds(&self, grounds: &mut AnswerGrounds) {
        grounds.add_input(
            "µG",
            ratio_range_words(self.low.mu_g, self.high.mu_g),
            "friction in the thread",
            &self.source,
        );
        grounds.add_input(
            "µK",
            ratio_range_words(self.low.mu_k, self.high.mu_k),
            "friction under the head",
            &self.source,
        );
    }
}

fn ratio_range_words(low_ratio: f64, high_ratio: f64) -> String {
    if low_ratio == high_ratio { format!("{low_ratio}") } else { format!("{low_ratio} to {high_ratio}") }
}

/// What a question says about friction.
#[derive(Debug, Clone, Copy)]
pub(super) struct StatedFriction<'a> {
    /// A coefficient or a range of it.
    pub friction: Option<&'a String>,
    /// The same under the head, where it differs.
    pub friction_head: Option<&'a String>,
    /// A state of lubrication.
    pub lubrication: Option<&'a String>,
    /// A surface.
    pub surface: Option<&'a String>,
}

impl StatedFriction<'_> {
    /// Whether anything is stated.
    pub(super) fn is_any(&self) -> bool {
        let all = [self.friction, self.friction_head, self.lubrication, self.surface];
        all.into_iter().any(|t| read::given_text(t).is_some())
    }
}

/// The friction that a question states; nothing stated means the range from oiled to bare.
///
/// # Errors
/// [`BoltingError::Field`] for a coefficient out of range, an unknown surface or state, or both at once.
pub(super) fn resolve_friction(stated: &StatedFriction<'_>) -> Result<FrictionUsed, BoltingError> {
    let (state, surface) = (read::given_text(stated.lubrication), read::given_text(stated.surface));
    if let Some(text) = read::given_text(stated.friction) {
        if state.is_some() || surface.is_some() {
            return Err(read::field_error(
                "friction",
                "give either a coefficient of friction or a surface and lubrication, not both",
            ));
        }
        return parse_coefficients(text, read::given_text(stated.friction_head));
    }
    if read::given_text(stated.friction_head).is_some() {
        return Err(read::field_error(
            "friction-head",
            "also give the friction in the thread, as `friction`",
        ));
    }
    let read_surface = |text| parse_choice("surface", text, FastenerSurface::ALL, FastenerSurface::file_word);
    let surface = surface.map_or(Ok(FastenerSurface::Steel), read_surface)?;
    let range = surface.friction_range(state.map_or(Ok(Lubrication::Unstated), parse_lubrication)?);
    Ok(FrictionUsed::new(range.low, range.high, range.source))
}

/// Reads a state of lubrication.
pub(super) fn parse_lubrication(text: &str) -> Result<Lubrication, BoltingError> {
    parse_choice("lubrication", text, Lubrication::ALL, Lubrication::file_word)
}

/// The choice that a text names, of all choices and the word of each.
pub(super) fn parse_choice<T: Copy>(
    field: &'static str,
    text: &str,
    choices: &[T],
    word: fn(T) -> &'static str,
) -> Result<T, BoltingError> {
    let wanted = text.trim().to_lowercase().replace([' ', '_'], "-");
    choices.iter().copied().find(|choice| word(*choice) == wanted).ok_or_else(|| {
        let names: Vec<&str> = choices.iter().map(|choice| word(*choice)).collect();
        read::field_error(
            field,
            format!("`{text}` is not one of the choices; write one of {}", names.join(", ")),
        )
    })
}

fn parse_coefficients(thread: &str, under_head: Option<&str>) -> Result<FrictionUsed, BoltingError> {
    let (thread_low, thread_high) = parse_ratio_range("friction", thread)?;
    let (head_low, head_high) =
        under_head.map_or(Ok((thread_low, thread_high)), |t| parse_ratio_range("friction-head", t))?;
    let friction = |mu_g: f64, mu_k: f64| {
        Friction::new(mu_g, mu_k).map_err(|error| read::field_error("friction", error.to_string()))
    };
    Ok(FrictionUsed::new(friction(thread_low, head_low)?, friction(thread_high, head_high)?, "as given"))
}

/// Reads `0.12` or `0.10 to 0.16`.
fn parse_ratio_range(field: &'static str, text: &str) -> Result<(f64, f64), BoltingError> {
    let one = |t: &str| read::parse_plain_number(field, t, "0.12` or `0.10 to 0.16");
    let (low, high) = match text.split_once("to") {
        Some((low, high)) => (one(low)?, one(high)?),
        None => (one(text)?, one(text)?),
    };
    if low <= high {
        Ok((low, high))
    } else {
        Err(read::field_error(field, format!("`{text}`: write the lower figure first")))
    }
}
