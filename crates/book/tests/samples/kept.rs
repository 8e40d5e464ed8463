//! Every fault of books as it is drawn, kept in `snapshots` to be read in one go.

use super::{CASES, RULES, SMALLEST, cases, replaced, rule, scene};
use book::read_book;
use faults::{FaultLook, render_faults};
use std::collections::{BTreeMap, BTreeSet};

/// A book of some files, and how its faults are drawn.
fn drawn(files: &[(&str, String)]) -> String {
    let files: Vec<(String, Vec<u8>)> =
        files.iter().map(|(name, text)| ((*name).to_owned(), text.clone().into_bytes())).collect();
    let found = read_book(&files);
    let shown = render_faults(&found.faults, &found.sources, FaultLook::Plain);
    shown.trim_end().rsplit_once("\n\n").map_or_else(String::new, |(body, _count)| body.to_owned())
}

/// The book of a case, broken.
fn broken(case: &cases::Case) -> String {
    replaced(&scene(case), case.old, rule(case.code).bad_sample)
}

/// Compares a page with the one that is kept.
fn keep(name: &str, page: &str) {
    insta::with_settings!({ snapshot_path => "../snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, page);
    });
}

#[test]
fn every_code_is_drawn() {
    let mut pages: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for case in CASES {
        pages.entry(case.code).or_default().push(drawn(&[("book.toml", broken(case))]));
    }
    let second = String::from("title = \"another head\"\n");
    let two_heads = drawn(&[("a.toml", SMALLEST.to_owned()), ("b.toml", second)]);
    pages.entry("B102").or_default().push(two_heads);
    let holes: String = (0..301).map(|i| format!("[{i}, 0],")).collect();
    let many = replaced(SMALLEST, "[[0, 0], [40, 0], [0, 60], [40, 60]]", &format!("[{holes}]"));
    let many = replaced(&many, "count       = 4", "count       = 300");
    pages.entry("B110").or_default().push(drawn(&[("book.toml", many)]));
    pages.entry("B512").or_default().push(drawn(&[("book.toml", super::book_with_settings(65))]));
    for code in ["B124", "B125"] {
        let rows = rule(code).bad_sample.to_owned();
        pages.entry(code).or_default().push(drawn(&[("book.toml", SMALLEST.to_owned()), ("rows.csv", rows)]));
    }

    let rules: BTreeSet<&str> = RULES.iter().flat_map(|list| list.iter()).map(|rule| rule.code).collect();
    assert_eq!(pages.keys().copied().collect::<BTreeSet<_>>(), rules, "a rule is not drawn");
    for series in ["B1", "B2", "B3", "B4", "B5"] {
        let of_series = pages.iter().filter(|(code, _)| code.starts_with(series));
        let page: Vec<String> =
            of_series.map(|(code, shown)| format!("## {code}\n\n{}", shown.join("\n\n"))).collect();
        keep(&format!("codes_of_books_{series}"), &page.join("\n\n"));
    }
    assert!(rules.iter().all(|code| ["B1", "B2", "B3", "B4", "B5"].iter().any(|s| code.starts_with(s))));
}
