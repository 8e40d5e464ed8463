//! The documents keep up with the code: every crate on the map, every word in the glossary, every link alive.

use std::collections::BTreeSet;

use tidy::{
    CheckoutFile, KeptText, WorkspaceCrate, blank_out, checkout_files, report_findings, rust_files,
    workspace_crates, workspace_root,
};

const MOST_LINES_OF_A_DECISION: usize = 80;

/// What every decision says besides what was decided.
const PARTS_OF_A_DECISION: &[&str] = &["## Goals", "## Non-goals", "## Decision", "## Alternatives"];

/// The words that files, screens, paper and code share.
const WORDS: &[&str] = &[
    "access",
    "act",
    "book",
    "cap",
    "cart",
    "condition",
    "duty",
    "fixing",
    "gap",
    "hold",
    "hold-up",
    "hole",
    "joint",
    "judge",
    "ledger",
    "look-alikes",
    "mix-up",
    "nearest miss",
    "opening",
    "part",
    "piece",
    "readiness",
    "reading",
    "rescue item",
    "slot",
    "stack",
    "station",
    "step",
    "store",
    "task",
    "visit",
    "way",
];

fn page(path: &str) -> String {
    checkout_files().into_iter().find(|f| f.path == path).unwrap_or_else(|| panic!("{path} is missing")).text
}

#[test]
fn the_map_lists_every_crate() {
    let map = page("ARCHITECTURE.md");
    let listed = |c: &&WorkspaceCrate| map.lines().any(|l| l.starts_with(&format!("| `{}` |", c.name)));
    let members = workspace_crates();
    let findings: Vec<String> = members.iter().filter(|c| !listed(c)).map(|c| c.name.clone()).collect();
    report_findings("crates without a row in the code map of ARCHITECTURE.md", &findings);
    assert!(map.lines().any(|l| l.starts_with("**Invariant:**")), "the map names no invariant");
}

/// The rows of the glossary: word, meaning, words not to use for it.
fn glossary() -> Vec<[String; 3]> {
    let text = page("GLOSSARY.md");
    let rows = text.lines().filter_map(|l| l.strip_prefix("| ")?.strip_suffix(" |"));
    let cells = rows.map(|r| r.split(" | ").map(|c| c.trim().to_owned()).collect::<Vec<_>>());
    cells.filter_map(|c| <[String; 3]>::try_from(c).ok()).filter(|c| c[0] != "word").collect()
}

#[test]
fn the_glossary_explains_each_word_once() {
    let rows = glossary();
    let mut seen = BTreeSet::new();
    let twice =
        rows.iter().filter(|[word, ..]| !seen.insert(word.clone())).map(|[w, ..]| format!("`{w}` twice"));
    let mut findings: Vec<String> = twice.collect();
    findings.extend(WORDS.iter().filter(|w| !seen.contains(**w)).map(|w| format!("`{w}` is missing")));
    let short = rows.iter().filter(|[_, meaning, _]| meaning.split_whitespace().count() < 3);
    findings.extend(short.map(|[w, ..]| format!("`{w}` is hardly explained")));
    report_findings("GLOSSARY.md", &findings);
}

/// The names of the types that a source file declares in the open.
fn types(code: &str) -> Vec<(usize, String)> {
    let kinds = ["pub struct ", "pub enum ", "pub trait ", "pub type "];
    let named = |line: &str| {
        let rest = kinds.iter().find_map(|k| line.trim_start().strip_prefix(k))?;
        Some(rest.chars().take_while(|c| c.is_alphanumeric()).collect())
    };
    code.lines().enumerate().filter_map(|(i, l)| named(l).map(|n| (i, n))).collect()
}

#[test]
fn no_type_goes_by_a_word_that_the_glossary_rejects() {
    let camel = |w: &str| {
        let (head, tail) = w.split_at(w.chars().next().map_or(0, char::len_utf8));
        head.to_uppercase() + tail
    };
    let cells = glossary().into_iter().map(|[word, _, not]| (word, not));
    let rejected: Vec<(String, String)> = cells
        .flat_map(|(word, not)| not.split(", ").map(|n| (camel(n), word.clone())).collect::<Vec<_>>())
        .filter(|(not, _)| not.starts_with(char::is_alphabetic))
        .collect();
    assert!(!rejected.is_empty(), "the glossary rejects no word");
    let mut findings = Vec::new();
    for file in rust_files() {
        for (index, name) in types(&blank_out(&file.text, KeptText::Code)) {
            if let Some((_, word)) = rejected.iter().find(|(not, _)| name.contains(not.as_str())) {
                findings.push(format!("{} `{name}`: the word is `{word}`", file.place_at(index)));
            }
        }
    }
    report_findings("types that go by another word", &findings);
}

#[test]
fn decisions_are_numbered_and_fit_one_page() {
    let all = checkout_files();
    let decisions: Vec<&CheckoutFile> = all.iter().filter(|f| f.path.starts_with("docs/design/")).collect();
    assert!(!decisions.is_empty(), "docs/design/ is empty");
    let mut findings = Vec::new();
    for (index, file) in decisions.iter().enumerate() {
        if !file.path.starts_with(&format!("docs/design/{:04}-", index + 1)) || !file.path.ends_with(".md") {
            findings.push(format!("{} is not number {:04}", file.path, index + 1));
        }
        let lines = file.text.lines().count();
        if lines > MOST_LINES_OF_A_DECISION {
            findings.push(format!("{} has {lines} lines", file.path));
        }
        let missing = PARTS_OF_A_DECISION.iter().filter(|part| !file.text.lines().any(|l| l == **part));
        findings.extend(missing.map(|part| format!("{} has no `{part}`", file.path)));
    }
    report_findings("docs/design", &findings);
}

#[test]
fn the_readme_states_the_job_before_anything_else() {
    let readme = page("README.md");
    let mut lines = readme.lines().filter(|l| !l.trim().is_empty());
    assert!(lines.next().is_some_and(|l| l.starts_with("# ")), "the first line is the title");
    let second = lines.next().unwrap_or_default();
    assert!(second.starts_with(char::is_alphabetic), "after the title comes a paragraph, not `{second}`");
    assert!(
        readme.contains("cargo run --release --quiet -- demo") && readme.contains("./test"),
        "two commands"
    );
}

#[test]
fn the_changelog_starts_with_what_is_unreleased() {
    let changelog = page("CHANGELOG.md");
    let first = changelog.lines().find(|l| l.starts_with("## "));
    assert_eq!(first, Some("## Unreleased"));
}

/// The targets of links and pictures in a page, those to other sites aside.
fn links(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let targets = line.match_indices("](").filter_map(|(at, _)| line[at + 2..].split(')').next());
        let local = targets.filter(|t| !t.contains("://") && !t.starts_with('#') && !t.is_empty());
        found.extend(local.map(|t| (index, t.split('#').next().unwrap_or(t).to_owned())));
    }
    found
}

#[test]
fn every_link_leads_somewhere() {
    let mut findings = Vec::new();
    for file in checkout_files().iter().filter(|f| f.path.ends_with(".md")) {
        let folder = file.path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for (index, target) in links(&file.text) {
            if !workspace_root().join(folder).join(&target).exists() {
                findings.push(format!("{} `{target}`", file.place_at(index)));
            }
        }
    }
    report_findings("links that lead nowhere", &findings);
}

/// Keys such as `S3` in brackets, plain or escaped for a doc comment.
fn keys(line: &str) -> Vec<String> {
    let line = line.replace('\\', "");
    let inside = line.split('[').skip(1).filter_map(|rest| rest.split(']').next());
    let is_key = |k: &&str| {
        k.strip_prefix('S').is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
    };
    inside.flat_map(|list| list.split(", ")).filter(is_key).map(String::from).collect()
}

#[test]
fn keys_are_read_one_by_one_and_in_lists() {
    assert_eq!(keys("see [S3], p. 2 and \\[S12, S4\\], not [Store] or [S]"), ["S3", "S12", "S4"]);
}

#[test]
fn every_source_that_is_cited_is_listed() {
    let page = page("SOURCES.md");
    let listed: BTreeSet<&str> =
        page.lines().filter_map(|l| l.strip_prefix("| ")?.split(" |").next()).collect();
    let mut findings = Vec::new();
    // What the program says cites nothing of its own, and codes of faults look like sources there.
    let is_cited_in =
        |path: &str| path != "STYLE.md" && !path.starts_with("dev/tidy/") && !path.ends_with(".snap");
    for file in checkout_files().iter().filter(|f| is_cited_in(&f.path)) {
        for (index, line) in file.text.lines().enumerate() {
            let unknown = keys(line).into_iter().filter(|k| !listed.contains(k.as_str()));
            findings.extend(unknown.map(|k| format!("{} `{k}`", file.place_at(index))));
        }
    }
    report_findings("sources without a row in SOURCES.md", &findings);
}
