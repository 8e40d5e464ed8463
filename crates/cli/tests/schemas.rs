//! The answers of every command as JSON fit the schemas in `docs/schemas`. `TRAYWRIGHT_RENEW=1` widens them by what is printed.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;
#[path = "common/schema.rs"]
mod schema;

use common::{check, root, words};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Runs that need nothing but the demo, as (format without its ends, exit code, command).
const PLAIN_RUNS: &[(&str, i32, &str)] = &[
    ("reach", 0, "reach --book demo/dunlin-16-thin --store demo/store"),
    ("plan", 0, "plan --book demo/dunlin-16-thin --store demo/store --seconds 1"),
    ("book-check", 0, "book check demo/books/tern-24"),
    ("book-check", 1, "book check {tmp}/bad.toml"),
    ("book-tasks", 0, "book tasks demo/books/tern-24"),
    ("book-tasks", 0, "book tasks demo/dunlin-16-thin --word renew"),
    ("book-parts", 0, "book parts demo/books/tern-24"),
    ("book-parts", 0, "book parts demo/dunlin-16-thin --word hose"),
    ("book-fixings", 0, "book fixings demo/books/tern-24 --word sump"),
    ("book-fixings", 0, "book fixings demo/dunlin-16-thin"),
    ("store-check", 0, "store check demo/store"),
    ("store-check", 1, "store check {tmp}/bad-store.toml"),
    ("store-show", 0, "store show demo/store"),
    ("reach", 0, "reach --book demo/books/tern-24 --store demo/store"),
    ("kit", 0, "kit {job}"),
    ("kit-trade-off", 0, "kit {job} --trade-off"),
    ("next-best", 0, "next-best --book demo/books/tern-24 --book demo/books/curlew-30 --store demo/store"),
    ("cart", 0, "cart --book demo/books/tern-24 --store demo/store --seconds 1 --places 25"),
    ("cart", 0, "cart {job}"),
    ("worth", 0, "worth --book demo/books/tern-24 --task renew-thermostat --rate \"60 EUR/h\""),
    ("finish", 0, "finish {job} --samples 200"),
    ("finish", 0, "finish {job} --samples 200 --helper --arrives renew-thermostat=2027-03-03"),
    ("preload", 0, "preload --thread M10x1.25 --class 10.9 --friction 0.12"),
    ("preload", 0, "preload --thread M8 --class 8.8 --lubrication oiled --surface zinc"),
    ("torque", 0, "torque --thread M8 --class 8.8 --proof 75% --friction 0.12"),
    ("torque", 0, "torque --thread M8 --preload \"20 kN\" --lubrication oiled"),
    ("torque", 0, "torque --thread M8 --preload \"20 kN\" --factor 0.2"),
    (
        "wrench",
        0,
        "wrench --torque \"135 lbf·in\" --length \"10 in\" --offset \"1.5 in\" --angle 180° --scale \"1 lbf·in\" \
         --full-scale \"250 lbf·in\" --joint 15° --store demo/store",
    ),
    ("wrench", 0, "wrench --torque \"9 N·m\""),
    ("pattern", 0, "pattern --holes \"0,0 60,0 60,40\" --torque \"24 N·m\""),
    ("pattern", 0, "pattern --holes \"0,0 60,0 60,40\""),
    ("pattern", 0, "pattern --holes demo/books/tern-24:sump-short"),
    (
        "strip-margin",
        0,
        "strip-margin --thread M8 --class 8.8 --engagement \"12 mm\" --material steel --torque \"20 N·m\"",
    ),
    (
        "strip-margin",
        0,
        "strip-margin --thread M8 --class 10.9 --engagement \"12 mm\" --material cast-aluminium --insert \"12 mm\"",
    ),
    (
        "mixup",
        0,
        "mixup --fastener \"M6 x 30, 8.8\" --instead-of \"M6 x 20, 8.8\" --clamped \"10 mm\" --depth \"14 mm\"",
    ),
    ("mixup-book", 0, "mixup --book demo/books/tern-24"),
    ("driver-show", 0, "driver show --readings demo/readings.csv"),
    ("driver-step", 0, "driver step --readings demo/readings.csv --torque \"5.3 N·m\""),
    ("driver-step", 0, "driver step --readings demo/readings.csv --torque \"1 N·m\""),
    (
        "driver-add",
        0,
        "driver add --journal {tmp}/driver.journal --driver big --joint \"M6 dry\" --step 5 --torque \"4.1 N·m\"",
    ),
    ("driver-import", 0, "driver import --readings demo/readings.csv --journal {tmp}/driver.journal"),
    (
        "trend-reading",
        0,
        "trend reading --kind compression --value 9.2 --max-error 0.3 --resolution 0.1 --at-least 9",
    ),
    (
        "trend-reading",
        0,
        "trend reading --kind compression --readings validation/trend/cylinders.csv --uncertainty 0.15 --at-least 9 \
         --lowest-at-least 0.75",
    ),
    (
        "trend-reading",
        0,
        "trend reading --kind visual-grade --place \"belt=2\" --place \"hose=4\" --at-most 2",
    ),
    (
        "trend-reading",
        0,
        "trend reading --unit bar --value 9.0 --value 9.3 --value 9.3 --uncertainty 0.02 --at-least 8 --at-most 9.4",
    ),
    ("trend-reading", 0, "trend reading --value 9.2 --at-most 9 --simple"),
    ("trend-reading", 0, "trend reading --value 9 --expanded 0.2 --at-most 9"),
    (
        "trend-reading",
        0,
        "trend reading --readings validation/trend/cylinders.csv --uncertainty 0.1 --spread-at-most 2",
    ),
    (
        "trend-line",
        0,
        "trend line --readings validation/trend/pads.csv --where-y 3 --at 60 --at 120 --draw {tmp}/line.svg",
    ),
    ("trend-line", 0, "trend line --readings validation/trend/pads.csv --degree 2 --where-y 8"),
    ("trend-line", 0, "trend line --readings validation/trend/pads.csv --degree 5"),
    ("trend-line", 0, "trend line --readings validation/trend/flat.csv --where-y 0.3"),
    ("trend-line", 0, "trend line --readings validation/trend/flat.csv --where-y 0.128"),
    ("trend-line", 0, "trend line --readings validation/trend/pads.csv --log-y --at 60"),
    (
        "trend-line",
        0,
        "trend line --readings validation/trend/pads.csv --x thousand_km --y pad_mm --uncertainty pad_mm",
    ),
    (
        "trend-line",
        0,
        "trend line --readings crates/trend/tests/data/nist_strd_longley.csv --x x1 --x x2 --y y",
    ),
    ("trend-wear", 0, "trend wear --readings validation/trend/pads.csv --limit 3 --draw {tmp}/wear.svg"),
    (
        "trend-wear",
        0,
        "trend wear --readings validation/trend/two.csv --limit 3 --uncertainty 0.15 --usual-rate \"0.05 to 0.13\"",
    ),
    ("trend-wear", 0, "trend wear --readings validation/trend/two.csv --limit 3"),
    ("trend-wear", 0, "trend wear --readings validation/trend/flat.csv --limit 0.3"),
    ("trend-wear", 0, "trend wear --readings validation/trend/flat.csv --limit 0.128"),
    (
        "trend-odometer",
        0,
        "trend odometer --readings validation/trend/odometer.csv --due-at \"100000 km\" --due-by 2027-09-30 \
         --draw {tmp}/odometer.svg",
    ),
    ("trend-odometer", 0, "trend odometer --readings validation/trend/two-days.csv --unit mi --due-in 12000"),
    ("trend-odometer", 0, "trend odometer --readings validation/trend/two-days.csv --unit mi"),
    (
        "trend-odometer",
        0,
        "trend odometer --readings validation/trend/two-days.csv --due-in 2000000 --due-by 900",
    ),
    ("generate", 0, "generate --out {tmp}/generated --parts 20 --fasteners 60 --pieces 30"),
    ("print", 0, "print kit {job} --date 2027-03-01 --out {tmp}/kit.html"),
];

/// Runs that follow one another over one plan and its visits.
const STORY: &[(&str, i32, &str)] = &[
    ("plan", 0, "plan --book demo/books/tern-24 --store demo/store --seconds 1"),
    ("judge", 0, "judge --book demo/books/tern-24 --store demo/store --plan {tmp}/plan.json"),
    ("judge", 1, "judge --book demo/books/tern-24 --store demo/store --plan {tmp}/bad-plan.json"),
    ("why", 0, "why --book demo/books/tern-24 --plan {tmp}/plan.json --step {step}"),
    (
        "visit-new",
        0,
        "visit new --book demo/books/tern-24 --store demo/store --task renew-thermostat --journal {tmp}/a.journal",
    ),
    ("visit-show", 0, "visit show --journal {tmp}/a.journal"),
    ("visit-show", 0, "visit show --journal {tmp}/out/demo.journal"),
    ("vehicle-list", 0, "vehicle list --journal {tmp}/out/demo.journal"),
    ("vehicle-list", 0, "vehicle list --journal {tmp}/a.journal"),
    ("vehicle-show", 0, "vehicle show {vehicle} --journal {tmp}/out/demo.journal"),
    ("ledger", 0, "ledger --journal {tmp}/a.journal"),
    ("ledger", 1, "ledger --journal {tmp}/out/demo.journal"),
    ("visit-export", 0, "visit export {visit} --out {tmp}/visit.file --journal {tmp}/a.journal"),
    ("visit-import", 0, "visit import --from {tmp}/visit.file --journal {tmp}/b.journal"),
    ("backup", 0, "backup --out {tmp}/backup.file --journal {tmp}/a.journal"),
    ("restore", 0, "restore --from {tmp}/backup.file --journal {tmp}/b.journal"),
    ("check-journal", 0, "check-journal --journal {tmp}/a.journal"),
    ("check-journal", 0, "check-journal --out {tmp}/saved.journal --journal {tmp}/a.journal"),
    ("plan", 0, "plan --book {tmp}/no-figure.toml --store demo/store --seconds 1"),
    (
        "visit-new",
        0,
        "visit new --book {tmp}/no-figure.toml --store demo/store --seconds 1 --journal {tmp}/c.journal",
    ),
    ("visit-go-on", 0, "visit go-on {visit} --by Kim --journal {tmp}/c.journal"),
    ("visit-plan", 0, "visit plan-to {visit} --goal roll --journal {tmp}/c.journal"),
    ("visit-plan", 0, "visit plan-to {visit} --goal whole --journal {tmp}/c.journal"),
    (
        "visit-figure",
        1,
        "visit figure {visit} --fixing cover-bolts --figure \"90 N·m\" --source \"p. 2-14 step 3\" --by Kim --journal {tmp}/c.journal",
    ),
    (
        "visit-figure",
        0,
        "visit figure {visit} --fixing cover-bolts --none --reason seen --by Kim --journal {tmp}/c.journal",
    ),
    (
        "workshop-hours",
        0,
        "workshop hours --hours \"Mon-Fri 08:00-12:00 12:30-16:30\" --journal {tmp}/a.journal",
    ),
    ("workshop-hours", 0, "workshop helper --hours \"Tue,Thu 14:00-16:00\" --journal {tmp}/a.journal"),
    ("workshop-hours", 0, "workshop times --allowance 20 --first-time 1.3 --journal {tmp}/a.journal"),
    (
        "workshop-hours",
        0,
        "workshop holiday --date 2027-03-05 --now 2027-03-01T08:00 --journal {tmp}/a.journal",
    ),
    ("plan", 0, "plan --book tests/lifted-book --store demo/store --seconds 2"),
    (
        "visit-new",
        0,
        "visit new --book tests/lifted-book --store demo/store --seconds 1 --letter C --journal {tmp}/e.journal",
    ),
    ("visit-setting", 0, "visit setting {visit} --setting lift=up --journal {tmp}/e.journal"),
    (
        "visit-dates",
        0,
        "visit part {visit} --part undertray --date 2027-03-04 --now 2027-03-01T08:00 --journal {tmp}/e.journal",
    ),
    (
        "visit-new",
        0,
        "visit new --book tests/lifted-book --store demo/store --seconds 1 --letter D --journal {tmp}/e.journal",
    ),
    ("visit-dates", 0, "visit first {visit} --journal {tmp}/e.journal"),
    (
        "visit-dates",
        0,
        "visit promise {visit} --date 2027-03-01T15:00 --now 2027-03-01T08:00 --journal {tmp}/e.journal",
    ),
    ("calendar", 0, "calendar --now 2027-03-01T07:00 --journal {tmp}/e.journal"),
    ("visit-dates", 0, "visit promise {visit} --none --journal {tmp}/e.journal"),
    ("calendar", 0, "calendar --now 2027-03-01T09:00 --journal {tmp}/e.journal"),
    (
        "visit-new",
        0,
        "visit new --book demo/books/tern-24 --store demo/store --task renew-thermostat --seconds 1 --letter E --journal {tmp}/e.journal",
    ),
    ("calendar", 0, "calendar --now 2027-03-04T08:00 --journal {tmp}/e.journal"),
    ("visit-new", 0, "visit new --book tests/lifted-book --journal {tmp}/d.journal"),
    ("visit-setting", 0, "visit setting {visit} --setting lift=up --journal {tmp}/d.journal"),
    ("visit-show", 0, "visit show --journal {tmp}/d.journal"),
    ("ledger", 1, "ledger --journal {tmp}/d.journal"),
    ("visit-new", 0, "visit new --book {tmp}/came-in-raised.toml --journal {tmp}/d.journal"),
];

/// What `{job}` stands for in a run: a small job with its time limit.
const JOB: &str = "--book demo/books/tern-24 --store demo/store --task renew-thermostat --seconds 1";

/// An empty folder of this test's own.
fn fresh_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// What a run prints, read as JSON.
#[track_caller]
fn run_for_json(command: &str, code: i32) -> Value {
    let words = words(&format!("{command} --json"));
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    serde_json::from_str(&check(&words, code)).unwrap_or_else(|e| panic!("{command}: {e}"))
}

fn schema_path(name: &str) -> PathBuf {
    root().join(format!("docs/schemas/{name}.schema.json"))
}

fn read_schema(name: &str) -> Option<Value> {
    let text = std::fs::read_to_string(schema_path(name)).ok()?;
    Some(serde_json::from_str(&text).unwrap_or_else(|e| panic!("{name}: {e}")))
}

/// Compares answers with their schemas, or widens these where that was asked for.
fn compare_answers(answers: &[(&str, String, Value)]) {
    let mut findings = Vec::new();
    let kept_answers = Path::new(env!("CARGO_TARGET_TMPDIR")).join("answers");
    std::fs::create_dir_all(&kept_answers).unwrap();
    for (at, (name, command, answer)) in answers.iter().enumerate() {
        // So that any other validator can be asked about the same answers.
        std::fs::write(kept_answers.join(format!("{name}-{at}.json")), answer.to_string()).unwrap();
        let version = if *name == "plan" { 2 } else { 1 };
        let format = format!("traywright-{name}/{version}");
        assert_eq!(answer["format"], format.as_str(), "{command}");
        let mut kept = read_schema(name);
        if std::env::var_os("TRAYWRIGHT_RENEW").is_some() {
            let wider = schema::widen_by_answer(kept.take(), &format, answer);
            std::fs::write(schema_path(name), format!("{}\n", serde_json::to_string_pretty(&wider).unwrap()))
                .unwrap();
            continue;
        }
        let kept = kept.unwrap_or_else(|| panic!("{} is missing", schema_path(name).display()));
        let mut found = Vec::new();
        schema::find_differences(&kept, answer, name, &mut found);
        findings.extend(found.into_iter().take(8).map(|f| format!("{command}: {f}")));
    }
    assert!(findings.is_empty(), "answers and docs/schemas differ:\n{}", findings.join("\n"));
}

#[test]
fn answers_without_a_history_fit_their_schemas() {
    let folder = fresh_folder("schemas-plain");
    let bad_store = "format = \"traywright-store/1\"\ntitel = 3\n[[piece]]\n";
    std::fs::write(folder.join("bad-store.toml"), bad_store).unwrap();
    std::fs::write(folder.join("bad.toml"), "format = \"traywright-book/2\"\ntitel = 3\n[[part]]\n").unwrap();
    let filled =
        |command: &str| command.replace("{job}", JOB).replace("{tmp}", &folder.display().to_string());
    let answers: Vec<_> = PLAIN_RUNS
        .iter()
        .map(|(name, code, command)| (*name, (*command).to_owned(), run_for_json(&filled(command), *code)))
        .collect();
    compare_answers(&answers);
}

#[test]
fn answers_about_a_plan_and_its_visits_fit_their_schemas() {
    let folder = fresh_folder("schemas-story");
    let at = folder.display().to_string();
    check(&["demo", "--no-serve", "--seconds", "1", "--out", &format!("{at}/out")], 0);
    std::fs::write(folder.join("no-figure.toml"), book_without_a_figure()).unwrap();
    std::fs::write(folder.join("came-in-raised.toml"), book_of_a_raised_vehicle()).unwrap();
    let (mut visit, mut vehicle, mut step) = (String::new(), String::new(), String::new());
    let mut answers = Vec::new();
    for (name, code, command) in STORY {
        let line = command.replace("{tmp}", &at).replace("{step}", &step);
        let line = line.replace("{visit}", &visit).replace("{vehicle}", &vehicle);
        let answer = run_for_json(&line, *code);
        match *name {
            "plan" if step.is_empty() => step = keep_plans(&folder, &answer),
            "visit-new" => visit = answer["id"].as_str().unwrap().to_owned(),
            "vehicle-list" if vehicle.is_empty() => {
                vehicle = answer["vehicles"][0]["id"].as_str().unwrap().to_owned();
            }
            _ => {}
        }
        answers.push((*name, (*command).to_owned(), answer));
    }
    compare_answers(&answers);
}

/// The smallest book, whose one fixing has no tightening figure.
fn book_without_a_figure() -> String {
    let text = std::fs::read_to_string(root().join("crates/book/src/smallest.toml")).unwrap();
    let (kept, figures): (Vec<&str>, Vec<&str>) =
        text.lines().partition(|line| !line.trim_start().starts_with("tighten "));
    assert_eq!(figures.len(), 1, "the figures of the one fixing");
    kept.join("\n")
}

/// The book with a lift, of a vehicle that came in on it raised.
fn book_of_a_raised_vehicle() -> String {
    let text = std::fs::read_to_string(root().join("tests/lifted-book/book.toml")).unwrap();
    let values = r#"values = ["ground", "up"]"#;
    assert_eq!(text.matches(values).count(), 1, "the values of the lift");
    text.replace(values, &format!("{values}\nstart = \"up\"\nend = [\"ground\"]"))
}

/// Keeps a plan and one with two steps exchanged; says the number of a tightening step.
fn keep_plans(folder: &Path, plan: &Value) -> String {
    std::fs::write(folder.join("plan.json"), plan.to_string()).unwrap();
    let mut bad = plan.clone();
    let steps = bad["steps"].as_array_mut().unwrap();
    let last = steps.len() - 1;
    steps.swap(0, last);
    std::fs::write(folder.join("bad-plan.json"), bad.to_string()).unwrap();
    let steps = plan["steps"].as_array().unwrap();
    steps.iter().find(|s| s["kind"] == "tighten").unwrap()["number"].to_string()
}

/// Rows of a table in `docs/json.md` whose first cell is a command.
fn table_rows(heading: &str) -> Vec<Vec<String>> {
    let page = std::fs::read_to_string(root().join("docs/json.md")).unwrap();
    let (_, after) = page.split_once(heading).unwrap_or_else(|| panic!("docs/json.md has no `{heading}`"));
    let section = after.split("\n## ").next().unwrap();
    let rows = section.lines().filter(|l| l.starts_with("| `"));
    rows.map(|l| l.trim_matches('|').split('|').map(|c| c.trim().trim_matches('`').to_owned()).collect())
        .collect()
}

#[test]
fn every_schema_is_complete_listed_and_tried() {
    let tried: BTreeSet<&str> = PLAIN_RUNS.iter().chain(STORY).map(|(name, ..)| *name).collect();
    let mut kept = BTreeSet::new();
    let mut findings = Vec::new();
    for entry in std::fs::read_dir(root().join("docs/schemas")).unwrap() {
        let file = entry.unwrap().file_name().into_string().unwrap();
        let name =
            file.strip_suffix(".schema.json").unwrap_or_else(|| panic!("{file} is no schema")).to_owned();
        schema::find_gaps(&read_schema(&name).unwrap(), &name, &mut findings);
        kept.insert(name);
    }
    let listed: BTreeMap<String, String> =
        table_rows("## Answers").into_iter().map(|row| (row[1].clone(), row[0].clone())).collect();
    for name in kept.iter().map(String::as_str).chain(tried.iter().copied()).collect::<BTreeSet<_>>() {
        let is_listed = listed.contains_key(&format!("traywright-{name}/1"));
        let row = [kept.contains(name), tried.contains(name), is_listed];
        if row != [true; 3] {
            findings
                .push(format!("{name}: [has a schema, is tried here, is listed in docs/json.md] = {row:?}"));
        }
    }
    assert!(findings.is_empty(), "docs/schemas:\n{}", findings.join("\n"));
    assert_eq!(listed.len(), kept.len(), "docs/json.md lists a format without a schema");
}

#[test]
fn a_difference_of_any_kind_is_found() {
    let kept = serde_json::json!({
        "type": "object", "required": ["a"],
        "properties": { "a": { "type": ["integer", "null"] }, "b": { "type": "array", "items": { "type": "string" } } }
    });
    for (answer, expected) in [
        (r#"{ "a": 1 }"#, ""),
        (r#"{ "a": null, "b": ["x"] }"#, ""),
        (r#"{ "a": 1.5 }"#, "x.a: number"),
        (r#"{ "b": [] }"#, "x.a: required"),
        (r#"{ "a": 1, "b": ["x", 2] }"#, "x.b[1]: integer"),
        (r#"{ "a": 1, "c": 2 }"#, "x.c: not in the schema"),
    ] {
        let mut found = Vec::new();
        schema::find_differences(&kept, &serde_json::from_str(answer).unwrap(), "x", &mut found);
        assert!(found.first().map_or("", String::as_str).starts_with(expected), "{answer}: {found:?}");
        assert_eq!(found.is_empty(), expected.is_empty(), "{answer}: {found:?}");
    }
    let mut gaps = Vec::new();
    let thin = serde_json::json!({
        "type": "object", "minProperties": 1, "properties": { "a": { "type": "null" }, "b": { "type": "array" } }
    });
    schema::find_gaps(&thin, "x", &mut gaps);
    assert_eq!(gaps.len(), 3, "{gaps:?}");
}
