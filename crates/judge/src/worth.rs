//! Judges which tasks are claimed to be worth adding to a visit, from the book and the claim alone.
//!
//! **Question.** Can the chosen tasks be done with what is stated to come off, by the stated ways, and is the visit worth what is
//! claimed? Whether another choice is worth more is not a question here.
//!
//! **Method.** Everything that is off or made is worked through one after the other from nothing; then the money is summed anew:
//! what tasks bring, less supplies, renewed parts and one-time fasteners, less hands-on time at the rate. The time of a fastener
//! off and on is the estimate that the way in is chosen by: a tool laid on twice, the fastener taken and started once, each
//! turn `TURN_S` both ways, each pass a tool laid on and a figure read; a clip two squeezes.

use std::collections::{BTreeMap, BTreeSet};

use model::{Book, ConditionId, Fixing, Need, PartId, Supply};
use units::Money;

use crate::Violation;

/// Cents by which sums may differ: each item's time is rounded to a millisecond and the sum to a cent.
const SAME_CENTS: f64 = 1.0;

/// What is claimed of a choice of tasks.
#[derive(Debug, Clone, PartialEq)]
pub struct WorthClaim<'c> {
    /// Keys of required tasks.
    pub must: Vec<&'c str>,
    /// Keys of the tasks added.
    pub added: Vec<&'c str>,
    /// Parts off, each with the key of the way taken where it has ways.
    pub parts: Vec<(&'c str, Option<&'c str>)>,
    /// Keys of the conditions made.
    pub conditions: Vec<&'c str>,
    /// What tasks bring, as asked.
    pub worth: Vec<(&'c str, Money)>,
    /// What an hour costs.
    pub rate_per_h: Money,
    /// What the visit is claimed to be worth.
    pub value: Money,
}

/// Every rule that the claim breaks: W1 names, W2 way in, W3 money.
#[must_use]
pub fn judge_worth(book: &Book, claim: &WorthClaim) -> Vec<Violation> {
    let mut found = Vec::new();
    let case = WorthCase::read_claim(book, claim, &mut found);
    case.judge_claimed_way(&mut found);
    let cents = case.visit_worth_cents(claim);
    if (cents - claim.value.as_cents() as f64).abs() > SAME_CENTS {
        let words = format!("the visit is worth {:.2}, not {}", cents / 100.0, claim.value);
        found.push(Violation { code: "W301", place: "value".into(), words });
    }
    found
}

/// A claim by ids.
struct WorthCase<'b> {
    book: &'b Book,
    tasks: BTreeSet<usize>,
    parts: BTreeMap<PartId, Option<usize>>,
    conditions: BTreeSet<usize>,
}

impl<'b> WorthCase<'b> {
    fn read_claim(book: &'b Book, claim: &WorthClaim, found: &mut Vec<Violation>) -> Self {
        let mut unknown = |what: &str, key: &str| {
            let words = format!("the book has no {what} `{key}`");
            found.push(Violation { code: "W101", place: "names".into(), words });
        };
        let mut case =
            Self { book, tasks: BTreeSet::new(), parts: BTreeMap::new(), conditions: BTreeSet::new() };
        for key in claim.must.iter().chain(&claim.added) {
            match book.task_by_key(key) {
                Some(task) => _ = case.tasks.insert(task.index()),
                None => unknown("task", key),
            }
        }
        for (key, way) in &claim.parts {
            let Some(part) = book.part_by_key(key) else {
                unknown("part", key);
                continue;
            };
            let position = way.map(|w| book.part(part).ways.iter().position(|known| known.key == w));
            if position == Some(None) {
                unknown("way", way.unwrap_or_default());
            }
            case.parts.insert(part, position.flatten());
        }
        for key in &claim.conditions {
            match book.conditions.iter().position(|c| c.key == *key) {
                Some(at) => _ = case.conditions.insert(at),
                None => unknown("condition", key),
            }
        }
        case
    }

    /// W201: something in the way cannot be worked, W202: a task is not open, W203: a hole has no access on the way.
    fn judge_claimed_way(&self, found: &mut Vec<Violation>) {
        let done = self.met_needs();
        let mut add = |code, words| found.push(Violation { code, place: "way in".into(), words });
        for part in self.parts.keys().filter(|p| !done.contains(&Need::Off(**p))) {
            add(
                "W201",
                format!(
                    "part `{}` cannot come off: what it needs off or made is missing",
                    self.book.part(*part).key
                ),
            );
        }
        let made = self.conditions.iter().map(|c| ConditionId::new(*c));
        for condition in made.filter(|c| !done.contains(&Need::Condition(*c))) {
            add("W201", format!("condition `{}` cannot be made", self.book.condition(condition).key));
        }
        for task in self.tasks.iter().map(|t| &self.book.tasks[*t]) {
            if !task.needs.iter().all(|n| done.contains(n)) {
                add("W202", format!("the way in does not open task `{}`", task.key));
            }
        }
        for (part, way) in &self.parts {
            for fixing in self.book.fixings_of(*part).map(|f| self.book.fixing(f)) {
                if self.some_way_serves(*part) && !are_holes_served(fixing, *way) {
                    add("W203", format!("a hole of `{}` has no access on the way taken", fixing.key));
                }
            }
        }
    }

    /// Whether any way of a part serves all its holes; where none does, the plan says so and the choice of way is free.
    fn some_way_serves(&self, part: PartId) -> bool {
        let serves = |way: Option<usize>| {
            self.book.fixings_of(part).all(|f| are_holes_served(self.book.fixing(f), way))
        };
        let ways = self.book.part(part).ways.len();
        if ways == 0 { serves(None) } else { (0..ways).any(|way| serves(Some(way))) }
    }

    /// What comes about when everything claimed is worked as soon as its needs are met.
    fn met_needs(&self) -> BTreeSet<Need> {
        let mut done = BTreeSet::new();
        loop {
            let before = done.len();
            for (part, way) in &self.parts {
                let record = self.book.part(*part);
                let of_way = way.map_or(&[][..], |w| &record.ways[w].needs);
                let settled = record.ways.is_empty() || way.is_some();
                if settled && record.needs.iter().chain(of_way).all(|n| done.contains(n)) {
                    done.insert(Need::Off(*part));
                }
            }
            for at in &self.conditions {
                if self.book.conditions[*at].needs.iter().all(|n| done.contains(n)) {
                    done.insert(Need::Condition(ConditionId::new(*at)));
                }
            }
            if done.len() == before {
                return done;
            }
        }
    }

    /// What the visit is worth.
    fn visit_worth_cents(&self, claim: &WorthClaim) -> f64 {
        let mut cents = 0.0;
        let mut seconds = 0.0;
        for at in &self.tasks {
            let task = &self.book.tasks[*at];
            if !claim.must.contains(&task.key.as_str()) {
                let asked = claim.worth.iter().filter(|(key, _)| *key == task.key).map(|(_, money)| *money);
                cents += (asked.sum::<Money>() + task.leaving.unwrap_or(Money::ZERO)).as_cents() as f64;
            }
            cents -= supplies_price_cents(&task.supplies);
            seconds += task.work_s();
        }
        for part in self.parts.keys() {
            let record = self.book.part(*part);
            cents -= supplies_price_cents(&record.renew_with);
            seconds += record.lift_s() + record.place_s();
            for fixing in self.book.fixings_of(*part).map(|f| self.book.fixing(f)) {
                cents -= renewed_price_cents(fixing);
                seconds += off_and_on_s(fixing);
            }
        }
        for condition in self.conditions.iter().map(|at| &self.book.conditions[*at]) {
            cents -= supplies_price_cents(&condition.supplies);
            seconds += (condition.establish_time + condition.restore_time).as_s();
        }
        cents - seconds / 3_600.0 * claim.rate_per_h.as_cents() as f64
    }
}

/// Whether every hole of a fixing has an access on a way.
fn are_holes_served(fixing: &Fixing, way: Option<usize>) -> bool {
    let open = fixing.accesses.iter().filter(|a| a.way.is_none() || a.way.map(usize::from) == way);
    let holes: BTreeSet<u16> = open.flat_map(|a| a.holes.iter().copied()).collect();
    (0..fixing.holes.len()).all(|hole| u16::try_from(hole).is_ok_and(|h| holes.contains(&h)))
}

/// Cents of some supplies, where prices are known.
fn supplies_price_cents(supplies: &[Supply]) -> f64 {
    supplies.iter().filter_map(|s| Some(s.price_cents?.as_cents() as f64 * f64::from(s.count))).sum()
}

/// Cents of fasteners that are renewed each time.
fn renewed_price_cents(fixing: &Fixing) -> f64 {
    let each = fixing.price.filter(|_| fixing.one_time).map_or(0, Money::as_cents);
    each as f64 * fixing.holes.len() as f64
}

/// Estimated seconds of a fixing off and on.
fn off_and_on_s(fixing: &Fixing) -> f64 {
    let each_s = if fixing.drive.is_turned() {
        let passes_s = fixing.tightening.stages.len() as f64 * (times::READ_S + times::APPLY_S);
        let by_hand_s = times::TAKE_S + times::HAND_START_S;
        by_hand_s + passes_s + 2.0 * times::APPLY_S + 2.0 * times::TURN_S * fixing.turns_to_free()
    } else {
        2.0 * times::SQUEEZE_S
    };
    each_s * fixing.holes.len() as f64
}
