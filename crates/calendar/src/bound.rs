//! Bounds: no calendar has less lateness, nor, with as little lateness, a smaller sum of finishes.
//!
//! * **Own chain.** A visit that had the mechanic, the holders and the second pair of hands to itself, each item as early as its links, its part and the hours
//!   let it, is not finished before the latest of those ends.
//! * **Hands.** If the visits are finished in the order `π`, the hands have done all work of the first `k` by the finish of the `k`-th, with at least
//!   `k − 1` turnings between vehicles; and all of it that cannot begin before some moment, from that moment on.
//!
//! For each order `π` the two make the least finish of each visit, raised so that the finishes rise. The bound on lateness is the least over all
//! orders; the bound on the sum of finishes the least over those orders whose lateness is not above that of the calendar at hand. With more than
//! [`MAX_VISITS_ORDERED`] visits the hands count once, by the shortest work first.
//!
//! symbol: pi, k = an order of the visits, a place in it

use crate::decode::lateness_s;
use crate::net::BenchNet;
use crate::visits::ItemHands;

/// Up to this many visits every order of finishing is looked at.
pub const MAX_VISITS_ORDERED: usize = 7;

/// What no calendar is below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct CalendarBound {
    /// Weighted lateness, s.
    pub late_s: u64,
    /// Sum of finishes from now, s, of calendars with at most the lateness asked about.
    pub sum_s: u64,
}

/// Work of the hands of a visit with the earliest moments at which it can begin, latest first, in open time.
struct VisitHands {
    heads: Vec<(u32, u32)>,
    chain_s: u32,
    /// Has work of the hands.
    works: bool,
}

/// Bounds of all calendars whose weighted lateness is at most `late_s`.
pub(crate) fn bound_calendars(net: &BenchNet, late_s: u64) -> CalendarBound {
    let visits: Vec<VisitHands> = (0..net.weight.len()).map(|v| hands_of_visit(net, v)).collect();
    let mut best = CalendarBound { late_s: u64::MAX, sum_s: u64::MAX };
    if visits.len() > MAX_VISITS_ORDERED {
        return bound_of_many(net, &visits);
    }
    let mut order = Vec::new();
    bound_every_order(net, &visits, &mut order, late_s, &mut best);
    if best.sum_s == u64::MAX {
        // Only where the lateness asked about is below every bound, which no calendar reaches.
        best.sum_s = 0;
    }
    best
}

fn bound_every_order(
    net: &BenchNet,
    visits: &[VisitHands],
    order: &mut Vec<usize>,
    late_s: u64,
    best: &mut CalendarBound,
) {
    if order.len() == visits.len() {
        let (late, sum) = bound_order(net, visits, order);
        best.late_s = best.late_s.min(late);
        if late <= late_s {
            best.sum_s = best.sum_s.min(sum);
        }
        return;
    }
    for visit in 0..visits.len() {
        if !order.contains(&visit) {
            order.push(visit);
            bound_every_order(net, visits, order, late_s, best);
            order.pop();
        }
    }
}

/// Lateness and sum of finishes of one order of finishing.
fn bound_order(net: &BenchNet, visits: &[VisitHands], order: &[usize]) -> (u64, u64) {
    let (mut late, mut sum, mut floor_s) = (0, 0, net.now_s);
    for place in 0..order.len() {
        let visit = order[place];
        let by_hands_s = hands_bound(net, visits, &order[..=place]);
        floor_s = floor_s.max(by_hands_s).max(visits[visit].chain_s);
        late += u64::from(net.weight[visit]) * u64::from(lateness_s(floor_s, net.promise_s[visit]));
        sum += u64::from(floor_s - net.now_s);
    }
    (late, sum)
}

/// When the hands can be through with some visits.
fn hands_bound(net: &BenchNet, visits: &[VisitHands], some: &[usize]) -> u32 {
    let mut heads: Vec<(u32, u32)> = some.iter().flat_map(|v| visits[*v].heads.iter().copied()).collect();
    heads.sort_unstable_by(|a, b| b.cmp(a));
    let (mut behind_s, mut through_s) = (0, 0);
    for (head_s, work_s) in &heads {
        behind_s += work_s;
        through_s = through_s.max(head_s + behind_s);
    }
    let working = some.iter().filter(|v| visits[**v].works).count() as u32;
    let comes_from_elsewhere = net.at_visit.is_some_and(|v| !some.contains(&v)) && working > 0;
    let turns = working.saturating_sub(1) + u32::from(comes_from_elsewhere);
    through_s = through_s.max(net.shop.open_before(net.now_s) + behind_s + turns * net.switch_s);
    if behind_s == 0 { net.now_s } else { net.shop.wall_end(through_s).max(net.now_s) }
}

fn bound_of_many(net: &BenchNet, visits: &[VisitHands]) -> CalendarBound {
    let own: Vec<u32> = (0..visits.len()).map(|v| hands_bound(net, visits, &[v]).max(visits[v].chain_s)).collect();
    let late = |v: usize| u64::from(net.weight[v]) * u64::from(lateness_s(own[v], net.promise_s[v]));
    let alone: u64 = own.iter().map(|f| u64::from(f - net.now_s)).sum();
    let mut works: Vec<u32> = visits.iter().map(|v| v.heads.iter().map(|(_, w)| w).sum()).collect();
    works.sort_unstable();
    let (mut behind_s, mut shared) = (net.shop.open_before(net.now_s), 0);
    for work_s in works.iter().filter(|w| **w > 0) {
        behind_s += work_s;
        shared += u64::from(net.shop.wall_end(behind_s).saturating_sub(net.now_s));
    }
    CalendarBound { late_s: (0..visits.len()).map(late).sum(), sum_s: alone.max(shared) }
}

/// The earliest times of a visit that has everything to itself.
fn hands_of_visit(net: &BenchNet, visit: usize) -> VisitHands {
    let mut ends = vec![0; net.len()];
    let mut found = VisitHands { heads: Vec::new(), chain_s: net.now_s, works: false };
    for item in net.lists.sorted_jobs().iter().copied().filter(|i| net.visit_of[*i] == visit) {
        let ready = net.before[item].iter().map(|n| ends[n.item] + n.wait_s);
        let from_s = ready.fold(net.release_s[item], u32::max);
        let work_s = net.work_s[item];
        if !net.uses_hands(item) {
            ends[item] = from_s + work_s;
            found.chain_s = found.chain_s.max(ends[item]);
            continue;
        }
        let mut open_s = net.shop.open_before(from_s);
        if net.in_one_piece[item] {
            open_s = net.shop.fit_in_one_piece(open_s, work_s);
        }
        if let Some(helper) = net.helper.as_ref().filter(|_| net.hands[item] == ItemHands::Two) {
            let start_s = net.shop.wall_start(open_s);
            open_s = net.shop.open_before(helper.fit_on_wall(start_s, work_s).unwrap_or(start_s));
        }
        ends[item] = net.shop.wall_end_of_work(open_s, work_s);
        found.heads.push((open_s, work_s));
        found.works = true;
        found.chain_s = found.chain_s.max(ends[item]);
    }
    found
}
