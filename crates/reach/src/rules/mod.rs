//! The rules of reach, one question a file, as pure functions that the plain and the fast search share.
//!
//! Functions whose name ends in `short_…` answer *by how much*: 0 or less means that the rule holds, more is the
//! shortfall in the unit of the name. The text of the rules is in [`model::rules`].

pub(crate) mod bends;
pub(crate) mod clearance;
pub(crate) mod drive;
pub(crate) mod engagement;
pub(crate) mod force;
pub(crate) mod length;
pub(crate) mod links;
pub(crate) mod measure;
pub(crate) mod side;
pub(crate) mod strength;
pub(crate) mod style;
pub(crate) mod swing;
