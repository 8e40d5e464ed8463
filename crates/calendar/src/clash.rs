//! Who stands against whom: two vehicles that want one holder at one time, and what each way out costs.
//!
//! A clash is two stretches of different visits that do not fit on a holder together, where the later one could begin before the earlier one ends. The ways out are weighed by
//! making the calendar again: **wait** (as the calendar is), **order changed** (the later stretch first), **rolled out** (the first vehicle is rolled off when the other
//! could begin, and back on after; only what the vehicle stands on is freed by that). The cheapest has the least excess of longest times, then the least weighted lateness, then the least sum of finishes.

use effort::{SolverBudget, SolverEffort};
use schedule::ListRank;

use crate::make::{BenchCalendar, CalendarSettings, SolvedNet, solve_net};
use crate::net::{BenchNet, NetStretch};
use crate::visits::{
    BenchItem, BenchQuestion, HeldStretch, HolderKind, ItemHands, ItemLink, ItemPace, RollWork,
};
use crate::words::{name_moment, spoken};

/// Maximum number of clashes whose ways out are weighed; the others are told without.
pub const MAX_CLASHES_WEIGHED: usize = 6;
/// A way out is searched with this part of the effort of the calendar (assumption).
const PART_OF_EFFORT: u64 = 4;

/// A way out of a clash.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClashWay {
    /// The later one waits.
    Wait,
    /// The later one goes first.
    OrderChanged,
    /// The earlier one is rolled out for a while.
    RolledOut,
}

/// A way out and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct WeighedWay {
    /// Which.
    pub way: ClashWay,
    /// Weighted seconds beyond promises.
    pub late_s: u64,
    /// Sum of finishes from now, s.
    pub sum_s: u64,
    /// Finishes by visit.
    pub finish_s: Vec<u32>,
    /// Seconds by which longest times are not kept.
    pub excess_s: u64,
    /// In words.
    pub words: String,
}

/// Two visits that stand against each other.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchClash {
    /// Place of the holder.
    pub holder: usize,
    /// The visit that has it first on the calendar, and the one that waits.
    pub visits: (usize, usize),
    /// When the waiting one could begin.
    pub wanted_s: u32,
    /// When the first one is through with it.
    pub free_s: u32,
    /// Ways out, the cheapest first.
    pub ways: Vec<WeighedWay>,
    /// In words: who, what, when, and the cheapest way out.
    pub words: String,
}

/// A clash before its ways out are weighed.
struct FoundClash {
    first: NetStretch,
    second: NetStretch,
    wanted_s: u32,
    free_s: u32,
}

pub(crate) fn find_clashes(
    question: &BenchQuestion,
    net: &BenchNet,
    solved: &SolvedNet,
    calendar: &BenchCalendar,
    settings: &CalendarSettings,
) -> Vec<BenchClash> {
    let mut found = Vec::new();
    let ready_s = ready_times(net, solved);
    for first in &net.stretches {
        found.extend(
            net.stretches.iter().filter_map(|second| clash_of((net, solved), &ready_s, first, second)),
        );
    }
    found.sort_by_key(|c| (c.wanted_s, net.visit_of[c.second.to]));
    let mut seen: Vec<(usize, usize, usize)> = Vec::new();
    found.retain(|c| {
        let key = (c.first.holder, net.visit_of[c.first.to], net.visit_of[c.second.to]);
        let is_new = !seen.contains(&key);
        seen.push(key);
        is_new
    });
    let weigh = |(at, clash): (usize, &FoundClash)| {
        let ways = if at < MAX_CLASHES_WEIGHED {
            weigh_ways(question, net, solved, calendar, clash, settings)
        } else {
            Vec::new()
        };
        write_clash(question, net, clash, ways)
    };
    found.iter().enumerate().map(weigh).collect()
}

/// When each item could begin if no holder had put off its visit before: what takes a holder begins as soon as all before it is over,
/// and what follows is moved forward with it.
fn ready_times(net: &BenchNet, solved: &SolvedNet) -> Vec<u32> {
    let (starts, ends) = (&solved.found.starts, &solved.end_s);
    let mut ready_s = starts.clone();
    for item in solved.found.list.iter().copied() {
        let over_s =
            |before: usize| ready_s[before].saturating_add(ends[before].saturating_sub(starts[before]));
        let before = &net.before[item];
        let free_s = before
            .iter()
            .map(|near| over_s(near.item).saturating_add(near.wait_s))
            .fold(net.release_s[item], u32::max);
        let moved_s = before.iter().map(|near| starts[near.item] - ready_s[near.item]).max().unwrap_or(0);
        let begins_s = if net.begins[item].is_empty() {
            free_s.max(starts[item].saturating_sub(moved_s))
        } else {
            free_s
        };
        ready_s[item] = begins_s.min(starts[item]);
    }
    ready_s
}

fn clash_of(
    (net, solved): (&BenchNet, &SolvedNet),
    ready_s: &[u32],
    first: &NetStretch,
    second: &NetStretch,
) -> Option<FoundClash> {
    let (one, other) = (net.visit_of[first.to], net.visit_of[second.to]);
    let begins = second.from?;
    let too_many = first.amount + second.amount > net.holder_count[first.holder];
    if one == other || first.holder != second.holder || !too_many {
        return None;
    }
    let starts = &solved.found.starts;
    let taken_s = first.from.map_or(net.now_s, |f| starts[f]);
    let wanted_s = ready_s[begins];
    let free_s = solved.end_s[first.to];
    let is_later = (taken_s, one) < (starts[begins], other);
    (is_later && wanted_s < free_s).then_some(FoundClash { first: *first, second: *second, wanted_s, free_s })
}

fn weigh_ways(
    question: &BenchQuestion,
    net: &BenchNet,
    solved: &SolvedNet,
    calendar: &BenchCalendar,
    clash: &FoundClash,
    settings: &CalendarSettings,
) -> Vec<WeighedWay> {
    let sized = solved.found.tries.max(PART_OF_EFFORT) / PART_OF_EFFORT;
    let budget = SolverBudget { effort: SolverEffort::Tries(sized), watch: settings.budget.watch };
    let settings = CalendarSettings { budget, ..*settings };
    let finish_s = calendar.finishes.iter().map(|f| f.planned_s).collect();
    let mut ways = vec![weighed_way(ClashWay::Wait, solved.found.rank, finish_s)];
    let changed = clash.first.from.and_then(|from| net.with_order(clash.second.to, from));
    ways.extend(changed.and_then(|other| {
        let solved = solve_net(&other, &[], &settings).ok()?;
        Some(weighed_way(ClashWay::OrderChanged, solved.found.rank, finishes_of(&other, &solved)))
    }));
    let rolled = roll_out(question, net, solved, clash).and_then(|q| BenchNet::new(&q).ok());
    ways.extend(rolled.and_then(|other| {
        let solved = solve_net(&other, &[], &settings).ok()?;
        Some(weighed_way(ClashWay::RolledOut, solved.found.rank, finishes_of(&other, &solved)))
    }));
    ways.sort_by_key(|w| (w.excess_s, w.late_s, w.sum_s));
    ways
}

fn finishes_of(net: &BenchNet, solved: &SolvedNet) -> Vec<u32> {
    let finish = |v: usize| net.items_of(v).map(|i| solved.end_s[i]).fold(net.now_s, u32::max);
    (0..net.weight.len()).map(finish).collect()
}

fn weighed_way(way: ClashWay, rank: ListRank, finish_s: Vec<u32>) -> WeighedWay {
    WeighedWay {
        way,
        excess_s: rank.0[0],
        late_s: rank.0[1],
        sum_s: rank.0[2],
        finish_s,
        words: String::new(),
    }
}

/// The question with the first vehicle rolled off when the second one could begin, and back on after.
fn roll_out(
    question: &BenchQuestion,
    net: &BenchNet,
    solved: &SolvedNet,
    clash: &FoundClash,
) -> Option<BenchQuestion> {
    let visit = net.visit_of[clash.first.to];
    if question.holders[clash.first.holder].kind == HolderKind::StaysOn {
        return None;
    }
    let roll = question.visits[visit].roll?;
    let (first, starts) = (net.first_of[visit], &solved.found.starts);
    let taken_s = clash.first.from.map_or(net.now_s, |f| starts[f]);
    let inside = |i: &usize| starts[*i] >= taken_s && starts[*i] < clash.free_s || *i == clash.first.to;
    let (before, after): (Vec<usize>, Vec<usize>) =
        net.items_of(visit).filter(inside).partition(|i| starts[*i] < clash.wanted_s && *i != clash.first.to);
    if before.is_empty() && clash.first.from.is_some() {
        return None;
    }
    let mut other = question.clone();
    let it = &mut other.visits[visit];
    let (off, on) = push_roll_items(&mut it.items, roll);
    let link = |from, to| ItemLink { from, to, wait_s: 0, most_s: None, words: String::new() };
    it.links.push(link(off, on));
    it.links.extend(before.iter().map(|i| link(i - first, off)));
    it.links.extend(after.iter().map(|i| link(on, i - first)));
    let place = HeldStretch {
        holder: clash.first.holder,
        amount: clash.first.amount,
        from: clash.first.from.map(|f| f - first),
        to: clash.first.to - first,
    };
    let at = it.stretches.iter().position(|s| *s == place)?;
    it.stretches[at].to = off;
    it.stretches.push(HeldStretch { from: Some(on), ..place });
    Some(other)
}

fn push_roll_items(items: &mut Vec<BenchItem>, roll: RollWork) -> (usize, usize) {
    let item = |name: &str, expected_s| BenchItem {
        name: name.to_owned(),
        place: String::new(),
        expected_s,
        spread_ratio: 0.0,
        hands: ItemHands::One,
        pace: ItemPace::OnePiece,
        part: None,
        start_by_s: None,
    };
    let off = items.len();
    items.push(item("roll out", roll.off_s));
    items.push(item("roll back in", roll.on_s));
    (off, off + 1)
}

fn write_clash(
    question: &BenchQuestion,
    net: &BenchNet,
    clash: &FoundClash,
    mut ways: Vec<WeighedWay>,
) -> BenchClash {
    let visits = (net.visit_of[clash.first.to], net.visit_of[clash.second.to]);
    let letter = |v: usize| question.visits[v].letter;
    let weekday = question.hours.first_weekday;
    for way in &mut ways {
        way.words = way_words(question, visits, way);
    }
    let holder = &question.holders[clash.first.holder].name;
    let mut words = format!(
        "{} has the {holder} until {}; {} could use it from {}.",
        letter(visits.0),
        name_moment(clash.free_s, weekday),
        letter(visits.1),
        name_moment(clash.wanted_s, weekday)
    );
    if let Some(best) = ways.first() {
        words.push_str(&format!(" Cheapest: {}.", best.words));
    }
    for way in ways.iter().skip(1) {
        words.push_str(&format!(" {}.", dearer_words(&ways[0], way)));
    }
    BenchClash {
        holder: clash.first.holder,
        visits,
        wanted_s: clash.wanted_s,
        free_s: clash.free_s,
        ways,
        words,
    }
}

fn way_words(question: &BenchQuestion, (first, second): (usize, usize), way: &WeighedWay) -> String {
    let letter = |v: usize| question.visits[v].letter;
    let done = |v: usize| {
        format!("{} finished {}", letter(v), name_moment(way.finish_s[v], question.hours.first_weekday))
    };
    let what = match way.way {
        ClashWay::Wait => format!("{} waits", letter(second)),
        ClashWay::OrderChanged => format!("{} goes first", letter(second)),
        ClashWay::RolledOut => format!("{} is rolled out and back in", letter(first)),
    };
    format!("{what}, {}, {}", done(first), done(second))
}

/// What a way costs beside the cheapest, by the first figure in which they differ.
fn dearer_words(best: &WeighedWay, way: &WeighedWay) -> String {
    let short = |more: u64| spoken(u32::try_from(more).unwrap_or(u32::MAX));
    let more = if way.excess_s != best.excess_s {
        format!("longest times are exceeded by {} more", short(way.excess_s - best.excess_s))
    } else if way.late_s != best.late_s {
        format!("{} more beyond promises, weighted", short(way.late_s - best.late_s))
    } else if way.sum_s != best.sum_s {
        format!("{} more over all finishes", short(way.sum_s - best.sum_s))
    } else {
        String::from("costs the same")
    };
    format!("{}: {more}", way.words)
}
