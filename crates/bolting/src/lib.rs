//! Threads, property classes, torque and preload, wrench settings.
//!
//! Pure mechanics of bolted joints: every answer follows from its arguments, and every figure names the standard or
//! the assumption it rests on. The service data of the engine's maker always wins over anything worked out here.

mod class;
mod thread;

pub use class::{ClassError, PropertyClass};
pub use thread::{Thread, ThreadError, coarse_pitch_mm};
