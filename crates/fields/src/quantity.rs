//! Quantities as a format writes them: in their base unit, with the digits that bring the same value back.

use core::fmt::Display;

use faults::FromText;
use toml_edit::Value;
use units::{Angle, Duration, Force, Length, Mass, Torque};

use crate::form::number_value;

/// A quantity that a format can hold.
pub trait FormQuantity: FromText + PartialOrd + Display + Copy + Send + Sync + 'static {
    /// The quantity as TOML; reading it gives exactly the same quantity.
    fn to_toml(self) -> Value;
}

macro_rules! with_unit {
    ($($name:ident $figure:ident $unit:literal),*) => {$(
        impl FormQuantity for $name {
            fn to_toml(self) -> Value {
                Value::from(format!("{} {}", self.$figure(), $unit))
            }
        }
    )*};
}
with_unit! { Torque as_n_m "N·m", Force as_n "N", Angle as_deg "°", Mass as_kg "kg", Duration as_s "s" }

impl FormQuantity for Length {
    /// Millimetres go without saying.
    fn to_toml(self) -> Value {
        number_value(self.as_mm())
    }
}
