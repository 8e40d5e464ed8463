//! The rules of reach, times and set-ups, written once: implemented independently by the reach search and by the judge.
//!
//! # Nomenclature
//!
//! A *stack* is a chain of pieces `p₀ … pₙ` from the fastener to the hand. `z` is the distance along the corridor's
//! axis, outward, with `z = 0` at the top of the fastener's head (the mouth of a recess). `e` is the engagement. `L(p)`
//! is the sum of a piece's outline sections.
//!
//! # Which chains are looked at
//!
//! * `p₀` has a grip, `pₙ` has a handle; a spanner, a driver or a key is both at once (`n = 0`).
//! * Neighbours share a link: `pᵢ.toward_hand = pᵢ₊₁.toward_fastener`. At most [`MAX_BETWEEN`] pieces lie between
//!   grip and handle; they have neither grip nor handle. A piece with both is used alone. A piece is used at most as
//!   often as it is at hand.
//! * The links run one way. Let `l₀, l₁ …` be the links from the grip outward: with a bit's hexagonal shank at the grip left
//!   out, they never become smaller or never become larger, in the order of [`crate::PieceLink::ALL`]; and a link that was
//!   left does not come back. So an adapter up and one down make no extension (common practice, no single source: they
//!   wobble, and the smaller square carries the torque of the larger).
//! * [`crate::DriveForm::Hand`] is worked by no piece at all. [`crate::DriveForm::Latch`] needs none where the hand passes
//!   (every segment at least [`HAND_PASS_MM`] wide); a piece that fits may be used in any case.
//!
//! # Rules of one stack for one duty
//!
//! 1. **Drive.** Some fit of `p₀`'s grip has the drive's form and a size range that holds its size. A pipe comes out of a
//!    [union](crate::FastenerKind::Union) that is turned, on both of its sides: it is worked and held by open grips only.
//! 2. **Engagement.** With `h` the head's grip height and `s` its protrusion: `e = min(h, depth − s)` for external axial
//!    grips, `e = min(h, depth)` for internal ones and for side grips. `e ≥ MIN_ENGAGEMENT_FRACTION · h`.
//!    Drives that are not turned have `e = 0` and no such rule.
//! 3. **Place.** `p₀` spans from `z = −e` outward; each next piece follows. `top` is the outer end of `pₙ`.
//! 4. **Clearance** (axial grips). For each outline section on `[a, b]` and each corridor segment that it overlaps by
//!    more than 0.001 mm, `diameter + 2 · PASS_CLEARANCE_MM ≤ clear`. What lies at `z < 0` counts to the first segment.
//! 5. **Length** (axial grips). The *arm plane* is `top − ½ · L(last section of pₙ)`. Swung handles: arm plane ≥ corridor
//!    depth. In-line handles: `top ≥ depth + INLINE_CLEAR_MM`. Power and squeeze: `top ≥ depth`.
//!    Always `top + hand_room ≤ headroom`.
//! 6. **Bends** (axial grips). Each bend of the corridor is taken, in order, by one joint of the chain whose centre
//!    (start of its piece + `bend.at`) lies within [`BEND_SLACK_MM`] of the bend and whose greatest angle is not below the
//!    bend's. A joint that takes no bend must be one that may stay straight. With side grips no bend is crossed and joints
//!    must stay straight.
//! 7. **Swing.** Step `s` = the handle's step, else the grip's index. Free arc `A` from the access's swings (axial) or the
//!    side room's (side grips) for the handle's radius. Swung handles: `⌊(A − SWING_PLAY_DEG)/s⌋ ≥ 1`; the stroke is that
//!    number of steps, at most [`MAX_STROKE_DEG`], at least one step; a step of 0 fails. In-line handles: `A` at [`FIST_RADIUS_MM`] ≥
//!    [`INLINE_ARC_DEG`].
//! 8. **Side room** (side grips). There is one; grip depth ≤ height; half of head width ≤ radial. On a square (crow-foot):
//!    `offset + ½ · diameter` of every further piece ≤ reach, and `top + hand_room ≤` the side room's headroom.
//! 9. **Strength.** With `T` the torque of the act, `strength / STRENGTH_MARGIN ≥ T` for every piece; a power source also
//!    `max / STRENGTH_MARGIN ≥ T`.
//! 10. **Force.** `T / arm ≤` the station's hand force (all but squeeze). For *tighten*: `T / arm ≥ MIN_FEEL_N`.
//! 11. **Measure.** To *tighten* to a torque, the handle piece must measure, with its setting (torque corrected for a
//!     crow-foot's offset held in line outward, `T · L/(L + E)`) within the usable range. Other acts and stages need a
//!     handle that does not measure. The joints' angles together keep `∏ 1/cos β − 1` within the fixing's tolerance.
//!     A power source never tightens; it runs in only if it can be held below the tightening figure: a clutch step (or,
//!     without a clutch, its greatest torque) ≤ `POWER_RUN_IN_FRACTION · T_tighten`.
//!     Nor does it run in what is critical, or free what is [risky](crate::Fixing::is_risky): that is felt by hand.
//!     Squeezed handles work only drives that are not turned, and those are worked by nothing else but the hand.
//!     A crow-foot (a side grip on a square) frees and tightens; its square goes round the fastener and cannot be spun, so
//!     it neither runs out nor runs in.
//! 12. **Hold.** *Run out* and *run in* over an opening that is not capped need a grip with retention, unless the
//!     fastener is captive.
//! 13. **Counter-hold.** Where the access has one, a second stack obeys rules 1–10 on the other side with the act's
//!     torque, its handle swung or in line, neither power nor measure; its swing is not checked; both together use no
//!     piece more often than it is at hand.
//!
//! The station is the access's, else its way's, else the part's; for the held side its own, else the working side's.
//! No force is reported for power sources, squeezed handles or the bare hand.
//!
//! Torque of an act: *free* the break-loose torque; *run out*, *run in* [`RUN_TORQUE_RATIO`] times the greatest
//! tightening torque; *tighten* the stage's torque, for an angle stage the greatest torque, for *seat* and where the
//! book gives no figure nothing (rules 9 and 10 then do not apply).
//!
//! # Times
//!
//! What each act takes, and how a duty and a change of stacks add up, is in [`times::acts`]. A stack is **dominated** when another feasible stack of the same duty is made of a part, or all, of its pieces
//! (as a multiset, counter-hold's included) and costs no more; of two made of the same pieces the cheaper stays, then
//! the one whose piece ids come first.
//!
//! # Sources
//!
//! Usable range of torque tools: ISO 6789-1. Twelve- and six-point index angles: geometry. The others are
//! assumptions, to be refitted from journals; each says so.

/// Pieces between grip and handle (assumption: more wobbles too much to work with).
pub const MAX_BETWEEN: usize = 3;
/// Share of the head's height or recess that must be taken hold of (assumption).
pub const MIN_ENGAGEMENT_FRACTION: f64 = 0.6;
/// Air round a piece in its corridor, each side (assumption).
pub const PASS_CLEARANCE_MM: f64 = 0.5;
/// Width that a hand passes (common practice, no single source).
pub const HAND_PASS_MM: f64 = 45.0;
/// Length of an in-line handle that must be outside the corridor (assumption: a fist less a finger).
pub const INLINE_CLEAR_MM: f64 = 60.0;
/// How far a joint's centre may lie from the bend (assumption).
pub const BEND_SLACK_MM: f64 = 8.0;
/// Play of ratchet and square to take up before the fastener turns (assumption).
pub const SWING_PLAY_DEG: f64 = 2.0;
/// Longest useful stroke (assumption).
pub const MAX_STROKE_DEG: f64 = 120.0;
/// Radius of a fist round an in-line handle (assumption).
pub const FIST_RADIUS_MM: f64 = 45.0;
/// Arc a fist needs (assumption).
pub const INLINE_ARC_DEG: f64 = 30.0;
/// A piece's test torque over the torque required of it (assumption).
pub const STRENGTH_MARGIN: f64 = 1.25;
/// Force below which the hand no longer feels a fastener seat (assumption).
pub const MIN_FEEL_N: f64 = 5.0;
/// Greatest hand force where a station gives none (assumption; standing, one arm with body weight behind it).
pub const HAND_FORCE_N: f64 = 400.0;
/// Share of the tightening torque that running in and out takes (assumption; prevailing torque included).
pub const RUN_TORQUE_RATIO: f64 = 0.25;
/// Lowest share of full scale at which a torque tool may be trusted: ISO 6789-1, 20 % to 100 %.
pub const TORQUE_TOOL_LOWEST_FRACTION: f64 = 0.2;
/// A driver's clutch or greatest torque against the tightening figure when running in (assumption).
pub const POWER_RUN_IN_FRACTION: f64 = 0.8;
/// Break-loose over tightening torque with no history: plan for 1.5 to 2 (common practice, no single source).
pub const BREAK_LOOSE_RATIO: f64 = 1.5;
/// Break-loose factor from which a fastener is treated as risky (assumption: the top of common practice's range).
pub const RISKY_BREAK_LOOSE_RATIO: f64 = 2.0;
/// Torque at the end of an angle stage over the torque before it, where the book gives none (assumption).
pub const ANGLE_STAGE_TORQUE_RATIO: f64 = 2.5;
/// Allowed deviation of a tightening torque where the book gives none: the ±4 % of ISO 6789 (from memory).
pub const TORQUE_TOLERANCE_FRACTION: f64 = 0.04;

/// Thread engaged over its diameter where nothing is told (common practice, no single source: about one diameter in steel).
pub const ASSUMED_ENGAGEMENT_RATIO: f64 = 1.0;

/// How much longer the acts may take with a balanced kit than with the quickest stack of each (assumption: nobody spares five
/// sockets for half an hour, nor carries five for a minute).
pub const KIT_TIME_SLACK_FRACTION: f64 = 0.05;
