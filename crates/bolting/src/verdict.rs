//! One verdict per tightening: all that stands against a figure, each with its ground.
//!
//! **Question.** 45 N·m on an M8 of 8.8 in cast aluminium: does the figure stand, and if not, what speaks against it?
//!
//! **Symbols.** `T` the figure, `a` deviation that the book allows, `µ` friction of the surface state with a slippery and a rough end,
//! `U` the usual torque of a thread (0.9 of yield at the middle friction; into cast aluminium the printed one), `q = T/U` its level.
//!
//! ```text
//! strips from  stripping load × lever(µ slippery) … lever(µ rough)      breaks from  f·Rm·As/growth × lever, both ends
//! out of line  q > 1.25 × median and > 1.1 × greatest level of the sibling fixings, or the same downwards
//! ```
//!
//! **Method.** Each ground has a weight: a *note* speaks of what is not known, a *question* makes the figure unusual, a *refusal* says that
//! it can't be meant. A figure is plausible only where nothing weighs more than a note: never while a thread strips or a bolt breaks.
//! A slip by 1.36 (lbf·ft for N·m) or by a row of the table hides in the band of one thread; the sibling fixings of the same book
//! show it, where at least three of them agree. Of an unknown lubrication the middle friction is taken, not its slippery end. At the slippery end the deviation that the book allows is combined with that of the
//! friction as the root of the sum of squares: the two are independent. An unknown class or lubrication is told, and stands against nothing within the band.
//!
//! **Range.** Solid bolts, screws, studs and nuts. **A lone figure off by less than its band cannot be caught**; the rates are those of
//! `tests/slips.rs`.
//!
//! **Worked example.** M8, 8.8, oiled, 45 N·m, 16 mm in cast aluminium: the band ends at 30 N·m, the middle friction yields from 30 N·m and the
//! hole strips from 35 N·m where slippery: a question at least.
//!
//! **Sources.** Band: [`crate::guard`]; stripping: FED-STD-H28/2B; yield: VDI 2230; strength factor 1.2: VDI 2230, 5.5.5 (from
//! memory); root of the sum of squares: [`crate::clamp::combined_deviation_fraction`]; how near siblings must lie: assumption, held to the slip table.

mod words;

use serde::Serialize;
use units::{Angle, Force, Length, Range, Torque, Unit};

use crate::angle::{MakersReuseRule, YieldReach};
use crate::guard::{TorqueContext, TorqueVerdict, TorqueWindow, UnitSlip};
use crate::siblings::{self, LikelySlip, SiblingTorque};
use crate::{Edition, Friction, Lubrication, PropertyClass, TappedIn, clamp, guard, thread_strip, torque};

/// A tightening by torque, perhaps with an angle after it.
#[derive(Debug, Clone, PartialEq)]
pub struct TighteningCase {
    /// Thread, class, lubrication and hole.
    pub context: TorqueContext,
    /// The greatest torque of the stages.
    pub torque: Torque,
    /// The unit that the figure was written in.
    pub written: &'static Unit,
    /// Deviation that the book allows, as a fraction.
    pub allowed_fraction: f64,
    /// Bearing diameter of the head.
    pub bearing: Length,
    /// Length of thread engaged; `None` where it is not known.
    pub engagement: Option<Length>,
    /// How far an angle after the torque takes the bolt; `None` where no angle follows.
    pub turn: Option<TurnAfterTorque>,
    /// What the maker says about using the fastener again.
    pub reuse: MakersReuseRule,
    /// Other fixings of the book with the same class, hole and lubrication.
    pub siblings: Vec<SiblingTorque>,
}

/// A tightening of a fastener whose thread is not known: only the band of the threads that its head may carry is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadlessCase {
    /// The band: [`crate::guard::torque_window_of_hexagon`].
    pub window: TorqueWindow,
    /// The greatest torque of the stages.
    pub torque: Torque,
    /// The unit that the figure was written in.
    pub written: &'static Unit,
    /// The property class, where it is known.
    pub class: Option<PropertyClass>,
    /// Surface and lubrication.
    pub lubrication: Lubrication,
    /// What the hole is tapped into.
    pub tapped_in: TappedIn,
    /// How far an angle after the torque takes the bolt; `None` where no angle follows.
    pub turn: Option<TurnAfterTorque>,
    /// What the maker says about using the fastener again.
    pub reuse: MakersReuseRule,
}

/// An angle after the torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TurnAfterTorque {
    /// Worked out from the joint's springs.
    Known {
        /// How far it takes the bolt.
        reach: YieldReach,
        /// Turn at which the first bolts yield.
        first_yield: Angle,
    },
    /// The clamped length or the class is not known.
    NotWorkedOut,
}

/// How much a ground weighs, lightest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum GroundWeight {
    /// Something is not known, or must be thought of; nothing stands against the figure.
    Note,
    /// Unusual: ask before it is used.
    Question,
    /// It cannot be meant.
    Refusal,
}

/// One thing that speaks about a tightening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TighteningGround {
    /// The figure lies outside the band of its thread.
    OutsideBand {
        /// The band.
        window: TorqueWindow,
        /// Whether it lies above.
        end: BandEnd,
        /// How far outside.
        verdict: TorqueVerdict,
    },
    /// Read in another unit, it would lie inside.
    ReadsInOtherUnit(UnitSlip),
    /// It disagrees with its sibling fixings.
    OutOfLine {
        /// Its level over the middle level of the siblings.
        level_ratio: f64,
        /// How many siblings.
        count: usize,
        /// The slip that would explain it.
        slip: Option<LikelySlip>,
    },
    /// The thread strips at this torque.
    Strips {
        /// Torques at which it strips, slippery to rough.
        from: Range<Torque>,
        /// At which end of friction.
        reach: FrictionReach,
    },
    /// The bolt breaks at this torque.
    Breaks {
        /// Torques at which it breaks, slippery to rough.
        from: Range<Torque>,
        /// At which end of friction.
        reach: FrictionReach,
    },
    /// The bolt yields at the middle friction of its surface.
    Yields {
        /// Torque at which it does.
        from: Torque,
    },
    /// The angle takes the bolt past yield and the book does not say that it is renewed.
    TurnsPastYield {
        /// How far.
        reach: YieldReach,
        /// Turn at which the first bolts yield.
        first_yield: Angle,
    },
    /// An angle follows, and how far it takes the bolt is not known.
    TurnNotKnown,
    /// It is used once only.
    OneTime,
    /// The thread is not known.
    ThreadUnknown,
    /// The class is not known.
    ClassUnknown,
    /// The lubrication is not known.
    LubricationUnknown,
    /// The length of thread engaged is not known.
    EngagementUnknown,
}

/// An end of the band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BandEnd {
    /// Below it.
    Below,
    /// Above it.
    Above,
}

/// At which friction a limit is passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FrictionReach {
    /// At the slippery end only.
    SlipperyEnd,
    /// At every friction of the range.
    Throughout,
}

impl TighteningGround {
    /// How much it weighs.
    #[must_use]
    pub const fn weight(&self) -> GroundWeight {
        match self {
            Self::OutsideBand { verdict: TorqueVerdict::Absurd, .. }
            | Self::Breaks { reach: FrictionReach::Throughout, .. }
            | Self::Strips { reach: FrictionReach::Throughout, .. } => GroundWeight::Refusal,
            Self::OutsideBand { verdict: TorqueVerdict::Unusual | TorqueVerdict::Plausible, .. }
            | Self::ReadsInOtherUnit(_)
            | Self::OutOfLine { .. }
            | Self::Strips { reach: FrictionReach::SlipperyEnd, .. }
            | Self::Breaks { reach: FrictionReach::SlipperyEnd, .. }
            | Self::Yields { .. }
            | Self::TurnsPastYield { .. } => GroundWeight::Question,
            Self::TurnNotKnown
            | Self::OneTime
            | Self::ThreadUnknown
            | Self::ClassUnknown
            | Self::LubricationUnknown
            | Self::EngagementUnknown => GroundWeight::Note,
        }
    }

    /// Short name: `strips`.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::OutsideBand { .. } => "outside-band",
            Self::ReadsInOtherUnit(_) => "reads-in-other-unit",
            Self::OutOfLine { .. } => "out-of-line",
            Self::Strips { .. } => "strips",
            Self::Breaks { .. } => "breaks",
            Self::Yields { .. } => "yields",
            Self::TurnsPastYield { .. } => "turns-past-yield",
            Self::TurnNotKnown => "turn-not-known",
            Self::OneTime => "one-time",
            Self::ThreadUnknown => "thread-unknown",
            Self::ClassUnknown => "class-unknown",
            Self::LubricationUnknown => "lubrication-unknown",
            Self::EngagementUnknown => "engagement-unknown",
        }
    }
}

/// What a tightening is worth, with every ground, heaviest first.
#[derive(Debug, Clone, PartialEq)]
pub struct TighteningVerdict {
    /// The band of the thread.
    pub window: TorqueWindow,
    /// All grounds, heaviest first; equal ones in the order of the list above.
    pub grounds: Vec<TighteningGround>,
}

impl TighteningVerdict {
    /// Plausible, unusual or absurd, by the heaviest ground.
    #[must_use]
    pub fn standing(&self) -> TorqueVerdict {
        match self.grounds.iter().map(TighteningGround::weight).max() {
            None | Some(GroundWeight::Note) => TorqueVerdict::Plausible,
            Some(GroundWeight::Question) => TorqueVerdict::Unusual,
            Some(GroundWeight::Refusal) => TorqueVerdict::Absurd,
        }
    }

    /// The grounds that make it more than plausible.
    pub fn objections(&self) -> impl Iterator<Item = &TighteningGround> {
        self.grounds.iter().filter(|ground| ground.weight() > GroundWeight::Note)
    }
}

/// Judges a tightening.
#[must_use]
pub fn judge_tightening(case: &TighteningCase) -> TighteningVerdict {
    let window = guard::torque_window(&case.context);
    let low_is_right = is_low_right(case.turn, case.context.tapped_in);
    let band = check_band(case.torque, &window, low_is_right);
    let checks = [
        band,
        unit_slip_of_band(band, case.torque, case.written, &window),
        check_breaking(case),
        check_stripping(case),
        check_yield(case),
        check_siblings(case),
        check_turn(case.turn, case.reuse),
        (case.reuse == MakersReuseRule::OneUse).then_some(TighteningGround::OneTime),
        case.context.class.is_none().then_some(TighteningGround::ClassUnknown),
        (case.context.lubrication == Lubrication::Unstated).then_some(TighteningGround::LubricationUnknown),
        case.engagement.is_none().then_some(TighteningGround::EngagementUnknown),
    ];
    verdict_of_checks(window, checks)
}

/// Judges a tightening of a fastener whose thread is not known.
#[must_use]
pub fn judge_without_thread(case: &ThreadlessCase) -> TighteningVerdict {
    let low_is_right = is_low_right(case.turn, case.tapped_in);
    let band = check_band(case.torque, &case.window, low_is_right);
    let checks = [
        band,
        unit_slip_of_band(band, case.torque, case.written, &case.window),
        check_turn(case.turn, case.reuse),
        (case.reuse == MakersReuseRule::OneUse).then_some(TighteningGround::OneTime),
        Some(TighteningGround::ThreadUnknown),
        case.class.is_none().then_some(TighteningGround::ClassUnknown),
        (case.lubrication == Lubrication::Unstated).then_some(TighteningGround::LubricationUnknown),
    ];
    verdict_of_checks(case.window, checks)
}

/// What was found, heaviest first.
fn verdict_of_checks(
    window: TorqueWindow,
    checks: impl IntoIterator<Item = Option<TighteningGround>>,
) -> TighteningVerdict {
    let mut grounds: Vec<TighteningGround> = checks.into_iter().flatten().collect();
    grounds.sort_by_key(|ground| core::cmp::Reverse(ground.weight()));
    TighteningVerdict { window, grounds }
}

/// Whether a low figure is right: an angle follows, or the thread is in plastic.
fn is_low_right(turn: Option<TurnAfterTorque>, tapped_in: TappedIn) -> bool {
    turn.is_some() || tapped_in == TappedIn::Plastic
}

fn check_band(torque: Torque, window: &TorqueWindow, is_low_right: bool) -> Option<TighteningGround> {
    let verdict = guard::judge_torque(torque, window);
    let end = if torque > window.range.high() { BandEnd::Above } else { BandEnd::Below };
    let counts = verdict != TorqueVerdict::Plausible && (end == BandEnd::Above || !is_low_right);
    counts.then_some(TighteningGround::OutsideBand { window: *window, end, verdict })
}

/// The unit in which a figure outside its band would lie inside.
fn unit_slip_of_band(
    band: Option<TighteningGround>,
    torque: Torque,
    written: &Unit,
    window: &TorqueWindow,
) -> Option<TighteningGround> {
    band?;
    guard::likely_unit_slip_from(torque, written, &window.range).map(TighteningGround::ReadsInOtherUnit)
}

/// Torques at which a limit is reached: at the slippery end, the middle and the rough end of friction.
struct LimitTorques {
    slippery: Torque,
    middle: Torque,
    rough: Torque,
}

impl LimitTorques {
    /// The torques that make a load, which itself may depend on the friction.
    fn of_load(case: &TighteningCase, load: impl Fn(Friction) -> Force) -> Self {
        let friction = case.context.lubrication.friction_range();
        let at = |mu| torque::torque_for_preload(case.context.thread, load(mu), mu, case.bearing);
        Self {
            slippery: at(friction.low),
            middle: at(clamp::middle_friction(&friction)),
            rough: at(friction.high),
        }
    }

    /// How far into the range of friction a figure reaches its limit.
    ///
    /// The slipperiest friction and the strongest pull of the wrench seldom meet: their deviations combine as independent ones do. Of a
    /// lubrication that nobody gave the slippery end is no ground, but the middle is.
    fn reach_of(&self, case: &TighteningCase) -> Option<FrictionReach> {
        let by_friction = match case.context.lubrication {
            Lubrication::Unstated => 0.0,
            Lubrication::Dry
            | Lubrication::Oiled
            | Lubrication::Paste
            | Lubrication::ThreadLocker
            | Lubrication::Sealant => 1.0 - self.slippery / self.middle,
        };
        let parts = [by_friction, case.allowed_fraction.clamp(0.0, 0.9)];
        let lowest = self.middle * (1.0 - clamp::combined_deviation_fraction(&parts)).max(0.0);
        if case.torque >= self.rough {
            Some(FrictionReach::Throughout)
        } else if case.torque >= lowest {
            Some(FrictionReach::SlipperyEnd)
        } else {
            None
        }
    }

    fn range(&self) -> Range<Torque> {
        Range::new(self.slippery.min(self.rough), self.rough.max(self.slippery))
            .expect("the ends were put in order")
    }
}

/// Load under torsion at which even a strong bolt of its class breaks; 12.9 where the class is not known.
fn breaking_load(case: &TighteningCase, friction: Friction) -> Force {
    let class = case.context.class.unwrap_or(PropertyClass::C12_9);
    torque::breaking_preload(case.context.thread, class, friction, Edition::E2001)
        * thread_strip::STRENGTH_FACTOR
}

fn check_breaking(case: &TighteningCase) -> Option<TighteningGround> {
    let limit = LimitTorques::of_load(case, |mu| breaking_load(case, mu));
    let reach = limit.reach_of(case)?;
    // Of an unknown class even the strongest must break.
    let counts = case.context.class.is_some() || reach == FrictionReach::Throughout;
    counts.then_some(TighteningGround::Breaks { from: limit.range(), reach })
}

fn check_stripping(case: &TighteningCase) -> Option<TighteningGround> {
    let context = &case.context;
    let loads =
        thread_strip::stripping_load(context.thread, context.class, case.engagement?, context.tapped_in);
    // Of a bolt of unknown class only the hole's thread is known.
    let load = if context.class.is_some() { loads.least_load() } else { loads.internal };
    let class = context.class.unwrap_or(PropertyClass::C12_9);
    if load >= thread_strip::breaking_load(context.thread, class) * thread_strip::STRENGTH_FACTOR {
        return None;
    }
    let limit = LimitTorques::of_load(case, |_| load);
    let reach = limit.reach_of(case)?;
    Some(TighteningGround::Strips { from: limit.range(), reach })
}

fn check_yield(case: &TighteningCase) -> Option<TighteningGround> {
    let class = case.context.class?;
    let middle = clamp::middle_friction(&case.context.lubrication.friction_range());
    let thread = case.context.thread;
    let preload = torque::assembly_preload(thread, class, middle.mu_g(), 1.0, Edition::E2001);
    let from = torque::torque_for_preload(thread, preload, middle, case.bearing);
    (case.torque > from).then_some(TighteningGround::Yields { from })
}

fn check_siblings(case: &TighteningCase) -> Option<TighteningGround> {
    if case.turn.is_some() {
        // A snug torque before an angle follows no level.
        return None;
    }
    let found = siblings::find_disagreement(&case.context, case.torque, case.written, &case.siblings)?;
    Some(TighteningGround::OutOfLine { level_ratio: found.level_ratio, count: found.count, slip: found.slip })
}

fn check_turn(turn: Option<TurnAfterTorque>, reuse: MakersReuseRule) -> Option<TighteningGround> {
    if matches!(reuse, MakersReuseRule::OneUse | MakersReuseRule::UpToLength) {
        return None;
    }
    match turn? {
        TurnAfterTorque::Known { reach: YieldReach::Elastic, .. } => None,
        TurnAfterTorque::Known { reach, first_yield } => {
            Some(TighteningGround::TurnsPastYield { reach, first_yield })
        }
        TurnAfterTorque::NotWorkedOut => Some(TighteningGround::TurnNotKnown),
    }
}
