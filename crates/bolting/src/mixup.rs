//! Wrong bolt, right hole: what happens when a bolt goes where another one belongs.
//!
//! **Question.** Two fasteners look alike; which swap does harm, and what kind?
//!
//! **Symbols.** `l` length under the head, `t` thickness clamped, `h` depth of usable thread from the joint face, `T` the
//! hole's tightening torque.
//!
//! ```text
//! engaged    = min(l − t, h)            short by = l − t − h  (the head stays this far off)
//! needed     = 1.25 × the length whose threads hold the preload that T makes at the least friction
//! strips at  = torque whose preload shears the engaged thread at the least friction
//! ```
//!
//! **Order.** By harm: first what clamps nothing, then by how far the torque passes what gives way. What is not known (the class of the wrong bolt,
//! the depth of the hole) is told as that: neither harmless nor harmful.
//!
//! **Assumptions.** All of the length under the head is threaded: a shank that jams in the thread is not seen. Least
//! friction of the surface state, because it makes the most preload. The reserve of 1.25 is an assumption.
//!
//! **Worked example.** M6 × 30 in the hole of an M6 × 20 (t = 10, h = 14): 30 − 10 = 20 mm of bolt for 14 mm of hole,
//! so the head stays 6 mm off, the torque is reached and nothing is clamped.
//!
//! **Sources.** Stripping as in `strip`, yield as in `torque`; the rest is geometry.

use core::fmt;

use serde::Serialize;
use units::{Length, Torque};

use crate::{Lubrication, PropertyClass, TappedIn, Thread, thread_strip, torque};

/// Reserve between what the threads hold and what the torque needs (assumption).
const THREAD_RESERVE: f64 = 1.25;
/// A longer bolt in a hole of unknown depth is told once it gains this many pitches (assumption).
const PROTRUSION_PITCHES: f64 = 1.0;
/// Threads whose diameters differ by less than this share start into each other (assumption).
const NEAR_DIAMETER_FRACTION: f64 = 0.03;

/// The fastener that goes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixUpBolt {
    /// Its thread.
    pub thread: Thread,
    /// Its length under the head.
    pub length: Length,
    /// Its property class, where known.
    pub class: Option<PropertyClass>,
}

/// The hole and the fastener that belongs there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixUpSeat {
    /// The fastener that belongs there.
    pub intended: MixUpBolt,
    /// Thickness clamped between head and joint face.
    pub clamped: Length,
    /// Depth of usable thread from the joint face; `None` where it is a through hole or not known.
    pub tapped_depth: Option<Length>,
    /// Greatest torque of tightening, where there is one.
    pub torque: Option<Torque>,
    /// What the hole is tapped into.
    pub tapped_in: TappedIn,
    /// Surface and lubrication.
    pub lubrication: Lubrication,
}

/// What a swap does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MixUpConsequence {
    /// Nothing that was looked for.
    Harmless,
    /// Too thick for the hole.
    WillNotEnter,
    /// So thin that it slides into the hole without gripping.
    DoesNotGrip,
    /// Starts, then cuts across the threads because the pitch differs.
    CrossThreads {
        /// Pitch of the bolt.
        bolt_pitch: Length,
        /// Pitch of the hole.
        hole_pitch: Length,
    },
    /// Reaches the bottom of the hole before the head clamps.
    BottomsBeforeClamping {
        /// How far the head stays off.
        short_by: Length,
    },
    /// Too little thread is engaged.
    TooLittleEngagement {
        /// Length engaged.
        engaged: Length,
        /// Length needed for the torque.
        needed: Length,
        /// Torque at which the engaged thread strips.
        strips_at: Torque,
        /// Torque of the hole.
        torque: Torque,
    },
    /// Of a weaker class than the one that belongs there.
    WeakerClass {
        /// Torque at which it yields.
        yields_at: Torque,
        /// Torque at which the right one yields, by the same rule.
        right_yields_at: Torque,
        /// Torque of the hole.
        torque: Torque,
    },
    /// Of a class that is not known, and the weakest would yield.
    UnknownClass {
        /// Torque at which the weakest class yields.
        weakest_yields_at: Torque,
        /// Torque of the hole.
        torque: Torque,
    },
    /// Reaches deeper than the right one, and the depth of the hole is not known.
    ReachesDeeper {
        /// How much deeper.
        by: Length,
    },
}

units::worded! {
    /// What a swap does, without the figures.
    pub enum MixUpKind {
        /// Nothing that was looked for.
        Harmless = "harmless",
        /// Too thick for the hole.
        WillNotEnter = "will-not-enter" / "will not enter",
        /// So thin that it slides into the hole.
        DoesNotGrip = "does-not-grip" / "does not grip",
        /// Cuts across the threads.
        CrossThreads = "cross-threads" / "cuts across the threads",
        /// Reaches the bottom of the hole before the head clamps.
        BottomsOut = "bottoms-out" / "bottoms out",
        /// Too little thread is engaged.
        TooLittleThread = "too-little-thread" / "too little thread",
        /// Of a weaker class.
        WeakerClass = "weaker-class" / "weaker class",
        /// Of a class that is not known.
        UnknownClass = "class-unknown" / "class not known",
        /// Reaches deeper into a hole of unknown depth.
        ReachesDeeper = "reaches-deeper" / "reaches deeper",
    }
}

impl MixUpKind {
    /// Whether it is only that something is not known.
    #[must_use]
    pub const fn is_not_known(self) -> bool {
        match self {
            Self::UnknownClass | Self::ReachesDeeper => true,
            Self::Harmless
            | Self::WillNotEnter
            | Self::DoesNotGrip
            | Self::CrossThreads
            | Self::BottomsOut
            | Self::TooLittleThread
            | Self::WeakerClass => false,
        }
    }
}

/// How bad a swap is, mildest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MixUpSeverity {
    /// No harm.
    Harmless,
    /// Noticed at once; costs time.
    Noticed,
    /// Not known: it may do harm.
    Unknown,
    /// Holds, with less margin.
    Weakened,
    /// Breaks or damages something, or does not clamp though the torque is reached.
    Harmful,
}

impl MixUpConsequence {
    /// What happens, without the figures.
    #[must_use]
    pub const fn kind(&self) -> MixUpKind {
        match self {
            Self::Harmless => MixUpKind::Harmless,
            Self::WillNotEnter => MixUpKind::WillNotEnter,
            Self::DoesNotGrip => MixUpKind::DoesNotGrip,
            Self::CrossThreads { .. } => MixUpKind::CrossThreads,
            Self::BottomsBeforeClamping { .. } => MixUpKind::BottomsOut,
            Self::TooLittleEngagement { .. } => MixUpKind::TooLittleThread,
            Self::WeakerClass { .. } => MixUpKind::WeakerClass,
            Self::UnknownClass { .. } => MixUpKind::UnknownClass,
            Self::ReachesDeeper { .. } => MixUpKind::ReachesDeeper,
        }
    }

    /// How bad it is.
    #[must_use]
    pub fn severity(&self) -> MixUpSeverity {
        match self {
            Self::Harmless => MixUpSeverity::Harmless,
            Self::WillNotEnter | Self::DoesNotGrip => MixUpSeverity::Noticed,
            Self::UnknownClass { .. } | Self::ReachesDeeper { .. } => MixUpSeverity::Unknown,
            Self::CrossThreads { .. } | Self::BottomsBeforeClamping { .. } => MixUpSeverity::Harmful,
            Self::TooLittleEngagement { strips_at: limit, torque, .. }
            | Self::WeakerClass { yields_at: limit, torque, .. } => {
                if limit <= torque {
                    MixUpSeverity::Harmful
                } else {
                    MixUpSeverity::Weakened
                }
            }
        }
    }

    /// By how much the torque passes what gives way; without end where nothing is clamped. Sorts equals of one severity.
    #[must_use]
    pub fn overload_ratio(&self) -> f64 {
        match self {
            Self::Harmless | Self::WillNotEnter | Self::DoesNotGrip => 0.0,
            Self::BottomsBeforeClamping { .. } | Self::CrossThreads { .. } => f64::INFINITY,
            Self::TooLittleEngagement { strips_at: limit, torque, .. }
            | Self::WeakerClass { yields_at: limit, torque, .. }
            | Self::UnknownClass { weakest_yields_at: limit, torque } => {
                if *limit > Torque::ZERO {
                    *torque / *limit
                } else {
                    f64::INFINITY
                }
            }
            // Deeper by a diameter is worse than by a thread; the unit does not matter for the order.
            Self::ReachesDeeper { by } => by.as_mm(),
        }
    }
}

impl fmt::Display for MixUpConsequence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mm = |length: &Length| length.show_in(&Length::UNITS[0], 2);
        let n_m = |torque: &Torque| torque.show_in(&Torque::UNITS[0], 2);
        match self {
            Self::Harmless => f.write_str("does no harm"),
            Self::WillNotEnter => f.write_str("will not enter the hole"),
            Self::DoesNotGrip => f.write_str("slides into the hole without gripping"),
            Self::CrossThreads { bolt_pitch, hole_pitch } => {
                let pitch = |length: &Length| length.show_in(&Length::UNITS[0], 4);
                write!(
                    f,
                    "cuts across the threads: pitch {} in a hole of {}",
                    pitch(bolt_pitch),
                    pitch(hole_pitch)
                )
            }
            Self::BottomsBeforeClamping { short_by } => {
                write!(
                    f,
                    "bottoms out with the head still {} off the part: the torque is reached but nothing is clamped",
                    mm(short_by)
                )
            }
            Self::TooLittleEngagement { engaged, torque, .. } if *engaged <= Length::ZERO => {
                write!(f, "does not reach the thread: nothing holds, {} or not", n_m(torque))
            }
            Self::TooLittleEngagement { engaged, needed, strips_at, torque } => {
                let (engaged, needed) = (mm(engaged), mm(needed));
                write!(
                    f,
                    "engages {engaged} of the {needed} needed: may strip near {}; the hole's torque is {}",
                    n_m(strips_at),
                    n_m(torque)
                )
            }
            Self::WeakerClass { yields_at, right_yields_at, torque } => write!(
                f,
                "is weaker: may yield from {}, the right one from {}; tightened to {}",
                n_m(yields_at),
                n_m(right_yields_at),
                n_m(torque)
            ),
            Self::UnknownClass { weakest_yields_at, torque } => write!(
                f,
                "its class is not known: the weakest would yield from {}, tightened to {}; read it off the head",
                n_m(weakest_yields_at),
                n_m(torque)
            ),
            Self::ReachesDeeper { by } => write!(
                f,
                "reaches {} deeper; the depth of the hole is not known: measure before it bottoms out or stands out",
                mm(by)
            ),
        }
    }
}

/// All that happens when a bolt goes into a seat, worst first; never empty.
#[must_use]
pub fn mix_up_consequences(bolt: &MixUpBolt, seat: &MixUpSeat) -> Vec<MixUpConsequence> {
    if let Some(mismatch) = thread_mismatch(bolt.thread, seat.intended.thread) {
        return vec![mismatch];
    }
    let checks = [
        check_bottoming(bolt, seat),
        check_engagement(bolt, seat),
        check_class(bolt, seat),
        check_reach_beyond(bolt, seat),
    ];
    let mut found: Vec<MixUpConsequence> = checks.into_iter().flatten().collect();
    found.sort_by(|a, b| {
        b.severity().cmp(&a.severity()).then(b.overload_ratio().total_cmp(&a.overload_ratio()))
    });
    if found.is_empty() {
        found.push(MixUpConsequence::Harmless);
    }
    found
}

/// The worst that happens.
#[must_use]
pub fn worst_consequence(bolt: &MixUpBolt, seat: &MixUpSeat) -> MixUpConsequence {
    mix_up_consequences(bolt, seat).first().copied().unwrap_or(MixUpConsequence::Harmless)
}

fn thread_mismatch(bolt: Thread, hole: Thread) -> Option<MixUpConsequence> {
    if bolt == hole {
        return None;
    }
    let (bolt_mm, hole_mm) = (bolt.d_mm(), hole.d_mm());
    let crosses = MixUpConsequence::CrossThreads {
        bolt_pitch: Length::from_mm(bolt.pitch_mm()),
        hole_pitch: Length::from_mm(hole.pitch_mm()),
    };
    if (bolt_mm - hole_mm).abs() <= NEAR_DIAMETER_FRACTION * hole_mm {
        Some(crosses)
    } else if bolt_mm > hole_mm {
        Some(MixUpConsequence::WillNotEnter)
    } else if bolt_mm <= hole.minor_internal_mm() {
        Some(MixUpConsequence::DoesNotGrip)
    } else {
        Some(crosses)
    }
}

/// What would be inside the hole, were it deep enough; negative when the bolt ends before the joint face.
fn length_past_face(bolt: &MixUpBolt, seat: &MixUpSeat) -> Length {
    bolt.length - seat.clamped
}

fn check_bottoming(bolt: &MixUpBolt, seat: &MixUpSeat) -> Option<MixUpConsequence> {
    let short_by = length_past_face(bolt, seat) - seat.tapped_depth?;
    (short_by > Length::from_mm(1.0e-6)).then_some(MixUpConsequence::BottomsBeforeClamping { short_by })
}

fn engaged_length(bolt: &MixUpBolt, seat: &MixUpSeat) -> Length {
    // A hole of unknown depth holds at least what belongs into it.
    let depth = seat.tapped_depth.unwrap_or_else(|| length_past_face(&seat.intended, seat));
    length_past_face(bolt, seat).min(depth).max(Length::ZERO)
}

fn check_engagement(bolt: &MixUpBolt, seat: &MixUpSeat) -> Option<MixUpConsequence> {
    let torque = seat.torque?;
    let friction = seat.lubrication.friction_range().low;
    let bearing = torque::bearing_diameter(bolt.thread);
    let preload = torque::preload_for_torque(bolt.thread, torque, friction, bearing);
    let held = thread_strip::engagement_for_load(bolt.thread, bolt.class, preload, seat.tapped_in);
    let needed = held * THREAD_RESERVE;
    let engaged = engaged_length(bolt, seat);
    let least = needed.min(engaged_length(&seat.intended, seat));
    // A hole that is short even for its own bolt is the maker's choice; only less than that is the swap's doing.
    let strips_at = thread_strip::strip_torque(bolt.thread, bolt.class, engaged, seat.tapped_in, friction);
    let short = engaged < least - Length::from_mm(1.0e-6);
    short.then_some(MixUpConsequence::TooLittleEngagement { engaged, needed, strips_at, torque })
}

fn check_class(bolt: &MixUpBolt, seat: &MixUpSeat) -> Option<MixUpConsequence> {
    let (torque, intended) = (seat.torque?, seat.intended.class?);
    let d_mm = bolt.thread.d_mm();
    let yields_at = |class| torque::yield_torque(bolt.thread, class, seat.lubrication.friction_range().low);
    let Some(class) = bolt.class else {
        let weakest_yields_at = yields_at(PropertyClass::C4_6);
        return (weakest_yields_at < torque)
            .then_some(MixUpConsequence::UnknownClass { weakest_yields_at, torque });
    };
    (class.yield_mpa(d_mm) < intended.yield_mpa(d_mm)).then(|| MixUpConsequence::WeakerClass {
        yields_at: yields_at(class),
        right_yields_at: yields_at(intended),
        torque,
    })
}

fn check_reach_beyond(bolt: &MixUpBolt, seat: &MixUpSeat) -> Option<MixUpConsequence> {
    let by = bolt.length - seat.intended.length;
    let slack = Length::from_mm(bolt.thread.pitch_mm() * PROTRUSION_PITCHES);
    (seat.tapped_depth.is_none() && by > slack).then_some(MixUpConsequence::ReachesDeeper { by })
}
