//! Answers of `traywright trend` as text: the answer first, then why, then what to beware of.
//!
//! symbol: share, confidence = pure numbers

use ::trend::answers::line::LineAnswer;
use ::trend::answers::odometer::{MilestoneDay, OdometerAnswer};
use ::trend::answers::reading::ReadingAnswer;
use ::trend::answers::wear::WearAnswer;
use ::trend::crossing::LineCrossing;
use ::trend::next_due::DueBy;
use ::trend::odometer::OdometerBasis;
use ::trend::places::{PlaceJudgement, SpreadJudgement};
use ::trend::reading_verdict::{MeasureAgain, ReadingLimit, ReadingOutcome};
use ::trend::shown::{show_figure, show_interval, show_with_deviation};
use ::trend::wear::WearBasis;
use app::text::table::{PageWidth, TextAlign, TextTable, bullet, heading, heading_in};

/// Width of the names before the leading figures.
const NAME: usize = 13;

/// A leading figure: its name, then the figure.
fn push_lead(out: &mut String, name: &str, text: &str, width: PageWidth) {
    out.push_str(&bullet(width, &format!("{name:<NAME$}"), text));
}

fn push_list(out: &mut String, title: &str, lines: &[String], width: PageWidth) {
    if !lines.is_empty() {
        out.push_str(&heading(title));
        lines.iter().for_each(|line| out.push_str(&bullet(width, "  - ", line)));
    }
}

fn percent(share: f64) -> String {
    format!("{} %", show_figure(100.0 * share, 3))
}

/// Where a line reaches a level, in words.
fn crossing_words(crossing: &LineCrossing, confidence: f64) -> String {
    match crossing {
        LineCrossing::Between { estimate_x, low_x, high_x, .. } => {
            format!("at {}, {} sure", show_interval(*estimate_x, *low_x, *high_x), percent(confidence))
        }
        LineCrossing::EstimateOnly { estimate_x, .. } => {
            format!("at about {}; how sure that is cannot be told", show_figure(*estimate_x, 2))
        }
        LineCrossing::CannotTell { outside: Some((low, high)), .. } => format!(
            "CANNOT TELL: the slope may be nought; only what lies between {} and {} is ruled out",
            show_figure(*low, 3),
            show_figure(*high, 3)
        ),
        LineCrossing::CannotTell { outside: None, .. } => {
            String::from("CANNOT TELL: the slope may be nought, and no place is ruled out")
        }
    }
}

/// The answer about a line.
pub fn format_line(answer: &LineAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    if let Some(level) = &answer.crossing {
        let y = show_figure(level.level_y, 4);
        push_lead(
            &mut out,
            "line",
            &format!("reaches {y} {}", crossing_words(&level.line, answer.confidence)),
            width,
        );
        let readings = if level.readings == 1 { "a reading" } else { "the mean reading" };
        let words = crossing_words(&level.reading, answer.confidence);
        push_lead(
            &mut out,
            "reading",
            &format!("{readings} of {y} comes from {}", words.trim_start_matches("at ")),
            width,
        );
    }
    if let Some(curve) = &answer.curve_level {
        for (name, stretches) in [("curve", &curve.line), ("reading", &curve.reading)] {
            for s in stretches {
                let middle = s.estimate_x.unwrap_or_else(|| f64::midpoint(s.low_x, s.high_x));
                let open = if s.ends_with_the_readings { ", cut off where the readings end" } else { "" };
                let place = show_interval(middle, s.low_x, s.high_x);
                push_lead(
                    &mut out,
                    name,
                    &format!("{} at {place}{open}", show_figure(curve.level, 4)),
                    width,
                );
            }
        }
    }
    for place in &answer.at {
        let line = show_interval(place.value, place.line_low, place.line_high);
        let reading = show_interval(place.value, place.reading_low, place.reading_high);
        let text = format!("{line}; one new reading {reading}, {} sure", percent(answer.confidence));
        push_lead(&mut out, &format!("at {}", show_figure(place.x, 6)), &text, width);
    }
    push_lead(&mut out, "fit", &format!("{}, {} readings", answer.form, answer.readings), width);
    if let Some(scatter) = answer.scatter {
        let text = format!("{} on {} degrees of freedom", show_figure(scatter, 3), answer.freedom);
        push_lead(&mut out, "scatter", &text, width);
    }
    if answer.has_known_uncertainties {
        let text =
            format!("{} on {} degrees of freedom", show_figure(answer.residual_squares, 3), answer.freedom);
        push_lead(&mut out, "chi squared", &text, width);
    }
    if let Some(share) = answer.r_squared {
        push_lead(&mut out, "R squared", &show_figure(share, 4), width);
    }
    out.push_str(&heading("coefficients"));
    let mut table = TextTable::new(&[
        ("of", TextAlign::Left),
        ("estimate", TextAlign::Right),
        ("deviation", TextAlign::Right),
    ]);
    for term in &answer.terms {
        let deviation = term.deviation.map_or_else(|| String::from("not known"), |d| show_figure(d, 2));
        table.add_row(&[term.term.clone(), show_with_deviation(term.estimate, term.deviation), deviation]);
    }
    out.push_str(&table.to_text(width));
    let source = "Least squares (NIST StRD); places by Fieller, so that a slope that may be nought is told";
    push_list(&mut out, "source", &[source.to_owned()], width);
    push_list(&mut out, "caution", &answer.cautions, width);
    out
}

/// The answer about wear.
pub fn format_wear(answer: &WearAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    let limit = show_figure(answer.limit, 4);
    let reached = crossing_words(&answer.reached, answer.confidence);
    let joined = match (&answer.reached, answer.is_past) {
        (LineCrossing::CannotTell { .. }, _) => ":",
        (_, true) => " PASSED",
        (_, false) => " reached",
    };
    push_lead(&mut out, "limit", &format!("{limit}{joined} {reached}"), width);
    if let (Some(low), Some(high)) = (answer.rate_low, answer.rate_high) {
        push_lead(
            &mut out,
            "rate",
            &format!("{} per {}", show_interval(answer.rate, low, high), answer.x),
            width,
        );
    } else {
        push_lead(
            &mut out,
            "rate",
            &format!("about {} per {}", show_figure(answer.rate, 2), answer.x),
            width,
        );
    }
    push_lead(
        &mut out,
        "readings",
        &format!("{} of {}, the last at {}", answer.readings, answer.y, show_figure(answer.last_x, 6)),
        width,
    );
    if let Some(scatter) = answer.scatter {
        push_lead(&mut out, "scatter", &show_figure(scatter, 2), width);
    }
    let basis = match answer.basis {
        WearBasis::ReadingsAlone => "the readings alone",
        WearBasis::ReadingsAndGauge => {
            "the readings and the uncertainty stated (8 degrees of freedom, GUM G.4.2)"
        }
        WearBasis::UsualRate => "the readings and the usual rate stated",
    };
    push_lead(&mut out, "rests on", basis, width);
    if let Some(prior) = &answer.prior {
        push_lead(&mut out, "prior", &prior.words, width);
    }
    let source = match answer.basis {
        WearBasis::UsualRate => "Posterior of a line with a stated prior for its slope (docs/trend.md)",
        WearBasis::ReadingsAlone | WearBasis::ReadingsAndGauge => {
            "Line through the readings, place by Fieller; the line itself, not the next reading of the gauge"
        }
    };
    push_list(&mut out, "source", &[source.to_owned()], width);
    push_list(&mut out, "caution", &answer.cautions, width);
    out
}

fn milestone_words(day: &MilestoneDay) -> String {
    let date = |text: &Option<String>| text.clone().unwrap_or_else(|| String::from("beyond the calendar"));
    let high = match (&day.high_days, &day.high_date) {
        (None, _) => String::from("an end that the readings do not tell"),
        (Some(_), text) => date(text),
    };
    format!("{} ({} to {high})", date(&day.estimate_date), date(&day.low_date))
}

/// The answer about an odometer, in the unit asked for.
pub fn format_odometer(answer: &OdometerAnswer, unit: &str, unit_km: f64, width: PageWidth) -> String {
    let mut out = String::new();
    let distance = |km: f64| format!("{:.0} {unit}", km / unit_km);
    if let Some(due) = &answer.due {
        let first = match (due.first, due.distance_first_probability) {
            (DueBy::Distance, _) => String::from("the distance comes first"),
            (DueBy::Date, _) => String::from("the date comes first"),
            (DueBy::Either, Some(p)) => format!("the distance comes first in {} of cases", percent(p)),
            (DueBy::Either, None) => String::from("either may come first"),
        };
        let date = |text: &Option<String>| text.clone().unwrap_or_else(|| String::from("not known"));
        let text = format!(
            "{} ({} to {}): {first}",
            date(&due.estimate_date),
            date(&due.low_date),
            date(&due.high_date)
        );
        push_lead(&mut out, "next due", &text, width);
    }
    if let Some(km) = answer.due_at_km {
        let words = answer.answered.milestone.as_ref().map_or_else(
            || String::from("CANNOT TELL within a century"),
            |m| format!("{}, {} sure", milestone_words(m), percent(answer.confidence)),
        );
        push_lead(&mut out, "milestone", &format!("{} on {words}", distance(km)), width);
    }
    if let Some(rate) = &answer.answered.rate {
        let in_unit = |per_day: f64| per_day / unit_km;
        let (value, low) = (in_unit(rate.estimate_km_per_day), in_unit(rate.low_km_per_day));
        let high = in_unit(rate.high_km_per_day.unwrap_or(rate.estimate_km_per_day));
        let year = show_interval(value * 365.25, low * 365.25, high * 365.25);
        push_lead(
            &mut out,
            "rate",
            &format!("{} {unit} a day, {year} a year", show_interval(value, low, high)),
            width,
        );
    }
    let last = answer.last_date.clone().unwrap_or_else(|| String::from("a day beyond the calendar"));
    push_lead(&mut out, "last reading", &format!("{} on {last}", distance(answer.last_km)), width);
    push_lead(
        &mut out,
        "readings",
        &format!("{} noted, {} used, over {:.0} days", answer.readings, answer.used, answer.span_days),
        width,
    );
    let basis = match answer.basis {
        OdometerBasis::ReadingsAlone => "the readings alone",
        OdometerBasis::WithPrior => "the readings and what is usual, because they are few",
    };
    push_lead(&mut out, "rests on", basis, width);
    if answer.basis == OdometerBasis::WithPrior {
        push_lead(&mut out, "prior", &answer.prior.words, width);
    }
    let slips: Vec<String> = answer
        .slips
        .iter()
        .map(|slip| {
            let meant =
                slip.suggested_km.map_or_else(String::new, |km| format!("; {} would fit", distance(km)));
            let date = slip.date.clone().unwrap_or_default();
            format!("line {}, {date}: {}: {}{meant}", slip.line, distance(slip.noted_km), slip.words)
        })
        .collect();
    push_list(&mut out, "slips", &slips, width);
    let source = "Drifting Brownian motion of the distance (Chhikara and Folks 1989); docs/trend.md";
    push_list(&mut out, "source", &[source.to_owned()], width);
    push_list(&mut out, "caution", &answer.cautions, width);
    out
}

const fn outcome_word(outcome: ReadingOutcome) -> &'static str {
    match outcome {
        ReadingOutcome::Pass => "PASS",
        ReadingOutcome::Fail => "FAIL",
        ReadingOutcome::TooClose => "TOO CLOSE TO CALL: measure again",
    }
}

fn again_words(again: MeasureAgain, unit: &str) -> String {
    match again {
        MeasureAgain::MoreReadings { in_all } => {
            format!("{in_all} readings in all with the same gauge would settle it, were their mean to stay")
        }
        MeasureAgain::BetterGauge { standard_uncertainty } => format!(
            "a gauge with a standard uncertainty of at most {} {unit} would settle it, were the value to stay",
            show_figure(standard_uncertainty, 2)
        ),
        MeasureAgain::OnTheLimit => {
            String::from("it lies on the limit, and no gauge will tell; treat it as at its limit")
        }
    }
}

fn limit_words(limit: ReadingLimit, unit: &str) -> String {
    match limit {
        ReadingLimit::AtLeast(low) => format!("at least {} {unit}", show_figure(low, 6)),
        ReadingLimit::AtMost(high) => format!("at most {} {unit}", show_figure(high, 6)),
        ReadingLimit::Between(low, high) => {
            format!("{} to {} {unit}", show_figure(low, 6), show_figure(high, 6))
        }
    }
}

/// The answer about readings.
pub fn format_reading(answer: &ReadingAnswer, width: PageWidth) -> String {
    let mut out = String::new();
    let unit = &answer.unit;
    push_lead(&mut out, "verdict", outcome_word(answer.outcome), width);
    if let [one] = &answer.places[..] {
        push_place(&mut out, one, unit, width);
    }
    if let Some(spread) = &answer.spread {
        push_spread(&mut out, spread, unit, width);
    }
    if let Some(limit) = answer.limit {
        push_lead(&mut out, "limit", limit_words(limit, unit).trim_end(), width);
    }
    if answer.places.len() > 1 {
        push_places(&mut out, &answer.places, unit, width);
    }
    for grade in &answer.grades {
        let looks: Vec<String> = grade.looks.iter().map(u32::to_string).collect();
        push_lead(
            &mut out,
            &grade.place,
            &format!("grade {}: {}", looks.join(", "), outcome_word(grade.outcome)),
            width,
        );
    }
    push_list(&mut out, "why", &[answer.rule.to_owned()], width);
    if let Some(note) = &answer.note {
        let mut lines = vec![format!("{}: {}", note.instrument, note.method)];
        if answer.outcome == ReadingOutcome::TooClose {
            lines.push(format!("again: {}", note.again));
        }
        push_list(&mut out, "how it is taken", &lines, width);
    }
    push_list(&mut out, "caution", &answer.cautions, width);
    out
}

fn push_place(out: &mut String, place: &PlaceJudgement, unit: &str, width: PageWidth) {
    let judged = &place.judgement;
    let value = show_with_deviation(judged.mean, judged.standard_uncertainty);
    let doubt = judged
        .standard_uncertainty
        .map_or_else(String::new, |u| format!(", standard uncertainty {} {unit}", show_figure(u, 2)));
    push_lead(out, "reading", &format!("{value} {unit}{}", doubt.trim_end()), width);
    if let Some(p) = judged.conformance_probability {
        push_lead(
            out,
            "probability",
            &format!("{} that the true value is within its limit", percent(p)),
            width,
        );
    }
    if let Some(guard) = judged.guard {
        push_lead(
            out,
            "guard band",
            format!("{} {unit} on both sides of the limit", show_figure(guard, 2)).as_str(),
            width,
        );
    }
    if let Some(again) = judged.again {
        push_lead(out, "again", &again_words(again, unit), width);
    }
}

fn push_spread(out: &mut String, spread: &SpreadJudgement, unit: &str, width: PageWidth) {
    let share = spread.lowest_share.map_or_else(String::new, |s| format!(", {} of the highest", percent(s)));
    let text = format!(
        "lowest {} at {}, highest {} at {}: {} {unit} apart{share}: {}",
        show_figure(spread.lowest, 4),
        spread.lowest_place,
        show_figure(spread.highest, 4),
        spread.highest_place,
        show_figure(spread.difference, 3),
        outcome_word(spread.outcome)
    );
    push_lead(out, "spread", &text, width);
}

fn push_places(out: &mut String, places: &[PlaceJudgement], unit: &str, width: PageWidth) {
    out.push_str(&heading_in("places", unit));
    let right = TextAlign::Right;
    let mut table = TextTable::new(&[
        ("place", TextAlign::Left),
        ("reading", right),
        ("inside", right),
        ("verdict", TextAlign::Left),
    ]);
    for place in places {
        let judged = &place.judgement;
        let again = judged.again.map_or_else(String::new, |a| format!("; {}", again_words(a, unit)));
        table.add_row(&[
            place.place.clone(),
            show_with_deviation(judged.mean, judged.standard_uncertainty),
            show_with_deviation(judged.gap, judged.standard_uncertainty),
            format!("{}{again}", outcome_word(judged.outcome)),
        ]);
    }
    out.push_str(&table.to_text(width));
}
