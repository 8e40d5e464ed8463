//! Sibling fixings: does a torque lie in line with those of like bolts in the same book, and if not, which slip explains it?
//!
//! **Question.** 34 on an M8 where the book's other M8 have 25: was lbf·ft read as N·m, or the row of the M10 taken?
//!
//! **Symbols.** `U` usual torque of a thread, `q = T/U` level of a figure; `q'` the levels of the siblings.
//!
//! **Method.** Siblings of the same thread count where at least three are there, else those of all threads. A figure is out of
//! line when it lies beyond 1.25 times their median and beyond 1.1 times the outermost of them: siblings that spread
//! prove nothing, nor do those of an unknown class. A slip explains it when undoing it puts the figure between the outermost levels, with the same 1.1.
//!
//! **Worked example.** Siblings 24, 25, 25 and 27 N·m, figure 34: 1.36 times the median, so 34 N·m meant as lbf·ft would be 46; read the other
//! way round, 25 lbf·ft are 34 N·m, and a sheet that says 25 N·m was converted once too often.
//!
//! **Sources.** Unit factors NIST SP 811; the two limits are assumptions, held to the slip table of `tests/slips.rs`.

use core::fmt;

use units::{Torque, Unit};

use crate::guard::{TorqueContext, cast_aluminium_torque};
use crate::{Edition, PropertyClass, TappedIn, Thread, clamp, torque};

/// Siblings of one thread without which all threads are taken.
const LEAST_OF_THREAD: usize = 3;
/// Siblings without which nothing is said.
const LEAST_SIBLINGS: usize = 3;
/// How far from the median a figure must lie (assumption).
const OFF_MEDIAN_RATIO: f64 = 1.25;
/// How far beyond the outermost sibling it must lie (assumption).
const BEYOND_OUTERMOST_RATIO: f64 = 1.1;
/// Share of yield that a usual torque has.
const USUAL_YIELD_SHARE: f64 = 0.9;
/// Nominal diameters of the usual tables, in millimetres: ISO 262 with the sizes 14, 18 and 22.
const TABLE_ROWS_MM: &[f64] = &[3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0];

/// Another fixing of the book, of the same class, hole and lubrication.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SiblingTorque {
    /// Its thread.
    pub thread: Thread,
    /// Its greatest torque.
    pub torque: Torque,
}

/// A slip that would explain a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LikelySlip {
    /// The number was meant in another unit.
    MeantIn {
        /// The unit.
        unit: &'static str,
        /// The torque that was then meant.
        torque: Torque,
    },
    /// A figure of another unit was converted once too often: the number in this unit is the torque that is right.
    ConvertedTwice {
        /// The unit.
        unit: &'static str,
        /// The torque that was then meant.
        torque: Torque,
    },
    /// The figure belongs to the row of another thread.
    RowOf {
        /// The thread of that row.
        thread: Thread,
    },
}

impl fmt::Display for LikelySlip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let n_m = |torque: &Torque| torque.show_in(&Torque::UNITS[0], 3);
        match self {
            Self::MeantIn { unit, torque } => write!(f, "was {unit} meant? that would be {}", n_m(torque)),
            Self::ConvertedTwice { unit, torque } => {
                write!(f, "were {} taken for {unit}?", n_m(torque))
            }
            Self::RowOf { thread } => write!(f, "it fits the row of {thread}"),
        }
    }
}

/// A figure that its siblings contradict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SiblingDisagreement {
    /// Its level over the median of theirs.
    pub level_ratio: f64,
    /// How many siblings were looked at.
    pub count: usize,
    /// The slip that explains it best.
    pub slip: Option<LikelySlip>,
}

/// The usual torque of a thread: 0.9 of yield at the middle friction; into cast aluminium what a manual prints.
#[must_use]
pub fn usual_torque(context: &TorqueContext, thread: Thread) -> Torque {
    let class = context.class.unwrap_or(PropertyClass::C8_8);
    let middle = clamp::middle_friction(&context.lubrication.friction_range());
    let bolt = torque::assembly_torque(thread, class, middle, USUAL_YIELD_SHARE, Edition::E2001);
    match context.tapped_in {
        TappedIn::CastAluminium => bolt.min(cast_aluminium_torque(thread, class)),
        TappedIn::Steel | TappedIn::GreyIron | TappedIn::Plastic => bolt,
    }
}

/// The levels of the siblings, sorted: median, least and greatest.
struct SiblingLevels {
    median_ratio: f64,
    least_ratio: f64,
    greatest_ratio: f64,
    count: usize,
}

impl SiblingLevels {
    fn of_torques(context: &TorqueContext, siblings: &[SiblingTorque]) -> Option<Self> {
        let of_thread: Vec<SiblingTorque> =
            siblings.iter().filter(|s| s.thread == context.thread).copied().collect();
        let taken = if of_thread.len() >= LEAST_OF_THREAD { &of_thread } else { siblings };
        let mut levels: Vec<f64> = taken.iter().map(|s| s.torque / usual_torque(context, s.thread)).collect();
        levels.retain(|q| q.is_finite() && *q > 0.0);
        levels.sort_by(f64::total_cmp);
        let (least, greatest) = (*levels.first()?, *levels.last()?);
        let (low, high) = (levels[(levels.len() - 1) / 2], levels[levels.len() / 2]);
        (levels.len() >= LEAST_SIBLINGS).then_some(Self {
            median_ratio: f64::midpoint(low, high),
            least_ratio: least,
            greatest_ratio: greatest,
            count: levels.len(),
        })
    }

    fn is_out_of_line(&self, level_ratio: f64) -> bool {
        let above = level_ratio > self.median_ratio * OFF_MEDIAN_RATIO
            && level_ratio > self.greatest_ratio * BEYOND_OUTERMOST_RATIO;
        let below = level_ratio < self.median_ratio / OFF_MEDIAN_RATIO
            && level_ratio < self.least_ratio / BEYOND_OUTERMOST_RATIO;
        above || below
    }

    /// How far a level lies from the median, as a ratio of at least 1, where it lies among the siblings.
    fn distance_inside(&self, level_ratio: f64) -> Option<f64> {
        let inside = level_ratio >= self.least_ratio / BEYOND_OUTERMOST_RATIO
            && level_ratio <= self.greatest_ratio * BEYOND_OUTERMOST_RATIO;
        inside.then(|| (level_ratio / self.median_ratio).max(self.median_ratio / level_ratio))
    }
}

/// Whether a figure disagrees with its siblings; `None` also where too few of them, or none that agree, are there.
#[must_use]
pub fn find_disagreement(
    context: &TorqueContext,
    torque: Torque,
    written: &Unit,
    siblings: &[SiblingTorque],
) -> Option<SiblingDisagreement> {
    // Fixings of unknown class need not be alike.
    context.class?;
    let levels = SiblingLevels::of_torques(context, siblings)?;
    let level = torque / usual_torque(context, context.thread);
    if !levels.is_out_of_line(level) {
        return None;
    }
    let mut slips: Vec<(f64, LikelySlip)> = Vec::new();
    for unit in Torque::UNITS.iter().filter(|unit| unit.symbol != written.symbol && unit.factor > 0.0) {
        let meant = torque * (unit.factor / written.factor);
        let once_less = torque * (written.factor / unit.factor);
        let of_level = |t: Torque| levels.distance_inside(t / usual_torque(context, context.thread));
        slips.extend(
            of_level(meant).map(|far| (far, LikelySlip::MeantIn { unit: unit.symbol, torque: meant })),
        );
        let twice = LikelySlip::ConvertedTwice { unit: unit.symbol, torque: once_less };
        slips.extend(of_level(once_less).map(|far| (far, twice)));
    }
    for thread in rows_beside(context.thread) {
        let far = levels.distance_inside(torque / usual_torque(context, thread));
        slips.extend(far.map(|far| (far, LikelySlip::RowOf { thread })));
    }
    let slip = slips.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, slip)| slip);
    Some(SiblingDisagreement { level_ratio: level / levels.median_ratio, count: levels.count, slip })
}

/// The coarse threads in the rows above and below a metric thread.
fn rows_beside(thread: Thread) -> Vec<Thread> {
    if !thread.is_metric() {
        return Vec::new();
    }
    let d_mm = thread.d_mm();
    let below = TABLE_ROWS_MM.iter().rev().find(|row| **row < d_mm - 0.1);
    let above = TABLE_ROWS_MM.iter().find(|row| **row > d_mm + 0.1);
    let coarse = |row: &f64| Thread::metric(*row, crate::coarse_pitch_mm(*row)?).ok();
    below.into_iter().chain(above).filter_map(coarse).collect()
}
