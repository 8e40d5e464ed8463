//! Names can be searched for: one type name, one type; most functions say verb and object; no local hides a crate whose path stands in the code.

use std::collections::{BTreeMap, BTreeSet};

use tidy::{
    CheckoutFile, KeptText, blank_out, find_functions, names_crate, production_code, report_findings,
    rust_files, workspace_crates,
};

/// Share of types whose name is shared, in hundredths, at most; names that only a trait's own shape asks for are not counted.
const MAX_SHARED_PERCENT: usize = 10;

/// Share of functions with a name of one word, in hundredths, at most.
const MAX_ONE_WORD_PERCENT: usize = 40;

/// Associated types of the standard library's traits.
const ASSOCIATED: &[&str] = &["Output", "Err", "Error", "Item", "IntoIter", "Target", "Rejection", "Value"];

fn shipped_code(file: &CheckoutFile) -> String {
    production_code(&blank_out(&file.text, KeptText::Code))
}

/// The types that a line defines: its visibility and its name.
fn type_on_line(line: &str) -> Option<(bool, &str)> {
    let line = line.trim_start();
    let is_public = line.starts_with("pub ");
    let rest = line.strip_prefix("pub ").or_else(|| line.strip_prefix("pub(")?.split_once(") ").map(|s| s.1));
    let rest = rest.unwrap_or(line);
    let name = ["struct ", "enum ", "trait ", "type "].iter().find_map(|k| rest.strip_prefix(k))?;
    let end = name.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(name.len());
    name.starts_with(|c: char| c.is_ascii_uppercase()).then(|| (is_public, &name[..end]))
}

/// Every type with the places that define it.
fn types_by_name(public_only: bool) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for file in rust_files().into_iter().filter(CheckoutFile::is_shipped) {
        for (index, line) in shipped_code(&file).lines().enumerate() {
            if let Some((is_public, name)) = type_on_line(line)
                && (is_public || !public_only)
                && !ASSOCIATED.contains(&name)
            {
                found.entry(name.to_owned()).or_default().push(file.place_at(index));
            }
        }
    }
    found
}

#[test]
fn type_lines_are_read_in_every_way_of_writing() {
    assert_eq!(type_on_line("pub struct KitProblem<'a> {"), Some((true, "KitProblem")));
    assert_eq!(type_on_line("    pub(crate) enum Way {"), Some((false, "Way")));
    assert_eq!(type_on_line("trait Watch: Sync {"), Some((false, "Watch")));
    assert_eq!(type_on_line("let structure = 1;"), None);
    assert_eq!(type_on_line("type_name(x)"), None);
}

#[test]
fn no_public_type_name_stands_twice() {
    let twice = types_by_name(true).into_iter().filter(|(_, places)| places.len() > 1);
    let findings: Vec<String> =
        twice.map(|(name, places)| format!("`{name}`: {}", places.join(", "))).collect();
    report_findings("public type names of several types", &findings);
}

#[test]
fn few_types_share_a_name() {
    let all = types_by_name(false);
    let total: usize = all.values().map(Vec::len).sum();
    let shared: usize = all.values().map(Vec::len).filter(|n| *n > 1).sum();
    assert!(total > 500, "only {total} types were found");
    assert!(100 * shared <= MAX_SHARED_PERCENT * total, "{shared} of {total} types share a name");
}

#[test]
fn most_functions_say_verb_and_object() {
    let (mut one_word, mut total) = (0, 0);
    for file in rust_files().into_iter().filter(CheckoutFile::is_shipped) {
        for function in find_functions(&shipped_code(&file)) {
            total += 1;
            one_word += usize::from(!function.name.contains('_'));
        }
    }
    assert!(total > 2_000, "only {total} functions were found");
    assert!(
        100 * one_word <= MAX_ONE_WORD_PERCENT * total,
        "{one_word} of {total} function names are one word"
    );
}

/// Whether a line binds the name: by `let`, as a parameter, in a closure or as a module.
fn binds_name(line: &str, name: &str) -> bool {
    let patterns = [
        format!("let {name}"),
        format!("let mut {name}"),
        format!("({name}: "),
        format!(", {name}: "),
        format!("|{name}|"),
        format!("|{name},"),
        format!("mod {name}"),
    ];
    let ends =
        |at: usize, len: usize| !line[at + len..].starts_with(|c: char| c.is_alphanumeric() || c == '_');
    patterns.iter().any(|p| line.match_indices(p.as_str()).any(|(at, _)| ends(at, p.len())))
}

#[test]
fn no_module_or_local_goes_by_the_name_of_a_crate_that_the_file_uses() {
    let members = workspace_crates();
    let ours: BTreeSet<&str> = members.iter().map(|c| c.name.as_str()).collect();
    let mut findings = Vec::new();
    for file in rust_files().into_iter().filter(CheckoutFile::is_shipped) {
        let Some(member) = members.iter().find(|c| Some(c.name.as_str()) == file.crate_name()) else {
            continue;
        };
        let code = shipped_code(&file);
        for used in member.normal.iter().map(String::as_str).filter(|d| ours.contains(d)) {
            let imported = |line: &str| line.starts_with("use ") || line.starts_with("pub use ");
            if !code.lines().any(|line| !imported(line) && names_crate(line, used)) {
                continue;
            }
            let bound = code.lines().enumerate().filter(|(_, line)| binds_name(line, used));
            findings.extend(bound.map(|(index, _)| format!("{} `{used}`", file.place_at(index))));
        }
    }
    report_findings("modules and locals that go by the name of a crate used beside them", &findings);
}

#[test]
fn upper_limits_are_spelled_one_way() {
    let other = |name: &str| {
        ["MOST_", "LARGEST_", "LONGEST_", "GREATEST_"].iter().any(|p| name.starts_with(p))
            || name.contains("_MAX")
    };
    let mut findings = Vec::new();
    for file in rust_files().into_iter().filter(CheckoutFile::is_shipped) {
        for (index, line) in shipped_code(&file).lines().enumerate() {
            let constant =
                line.split_once("const ").and_then(|(_, rest)| rest.split_once(':')).map(|(name, _)| name);
            if let Some(name) = constant.filter(|name| other(name)) {
                findings.push(format!("{} `{name}`: `MAX_…`", file.place_at(index)));
            }
        }
    }
    report_findings("upper limits spelled otherwise", &findings);
}
