//! Judges any plan from book, store and plan alone; shares no solver code.
//!
//! **Question.** Does this plan keep every rule of the job? The plan's own claims are not trusted: reach, times, kit, order,
//! figures and sheets are worked out again from the book and the store and laid beside what the plan says.
//!
//! **Method.** Keys become ids once ([`judge_plan`] starts with the names), then each file checks one group of rules. A plan that names
//! what does not exist is at fault there and skipped where it would have been used; nothing panics.
//!
//! **Codes.** J1 names, J2 way in, J3 duties, J4 stacks (J401 to J413 are rules 1 to 13 of [`model::rules`]), J5 kit, J6 steps,
//! J7 figures, J8 slots, J9 readiness. J0 is for the loading of a cart ([`judge_cart`]).
//! Of the steps, these hold the plan to the book's world, and the rest of a job and the calendar too:
//!
//! | code | what is wrong |
//! |---|---|
//! | J620 | the book tells settings or rules and the plan is not one course |
//! | J621 | a step begins and what its station, act or way needs does not hold |
//! | J622 | a rule is broken after a step |
//! | J623 | a setting moves while it must stay still |
//! | J624 | a change of a setting is no way of the book, or not told as the book has it: place, cautions, what a step sets |
//! | J625 | a setting is not at one of its end values at the end |
//! | J626 | a part is set in place before one that it comes after |
//! | J628 | the moves or the value told of the course are not what the steps show |
//! | J629 | a bound is above what the plan itself has |
//! | J630 | a fixing that tells of its loosening is broken loose and run out in one step |
//! | J631 | a plug comes off after another fastener of its part |
//! | J632 | a plug goes on before the other fasteners of its part are tight |
//! | J633 | a part hangs half undone, or half run in, while other work is done |
//! | J634 | a tensioner is tightened while its belt is off |
//! | J635 | a drained circuit is filled before its drain is tight |
//!
//! R is for the rest of a half-done job: R1 acts, R2 parts, R3 conditions, R4 tasks and caps, R5 extra
//! steps, R6 waits, R7 sums, R8 what is never done. C is for the calendar.
//!
//! **Range.** Figures are compared to one part in a million. The judge says whether a plan is right, not whether it is best.

// symbol: a = a figure of any one unit
// symbol: b = another of the same unit

mod asked;
pub mod calendar;
mod cart_load;
mod case;
mod coverage;
mod duties;
mod figures;
mod kinds;
mod kit;
mod names;
pub mod published;
mod readiness;
mod refit;
mod remake;
mod replay;
mod slots;
mod stack;
mod strip;
mod sums;
mod task_work;
mod tighten;
mod way_in;
mod world;
pub mod worth;

pub use remake::judge_rest;

pub use cart_load::judge_cart;
use model::plan::Plan;
use model::{Book, Store};

/// A rule that a plan breaks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Violation {
    /// Code of the rule, such as `J601`.
    pub code: &'static str,
    /// Where in the plan: "strip step 12", "duty 34".
    pub place: String,
    /// What is wrong.
    pub words: String,
}

impl core::fmt::Display for Violation {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{} {}: {}", self.code, self.place, self.words)
    }
}

/// What was found so far.
#[derive(Debug, Default)]
pub(crate) struct FoundViolations(Vec<Violation>);

impl FoundViolations {
    pub fn add(&mut self, code: &'static str, place: impl Into<String>, words: impl Into<String>) {
        self.0.push(Violation { code, place: place.into(), words: words.into() });
    }
}

/// Whether two figures are the same to one part in a million.
pub(crate) fn same_figure(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1.0e-6 * a.abs().max(b.abs()).max(1.0)
}

/// Digits of a figure in a message: as many as tell two figures apart that [`same_figure`] does.
const SHOWN_DIGITS: u32 = 7;

/// A figure as a message gives it.
pub(crate) fn show_figure(figure: f64) -> String {
    units::significant(figure, SHOWN_DIGITS)
}

/// A figure as a message gives it; "none" where there is none.
pub(crate) fn figure_or_none(figure: Option<f64>) -> String {
    figure.map_or_else(|| String::from("none"), show_figure)
}

/// A text in quotes as a message gives it; "none" where there is none.
pub(crate) fn text_or_none(text: Option<&String>) -> String {
    text.map_or_else(|| String::from("none"), |text| format!("`{text}`"))
}

/// Every rule that the plan breaks; empty for a valid plan.
#[must_use]
pub fn judge_plan(book: &Book, store: &Store, plan: &Plan) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    let case = names::read_plan_names(book, store, plan, &mut found);
    way_in::judge_way_in(&case, &mut found);
    duties::judge_duties(&case, &mut found);
    stack::judge_stacks(&case, &mut found);
    kit::judge_kit(&case, &mut found);
    let strip = strip::judge_strip(&case, &mut found);
    refit::judge_refit(&case, &mut found);
    task_work::judge_task_work(&case, &strip, &mut found);
    tighten::judge_tightening(&case, &mut found);
    figures::judge_action_figures(&case, &mut found);
    sums::judge_sums(&case, &mut found);
    slots::judge_slots(&case, &mut found);
    let of_ways = world::judge_world(&case, &mut found);
    readiness::judge_readiness(&case, &of_ways, &mut found);
    coverage::judge_coverage(&case, &mut found);
    found.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_is_shown_without_the_noise_of_binary_sums() {
        assert_eq!(show_figure(28.200000000000003), "28.2");
        assert_eq!(figure_or_none(Some(4.972375690607735)), "4.972376");
        assert_eq!((show_figure(-0.0), figure_or_none(None)), ("0".to_owned(), "none".to_owned()));
    }

    #[test]
    fn two_figures_that_are_not_the_same_are_not_shown_as_the_same() {
        for figure in [0.5, 1.0, 28.2, 999.9999, 86_400.0] {
            let other = figure + 1.1e-6 * f64::max(figure, 1.0);
            assert!(!same_figure(figure, other) && show_figure(figure) != show_figure(other), "{figure}");
        }
    }
}
