//! The arrows between the crates: the picture in ARCHITECTURE.md and the manifests must say the same.
//!
//! `judge` is the independent judge; nothing that it can reach, its tests included, may hold a solver.

use std::collections::{BTreeMap, BTreeSet};

use tidy::{WorkspaceCrate, checkout_files, report_findings, workspace_crates};

/// What stands in the picture of ARCHITECTURE.md for one crate.
struct DrawnCrate {
    name: String,
    /// What its shipped code may use of ours.
    normal: Vec<String>,
    /// What its tests may use besides.
    dev: Vec<String>,
}

/// The words of the picture for a crate that uses none of ours.
const USES_NONE: &str = "none of ours";

/// The lines of the picture, in their order.
fn drawn_crates() -> Vec<DrawnCrate> {
    let map = checkout_files().into_iter().find(|f| f.path == "ARCHITECTURE.md").expect("the map is there");
    let (_, after) = map.text.split_once("## Which crate uses which").expect("the map has the section");
    let (_, block) = after.split_once("```text\n").expect("the section has a picture");
    let (picture, _) = block.split_once("```").expect("the picture ends");
    picture.lines().map(read_picture_line).collect()
}

/// A line such as `record → model, units; in tests book   (a remark)`.
fn read_picture_line(line: &str) -> DrawnCrate {
    let (name, uses) =
        line.split_once('→').unwrap_or_else(|| panic!("`{line}` in ARCHITECTURE.md has no arrow"));
    let uses = uses.split_once('(').map_or(uses, |(uses, _remark)| uses);
    let (normal, dev) = uses.split_once("; in tests ").unwrap_or((uses, ""));
    let listed = |text: &str| {
        let names = text.split(',').map(str::trim).filter(|n| !n.is_empty() && *n != USES_NONE);
        names.map(str::to_owned).collect()
    };
    DrawnCrate { name: name.trim().to_owned(), normal: listed(normal), dev: listed(dev) }
}

/// What the judge must never reach.
const SOLVERS: &[&str] = &["cart", "closure", "cover", "order", "plan", "reach", "schedule"];

#[test]
fn the_manifests_draw_the_arrows_of_the_picture() {
    let members = workspace_crates();
    let ours: BTreeSet<&str> = members.iter().map(|c| c.name.as_str()).collect();
    let drawn = drawn_crates();
    let picture: BTreeMap<&str, &DrawnCrate> = drawn.iter().map(|c| (c.name.as_str(), c)).collect();
    let mut findings = Vec::new();
    for member in &members {
        let Some(crate_drawn) = picture.get(member.name.as_str()) else {
            findings.push(format!("crate `{}` is not in the picture", member.name));
            continue;
        };
        compare(&member.name, "", &member.normal, &crate_drawn.normal, &ours, &mut findings);
        compare(&member.name, " in tests", &member.dev, &crate_drawn.dev, &ours, &mut findings);
    }
    let gone = picture.keys().filter(|name| !ours.contains(**name));
    findings.extend(gone.map(|name| format!("the picture lists `{name}`, which is no crate")));
    report_findings("crate edges", &findings);
}

fn compare(
    name: &str,
    kind: &str,
    actual: &[String],
    allowed: &[String],
    ours: &BTreeSet<&str>,
    findings: &mut Vec<String>,
) {
    let actual: BTreeSet<&str> = actual.iter().map(String::as_str).filter(|d| ours.contains(d)).collect();
    let allowed: BTreeSet<&str> = allowed.iter().map(String::as_str).collect();
    for extra in actual.difference(&allowed) {
        findings.push(format!("`{name}` uses `{extra}`{kind}, an arrow that the picture does not have"));
    }
    for stale in allowed.difference(&actual) {
        findings.push(format!("`{name}` no longer uses `{stale}`{kind}; take the arrow out of the picture"));
    }
}

#[test]
fn each_crate_stands_above_all_that_it_uses() {
    let drawn = drawn_crates();
    let mut findings = Vec::new();
    for (at, user) in drawn.iter().enumerate() {
        let above: BTreeSet<&str> = drawn[..=at].iter().map(|c| c.name.as_str()).collect();
        let wrong = user.normal.iter().filter(|used| above.contains(used.as_str()));
        findings.extend(wrong.map(|used| format!("`{used}` stands above `{}`, which uses it", user.name)));
    }
    report_findings("the order of the picture in ARCHITECTURE.md", &findings);
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
