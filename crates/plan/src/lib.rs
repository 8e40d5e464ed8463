//! Way in, kit, order, slots, refit and readiness.

pub mod assemble;
pub mod budget;
pub mod job;
pub mod joints;
pub mod kit;
pub mod order;
pub mod refit;
pub mod scope;
pub mod slots;
pub mod steps;
pub mod strip;
pub mod way_in;
pub mod words;
pub mod work;
