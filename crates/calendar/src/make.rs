//! The calendar itself: searched, bounded, dated, explained.

use effort::{OutcomeUnit, RandomSeed, SolverBudget, SolverOutcome, SolverStanding};
use schedule::{FoundList, ListRank, ListWeigher, search_lists};

use crate::bound::bound_calendars;
use crate::clash::{BenchClash, find_clashes};
use crate::decode::{BenchDecoder, DecodeManner, lateness_s};
use crate::first_lists::{first_lists, list_of_before};
use crate::net::BenchNet;
use crate::simulate::{FinishDates, play_order, simulate_finishes};
use crate::visits::{BenchQuestion, CalendarFault};

/// An order is changed for no less than this over all finishes, s (assumption: less than what finding one's way anew takes).
pub const MIN_GAIN_S: u32 = 600;

/// What a calendar may cost.
#[derive(Clone, Copy)]
pub struct CalendarSettings<'w> {
    /// How hard to search.
    pub budget: SolverBudget<'w>,
    /// Seed of search and samples.
    pub seed: RandomSeed,
    /// Threads: they change the wait and never the answer.
    pub threads: u16,
    /// Samples of the dates.
    pub samples: u32,
}

impl CalendarSettings<'static> {
    /// What suits the question, with a seed.
    #[must_use]
    pub const fn sized(seed: RandomSeed) -> Self {
        Self { budget: SolverBudget::sized(), seed, threads: 1, samples: 1_000 }
    }
}

/// An item on the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BenchLine {
    /// Place of the visit in the question.
    pub visit: usize,
    /// Place of the item in the visit.
    pub item: usize,
    /// Start, on the wall clock.
    pub start_s: u32,
    /// End.
    pub end_s: u32,
    /// Time on the bench (by the wall clock where no hands are needed).
    pub work_s: u32,
}

/// When a visit is finished.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VisitFinish {
    /// With every item at its likely time.
    pub planned_s: u32,
    /// How late that is.
    pub late_s: u32,
    /// By simulation, from where it stands.
    pub dates: FinishDates,
}

/// A longest time that could not be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BenchExcess {
    /// Place of the visit.
    pub visit: usize,
    /// The early item; `None` where it was done before now.
    pub from: Option<usize>,
    /// The late item.
    pub to: usize,
    /// By how much.
    pub by_s: u32,
}

/// All open visits on one calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchCalendar {
    /// Items in the order of their starts; the first that needs hands is what to do next.
    pub lines: Vec<BenchLine>,
    /// Finishes by visit.
    pub finishes: Vec<VisitFinish>,
    /// Longest times not kept.
    pub too_long: Vec<BenchExcess>,
    /// Weighted seconds beyond promises, with the bound of any calendar.
    pub lateness: SolverOutcome,
    /// Sum of finishes from now, s, with the bound of any calendar that is no later.
    pub sum_of_finishes: SolverOutcome,
    /// Who stands against whom.
    pub clashes: Vec<BenchClash>,
}

impl BenchCalendar {
    /// What to do next over all vehicles: the first line that needs the mechanic.
    #[must_use]
    pub fn next_line(&self, question: &BenchQuestion) -> Option<&BenchLine> {
        self.lines.iter().find(|l| {
            let item = &question.visits[l.visit].items[l.item];
            item.hands != crate::visits::ItemHands::None && l.work_s > 0
        })
    }

    /// When the last item ends.
    #[must_use]
    pub fn last_end_s(&self) -> u32 {
        self.lines.iter().map(|l| l.end_s).max().unwrap_or(0)
    }

    /// Lines of one visit.
    pub fn lines_of_visit(&self, visit: usize) -> impl Iterator<Item = &BenchLine> {
        self.lines.iter().filter(move |l| l.visit == visit)
    }
}

/// Makes the calendar of all open visits.
///
/// # Errors
/// [`CalendarFault`] with what cannot be asked and what to do.
pub fn make_bench_calendar(
    question: &BenchQuestion,
    settings: &CalendarSettings,
) -> Result<BenchCalendar, CalendarFault> {
    remake_bench_calendar(question, &[], settings)
}

/// Makes the calendar anew after something has happened: the order of before (visit and item of each line, by their places in this question) stays
/// unless another is better by what matters, or by [`MIN_GAIN_S`] over all finishes. What is not in that order follows where it fits.
///
/// # Errors
/// [`CalendarFault`] with what cannot be asked and what to do.
pub fn remake_bench_calendar(
    question: &BenchQuestion,
    order_before: &[(usize, usize)],
    settings: &CalendarSettings,
) -> Result<BenchCalendar, CalendarFault> {
    let mut net = BenchNet::new(question)?;
    let mut solved = solve_net(&net, order_before, settings)?;
    if !net.knows_hours_at(solved.last_end_s()) {
        net = BenchNet::reaching(question, solved.last_end_s())?;
        solved = solve_net(&net, order_before, settings)?;
    }
    if !net.knows_hours_at(solved.last_end_s()) {
        return Err(CalendarFault::NeverFits(String::from(
            "the work is not over within ten years; give longer hours, or split work that few days have room for",
        )));
    }
    let dates = simulate_finishes(question, &net, &solved.found.list, settings);
    let mut calendar = write_bench_calendar(&net, &solved, &dates);
    calendar.clashes = find_clashes(question, &net, &solved, &calendar, settings);
    Ok(calendar)
}

/// A list found, with its bounds.
#[derive(Debug, Clone)]
pub(crate) struct SolvedNet {
    pub found: FoundList,
    pub end_s: Vec<u32>,
    pub late_bound_s: u64,
    pub sum_bound_s: u64,
}

impl SolvedNet {
    fn last_end_s(&self) -> u32 {
        self.end_s.iter().copied().max().unwrap_or(0)
    }
}

/// Searches the order of all items; one of before stays unless another is better.
pub(crate) fn solve_net(
    net: &BenchNet,
    order_before: &[(usize, usize)],
    settings: &CalendarSettings,
) -> Result<SolvedNet, CalendarFault> {
    let mut first = first_lists(net);
    first.extend((!order_before.is_empty()).then(|| list_of_before(net, order_before)));
    let least = bound_calendars(net, u64::MAX);
    let floor = ListRank([0, least.late_s, least.sum_s, u64::MAX]);
    let make = || BenchDecoder::new(net, DecodeManner::Fill);
    let mut found =
        search_lists(&net.lists, &make, (&first, floor), &settings.budget, settings.seed, settings.threads);
    if !order_before.is_empty() {
        keep_order(net, order_before, &mut found);
    }
    if found.rank.0[1] == u64::MAX {
        return Err(CalendarFault::NeverFits(String::from(
            "the vehicles hold what each other needs and none can go on; roll one of them out, or let it give something up",
        )));
    }
    let bound = bound_calendars(net, found.rank.0[1]);
    debug_assert!(
        bound.late_s <= found.rank.0[1] && bound.sum_s <= found.rank.0[2],
        "{bound:?} {:?}",
        found.rank
    );
    let meets = found.rank.0[0] == 0 && found.rank.0[1] <= bound.late_s && found.rank.0[2] <= bound.sum_s;
    // With longest times every order is no proof: a start between may be better.
    let enumerated = found.standing == SolverStanding::Proven && net.gaps.is_empty();
    if found.standing == SolverStanding::Proven && !meets && !enumerated {
        found.standing = SolverStanding::Found;
    } else if meets {
        found.standing = SolverStanding::Proven;
    }
    let proven = found.standing == SolverStanding::Proven;
    let (late_bound_s, sum_bound_s) = if proven {
        (found.rank.0[1], found.rank.0[2])
    } else {
        (bound.late_s, bound.sum_s.min(found.rank.0[2]))
    };
    let end_s = ends_of_starts(net, &found.starts);
    Ok(SolvedNet { found, end_s, late_bound_s, sum_bound_s })
}

/// Puts the order of before in place of the one found, where that is hardly better.
fn keep_order(net: &BenchNet, order_before: &[(usize, usize)], found: &mut FoundList) {
    let (mut list, mut starts) = (list_of_before(net, order_before), found.starts.clone());
    let rank = BenchDecoder::new(net, DecodeManner::Fill).weigh_list(&mut list, &mut starts);
    let same = rank.0[..2] == found.rank.0[..2];
    let gain_s = rank.0[2].saturating_sub(found.rank.0[2]);
    if rank.0[1] == u64::MAX || !same || gain_s >= u64::from(MIN_GAIN_S) {
        return;
    }
    if gain_s > 0 && found.standing == SolverStanding::Proven {
        found.standing = SolverStanding::Found;
    }
    (found.list, found.starts, found.rank) = (list, starts, rank);
}

/// The ends that belong to starts.
pub(crate) fn ends_of_starts(net: &BenchNet, starts: &[u32]) -> Vec<u32> {
    let end_of = |(item, start_s): (usize, &u32)| {
        if net.uses_hands(item) {
            net.shop.wall_end_of_work(net.shop.open_before(*start_s), net.work_s[item])
        } else {
            start_s + net.work_s[item]
        }
    };
    starts.iter().enumerate().map(end_of).collect()
}

pub(crate) fn write_bench_calendar(
    net: &BenchNet,
    solved: &SolvedNet,
    dates: &[FinishDates],
) -> BenchCalendar {
    let found = &solved.found;
    let line = |item: &usize| BenchLine {
        visit: net.visit_of[*item],
        item: item - net.first_of[net.visit_of[*item]],
        start_s: found.starts[*item],
        end_s: solved.end_s[*item],
        work_s: net.work_s[*item],
    };
    let finish = |(visit, dates): (usize, &FinishDates)| {
        let planned_s = net.items_of(visit).map(|i| solved.end_s[i]).fold(net.now_s, u32::max);
        VisitFinish { planned_s, late_s: lateness_s(planned_s, net.promise_s[visit]), dates: *dates }
    };
    let excess = |gap: &crate::net::NetGap| {
        let latest_s = solved.end_s[gap.from].saturating_add(gap.most_s);
        let by_s = found.starts[gap.to].checked_sub(latest_s).filter(|by_s| *by_s > 0)?;
        let visit = net.visit_of[gap.from];
        let first = net.first_of[visit];
        Some(BenchExcess { visit, from: Some(gap.from - first), to: gap.to - first, by_s })
    };
    let begun_late = |(item, latest_s): &(usize, u32)| {
        let by_s = found.starts[*item].checked_sub(*latest_s).filter(|by_s| *by_s > 0)?;
        let visit = net.visit_of[*item];
        Some(BenchExcess { visit, from: None, to: item - net.first_of[visit], by_s })
    };
    let outcome = |value: u64, bound: u64| SolverOutcome {
        standing: if value <= bound { SolverStanding::Proven } else { found.standing },
        value: value as f64,
        bound: bound as f64,
        unit: OutcomeUnit::Seconds,
        effort: found.tries,
    };
    BenchCalendar {
        lines: found.list.iter().map(line).collect(),
        finishes: dates.iter().enumerate().map(finish).collect(),
        too_long: net
            .gaps
            .iter()
            .filter_map(excess)
            .chain(net.start_by.iter().filter_map(begun_late))
            .collect(),
        lateness: outcome(found.rank.0[1], solved.late_bound_s),
        sum_of_finishes: outcome(found.rank.0[2], solved.sum_bound_s),
        clashes: Vec::new(),
    }
}

/// The finishes of a calendar's order if its items take these times, in the order of the question; hands keep to the order.
///
/// # Errors
/// [`CalendarFault`] as for the calendar itself, or where there is not one time for each item.
pub fn play_bench_calendar(
    question: &BenchQuestion,
    calendar: &BenchCalendar,
    work_s: &[u32],
) -> Result<Vec<u32>, CalendarFault> {
    let net = BenchNet::reaching(question, calendar.last_end_s())?;
    if work_s.len() != net.len() || calendar.lines.len() != net.len() {
        return Err(CalendarFault::Figure(format!("give {} times, one for each item", net.len())));
    }
    let order: Vec<usize> = calendar.lines.iter().map(|l| net.first_of[l.visit] + l.item).collect();
    Ok(play_order(&net, &order, work_s))
}
