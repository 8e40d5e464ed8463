//! One model of time: what an act takes, how a time spreads and which share of samples lies below it stand in `times` and nowhere else.

use tidy::{KeptText, blank_out, production_code, report_findings, rust_files, words_of};

/// Constants in seconds that are nobody's work: days, clocks, cuts, and steps of what is shown or asked.
const NO_ACTS: &[&str] = &[
    "CLOCK_ROUNDING_S",
    "CLOCK_S",
    "COLD_S",
    "COOKIE_LIFE_S",
    "DAY_OF_WORK_S",
    "DAY_S",
    "FOR_EVER_S",
    "GOES_ON_S",
    "HANDLE_S",
    "HOT_S",
    "IN_SECONDS_S",
    "ITEM_S",
    "KEEP_ORDER_S",
    "LAID_OUT_MORE_S",
    "LEAST_CAUSE_S",
    "LEAST_HOT_S",
    "LEAST_SAVING_S",
    "MAX_FETCH_S",
    "MAX_ITEM_S",
    "MAX_LESSON_S",
    "MAX_PIECE_S",
    "MAX_TIME_S",
    "MAX_TOTAL_S",
    "MAX_WALK_S",
    "MIN_ACT_S",
    "MIN_GAIN_S",
    "MIN_PIECE_S",
    "MIN_WORTH_S",
    "MS_PER_S",
    "NEVER_S",
    "NO_WAIT_S",
    "ROUNDING_S",
    "SAME_S",
    "SHORT_GAP_S",
    "UNPLACED_S",
    "WORTH_A_CHANGE_S",
];

/// Functions named after quantiles outside `times`: those of distributions (`bolting`), and what `trend` makes of them for lines and wear.
const QUANTILES: &[&str] = &["bolting", "trend", "times"];

/// Spreads of something else than a time.
const OTHER_SPREADS: &[&str] =
    &["BENDING_SPREAD_RATIO", "MIDDLE_SPREAD_RATIO", "TOLD_FOCAL_SPREAD_RATIO", "USUAL_FOCAL_SPREAD_RATIO"];

/// The name of a constant in seconds that a line declares.
fn constant_in_seconds(line: &str) -> Option<&str> {
    let (_, after) = line.split_once("const ")?;
    let (name, _) = after.split_once(':')?;
    (name.ends_with("_S") && name.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_'))
        .then_some(name)
}

/// The name of a function that a line declares.
fn function_name(line: &str) -> Option<&str> {
    let (before, after) = line.split_once("fn ")?;
    let is_start = before.is_empty() || before.ends_with(' ');
    is_start.then(|| words_of(after).next())?
}

#[test]
fn constants_and_functions_are_seen() {
    assert_eq!(constant_in_seconds("pub const LIFT_S: f64 = 30.0;"), Some("LIFT_S"));
    assert_eq!(constant_in_seconds("const LIFT_MM: f64 = 30.0;"), None);
    assert_eq!(function_name("    pub(crate) fn draw_normal(&mut self)"), Some("draw_normal"));
    assert_eq!(function_name("let a = often(b);"), None);
}

#[test]
fn times_stand_in_one_crate() {
    let mut found = Vec::new();
    let mut used = std::collections::BTreeSet::new();
    let product =
        rust_files().into_iter().filter(|file| file.is_shipped() && file.path.starts_with("crates/"));
    for file in product {
        let name = file.crate_name().unwrap_or_default().to_owned();
        if name == "times" {
            continue;
        }
        let code = production_code(&blank_out(&file.text, KeptText::Code));
        for (at, line) in code.lines().enumerate() {
            if let Some(constant) = constant_in_seconds(line) {
                match NO_ACTS.iter().find(|known| **known == constant) {
                    Some(known) => _ = used.insert(*known),
                    None => {
                        found.push(format!("{}: `{constant}`, a time, belongs to `times`", file.place_at(at)))
                    }
                }
            }
            let is_own = QUANTILES.contains(&name.as_str());
            if let Some(function) = function_name(line).filter(|_| !is_own)
                && ["quantile", "percentile", "draw_normal", "log_normal"]
                    .iter()
                    .any(|word| function.contains(word))
            {
                found.push(format!(
                    "{}: `{function}` is a second one of `times` or `bolting`",
                    file.place_at(at)
                ));
            }
            for word in words_of(line)
                .filter(|word| word.ends_with("SPREAD_RATIO") || word.ends_with("SPREAD_FACTOR"))
            {
                let is_declared = line.contains("const ") && !OTHER_SPREADS.contains(&word);
                if is_declared {
                    found.push(format!(
                        "{}: `{word}`, a spread of times, belongs to `times`",
                        file.place_at(at)
                    ));
                }
            }
        }
    }
    let idle = NO_ACTS.iter().filter(|known| !used.contains(*known));
    found.extend(idle.map(|known| format!("`{known}` is no constant any more: take it from the list")));
    report_findings("one model of time", &found);
}
