//! How often the 80 % date is kept, by how many visits were learned from; the table of `docs/calendar.md`.
//!
//! A case draws a mechanic, the visits done before, and the true times of two open visits, and asks whether each is finished by the date told. An ordinary run has
//! 250 cases a cell and limits widened by three standard errors; a long one 2,000, and compares the page. `TRAYWRIGHT_WRITE_DOCS` writes the table anew.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[expect(dead_code, reason = "this file uses a part")]
mod common;

use core::fmt::Write as _;

use bolting::tolerance::normal_quantile;
use calendar::{BenchQuestion, CalendarSettings, ItemPace, make_bench_calendar, play_bench_calendar};
use common::{Draws, H, hold, item, link, shop, visit};
use effort::{RandomSeed, SolverBudget, SolverEffort};
use times::{FactorPrior, FinishedItem, follow_times, learn_factor};
use units::math;

#[path = "../../../tests/long.rs"]
mod long;

const LEARNED_VISITS: [usize; 3] = [0, 3, 10];
const ITEMS_OF_VISIT: usize = 40;
const OWN: f64 = 0.35;
const FULL: u32 = 2_000;
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/calendar.md");

fn normal(draws: &mut Draws) -> f64 {
    normal_quantile((f64::from(draws.below(1 << 30)) + 0.5) / f64::from(1_u32 << 30))
}

/// What the truth is drawn from.
#[derive(Clone, Copy)]
enum Truth {
    /// The prior that the answer states.
    Agrees,
    /// This factor, and twice the stated spreads of visits and items.
    Biased(f64),
}

/// The mechanic's factor as a logarithm, the spread of visits, the spread of items.
fn draw_mechanic(truth: Truth, draws: &mut Draws) -> (f64, f64, f64) {
    let prior = FactorPrior::assumed();
    match truth {
        Truth::Agrees => {
            let freedom = prior.visit_weight_count;
            let chi: f64 = (0..freedom).map(|_| normal(draws).powi(2)).sum();
            let spread = prior.visit_spread_ratio * (f64::from(freedom) / chi).sqrt();
            (prior.mean_log_ratio + prior.mechanic_spread_ratio * normal(draws), spread, OWN)
        }
        Truth::Biased(factor) => (math::ln(factor), 2.0 * prior.visit_spread_ratio, 2.0 * OWN),
    }
}

/// Two visits of ten items each, with a cure, the lift, moments not to stop.
fn question() -> BenchQuestion {
    let mut draws = Draws::new(4);
    let visits = ['A', 'B'].map(|letter| {
        let items = (0..10).map(|k| item(&format!("item {k}"), 1_200 + 300 * draws.below(20)));
        let links = (1..10).map(|to| link(to - 1, to, if to == 5 { 6 * H } else { 0 }));
        let mut it = visit(letter, items.collect(), links.collect());
        it.items[3].pace = ItemPace::OnePiece;
        it.stretches.push(hold(0, Some(2), 6));
        it
    });
    shop(visits.to_vec())
}

/// The items of a visit that is done, by the mechanic's factor, the spread of visits and that of items.
fn finished_visit((b, visit_spread, own): (f64, f64, f64), draws: &mut Draws) -> Vec<FinishedItem> {
    let visit = b + visit_spread * normal(draws);
    let one = |draws: &mut Draws| {
        let actual_s = 1_800.0 * math::exp(visit + own * normal(draws));
        FinishedItem { estimated_s: 1_800.0, actual_s, spread_ratio: OWN }
    };
    (0..ITEMS_OF_VISIT).map(|_| one(draws)).collect()
}

/// The record of finished visits: about four in five where the truth is as stated, far fewer where the mechanic is slower than that
/// and nothing was learned yet.
#[test]
fn the_times_of_finished_visits_have_held_about_as_often_as_they_say() {
    let share = |truth: Truth, visits: usize| {
        let (mut held, mut of) = (0, 0);
        for case in 0..2_000 / visits as u64 {
            let mut draws = Draws::new(40_000 + case);
            let mechanic = draw_mechanic(truth, &mut draws);
            let past: Vec<_> = (0..visits).map(|_| finished_visit(mechanic, &mut draws)).collect();
            let record = follow_times(&FactorPrior::assumed(), &past);
            assert_eq!(record.visits, visits as u32);
            (held, of) = (held + record.held, of + record.visits);
        }
        f64::from(held) / f64::from(of)
    };
    let agrees = share(Truth::Agrees, 10);
    assert!((0.75..=0.85).contains(&agrees), "{agrees}");
    let (first, later) = (share(Truth::Biased(1.6), 1), share(Truth::Biased(1.6), 10));
    assert!(first < 0.45 && later > first + 0.1, "{first}, then {later}");
    assert_eq!(
        follow_times(&FactorPrior::assumed(), &[Vec::new()]).visits,
        0,
        "what was not timed does not count"
    );
}

fn is_kept(truth: Truth, learned_visits: usize, seed: u64) -> u32 {
    let mut draws = Draws::new(seed);
    let (b, visit_spread, own) = draw_mechanic(truth, &mut draws);
    let past: Vec<Vec<FinishedItem>> =
        (0..learned_visits).map(|_| finished_visit((b, visit_spread, own), &mut draws)).collect();
    let mut question = question();
    question.factor = learn_factor(&FactorPrior::assumed(), &past);
    let budget = SolverBudget { effort: SolverEffort::Tries(40), ..SolverBudget::sized() };
    let settings = CalendarSettings { budget, samples: 400, ..CalendarSettings::sized(RandomSeed(seed)) };
    let calendar = make_bench_calendar(&question, &settings).unwrap();
    let mut work_s = Vec::new();
    for visit in &question.visits {
        let shared = b + visit_spread * normal(&mut draws);
        let time = |e: u32, draws: &mut Draws| f64::from(e) * math::exp(shared + own * normal(draws));
        work_s.extend(visit.items.iter().map(|i| time(i.expected_s, &mut draws).round() as u32));
    }
    let true_s = play_bench_calendar(&question, &calendar, &work_s).unwrap();
    let kept = calendar.finishes.iter().zip(true_s).filter(|(told, true_s)| *true_s <= told.dates.p80_s);
    kept.count() as u32
}

/// Share of dates kept.
fn cover(truth: Truth, learned_visits: usize, cases: u32) -> f64 {
    let kept: u32 = (0..cases).map(|k| is_kept(truth, learned_visits, 1_000 + u64::from(k))).sum();
    f64::from(kept) / f64::from(2 * cases)
}

fn table_row(name: &str, cells: &[f64]) -> String {
    let mut row = format!("| {name} |");
    cells.iter().for_each(|c| write!(row, " {:.1} % |", 100.0 * c).unwrap());
    row
}

fn compare_page(table: &str) {
    let page = std::fs::read_to_string(PAGE).unwrap();
    let (begin, end) = ("<!-- coverage -->\n", "<!-- end of coverage -->");
    let (head, rest) = page.split_once(begin).unwrap();
    let (old, tail) = rest.split_once(end).unwrap();
    if std::env::var_os("TRAYWRIGHT_WRITE_DOCS").is_some() {
        std::fs::write(PAGE, format!("{head}{begin}{table}{end}{tail}")).unwrap();
    } else {
        assert_eq!(old, table, "write the page anew with TRAYWRIGHT_WRITE_DOCS=1");
    }
}

#[test]
fn the_date_for_four_in_five_is_kept_four_times_in_five() {
    let cases = long::choose_count("cases a cell of the coverage of dates", 250, FULL);
    let is_long = cases == FULL;
    // The two dates of a case hang together, so that its standard error is that of one.
    let slack = if is_long { 0.0 } else { 3.0 * (0.16 / f64::from(cases)).sqrt() };
    let row = |truth: Truth| LEARNED_VISITS.map(|learned| cover(truth, learned, cases));
    let agrees = row(Truth::Agrees);
    for kept in agrees {
        assert!((0.77 - slack..=0.83 + slack).contains(&kept), "{agrees:?}");
    }
    let biased = [1.0, 1.3, 1.6].map(|factor| (factor, row(Truth::Biased(factor))));
    let slow = biased[2].1;
    assert!(slow[2] > slow[0] && slow[2] > 0.65, "learning helps where the estimates are far off: {slow:?}");
    let mut table = String::from("| truth | 0 visits | 3 visits | 10 visits |\n|---|--:|--:|--:|\n");
    writeln!(table, "{}", table_row("drawn from the prior", &agrees)).unwrap();
    for (factor, cells) in biased {
        let name = format!("{factor:.1} times the estimate, twice the spreads");
        writeln!(table, "{}", table_row(&name, &cells)).unwrap();
    }
    print!("{table}");
    if is_long {
        compare_page(&table);
    }
}
