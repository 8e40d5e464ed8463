//! Texts of a question to values; each message names its field and says what to write.

use super::BoltingError;
use super::friction::named;
use bolting::{Edition, Head, PropertyClass, TappedIn, Thread};
use units::{Angle, Force, Length, Torque, Unit};

/// A field that cannot be used.
pub fn bad(field: &'static str, words: impl Into<String>) -> BoltingError {
    BoltingError::Field { field, words: words.into() }
}

fn told<T, E: core::fmt::Display>(field: &'static str, read: Result<T, E>) -> Result<T, BoltingError> {
    read.map_err(|error| bad(field, error.to_string()))
}

/// A text that is there and not empty.
pub fn given(text: Option<&String>) -> Option<&str> {
    text.map(|t| t.trim()).filter(|t| !t.is_empty())
}

/// A thread.
pub fn thread(text: &str) -> Result<Thread, BoltingError> {
    told("thread", Thread::parse(text))
}

/// A property class, where one is given.
pub fn class(text: Option<&String>) -> Result<Option<PropertyClass>, BoltingError> {
    given(text).map(|t| told("class", PropertyClass::parse(t))).transpose()
}

/// An edition; without a text the present one.
pub fn edition(text: Option<&String>) -> Result<Edition, BoltingError> {
    given(text).map_or(Ok(Edition::default()), |t| told("edition", Edition::parse(t)))
}

/// What a head turns on.
#[derive(Debug, Clone, Copy)]
pub struct Seat {
    /// The form of the head, where no diameter was given.
    pub head: Option<Head>,
    /// Mean bearing diameter.
    pub diameter: Length,
    /// Where the diameter comes from.
    pub source: &'static str,
}

/// Forms of head by the names that are read.
const HEADS: &[(&str, Head)] = &[
    ("hexagon", Head::Hexagon),
    ("hexagon-on-washer", Head::HexagonOnWasher),
    ("flange", Head::Flange),
    ("cylinder", Head::Cylinder),
    ("countersunk", Head::Countersunk),
];

/// What a head turns on: by its form, without a text a hexagon, or by a diameter that was measured.
pub fn seat(head: Option<&String>, bearing: Option<&String>, thread: Thread) -> Result<Seat, BoltingError> {
    let form = match given(head) {
        None => Head::Hexagon,
        Some(text) => named("head", text, HEADS)?,
    };
    let Some(text) = given(bearing) else {
        return Ok(Seat {
            head: Some(form),
            diameter: form.bearing(thread).diameter(),
            source: form.source(),
        });
    };
    if given(head).is_some() {
        return Err(bad("bearing", "give either the form of the head or its bearing diameter, not both"));
    }
    Ok(Seat { head: None, diameter: length("bearing", text)?, source: "as given" })
}

/// What a hole is tapped into.
pub fn material(text: Option<&String>) -> Result<Option<TappedIn>, BoltingError> {
    const KNOWN: &[(&str, TappedIn)] = &[
        ("steel", TappedIn::Steel),
        ("grey-iron", TappedIn::GreyIron),
        ("cast-aluminium", TappedIn::CastAluminium),
        ("plastic", TappedIn::Plastic),
    ];
    given(text).map(|t| named("material", t, KNOWN)).transpose()
}

/// A torque above zero, with the unit that it was written in.
pub fn torque(field: &'static str, text: &str) -> Result<(Torque, &'static Unit), BoltingError> {
    let (torque, unit) = told(field, Torque::parse_with_unit(text))?;
    if torque > Torque::ZERO { Ok((torque, unit)) } else { Err(bad(field, above_zero(text, "9 N·m"))) }
}

/// A torque of zero or more; nothing where no text is given.
pub fn torque_or_none(field: &'static str, text: Option<&String>) -> Result<Torque, BoltingError> {
    let Some(text) = given(text) else { return Ok(Torque::ZERO) };
    let torque = told(field, Torque::parse(text))?;
    if torque >= Torque::ZERO { Ok(torque) } else { Err(bad(field, above_zero(text, "2 N·m"))) }
}

/// A force above zero.
pub fn force(field: &'static str, text: &str) -> Result<Force, BoltingError> {
    let force = told(field, Force::parse(text))?;
    if force > Force::ZERO { Ok(force) } else { Err(bad(field, above_zero(text, "20 kN"))) }
}

/// A length above zero.
pub fn length(field: &'static str, text: &str) -> Result<Length, BoltingError> {
    let length = told(field, Length::parse(text))?;
    if length > Length::ZERO { Ok(length) } else { Err(bad(field, above_zero(text, "15 mm"))) }
}

/// An angle.
pub fn angle(field: &'static str, text: &str) -> Result<Angle, BoltingError> {
    told(field, Angle::parse(text))
}

fn above_zero(text: &str, sample: &str) -> String {
    format!("`{text}` is not above zero; write it as `{sample}`")
}

/// A plain number.
pub fn number(field: &'static str, text: &str, sample: &str) -> Result<f64, BoltingError> {
    let read = text.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    read.ok_or_else(|| bad(field, format!("`{text}` is not a number; write it as `{sample}`")))
}

/// A share as a fraction: `90 %`, `90%` or `0.9`.
pub fn share(field: &'static str, text: &str, most_fraction: f64) -> Result<f64, BoltingError> {
    let trimmed = text.trim();
    let fraction = match trimmed.strip_suffix('%') {
        Some(figure) => number(field, figure, "90 %")? / 100.0,
        None => number(field, trimmed, "90 %")?,
    };
    if fraction > 0.0 && fraction <= most_fraction {
        return Ok(fraction);
    }
    let most = most_fraction * 100.0;
    Err(bad(field, format!("`{text}` is out of range; write a share above 0 and up to {most} %, as `90 %`")))
}
