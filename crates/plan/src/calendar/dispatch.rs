//! The policy: whenever the mechanic is free, the first node of the list that may start.

use super::net::CalendarNet;
use super::{CalendarRequest, OpenTimeExceeded, ShopHours};
use crate::node_order::EMPTY_HAND;

/// Largest number of times that a start is delayed to keep a time limit (assumption).
const MAX_HOLDBACKS: usize = 64;
/// Rounding of the clock.
const CLOCK_ROUNDING_S: f64 = 1.0e-6;

/// One play of the policy; times in seconds from midnight of the first day, by the wall clock.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct DispatchRun {
    pub order: Vec<usize>,
    pub start_s: Vec<f64>,
    pub end_s: Vec<f64>,
    /// Time on the bench, interruptions included.
    pub bench_s: Vec<f64>,
    pub finish_s: f64,
}

/// Room to play the policy again and again.
pub(super) struct DispatchPolicy<'n> {
    net: &'n CalendarNet,
    shop: ShopHours,
    place: Vec<usize>,
    waits: Vec<usize>,
    ready_s: Vec<f64>,
    /// Nodes whose forerunners have all ended, the first of the list last.
    eligible: Vec<usize>,
    pub run: DispatchRun,
}

impl<'n> DispatchPolicy<'n> {
    pub(super) fn new(net: &'n CalendarNet, shop: ShopHours, list: &[usize]) -> Self {
        let count = net.len();
        let mut place = vec![0; count];
        list.iter().enumerate().for_each(|(at, node)| place[*node] = at);
        let zeros = vec![0.0; count];
        let run = DispatchRun {
            order: Vec::with_capacity(count),
            start_s: zeros.clone(),
            end_s: zeros.clone(),
            bench_s: zeros.clone(),
            finish_s: 0.0,
        };
        Self { net, shop, place, waits: vec![0; count], ready_s: zeros, eligible: Vec::new(), run }
    }

    /// Plays the policy with a factor on each node's time and some more seconds on top; `releases_s` holds nodes back.
    pub(super) fn play(&mut self, releases_s: &[f64], time: &dyn Fn(usize) -> (f64, f64)) -> f64 {
        let net = self.net;
        self.run.order.clear();
        self.eligible.clear();
        for (node, release_s) in releases_s.iter().enumerate() {
            self.waits[node] = net.problem.before[node].len();
            let arrives_s = net.arrival[node].as_ref().map_or(0.0, |(at_s, _)| *at_s);
            self.ready_s[node] = release_s.max(arrives_s);
            if self.waits[node] == 0 {
                self.enter_eligible(node);
            }
        }
        let mut now_s = self.shop.open_from_s(self.shop.start_s);
        let (mut hand, mut previous) = (EMPTY_HAND, None);
        while let Some(node) = self.take_eligible(now_s) {
            let start_s = self.shop.open_from_s(now_s.max(self.ready_s[node]));
            let (factor, more_s) = time(node);
            let planned_s = net.work_s(node) + net.setup_s(previous, hand, node);
            let bench_s = self.shop.stretched_s(planned_s * factor + more_s);
            let end_s = self.shop.work_end_s(start_s, bench_s);
            self.run.order.push(node);
            (self.run.start_s[node], self.run.end_s[node], self.run.bench_s[node]) =
                (start_s, end_s, bench_s);
            (now_s, hand, previous) = (end_s, net.hand_after(hand, node), Some(node));
            self.release_followers(node, end_s);
        }
        self.run.finish_s = now_s;
        now_s
    }

    fn enter_eligible(&mut self, node: usize) {
        let at = self.eligible.partition_point(|n| self.place[*n] > self.place[node]);
        self.eligible.insert(at, node);
    }

    /// Takes the first node of the list that may start, or the one that may soonest.
    fn take_eligible(&mut self, now_s: f64) -> Option<usize> {
        let may = self.eligible.iter().rposition(|n| self.ready_s[*n] <= now_s + CLOCK_ROUNDING_S);
        let soonest = || {
            let numbered = self.eligible.iter().enumerate().rev();
            numbered.min_by(|a, b| self.ready_s[*a.1].total_cmp(&self.ready_s[*b.1])).map(|(at, _)| at)
        };
        let at = may.or_else(soonest)?;
        Some(self.eligible.remove(at))
    }

    fn release_followers(&mut self, node: usize, end_s: f64) {
        for (next, wait_s) in &self.net.after_s[node] {
            self.ready_s[*next] = self.ready_s[*next].max(end_s + wait_s);
            self.waits[*next] -= 1;
            if self.waits[*next] == 0 {
                self.enter_eligible(*next);
            }
        }
    }
}

/// A run with its gaps kept as far as holding back goes.
pub(super) struct HeldBackRun {
    pub run: DispatchRun,
    pub releases_s: Vec<f64>,
    pub too_long: Vec<OpenTimeExceeded>,
}

impl HeldBackRun {
    /// What is too long in all, then the finish, in whole seconds.
    pub(super) fn rank(&self) -> (u64, u64) {
        let excess_s: f64 = self.too_long.iter().map(|g| g.by_s).sum();
        (excess_s as u64, self.run.finish_s as u64)
    }
}

/// Plays a list at the planned times; the early end of a gap that gets too long is held back and the list played again.
pub(super) fn play_held_back(net: &CalendarNet, asked: &CalendarRequest, list: &[usize]) -> HeldBackRun {
    let mut policy = DispatchPolicy::new(net, asked.shop.clamp_to_range(), list);
    let mut releases_s = vec![0.0; net.len()];
    let mut best: Option<HeldBackRun> = None;
    for _ in 0..MAX_HOLDBACKS {
        policy.play(&releases_s, &|_| (1.0, 0.0));
        let over = overlong_gaps(net, &policy.run);
        let too_long = over
            .iter()
            .map(|(gap, by_s)| OpenTimeExceeded { part: net.gaps[*gap].part.clone(), by_s: *by_s });
        let now = HeldBackRun {
            run: policy.run.clone(),
            releases_s: releases_s.clone(),
            too_long: too_long.collect(),
        };
        if best.as_ref().is_none_or(|b| now.rank() < b.rank()) {
            best = Some(now);
        }
        if over.is_empty() {
            break;
        }
        for (gap, by_s) in over {
            let from = net.gaps[gap].from;
            releases_s[from] = releases_s[from].max(policy.run.start_s[from] + by_s);
        }
    }
    best.unwrap_or_else(|| HeldBackRun { run: policy.run.clone(), releases_s, too_long: Vec::new() })
}

/// Gaps that a run leaves too long, and by how much.
fn overlong_gaps(net: &CalendarNet, run: &DispatchRun) -> Vec<(usize, f64)> {
    let by_s = |gap: &super::net::NetOpenTime| run.start_s[gap.to] - run.end_s[gap.from] - gap.most_s;
    let numbered = net.gaps.iter().enumerate().map(|(at, gap)| (at, by_s(gap)));
    numbered.filter(|(_, by_s)| *by_s > CLOCK_ROUNDING_S).collect()
}
