//! Why a task is added or left, and until when that stays right, in sentences.

use closure::ways::WaysAnswer;
use effort::SolverStanding;
use model::TaskId;
use times::shown::at_most_words;
use units::Money;

use super::{SolvedWorth, TaskChoice, items};

/// A task with its reason, beside the best answer in which it is chosen the other way.
pub(super) fn explain_choice(solved: &SolvedWorth, task: TaskId, turned: Option<&WaysAnswer>) -> TaskChoice {
    let record = solved.book.task(task);
    let item = solved.items.task_item(task);
    let add = solved.answer.chosen[item];
    let worth = solved.asked.worth.get(&task).copied().unwrap_or(Money::ZERO);
    let leaving = record.leaving.unwrap_or(Money::ZERO);
    let work = money_of_work(record.work_s(), solved.asked.rate_per_h);
    let own = items::round_to_cents(solved.problem.items()[item].value);
    let brings = worth + leaving;
    let supplies = Money::from_cents(brings.as_cents() - work.as_cents() - own.as_cents());
    let difference = turned.map(|other| ChoiceDifference::new(solved, item, other));
    let mut choice = TaskChoice {
        task: record.key.clone(),
        title: record.title.clone(),
        add,
        worth_cents: worth,
        leaving_cents: leaving,
        work_s: record.work_s(),
        work_cents: work,
        supplies_cents: supplies,
        way_in_cents: difference.as_ref().map_or(Money::ZERO, |d| d.way_in),
        way_in: difference.as_ref().map_or_else(Vec::new, |d| d.opened.clone()),
        others: difference.as_ref().map_or_else(Vec::new, |d| d.others.clone()),
        margin_cents: turned.map(|other| items::floor_to_cents(solved.answer.value - other.value)),
        reason: String::new(),
        stays: String::new(),
    };
    choice.reason = choice_reason(&choice, own, solved.answer.standing);
    choice.stays = stays_right_words(&choice, solved.asked.rate_per_h);
    choice
}

fn money_of_work(work_s: f64, rate_per_h: Money) -> Money {
    Money::from_cents((work_s * rate_per_h.as_cents() as f64 / 3_600.0).round() as i64)
}

/// What changes when a task is chosen the other way.
struct ChoiceDifference {
    /// What the way in costs more with the task.
    way_in: Money,
    /// What is off or made only with the task.
    opened: Vec<String>,
    /// Other tasks that change sides.
    others: Vec<String>,
}

impl ChoiceDifference {
    fn new(solved: &SolvedWorth, item: usize, other: &WaysAnswer) -> Self {
        let (with, without) =
            if solved.answer.chosen[item] { (&solved.answer, other) } else { (other, &solved.answer) };
        let way = 0..solved.items.way_count();
        let cost = |answer: &WaysAnswer| {
            let inside = way.clone().filter(|i| answer.chosen[*i]);
            -inside.map(|i| solved.problem.items()[i].value).sum::<i64>()
        };
        let title = |i: usize| solved.items.item_title(solved.book, i).to_owned();
        let only = way.clone().filter(|i| with.chosen[*i] && !without.chosen[*i]);
        let tasks = solved.items.way_count()..with.chosen.len();
        let others = tasks.filter(|i| *i != item && with.chosen[*i] != without.chosen[*i]);
        Self {
            way_in: items::round_to_cents(cost(with) - cost(without)),
            opened: only.map(title).collect(),
            others: others.map(title).collect(),
        }
    }
}

/// At most this many names are spelled out in a sentence.
const MAX_NAMES_IN_SENTENCE: usize = 4;

fn join_names(all: &[String]) -> String {
    match all.len().checked_sub(MAX_NAMES_IN_SENTENCE) {
        Some(more) if more > 0 => format!("{} and {more} more", all[..MAX_NAMES_IN_SENTENCE].join(", ")),
        _ => all.join(", "),
    }
}

/// What rests on estimates has no cents.
fn about(money: Money) -> String {
    money.about_text()
}

fn choice_reason(choice: &TaskChoice, own: Money, standing: SolverStanding) -> String {
    if choice.margin_cents.is_none() {
        return match (standing, choice.add) {
            (SolverStanding::Proven, false) => "every way in to it is circular".into(),
            (SolverStanding::Proven, true) => "it comes with the required tasks".into(),
            (SolverStanding::Found | SolverStanding::Stopped | SolverStanding::Impossible, _) => {
                "the best found when the search was cut short".into()
            }
        };
    }
    let brings = choice.worth_cents + choice.leaving_cents;
    if brings == Money::ZERO {
        return "no worth was given for it".into();
    }
    let first = format!(
        "{} less {} for work and {} for parts",
        about(brings),
        about(choice.work_cents),
        about(choice.supplies_cents)
    );
    let way = way_in_words(choice);
    let others = if choice.others.is_empty() {
        String::new()
    } else {
        format!("; the choice of {} depends on it", join_names(&choice.others))
    };
    let sum = if own.as_cents() > 0 { "leaves" } else { "comes to" };
    format!("{first} {sum} {}; {way}{others}", about(own))
}

fn way_in_words(choice: &TaskChoice) -> String {
    let opened = choice.opened_words();
    match (choice.add, choice.way_in_cents.as_cents()) {
        (_, 0) if choice.way_in.is_empty() => "the way in is open anyway".into(),
        (true, 1..) => format!("of which the way in costs {}{opened}", about(choice.way_in_cents)),
        (true, _) => format!("the way in costs nothing more{opened}"),
        (false, 1..) => format!("the way in would cost {}{opened}", about(choice.way_in_cents)),
        (false, _) => format!("the way in would cost nothing more{opened}"),
    }
}

impl TaskChoice {
    fn opened_words(&self) -> String {
        if self.way_in.is_empty() { String::new() } else { format!(" ({})", join_names(&self.way_in)) }
    }
}

fn stays_right_words(choice: &TaskChoice, rate_per_h: Money) -> String {
    let Some(margin) = choice.margin_cents else { return String::new() };
    if margin.as_cents() < 100 {
        return "adding it or leaving it makes no difference that counts: less than 1".into();
    }
    let least = margin.at_most_text();
    if !choice.add {
        return format!("holds until its worth rises by {least}");
    }
    let rate = rate_per_h.as_cents();
    if rate <= 0 {
        return format!("holds until its parts cost {least} more or its worth falls by {least}");
    }
    let seconds = margin.as_cents() as f64 / rate as f64 * 3_600.0;
    let longer = at_most_words(seconds);
    format!(
        "holds until its parts cost {least} more, its worth falls by {least} or its work takes {longer} longer"
    )
}
