//! Measures: limits in order and in one unit, grades that have a worst one.
//!
//! Why: a reading is judged without a second look at the book; a limit that cannot be met or compared judges it wrongly.

use super::{RuleSubject, rule, rule_error};
use faults::FaultRule;
use model::{Measure, MeasureFigure};

rule! { B128 "limits that do not fit together",
why "A least value above the greatest, two units, or a worst grade that is none of the grades would judge every reading wrongly.",
bad "[[measure]]\ntitle = \"end play\"\nlow   = \"0.30 mm\"\nhigh  = \"0.10 mm\"",
help "write the lower limit first, all in one unit; let `worst` name one of `grades`; write a share as `75 %`." }

pub(super) const RULES: &[FaultRule] = &[B128];

pub(super) fn check_measures(subject: &RuleSubject<'_>) {
    for (measure, spot) in subject.book.measures.iter().zip(&subject.spots.measures) {
        for (key, message) in list_misfits(measure) {
            let place = spot.key(key).span;
            subject.bag.push(rule_error(&B128, message, place, "does not fit"));
        }
    }
}

/// What does not fit: the key of the book's table and the message.
fn list_misfits(measure: &Measure) -> Vec<(&'static str, String)> {
    let mut found = Vec::new();
    let title = &measure.title;
    let limits = measure.limits();
    let written = [
        ("low", &measure.low),
        ("high", &measure.high),
        ("apart", &measure.apart),
        ("gauge_error", &measure.gauge_error),
    ];
    for (key, text) in written {
        let figure = text.as_deref().and_then(MeasureFigure::parse);
        if let Some(other) = figure.filter(|figure| figure.unit != limits.unit) {
            found.push((key, format!("`{title}` is in {}, this in {}", limits.unit, other.unit)));
        }
    }
    if limits.low.zip(limits.high).is_some_and(|(low, high)| low > high) {
        found.push(("low", format!("the least of `{title}` is above its greatest")));
    }
    if measure.lowest_of_highest.is_some() && limits.lowest_share.is_none() {
        found.push(("lowest_of_highest", format!("`{title}`: the share is not between 0 and 100 %")));
    }
    if [limits.apart, limits.gauge_error].into_iter().flatten().any(|figure| figure <= 0.0) {
        let key = if limits.apart.is_some_and(|apart| apart <= 0.0) { "apart" } else { "gauge_error" };
        found.push((key, format!("`{title}`: this is not above zero")));
    }
    if measure.worst.is_some() && measure.worst_grade().is_none() {
        found.push(("worst", format!("`{title}`: the worst grade is none of its grades")));
    }
    if !measure.grades.is_empty() && written.iter().any(|(_, text)| text.is_some()) {
        found.push(("grades", format!("`{title}` has grades and limits in figures")));
    }
    found
}
