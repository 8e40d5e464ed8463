//! Bounds: no calendar has less lateness, nor, with as little lateness, a smaller sum of finishes.
//!
//! * **Own chain.** A visit that had the mechanic, the holders and the second pair of hands to itself, each item as early as its links, its part and the hours
//!   let it, is not finished before the latest of those ends.
//! * **Hands.** If the visits are finished in the order `π`, the hands have done all work of the first `k` by the finish of the `k`-th, with at least
//!   `k − 1` turnings between vehicles; and all of it that cannot begin before some moment, from that moment on.
//!
//! * **Holders.** Of two stretches that do not fit on a holder together one is over before the other begins: an item after another, for each way to choose. Where
//!   they are too many, the rest is left out. And an item that comes after others does not begin before the hands have done all of those.
//!
//! For each choice and each order `π` these make the least finish of each visit, raised so that the finishes rise. The bound on lateness is the least over all
//! of them; the bound on the sum of finishes the least over those whose lateness is not above that of the calendar at hand. With more than
//! [`MAX_VISITS_ORDERED`] visits the hands count once, by the shortest work first.
//!
//! symbol: pi, k = an order of the visits, a place in it

use crate::decode::lateness_s;
use crate::net::{BenchNet, NetStretch};
use crate::visits::ItemHands;

/// Up to this many visits every order of finishing is looked at.
pub const MAX_VISITS_ORDERED: usize = 5;
/// Maximum number of choices times orders that are looked at.
const MAX_BOUND_CASES: usize = 8_192;
/// Maximum of choices times the square of the number of items, to which their time is in proportion.
const MAX_BOUND_WORK: usize = 200_000_000;

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
    let count = net.weight.len();
    if count > MAX_VISITS_ORDERED {
        let alone = earliest_of_all(net, &[]);
        return bound_of_many(net, &alone.unwrap_or_default());
    }
    let orders: usize = (1..=count).product();
    let mut conflicts = holder_conflicts(net);
    let choices = (MAX_BOUND_WORK / net.len().pow(2).max(1)).min(MAX_BOUND_CASES / orders);
    while 1_usize << conflicts.len().min(32) > choices.max(1) {
        conflicts.pop();
    }
    let mut best = CalendarBound { late_s: u64::MAX, sum_s: u64::MAX };
    for choice in 0..1_u32 << conflicts.len() {
        let Some(links) = links_of_choice(&conflicts, choice) else { continue };
        if let Some(visits) = earliest_of_all(net, &links) {
            bound_every_order(net, &visits, &mut Vec::new(), late_s, &mut best);
        }
    }
    if best.sum_s == u64::MAX {
        // Only where the lateness asked about is below every bound, which no calendar reaches.
        best.sum_s = 0;
    }
    best
}

/// Pairs of stretches that do not fit on a holder together.
fn holder_conflicts(net: &BenchNet) -> Vec<(NetStretch, NetStretch)> {
    let mut found = Vec::new();
    for (at, one) in net.stretches.iter().enumerate() {
        for other in &net.stretches[at + 1..] {
            let apart = net.visit_of[one.to] != net.visit_of[other.to] && one.holder == other.holder;
            if apart && one.amount + other.amount > net.holder_count[one.holder] {
                found.push((*one, *other));
            }
        }
    }
    found
}

/// Which item comes after which, if bit `k` says that the second of conflict `k` goes first; `None` where that cannot be.
fn links_of_choice(conflicts: &[(NetStretch, NetStretch)], choice: u32) -> Option<Vec<(usize, usize)>> {
    let link = |(at, (one, other)): (usize, &(NetStretch, NetStretch))| {
        let (first, second) = if choice >> at & 1 == 0 { (one, other) } else { (other, one) };
        second.from.map(|from| (first.to, from))
    };
    conflicts.iter().enumerate().map(link).collect()
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
        late += u64::from(net.weight[visit]) * u64::from(lateness_s(floor_s, net.due_s[visit]));
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
    let own: Vec<u32> =
        (0..visits.len()).map(|v| hands_bound(net, visits, &[v]).max(visits[v].chain_s)).collect();
    let late = |v: usize| u64::from(net.weight[v]) * u64::from(lateness_s(own[v], net.due_s[v]));
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

/// The earliest times of all items by links, those of the holders included, as if each visit had the hands to itself but for what comes before;
/// `None` where the links close a circle.
fn earliest_of_all(net: &BenchNet, links: &[(usize, usize)]) -> Option<Vec<VisitHands>> {
    let order = order_with_links(net, links)?;
    let words = net.len().div_ceil(64);
    let mut earlier = vec![0_u64; net.len() * words];
    let mut ends = vec![0; net.len()];
    let alone = || VisitHands { heads: Vec::new(), chain_s: net.now_s, works: false };
    let mut visits: Vec<VisitHands> = (0..net.weight.len()).map(|_| alone()).collect();
    for item in order {
        let linked = links.iter().filter(|(_, to)| *to == item).map(|(from, _)| (*from, 0));
        let before: Vec<(usize, u32)> =
            net.before[item].iter().map(|n| (n.item, n.wait_s)).chain(linked).collect();
        let from_s = before.iter().map(|(n, wait_s)| ends[*n] + wait_s).fold(net.release_s[item], u32::max);
        for (near, _) in &before {
            earlier[item * words + near / 64] |= 1 << (near % 64);
            for word in 0..words {
                earlier[item * words + word] |= earlier[near * words + word];
            }
        }
        let free_open_s = hands_before(net, item, &earlier[item * words..(item + 1) * words]);
        let visit = &mut visits[net.visit_of[item]];
        ends[item] = match earliest_open(net, item, from_s, free_open_s) {
            Some(open_s) => {
                visit.heads.push((open_s, net.work_s[item]));
                visit.works = true;
                net.shop.wall_end_of_work(open_s, net.work_s[item])
            }
            None => from_s + net.work_s[item],
        };
        visit.chain_s = visit.chain_s.max(ends[item]);
    }
    Some(visits)
}

/// The open time at which the hands can be through with all that comes before an item, with the turnings.
fn hands_before(net: &BenchNet, item: usize, earlier: &[u64]) -> u32 {
    let mut through_s = net.shop.open_before(net.now_s);
    let mut visits = vec![false; net.weight.len()];
    visits[net.visit_of[item]] = true;
    for (at, word) in earlier.iter().enumerate() {
        let mut left = *word;
        while left != 0 {
            let near = at * 64 + left.trailing_zeros() as usize;
            left &= left - 1;
            if net.uses_hands(near) {
                through_s += net.work_s[near];
                visits[net.visit_of[near]] = true;
            }
        }
    }
    let turns = visits.iter().filter(|v| **v).count() as u32 - 1;
    let comes_from_elsewhere = net.at_visit.is_some_and(|v| !visits[v]);
    through_s + (turns + u32::from(comes_from_elsewhere)) * net.switch_s
}

/// The open time at which an item of the hands can begin; `None` for others.
fn earliest_open(net: &BenchNet, item: usize, from_s: u32, free_open_s: u32) -> Option<u32> {
    if !net.uses_hands(item) {
        return None;
    }
    let work_s = net.work_s[item];
    let mut open_s = net.shop.open_before(from_s).max(free_open_s);
    if net.in_one_piece[item] {
        open_s = net.shop.fit_in_one_piece(open_s, work_s);
    }
    if let Some(helper) = net.helper.as_ref().filter(|_| net.hands[item] == ItemHands::Two) {
        let start_s = net.shop.wall_start(open_s);
        open_s = net.shop.open_before(helper.fit_on_wall(start_s, work_s).unwrap_or(start_s));
    }
    Some(open_s)
}

/// The items in an order that keeps their links and those given; `None` where they close a circle.
fn order_with_links(net: &BenchNet, links: &[(usize, usize)]) -> Option<Vec<usize>> {
    if links.is_empty() {
        return Some(net.lists.sorted_jobs().to_vec());
    }
    let mut after: Vec<Vec<usize>> = vec![Vec::new(); net.len()];
    let mut open = vec![0; net.len()];
    let own = net.before.iter().enumerate().flat_map(|(to, before)| before.iter().map(move |n| (n.item, to)));
    for (from, to) in own.chain(links.iter().copied()) {
        after[from].push(to);
        open[to] += 1;
    }
    let mut order: Vec<usize> = (0..net.len()).filter(|i| open[*i] == 0).collect();
    let mut at = 0;
    while let Some(item) = order.get(at).copied() {
        at += 1;
        for next in &after[item] {
            open[*next] -= 1;
            if open[*next] == 0 {
                order.push(*next);
            }
        }
    }
    (order.len() == net.len()).then_some(order)
}
