//! How a text in a book becomes a quantity, and what is reported when it does not.

use units::{Angle, Distance, Duration, Force, Length, Mass, Money, Pressure, QuantityError, Torque};

/// Why a text is not the value wanted, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadText {
    /// What is wrong: a lower-case phrase.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
}

impl From<String> for BadText {
    fn from(message: String) -> Self {
        Self { message, help: None }
    }
}

impl From<&str> for BadText {
    fn from(message: &str) -> Self {
        Self { message: message.to_owned(), help: None }
    }
}

impl From<(String, String)> for BadText {
    fn from((message, help): (String, String)) -> Self {
        Self { message, help: Some(help) }
    }
}

impl From<QuantityError> for BadText {
    fn from(error: QuantityError) -> Self {
        let text = error.to_string();
        let split = match error {
            QuantityError::OutOfRange { .. } => None,
            _ => text.rsplit_once("; "),
        };
        match split {
            Some((message, help)) => Self { message: message.to_owned(), help: Some(help.to_owned()) },
            None => Self { message: text, help: None },
        }
    }
}

/// A value that is written as text, and for some kinds as a bare number.
pub trait FromText: Sized {
    /// What it is called in messages, such as `length`.
    const WHAT: &'static str;

    /// Reads the text.
    ///
    /// # Errors
    /// [`BadText`] with what is wrong and what to write instead.
    fn from_text(text: &str) -> Result<Self, BadText>;

    /// Takes a bare number, where the kind has a unit that goes without saying.
    fn from_number(_number: f64) -> Option<Self> {
        None
    }
}

macro_rules! quantities {
    ($($name:ident $what:literal),*) => {$(
        impl FromText for $name {
            const WHAT: &'static str = $what;
            fn from_text(text: &str) -> Result<Self, BadText> {
                Ok(Self::parse(text)?)
            }
        }
    )*};
}
quantities! {
    Torque "torque", Force "force", Angle "angle", Mass "mass", Pressure "pressure", Distance "distance",
    Duration "time"
}

impl FromText for Length {
    const WHAT: &'static str = "length";
    fn from_text(text: &str) -> Result<Self, BadText> {
        Ok(Self::parse(text)?)
    }
    /// Millimetres go without saying.
    fn from_number(number: f64) -> Option<Self> {
        Some(Self::from_mm(number))
    }
}

/// A price with the currency behind it, if one is written.
impl FromText for (Money, Option<String>) {
    const WHAT: &'static str = "price";
    fn from_text(text: &str) -> Result<Self, BadText> {
        Ok(Money::parse(text)?)
    }
    fn from_number(number: f64) -> Option<Self> {
        Money::parse(&number.to_string()).ok()
    }
}
