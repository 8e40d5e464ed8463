//! What the commands print for a person, on the demo and on a small half-way visit, kept in `snapshots`.
//!
//! The searches end by themselves long before their limit of time, so that every run prints the same.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;
#[path = "kept/help.rs"]
mod help;
#[path = "kept/mask.rs"]
mod mask;
#[path = "kept/refusals.rs"]
mod refusals;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use common::{check, run, words};
use mask::{fresh_folder, keep_page, mask_text, words_of_page, write_small_demo};

/// A small job of the demo.
const JOB: &str = "--book demo/books/tern-24 --store demo/store --task reseal-sump";

/// Runs a line and shows it with all that it prints; `code` is how it has to end.
#[track_caller]
fn shown(line: &str, code: i32, folder: &Path, ids: &mut BTreeMap<String, usize>) -> String {
    let filled = line.replace("{job}", JOB).replace("{tmp}", &folder.display().to_string());
    let words = words(&filled);
    let output = run(&words.iter().map(String::as_str).collect::<Vec<_>>());
    let texts = [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap());
    assert_eq!(output.status.code(), Some(code), "{line}\n{}\n{}", texts[0], texts[1]);
    let end = if code == 0 { String::new() } else { format!("\n(exit {code})") };
    let said = texts.map(|text| mask_text(&text, folder, ids)).join("\n");
    format!("$ traywright {}\n\n{}{end}", mask_text(&filled, folder, ids), said.trim_matches('\n'))
}

/// Keeps what some lines print, one below the other.
#[track_caller]
fn keep(name: &str, lines: &[(i32, &str)]) {
    let folder = fresh_folder(&format!("kept-{name}"));
    let bad = "format = \"traywright-book/2\"\ntitel = 3\n[[part]]\n";
    std::fs::write(folder.join("bad.toml"), bad).unwrap();
    let bad_store = "format = \"traywright-store/1\"\ntitel = 3\n[[piece]]\n";
    std::fs::write(folder.join("bad-store.toml"), bad_store).unwrap();
    let mut ids = BTreeMap::new();
    let page: Vec<String> = lines.iter().map(|(code, line)| shown(line, *code, &folder, &mut ids)).collect();
    keep_page(name, &page.join("\n\n"));
}

#[test]
fn books_and_stores() {
    keep(
        "books_and_stores",
        &[
            (0, "book check demo/books/tern-24"),
            (1, "book check {tmp}/bad.toml"),
            (0, "store check demo/store"),
            (1, "store check {tmp}/bad-store.toml"),
            (2, "kit --book {tmp}/bad.toml --store demo/store"),
        ],
    );
    keep("store_show", &[(0, "store show demo/store")]);
}

#[test]
fn what_a_book_holds() {
    keep(
        "book_lists",
        &[
            (0, "book tasks demo/books/tern-24"),
            (0, "book tasks demo/dunlin-16-thin --width 60"),
            (0, "book parts demo/books/tern-24 --word HOSE"),
            (0, "book parts demo/books/tern-24 --word hose --width 200"),
            (0, "book fixings demo/books/tern-24 --word sump"),
            (0, "book fixings demo/books/tern-24 --word sump --width 132"),
            (0, "book fixings demo/books/tern-24 --word nothing-like-it"),
        ],
    );
}

#[test]
fn reach() {
    keep(
        "reach",
        &[
            (0, "reach --book demo/books/tern-24 --store demo/store --fixing crank-bolt"),
            (0, "reach --book demo/books/curlew-30 --store demo/store --gaps"),
        ],
    );
}

#[test]
fn plans() {
    keep("plan", &[(0, "plan {job}")]);
    keep("plan_no_go", &[(0, "plan --book demo/books/tern-24 --store demo/store --task renew-heater-hoses")]);
}

#[test]
fn kits_and_carts() {
    keep("kit", &[(0, "kit {job}"), (0, "kit {job} --for quickest"), (0, "kit {job} --trade-off")]);
    keep("cart", &[(0, "cart {job} --places 6"), (2, "cart {job} --places 1")]);
}

#[test]
fn advice() {
    keep(
        "next_best",
        &[(0, "next-best --book demo/books/tern-24 --book demo/books/curlew-30 --store demo/store")],
    );
    keep(
        "worth",
        &[(
            0,
            "worth --book demo/books/tern-24 --task renew-thermostat --rate \"60 EUR/h\" --worth reseal-sump=300 --reasons",
        )],
    );
    keep(
        "finish",
        &[
            (0, "finish {job} --start 2031-03-03T08:00 --samples 500"),
            (
                0,
                "finish {job} --start 2031-03-03T08:00 --samples 500 --helper --arrives reseal-sump=2031-03-06",
            ),
        ],
    );
}

#[test]
fn fasteners_and_wrenches() {
    keep(
        "bolting",
        &[
            (0, "preload --thread M8 --class 8.8 --lubrication oiled --surface zinc"),
            (0, "preload --thread M8 --class 8.8 --torque \"24 N·m\" --friction \"0.10 to 0.16\""),
            (0, "torque --thread M10 --preload \"20 kN\" --factor 0.2 --prevailing \"2 N·m\""),
            (0, "torque --thread M8 --class 10.9 --proof 75% --head flange --friction 0.12"),
            (
                0,
                "wrench --torque \"60 N·m\" --length \"400 mm\" --offset \"40 mm\" --angle 90° --scale \"1 N·m\" \
                 --full-scale \"100 N·m\" --joint 15°",
            ),
            (0, "wrench --torque \"2 N·m\" --store demo/store"),
            (0, "pattern --holes demo/books/tern-24:sump-short"),
            (0, "pattern --holes \"0,0 60,0 60,40\" --order from-centre --stages \"10 N·m/24 N·m/90°\""),
            (
                0,
                "strip-margin --thread M8 --class 10.9 --engagement \"12 mm\" --material cast-aluminium \
                 --insert \"12 mm\" --torque \"30 N·m\" --friction 0.12",
            ),
            (
                0,
                "mixup --fastener \"M8 x 20, 8.8\" --instead-of \"M8 x 30, 10.9\" --clamped \"12 mm\" \
                 --torque \"30 N·m\" --material plastic --lubrication dry",
            ),
            (0, "mixup --book demo/books/curlew-30 --anywhere --fixing sump-lower-bolts"),
            (0, "driver show --readings demo/readings.csv"),
            (0, "driver step --readings demo/readings.csv --torque \"1 N·m\""),
        ],
    );
}

/// The folder with the small demo, planned and worked half-way through by `traywright demo`; what that printed.
fn half_way() -> &'static (PathBuf, String) {
    static HALF_WAY: OnceLock<(PathBuf, String)> = OnceLock::new();
    HALF_WAY.get_or_init(|| {
        let folder = fresh_folder("kept-half-way");
        write_small_demo(&folder.join("demo"));
        let at = folder.display().to_string();
        let (from, out) = (format!("{at}/demo"), format!("{at}/out"));
        let printed = check(&["demo", "--from", &from, "--no-serve", "--out", &out], 0);
        (folder, printed)
    })
}

/// The id of the visit half-way, or of its vehicle.
fn id_of(what: &str) -> String {
    let (folder, _) = half_way();
    let journal = folder.join("out/demo.journal").display().to_string();
    let command: &[&str] = if what == "visit" { &["visit", "show"] } else { &["vehicle", "list"] };
    let text = check(&[command, &["--journal", &journal]].concat(), 0);
    printed_id(&text)
}

#[test]
fn the_demo_and_its_visit() {
    let (folder, printed) = half_way();
    let mut ids = BTreeMap::new();
    keep_page("demo", &mask_text(printed, folder, &mut ids));
    let (visit, vehicle) = (id_of("visit"), id_of("vehicle"));
    let lines = [
        (2, "visit show --journal {tmp}/none.journal"),
        (2, "vehicle list --journal {tmp}/none.journal"),
        (2, "ledger --journal {tmp}/none.journal"),
        (0, "check-journal --journal {tmp}/out/demo.journal"),
        (0, "visit show {visit} --journal {tmp}/out/demo.journal"),
        (0, "vehicle list --journal {tmp}/out/demo.journal"),
        (0, "vehicle show {vehicle} --journal {tmp}/out/demo.journal"),
        (1, "ledger --visit {visit} --journal {tmp}/out/demo.journal"),
        (0, "visit export {visit} --out {tmp}/visit.file --journal {tmp}/out/demo.journal"),
        (0, "visit import --from {tmp}/visit.file --journal {tmp}/other.journal"),
        (0, "visit import --from {tmp}/visit.file --journal {tmp}/other.journal"),
        (0, "backup --out {tmp}/backup.file --journal {tmp}/out/demo.journal"),
        (2, "backup --out {tmp}/backup.file --journal {tmp}/no/such/folder/a.journal"),
        (0, "restore --from {tmp}/backup.file --journal {tmp}/restored.journal"),
        (
            0,
            "driver add --journal {tmp}/driver.journal --driver big --joint \"M6 dry\" --step 5 --torque \"4.1 N·m\"",
        ),
        (0, "driver import --readings demo/readings.csv --journal {tmp}/driver.journal"),
        (0, "why --book {tmp}/demo/books/tern-24 --plan {tmp}/out/tern-24.json --step {step}"),
        (0, "judge --book {tmp}/demo/books/tern-24 --store demo/store --plan {tmp}/out/tern-24.json"),
    ];
    let step = first_tightening(&folder.join("out/tern-24.json"));
    let page: Vec<String> = lines
        .iter()
        .map(|(code, line)| {
            let line =
                line.replace("{visit}", &visit).replace("{vehicle}", &vehicle).replace("{step}", &step);
            shown(&line, *code, folder, &mut ids)
        })
        .collect();
    keep_page("visits", &page.join("\n\n"));
}

/// The id that `visit new` or another command prints.
fn printed_id(text: &str) -> String {
    let line = text.lines().find_map(|line| line.trim_start().strip_prefix("id "));
    line.unwrap_or_else(|| panic!("no id in {text}")).trim().to_owned()
}

#[test]
fn settings_of_the_vehicle_by_hand() {
    let folder = fresh_folder("kept-settings");
    let journal = folder.join("a.journal").display().to_string();
    let begin =
        |book: &[&str]| printed_id(&check(&[&["visit", "new"], book, &["--journal", &journal]].concat(), 0));
    let (visit, bare) = (begin(&["--book", "tests/lifted-book"]), begin(&[]));
    let mut ids = BTreeMap::new();
    let lines = [
        (0, "visit setting {visit} --setting lift=up --journal {tmp}/a.journal"),
        (0, "visit setting {visit} --setting crank-pin=in --journal {tmp}/a.journal"),
        (2, "visit setting {visit} --setting crank-pin=in --journal {tmp}/a.journal"),
        (2, "visit setting {visit} --setting lift=chest --journal {tmp}/a.journal"),
        (2, "visit setting {visit} --setting ramp=up --journal {tmp}/a.journal"),
        (2, "visit setting {bare} --setting lift=up --journal {tmp}/a.journal"),
        (0, "visit show {visit} --journal {tmp}/a.journal"),
        (1, "ledger --visit {visit} --journal {tmp}/a.journal"),
        (0, "visit setting {visit} --setting crank-pin=out --journal {tmp}/a.journal"),
        (0, "visit setting {visit} --setting lift=ground --journal {tmp}/a.journal"),
        (0, "ledger --visit {visit} --journal {tmp}/a.journal"),
    ];
    let fill = |line: &str| line.replace("{visit}", &visit).replace("{bare}", &bare);
    let page: Vec<String> =
        lines.iter().map(|(code, line)| shown(&fill(line), *code, &folder, &mut ids)).collect();
    keep_page("settings", &page.join("\n\n"));
}

#[test]
fn settings_in_a_plan_and_on_a_job_card() {
    let job = ["--book", "tests/lifted-book", "--store", "demo/store"];
    let plan = check(&[&["plan"], &job[..]].concat(), 0);
    let moves = "moves:   3 of place (at least 3), 4 of the lift (at least 4), ";
    assert!(plan.contains(moves), "{plan}");
    let folder = fresh_folder("kept-lifted");
    let out = folder.join("jobs.html").display().to_string();
    check(&[&["print", "jobs"], &job[..], &["--date", "2031-03-03", "--out", &out]].concat(), 0);
    let card = words_of_page(&std::fs::read_to_string(&out).unwrap());
    let words: String = card.split_whitespace().collect::<Vec<_>>().join(" ");
    let (caution, step) =
        ("Nobody under the vehicle before it stands in the locks", "let it down into the locks");
    let (before, after) = (words.find(caution).unwrap(), words.find(step).unwrap());
    assert!(before < after, "the caution stands before its step: {card}");
}

/// The number of the first step of a plan that tightens something.
fn first_tightening(plan: &Path) -> String {
    let plan: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(plan).unwrap()).unwrap();
    let steps = plan["steps"].as_array().unwrap();
    steps.iter().find(|step| step["kind"] == "tighten").unwrap()["number"].to_string()
}

/// The kinds of sheets, as the help of `print` lists them.
fn list_sheet_kinds() -> Vec<String> {
    let help = check(&["print", "--help"], 0);
    let (_, after) = help.split_once("[possible values: ").unwrap();
    let (kinds, _) = after.split_once(']').unwrap();
    kinds.split(',').map(|kind| kind.trim().to_owned()).filter(|kind| kind != "pack").collect()
}

#[test]
fn one_sheet_of_each_kind() {
    let (folder, _) = half_way();
    let visit = id_of("visit");
    let kinds = list_sheet_kinds();
    assert!(kinds.len() > 8, "{kinds:?}");
    for kind in kinds {
        let out = folder.join(format!("{kind}.html"));
        let journal = folder.join("out/demo.journal").display().to_string();
        let path = out.display().to_string();
        let of_visit = ["--visit", &visit, "--journal", &journal, "--date", "2031-03-03", "--out", &path];
        let said = check(&[&["print", &kind], &of_visit[..]].concat(), 0);
        let page = words_of_page(&std::fs::read_to_string(&out).unwrap());
        let mut ids = BTreeMap::new();
        let page = mask_text(&format!("{said}\n{page}"), folder, &mut ids);
        keep_page(&format!("sheet_{}", kind.replace('-', "_")), &page);
    }
}
