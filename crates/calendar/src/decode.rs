//! From an order of the items to times: each in turn as early as its links, its part, the hands, the hours and the holders let it.
//!
//! Work of the hands is laid in open time, so that what may be set aside flows over closing time; a moment not to stop, and work of two pairs of
//! hands, waits for a span in which it ends. An item that takes a holder for a stretch has it for ever until the item that ends the stretch is laid; until then
//! others that want it are put off, in their order. A longest time that is not kept holds its early end back, and the list is laid again.
//!
//! Some order leads to a calendar that is best where no longest times are at stake: laid in the order of its starts, no item is later than there. Every order of few
//! items is therefore a proof. **With longest times it is a repair, as in `schedule`.**

use schedule::{ListRank, ListWeigher};

use crate::hands::{HandsTimeline, HandsWork};
use crate::hold::{FOR_EVER_S, HeldTimeline};
use crate::net::BenchNet;
use crate::visits::ItemHands;

/// How often a list is laid again to keep its longest times (assumption).
const MAX_HOLD_BACKS: usize = 12;
/// Added to the excess for each item that can never be laid, s: more than any excess of longest times.
const NEVER_S: u64 = 1 << 40;
/// An item that was not laid.
pub(crate) const UNPLACED_S: u32 = u32::MAX;

/// Whether items may be laid before those laid earlier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DecodeManner {
    /// Into any hole that is left.
    Fill,
    /// The hands keep to the order of the list.
    KeepOrder,
}

/// Room to lay lists of one net.
#[derive(Debug, Clone)]
pub(crate) struct BenchDecoder<'n> {
    net: &'n BenchNet,
    manner: DecodeManner,
    pub work_s: Vec<u32>,
    hands: HandsTimeline,
    held: Vec<HeldTimeline>,
    /// Not before, longest times kept included.
    release_s: Vec<u32>,
    pub start_s: Vec<u32>,
    pub end_s: Vec<u32>,
    put_off: Vec<usize>,
}

impl<'n> BenchDecoder<'n> {
    pub(crate) fn new(net: &'n BenchNet, manner: DecodeManner) -> Self {
        let count = net.len();
        Self {
            net,
            manner,
            work_s: net.work_s.clone(),
            hands: HandsTimeline::default(),
            held: vec![HeldTimeline::default(); net.holder_count.len()],
            release_s: net.release_s.clone(),
            start_s: vec![UNPLACED_S; count],
            end_s: vec![UNPLACED_S; count],
            put_off: Vec::new(),
        }
    }

    /// Lays a list; the rank is: longest times not kept, weighted lateness, sum of finishes from now, sum of starts.
    pub(crate) fn lay_list(&mut self, list: &[usize]) -> ListRank {
        self.release_s.copy_from_slice(&self.net.release_s);
        self.lay_once(list);
        let mut rank = self.rank();
        if self.net.gaps.is_empty() || rank.0[0] == 0 || rank.0[0] >= NEVER_S {
            return rank;
        }
        let mut best = (rank, self.start_s.clone(), self.end_s.clone());
        for _ in 0..MAX_HOLD_BACKS {
            self.hold_back();
            self.lay_once(list);
            rank = self.rank();
            if rank < best.0 {
                best = (rank, self.start_s.clone(), self.end_s.clone());
            }
            if rank.0[0] == 0 || rank.0[0] >= NEVER_S {
                break;
            }
        }
        (rank, self.start_s, self.end_s) = best;
        rank
    }

    fn hold_back(&mut self) {
        for gap in &self.net.gaps {
            let latest_s = self.end_s[gap.from].saturating_add(gap.most_s);
            let over_s = self.start_s[gap.to].saturating_sub(latest_s);
            if over_s > 0 {
                let held_s = self.start_s[gap.from].saturating_add(over_s);
                self.release_s[gap.from] = self.release_s[gap.from].max(held_s);
            }
        }
    }

    fn lay_once(&mut self, list: &[usize]) {
        let net = self.net;
        self.hands.clear(net.shop.open_before(net.now_s), net.at_visit, net.switch_s);
        self.held.iter_mut().for_each(HeldTimeline::clear);
        for stretch in net.stretches.iter().filter(|s| s.from.is_none()) {
            self.held[stretch.holder].take((0, FOR_EVER_S), stretch.amount);
        }
        self.start_s.fill(UNPLACED_S);
        self.end_s.fill(UNPLACED_S);
        self.put_off.clear();
        for item in list.iter().copied() {
            if !self.lay_item(item) {
                self.put_off.push(item);
            } else if !self.net.ends[item].is_empty() && !self.put_off.is_empty() {
                self.lay_those_put_off();
            }
        }
        self.lay_those_put_off();
    }

    /// Lays what was put off, in its order, until nothing more can be laid.
    fn lay_those_put_off(&mut self) {
        let mut is_new = true;
        while is_new && !self.put_off.is_empty() {
            is_new = false;
            let waiting = core::mem::take(&mut self.put_off);
            for item in waiting {
                if self.lay_item(item) {
                    is_new = true;
                } else {
                    self.put_off.push(item);
                }
            }
        }
    }

    /// Lays an item; not before all that it waits for is laid, nor while what it takes is taken for ever.
    fn lay_item(&mut self, item: usize) -> bool {
        let net = self.net;
        let mut from_s = self.release_s[item];
        for near in &net.before[item] {
            let end_s = self.end_s[near.item];
            if end_s == UNPLACED_S {
                return false;
            }
            from_s = from_s.max(end_s.saturating_add(near.wait_s));
        }
        loop {
            let (start_s, end_s, open_s) = self.earliest_times(item, from_s);
            match self.check_holders(item, start_s, end_s) {
                Ok(()) => {
                    self.settle_item(item, start_s, end_s, open_s);
                    return true;
                }
                Err(Some(later_s)) => from_s = later_s,
                Err(None) => return false,
            }
        }
    }

    /// Start and end on the wall clock, and the start in open time.
    fn earliest_times(&self, item: usize, from_s: u32) -> (u32, u32, u32) {
        let (net, work_s) = (self.net, self.work_s[item]);
        if net.hands[item] == ItemHands::None || work_s == 0 {
            return (from_s, from_s.saturating_add(work_s), 0);
        }
        let mut work = self.hands_work(item);
        let mut from_open_s = net.shop.open_before(from_s);
        let helper = net.helper.as_ref().filter(|_| net.hands[item] == ItemHands::Two);
        work.in_one_piece |= helper.is_some() && work_s <= net.shop.longest_span_s();
        loop {
            let open_s = self.hands.find_place(&net.shop, from_open_s, &work);
            let start_s = net.shop.wall_start(open_s);
            let helped_s = helper.and_then(|h| h.fit_on_wall(start_s, work_s)).unwrap_or(start_s);
            if helped_s == start_s {
                return (start_s, net.shop.wall_end_of_work(open_s, work_s), open_s);
            }
            from_open_s = net.shop.open_before(helped_s);
        }
    }

    fn hands_work(&self, item: usize) -> HandsWork {
        let net = self.net;
        let work_s = self.work_s[item];
        HandsWork {
            visit: net.visit_of[item],
            work_s,
            // What takes longer than any span, as may be drawn by chance, is set aside after all.
            in_one_piece: net.in_one_piece[item] && work_s <= net.shop.longest_span_s(),
            at_end: self.manner == DecodeManner::KeepOrder,
        }
    }

    /// Whether all that an item takes is free while it needs it.
    fn check_holders(&self, item: usize, start_s: u32, end_s: u32) -> Result<(), Option<u32>> {
        for at in &self.net.begins[item] {
            let stretch = self.net.stretches[*at];
            let until_s = if stretch.to == item { end_s } else { FOR_EVER_S };
            let count = self.net.holder_count[stretch.holder];
            self.held[stretch.holder].check_room((start_s, until_s), stretch.amount, count)?;
        }
        Ok(())
    }

    fn settle_item(&mut self, item: usize, start_s: u32, end_s: u32, open_s: u32) {
        let net = self.net;
        (self.start_s[item], self.end_s[item]) = (start_s, end_s);
        if net.hands[item] != ItemHands::None && self.work_s[item] > 0 {
            self.hands.take(open_s, &self.hands_work(item));
        }
        for at in &net.begins[item] {
            let stretch = net.stretches[*at];
            let until_s = if stretch.to == item { end_s } else { FOR_EVER_S };
            self.held[stretch.holder].take((start_s, until_s), stretch.amount);
        }
        for at in &net.ends[item] {
            let stretch = net.stretches[*at];
            if stretch.from != Some(item) {
                self.held[stretch.holder].free_from(end_s, stretch.amount);
            }
        }
    }

    /// When a visit is finished; now, if nothing is to do.
    pub(crate) fn finish_of_visit(&self, visit: usize) -> u32 {
        self.net.items_of(visit).map(|i| self.end_s[i]).fold(self.net.now_s, u32::max)
    }

    fn rank(&self) -> ListRank {
        let net = self.net;
        let never = self.start_s.iter().filter(|s| **s == UNPLACED_S).count() as u64;
        if never > 0 {
            return ListRank([never * NEVER_S, u64::MAX, u64::MAX, u64::MAX]);
        }
        let over = |g: &crate::net::NetGap| {
            u64::from(self.start_s[g.to].saturating_sub(self.end_s[g.from].saturating_add(g.most_s)))
        };
        let (mut late, mut sum) = (0, 0);
        for visit in 0..net.weight.len() {
            let finish_s = self.finish_of_visit(visit);
            sum += u64::from(finish_s - net.now_s);
            late += u64::from(net.weight[visit]) * u64::from(lateness_s(finish_s, net.due_s[visit]));
        }
        let begun_late: u64 =
            net.start_by.iter().map(|(i, by_s)| u64::from(self.start_s[*i].saturating_sub(*by_s))).sum();
        let excess = net.gaps.iter().map(over).sum::<u64>() + begun_late;
        ListRank([excess, late, sum, self.start_s.iter().map(|s| u64::from(*s)).sum()])
    }
}

/// How late a finish is.
pub(crate) fn lateness_s(finish_s: u32, promise_s: Option<u32>) -> u32 {
    promise_s.map_or(0, |promise_s| finish_s.saturating_sub(promise_s))
}

impl ListWeigher for BenchDecoder<'_> {
    fn weigh_list(&mut self, list: &mut [usize], starts: &mut [u32]) -> ListRank {
        let rank = self.lay_list(list);
        starts.copy_from_slice(&self.start_s);
        // Stable: what takes no time stays on its side of what it waits for. What was never laid keeps the list as it is.
        if rank.0[0] < NEVER_S {
            list.sort_by_key(|i| starts[*i]);
        }
        rank
    }
}
