//! Every fault code stands in the source, in the pages `docs/errors*.md` and in a test with a bad sample: three equal sets.
//!
//! A code is a letter and three digits: `B` for books, `S` for stores, `T` for the text itself.

use std::collections::{BTreeMap, BTreeSet};

use tidy::{CheckoutFile, KeptText, blank_out, checkout_files, production_code, report_findings, words_of};

/// The crates that report faults.
const READERS: &[&str] = &["book", "faults", "tools"];

/// Words that look like codes and are none.
const NOT_CODES: &[(&str, &str)] = &[("T100", "a size of hexalobular drive")];

/// Rules that no text can show, with the reason.
const WITHOUT_SAMPLE: &[(&str, &str)] = &[("S118", "about a file's name, not about its text")];

/// Fewest rules that make a reader worth trusting with a long book.
const FEWEST_CODES: usize = 35;

fn codes(text: &str) -> BTreeSet<String> {
    let is_code = |word: &&str| {
        let (letter, digits) = word.split_at(word.char_indices().nth(1).map_or(word.len(), |(i, _)| i));
        let shape = matches!(letter, "B" | "S" | "T") && digits.len() == 3;
        shape && digits.chars().all(|c| c.is_ascii_digit()) && !NOT_CODES.iter().any(|(no, _)| no == word)
    };
    words_of(text).filter(is_code).map(String::from).collect()
}

#[test]
fn codes_are_a_letter_and_three_digits() {
    let expected = BTreeSet::from(["B204".to_owned(), "T001".to_owned()]);
    assert_eq!(codes("`B204`, error[T001]: M6 B12 X123 B2040 xB204 T100 B20a"), expected);
}

fn of_reader(file: &CheckoutFile, folder: &str) -> bool {
    file.path.contains(folder) && file.crate_name().is_some_and(|name| READERS.contains(&name))
}

/// Codes in shipped source, comments aside.
fn in_source(files: &[CheckoutFile]) -> BTreeSet<String> {
    let shipped = files.iter().filter(|f| of_reader(f, "/src/") && f.path.ends_with(".rs"));
    shipped.flat_map(|f| codes(&shipped_text(&f.text))).collect()
}

/// Source without comments and without test modules, its strings kept.
fn shipped_text(source: &str) -> String {
    let code = blank_out(source, KeptText::Code);
    let kept = production_code(&code);
    let strings = blank_out(source, KeptText::Strings);
    // Test modules became empty lines in `kept`; a line that had code and lost it is test code.
    let lost = |(before, after): (&str, &str)| !before.trim().is_empty() && after.trim().is_empty();
    let pairs = code.lines().zip(kept.lines()).map(lost);
    strings.lines().zip(pairs).filter(|(_, lost)| !lost).map(|(line, _)| format!("{line}\n")).collect()
}

#[test]
fn shipped_text_keeps_strings_and_drops_comments_and_tests() {
    let source = "f(\"B101\"); // B102\n#[cfg(test)]\nmod tests {\n  g(\"B103\");\n}\nh(\"B104\");\n";
    assert_eq!(codes(&shipped_text(source)), BTreeSet::from(["B101".to_owned(), "B104".to_owned()]));
}

/// Codes that a test provokes: in the name of a sample file, or in the code of a test, comments aside.
fn in_tests(files: &[CheckoutFile]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for file in files.iter().filter(|f| of_reader(f, "/tests/")) {
        found.extend(codes(file.path.replace('_', " ").to_uppercase().as_str()));
        if file.path.ends_with(".rs") {
            found.extend(codes(&blank_out(&file.text, KeptText::Strings)));
        }
    }
    found
}

/// The sections of the pages `docs/errors*.md` by code; a section starts with a heading that names its code.
fn documented(files: &[CheckoutFile]) -> BTreeMap<String, String> {
    let mut sections: BTreeMap<String, String> = BTreeMap::new();
    let mut current: Option<String> = None;
    let pages = files.iter().filter(|f| f.path.starts_with("docs/errors") && f.path.ends_with(".md"));
    for line in pages.flat_map(|f| f.text.lines()) {
        if line.starts_with("## ") || line.starts_with("### ") {
            current = codes(line).into_iter().next();
        }
        if let Some(code) = &current {
            let section = sections.entry(code.clone()).or_default();
            section.push_str(line);
            section.push('\n');
        }
    }
    sections
}

#[test]
fn source_page_and_samples_know_the_same_codes() {
    let files = checkout_files();
    let source = in_source(&files);
    let page: BTreeSet<String> = documented(&files).into_keys().collect();
    let tests = in_tests(&files);
    let mut findings = Vec::new();
    for code in source.union(&page).chain(&tests).collect::<BTreeSet<_>>() {
        let places = [("the source", &source), ("docs/errors.md", &page), ("a test", &tests)];
        let missing: Vec<&str> = places.iter().filter(|(_, s)| !s.contains(code)).map(|(n, _)| *n).collect();
        if !missing.is_empty() {
            findings.push(format!("{code} is missing in {}", missing.join(" and in ")));
        }
    }
    report_findings("fault codes", &findings);
    assert!(source.len() >= FEWEST_CODES, "{} fault codes, at least {FEWEST_CODES} wanted", source.len());
}

#[test]
fn every_section_shows_a_bad_sample() {
    let bare = documented(&checkout_files()).into_iter().filter(|(code, section)| {
        !section.contains("```") && !WITHOUT_SAMPLE.iter().any(|(exempt, _)| exempt == code)
    });
    report_findings(
        "sections of docs/errors.md without a sample",
        &bare.map(|(code, _)| code).collect::<Vec<_>>(),
    );
}
