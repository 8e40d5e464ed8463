//! The commands about fasteners: the page `docs/bolting-json.md` names every field of their answers.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{answered, root, run, words};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Runs that together show every field of a command's JSON.
const SHAPES: &[(&str, &[&str])] = &[
    (
        "preload",
        &[
            "traywright preload --thread M10x1.25 --class 10.9 --friction 0.12 --json",
            "traywright preload --thread M8 --class 8.8 --lubrication oiled --surface zinc --json",
        ],
    ),
    ("torque", &["traywright torque --thread M8 --class 8.8 --proof 75% --friction 0.12 --json"]),
    (
        "wrench",
        &["traywright wrench --torque \"135 lbf·in\" --length \"10 in\" --offset \"1.5 in\" --angle 180° \
           --scale \"1 lbf·in\" --full-scale \"250 lbf·in\" --joint 15° --store demo/store --json"],
    ),
    (
        "pattern",
        &[
            "traywright pattern --holes \"0,0 60,0 60,40\" --torque \"24 N·m\" --json",
            "traywright pattern --holes \"0,0 60,0 60,40\" --json",
        ],
    ),
    (
        "strip-margin",
        &[
            "traywright strip-margin --thread M8 --class 8.8 --engagement \"12 mm\" --material steel \
             --torque \"20 N·m\" --json",
            "traywright strip-margin --thread M8 --class 10.9 --engagement \"12 mm\" --material cast-aluminium \
             --insert \"12 mm\" --json",
        ],
    ),
    (
        "mixup",
        &["traywright mixup --fastener \"M6 x 30, 8.8\" --instead-of \"M6 x 20, 8.8\" --clamped \"10 mm\" \
           --depth \"14 mm\" --json"],
    ),
    ("mixup --book", &["traywright mixup --book demo/books/tern-24 --json"]),
    ("driver show", &["traywright driver show --readings demo/readings.csv --json"]),
    (
        "driver step",
        &[
            "traywright driver step --readings demo/readings.csv --torque \"5.3 N·m\" --json",
            "traywright driver step --readings demo/readings.csv --torque \"1 N·m\" --json",
        ],
    ),
];

/// The paths of all fields with the kind of value that each holds: `friction.low.mu_g`, `passes[].figure`.
fn fields(path: &str, value: &Value, into: &mut BTreeMap<String, BTreeSet<&'static str>>) {
    let kind = match value {
        Value::Object(members) => {
            for (name, member) in members {
                fields(&if path.is_empty() { name.clone() } else { format!("{path}.{name}") }, member, into);
            }
            return;
        }
        Value::Array(members) => {
            members.iter().for_each(|m| fields(&format!("{path}[]"), m, into));
            return;
        }
        Value::Null => "null",
        Value::Bool(_) => "yes or no",
        Value::Number(_) => "number",
        Value::String(_) => "text",
    };
    into.entry(path.to_owned()).or_default().insert(kind);
}

/// The rows `| field | kind | … |` of the page by section.
fn documented(page: &str) -> BTreeMap<String, BTreeMap<String, String>> {
    let (mut sections, mut section) = (BTreeMap::new(), String::new());
    for line in page.lines() {
        if let Some(title) = line.strip_prefix("## ") {
            section = title.trim_matches('`').to_owned();
        }
        let cells: Vec<&str> = line.trim_matches('|').split(" | ").map(str::trim).collect();
        if let (true, [field, kind, _]) = (line.starts_with("| `"), &cells[..]) {
            let rows: &mut BTreeMap<String, String> = sections.entry(section.clone()).or_default();
            rows.insert(field.trim_matches('`').to_owned(), (*kind).to_owned());
        }
    }
    sections
}

/// Every field of an answer stands in the page with a kind that covers it, and the page names no other.
#[test]
fn the_page_for_programs_names_every_field_and_its_kind() {
    let page = std::fs::read_to_string(root().join("docs/bolting-json.md")).unwrap();
    let documented = documented(&page);
    let mut findings = Vec::new();
    for (section, runs) in SHAPES {
        let mut found = BTreeMap::new();
        for line in *runs {
            fields("", &serde_json::from_str(&answered(line)).unwrap(), &mut found);
        }
        found.retain(|path, _| !path.starts_with("calibration."));
        findings.extend(told_apart(section, &documented[*section], &documented["every answer"], &found));
    }
    assert!(findings.is_empty(), "docs/bolting-json.md:\n{}", findings.join("\n"));
}

/// The same for the steps of a plan; the timing wheel's bolt is turned by an angle.
#[test]
fn the_page_for_programs_names_every_field_of_a_step() {
    let page = std::fs::read_to_string(root().join("docs/bolting-json.md")).unwrap();
    let documented = documented(&page);
    let line = "traywright plan --book demo/books/tern-24 --store demo/store --seconds 1 --json";
    let json = answered(line);
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("whole.json");
    std::fs::write(&path, &json).unwrap();
    let plan: Value = serde_json::from_str(&json).unwrap();
    let mut found = BTreeMap::new();
    let wanted = ["cam-wheel-bolt", "thermostat-bolts", "feed-unions"];
    for step in plan["steps"].as_array().unwrap() {
        let has = |key: &str| step["fixings"].as_array().unwrap().iter().any(|f| f == key);
        if step["kind"] == "tighten" && wanted.iter().any(|key| has(key)) {
            let (path, step) = (path.display(), &step["number"]);
            let asked = format!("why --book demo/books/tern-24 --plan {path} --step {step} --json");
            let answer = answered(&format!("traywright {asked}"));
            fields("", &serde_json::from_str(&answer).unwrap(), &mut found);
        }
    }
    let findings = told_apart("why", &documented["why"], &documented["every answer"], &found);
    assert!(findings.is_empty(), "docs/bolting-json.md:\n{}", findings.join("\n"));
}

/// Where a section of the page and the fields found differ.
fn told_apart(
    section: &str,
    page: &BTreeMap<String, String>,
    every: &BTreeMap<String, String>,
    found: &BTreeMap<String, BTreeSet<&'static str>>,
) -> Vec<String> {
    let mut findings = Vec::new();
    for (path, kinds) in found {
        // An object that is absent is null itself; its members stand in the page.
        let is_absent = kinds.len() == 1 && kinds.contains("null");
        let has_members = page.keys().any(|p| p.starts_with(&format!("{path}.")));
        match page.get(path).or_else(|| every.get(path)) {
            None if is_absent && has_members => {}
            None => findings.push(format!("{section}: `{path}` is not in the page")),
            Some(kind) => {
                let missing = kinds.iter().filter(|k| !kind.split(" or ").any(|d| d == **k) && kind != *k);
                findings.extend(missing.map(|k| format!("{section}: `{path}` may be {k}")));
            }
        }
    }
    let gone = page.keys().filter(|p| !found.contains_key(*p));
    findings.extend(gone.map(|p| format!("{section}: `{p}` is in the page and not in the answer")));
    findings
}

#[test]
fn the_two_stable_shapes_hold() {
    let preload: Value = serde_json::from_str(&answered(
        "traywright preload --thread M10x1.25 --class 10.9 --friction 0.12 --json",
    ))
    .unwrap();
    // VDI 2230, a drive maker's annex, edition 2001: 46.4 kN and 75 N·m, differing by up to 0.34 % and 0.86 %.
    assert!((preload["preload_n"].as_f64().unwrap() / 46_400.0 - 1.0).abs() < 0.0034);
    assert!((preload["torque_n_m"].as_f64().unwrap() / 75.0 - 1.0).abs() < 0.0086);
    let wrench: Value = serde_json::from_str(&answered(
        "traywright wrench --torque \"135 lbf·in\" --length \"10 in\" --offset \"1.5 in\" --angle \"180°\" --json",
    ))
    .unwrap();
    // A rotorcraft maker's standard practices, 2010: 158.82 lbf·in; half of the last digit. NIST SP 811: 0.112 984 8 N·m each.
    assert!((wrench["setting_in_unit_given"].as_f64().unwrap() - 158.82).abs() < 0.005);
    assert!((wrench["setting_n_m"].as_f64().unwrap() / 0.112_984_8 - 158.82).abs() < 0.005);
}

#[test]
fn bad_input_ends_with_code_two_and_names_its_option() {
    for (line, expected) in [
        ("preload --thread M9.5 --class 8.8", "--thread"),
        ("preload --thread M8 --class 8.8 --friction 7", "--friction"),
        ("torque --thread M8 --preload 20", "write it as `20 N`"),
        ("wrench --torque \"20 N·m\" --offset \"40 mm\"", "--length"),
        ("pattern --holes nowhere.csv", "nowhere.csv"),
        ("pattern --holes demo/books/tern-24:sump-shor", "did you mean `sump-short`?"),
        ("strip-margin --thread M8 --class 8.8 --engagement \"9 mm\" --material wood", "cast-aluminium"),
        ("mixup --fastener M6 --instead-of \"M6 x 20\" --clamped \"8 mm\"", "--fastener"),
        ("mixup --clamped \"8 mm\"", "--fastener"),
    ] {
        let words = words(line);
        let output = run(&words.iter().map(String::as_str).collect::<Vec<_>>());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{line}: {said}");
        assert!(said.contains(expected), "{line}: {said}");
    }
}

#[test]
fn answers_fit_80_columns() {
    for line in SHAPES.iter().flat_map(|(_, runs)| *runs) {
        let text = answered(line.trim_end_matches(" --json"));
        let wide: Vec<&str> = text.lines().filter(|l| l.chars().count() > 80).collect();
        assert!(wide.is_empty(), "{line}: {wide:#?}");
        for heading in ["\nWHY\n", "\nHOLDS\n", "\nSOURCE\n", "\nCAUTION\n"] {
            assert!(text.contains(heading), "{line}");
        }
    }
}

#[test]
fn a_pattern_is_drawn_into_a_file() {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pattern.svg");
    answered(&format!("traywright pattern --holes \"0,0 60,0 60,40\" --draw {}", path.display()));
    let svg = std::fs::read_to_string(&path).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("30 %"), "{svg}");
}
