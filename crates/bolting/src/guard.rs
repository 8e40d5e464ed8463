//! Is this torque absurd? Plausible torques for a thread, and the unit slip behind one that is not.
//!
//! **Question.** A book says 80 N·m for an M8: can that be meant, and if not, what was?
//!
//! **Method.** Low end: a fifth of yield at the least friction of the surface state; high end: full yield at the greatest
//! (both VDI 2230, edition 2001). Into cast aluminium the thread in the casting gives way first, so the high end is at most
//! 1.5 times the torque that a machine manual prints for it. An absent class spans 4.6 to 12.9. Outside the
//! window by up to a factor of two below or one and a half above the figure is unusual, beyond that absurd (assumption).
//! **A guard, never an instruction: the maker's figure wins.** Hollow screws, plugs and thin seats obey other rules.
//!
//! **Worked example.** M8, 8.8, oiled: low 0.2/0.9 of 18.4 = 4.1 N·m, high about 36 N·m. 80 N·m is absurd; 80 lbf·in is
//! 9.04 N·m and lies inside.
//!
//! **Sources.** VDI 2230; a farm machine manual's table "bolting into cast aluminium", dry: 8.8 M6 9, M8 20, M10 40,
//! M12 70 N·m; 10.9 M6 12, M8 28, M10 55, M12 100 N·m. Conversion factors: NIST SP 811.

use units::{Length, Range, Torque, Unit};

use crate::torque::{Edition, assembly_torque};
use crate::{Lubrication, PropertyClass, TappedIn, Thread};

/// Lowest share of yield that a bolt is tightened to (assumption).
const LOWEST_YIELD_SHARE: f64 = 0.2;
/// A figure this much below the window is still only unusual (assumption).
const UNUSUAL_BELOW: f64 = 0.5;
/// A figure this much above the window is still only unusual; angle-tightened bolts end past yield (assumption).
const UNUSUAL_ABOVE: f64 = 1.5;
/// Greatest multiple of the cast-aluminium figure that passes without a question (assumption).
const ALUMINIUM_ABOVE: f64 = 1.5;

/// Torque into cast aluminium, dry: nominal diameter (mm), class 8.8, class 10.9 (N·m).
const CAST_ALUMINIUM: &[(f64, f64, f64)] =
    &[(6.0, 9.0, 12.0), (8.0, 20.0, 28.0), (10.0, 40.0, 55.0), (12.0, 70.0, 100.0)];

/// What a torque belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TorqueContext {
    /// The thread.
    pub thread: Thread,
    /// The property class, where it is known.
    pub class: Option<PropertyClass>,
    /// Surface and lubrication.
    pub lubrication: Lubrication,
    /// What the hole is tapped into.
    pub tapped_in: TappedIn,
}

/// What sets the high end of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WindowCeiling {
    /// The bolt yields.
    BoltYield,
    /// The thread in the casting gives way.
    CastAluminium,
}

/// The torques that raise no question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueWindow {
    /// From a fifth of yield up to the ceiling.
    pub range: Range<Torque>,
    /// What sets the high end.
    pub ceiling: WindowCeiling,
}

/// How a figure compares with its window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TorqueVerdict {
    /// Inside.
    Plausible,
    /// Outside, yet possible: ask.
    Unusual,
    /// Cannot be meant.
    Absurd,
}

impl TorqueVerdict {
    /// The verdict in words.
    #[must_use]
    pub const fn spoken_word(self) -> &'static str {
        match self {
            Self::Plausible => "plausible",
            Self::Unusual => "unusual",
            Self::Absurd => "cannot be meant",
        }
    }
}

/// A figure that makes sense once it is read in another unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitSlip {
    /// The unit that the figure was written in.
    pub written_as: &'static str,
    /// The unit that it was likely meant in.
    pub meant_in: &'static str,
    /// The torque that was likely meant.
    pub meant: Torque,
}

/// The window of plausible torques.
#[must_use]
pub fn torque_window(case: &TorqueContext) -> TorqueWindow {
    let friction = case.lubrication.friction_range();
    let weakest = case.class.unwrap_or(PropertyClass::C4_6);
    let strongest = case.class.unwrap_or(PropertyClass::C12_9);
    let low = assembly_torque(case.thread, weakest, friction.low, LOWEST_YIELD_SHARE, Edition::E2001);
    let bolt = assembly_torque(case.thread, strongest, friction.high, 1.0, Edition::E2001);
    let (high, ceiling) = match case.tapped_in {
        TappedIn::CastAluminium => {
            let casting = cast_aluminium_torque(case.thread, strongest) * ALUMINIUM_ABOVE;
            if casting < bolt {
                (casting, WindowCeiling::CastAluminium)
            } else {
                (bolt, WindowCeiling::BoltYield)
            }
        }
        _ => (bolt, WindowCeiling::BoltYield),
    };
    let high = high.max(low);
    TorqueWindow { range: Range::new(low, high).expect("the high end was raised to the low one"), ceiling }
}

/// Threads that a hexagon head may carry where none is named, as nominal diameters of the coarse series of ISO 261, mm.
const HEXAGON_THREADS_MM: &[f64] = &[4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0];
/// Inch hexagons lie this near to the metric one of a thread of about the same size (assumption).
const HEXAGON_NEAR_MM: f64 = 1.0;

/// The window of plausible torques of a hexagon head whose thread is not known: the hull over the threads that such a head
/// may carry; `None` where no thread of the series has a head near the width.
///
/// Widths across flats: [`crate::drive::hexagon_widths_mm`].
#[must_use]
pub fn torque_window_of_hexagon(
    width: Length,
    class: Option<PropertyClass>,
    lubrication: Lubrication,
    tapped_in: TappedIn,
) -> Option<TorqueWindow> {
    let carries = |thread: &Thread| {
        let widths_mm = crate::drive::hexagon_widths_mm(*thread);
        widths_mm.iter().any(|w| (w - width.as_mm()).abs() <= HEXAGON_NEAR_MM)
    };
    let threads = HEXAGON_THREADS_MM.iter().filter_map(|d_mm| Thread::parse(&format!("M{d_mm}")).ok());
    let windows = threads
        .filter(carries)
        .map(|thread| torque_window(&TorqueContext { thread, class, lubrication, tapped_in }));
    windows.reduce(|a, b| {
        let (low, high) = (a.range.low().min(b.range.low()), a.range.high().max(b.range.high()));
        let ceiling = if high == b.range.high() { b.ceiling } else { a.ceiling };
        TorqueWindow { range: Range::new(low, high).expect("the low end is at most the high one"), ceiling }
    })
}

/// The torque that a machine manual gives into cast aluminium, dry.
///
/// Sizes that it does not print follow the cube of the diameter from the nearest one, which fits its own rows within 5 %.
/// Classes below 8.8 are lowered with their yield, those above 10.9 gain nothing; inch grades of 150 ksi follow 10.9 with their
/// yield (assumptions).
#[must_use]
pub fn cast_aluminium_torque(thread: Thread, class: PropertyClass) -> Torque {
    let d_mm = thread.d_mm();
    let nearest = CAST_ALUMINIUM.iter().min_by(|a, b| (a.0 - d_mm).abs().total_cmp(&(b.0 - d_mm).abs()));
    let (row_mm, soft_n_m, hard_n_m) = nearest.copied().unwrap_or((8.0, 20.0, 28.0));
    let yield_mpa = class.yield_mpa(d_mm);
    let at_row_n_m = match class {
        PropertyClass::C10_9 | PropertyClass::C12_9 => hard_n_m,
        PropertyClass::Sae8 | PropertyClass::A490 => {
            hard_n_m * (yield_mpa / PropertyClass::C10_9.yield_mpa(d_mm)).min(1.0)
        }
        _ => soft_n_m * (yield_mpa / PropertyClass::C8_8.yield_mpa(d_mm)).min(1.0),
    };
    let ratio = d_mm / row_mm;
    Torque::from_n_m(at_row_n_m * ratio * ratio * ratio)
}

/// Judges a figure against a window.
#[must_use]
pub fn judge_torque(torque: Torque, window: &TorqueWindow) -> TorqueVerdict {
    let (low, high) = (window.range.low(), window.range.high());
    if window.range.contains(torque) {
        TorqueVerdict::Plausible
    } else if low * UNUSUAL_BELOW <= torque && torque <= high * UNUSUAL_ABOVE {
        TorqueVerdict::Unusual
    } else {
        TorqueVerdict::Absurd
    }
}

/// How a torque compares with what the drive of the fastener, or the tool in it, is rated for.
///
/// Up to the rating it is plausible, up to one and a half times it unusual (the test torque leaves that margin; assumption),
/// beyond that absurd: the drive would round off first.
#[must_use]
pub fn judge_drive_torque(torque: Torque, rated: Torque) -> TorqueVerdict {
    if torque <= rated {
        TorqueVerdict::Plausible
    } else if torque <= rated * UNUSUAL_ABOVE {
        TorqueVerdict::Unusual
    } else {
        TorqueVerdict::Absurd
    }
}

/// The unit that a figure written in N·m was likely meant in; see [`likely_unit_slip_from`].
#[must_use]
pub fn likely_unit_slip(torque: Torque, range: &Range<Torque>) -> Option<UnitSlip> {
    likely_unit_slip_from(torque, &Torque::UNITS[0], range)
}

/// The unit that a figure outside the range was likely meant in: read in that unit, it falls inside.
///
/// Where several units would do, the one whose torque lies nearest to the middle of the range, by ratio, is named.
#[must_use]
pub fn likely_unit_slip_from(torque: Torque, written: &Unit, range: &Range<Torque>) -> Option<UnitSlip> {
    if range.contains(torque) || written.factor <= 0.0 {
        return None;
    }
    let figure = torque.as_n_m() / written.factor;
    let others = Torque::UNITS.iter().filter(|unit| unit.symbol != written.symbol);
    let fitting = others.filter_map(|unit| {
        let meant = Torque::from_n_m(figure * unit.factor);
        range.contains(meant).then_some(UnitSlip { written_as: written.symbol, meant_in: unit.symbol, meant })
    });
    fitting.min_by(|a, b| off_middle(a.meant, range).total_cmp(&off_middle(b.meant, range)))
}

/// How far a torque lies from the geometric middle of a range, as a ratio of at least 1.
fn off_middle(torque: Torque, range: &Range<Torque>) -> f64 {
    let square = range.low().as_n_m() * range.high().as_n_m();
    let ratio = torque.as_n_m() * torque.as_n_m() / square.max(f64::MIN_POSITIVE);
    ratio.max(1.0 / ratio.max(f64::MIN_POSITIVE))
}
