//! The question as plain data: hours, holders, visits with their work still to do, and what cannot be asked.

use crate::hours::WeekHours;
use times::{FinishedItem, LearnedFactor};

/// Maximum number of open visits.
pub const MAX_OPEN_VISITS: usize = 12;
/// Maximum number of items of all visits together.
pub const MAX_BENCH_ITEMS: usize = 4_000;
/// Maximum weight of a visit.
pub const MAX_VISIT_WEIGHT: u32 = 1_000;
/// Maximum number of holders, and of one holder.
pub const MAX_HOLDERS: usize = 1_000;
/// Longest single time of an item or a wait, s.
pub const MAX_ITEM_S: u32 = 60 * 86_400;

/// Everything that the calendar is made from. Times are whole seconds from midnight of the first day, by the wall clock; work is time on
/// the bench with interruptions in it.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchQuestion {
    /// Shop hours.
    pub hours: WeekHours,
    /// Hours of the second pair of hands, if there is one; only within shop hours.
    pub helper_hours: Option<WeekHours>,
    /// Now.
    pub now_s: u32,
    /// The mechanic's time to turn from one vehicle to another.
    pub switch_s: u32,
    /// The visit that the mechanic stands at.
    pub at_visit: Option<usize>,
    /// What there is once or a few times: lift, trestles, a torque wrench that stays on.
    pub holders: Vec<BenchHolder>,
    /// Open visits.
    pub visits: Vec<OpenVisit>,
    /// What is known of how the mechanic's times compare with the estimates.
    pub factor: LearnedFactor,
}

/// Something that one vehicle has at a time, or as many as there are of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchHolder {
    /// Its name: "lift", "pair of trestles", "flywheel lock".
    pub name: String,
    /// How many there are.
    pub count: u32,
    /// Whether it is free once the vehicle is rolled away.
    pub kind: HolderKind,
}

/// Whether a holder stays behind when a vehicle is rolled away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HolderKind {
    /// The vehicle stands on it or in it, and frees it by being rolled away: the lift.
    Place,
    /// It stays on the vehicle until its work is done: a lock, a pin, a beam.
    StaysOn,
}

/// A vehicle that is here.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenVisit {
    /// The letter on its trays and labels.
    pub letter: char,
    /// What it is called.
    pub name: String,
    /// The date it is promised for.
    pub promise_s: Option<u32>,
    /// How much a second late counts; 1 for an ordinary visit, at most [`MAX_VISIT_WEIGHT`].
    pub weight: u32,
    /// Whether it goes before the others: its lateness then counts from now, whatever it is promised for.
    pub is_first: bool,
    /// Work still to do.
    pub items: Vec<BenchItem>,
    /// What goes before what.
    pub links: Vec<ItemLink>,
    /// What it holds over stretches of work.
    pub stretches: Vec<HeldStretch>,
    /// Work of rolling it off what it holds and back on; `None` where it cannot be moved.
    pub roll: Option<RollWork>,
    /// Items done in this visit.
    pub finished: Vec<FinishedItem>,
}

/// A piece of work still to do.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchItem {
    /// What it is, in words.
    pub name: String,
    /// Key of the station or place.
    pub place: String,
    /// Estimated time.
    pub expected_s: u32,
    /// Standard deviation of the logarithm of its time, apart from what all items of the mechanic share.
    pub spread_ratio: f64,
    /// Whose hands.
    pub hands: ItemHands,
    /// Whether it may be set aside at closing time.
    pub pace: ItemPace,
    /// A part that it needs and when that is here.
    pub part: Option<PartDate>,
    /// It has to be begun by then, as where sealant was put on before now.
    pub start_by_s: Option<u32>,
}

/// Whose hands a piece of work needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemHands {
    /// Nobody's here: it goes on by itself or elsewhere, by the wall clock.
    None,
    /// The mechanic's.
    One,
    /// The mechanic's and a second pair.
    Two,
}

/// Whether a piece of work may be set aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemPace {
    /// It may be set aside at closing time and taken up again.
    MayStop,
    /// It is a moment not to stop: begun only where it ends before closing.
    OnePiece,
}

/// A part that has still to come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartDate {
    /// Its name.
    pub part: String,
    /// When it is here.
    pub at_s: u32,
}

/// One item after another of the same visit, by their places in the list of items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemLink {
    /// The item that ends.
    pub from: usize,
    /// The item that waits for it.
    pub to: usize,
    /// The wait between, hands free, by the wall clock; 0 for a plain precedence.
    pub wait_s: u32,
    /// The longest time between, by the wall clock.
    pub most_s: Option<u32>,
    /// What is waited for: "coolant cools".
    pub words: String,
}

/// What a visit holds from the start of one item to the end of another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldStretch {
    /// Place in the list of holders.
    pub holder: usize,
    /// How many.
    pub amount: u32,
    /// The item with which it is taken; `None` if the visit has it now.
    pub from: Option<usize>,
    /// The item after which it is free.
    pub to: usize,
}

/// The work of rolling a vehicle off and back on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RollWork {
    /// Off.
    pub off_s: u32,
    /// Back on.
    pub on_s: u32,
}

/// Why there is no such calendar; the words say what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CalendarFault {
    /// More visits or items than are counted.
    TooMany(String),
    /// Hours that cannot be.
    Hours(String),
    /// An item that can never be done as it is asked.
    NeverFits(String),
    /// A link, a holder or a visit that is not there.
    NoSuch(String),
    /// A letter, promise or figure that does not do.
    Figure(String),
    /// Items that wait for each other in a circle.
    Circle(String),
}

impl core::fmt::Display for CalendarFault {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::TooMany(words)
            | Self::Hours(words)
            | Self::NeverFits(words)
            | Self::NoSuch(words)
            | Self::Figure(words)
            | Self::Circle(words) => f.write_str(words),
        }
    }
}

impl core::error::Error for CalendarFault {}
