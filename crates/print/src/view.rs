//! What the drawings are given: plain structs with lengths in millimetres, built by `app`.

use model::FastenerState;

/// A stretch of the corridor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SegmentView {
    /// Where it starts, from the top of the head outward.
    pub start_mm: f64,
    /// Where it ends; `None` for the open-ended one.
    pub end_mm: Option<f64>,
    /// Clear diameter.
    pub clear_mm: f64,
}

/// A stretch of a piece's outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionView {
    /// Where it starts.
    pub start_mm: f64,
    /// Where it ends.
    pub end_mm: f64,
    /// Diameter.
    pub diameter_mm: f64,
}

/// A bend of the corridor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendView {
    /// Distance from the head along the axis.
    pub at_mm: f64,
    /// By how much the axis turns.
    pub angle_deg: f64,
}

/// A piece in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceView {
    /// Short name beside it.
    pub name: String,
    /// Outline from the fastener outward.
    pub sections: Vec<SectionView>,
    /// How far its axis is beside the fastener's, behind a crow-foot.
    pub offset_mm: f64,
}

/// The handle's swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingView {
    /// Distance of the handle's plane from the head.
    pub arm_plane_mm: f64,
    /// Radius of the handle.
    pub radius_mm: f64,
    /// Free arc.
    pub free_arc_deg: f64,
    /// Arc of one stroke.
    pub stroke_deg: f64,
}

/// The room beside the head that a flat tool works in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideView {
    /// Clear radius round the axis.
    pub radial_mm: f64,
    /// Clear height above the seating face.
    pub height_mm: f64,
}

/// A stack in its corridor.
#[derive(Debug, Clone, PartialEq)]
pub struct StackView {
    /// Unique in one page.
    pub id: String,
    /// "cover bolts, long: tighten".
    pub title: String,
    /// One line of words for the stack.
    pub words: String,
    /// The figure that is read at arm's length: "9 N·m".
    pub figure: String,
    /// Small facts, one a line: setting, force, time, source.
    pub facts: Vec<String>,
    /// Height of the head, or depth of the recess.
    pub head_height_mm: f64,
    /// Largest diameter of the head.
    pub head_diameter_mm: f64,
    /// Whether the tool goes into the head.
    pub internal: bool,
    /// Corridor from the head outward.
    pub segments: Vec<SegmentView>,
    /// Bends, by rising distance.
    pub bends: Vec<BendView>,
    /// Greatest length with the hand.
    pub headroom_mm: f64,
    /// Room that the hand takes beyond the stack.
    pub hand_room_mm: f64,
    /// Pieces from the fastener to the hand.
    pub pieces: Vec<PieceView>,
    /// Swing, for handles that swing.
    pub swing: Option<SwingView>,
    /// Room beside the head, for flat tools.
    pub side: Option<SideView>,
    /// Names of openings below.
    pub openings_below: Vec<String>,
    /// Foot line: vehicle, visit, station, slot.
    pub foot: Vec<(String, String)>,
}

/// A hole of a pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleView {
    /// Label on the part.
    pub label: String,
    /// Rightward.
    pub x_mm: f64,
    /// Upward.
    pub y_mm: f64,
    /// Place in the order of the work, from 1.
    pub turn: Option<u32>,
    /// State mark.
    pub mark: FastenerState,
    /// Class of length within the part: `a`, `b`, `c`.
    pub class: String,
    /// A new fastener is here.
    pub renewed: bool,
}

/// Holes of a part as they lie.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternView {
    /// Unique in one page.
    pub id: String,
    /// Part and what is done.
    pub title: String,
    /// Stage figures in order, as the book writes them.
    pub stages: Vec<String>,
    /// What each class of length is: ("a", "M6 × 25").
    pub classes: Vec<(String, String)>,
    /// Holes.
    pub holes: Vec<HoleView>,
    /// Foot line.
    pub foot: Vec<(String, String)>,
}

/// A bar on the time line.
#[derive(Debug, Clone, PartialEq)]
pub struct BarView {
    /// Lane.
    pub lane: usize,
    /// Start.
    pub start_s: f64,
    /// Set-up before the work, within the bar.
    pub setup_s: f64,
    /// Work.
    pub work_s: f64,
    /// Whether the stack in hand changes here.
    pub swap: bool,
    /// Whether it is a wait.
    pub wait: bool,
}

/// Where a phase of the visit begins.
#[derive(Debug, Clone, PartialEq)]
pub struct PhaseView {
    /// When.
    pub start_s: f64,
    /// Its name.
    pub name: String,
}

/// The order of the work by station.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineView {
    /// Unique in one page.
    pub id: String,
    /// Heading.
    pub title: String,
    /// Station titles.
    pub lanes: Vec<String>,
    /// Bars in order.
    pub bars: Vec<BarView>,
    /// Phases of the visit.
    pub phases: Vec<PhaseView>,
    /// Foot line.
    pub foot: Vec<(String, String)>,
}

/// A compartment of a tray.
#[derive(Debug, Clone, PartialEq)]
pub struct CompartmentView {
    /// Row from the front, from 0.
    pub row: u16,
    /// Column from the left, from 0.
    pub column: u16,
    /// Short code.
    pub code: String,
    /// What lies in it, one short line each.
    pub lines: Vec<String>,
}

/// A tray as it lies.
#[derive(Debug, Clone, PartialEq)]
pub struct TrayView {
    /// Unique in one page.
    pub id: String,
    /// Heading.
    pub title: String,
    /// Rows.
    pub rows: u16,
    /// Columns.
    pub columns: u16,
    /// Compartments in use.
    pub compartments: Vec<CompartmentView>,
    /// Foot line.
    pub foot: Vec<(String, String)>,
}
