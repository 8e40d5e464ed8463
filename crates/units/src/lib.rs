//! Quantities as types: parsing, conversion and display.
//!
//! Every quantity keeps one private, finite number in its base unit. It is built and read by unit
//! (`Torque::from_n_m`, `.as_n_m()`), read from text with a unit (`"9 N·m"`, `"80 lbf·in"`, `"30°"`, `"1/4 in"`),
//! and shown with one. Conversion factors follow the definitions of NIST SP 811, appendix B.8.

mod known;
pub mod math;
mod money;
mod parse;
mod quantity;
mod range;
mod worded;

pub use known::Known;
pub use money::Money;
pub use parse::{QuantityError, Unit, significant, with_article};
pub use quantity::{
    Angle, Distance, Duration, Force, Length, Mass, N_M_PER_KGF_M, N_M_PER_LBF_FT, N_M_PER_LBF_IN, N_PER_LBF,
    Pressure, Torque,
};
pub use range::{Range, RangeError};
