//! Orders that the search begins with: by urgency, one visit after the other, what keeps a holder first, and the order of before.

use crate::net::BenchNet;

/// How much longer a day is than its shop hours, for the second list by urgency (assumption).
const OPEN_SHARE: u64 = 3;

/// Maximum number of stretches that first lists are made for: their number grows with the square.
const MAX_STRETCHES_FIRST: usize = 12;

/// By urgency over all visits; one visit after the other, by promise, by weight, by work, and as the question has them.
pub(crate) fn first_lists(net: &BenchNet) -> Vec<Vec<usize>> {
    let visits: Vec<usize> = (0..net.weight.len()).collect();
    let work = |v: usize| {
        net.items_of(v).filter(|i| net.uses_hands(*i)).map(|i| u64::from(net.work_s[i])).sum::<u64>()
    };
    let mut orders =
        vec![visits.clone(), visits.iter().rev().copied().collect(), visits.clone(), visits.clone()];
    orders[2].sort_by_key(|v| (net.due_s[*v].unwrap_or(u32::MAX), work(*v)));
    orders[3].sort_by_key(|v| work(*v));
    let sorted = net.lists.sorted_jobs().to_vec();
    let urgent = [urgent_list(net, 1), urgent_list(net, OPEN_SHARE)];
    let in_turn = |list: &Vec<usize>, order: &Vec<usize>| -> Vec<usize> {
        let of = |v: &usize| list.iter().copied().filter(|i| net.visit_of[*i] == *v).collect::<Vec<_>>();
        order.iter().flat_map(of).collect()
    };
    let mut lists: Vec<Vec<usize>> = urgent.to_vec();
    for list in urgent.iter().chain([&sorted]) {
        lists.extend(orders.iter().map(|order| in_turn(list, order)));
    }
    // What keeps a holder from being free goes first: for each stretch, then for each two.
    let stretches = &net.stretches[..net.stretches.len().min(MAX_STRETCHES_FIRST)];
    let until: Vec<Vec<bool>> = stretches.iter().map(|s| all_up_to(net, s.to)).collect();
    for one in &until {
        for other in &until {
            for order in &orders {
                let list = in_turn(&urgent[1], order);
                let rank = |i: &usize| if one[*i] { 0 } else { 1 + u8::from(!other[*i]) };
                let mut sorted = list.clone();
                sorted.sort_by_key(rank);
                lists.push(sorted);
            }
        }
    }
    lists
}

/// An item and all that comes before it.
fn all_up_to(net: &BenchNet, item: usize) -> Vec<bool> {
    let mut found = vec![false; net.len()];
    let mut open = vec![item];
    while let Some(at) = open.pop() {
        if !core::mem::replace(&mut found[at], true) {
            open.extend(net.before[at].iter().map(|n| n.item));
        }
    }
    found
}

/// The order of before as a list of all items: what goes before what is kept, and what was not in it comes as it may.
pub(crate) fn list_of_before(net: &BenchNet, order_before: &[(usize, usize)]) -> Vec<usize> {
    let count = net.len();
    let mut place = vec![usize::MAX; count];
    for (at, (visit, item)) in order_before.iter().enumerate() {
        let item = net.first_of.get(*visit).map(|first| first + item);
        if let Some(place) = item.and_then(|i| place.get_mut(i)) {
            *place = at.min(*place);
        }
    }
    // What is new comes right before the first that waits for it.
    for item in net.lists.sorted_jobs().iter().rev() {
        for near in &net.before[*item] {
            place[near.item] = place[near.item].min(place[*item]);
        }
    }
    let mut list = net.lists.sorted_jobs().to_vec();
    // Stable: with equal places what goes before stays before, as the places never rise backward.
    list.sort_by_key(|i| place[*i]);
    list
}

/// All items, always that next which has the longest chain of work and waits behind it; a second of work counts `times` as much as one of a wait.
fn urgent_list(net: &BenchNet, times: u64) -> Vec<usize> {
    let count = net.len();
    let mut tail = vec![0_u64; count];
    let mut after: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut open = vec![0; count];
    for item in net.lists.sorted_jobs().iter().rev().copied() {
        tail[item] += u64::from(net.work_s[item]) * if net.uses_hands(item) { times } else { 1 };
        for near in &net.before[item] {
            tail[near.item] = tail[near.item].max(tail[item] + u64::from(near.wait_s));
            after[near.item].push(item);
            open[item] += 1;
        }
    }
    let mut ready: Vec<usize> = (0..count).filter(|i| open[*i] == 0).collect();
    let mut list = Vec::new();
    while let Some((at, _)) =
        ready.iter().enumerate().max_by_key(|(_, i)| (tail[**i], core::cmp::Reverse(**i)))
    {
        let item = ready.swap_remove(at);
        list.push(item);
        for next in &after[item] {
            open[*next] -= 1;
            if open[*next] == 0 {
                ready.push(*next);
            }
        }
    }
    list
}
