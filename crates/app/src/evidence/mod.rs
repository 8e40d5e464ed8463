//! Evidence: what was measured and what it says, within a visit and over the years of a vehicle.

pub mod actual;
pub mod alike;
pub mod due;
pub mod estimate;
pub mod export;
pub mod odometer;
pub mod readings;
pub mod vehicle;
