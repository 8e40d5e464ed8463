//! Drawings and sheets: view structs in, SVG, PDF and HTML out; the same input gives the same bytes.
//!
//! The look follows open standards for technical drawings: line kinds of ISO 128, dimensions of ISO 129-1, a title block
//! after ISO 7200. White ground, near-black ink, two line weights, one accent for what is in hand now.
//! Nothing here knows of files, clocks or solvers.

mod axis;
pub mod drawing;
mod finish;
mod foot;
mod free;
mod mark;
pub mod paper;
mod pattern;
mod stack;
pub mod svg;
mod timeline;
mod tray;
pub mod view;

pub use finish::{DateLine, FinishView, finish};
pub use mark::mark;
pub use pattern::{pattern, pattern_alone};
pub use stack::{stack, stack_alone};
pub use timeline::timeline;
pub use tray::tray;
