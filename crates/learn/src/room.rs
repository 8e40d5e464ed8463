//! How much room is round a fixing, from stacks that went in and stacks that did not.
//!
//! **Rule.** A stack that worked is no wider than the clear width and no longer than the headroom: each of its sizes is a lower end. One that did not for want of room
//! is larger in one of them. Where that one was told, or where all its other sizes are known to fit, its size there is an upper end; otherwise *either* is kept as it is, because
//! an upper end for both could exclude the truth. A failure that an upper end explains already says nothing more and is left out.
//!
//! A lower end at or above an upper end is a contradiction: something was in the way on one visit and not on the other, or a size is wrong. It is told with both
//! visits, and the ends are given as found.
//!
//! Failures for other reasons than room (too weak, rounded, no grip) are not to be handed over.

use crate::visits::HistoryFault;

/// A size of the room round a fixing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RoomQuantity {
    /// Clear width along the corridor.
    ClearWidth,
    /// Room above the head, hand included.
    Headroom,
}

impl RoomQuantity {
    /// Both sizes.
    pub const BOTH: [Self; 2] = [Self::ClearWidth, Self::Headroom];

    const fn index(self) -> usize {
        match self {
            Self::ClearWidth => 0,
            Self::Headroom => 1,
        }
    }
}

/// What came of a stack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StackOutcome {
    /// It went in and turned the fastener.
    Worked,
    /// It found no room, in the size that was told or in one of them.
    NoRoom(Option<RoomQuantity>),
}

/// A stack that was tried on a fixing.
#[derive(Debug, Clone, PartialEq)]
pub struct StackTry {
    /// The visit.
    pub visit: String,
    /// The fixing.
    pub fixing: String,
    /// Largest width, mm.
    pub width_mm: f64,
    /// Length with the hand, mm.
    pub length_mm: f64,
    /// What came of it.
    pub outcome: StackOutcome,
}

impl StackTry {
    const fn size_mm(&self, quantity: RoomQuantity) -> f64 {
        match quantity {
            RoomQuantity::ClearWidth => self.width_mm,
            RoomQuantity::Headroom => self.length_mm,
        }
    }
}

/// An end of a size, and the visit that says so.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomEnd {
    /// The end, mm.
    pub size_mm: f64,
    /// The visit.
    pub visit: String,
    /// Visits that say so, or more.
    pub visits: usize,
}

/// A size of the room between what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedBounds {
    /// The size.
    pub quantity: RoomQuantity,
    /// At least this.
    pub at_least: Option<RoomEnd>,
    /// Less than this.
    pub less_than: Option<RoomEnd>,
    /// Whether the ends contradict each other.
    pub contradicted: bool,
}

/// The room round a fixing.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedRoom {
    /// The fixing.
    pub fixing: String,
    /// Clear width and headroom.
    pub bounds: [LearnedBounds; 2],
    /// Stacks without room of which it is not known in which size.
    pub either: Vec<StackTry>,
}

/// The room round each fixing on which stacks were tried, by name.
///
/// # Errors
/// When a size is no number above 0.
pub fn learn_room(tries: &[StackTry]) -> Result<Vec<LearnedRoom>, HistoryFault> {
    let is_size = |size_mm: f64| size_mm.is_finite() && size_mm > 0.0;
    if let Some(bad) = tries.iter().find(|each| !(is_size(each.width_mm) && is_size(each.length_mm))) {
        return Err(HistoryFault::SizeUnusable { visit: bad.visit.clone(), fixing: bad.fixing.clone() });
    }
    let mut fixings: Vec<&str> = tries.iter().map(|each| each.fixing.as_str()).collect();
    fixings.sort_unstable();
    fixings.dedup();
    let of_fixing = |name: &&str| {
        let own: Vec<&StackTry> = tries.iter().filter(|each| each.fixing == **name).collect();
        bound_room(name, &own)
    };
    Ok(fixings.iter().map(of_fixing).collect())
}

/// The room round one fixing.
fn bound_room(fixing: &str, tries: &[&StackTry]) -> LearnedRoom {
    let worked: Vec<&StackTry> =
        tries.iter().copied().filter(|each| each.outcome == StackOutcome::Worked).collect();
    let lows = RoomQuantity::BOTH.map(|quantity| end_of_sizes(&worked, quantity, f64::max));
    let fits = |each: &StackTry, quantity: RoomQuantity| {
        lows[quantity.index()].as_ref().is_some_and(|low| each.size_mm(quantity) <= low.size_mm)
    };
    let mut blamed: [Vec<&StackTry>; 2] = [Vec::new(), Vec::new()];
    let mut either: Vec<StackTry> = Vec::new();
    for each in tries {
        let StackOutcome::NoRoom(told) = each.outcome else { continue };
        let culprit = told.or(match RoomQuantity::BOTH.map(|quantity| fits(each, quantity)) {
            [true, false] => Some(RoomQuantity::Headroom),
            [false, true] => Some(RoomQuantity::ClearWidth),
            [true, true] | [false, false] => None,
        });
        match culprit {
            Some(quantity) => blamed[quantity.index()].push(each),
            None => either.push((*each).clone()),
        }
    }
    let highs =
        RoomQuantity::BOTH.map(|quantity| end_of_sizes(&blamed[quantity.index()], quantity, f64::min));
    let is_explained = |each: &StackTry, quantity: RoomQuantity| {
        highs[quantity.index()].as_ref().is_some_and(|high| each.size_mm(quantity) >= high.size_mm)
    };
    either.retain(|each| !RoomQuantity::BOTH.iter().any(|quantity| is_explained(each, *quantity)));
    let bounds = RoomQuantity::BOTH.map(|quantity| {
        let at_least = lows[quantity.index()].clone();
        let less_than = highs[quantity.index()].clone();
        // A stack that fits in both sizes and yet found no room contradicts whatever worked.
        let is_denied = either.iter().any(|each| RoomQuantity::BOTH.iter().all(|of| fits(each, *of)));
        let is_crossed =
            at_least.as_ref().zip(less_than.as_ref()).is_some_and(|(low, high)| low.size_mm >= high.size_mm);
        LearnedBounds { quantity, at_least, less_than, contradicted: is_crossed || is_denied }
    });
    LearnedRoom { fixing: fixing.to_owned(), bounds, either }
}

/// The largest or least of the sizes, with its visit and the number of visits that say as much.
fn end_of_sizes(tries: &[&StackTry], quantity: RoomQuantity, pick: fn(f64, f64) -> f64) -> Option<RoomEnd> {
    let size_mm = tries.iter().map(|each| each.size_mm(quantity)).reduce(pick)?;
    let mut visits: Vec<&str> = tries
        .iter()
        .filter(|each| each.size_mm(quantity) == size_mm)
        .map(|each| each.visit.as_str())
        .collect();
    visits.sort_unstable();
    visits.dedup();
    Some(RoomEnd { size_mm, visit: visits.first().map(ToString::to_string)?, visits: visits.len() })
}
