//! What a beginning of an order leaves to the rest: which sets of tools could still be on the cart.
//!
//! # Question
//! Two beginnings hold the same jobs in another order. Is one of them as good as the other, whatever comes after?
//!
//! # Method
//! After a beginning, tools wait by the position of their last use. Keeping a tool takes a place at every later position, so a
//! set `K` can be kept when, for every position `k`, no more tools of `K` were used last before `k` than `k` has places to
//! spare. The sets `F_k` (used last before `k`) are nested and each has its cap, which makes the keepable sets a nested
//! matroid with rank
//!
//! ```text
//! r(X) = min over k of cap_k + |X \ F_k|        (F, cap = nothing, 0 is one of them; X within the tools that can be kept)
//! ```
//!
//! Where beginning A costs `a` and B costs `b` loads, the rest can lose at most
//! `d = max over k of r_B(F_k ∪ dead_A) − cap_k` more with A than with B; so A makes B needless when `a + d ≤ b`.
//! Tools that no later job needs are left out of all sets.
//!
//! # Sources
//! Rank of a nested (laminar) matroid: J. Oxley, "Matroid theory", 2nd ed., Oxford 2011 (from memory); the use here is ours and
//! is compared with trying all orders in the tests.

use crate::set::ToolBits;

/// Tools waiting, oldest use first, with the cap on each beginning of the list; the last bucket has none.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct KeepableTools<const W: usize> {
    /// Tools used last within one stretch of positions, and the cap on these and all before.
    buckets: Vec<(ToolBits<W>, u32)>,
    /// Tools of the last job: all can be kept to the next.
    last: ToolBits<W>,
    /// Places to spare at the last job.
    spare: u32,
}

impl<const W: usize> KeepableTools<W> {
    /// Before the first job.
    pub(crate) fn empty() -> Self {
        Self { buckets: Vec::new(), last: ToolBits::EMPTY, spare: 0 }
    }

    /// The chain after one more job, and the tools put on for it; `later` are the tools that the rest needs.
    pub(crate) fn with_job(&self, tools: ToolBits<W>, places: u32, later: ToolBits<W>) -> (Self, u32) {
        let beside = tools.and(self.last).count();
        let (mut buckets, kept) = self.take_tools(tools);
        let old = self.last.and_not(tools);
        let all = buckets.iter().fold(old, |a, b| a.or(b.0));
        let cap = if old.is_empty() { buckets.last().map_or(0, |b| b.1) } else { all.count() };
        buckets.push((old, cap));
        let spare = places - tools.count();
        let next = Self { buckets, last: tools.and(later), spare };
        (next.tidied_for(later), tools.count() - beside - kept)
    }

    /// Takes as many of the tools out of the buckets as the caps allow, nearest first.
    fn take_tools(&self, tools: ToolBits<W>) -> (Vec<(ToolBits<W>, u32)>, u32) {
        let mut buckets = self.buckets.clone();
        let mut taken = vec![0; buckets.len()];
        let mut room = u32::MAX;
        for (at, bucket) in buckets.iter_mut().enumerate().rev() {
            room = room.min(bucket.1);
            taken[at] = bucket.0.and(tools).count().min(room);
            room -= taken[at];
            bucket.0 = bucket.0.and_not(tools);
        }
        let mut passing = 0;
        for (bucket, taken) in buckets.iter_mut().zip(&taken) {
            passing += taken;
            bucket.1 -= passing;
        }
        (buckets, passing)
    }

    /// Only tools that are needed again, and only caps that bind.
    fn tidied_for(mut self, later: ToolBits<W>) -> Self {
        if let Some(top) = self.buckets.last_mut() {
            top.1 = top.1.min(self.spare);
        }
        let mut cap = u32::MAX;
        for bucket in self.buckets.iter_mut().rev() {
            cap = cap.min(bucket.1);
            *bucket = (bucket.0.and(later), cap);
        }
        let mut kept: Vec<(ToolBits<W>, u32)> = Vec::with_capacity(self.buckets.len());
        let mut carried = ToolBits::EMPTY;
        let mut most = 0;
        for (at, (tools, cap)) in self.buckets.iter().enumerate() {
            carried = carried.or(*tools);
            let next = self.buckets.get(at + 1).map_or(u32::MAX, |b| b.1);
            let can = (most + carried.count()).min(*cap);
            if *cap == 0 {
                carried = ToolBits::EMPTY;
            } else if next > can && !carried.is_empty() {
                kept.push((carried, can));
                (most, carried) = (can, ToolBits::EMPTY);
            }
        }
        self.buckets = kept;
        self
    }

    /// Maximum number of tools of a set that can be kept.
    pub(crate) fn keepable_count(&self, tools: ToolBits<W>) -> u32 {
        let mut rank = 0;
        for (bucket, cap) in &self.buckets {
            rank = (rank + bucket.and(tools).count()).min(*cap);
        }
        rank + self.last.and(tools).count()
    }

    /// Loads that the rest may need more after this beginning than after the other.
    pub(crate) fn loss_against(&self, other: &Self) -> u32 {
        let all = self.buckets.iter().fold(self.last, |a, b| a.or(b.0));
        let theirs = other.buckets.iter().fold(other.last, |a, b| a.or(b.0));
        let mut tools = theirs.and_not(all);
        let mut loss = other.keepable_count(tools);
        for (bucket, cap) in &self.buckets {
            tools = tools.or(*bucket);
            loss = loss.max(other.keepable_count(tools).saturating_sub(*cap));
        }
        loss
    }
}
