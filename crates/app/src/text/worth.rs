//! Which tasks are worth adding, as text: the choice first, then why, then what it depends on.

use super::table::{PageWidth, TextAlign, TextTable, bullet, heading};
use crate::job_hours::{KnownTimes, allowance_words};
use model::SolverStanding;
use plan::worth::{OpenedItem, TaskChoice, VisitWorth};
use times::shown::rounded_words;
use units::Money;

/// Choices explained in full when not all are requested: those nearest to turning.
const MAX_REASONS: usize = 3;
/// Names spelled out in a cell.
const MAX_NAMES: usize = 1;

/// The choice: a table, and the reasons of the choices nearest to turning, or of all.
#[must_use]
pub fn format_worth(worth: &VisitWorth, all_reasons: bool, width: PageWidth) -> String {
    let mut out = worth_verdict(worth, width);
    let (added, left): (Vec<&TaskChoice>, Vec<&TaskChoice>) = worth.choices.iter().partition(|c| c.add);
    push_choice_table(&mut out, "worth adding", &added, width);
    push_choice_table(&mut out, "better left for another visit", &left, width);
    if all_reasons {
        push_reasons(&mut out, "why each", &worth.choices.iter().collect::<Vec<_>>(), width);
    } else {
        push_reasons(&mut out, "nearest to turning", &nearest_choices(worth), width);
    }
    push_way_in_costs(&mut out, worth, width);
    push_rate_range(&mut out, worth, width);
    if !worth.unpriced.is_empty() {
        out.push_str(&heading("no price in the book, counted as zero"));
        worth.unpriced.iter().for_each(|name| out.push_str(&bullet(width, "  - ", name)));
    }
    out.push('\n');
    out.push_str(&bullet(width, "", &assumption_words(worth)));
    let note = "Only the plan shows whether every fastener can be worked. The maker's service data win.";
    out.push_str(&bullet(width, "", note));
    out
}

/// What all sums assume, and whether the choice bears what jobs usually take longer.
fn assumption_words(worth: &VisitWorth) -> String {
    let known = KnownTimes::assumed();
    let (half, likely) = times::sum::ratios_of_long_job(&known.shared());
    let rate_at = |ratio: f64| {
        let cents = units::math::round(worth.rate_per_h_cents.as_cents() as f64 * ratio) as i64;
        Money::from_cents(cents)
    };
    let is_within = |rate: Money| {
        worth.rates_cents.is_some_and(|(low, high)| rate >= low && high.is_none_or(|high| rate <= high))
    };
    let holds = match (worth.rates_cents.is_some(), is_within(rate_at(half)), is_within(rate_at(likely))) {
        (false, ..) => "whether the choice stays the same then was not worked out",
        (true, true, true) => "the choice stays the same",
        (true, true, false) => "the choice stays the same for half of such jobs, not for four in five",
        (true, false, _) => "the choice is another then: ask again at that rate",
    };
    format!(
        "Sums are rounded and assume the planned times, made before any tool is chosen and without {}, the prices of the book and the \
         worths as given. Half of such jobs take {half:.1} times the planned times, four in five up to {likely:.1} times; that weighs like \
         {} to {} {}/h: {holds}.",
        allowance_words(&known.settings),
        rate_at(half).about_text(),
        rate_at(likely).about_text(),
        worth.currency,
    )
}

/// The choices with the least margins.
fn nearest_choices(worth: &VisitWorth) -> Vec<&TaskChoice> {
    let mut known: Vec<&TaskChoice> = worth.choices.iter().filter(|c| c.margin_cents.is_some()).collect();
    known.sort_by_key(|c| c.margin_cents);
    known.truncate(MAX_REASONS);
    known
}

fn worth_verdict(worth: &VisitWorth, width: PageWidth) -> String {
    let added = worth.choices.iter().filter(|c| c.add).count();
    let tasks = if added == 1 { "one task is".into() } else { format!("{added} tasks are") };
    let gain = worth.alone_cents.map(|alone| {
        let gain = Money::from_cents(worth.value_cents.as_cents() - alone.as_cents());
        format!(
            "; the visit is worth about {} {} more than with the required tasks alone",
            gain.about_text(),
            worth.currency
        )
    });
    let sure = match worth.standing {
        SolverStanding::Proven => "proven best".into(),
        SolverStanding::Found | SolverStanding::Stopped | SolverStanding::Impossible => {
            format!("best found, no choice brings more than {}", worth.bound_cents.about_text())
        }
    };
    let rate = format!("{} {}/h", worth.rate_per_h_cents.short_text(), worth.currency);
    let text = format!("At {rate} {tasks} worth adding{} ({sure}).", gain.unwrap_or_default());
    let mut out = bullet(width, "", &text);
    if !worth.must.is_empty() {
        out.push_str(&bullet(width, "required: ", &worth.must.join(", ")));
    }
    out
}

/// One line a task: what it brings and takes, and by how much the choice is right.
fn push_choice_table(out: &mut String, title: &str, choices: &[&TaskChoice], width: PageWidth) {
    if choices.is_empty() {
        return;
    }
    out.push_str(&heading(title));
    let mut table = TextTable::new(&[
        ("task", TextAlign::Left),
        ("brings", TextAlign::Right),
        ("work, parts", TextAlign::Right),
        ("way in", TextAlign::Right),
        ("margin", TextAlign::Right),
    ]);
    for choice in choices {
        table.add_row(&[
            choice.title.clone(),
            (choice.worth_cents + choice.leaving_cents).about_text(),
            (choice.work_cents + choice.supplies_cents).about_text(),
            choice.way_in_cents.about_text(),
            choice.margin_cents.map_or_else(|| "any amount".into(), Money::at_most_text),
        ]);
    }
    out.push_str(&table.to_text(width));
}

fn push_reasons(out: &mut String, title: &str, choices: &[&TaskChoice], width: PageWidth) {
    if choices.is_empty() {
        return;
    }
    out.push_str(&heading(title));
    for choice in choices {
        out.push_str(&bullet(width, "  - ", &format!("{} ({})", choice.title, choice.task)));
        out.push_str(&bullet(width, "    ", &format!("{}.", choice.reason)));
        if !choice.stays.is_empty() {
            out.push_str(&bullet(width, "    ", &format!("{}.", choice.stays)));
        }
    }
}

fn push_way_in_costs(out: &mut String, worth: &VisitWorth, width: PageWidth) {
    if worth.way_in.is_empty() {
        return;
    }
    out.push_str(&heading("the way in, opened once"));
    let mut table = TextTable::new(&[
        ("what", TextAlign::Left),
        ("time", TextAlign::Right),
        ("cost", TextAlign::Right),
        ("could cost more by", TextAlign::Right),
        ("for", TextAlign::Left),
    ]);
    for opened in &worth.way_in {
        table.add_row(&opened_row(opened));
    }
    out.push_str(&table.to_text(width));
}

fn opened_row(opened: &OpenedItem) -> [String; 5] {
    let way = opened.way.as_ref().map_or_else(String::new, |w| format!(" ({w})"));
    let margin = opened.margin_cents.map_or_else(|| "any amount".into(), Money::at_most_text);
    let time = rounded_words(opened.seconds);
    let (named, more) = opened.wanted_by.split_at(opened.wanted_by.len().min(MAX_NAMES));
    let more = if more.is_empty() { String::new() } else { format!(" and {} more", more.len()) };
    let wanted_by = format!("{}{more}", named.join(", "));
    [format!("{}{way}", opened.title), time, opened.cents.about_text(), margin, wanted_by]
}

fn push_rate_range(out: &mut String, worth: &VisitWorth, width: PageWidth) {
    let Some((low, high)) = worth.rates_cents else { return };
    let unit = format!("{}/h", worth.currency);
    let rates = high.map_or_else(
        || format!("from {} {unit} upwards", low.at_least_text()),
        |high| format!("from {} to {} {unit}", low.at_least_text(), high.at_most_text()),
    );
    out.push('\n');
    let text = format!("The choice is the same at every rate {rates}.");
    out.push_str(&bullet(width, "", &text));
}
