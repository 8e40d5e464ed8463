//! Judges any plan from book, store and plan alone; shares no solver code.
//!
//! **Question.** Does this plan keep every rule of the job, and does every line that a mechanic reads say what the plan means? The plan's own claims
//! are not trusted: reach, times, kit, order, figures, words, slots and sheets are worked out again from the book and the store and laid beside
//! what the plan says.
//!
//! **Method.** Keys become ids once ([`judge_plan`] starts with the names), then each file checks one group of rules. A plan that names
//! what does not exist is at fault there and skipped where it would have been used; nothing panics. The formulas of `bolting` (what a wrong
//! bolt does in a hole) and the constants of [`model::rules`] are taken as given; everything else is worked out by code of its own.
//!
//! **Range.** Figures are compared to one part in a million. The judge says whether a plan is right, not whether it is best: a claim of *proven*
//! that it cannot try again is told by [`list_unjudged_claims`]. `crates/app/tests/mutations` makes sound plans of both demo books wrong in every kind that is
//! known and lists what is let pass.
//!
//! **Codes.** J0 is for the loading of a cart ([`judge_cart`]), R for the rest of a half-done job, C for the calendar (C6 for that over all open visits, see [`visits`] and [`together`]), W for tasks worth adding.
//!
//! | code | what is wrong |
//! |---|---|
//! | J101, J103 | the plan is of another format, or of another book |
//! | J102 | a name, hole, station, piece or duty that does not exist |
//! | J104 | no task is asked |
//! | J105 | the id of a stack twice, a stack that nothing uses, kinds of pieces that are not theirs |
//! | J106 | the file that the plan was read from contradicts itself |
//! | J107 | a lasting name of two steps |
//! | J108 | title of book, store or piece, currency, letter of the vehicle |
//! | J109 | words of a stack leave a piece out or give a figure that none has |
//! | J201, J202 | a task, part or condition needs what is not in the way in |
//! | J203, J204 | a part or condition twice; no way chosen |
//! | J205, J206 | something in the way that nothing needs; its reasons are not those of the book |
//! | J207 | what is open besides |
//! | J208 | the cost of the way in, its bound, or another way that costs less than one called least |
//! | J301, J302, J303 | a hole not worked by each act through one access; an act missing; an access that is not open |
//! | J304, J305, J306 | torque of a duty; a duty twice; a duty on a part that stays on |
//! | J401 to J413 | rules 1 to 13 of [`model::rules`] |
//! | J414 to J418 | the chain of a stack, its seconds, setting, force, and pieces that are not at hand |
//! | J501 to J506 | kit: missing, too many, elsewhere, twice, a special tool that does not answer, uses |
//! | J507 | the claim on the kit: a bound above the value, *proven* with a gap |
//! | J508, J509 | rooms that stacks on the cart serve where a duty is in doubt; fasteners and pieces counted by them |
//! | J601, J602 | a part not lifted off once, or with a fastener in |
//! | J603, J606, J611 | a need that does not hold; a condition not made or not undone in its place |
//! | J604, J608 | an opening left open; a cap left in |
//! | J605, J609 | a fastener not undone, or not run in, once and in its turn |
//! | J607 | a part not put back once, in order |
//! | J610, J616 | passes of tightening: each once, round the whole joint, after all of it is run in |
//! | J612, J617, J618 | stack, part, fixings or place of a step are not those of its acts |
//! | J613, J614, J615 | a task's work; a wait cut short; a step that does not belong there |
//! | J619 | holes against the maker's sequence or the pattern, or released in the order of tightening |
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
//! | J636 | a fixing is tightened before one that it comes after has its figure |
//! | J637 | a split pin, lock wire or tab plate comes out after what it locks is loosened, or goes in before that is tight |
//! | J638 | a washer, shim or key comes out before what lies on it, or goes in after that is run in |
//! | J641, J642 | a caution of the book that is not told before its step; one told that the book does not have there |
//! | J643 | a second pair of hands that is needed and not asked for, or the other way round |
//! | J651 to J655 | totals, numbers, set-ups, work, waits |
//! | J701, J702 | the figure of an act; where the order of holes is from |
//! | J711 | the sentence of a step does not say its part, fastener, count, drive, figure, or the book's own words |
//! | J712 | the sentence says a word or a figure that neither step nor book explains |
//! | J801 to J805 | table of slots: a line for each fixing, count, one fixing a compartment, kind of address, kind, drive, size and renewal |
//! | J806 | the slot in a step is not that of the table |
//! | J807, J808 | a slot that does not exist or is another vehicle's; fasteners that do not fit in |
//! | J809, J810 | a bag of two fixings, a card of two parts; look-alikes in compartments that touch |
//! | J811 | kept otherwise than the book wishes; scrap |
//! | J821, J822 | a harmful mix-up that is not listed; one listed that does no harm |
//! | J823, J824, J825 | what it does; whether the two lie apart; worst first |
//! | J901, J902 | gaps, and what would close them; go |
//! | J903, J904 | supplies; one-time fasteners |
//! | J905, J906, J907 | caps; special tools in neither kit nor list; figures that are missing |
//! | J908, J909, J910 | what a duty claims; counts; verdicts |
//! | J911, J912 | open lines; what the trade asks |
//! | J913, J914 | safety states; parts that may break |
//! | J915, J916 | tools not at hand; what to buy, borrow or make |
//! | J917 | what to have ready for fasteners that may break |
//! | J918 | what stands against the start and the refit |
//! | J919, J920 | what is assumed, noted or rests on a class; looks |
//! | R1 to R8 | of a rest: acts, parts, conditions, tasks and caps, extra steps, waits, sums, what is never done |

// symbol: a = a figure of any one unit
// symbol: b = another of the same unit

mod asked;
pub mod calendar;
mod cart_load;
mod case;
mod cautions;
mod coverage;
mod duties;
mod figures;
mod hole_order;
mod kinds;
mod kit;
mod kit_doubt;
mod mix_ups;
mod names;
pub mod published;
mod readiness;
mod reasons;
mod refit;
mod remake;
mod replay;
mod sheet;
mod slot_places;
mod slots;
mod stack;
mod strip;
mod sums;
mod task_work;
mod texts;
mod tighten;
mod tighten_order;
mod titles;
pub mod together;
pub mod visits;
mod way_in;
mod world;
pub mod worth;

pub use remake::judge_rest;

pub use cart_load::judge_cart;
use model::plan::Plan;
use model::progress::Progress;
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

/// A claim of a plan that the judge cannot prove: nothing speaks against it, and it is not passed over in silence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnjudgedClaim {
    /// Of what: the way in, the kit, the course.
    pub place: &'static str,
    /// What is claimed, and what of it was not tried.
    pub words: String,
}

impl core::fmt::Display for UnjudgedClaim {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{} {}", self.place, self.words)
    }
}

/// What the plan claims and the judge cannot prove: that no other way in, kit or order is better.
#[must_use]
pub fn list_unjudged_claims(book: &Book, store: &Store, plan: &Plan) -> Vec<UnjudgedClaim> {
    reasons::find_unjudged_claims(book, store, plan)
}

pub use sums::sum_hands_on_s;

/// Every rule that the plan breaks; empty for a valid plan.
#[must_use]
pub fn judge_plan(book: &Book, store: &Store, plan: &Plan) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    let case = names::read_plan_names(book, store, plan, &mut found);
    let whole = Progress::default();
    titles::judge_titles(&case, &mut found);
    way_in::judge_way_in(&case, &mut found);
    reasons::judge_reasons(&case, &mut found);
    duties::judge_duties(&case, &mut found);
    stack::judge_stacks(&case, &mut found);
    kit::judge_kit(&case, &mut found);
    let strip = strip::judge_strip(&case, &mut found);
    refit::judge_refit(&case, &mut found);
    task_work::judge_task_work(&case, &strip, &mut found);
    tighten::judge_tightening(&case, &mut found);
    tighten_order::judge_tightening_order(&case, &mut found);
    hole_order::judge_hole_orders(&case, &mut found);
    figures::judge_action_figures(&case, &mut found);
    texts::judge_texts(&case, &whole, &mut found);
    cautions::judge_cautions(&case, &whole, &mut found);
    sums::judge_sums(&case, &mut found);
    slots::judge_slots(&case, &mut found);
    slot_places::judge_slot_places(&case, &mut found);
    mix_ups::judge_mix_ups(&case, &mut found);
    let of_ways = world::judge_world(&case, &mut found);
    readiness::judge_readiness(&case, &of_ways, &mut found);
    sheet::judge_sheet(&case, &of_ways, &mut found);
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
