//! Texts of a question to values; each message names its field and says what to write.

use super::BoltingError;
use super::friction::parse_choice;
use bolting::{BearingHead, Edition, PropertyClass, TappedIn, Thread};
use units::{Angle, Force, Length, Torque, Unit};

/// A field that cannot be used.
pub fn field_error(field: &'static str, words: impl Into<String>) -> BoltingError {
    BoltingError::Field { field, words: words.into() }
}

fn with_field<T, E: core::fmt::Display>(field: &'static str, read: Result<T, E>) -> Result<T, BoltingError> {
    read.map_err(|error| field_error(field, error.to_string()))
}

/// A text that is there and not empty.
pub fn given_text(text: Option<&String>) -> Option<&str> {
    text.map(|t| t.trim()).filter(|t| !t.is_empty())
}

/// A thread.
pub fn parse_thread(text: &str) -> Result<Thread, BoltingError> {
    with_field("thread", Thread::parse(text))
}

/// A property class, where one is given.
pub fn parse_class(text: Option<&String>) -> Result<Option<PropertyClass>, BoltingError> {
    given_text(text).map(|t| with_field("class", PropertyClass::parse(t))).transpose()
}

/// An edition; without a text the present one.
pub fn parse_edition(text: Option<&String>) -> Result<Edition, BoltingError> {
    given_text(text).map_or(Ok(Edition::default()), |t| with_field("edition", Edition::parse(t)))
}

/// The bearing face under a head.
#[derive(Debug, Clone, Copy)]
pub struct BearingSeat {
    /// The form of the head, where no diameter was given.
    pub head: Option<BearingHead>,
    /// Mean bearing diameter.
    pub diameter: Length,
    /// Where the diameter comes from.
    pub source: &'static str,
}

/// The bearing face under a head: by its form, without a text a hexagon, or by a diameter that was measured.
pub fn parse_seat(
    head: Option<&String>,
    bearing: Option<&String>,
    thread: Thread,
) -> Result<BearingSeat, BoltingError> {
    let form = match given_text(head) {
        None => BearingHead::Hexagon,
        Some(text) => parse_choice("head", text, BearingHead::ALL, BearingHead::file_word)?,
    };
    let Some(text) = given_text(bearing) else {
        return Ok(BearingSeat {
            head: Some(form),
            diameter: form.bearing_face(thread).friction_diameter(),
            source: form.source(),
        });
    };
    if given_text(head).is_some() {
        return Err(field_error(
            "bearing",
            "give either the form of the head or its bearing diameter, not both",
        ));
    }
    Ok(BearingSeat { head: None, diameter: parse_length("bearing", text)?, source: "as given" })
}

/// What a hole is tapped into.
pub fn parse_material(text: Option<&String>) -> Result<Option<TappedIn>, BoltingError> {
    let read = |t| parse_choice("material", t, TappedIn::ALL, TappedIn::file_word);
    given_text(text).map(read).transpose()
}

/// A torque above zero, with the unit that it was written in.
pub fn parse_torque(field: &'static str, text: &str) -> Result<(Torque, &'static Unit), BoltingError> {
    let (torque, unit) = with_field(field, Torque::parse_with_unit(text))?;
    if torque > Torque::ZERO {
        Ok((torque, unit))
    } else {
        Err(field_error(field, not_above_zero_words(text, "9 N·m")))
    }
}

/// A torque of zero or more; nothing where no text is given.
pub fn parse_torque_or_zero(field: &'static str, text: Option<&String>) -> Result<Torque, BoltingError> {
    let Some(text) = given_text(text) else { return Ok(Torque::ZERO) };
    let torque = with_field(field, Torque::parse(text))?;
    if torque >= Torque::ZERO {
        Ok(torque)
    } else {
        Err(field_error(field, not_above_zero_words(text, "2 N·m")))
    }
}

/// A force above zero.
pub fn parse_force(field: &'static str, text: &str) -> Result<Force, BoltingError> {
    let force = with_field(field, Force::parse(text))?;
    if force > Force::ZERO { Ok(force) } else { Err(field_error(field, not_above_zero_words(text, "20 kN"))) }
}

/// A length above zero.
pub fn parse_length(field: &'static str, text: &str) -> Result<Length, BoltingError> {
    let length = with_field(field, Length::parse(text))?;
    if length > Length::ZERO {
        Ok(length)
    } else {
        Err(field_error(field, not_above_zero_words(text, "15 mm")))
    }
}

/// An angle.
pub fn parse_angle(field: &'static str, text: &str) -> Result<Angle, BoltingError> {
    with_field(field, Angle::parse(text))
}

fn not_above_zero_words(text: &str, sample: &str) -> String {
    format!("`{text}` is not above zero; write it as `{sample}`")
}

/// A plain number.
pub fn parse_plain_number(field: &'static str, text: &str, sample: &str) -> Result<f64, BoltingError> {
    let read = text.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    read.ok_or_else(|| field_error(field, format!("`{text}` is not a number; write it as `{sample}`")))
}

/// A share as a fraction: `90 %`, `90%` or `0.9`.
pub fn parse_share_fraction(
    field: &'static str,
    text: &str,
    most_fraction: f64,
) -> Result<f64, BoltingError> {
    let trimmed = text.trim();
    let fraction = match trimmed.strip_suffix('%') {
        Some(figure) => parse_plain_number(field, figure, "90 %")? / 100.0,
        None => parse_plain_number(field, trimmed, "90 %")?,
    };
    if fraction > 0.0 && fraction <= most_fraction {
        return Ok(fraction);
    }
    let most = most_fraction * 100.0;
    Err(field_error(
        field,
        format!("`{text}` is out of range; write a share above 0 % and at most {most} %, such as `90 %`"),
    ))
}
