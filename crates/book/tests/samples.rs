//! Each rule has a sample that breaks it and nothing else, at the place that the fault points to.
//!
//! A case is the smallest book, a scene that is still free of faults, and one change: a text of it replaced by the
//! rule's own bad sample. The fault has to stand where `at` stands in the changed text.

mod cases;
#[path = "samples/kept.rs"]
mod kept;

use book::{RULES, SMALLEST, read_book};
use cases::{CASES, Case};
use faults::{Fault, FaultRule};
use std::collections::BTreeSet;

fn rule(code: &str) -> &'static FaultRule {
    faults::find_rule(RULES, code).unwrap_or_else(|| panic!("no rule {code}"))
}

fn replaced(text: &str, old: &str, new: &str) -> String {
    assert!(text.contains(old), "`{old}` is not in the book");
    text.replacen(old, new, 1)
}

fn scene(case: &Case) -> String {
    case.scene.iter().fold(SMALLEST.to_owned(), |text, (old, new)| replaced(&text, old, new))
}

fn faults_of(text: &str) -> Vec<Fault> {
    read_book(&[("sample.toml".into(), text.into())]).faults.into_iter().collect()
}

/// What is wrong with a case, if anything.
fn wrong(case: &Case) -> Option<String> {
    let scene = scene(case);
    let quiet = faults_of(&scene);
    if !quiet.is_empty() {
        return Some(format!("the scene has faults: {quiet:#?}\n{scene}"));
    }
    let text = replaced(&scene, case.old, rule(case.code).bad_sample);
    let found = faults_of(&text);
    let codes: BTreeSet<&str> = found.iter().map(|f| f.code).collect();
    if codes != BTreeSet::from([case.code]) || found.iter().any(|f| f.help.is_none()) {
        return Some(format!("{found:#?}\n{text}"));
    }
    let changed = scene.find(case.old).unwrap_or(0);
    let place = text[changed..].find(case.at).map(|at| at + changed).or_else(|| text.find(case.at));
    let starts: Vec<Option<usize>> = found.iter().map(|f| f.span.map(|s| s.start)).collect();
    let stands = case.at.is_empty() || starts.contains(&place);
    (!stands).then(|| format!("{starts:?}, wanted {place:?} of `{}`\n{text}", case.at))
}

#[test]
fn every_sample_breaks_its_rule_and_no_other() {
    let found = CASES.iter().filter_map(|case| wrong(case).map(|why| format!("{}: {why}", case.code)));
    let found: Vec<String> = found.collect();
    assert!(found.is_empty(), "{} of {} samples:\n{}", found.len(), CASES.len(), found.join("\n\n"));
}

/// Rules whose samples need more than one change, with the test that shows them.
const ELSEWHERE: &[&str] = &["B102", "B110", "B124", "B125", "B512"];

#[test]
fn every_rule_has_a_sample() {
    let shown: BTreeSet<&str> = CASES.iter().map(|c| c.code).chain(ELSEWHERE.iter().copied()).collect();
    let rules: BTreeSet<&str> = RULES.iter().flat_map(|list| list.iter()).map(|rule| rule.code).collect();
    assert_eq!(shown, rules);
    assert_eq!(rules.len(), RULES.iter().map(|list| list.len()).sum::<usize>(), "a code stands twice");
}

#[test]
fn a_second_head_is_told() {
    let files =
        [("a.toml".into(), SMALLEST.into()), ("b.toml".into(), b"title = \"another head\"\n".to_vec())];
    let found: Vec<Fault> = read_book(&files).faults.into_iter().collect();
    assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), ["B102"]);
    assert_eq!(found[0].span.map(|s| s.start), Some(8));
}

#[test]
fn a_spreadsheet_with_a_slip_is_told_at_its_place() {
    for code in ["B124", "B125"] {
        let head = "format = \"traywright-book/2\"\ntitle = \"x\"\n[[task]]\ntitle = \"look\"\n";
        let files =
            [("a.toml".into(), head.into()), ("b.csv".into(), rule(code).bad_sample.as_bytes().to_vec())];
        let reading = read_book(&files);
        let codes = reading.faults.codes();
        assert!(codes.contains(&code), "{codes:?}");
    }
}

#[test]
fn a_list_without_end_is_cut_off() {
    let holes: String = (0..301).map(|i| format!("[{i}, 0],")).collect();
    let text = replaced(SMALLEST, "[[0, 0], [40, 0], [0, 60], [40, 60]]", &format!("[{holes}]"));
    let text = replaced(&text, "count       = 4", "count       = 300");
    let found = faults_of(&text);
    assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), ["B110"]);
}

/// A book with a number of settings.
fn book_with_settings(count: usize) -> String {
    let setting = |at: usize| format!("[[setting]]\ntitle = \"lamp {at}\"\nvalues = [\"off\", \"on\"]\n\n");
    format!("{SMALLEST}\n{}", (0..count).map(setting).collect::<String>())
}

#[test]
fn a_world_has_a_limited_number_of_things() {
    assert!(faults_of(&book_with_settings(64)).is_empty());
    let found = faults_of(&book_with_settings(65));
    assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), ["B512"]);
    assert!(found[0].message.contains("65 settings and 0 parts"), "{}", found[0].message);
}

#[test]
fn seventeen_values_are_too_many_and_one_is_too_few() {
    for (count, expected) in [(1, &["B503"][..]), (2, &[]), (16, &[]), (17, &["B503"])] {
        let values: Vec<String> = (0..count).map(|at| format!("\"{at}\"")).collect();
        let setting =
            format!("{SMALLEST}\n[[setting]]\ntitle = \"lift\"\nvalues = [{}]\n", values.join(", "));
        let found = faults_of(&setting);
        assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), expected, "{count} values");
    }
}

#[test]
fn a_need_names_one_thing_and_a_rule_one_form() {
    let lift = "[[setting]]\ntitle = \"lift\"\nvalues = [\"ground\", \"up\"]\n[[rule]]\ntitle = \"both\"\n\
                stays_still = [\"lift\"]\nnever_together = [{ setting = \"lift\", part = \"cover\", is = [\"up\"] }]\n";
    let found = faults_of(&format!("{SMALLEST}\n{lift}"));
    let messages: Vec<&str> = found.iter().map(|f| f.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "the rule `both` has several forms: never_together, stays_still",
            "a need names a setting and a part",
        ]
    );
}

#[test]
fn a_need_that_its_working_position_excludes_is_told() {
    let station = (
        "hand_force = \"400 N\"",
        "hand_force = \"400 N\"\nneeds = [{ setting = \"lift\", is = [\"ground\"] }]",
    );
    let part = (
        "place_time = \"20 s\"",
        "place_time = \"20 s\"\ntaking_off = { needs = [{ setting = \"lift\", is = [\"up\"] }] }",
    );
    let lift = "[[setting]]\ntitle = \"lift\"\nvalues = [\"ground\", \"up\"]\n[[setting.way]]\nto = \"up\"\ntext = \"Raise it.\"\n\
                [[setting.way]]\nto = \"ground\"\ntext = \"Lower it.\"\n";
    let text = [station, part]
        .iter()
        .fold(format!("{SMALLEST}\n{lift}"), |text, (old, new)| replaced(&text, old, new));
    let found = faults_of(&text);
    assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), ["B516"], "{found:#?}");
    assert!(found[0].message.contains("at `front`"), "{}", found[0].message);
}

#[test]
fn all_faults_are_told_in_one_run() {
    let text = replaced(SMALLEST, "\"9 N·m\"", "\"80 N·m\"");
    let text = replaced(&text, "count       = 4", "count       = 5");
    let text = replaced(&text, "headroom = 180", "headroom = 35");
    let text = replaced(&text, "off_first  = [\"cover\"]", "off_first  = [\"cver\"]");
    let found = read_book(&[("sample.toml".into(), text.into())]);
    assert!(found.book.is_none());
    assert_eq!(found.faults.codes(), ["B107", "B301", "B314", "B406"]);
    let shown = faults::render_faults(&found.faults, &found.sources, faults::FaultLook::Plain);
    assert!(shown.contains("did you mean `cover`?"), "{shown}");
    assert!(shown.contains("if lbf·in was meant instead of N·m, it is 9.04 N·m"), "{shown}");
}

#[test]
fn a_circle_that_a_way_avoids_is_none() {
    let ways = "place_time = \"20 s\"\n  [[part.way]]\n  key = \"a\"\n  title = \"a\"\n  off_first = [\"plate\"]\n\
                  [[part.way]]\n  key = \"b\"\n  title = \"b\"\n  off_first = []\n";
    let plate = "[[task]]\nkey        = \"inspect-belt\"";
    let added = format!("{}\noff_first = [\"cover\"]\n\n{plate}", cases::PLATE);
    let text = replaced(&replaced(SMALLEST, "place_time = \"20 s\"\n", ways), plate, &added);
    let found = faults_of(&text);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_circle_is_shown_as_a_circle() {
    let case = CASES.iter().find(|c| c.code == "B201").expect("a case");
    let text = replaced(&scene(case), case.old, rule("B201").bad_sample);
    let found = faults_of(&text);
    assert_eq!(found[0].message, "parts wait for each other: cover → plate → cover");
}
