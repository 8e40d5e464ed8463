//! The words of the job as types: book, store, stack, duty, plan.
//!
//! Plain data with public fields and no behaviour beyond what follows from the data alone. Constructors that
//! validate live in `book` and `tools`, which read text; a [`Book`] or [`Store`] that they return keeps these
//! promises, on which all other crates rely:
//!
//! * every id points into its list; keys are unique in their list;
//! * every fixing has at least one hole and one access, every hole at least one access, every corridor at least one
//!   segment of which only the last is open-ended;
//! * parts and conditions need each other without a circle that has no other way; every part can come off;
//! * a turned fixing with a thread has at least one pass of tightening, [`StageTarget::NotKnown`] where the book has no figure;
//! * all lengths that describe bodies are above zero and all figures are finite.

mod access;
mod book;
mod book_reading;
pub mod cart;
mod caution;
mod drive;
mod duty;
mod fastener_kind;
mod figures;
mod fixing;
mod goal;
mod ids;
mod interval;
mod known;
mod measure;
mod piece;
pub mod plan;
pub mod progress;
mod reach_doubts;
pub mod reading_kind;
mod room;
pub mod rules;
mod slot;
mod stack;
mod standard_heads;
mod state;
mod tightening_case;
mod world;

pub use access::{Access, AccessBend, CorridorSegment, CounterHold, SideRoom, Sight, Swing};
pub use bolting::mixup::MixUpKind;
pub use bolting::{Lubrication, TappedIn};
pub use book::{
    Book, Condition, ConditionKind, HoldsBack, Need, Opening, Part, PartKind, RefitWait, SpecialTool,
    Station, Supply, Task, TaskKind, Way,
};
pub use book_reading::{
    BookReading, ReadSpaces, RoomCorner, grip_height_ends, read_spaces, reckoned_torques,
};
pub use caution::{Caution, SignalWord};
pub use drive::{Drive, DriveError, DriveForm, inch_words};
pub use duty::{Act, Duty, duties_of_book, duties_of_fixing};
pub use effort::{OutcomeUnit, SolverOutcome, SolverStanding};
pub use fastener_kind::FastenerKind;
pub use figures::{
    AccessFigures, BendFigures, FixingFigures, HoldFigures, SegmentFigures, SideFigures, SideRoomFigures,
    SwingFigures,
};
pub use fixing::{
    FIGURE_MISSING_ADVICE, FIGURE_MISSING_WORDS, Fixing, HeadDimensions, HistoryCause, Hole, HoleOrderOrigin,
    KeepPlace, PatternRule, Stage, StageTarget, Tightening,
};
pub use goal::{GOAL_TO_ROLL, VisitGoal};
pub use ids::{
    ConditionId, FixingId, OpeningId, PartId, PieceId, SettingId, SpecialToolId, StationId, TaskId,
};
pub use interval::{IntervalUnit, TaskInterval};
pub use known::{FigureGrade, FigureOrigin, FigureOrigins, Spec, is_citation};
pub use measure::{Measure, MeasureFigure, MeasureLimits};
pub use piece::{
    DimensionsSource, Grip, GripApproach, GripFit, Handle, HandleStyle, OutlineSection, Piece, PieceAbsence,
    PieceBend, PieceKind, PieceLink, PowerSource, Retention, Store, StorePlace, TorqueMeasure, Tray,
};
pub use reach_doubts::{DRIVE_FIGURE, FLAGS_LEFT_OUT, ReachDoubts, ReachVerdict, UNCITED_TORQUE_FIGURE};
pub use room::{RoomBounds, RoomClass, SideBounds};
pub use slot::{SlotAddress, SlotAddressError};
pub use stack::{BendTaken, MissKind, NearestMiss, ObtainKind, PieceSpec, Stack, WorkingStack};
pub use standard_heads::{standard_grip_height, standard_head_diameter};
pub use state::FastenerState;
pub use tightening_case::{
    allowed_deviation_fraction, allowed_torques, bearing_head, greatest_pass, is_solid_fastener,
    tightening_case, tightening_verdict, turned_angle, turned_preload,
};
pub use units::Known;
pub use world::{
    ActWorld, FixingWorld, MAX_SETTING_VALUES, PartStanding, PartWorld, Setting, SettingChange,
    SettingEffect, SettingKind, SettingWay, ValueMask, WorldNeed, WorldRule, WorldRuleKind, WorldThing,
};
