//! Every source file opens by saying what it is for.

use tidy::{report_findings, rust_files};

#[test]
fn every_rust_file_opens_with_a_sentence() {
    let opens = |text: &str| {
        let first = text.lines().next().unwrap_or_default();
        first.strip_prefix("//! ").is_some_and(|s| s.split_whitespace().count() >= 3)
    };
    let found = rust_files();
    assert!(found.len() >= 20, "only {} Rust files seen", found.len());
    let findings: Vec<String> = found.iter().filter(|f| !opens(&f.text)).map(|f| f.path.clone()).collect();
    report_findings("first line is not a `//!` sentence", &findings);
}
