//! What the mechanic's hands do when, in open time, with the turning from one vehicle to another between.

use crate::hours::OpenTimeTable;

/// Work on one visit without a break.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct HandsBlock {
    from_s: u32,
    to_s: u32,
    visit: usize,
}

/// Work taken on so far; times are open time.
#[derive(Debug, Clone, Default)]
pub(crate) struct HandsTimeline {
    blocks: Vec<HandsBlock>,
    start_s: u32,
    start_visit: Option<usize>,
    switch_s: u32,
}

/// A piece of work that looks for its place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct HandsWork {
    pub visit: usize,
    pub work_s: u32,
    pub in_one_piece: bool,
    /// Only behind all that was taken on before.
    pub at_end: bool,
}

impl HandsTimeline {
    pub(crate) fn clear(&mut self, start_s: u32, start_visit: Option<usize>, switch_s: u32) {
        self.blocks.clear();
        (self.start_s, self.start_visit, self.switch_s) = (start_s, start_visit, switch_s);
    }

    fn switch_between(&self, one: Option<usize>, other: usize) -> u32 {
        if one.is_none_or(|v| v == other) { 0 } else { self.switch_s }
    }

    /// The first open time from `from_s` on at which the work fits, with the turning before and behind it.
    pub(crate) fn find_place(&self, shop: &OpenTimeTable, from_s: u32, work: &HandsWork) -> u32 {
        let reach_s = from_s.saturating_sub(self.switch_s);
        let first =
            if work.at_end { self.blocks.len() } else { self.blocks.partition_point(|b| b.to_s < reach_s) };
        let mut at = first;
        loop {
            let (free_s, visit) = match at.checked_sub(1) {
                Some(before) => (self.blocks[before].to_s, Some(self.blocks[before].visit)),
                None => (self.start_s, self.start_visit),
            };
            let mut start_s = from_s.max(free_s + self.switch_between(visit, work.visit));
            if work.in_one_piece {
                start_s = shop.fit_in_one_piece(start_s, work.work_s);
            }
            let Some(next) = self.blocks.get(at) else { return start_s };
            if start_s + work.work_s + self.switch_between(Some(work.visit), next.visit) <= next.from_s {
                return start_s;
            }
            at += 1;
        }
    }

    pub(crate) fn take(&mut self, start_s: u32, work: &HandsWork) {
        let (end_s, visit) = (start_s + work.work_s, work.visit);
        let at = self.blocks.partition_point(|b| b.to_s <= start_s);
        let joins_next = self.blocks.get(at).is_some_and(|b| b.visit == visit && b.from_s == end_s);
        let joins_last = at > 0 && self.blocks[at - 1].visit == visit && self.blocks[at - 1].to_s == start_s;
        match (joins_last, joins_next) {
            (true, true) => {
                self.blocks[at - 1].to_s = self.blocks[at].to_s;
                self.blocks.remove(at);
            }
            (true, false) => self.blocks[at - 1].to_s = end_s,
            (false, true) => self.blocks[at].from_s = start_s,
            (false, false) => self.blocks.insert(at, HandsBlock { from_s: start_s, to_s: end_s, visit }),
        }
    }
}
