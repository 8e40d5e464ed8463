//! Threads, property classes, torque and preload, wrench settings.
//!
//! Pure mechanics of bolted joints: every answer follows from its arguments, and every figure names the standard or
//! the assumption it rests on. The service data of the engine's maker always wins over anything worked out here.
//!
//! | question | modules |
//! |---|---|
//! | what is this thread, class, shank, nut, head, drive | [`Thread`], [`FastenerThread`], [`pipe_thread`], [`PropertyClass`], [`shank`], [`nut`], [`head`], [`drive`] |
//! | what does a torque do | [`torque`], [`clamp`], [`prevailing`], [`scatter`], [`trials`], [`Edition`] |
//! | what does an angle do | [`stiffness`], [`angle`], [`twist`] |
//! | will the threads hold | [`thread_strip`], [`engage`], [`insert`], [`mixup`] |
//! | in which order | [`pattern`], [`stages`] |
//! | what to set on which wrench | [`wrench`], [`choice`], [`certificate`], [`joint_piece`] |
//! | which step of the driver's clutch | [`driver`], [`tolerance`] |
//! | can this figure be meant, what stands against it, and how is it shown | [`guard`], [`siblings`], [`verdict`], [`shown`] |

pub mod angle;
pub mod certificate;
pub mod choice;
pub mod clamp;
mod class;
pub mod drive;
pub mod driver;
mod edition;
pub mod engage;
mod fastener_thread;
mod friction;
pub mod guard;
pub mod head;
pub mod insert;
pub mod joint_piece;
pub mod mixup;
pub mod nut;
pub mod pattern;
pub mod pipe_thread;
pub mod prevailing;
pub mod scatter;
pub mod shank;
pub mod shown;
pub mod siblings;
pub mod stages;
pub mod stiffness;
mod thread;
pub mod thread_strip;
pub mod tolerance;
pub mod torque;
pub mod trials;
pub mod twist;
pub mod verdict;
pub mod wrench;

pub use class::{PropertyClass, PropertyClassError};
pub use edition::{Edition, EditionError};
pub use fastener_thread::FastenerThread;
pub use friction::{FastenerSurface, Friction, FrictionError, FrictionRange, Lubrication, TEXTBOOK_K};
pub use head::BearingHead;
pub use nut::{NutClass, NutClassError};
pub use shank::{BoltSection, BoltSectionError};
pub use shown::ShownFigure;
pub use thread::{Thread, ThreadError, coarse_pitch_mm};
pub use thread_strip::TappedIn;
