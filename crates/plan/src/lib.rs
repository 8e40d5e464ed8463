//! Way in, kit, order, slots, refit and readiness.

pub mod budget;
pub mod scope;
