//! The arrows between the crates: this table and the manifests must say the same.
//!
//! `judge` is the independent judge; nothing that it can reach, its tests included, may hold a solver.

use std::collections::{BTreeMap, BTreeSet};

use tidy::{WorkspaceCrate, report_findings, workspace_crates};

/// One crate, what its shipped code may use of ours, and what its tests may use besides.
type Row = (&'static str, &'static [&'static str], &'static [&'static str]);

const TABLE: &[Row] = &[
    (
        "app",
        &[
            "archive", "bolting", "book", "effort", "faults", "judge", "model", "plan", "print", "reach",
            "record", "tools", "units",
        ],
        &["demo_scenario", "generate"],
    ),
    ("archive", &["record"], &[]),
    ("bolting", &["units"], &[]),
    ("book", &["bolting", "faults", "fields", "model", "units"], &[]),
    ("cart", &["effort", "units"], &[]),
    ("cli", &["app", "demo_scenario", "generate", "web"], &[]),
    ("closure", &["effort", "units"], &[]),
    ("cover", &["effort"], &[]),
    ("demo_scenario", &["app"], &[]),
    ("effort", &[], &[]),
    ("faults", &["units"], &[]),
    ("fields", &["faults", "units"], &[]),
    ("generate", &[], &["book", "faults", "model", "tools"]),
    ("instances", &["cart", "judge", "closure", "cover", "effort", "order", "schedule", "units"], &[]),
    ("judge", &["model", "units"], &["bolting"]),
    ("model", &["bolting", "effort", "units"], &[]),
    ("order", &["effort", "units"], &[]),
    ("plan", &["bolting", "cart", "closure", "cover", "effort", "model", "reach", "schedule", "units"], &[]),
    ("print", &["model", "units"], &[]),
    ("reach", &["bolting", "model", "units"], &[]),
    ("record", &["model", "units"], &["book"]),
    ("schedule", &["effort", "units"], &[]),
    ("tidy", &[], &[]),
    ("tools", &["bolting", "faults", "fields", "model", "units"], &[]),
    ("units", &[], &[]),
    ("web", &["app"], &[]),
];

/// What the judge must never reach.
const SOLVERS: &[&str] = &["cart", "closure", "cover", "order", "plan", "reach", "schedule"];

#[test]
fn the_manifests_draw_the_arrows_of_the_table() {
    let members = workspace_crates();
    let ours: BTreeSet<&str> = members.iter().map(|c| c.name.as_str()).collect();
    let table: BTreeMap<&str, _> = TABLE.iter().map(|(name, normal, dev)| (*name, (normal, dev))).collect();
    let mut findings = Vec::new();
    for member in &members {
        let Some((normal, dev)) = table.get(member.name.as_str()) else {
            findings.push(format!("crate `{}` is not in the table", member.name));
            continue;
        };
        compare(&member.name, "", &member.normal, normal, &ours, &mut findings);
        compare(&member.name, " in tests", &member.dev, dev, &ours, &mut findings);
    }
    let gone = table.keys().filter(|name| !ours.contains(**name));
    findings.extend(gone.map(|name| format!("the table lists `{name}`, which is no crate")));
    report_findings("crate edges", &findings);
}

fn compare(
    name: &str,
    kind: &str,
    actual: &[String],
    allowed: &[&str],
    ours: &BTreeSet<&str>,
    findings: &mut Vec<String>,
) {
    let actual: BTreeSet<&str> = actual.iter().map(String::as_str).filter(|d| ours.contains(d)).collect();
    let allowed: BTreeSet<&str> = allowed.iter().copied().collect();
    for extra in actual.difference(&allowed) {
        findings.push(format!("`{name}` uses `{extra}`{kind}, an arrow that the table does not have"));
    }
    for stale in allowed.difference(&actual) {
        findings.push(format!("`{name}` no longer uses `{stale}`{kind}; take the arrow out of the table"));
    }
}

#[test]
fn the_judge_reaches_no_solver() {
    let members = workspace_crates();
    let judge = members.iter().find(|c| c.name == "judge").expect("the judge is a crate of the workspace");
    let starts = judge.normal.iter().chain(&judge.dev).map(String::as_str);
    let reached = closure(&members, starts);
    let solvers: Vec<String> =
        SOLVERS.iter().filter(|s| reached.contains(**s)).map(|s| (*s).into()).collect();
    report_findings("solver code within reach of `judge`", &solvers);
}

#[test]
fn the_closure_follows_arrows_through_other_crates() {
    let member = |name: &str, normal: &[&str]| WorkspaceCrate {
        name: name.into(),
        normal: normal.iter().map(|n| (*n).into()).collect(),
        dev: vec!["far".into()],
    };
    let members = [member("a", &["b"]), member("b", &["c"]), member("c", &[]), member("far", &[])];
    assert_eq!(closure(&members, ["a"].into_iter()), BTreeSet::from(["a", "b", "c"]));
}

/// Every crate that can be reached from the starts along arrows of shipped code.
fn closure<'a>(members: &'a [WorkspaceCrate], starts: impl Iterator<Item = &'a str>) -> BTreeSet<&'a str> {
    let mut reached = BTreeSet::new();
    let mut open: Vec<&str> = starts.collect();
    while let Some(name) = open.pop() {
        let Some(member) = members.iter().find(|c| c.name == name) else { continue };
        if reached.insert(name) {
            open.extend(member.normal.iter().map(String::as_str));
        }
    }
    reached
}

#[test]
fn nothing_depends_on_the_front_end_or_on_these_rules() {
    let users = |c: &WorkspaceCrate| c.normal.iter().chain(&c.dev).any(|d| d == "cli" || d == "tidy");
    let findings: Vec<String> = workspace_crates().into_iter().filter(users).map(|c| c.name).collect();
    report_findings("crates that use `cli` or `tidy`", &findings);
}
