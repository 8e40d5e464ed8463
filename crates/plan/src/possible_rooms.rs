//! Possible rooms: for each likely duty, which of its stacks holds in which of the rooms that the figures in doubt allow.
//!
//! **Question.** Nothing at hand is proven for a duty. Which stacks are worth having with one all the same, and how many of the
//! rooms that may be found do they serve?
//!
//! **Method.** The figures in doubt allow corners ([`BookReading::all_corners`]): wide or narrow, deep or shallow, free or cramped, head, stud and
//! torque at either end; those that come to the same for the access count once. Each is asked for its stacks as if it were
//! told. A stack is left out only where another of its pieces holds wherever it does: a longer one may be the only
//! one at the deep end.
//!
//! **Range.** Corners are counted, they are no chances: nobody has counted how often a room is deep. At most 64 a duty, a bit
//! each. Where a figure has neither value nor class, nothing is counted.
//!
//! **Worked example.** A bolt 20 to 60 mm deep in a way 30 mm wide: a 40 mm socket serves the shallow rooms, with an
//! extension the deep ones too, where the headroom lets it. Two of two rooms, and the extension is worth carrying.

use std::collections::BTreeMap;

use model::{Book, BookReading, Duty, ReachVerdict, Stack, Store, WorkingStack};
use reach::{DutyReach, ReachOptions};

use crate::coverage::{JudgedReach, distinct_stacks, is_in_doubt};

/// The possible rooms of a duty, and which of them each of its workings holds in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DutyRooms {
    /// How many different ones there are.
    pub of: u32,
    /// For each working of the duty the rooms that it holds in, a bit each.
    pub held: Vec<u64>,
}

impl DutyRooms {
    /// In how many of the rooms a working holds.
    #[must_use]
    pub fn count_held(&self, working: usize) -> u32 {
        self.held.get(working).map_or(0, |held| held.count_ones())
    }
}

/// Counts the rooms of all likely duties that have a stack, and adds the stacks that serve some of them.
pub(crate) fn count_rooms(book: &Book, store: &Store, judged: &mut [JudgedReach], threads: u16) {
    let counted = |reach: &JudgedReach| {
        reach.verdict == ReachVerdict::Likely
            && !reach.reach.workings.is_empty()
            && is_in_doubt(book, reach.reach.duty)
    };
    let likely: Vec<usize> = (0..judged.len()).filter(|at| counted(&judged[*at])).collect();
    if likely.is_empty() {
        return;
    }
    let corners: Vec<Book> = BookReading::all_corners().into_iter().map(|r| book.at_reading(r)).collect();
    let rooms_of = |at: &usize| {
        let duty = judged[*at].reach.duty;
        Book::room_corners_of(&corners, duty.fixing, duty.access)
    };
    let rooms: Vec<Vec<usize>> = likely.iter().map(rooms_of).collect();
    let mut asked: BTreeMap<usize, Vec<Duty>> = BTreeMap::new();
    for (at, rooms) in likely.iter().zip(&rooms).filter(|(_, rooms)| rooms.len() > 1) {
        rooms.iter().for_each(|room| asked.entry(*room).or_default().push(judged[*at].reach.duty));
    }
    let mut offered: BTreeMap<Duty, Vec<Stack>> = BTreeMap::new();
    for (corner, duties) in &asked {
        for found in reach::find_reach(&corners[*corner], store, duties, ReachOptions { threads }) {
            let stacks = found.workings.into_iter().map(|working| working.stack);
            offered.entry(found.duty).or_default().extend(stacks);
        }
    }
    for (at, rooms) in likely.into_iter().zip(rooms).filter(|(_, rooms)| rooms.len() > 1) {
        let found = &mut judged[at];
        let stacks = offered.get(&found.reach.duty).map_or(&[][..], Vec::as_slice);
        let books: Vec<&Book> = rooms.iter().map(|room| &corners[*room]).collect();
        let held = workings_in_rooms(book, store, &books, stacks, &found.reach);
        let (workings, held) = held.into_iter().unzip();
        found.reach.workings = workings;
        found.rooms = Some(DutyRooms { of: books.len() as u32, held });
    }
}

/// The workings, at the roomy reading, of all stacks, with the rooms that they hold in.
fn workings_in_rooms(
    book: &Book,
    store: &Store,
    rooms: &[&Book],
    offered: &[Stack],
    found: &DutyReach,
) -> Vec<(WorkingStack, u64)> {
    let mut held = Vec::new();
    for stack in distinct_stacks(found, offered) {
        let Some(working) = reach::work_with_stack(book, store, found.duty, stack) else { continue };
        let bit = |(at, room): (usize, &&Book)| {
            reach::work_with_stack(room, store, found.duty, stack).map_or(0, |_| 1_u64 << at)
        };
        held.push((working, rooms.iter().enumerate().map(bit).fold(0, |all, bit| all | bit)));
    }
    reach::drop_dominated_in_rooms(held)
}
