//! A bare number carries its unit in its name: every `f64` field and parameter ends in one.
//!
//! A name from a formula may stand without one when the file says so once, `// symbol: mu_g = friction in the thread`.

use std::collections::BTreeSet;

use tidy::{CheckoutFile, KeptText, blank_out, production_code, report_findings, rust_files, words_of};

/// Units and kinds of plain numbers; a name ends in one of them or is one.
const SUFFIXES: &[&str] = &[
    // lengths, areas, forces, torques
    "mm",
    "mm2",
    "mm3",
    "um",
    "m",
    "in",
    "n",
    "kn",
    "n_m",
    "lbf_in",
    "lbf_ft",
    "n_per_mm",
    // angles, speeds, times
    "deg",
    "rad",
    "turns",
    "rpm",
    "tpi",
    "s",
    "seconds",
    "ms",
    "min",
    "h",
    "days",
    "per_s",
    "mm_per_s",
    "deg_per_s",
    "s_per_mm",
    "s_per_turn",
    "turns_per_s",
    // the rest
    "mpa",
    "bar",
    "kg",
    "km",
    "c",
    "cents",
    "px",
    "pt",
    // numbers without a unit, or whose unit stands beside them
    "figure",
    "number",
    "fraction",
    "ratio",
    "percent",
    "factor",
    "count",
    "share",
    "probability",
    "weight",
    "scale",
    "cost",
];

/// Names that need no unit, each with its reason: crate, name, why.
const EXCEPTIONS: &[(&str, &str, &str)] = &[
    ("units", "value", "the unit is in the constructor's name, or the number belongs to any unit"),
    ("units", "base", "the base unit of whichever quantity the macro writes"),
    ("units", "divisor", "a plain number that a quantity is divided by"),
    ("units", "whole", "the part of a mixed fraction before its numerator"),
    ("units", "x", "the argument of a function of mathematics"),
    ("units", "y", "the argument of a function of mathematics"),
    ("effort", "value", "counts what the field `unit` beside it says"),
    ("effort", "bound", "counts what the field `unit` beside it says"),
    ("model", "low", "a size of drive: millimetres, or the number of a numbered form"),
    ("model", "high", "a size of drive: millimetres, or the number of a numbered form"),
    ("model", "size_mm_or_number", "the name says both"),
    ("model", "short_by", "in the unit of the rule that failed, which stands beside it"),
    ("model", "history", "causes with their factors"),
    ("app", "low", "in the unit that the name of the field holding the range ends in"),
    ("app", "high", "in the unit that the name of the field holding the range ends in"),
    ("app", "setting_in_unit_given", "in the unit that `unit_given` beside it names"),
    ("app", "setting_in_unit_of_scale", "in the unit that `unit_of_scale` beside it names"),
    ("model", "begins", "a field of the plan's JSON, in seconds by `docs/plan-format.md`"),
    ("model", "lasts", "a field of the plan's JSON, in seconds by `docs/plan-format.md`"),
    ("print", "at", "a point of the drawing, in its own units"),
    ("print", "from", "a point of the drawing, in its own units"),
    ("print", "to", "a point of the drawing, in its own units"),
    ("print", "points", "points of the drawing, in its own units"),
    ("print", "centre", "a point of the drawing, in its own units"),
    ("print", "size", "width and height in the drawing's own units"),
];

/// Names with a type that holds `f64`, as fields and parameters are written.
fn bare_numbers(line: &str) -> Vec<&str> {
    let mut found = Vec::new();
    for (colon, _) in line.match_indices(": ") {
        let before = &line[..colon];
        let name = words_of(before).next_back().filter(|name| before.ends_with(name)).unwrap_or_default();
        let ahead = before[..before.len() - name.len()].trim_end();
        if !name.is_empty() && !is_local(ahead) && is_bare(type_of(&line[colon + 2..])) {
            found.push(name);
        }
    }
    found
}

/// Whether the words ahead of a name make it a local, a constant or the parameter of a closure.
fn is_local(ahead: &str) -> bool {
    let last = words_of(ahead).next_back().unwrap_or_default();
    let declared = ahead.ends_with(last) && matches!(last, "let" | "mut" | "const" | "static" | "ref");
    declared || ahead.matches('|').count() % 2 == 1
}

/// What follows a colon, up to the end of the field or parameter.
fn type_of(rest: &str) -> &str {
    let mut depth = 0_usize;
    for (i, c) in rest.char_indices() {
        match c {
            '<' | '(' | '[' => depth += 1,
            '>' | ')' | ']' if depth > 0 => depth -= 1,
            ',' | ')' | '{' | '}' | '=' | '|' if depth == 0 => return &rest[..i],
            _ => {}
        }
    }
    rest
}

/// Whether a type is a number or a list of numbers, and not an expression or a function.
fn is_bare(kind: &str) -> bool {
    let is_expression = kind.contains("::") || kind.contains('.') || words_of(kind).any(|w| w == "as");
    let is_function = words_of(kind).any(|w| matches!(w, "fn" | "Fn" | "FnMut" | "FnOnce" | "dyn" | "impl"));
    !is_expression && !is_function && words_of(kind).any(|w| w == "f64")
}

fn has_unit(name: &str) -> bool {
    SUFFIXES.iter().any(|s| name.strip_suffix(s).is_some_and(|stem| stem.is_empty() || stem.ends_with('_')))
}

/// Names that the file declares as symbols of a formula.
fn symbols(text: &str) -> BTreeSet<&str> {
    let notes = text.lines().filter(|l| l.trim_start().starts_with("//"));
    let declared = notes.filter_map(|l| l.split_once("symbol:")).map(|(_, rest)| rest);
    declared.flat_map(|rest| words_of(rest.split('=').next().unwrap_or_default())).collect()
}

fn excepted(file: &CheckoutFile, name: &str) -> bool {
    EXCEPTIONS.iter().any(|(home, word, _)| file.crate_name() == Some(home) && *word == name)
}

#[test]
fn fields_and_parameters_are_told_from_locals_and_expressions() {
    let check = |line: &str, expected: &[&str]| assert_eq!(bare_numbers(line), expected, "{line}");
    check("    pub depth: f64,", &["depth"]);
    check("fn f(a_mm: f64, all: &[f64], n: usize) -> f64 {", &["a_mm", "all"]);
    check("    gap: Option<f64>,", &["gap"]);
    check("    ends: (f64, f64),", &["ends"]);
    check("    let x: f64 = 1.0;", &[]);
    check("const MOST: f64 = 1.0;", &[]);
    check("    let f = |a: f64| a;", &[]);
    check("    S { a: f64::MAX, b: n as f64 }", &[]);
    check("    rule: fn(f64) -> f64,", &[]);
}

#[test]
fn a_unit_is_a_whole_ending() {
    for (name, expected) in
        [("depth_mm", true), ("mm", true), ("torque_n_m", true), ("depth", false), ("zoom", false)]
    {
        assert_eq!(has_unit(name), expected, "{name}");
    }
    let declared: Vec<&str> =
        symbols("//! symbol: `mu_g`, d2 = friction and pitch diameter\nsymbol: no = x").into_iter().collect();
    assert_eq!(declared, ["d2", "mu_g"]);
}

#[test]
fn every_bare_number_says_its_unit() {
    let mut findings = Vec::new();
    for file in rust_files().into_iter().filter(CheckoutFile::is_shipped) {
        let known = symbols(&file.text);
        for (index, line) in production_code(&blank_out(&file.text, KeptText::Code)).lines().enumerate() {
            let bare = bare_numbers(line).into_iter().filter(|name| !has_unit(name));
            for name in bare.filter(|name| !known.contains(name) && !excepted(&file, name)) {
                findings.push(format!("{} `{name}`", file.place_at(index)));
            }
        }
    }
    report_findings("numbers without a unit in their name", &findings);
}
