//! Way in, kit, order, slots, refit and readiness.

pub mod budget;
pub mod kit;
pub mod order;
pub mod scope;
pub mod way_in;
