//! Texts that must not stand in any file, and a ceiling for the calls that can stop the program.

use std::collections::BTreeMap;

use tidy::{KeptText, blank_out, checkout_files, production_code, report_findings, rust_files};

/// Folders of some machine; a checkout must not know where it lies. Split so that this file passes too.
const PLACES: &[&str] = &[
    concat!("/", "work/"),
    concat!("/", "root/"),
    concat!("/", "tmp/"),
    concat!("/", "home/"),
    concat!("/", "Users/"),
];

/// Marks of work left undone.
const UNDONE: &[&str] = &[concat!("TO", "DO"), concat!("FIX", "ME"), concat!("XX", "X")];

/// A lint is silenced with `expect` and a reason, so that a needless silence is noticed.
const SILENCED: &[&str] = &[concat!("#[al", "low("), concat!("#![al", "low(")];

/// Most calls of `unwrap` and `expect` in a thousand lines of shipped code.
const MOST_PER_THOUSAND: usize = 5;

/// Whether a text stands in a line on its own, not as the tail of a longer word or path.
fn stands_alone(line: &str, text: &str) -> bool {
    line.match_indices(text).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        !before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | '/' | '*' | '}'))
    })
}

#[test]
fn a_place_is_a_whole_path_and_not_a_piece_of_one() {
    assert!(stands_alone(concat!("see ", "/", "tmp/x"), PLACES[2]));
    assert!(stands_alone(concat!("\"", "/", "tmp/x\""), PLACES[2]));
    assert!(!stands_alone(concat!("a", "/", "tmp/x"), PLACES[2]));
}

#[test]
fn no_file_names_a_place_on_some_machine_or_work_left_undone() {
    let mut findings = Vec::new();
    for file in checkout_files() {
        for (index, line) in file.text.lines().enumerate() {
            let mut bad = PLACES.iter().chain(UNDONE);
            if let Some(text) = bad.find(|text| stands_alone(line, text)) {
                findings.push(format!("{} `{text}`", file.place_at(index)));
            }
        }
    }
    report_findings("texts that must not stand here", &findings);
}

#[test]
fn lints_are_silenced_only_with_a_reason() {
    let mut findings = Vec::new();
    for file in rust_files() {
        for (index, line) in blank_out(&file.text, KeptText::Code).lines().enumerate() {
            if SILENCED.iter().any(|text| line.contains(text)) {
                findings.push(file.place_at(index));
            }
        }
    }
    report_findings("write `#[expect(lint, reason = \"…\")]` instead", &findings);
}

#[test]
fn few_calls_can_stop_the_program() {
    let mut lines = 0;
    let mut calls: BTreeMap<String, usize> = BTreeMap::new();
    for file in rust_files().into_iter().filter(tidy::CheckoutFile::is_shipped) {
        let code = production_code(&blank_out(&file.text, KeptText::Code));
        lines += code.lines().filter(|l| !l.trim().is_empty()).count();
        let found = code.matches(".unwrap()").count() + code.matches(".expect(").count();
        if found > 0 {
            calls.insert(file.path, found);
        }
    }
    let total: usize = calls.values().sum();
    assert!(
        total * 1000 < MOST_PER_THOUSAND * lines.max(1),
        "{total} calls of unwrap and expect in {lines} lines, fewer than {MOST_PER_THOUSAND} in 1,000 wanted: {calls:#?}"
    );
}
