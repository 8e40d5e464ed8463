//! Threads, property classes, torque and preload, wrench settings.
//!
//! Pure mechanics of bolted joints: every answer follows from its arguments, and every figure names the standard or
//! the assumption it rests on. The service data of the engine's maker always wins over anything worked out here.

mod class;
pub mod drive;
mod edition;
pub mod engage;
mod friction;
pub mod guard;
pub mod joint;
pub mod mixup;
pub mod pattern;
pub mod scatter;
pub mod shown;
pub mod strip;
mod thread;
pub mod torque;
pub mod wrench;

pub use class::{ClassError, PropertyClass};
pub use edition::{Edition, EditionError};
pub use friction::{Friction, FrictionError, FrictionRange, Lubrication, TEXTBOOK_K};
pub use shown::Figure;
pub use strip::TappedIn;
pub use thread::{Thread, ThreadError, coarse_pitch_mm};
