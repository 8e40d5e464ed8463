//! The question in the solver's own form: all items of all visits in one row, checked once.

use schedule::{ScheduleError, ScheduleJob, ScheduleLag, ScheduleProblem};

use crate::hours::{DAY_S, MAX_CALENDAR_DAYS, OpenTimeTable};
use crate::visits::{
    BenchQuestion, CalendarFault, ItemHands, ItemPace, MAX_BENCH_ITEMS, MAX_HOLDERS, MAX_ITEM_S,
    MAX_OPEN_VISITS, MAX_VISIT_WEIGHT, OpenVisit,
};

/// Work and waits of all visits together, at most, s.
const MAX_TOTAL_S: u64 = 400 * DAY_S as u64;

/// Hours are laid out for this many times the work, at first (assumption: enough, but for work that few days have room for).
const LAID_OUT_TIMES: u64 = 4;
/// And for so much more, since holding work back for a longest time moves it on (assumption), s.
const LAID_OUT_MORE_S: u64 = 30 * DAY_S as u64;

/// A neighbour by a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct NetNeighbour {
    pub item: usize,
    pub wait_s: u32,
}

/// A longest time between two items.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct NetGap {
    pub from: usize,
    pub to: usize,
    pub most_s: u32,
}

/// A stretch over which a visit holds something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct NetStretch {
    pub holder: usize,
    pub amount: u32,
    pub from: Option<usize>,
    pub to: usize,
}

/// All items of all visits.
#[derive(Debug, Clone)]
pub(crate) struct BenchNet {
    /// Place of the visit of each item.
    pub visit_of: Vec<usize>,
    /// The first item of each visit, and behind the last the number of all.
    pub first_of: Vec<usize>,
    /// Time of each item by the learned factor, s.
    pub work_s: Vec<u32>,
    pub hands: Vec<ItemHands>,
    pub in_one_piece: Vec<bool>,
    pub release_s: Vec<u32>,
    pub before: Vec<Vec<NetNeighbour>>,
    pub gaps: Vec<NetGap>,
    /// Items that have to be begun by a time.
    pub start_by: Vec<(usize, u32)>,
    pub stretches: Vec<NetStretch>,
    /// Stretches that begin, and that end, with an item.
    pub begins: Vec<Vec<usize>>,
    pub ends: Vec<Vec<usize>>,
    pub holder_count: Vec<u32>,
    pub promise_s: Vec<Option<u32>>,
    /// What lateness counts from: now where a visit goes first, else its promise.
    pub due_s: Vec<Option<u32>>,
    pub weight: Vec<u32>,
    pub now_s: u32,
    pub switch_s: u32,
    pub at_visit: Option<usize>,
    pub shop: OpenTimeTable,
    pub helper: Option<OpenTimeTable>,
    /// What goes before what, for the search over lists.
    pub lists: ScheduleProblem,
}

impl BenchNet {
    /// With hours laid out for several times the work.
    pub(crate) fn new(question: &BenchQuestion) -> Result<Self, CalendarFault> {
        Self::lay_out(question, false)
    }

    /// With hours laid out at least to a moment, for as long as they are at all.
    pub(crate) fn reaching(question: &BenchQuestion, at_s: u32) -> Result<Self, CalendarFault> {
        let net = Self::lay_out(question, false)?;
        if net.knows_hours_at(at_s) { Ok(net) } else { Self::lay_out(question, true) }
    }

    pub(crate) fn knows_hours_at(&self, at_s: u32) -> bool {
        let helper = self.helper.as_ref().map_or(u32::MAX, OpenTimeTable::known_until_s);
        at_s <= self.shop.known_until_s().min(helper)
    }

    fn lay_out(question: &BenchQuestion, is_long: bool) -> Result<Self, CalendarFault> {
        check_question(question)?;
        let visits = &question.visits;
        let mut first_of = vec![0];
        visits.iter().for_each(|v| first_of.push(first_of[first_of.len() - 1] + v.items.len()));
        let items = || visits.iter().flat_map(|v| &v.items);
        let factors = visits.iter().map(|v| question.factor.factor_of_visit(&v.finished).median_ratio());
        let work_s = visits.iter().zip(factors).flat_map(|(v, factor_ratio)| {
            v.items.iter().map(move |i| scaled_work_s(i.expected_s, factor_ratio))
        });
        let work_s: Vec<u32> = work_s.collect();
        let more_s = if is_long { u64::MAX / 4 } else { LAID_OUT_MORE_S };
        let wanted = |work_s: u64| (latest_moment(question), work_s * LAID_OUT_TIMES + more_s);
        let work_of = |hands: &dyn Fn(ItemHands) -> bool| -> u64 {
            items().zip(&work_s).filter(|(i, _)| hands(i.hands)).map(|(_, w)| u64::from(*w)).sum()
        };
        let shop = OpenTimeTable::new(&question.hours, wanted(work_of(&|h| h != ItemHands::None)), None);
        let helped = wanted(work_of(&|h| h == ItemHands::Two));
        let helper_table = |hours| OpenTimeTable::new(hours, helped, Some(&shop));
        let helper = question.helper_hours.as_ref().map(helper_table);
        let linked = LinkedItems::new(question, &first_of);
        let lists = list_problem(question, &work_s, &linked)?;
        let net = Self {
            visit_of: visits.iter().enumerate().flat_map(|(v, it)| vec![v; it.items.len()]).collect(),
            first_of,
            hands: items().map(|i| i.hands).collect(),
            in_one_piece: linked.one_piece(question),
            release_s: items().map(|i| i.part.as_ref().map_or(0, |p| p.at_s).max(question.now_s)).collect(),
            work_s,
            before: linked.before,
            gaps: linked.gaps,
            start_by: items().enumerate().filter_map(|(at, i)| Some((at, i.start_by_s?))).collect(),
            stretches: linked.stretches,
            begins: linked.begins,
            ends: linked.ends,
            holder_count: question.holders.iter().map(|h| h.count).collect(),
            promise_s: visits.iter().map(|v| v.promise_s).collect(),
            due_s: visits
                .iter()
                .map(|v| if v.is_first { Some(question.now_s) } else { v.promise_s })
                .collect(),
            weight: visits.iter().map(|v| v.weight).collect(),
            now_s: question.now_s,
            switch_s: question.switch_s,
            at_visit: question.at_visit,
            shop,
            helper,
            lists,
        };
        net.check_that_items_fit(question)?;
        Ok(net)
    }

    pub(crate) fn len(&self) -> usize {
        self.work_s.len()
    }

    pub(crate) fn items_of(&self, visit: usize) -> core::ops::Range<usize> {
        self.first_of[visit]..self.first_of[visit + 1]
    }

    pub(crate) fn uses_hands(&self, item: usize) -> bool {
        self.hands[item] != ItemHands::None && self.work_s[item] > 0
    }

    fn check_that_items_fit(&self, question: &BenchQuestion) -> Result<(), CalendarFault> {
        let named = question.visits.iter().flat_map(|v| v.items.iter().map(move |i| (v.letter, &i.name)));
        for (item, (letter, name)) in named.enumerate() {
            let work_s = self.work_s[item];
            let what = || format!("{letter}: {name}");
            if self.hands[item] == ItemHands::Two && work_s > 0 {
                let fits = |t: &OpenTimeTable| t.fit_on_wall(self.release_s[item], work_s).is_some();
                if !self.helper.as_ref().is_some_and(fits) {
                    return Err(CalendarFault::NeverFits(format!(
                        "`{}` needs a second pair of hands for {} in one go; give hours in which there is one",
                        what(),
                        crate::words::spoken(work_s)
                    )));
                }
            } else if self.in_one_piece[item]
                && self.hands[item] == ItemHands::One
                && work_s > self.shop.longest_span_s()
            {
                return Err(CalendarFault::NeverFits(format!(
                    "`{}` takes {} and must not be set aside, but the shop is never open so long; split it",
                    what(),
                    crate::words::spoken(work_s)
                )));
            }
        }
        Ok(())
    }
}

/// When the last part is here and every wait could be over.
fn latest_moment(question: &BenchQuestion) -> u32 {
    let items = || question.visits.iter().flat_map(|v| &v.items);
    let parts = items().filter_map(|i| i.part.as_ref().map(|p| p.at_s)).fold(question.now_s, u32::max);
    let waits_s: u32 = question.visits.iter().flat_map(|v| &v.links).map(|l| l.wait_s).sum();
    let elsewhere_s: u32 = items().filter(|i| i.hands == ItemHands::None).map(|i| i.expected_s).sum();
    parts + waits_s + elsewhere_s
}

/// The time of an item by a factor, in whole seconds; what takes time goes on taking some.
pub(crate) fn scaled_work_s(expected_s: u32, factor_ratio: f64) -> u32 {
    let scaled_s = units::math::round(f64::from(expected_s) * factor_ratio.clamp(0.05, 20.0)) as u32;
    scaled_s.max(u32::from(expected_s > 0))
}

struct LinkedItems {
    before: Vec<Vec<NetNeighbour>>,
    gaps: Vec<NetGap>,
    stretches: Vec<NetStretch>,
    begins: Vec<Vec<usize>>,
    ends: Vec<Vec<usize>>,
}

impl LinkedItems {
    fn new(question: &BenchQuestion, first_of: &[usize]) -> Self {
        let count = first_of.last().copied().unwrap_or(0);
        let mut linked = Self {
            before: vec![Vec::new(); count],
            gaps: Vec::new(),
            stretches: Vec::new(),
            begins: vec![Vec::new(); count],
            ends: vec![Vec::new(); count],
        };
        for (visit, first) in question.visits.iter().zip(first_of) {
            linked.add_visit(visit, *first);
        }
        linked
    }

    fn add_visit(&mut self, visit: &OpenVisit, first: usize) {
        for link in &visit.links {
            let (from, to) = (first + link.from, first + link.to);
            self.before[to].push(NetNeighbour { item: from, wait_s: link.wait_s });
            if let Some(most_s) = link.most_s {
                self.gaps.push(NetGap { from, to, most_s });
            }
        }
        for stretch in &visit.stretches {
            let (from, to) = (stretch.from.map(|f| first + f), first + stretch.to);
            let at = self.stretches.len();
            self.stretches.push(NetStretch { holder: stretch.holder, amount: stretch.amount, from, to });
            self.ends[to].push(at);
            if let Some(from) = from {
                self.begins[from].push(at);
                if from != to {
                    self.before[to].push(NetNeighbour { item: from, wait_s: 0 });
                }
            }
        }
    }

    /// Moments not to stop; work behind which a longest time runs is one.
    fn one_piece(&self, question: &BenchQuestion) -> Vec<bool> {
        let items = question.visits.iter().flat_map(|v| &v.items);
        let mut pieces: Vec<bool> = items.map(|i| i.pace == ItemPace::OnePiece).collect();
        self.gaps.iter().for_each(|g| pieces[g.from] = true);
        pieces
    }
}

fn list_problem(
    question: &BenchQuestion,
    work_s: &[u32],
    linked: &LinkedItems,
) -> Result<ScheduleProblem, CalendarFault> {
    let job = |work_s: &u32| ScheduleJob { duration: *work_s, release: 0, demand: Vec::new() };
    let lags = linked.before.iter().enumerate().flat_map(|(to, before)| {
        before.iter().map(move |n| ScheduleLag { from: n.item, to, wait: n.wait_s })
    });
    ScheduleProblem::new(work_s.iter().map(job).collect(), Vec::new(), lags.collect(), Vec::new()).map_err(
        |fault| {
            let ScheduleError::Circle(items) = &fault else {
                return CalendarFault::TooMany(format!("{fault}; ask for less"));
            };
            let named = question.visits.iter().flat_map(|v| v.items.iter().map(move |i| (v.letter, &i.name)));
            let named: Vec<String> = named.map(|(letter, name)| format!("`{letter}: {name}`")).collect();
            let some: Vec<&str> =
                items.iter().take(4).filter_map(|i| named.get(*i)).map(String::as_str).collect();
            CalendarFault::Circle(format!(
                "{} wait for each other in a circle, or for one; take a link out",
                some.join(", ")
            ))
        },
    )
}

fn check_question(question: &BenchQuestion) -> Result<(), CalendarFault> {
    let count: usize = question.visits.iter().map(|v| v.items.len()).sum();
    if question.visits.len() > MAX_OPEN_VISITS || count > MAX_BENCH_ITEMS {
        return Err(CalendarFault::TooMany(format!(
            "{} visits with {count} items; give at most {MAX_OPEN_VISITS} visits and {MAX_BENCH_ITEMS} items",
            question.visits.len()
        )));
    }
    for hours in [Some(&question.hours), question.helper_hours.as_ref()].into_iter().flatten() {
        if let Some(words) = hours.find_fault() {
            return Err(CalendarFault::Hours(words));
        }
    }
    if question.at_visit.is_some_and(|v| v >= question.visits.len()) {
        return Err(CalendarFault::NoSuch(String::from("the mechanic stands at a visit that is not open")));
    }
    let latest_s = MAX_CALENDAR_DAYS * DAY_S / 2;
    if question.now_s > latest_s || question.switch_s > DAY_S {
        return Err(CalendarFault::Figure(String::from(
            "now lies more than five years after the first day, or turning to another vehicle takes more than a day",
        )));
    }
    check_holders_now(question)?;
    question.visits.iter().try_for_each(|visit| check_visit(question, visit, latest_s))?;
    let times = question.visits.iter().flat_map(|v| {
        v.items.iter().map(|i| u64::from(i.expected_s)).chain(v.links.iter().map(|l| u64::from(l.wait_s)))
    });
    if times.sum::<u64>() > MAX_TOTAL_S {
        return Err(CalendarFault::TooMany(String::from(
            "work and waits add up to more than 400 days; ask for less",
        )));
    }
    Ok(())
}

/// Nobody has now what there is no more of.
fn check_holders_now(question: &BenchQuestion) -> Result<(), CalendarFault> {
    let most = MAX_HOLDERS as u32;
    if question.holders.len() > MAX_HOLDERS || question.holders.iter().any(|h| h.count > most) {
        return Err(CalendarFault::TooMany(format!(
            "there are more than {most} holders, or of one; give fewer"
        )));
    }
    for (at, holder) in question.holders.iter().enumerate() {
        let has = |v: &&OpenVisit| v.stretches.iter().any(|s| s.holder == at && s.from.is_none());
        let letters: Vec<String> = question.visits.iter().filter(has).map(|v| v.letter.to_string()).collect();
        let taken =
            question.visits.iter().flat_map(|v| &v.stretches).filter(|s| s.holder == at && s.from.is_none());
        if taken.map(|s| u64::from(s.amount)).sum::<u64>() > u64::from(holder.count) {
            return Err(CalendarFault::Figure(format!(
                "{} have `{}` now, more than there is; correct who has it",
                letters.join(" and "),
                holder.name
            )));
        }
    }
    Ok(())
}

fn check_visit(question: &BenchQuestion, visit: &OpenVisit, latest_s: u32) -> Result<(), CalendarFault> {
    let named = |words: String| format!("visit {}: {words}", visit.letter);
    let count = visit.items.len();
    if question.visits.iter().filter(|v| v.letter == visit.letter).count() > 1 {
        return Err(CalendarFault::Figure(named(String::from(
            "two visits have this letter; give one of them another",
        ))));
    }
    if visit.weight > MAX_VISIT_WEIGHT {
        return Err(CalendarFault::Figure(named(format!(
            "its weight is above {MAX_VISIT_WEIGHT}; give less"
        ))));
    }
    for item in &visit.items {
        let is_spread = item.spread_ratio.is_finite() && (0.0..=2.0).contains(&item.spread_ratio);
        if item.expected_s > MAX_ITEM_S || !is_spread {
            let words = "takes more than 60 days or has a spread outside 0 to 2; correct it";
            return Err(CalendarFault::Figure(named(format!("`{}` {words}", item.name))));
        }
        if let Some(part) = item.part.as_ref().filter(|p| p.at_s > latest_s) {
            let words = format!("`{}` comes more than five years from now; correct the date", part.part);
            return Err(CalendarFault::Figure(named(words)));
        }
    }
    for link in &visit.links {
        if link.from >= count || link.to >= count || link.from == link.to {
            let words = format!("a link from item {} to item {}, of {count}", link.from, link.to);
            return Err(CalendarFault::NoSuch(named(words)));
        }
        if link.most_s.is_some_and(|most_s| most_s < link.wait_s) || link.wait_s > MAX_ITEM_S {
            let words = "is longer than 60 days or than the longest time between; correct one of them";
            return Err(CalendarFault::Figure(named(format!("the wait `{}` {words}", link.words))));
        }
    }
    for stretch in &visit.stretches {
        let holder = question.holders.get(stretch.holder);
        if stretch.to >= count || stretch.from.is_some_and(|f| f >= count) || holder.is_none() {
            return Err(CalendarFault::NoSuch(named(String::from(
                "a stretch names an item or a holder that is not there",
            ))));
        }
        if let Some(holder) = holder.filter(|h| stretch.amount > h.count) {
            let words =
                format!("needs {} of `{}`, of which there are {}", stretch.amount, holder.name, holder.count);
            return Err(CalendarFault::NeverFits(named(words)));
        }
    }
    Ok(())
}

impl BenchNet {
    /// The same with one item after another of any visit; `None` where that closes a circle.
    pub(crate) fn with_order(&self, from: usize, to: usize) -> Option<Self> {
        let mut other = self.clone();
        other.before[to].push(NetNeighbour { item: from, wait_s: 0 });
        let mut lags = self.lists.lags().to_vec();
        lags.push(ScheduleLag { from, to, wait: 0 });
        other.lists = ScheduleProblem::new(self.lists.jobs().to_vec(), Vec::new(), lags, Vec::new()).ok()?;
        Some(other)
    }
}
