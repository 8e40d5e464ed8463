//! Few dependencies, each listed once with its reason, none of them idle.

use std::collections::BTreeSet;

use tidy::{CheckoutFile, checkout_files, report_findings, workspace_crates};

/// Fewest words that can say why a crate is worth having.
const FEWEST_WORDS: usize = 3;

fn manifest(path: &str) -> CheckoutFile {
    checkout_files()
        .into_iter()
        .find(|f| f.path == path)
        .expect("the manifest is there, or nothing had been built")
}

/// The lines of a table of a manifest, as (line number from nought, line).
fn table<'a>(text: &'a str, heading: &str) -> Vec<(usize, &'a str)> {
    let numbered = text.lines().enumerate();
    let after = numbered.skip_while(|(_, l)| l.trim() != heading).skip(1);
    after.take_while(|(_, l)| !l.starts_with('[')).filter(|(_, l)| l.contains('=')).collect()
}

fn is_ours(line: &str) -> bool {
    line.contains("path =")
}

#[test]
fn every_outside_crate_has_its_reason() {
    let root = manifest("Cargo.toml");
    let outside: Vec<_> =
        table(&root.text, "[workspace.dependencies]").into_iter().filter(|(_, l)| !is_ours(l)).collect();
    assert!(!outside.is_empty(), "the list of outside crates was not found");
    let has_reason = |line: &str| {
        line.rsplit_once('#').is_some_and(|(_, why)| why.split_whitespace().count() >= FEWEST_WORDS)
    };
    let bare = outside.iter().filter(|(_, line)| !has_reason(line));
    let findings: Vec<String> =
        bare.map(|(index, line)| format!("{} {line}", root.place_at(*index))).collect();
    report_findings("outside crates without a reason behind `#`", &findings);
}

#[test]
fn every_outside_crate_is_used() {
    let root = manifest("Cargo.toml");
    let used: BTreeSet<String> =
        workspace_crates().into_iter().flat_map(|c| [c.normal, c.dev].concat()).collect();
    let mut findings = Vec::new();
    for (index, line) in table(&root.text, "[workspace.dependencies]") {
        let name = line.split('=').next().unwrap_or_default().trim();
        if !is_ours(line) && !used.contains(name) {
            findings.push(format!("{} `{name}`", root.place_at(index)));
        }
    }
    report_findings("outside crates that nothing uses", &findings);
}

#[test]
fn versions_stand_in_one_place() {
    let mut findings = Vec::new();
    let is_member = |f: &&CheckoutFile| f.path.ends_with("/Cargo.toml") && f.crate_name().is_some();
    for file in checkout_files().iter().filter(is_member) {
        let both = ["[dependencies]", "[dev-dependencies]"].map(|heading| table(&file.text, heading));
        for (index, line) in both.concat() {
            if !line.contains("workspace = true") {
                findings.push(format!("{} {line}", file.place_at(index)));
            }
        }
    }
    report_findings("dependencies that do not come from the workspace's list", &findings);
}
