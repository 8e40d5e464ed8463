//! Drawings and sheets: view structs in, SVG, PDF and HTML out; the same input gives the same bytes.
//!
//! The look follows open standards for technical drawings: line kinds of ISO 128, dimensions of ISO 129-1, a title block
//! after ISO 7200. White ground, near-black ink, two line weights, one accent for what is in hand now.
//! Nothing here knows of files, clocks or solvers.

mod axis;
pub mod drawing;
pub mod face;
mod finish;
mod foot;
mod free;
mod licences;
mod mark;
pub mod paper;
mod pattern;
mod preload_bar;
mod stack;
pub mod svg;
mod svg_page;
mod timeline;
mod tray;
pub mod view;
mod week_lanes;
pub mod words;
mod wrench_above;

pub use finish::{DateLine, FinishView, draw_finish};
pub use licences::{FACE_LICENCES, FaceLicence};
pub use mark::{mark_group_names_svg, mark_svg};
pub use pattern::{draw_hole_pattern, draw_hole_pattern_alone, draw_hole_pattern_on_paper};
pub use preload_bar::{LoadLimitView, PreloadBarEnd, PreloadBarView, draw_preload_bar};
pub use stack::{draw_stack, draw_stack_alone, draw_stack_bare, draw_stack_in_room};
pub use svg_page::PageDrawings;
pub use timeline::draw_timeline;
pub use tray::draw_tray;
pub use week_lanes::{AxisStretch, PromiseFlagView, WeekDirection, WeekLaneView, WeekView, draw_week_lanes};
pub use wrench_above::{LeverLengthView, WrenchAboveView, draw_wrench_above};
