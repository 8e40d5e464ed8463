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
//! Per fastener, with `slow` = [`FELT_FACTOR`] where the head is felt only, else 1; `β` = [`BENT_FACTOR`] to the number
//! of bends taken at more than 0°; `turn(α)` the time to turn by `α`:
//!
//! * swung: `⌈α/stroke⌉` strokes of [`STROKE_S`], and for bars [`REAPPLY_S`] more for each stroke after the first;
//! * in line: `⌈α/INLINE_STROKE_DEG⌉` strokes of [`INLINE_STROKE_S`];
//! * power: [`POWER_START_S`] + α at [`POWER_SPEED_FRACTION`] of its speed; squeeze: [`SQUEEZE_S`].
//!
//! | act | time |
//! |---|---|
//! | free | `slow·APPLY_S + β·turn(FREE_TURN_DEG)` |
//! | run out | `slow·APPLY_S + β·turn(360°·turns) + TAKE_S` |
//! | run in | `slow·(HAND_START_S + APPLY_S) + β·turn(360°·max(turns − HAND_TURNS, ½))` |
//! | tighten | `slow·APPLY_S + β·turn(TIGHTEN_TURN_DEG, or the stage's angle) + READ_S` |
//!
//! With a tool, each piece of the working side that wobbles adds [`STEADY_S`]: one that bends, and one whose links differ (an
//! adapter). So of two stacks that do the same the one with one drive through and without a joint comes first.
//!
//! By bare hand: `slow·HAND_S` for *free* and *run in*, plus [`HAND_TURN_S`] a turn where there is a thread. A counter-hold
//! adds [`HOLD_S`]. The time of a duty is that of one fastener times its holes; the *cost* of a stack adds
//! [`PICK_S`] for each piece (counter-hold's included).
//!
//! A stack is **dominated** when another feasible stack of the same duty is made of a part, or all, of its pieces
//! (as a multiset, counter-hold's included) and costs no more; of two made of the same pieces the cheaper stays, then
//! the one whose piece ids come first.
//!
//! # Set-ups between steps
//!
//! From stack `a` to stack `b`: [`PICK_S`] for each piece of `b` not in `a`, [`PUT_S`] for each piece of `a` not in `b`.
//! Change of station: the new station's entering time. Change of part: [`ATTENTION_S`].
//!
//! # Sources
//!
//! Fetch, lift-off and set-aside times: a published design-for-service time base (fetch 4 s, lift off 2.4 s, set aside
//! 1.4 s). Usable range of torque tools: ISO 6789-1. Twelve- and six-point index angles: geometry. The others are
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
/// Lifting a part off where nothing is told (assumption).
pub const ASSUMED_LIFT_S: f64 = 30.0;
/// Setting a part in place where nothing is told (assumption).
pub const ASSUMED_PLACE_S: f64 = 45.0;
/// Getting into a working position where nothing is told (assumption).
pub const ASSUMED_ENTER_S: f64 = 60.0;
/// A task's own work where nothing is told (assumption).
pub const ASSUMED_WORK_S: f64 = 600.0;

/// Changing a setting of the vehicle where nothing is told (assumption).
pub const ASSUMED_WAY_S: f64 = 60.0;
/// Price of a change of working position or of a move of the lift in the order of a plan, beside the seconds that it takes
/// (assumption: nobody walks for less than a minute's gain).
pub const MOVE_PRICE_S: f64 = 60.0;

/// Putting the tool on the fastener (assumption).
pub const APPLY_S: f64 = 2.5;
/// Slow-down where the head is felt only (assumption).
pub const FELT_FACTOR: f64 = 1.6;
/// Slow-down of turning for each bend (assumption).
pub const BENT_FACTOR: f64 = 1.25;
/// One stroke of a swung handle, there and back (assumption).
pub const STROKE_S: f64 = 0.9;
/// Putting a bar on again for the next stroke (assumption).
pub const REAPPLY_S: f64 = 1.8;
/// One turn of the wrist (assumption).
pub const INLINE_STROKE_DEG: f64 = 90.0;
/// Time of one turn of the wrist (assumption).
pub const INLINE_STROKE_S: f64 = 0.5;
/// Starting a power driver (assumption).
pub const POWER_START_S: f64 = 0.6;
/// Share of its unloaded speed that a power driver keeps (assumption).
pub const POWER_SPEED_FRACTION: f64 = 0.7;
/// Squeezing a clamp or lifting a clip (unclip 3.6 s in the design-for-service time base).
pub const SQUEEZE_S: f64 = 3.6;
/// Turn that breaks a fastener loose (assumption).
pub const FREE_TURN_DEG: f64 = 45.0;
/// Turn of a torque stage (assumption).
pub const TIGHTEN_TURN_DEG: f64 = 60.0;
/// Lifting off a loose fastener and laying it in its slot (2.4 s + 1.4 s in the same time base).
pub const TAKE_S: f64 = 3.8;
/// Starting a fastener by hand (assumption).
pub const HAND_START_S: f64 = 5.0;
/// Turns made by the fingers when starting (assumption).
pub const HAND_TURNS: f64 = 1.5;
/// Reading or waiting for the click of a torque tool (assumption).
pub const READ_S: f64 = 1.5;
/// Undoing or doing up by bare hand (unclip 3.6 s in the same time base).
pub const HAND_S: f64 = 3.6;
/// One turn by bare hand (assumption).
pub const HAND_TURN_S: f64 = 1.0;
/// Steadying one joint or adapter of a stack while it turns (assumption: the other hand has to guide it).
pub const STEADY_S: f64 = 1.0;
/// Setting a counter-hold (assumption).
pub const HOLD_S: f64 = 3.0;
/// Fetching a piece and joining it (fetch 4 s in the design-for-service time base).
pub const PICK_S: f64 = 4.0;
/// Taking a piece off and setting it aside (1.4 s in the same time base).
pub const PUT_S: f64 = 1.4;
/// How much longer the acts may take with a balanced kit than with the quickest stack of each (assumption: nobody spares five
/// sockets for half an hour, nor carries five for a minute).
pub const KIT_TIME_SLACK_FRACTION: f64 = 0.05;
/// Turning to another part (assumption).
pub const ATTENTION_S: f64 = 3.0;
/// Capping or uncapping one opening (assumption).
pub const CAP_S: f64 = 6.0;
