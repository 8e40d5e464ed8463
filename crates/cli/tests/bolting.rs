//! The commands about fasteners: the page `docs/bolting.md` shows what they print, `docs/bolting-json.md` every field.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn run(arguments: &[String]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_traywright")).current_dir(root()).args(arguments).output().unwrap()
}

/// The words of a command line, double quotes taken off as a shell does.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words.retain(|w| !w.is_empty());
    words
}

#[track_caller]
fn answered(line: &str) -> String {
    let mut arguments = words(line);
    assert_eq!(arguments.remove(0), "traywright", "{line}");
    let output = run(&arguments);
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{line}\n{out}{err}");
    out.into_owned()
}

/// A page with each example's output as the program gives it now; the examples' command lines stay.
fn renewed(page: &str) -> (String, Vec<String>) {
    let (mut out, mut lines, mut skipping) = (String::new(), Vec::new(), false);
    for line in page.lines() {
        if line == "```" {
            skipping = false;
        }
        if !skipping {
            out.push_str(line);
            out.push('\n');
        }
        if let Some(command) = line.strip_prefix("$ ") {
            out.push_str(&answered(command));
            lines.push(command.to_owned());
            skipping = true;
        }
    }
    (out, lines)
}

/// Every example of the page is what the program prints. `TRAYWRIGHT_RENEW=1` writes the page anew.
#[test]
fn the_page_for_the_mechanic_shows_what_the_program_prints() {
    let path = root().join("docs/bolting.md");
    let page = std::fs::read_to_string(&path).unwrap();
    let (now, lines) = renewed(&page);
    if std::env::var_os("TRAYWRIGHT_RENEW").is_some() {
        std::fs::write(&path, &now).unwrap();
        return;
    }
    for command in COMMANDS {
        let shown = lines.iter().any(|l| l.starts_with(&format!("traywright {command}")));
        assert!(shown, "docs/bolting.md has no example of `{command}`");
    }
    let wide: Vec<&str> = now.lines().filter(|l| !l.starts_with('$') && l.chars().count() > 125).collect();
    assert!(wide.is_empty(), "{wide:#?}");
    assert_eq!(page, now, "docs/bolting.md shows what the program once printed; renew it");
}

/// Commands that the pages must show.
const COMMANDS: &[&str] = &["preload", "torque", "wrench", "pattern", "strip-margin", "mixup"];

/// Runs that together show every field of a command's JSON.
const SHAPES: &[(&str, &[&str])] = &[
    (
        "preload",
        &[
            "traywright preload --thread M10x1.25 --class 10.9 --friction 0.12 --json",
            "traywright preload --thread M8 --class 8.8 --lubrication oiled --json",
        ],
    ),
    ("torque", &["traywright torque --thread M8 --class 8.8 --proof 75% --friction 0.12 --json"]),
    (
        "wrench",
        &[
            "traywright wrench --torque \"135 lbf·in\" --length \"10 in\" --offset \"1.5 in\" --angle 180° --scale \"1 lbf·in\" \
             --full-scale \"250 lbf·in\" --joint 15° --json",
        ],
    ),
    ("pattern", &["traywright pattern --holes \"0,0 60,0 60,40\" --torque \"24 N·m\" --json"]),
    (
        "strip-margin",
        &[
            "traywright strip-margin --thread M8 --class 8.8 --engagement \"12 mm\" --material steel --torque \"20 N·m\" --json",
        ],
    ),
    (
        "mixup",
        &[
            "traywright mixup --fastener \"M6 x 30, 8.8\" --instead-of \"M6 x 20, 8.8\" --clamped \"10 mm\" --depth \"14 mm\" --json",
        ],
    ),
    ("mixup --book", &["traywright mixup --book demo/books/tern-24 --json"]),
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

#[test]
fn the_page_for_programs_names_every_field_and_its_kind() {
    let page = std::fs::read_to_string(root().join("docs/bolting-json.md")).unwrap();
    let documented = documented(&page);
    let every = documented.get("every answer").cloned().unwrap_or_default();
    for (section, runs) in SHAPES {
        let mut found = BTreeMap::new();
        for line in *runs {
            fields("", &serde_json::from_str(&answered(line)).unwrap(), &mut found);
        }
        found.retain(|path, _| !every.contains_key(path));
        // What is null in one run and an object in another is known by its members.
        let parents: BTreeSet<String> =
            found.keys().filter_map(|p| Some(p.rsplit_once('.')?.0.to_owned())).collect();
        found.retain(|path, kinds| !(kinds.len() == 1 && kinds.contains("null") && parents.contains(path)));
        let kinds = |kinds: &BTreeSet<&str>| {
            let named: Vec<&str> = kinds.iter().copied().filter(|k| *k != "null").collect();
            let or_null = if kinds.contains("null") { " or null" } else { "" };
            format!("{}{or_null}", named.join(" or "))
        };
        let found: BTreeMap<String, String> =
            found.iter().map(|(path, k)| (path.clone(), kinds(k))).collect();
        let empty = BTreeMap::new();
        let page = documented.get(*section).unwrap_or(&empty);
        assert_eq!(page, &found, "docs/bolting-json.md, section `{section}`");
    }
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
    // A rotorcraft maker's standard practices, 2010: 158.82 lbf·in, which are 17.94 N·m; half of the last digit.
    assert!((wrench["setting_in_unit_given"].as_f64().unwrap() - 158.82).abs() < 0.005);
    assert!((wrench["setting_n_m"].as_f64().unwrap() - 17.944).abs() < 0.0006);
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
        let output = run(&words(line));
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
