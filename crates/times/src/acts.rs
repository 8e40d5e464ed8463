//! What each act takes, and on whose word: the only place for a constant of time.
//!
//! The rules by which reach and judge add these up, each by its own code, are below; `docs/times.md` shows every constant with its share of the
//! demo plans, made by `crates/app/tests/times.rs`.
//!
//! # One fastener
//!
//! With `slow` = [`FELT_FACTOR`] where the head is felt only, else 1; `β` = [`BENT_FACTOR`] to the number of bends taken at more than 0°;
//! `turn(α)` the time to turn by `α`:
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
//! # Between steps
//!
//! From stack `a` to stack `b`: [`PICK_S`] for each piece of `b` not in `a`, [`PUT_S`] for each piece of `a` not in `b`.
//! Change of station: the new station's entering time. Change of part: [`ATTENTION_S`].

// symbol: name = a constant, in the unit of its row
// symbol: shares = of a sum, plain

/// Where a constant comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeOrigin {
    /// A source, by its number in `SOURCES.md`, and what it says.
    Source(&'static str),
    /// Nobody measured it: it is assumed until visits tell better.
    Assumed,
}

impl TimeOrigin {
    /// Standard deviation of the logarithm of what the constant should have been (assumption: a published figure lies within a quarter in
    /// two cases of three, an assumed one within a factor of 1.65).
    #[must_use]
    pub const fn doubt_ratio(self) -> f64 {
        match self {
            Self::Source(_) => 0.25,
            Self::Assumed => 0.5,
        }
    }

    /// `assumed`, or the source.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Source(words) => words,
            Self::Assumed => "assumed",
        }
    }
}

/// What a constant enters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeUse {
    /// The hands-on time of a plan.
    Plan,
    /// The hands-on time of a plan, where the book does not tell the time itself.
    Untold,
    /// Not the plan's sum: what weighs the way in, the order or the cart, what happens off the plan, and the calendar between vehicles.
    Beside,
}

/// A constant of the time model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeConstant {
    /// Its name in the code.
    pub name: &'static str,
    // symbol: value = in the unit beside it
    /// Its value, in its unit.
    pub value: f64,
    /// `s`, `°`, `turns`, or nothing for a plain number.
    pub unit: &'static str,
    /// What it enters.
    pub enters: TimeUse,
    /// On whose word.
    pub origin: TimeOrigin,
    /// What it is.
    pub words: &'static str,
}

/// Writes each constant, its number and its row of the table from one line.
macro_rules! time_constants {
    ($($key:ident $name:ident = $value:literal $unit:literal, $enters:ident, $origin:expr, $words:literal;)+) => {
        $(#[doc = $words] pub const $name: f64 = $value;)+

        /// The constants by name.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum TimeKey { $(#[doc = $words] $key,)+ }

        impl TimeKey {
            /// All of them, in the order of [`TIME_CONSTANTS`].
            pub const ALL: [Self; TIME_CONSTANTS.len()] = [$(Self::$key,)+];
        }

        /// Every constant, once.
        pub const TIME_CONSTANTS: &[TimeConstant] = &[$(TimeConstant {
            name: stringify!($name),
            value: $name,
            unit: $unit,
            enters: TimeUse::$enters,
            origin: $origin,
            words: $words,
        },)+];
    };
}

const FETCH: TimeOrigin = TimeOrigin::Source("S17: fetch 4 s");
const SET_ASIDE: TimeOrigin = TimeOrigin::Source("S17: set aside 1.4 s");
const LIFT_AND_LAY: TimeOrigin = TimeOrigin::Source("S17: lift off 2.4 s and set aside 1.4 s");
const UNCLIP: TimeOrigin = TimeOrigin::Source("S17: unclip 3.6 s");
const CREEP_PRACTICE: TimeOrigin =
    TimeOrigin::Source("common practice, no single source: ten minutes to overnight");
const ASSUMED: TimeOrigin = TimeOrigin::Assumed;

time_constants! {
    Apply APPLY_S = 2.5 "s", Plan, ASSUMED, "putting the tool on the fastener";
    FeltFactor FELT_FACTOR = 1.6 "", Plan, ASSUMED, "how much slower where the head is felt only";
    BentFactor BENT_FACTOR = 1.25 "", Plan, ASSUMED, "how much slower turning is for each bend";
    Stroke STROKE_S = 0.9 "s", Plan, ASSUMED, "one stroke of a swung handle, there and back";
    Reapply REAPPLY_S = 1.8 "s", Plan, ASSUMED, "putting a bar on again for the next stroke";
    InlineStrokeAngle INLINE_STROKE_DEG = 90.0 "°", Plan, ASSUMED, "one turn of the wrist";
    InlineStroke INLINE_STROKE_S = 0.5 "s", Plan, ASSUMED, "time of one turn of the wrist";
    PowerStart POWER_START_S = 0.6 "s", Plan, ASSUMED, "starting a power driver";
    PowerSpeed POWER_SPEED_FRACTION = 0.7 "", Plan, ASSUMED, "share of its unloaded speed that a power driver keeps";
    Squeeze SQUEEZE_S = 3.6 "s", Plan, UNCLIP, "squeezing a clamp or lifting a clip";
    FreeTurn FREE_TURN_DEG = 45.0 "°", Plan, ASSUMED, "turn that breaks a fastener loose";
    TightenTurn TIGHTEN_TURN_DEG = 60.0 "°", Plan, ASSUMED, "turn of a torque stage";
    Take TAKE_S = 3.8 "s", Plan, LIFT_AND_LAY, "lifting off a loose fastener and laying it in its slot";
    HandStart HAND_START_S = 5.0 "s", Plan, ASSUMED, "starting a fastener by hand";
    HandTurns HAND_TURNS = 1.5 "turns", Plan, ASSUMED, "turns made by the fingers when starting";
    Read READ_S = 1.5 "s", Plan, ASSUMED, "reading or waiting for the click of a torque tool";
    Hand HAND_S = 3.6 "s", Plan, UNCLIP, "undoing or doing up by bare hand";
    HandTurn HAND_TURN_S = 1.0 "s", Plan, ASSUMED, "one turn by bare hand";
    Steady STEADY_S = 1.0 "s", Plan, ASSUMED, "steadying one joint or adapter of a stack while it turns";
    Hold HOLD_S = 3.0 "s", Plan, ASSUMED, "setting a counter-hold";
    Pick PICK_S = 4.0 "s", Plan, FETCH, "fetching a piece and joining it";
    Put PUT_S = 1.4 "s", Plan, SET_ASIDE, "taking a piece off and setting it aside";
    Attention ATTENTION_S = 3.0 "s", Plan, ASSUMED, "turning to another part";
    Cap CAP_S = 6.0 "s", Plan, ASSUMED, "capping or uncapping one opening";
    Lift ASSUMED_LIFT_S = 30.0 "s", Untold, ASSUMED, "lifting a part off, where the book does not tell";
    Place ASSUMED_PLACE_S = 45.0 "s", Untold, ASSUMED, "setting a part in place, where the book does not tell";
    Enter ASSUMED_ENTER_S = 60.0 "s", Untold, ASSUMED, "getting into a working position, where the book does not tell";
    Work ASSUMED_WORK_S = 600.0 "s", Untold, ASSUMED, "a task's own work, where the book does not tell";
    Way ASSUMED_WAY_S = 60.0 "s", Untold, ASSUMED, "changing a setting of the vehicle, where the book does not tell";
    MovePrice MOVE_PRICE_S = 60.0 "s", Beside, ASSUMED, "price of a move of place or lift in the order, beside the seconds that it takes: nobody walks for less than a minute's gain";
    Turn TURN_S = 2.0 "s", Beside, ASSUMED, "one turn of a fastener with whatever tool, where the way in is weighed: between a ratchet in free space and a spanner in a corner";
    Walk WALK_S = 12.0 "s", Beside, ASSUMED, "a walk to a cabinet, there and back with the drawers opened: five metres each way, and a few seconds to find the drawer";
    Penetrant PENETRANT_S = 60.0 "s", Beside, ASSUMED, "spraying penetrant on a fastener";
    Creep CREEP_S = 900.0 "s", Beside, CREEP_PRACTICE, "letting it creep";
    Shock SHOCK_S = 300.0 "s", Beside, ASSUMED, "shocking and heating one seized fastener";
    GripOut GRIP_OUT_S = 600.0 "s", Beside, ASSUMED, "gripping one rounded head from outside or extracting it";
    BreakOut BREAK_OUT_S = 1800.0 "s", Beside, ASSUMED, "getting out one fastener that does not come, where it goes well";
    Chase CHASE_S = 180.0 "s", Beside, ASSUMED, "chasing one thread and blowing the hole out";
    Insert INSERT_S = 1500.0 "s", Beside, ASSUMED, "drilling, tapping and setting one thread insert";
    UnknownPart UNKNOWN_PART_S = 300.0 "s", Beside, ASSUMED, "taking off or putting back something that the book does not know";
    Order ORDER_S = 600.0 "s", Beside, ASSUMED, "finding out which part is right and ordering it";
    Search SEARCH_S = 180.0 "s", Beside, ASSUMED, "looking for a fastener that is lost";
    SearchFallen SEARCH_FALLEN_S = 600.0 "s", Beside, ASSUMED, "looking for what fell into the engine";
    Replace REPLACE_S = 120.0 "s", Beside, ASSUMED, "finding a new fastener of the right size and class";
    LookAt LOOK_AT_S = 180.0 "s", Beside, ASSUMED, "looking at a thread, or at something unlike the book";
    LookAgain LOOK_AGAIN_S = 60.0 "s", Beside, ASSUMED, "looking again at the last closed steps";
    RoomLook ROOM_LOOK_S = 15.0 "s", Beside, ASSUMED, "a look at the room round a fastener";
    FigureLook FIGURE_LOOK_S = 120.0 "s", Beside, ASSUMED, "looking up one figure in the service data";
    Switch SWITCH_S = 360.0 "s", Beside, ASSUMED, "turning from one vehicle to another";
    Roll ROLL_S = 900.0 "s", Beside, ASSUMED, "rolling a vehicle off the lift, or back on";
}

/// The constants as figures that may be changed, to see what hangs on each.
#[derive(Debug, Clone, PartialEq)]
pub struct TimeFigures([f64; TIME_CONSTANTS.len()]);

impl TimeFigures {
    /// Those that plans are made with.
    #[must_use]
    pub fn as_planned() -> Self {
        Self(core::array::from_fn(|at| TIME_CONSTANTS[at].value))
    }

    // symbol: value = in the constant's own unit
    /// The same with another value of one.
    #[must_use]
    pub fn with_value(mut self, key: TimeKey, value: f64) -> Self {
        self.0[key as usize] = value;
        self
    }

    /// One, in its unit.
    #[must_use]
    pub const fn value(&self, key: TimeKey) -> f64 {
        self.0[key as usize]
    }
}

/// How far the constants' own doubts, each apart from the others, move a sum: `√Σ (share·doubt)²`, as a standard deviation of its logarithm.
#[must_use]
pub fn doubt_of_sum_ratio(shares: &[(TimeOrigin, f64)]) -> f64 {
    shares.iter().map(|(origin, share)| (share * origin.doubt_ratio()).powi(2)).sum::<f64>().sqrt()
}
