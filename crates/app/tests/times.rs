//! The constants of time against the demo plans: what hangs on each, written into `docs/times.md`; and what the workshop sets about its times.
//!
//! `TRAYWRIGHT_WRITE_DOCS=1` writes the tables anew.

mod common;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use app::job_hours::{KnownTimes, PlanWithHours, hours_as_assumed, hours_words};
use app::model::plan::{KitObjective, Plan};
use app::model::{Book, Store};
use app::week::WeekSaying;
use app::workshop::Workshop;
use common::plan_all_tasks;
use times::acts::doubt_of_sum_ratio;
use times::sum::BREAK_OUT_SPREAD_RATIO;
use times::{
    MECHANIC_SPREAD_RATIO, PIECE_SPREAD_RATIO, TIME_CONSTANTS, TimeFigures, TimeKey, TimeOrigin,
    TimeSettings, TimeUse, VISIT_SPREAD_RATIO,
};

const BOOKS: [&str; 2] = ["tern-24", "curlew-30"];

fn checkout(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

struct DemoCase {
    book: Book,
    store: Store,
    plan: Plan,
}

impl DemoCase {
    fn of_book(name: &str) -> Self {
        let book = app::load::load_book(&checkout("demo/books").join(name)).expect("a demo book");
        let store = app::load::load_store(&checkout("demo/store")).expect("the demo store");
        let plan = plan_all_tasks(&book, &store, 2).expect("a plan").plan;
        Self { book, store, plan }
    }

    fn hands_on_s(&self, times: &TimeFigures) -> f64 {
        judge::sum_hands_on_s(&self.book, &self.store, &self.plan, times).expect("all names are known")
    }

    /// By how many percent the sum changes for each percent that a constant grows, told by a tenth.
    fn share_of(&self, key: TimeKey) -> f64 {
        let as_planned = TimeFigures::as_planned();
        let (value, sum_s) = (as_planned.value(key), self.hands_on_s(&as_planned));
        let larger_s = self.hands_on_s(&as_planned.with_value(key, value * 1.1));
        (larger_s - sum_s).abs() / sum_s / 0.1
    }
}

fn percent(share: f64) -> String {
    match 100.0 * share {
        0.0 => String::from("0"),
        p if p < 0.1 => String::from("< 0.1"),
        p => format!("{p:.1}"),
    }
}

/// Every constant by its larger share of the two plans, the largest first.
fn constants_table(cases: &[DemoCase; 2]) -> (String, [Vec<(TimeOrigin, f64)>; 2]) {
    let mut rows: Vec<(TimeKey, [f64; 2])> =
        TimeKey::ALL.iter().map(|key| (*key, [cases[0].share_of(*key), cases[1].share_of(*key)])).collect();
    let larger = |shares: &[f64; 2]| shares[0].max(shares[1]);
    rows.sort_by(|a, b| larger(&b.1).total_cmp(&larger(&a.1)).then(a.0.cmp(&b.0)));
    let mut table = String::from(
        "| constant | value | what | origin | tern-24, % | curlew-30, % |\n|---|--:|---|---|--:|--:|\n",
    );
    let mut shares = [Vec::new(), Vec::new()];
    let mut of_seconds = [0.0; 2];
    for (key, of) in &rows {
        let it = &TIME_CONSTANTS[*key as usize];
        if it.enters == TimeUse::Beside {
            assert_eq!(*of, [0.0; 2], "{} is said to stand beside the plan's sum", it.name);
            continue;
        }
        let (name, value, unit) = (it.name, it.value, it.unit);
        let (words, origin, [first, second]) = (it.words, it.origin.words(), of.map(percent));
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        writeln!(table, "| `{name}` | {value}{unit} | {words} | {origin} | {first} | {second} |")
            .expect("a text");
        for at in 0..2 {
            shares[at].push((it.origin, of[at]));
            of_seconds[at] += if it.unit == "s" { of[at] } else { 0.0 };
        }
    }
    let [first, second] = of_seconds.map(|share| percent(1.0 - share));
    writeln!(table, "| | | what the books tell themselves | the book | {first} | {second} |")
        .expect("a text");
    (table, shares)
}

/// The constants that are in no plan's sum.
fn beside_table() -> String {
    let mut table = String::from("| constant | value | what | origin |\n|---|--:|---|---|\n");
    for it in TIME_CONSTANTS.iter().filter(|it| it.enters == TimeUse::Beside) {
        let (name, value, unit, words) = (it.name, it.value, it.unit, it.words);
        writeln!(table, "| `{name}` | {value} {unit} | {words} | {} |", it.origin.words()).expect("a text");
    }
    table
}

fn spreads_table() -> String {
    let settings = TimeSettings::assumed();
    let rows = [
        (
            format!("{} %", settings.allowance_percent()),
            "allowance for needs, rest and short interruptions, on top of planned times",
            "assumed; 9 % for needs and rest and up to 5 % for what turns up in a published scheme (S59)",
        ),
        (
            format!("{}", settings.first_time_ratio()),
            "an engine that is new to the workshop, times",
            "assumed: no longer than any other time",
        ),
        (format!("{MECHANIC_SPREAD_RATIO}"), "spread of mechanics about the allowance", "assumed"),
        (format!("{VISIT_SPREAD_RATIO}"), "spread of visits about the mechanic", "assumed"),
        (format!("{PIECE_SPREAD_RATIO}"), "spread of a piece of work about its planned time", "assumed"),
        (
            format!("{BREAK_OUT_SPREAD_RATIO}"),
            "spread of getting out a fastener that does not come (`BREAK_OUT_S`)",
            "assumed",
        ),
        (
            String::from("0.001 to 0.25"),
            "chance that a fastener does not come, by its break-loose factor",
            "assumed",
        ),
    ];
    let mut table = String::from("| value | what | origin |\n|--:|---|---|\n");
    for (value, what, origin) in rows {
        writeln!(table, "| {value} | {what} | {origin} |").expect("a text");
    }
    table
}

/// Compares what stands between two marks of the page, or writes it anew.
fn keep_part(mark: &str, table: &str) {
    let path = checkout("docs/times.md");
    let page = std::fs::read_to_string(&path).expect("the page");
    let (begin, end) = (format!("<!-- {mark} -->\n"), format!("<!-- end of {mark} -->"));
    let (before, rest) = page.split_once(&begin).expect("the mark");
    let (old, after) = rest.split_once(&end).expect("its end");
    if std::env::var_os("TRAYWRIGHT_WRITE_DOCS").is_some() {
        std::fs::write(&path, format!("{before}{begin}{table}{end}{after}")).expect("the page");
    } else {
        assert_eq!(old, table, "write the page anew with TRAYWRIGHT_WRITE_DOCS=1");
    }
}

#[test]
fn every_constant_has_an_origin_and_its_share_of_the_demo_plans() {
    let cases = BOOKS.map(DemoCase::of_book);
    for case in &cases {
        // What is worked out anew is the plan's own sum.
        let told_s: f64 = case.plan.sequences().iter().map(|(_, s)| s.setup_s + s.work_s).sum();
        let again_s = case.hands_on_s(&TimeFigures::as_planned());
        assert!((told_s / again_s - 1.0).abs() < 1.0e-6, "{told_s} where {again_s} comes out");
    }
    let (table, shares) = constants_table(&cases);
    let mut ranges = String::new();
    for ((case, shares), name) in cases.iter().zip(&shares).zip(BOOKS) {
        let doubt = doubt_of_sum_ratio(shares);
        // The mechanic's factor is said to have the constants' own error in it.
        assert!(doubt < MECHANIC_SPREAD_RATIO, "{name}: {doubt}");
        let hours = hours_as_assumed(&case.book, &case.plan);
        writeln!(
            ranges,
            "* `{name}`, all tasks: planned {:.1} h; {}. The constants' own doubt alone moves the sum by {:.0} %.",
            hours.planned_s / 3_600.0,
            hours_words(&hours),
            100.0 * doubt
        )
        .expect("a text");
    }
    keep_part("constants", &table);
    keep_part("beside", &beside_table());
    keep_part("ranges", &ranges);
    keep_part("spreads", &spreads_table());
}

fn thermostat_case() -> DemoCase {
    let book = app::load::load_book(&checkout("demo/books/tern-24")).expect("a demo book");
    let store = app::load::load_store(&checkout("demo/store")).expect("the demo store");
    let request = app::ask::PlanRequest {
        vehicle: String::from("A"),
        tasks: vec![String::from("renew-thermostat")],
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed: 7,
        threads: 1,
    };
    let plan =
        app::ask::make_judged_plan(&book, &store, &request, &app::ask::SilentObserver).expect("a plan").plan;
    DemoCase { book, store, plan }
}

fn workshop() -> Workshop {
    let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
    Workshop::over_archive(archive).expect("a workshop")
}

fn set_times(shop: &mut Workshop, allowance: Option<&str>, first_time: Option<&str>) -> Result<(), String> {
    let device = shop.device().clone();
    let saying = WeekSaying::Times {
        allowance: allowance.map(str::to_owned),
        first_time: first_time.map(str::to_owned),
    };
    shop.say_of_week(&device, saying, "2027-03-01T08:00").map_err(|error| error.to_string())
}

/// A workshop's allowance and first-time factor scale the range and nothing of the plan.
#[test]
fn what_the_workshop_sets_scales_what_is_shown_and_not_the_plan() {
    let case = thermostat_case();
    let mut shop = workshop();
    let range = |shop: &mut Workshop| {
        let known = shop.known_times(&case.book.title).expect("an archive");
        plan::hours::PlanHours::of_plan(&case.book, &case.plan, &known.shared())
    };
    let assumed = range(&mut shop);
    assert_eq!(assumed, hours_as_assumed(&case.book, &case.plan));
    set_times(&mut shop, Some("38 %"), None).expect("in range");
    let longer = range(&mut shop);
    assert_eq!(longer.planned_s, assumed.planned_s);
    // Fasteners that do not come are not scaled, so that the ratio stays a little below 1.38 / 1.15.
    let ratio = longer.hands_on.p50_s / assumed.hands_on.p50_s;
    assert!((1.18..=1.2).contains(&ratio), "{ratio}");
    set_times(&mut shop, None, Some("1.5")).expect("in range");
    let first = range(&mut shop);
    let ratio = first.hands_on.p50_s / longer.hands_on.p50_s;
    assert!((1.47..=1.5).contains(&ratio), "{ratio}");
    let words = shop.known_times(&case.book.title).expect("an archive").words();
    assert!(
        words.contains("38 %") && words.contains("1.5 times that, because the engine is new here"),
        "{words}"
    );
}

#[test]
fn what_is_no_allowance_and_no_factor_is_told() {
    let mut shop = workshop();
    for (allowance, first_time) in [
        (Some("much"), None),
        (Some("-5"), None),
        (Some("900"), None),
        (None, Some("0.8")),
        (None, Some("often")),
    ] {
        let why = set_times(&mut shop, allowance, first_time).expect_err("it is out of range");
        assert!(why.contains("write"), "{why}");
    }
    assert!(shop.time_settings().is_assumed());
}

/// The two levels stand in the plan's JSON by name, and a plan with them is read back as the plan.
#[test]
fn a_plan_for_other_programs_names_both_levels() {
    let case = thermostat_case();
    let text = serde_json::to_string(&PlanWithHours::of_plan(&case.book, &case.plan, &KnownTimes::assumed()))
        .expect("plain data");
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let level = |name: &str| value["hours"][name].as_f64().expect("a number");
    assert!(level("planned_s") < level("p50_s") && level("p50_s") < level("p80_s"), "{}", value["hours"]);
    assert_eq!(value["hours"]["allowance_percent"], 15);
    let again: Plan = serde_json::from_str(&text).expect("a plan");
    assert_eq!(again, case.plan);
}
