//! What a job may cost: hours as a range, the way in charged once, parts by the book's prices, what may turn up with its chance and price.
//!
//! ```text
//! hours of a task   own work w_i;   way in and back, shared:  H − Σ w_i      with H the hands-on time of the plan
//! range             what half of such jobs and four in five do not pass    of H by the time model ([`times::sum`]), shared out by w_i/H
//! on average        Σ chance_k·(from_k + to_k)/2  over what may turn up      chances and prices are the mechanic's judgement
//! ```
//!
//! **Assumptions.** Each line has its share of the range of the whole, so that lines add up; what may turn up is independent, so that its average is a plain
//! sum.

use model::plan::Plan;
use model::{Book, Task};
use plan::hours::PlanHours;
use record::{OwnerWord, Visit};
use times::LikelyRange;
use units::Money;

use crate::paper::{hands_on_s, supply_line_price};

/// What an hour costs, and what stands under every estimate.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WorkshopTerms {
    /// Price of an hour of work, cents; `None`: nobody has said.
    pub cents_per_hour: Option<i64>,
    /// What the law of the place or the workshop's own rules ask for; empty: nothing was set.
    pub estimate_words: String,
}

/// A span of money, cents.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct MoneySpan {
    /// From.
    pub from_cents: i64,
    /// To.
    pub to_cents: i64,
}

impl MoneySpan {
    fn plus(self, other: Self) -> Self {
        Self {
            from_cents: self.from_cents.saturating_add(other.from_cents),
            to_cents: self.to_cents.saturating_add(other.to_cents),
        }
    }

    const fn of_one(cents: i64) -> Self {
        Self { from_cents: cents, to_cents: cents }
    }
}

/// A line of work.
#[derive(Debug, Clone, PartialEq)]
pub struct EstimateLine {
    /// What.
    pub what: String,
    /// Hands-on time, s: half of such jobs take no longer, and four in five.
    pub hands_s: LikelyRange,
    /// Price of its parts and supplies that are known.
    pub parts_cents: i64,
    /// Parts and supplies without a price.
    pub unpriced: usize,
}

/// Something that may be found, or was found and is not decided.
#[derive(Debug, Clone, PartialEq)]
pub struct EstimateRisk {
    /// What.
    pub what: String,
    /// How often in a hundred such jobs; `None`: it is there, the owner decides.
    pub chance_percent: Option<u8>,
    /// What it would cost; `None`: nobody has said.
    pub price: Option<MoneySpan>,
}

/// An estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct JobEstimate {
    /// The tasks, then the way in that all share.
    pub lines: Vec<EstimateLine>,
    /// Hands-on time of it all, s.
    pub hands_s: LikelyRange,
    /// Parts and supplies that are known, cents.
    pub parts_cents: i64,
    /// Parts and supplies without a price.
    pub unpriced: usize,
    /// What was found and approved.
    pub approved: Vec<EstimateRisk>,
    /// Price of work, parts and what was approved; `None` where no rate is set.
    pub fixed: Option<MoneySpan>,
    /// What may turn up, and what awaits the owner's word.
    pub if_found: Vec<EstimateRisk>,
    /// What of it costs on average, by the chances told, cents.
    pub average_extra_cents: i64,
    /// The most that it all may come to; `None` where no rate is set.
    pub most_cents: Option<i64>,
}

/// Estimates a job from its plan and the plan's hours.
#[must_use]
pub fn estimate_job(
    (book, plan): (&Book, &Plan),
    visit: Option<&Visit>,
    terms: &WorkshopTerms,
    hours: &PlanHours,
) -> JobEstimate {
    let span = |planned_s: f64| hours.hands_on.share(planned_s / hours.planned_s.max(1.0));
    let priced = tasks_priced_by_findings(visit);
    let (own, of_findings): (Vec<&Task>, Vec<&Task>) = book
        .tasks
        .iter()
        .filter(|task| plan.asked.tasks.contains(&task.key))
        .partition(|task| !priced.contains(&task.key.as_str()));
    let hands_s = hands_on_s(plan) - of_findings.iter().map(|task| task.work_s()).sum::<f64>();
    let known = plan.readiness.supplies.iter().filter_map(supply_line_price).map(Money::as_cents);
    let elsewhere: i64 = of_findings.iter().map(|task| task_parts_cents(task)).sum();
    let all_parts = (known.sum::<i64>() - elsewhere).max(0);
    let all_unpriced =
        plan.readiness.supplies.iter().filter(|line| supply_line_price(line).is_none()).count();
    let mut lines: Vec<EstimateLine> = own.iter().map(|task| task_line(task, span(task.work_s()))).collect();
    let own_s: f64 = own.iter().map(|task| task.work_s()).sum();
    let of_tasks: i64 = lines.iter().map(|line| line.parts_cents).sum();
    let unpriced_of_tasks: usize = lines.iter().map(|line| line.unpriced).sum();
    lines.push(EstimateLine {
        what: String::from("way in and back, shared by all of it"),
        hands_s: span((hands_s - own_s).max(0.0)),
        parts_cents: all_parts.saturating_sub(of_tasks).max(0),
        unpriced: all_unpriced.saturating_sub(unpriced_of_tasks),
    });
    let approved = findings_of(visit, true);
    let mut if_found = findings_of(visit, false);
    if_found.extend(told_risks(visit));
    if_found.extend(plan_risks(book, plan));
    let of_approved =
        approved.iter().filter_map(|risk| risk.price).fold(MoneySpan::default(), MoneySpan::plus);
    let labour = terms.cents_per_hour.map(|rate| MoneySpan {
        from_cents: labour_cents(span(hands_s).p50_s, rate),
        to_cents: labour_cents(span(hands_s).p80_s, rate),
    });
    let fixed = labour.map(|labour| labour.plus(MoneySpan::of_one(all_parts)).plus(of_approved));
    let average = |risk: &EstimateRisk| {
        let (chance, price) = (risk.chance_percent?, risk.price?);
        Some((price.from_cents + price.to_cents) as f64 / 2.0 * f64::from(chance) / 100.0)
    };
    let average_extra: f64 = if_found.iter().filter_map(average).sum();
    let most: i64 = if_found.iter().filter_map(|risk| risk.price).map(|price| price.to_cents).sum();
    JobEstimate {
        lines,
        hands_s: span(hands_s),
        parts_cents: all_parts,
        unpriced: all_unpriced,
        approved,
        fixed,
        average_extra_cents: units::math::round(average_extra) as i64,
        most_cents: fixed.map(|fixed| fixed.to_cents.saturating_add(most)),
        if_found,
    }
}

/// Tasks whose whole price the owner was told with a finding, and approved: they are charged there and nowhere else.
#[must_use]
pub fn tasks_priced_by_findings(visit: Option<&Visit>) -> Vec<&str> {
    let all = visit.into_iter().flat_map(|visit| visit.findings.values());
    let priced = all.filter(|finding| {
        finding.is_approved() && finding.price_from_cents.or(finding.price_to_cents).is_some()
    });
    priced.filter_map(|finding| finding.task.as_deref()).collect()
}

/// What a task's parts and supplies cost, as far as the book tells, cents.
#[must_use]
pub fn task_parts_cents(task: &Task) -> i64 {
    let price =
        |supply: &model::Supply| supply.price_cents.map(|price| price.as_cents() * i64::from(supply.count));
    task.supplies.iter().filter_map(price).sum()
}

fn labour_cents(hands_s: f64, cents_per_hour: i64) -> i64 {
    units::math::round(hands_s / 3_600.0 * cents_per_hour as f64) as i64
}

fn task_line(task: &Task, hands_s: LikelyRange) -> EstimateLine {
    EstimateLine {
        what: task.title.clone(),
        hands_s,
        parts_cents: task_parts_cents(task),
        unpriced: task.supplies.iter().filter(|supply| supply.price_cents.is_none()).count(),
    }
}

/// Findings that the owner approved, or those without an answer.
fn findings_of(visit: Option<&Visit>, approved: bool) -> Vec<EstimateRisk> {
    let all = visit.into_iter().flat_map(|visit| visit.findings.values());
    let wanted = all.filter(|finding| match finding.answer.as_ref().map(|answer| answer.word) {
        Some(OwnerWord::Yes) => approved,
        Some(OwnerWord::No) => false,
        Some(OwnerWord::Call) | None => !approved,
    });
    wanted
        .map(|finding| {
            let (from, to) = (finding.price_from_cents, finding.price_to_cents);
            let price = from
                .or(to)
                .zip(to.or(from))
                .map(|(from, to)| MoneySpan { from_cents: from.min(to), to_cents: from.max(to) });
            EstimateRisk { what: finding.words.clone(), chance_percent: None, price }
        })
        .collect()
}

fn told_risks(visit: Option<&Visit>) -> Vec<EstimateRisk> {
    let all = visit.into_iter().flat_map(|visit| &visit.risks);
    all.map(|risk| EstimateRisk {
        what: risk.words.clone(),
        chance_percent: Some(risk.chance_percent),
        price: Some(MoneySpan { from_cents: risk.price_from_cents, to_cents: risk.price_to_cents }),
    })
    .collect()
}

/// What the plan itself names: fasteners that may break, without a price, because nobody told one.
fn plan_risks(book: &Book, plan: &Plan) -> Vec<EstimateRisk> {
    let line = |line: &model::plan::RescueLine| EstimateRisk {
        what: format!("{} may break or seize when undone", crate::titles::fixing_title(book, &line.fixing)),
        chance_percent: None,
        price: None,
    };
    plan.readiness.rescue.iter().map(line).collect()
}

/// An amount without its currency: `120.00`.
#[must_use]
pub fn plain_amount(cents: i64) -> String {
    Money::from_cents(cents).to_string()
}

/// An amount of money in words.
#[must_use]
pub fn amount_words(cents: i64, currency: &str) -> String {
    format!("{} {currency}", plain_amount(cents))
}

/// A sum that rests on estimated hours: an estimate deserves no cents.
#[must_use]
pub fn about_amount_words(cents: i64, currency: &str) -> String {
    format!("{} {currency}", Money::from_cents(cents).about_text())
}

/// `120 to 150 EUR`, or one figure where both ends come to the same.
#[must_use]
pub fn about_span_words(span: MoneySpan, currency: &str) -> String {
    let (from, to) =
        (Money::from_cents(span.from_cents).about_text(), about_amount_words(span.to_cents, currency));
    if to == format!("{from} {currency}") { to } else { format!("{from} to {to}") }
}

/// `120.00 to 150.00 EUR`, or one figure where both ends are alike.
#[must_use]
pub fn span_words(span: MoneySpan, currency: &str) -> String {
    if span.from_cents == span.to_cents {
        return amount_words(span.from_cents, currency);
    }
    format!("{} to {}", Money::from_cents(span.from_cents), amount_words(span.to_cents, currency))
}
