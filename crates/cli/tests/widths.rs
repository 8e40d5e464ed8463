//! No line of an answer is wider than the width that is asked for, and the room of a wide one is used.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;
#[path = "common/demo_copy.rs"]
mod demo_copy;

use common::words;
use demo_copy::{collect_commands, copy_worked_demo, run_in};
use std::path::Path;
use unicode_width::UnicodeWidthStr as _;

/// Commands whose output is no text laid out for a person, each with its reason.
const NOT_LAID_OUT: &[(&str, &str)] = &[
    ("book rows", "a spreadsheet"),
    ("book schema", "JSON"),
    ("store schema", "JSON"),
    ("scale-card", "a drawing"),
    ("licences", "licences stand as they are written"),
    ("shell completions", "a script"),
    ("shell man", "a page for the reader of manuals"),
    ("serve", "serves until it is ended; what it prints is an address"),
    ("demo", "prints what plan, next-best and visit show print, and the paths of its files"),
];

/// Beginnings of lines that may be wider, each with its reason.
const MAY_BE_WIDER: &[(&str, &str)] = &[
    ("  traywright ", "a command to copy, in one piece"),
    ("Usage: ", "the grammar of a command, in one piece"),
];

/// What is run besides the examples of every help: (command, exit code).
const MORE_RUNS: &[(&str, i32)] = &[
    ("plan --book demo/books/curlew-30 --store demo/store --task renew-thermostat", 0),
    ("plan --book demo/dunlin-16-thin --store demo/store --seconds 1", 0),
    ("kit --book demo/books/curlew-30 --store demo/store --task renew-plugs", 0),
    ("kit --book demo/books/tern-24 --store demo/store --task renew-thermostat --trade-off", 0),
    ("reach --book demo/books/tern-24 --store demo/store", 0),
    ("next-best --book demo/books/tern-24 --book demo/books/curlew-30 --store demo/store", 0),
    ("worth --book demo/books/tern-24 --task renew-thermostat --rate \"60 EUR/h\" --reasons", 0),
    ("finish --book demo/books/tern-24 --store demo/store --task renew-thermostat --helper", 0),
    ("book parts demo/books/curlew-30", 0),
    ("book fixings demo/books/curlew-30", 0),
    ("mixup --book demo/books/curlew-30 --anywhere", 0),
    ("visit show --journal out/demo.journal", 0),
    ("trend odometer --readings validation/trend/odometer.csv --due-in \"20000 km\"", 0),
];

/// The lines of an output that are wider than they may be.
fn wide_lines(text: &str, columns: usize) -> Vec<String> {
    let may = |line: &str| MAY_BE_WIDER.iter().any(|(start, _)| line.starts_with(start));
    text.lines().filter(|line| line.width() > columns && !may(line)).map(str::to_owned).collect()
}

/// All example lines of the helps, without the program's name.
fn example_runs(folder: &Path) -> Vec<String> {
    let mut runs = Vec::new();
    for command in collect_commands() {
        let asked: Vec<&str> = command.split(' ').chain(["--help"]).filter(|word| !word.is_empty()).collect();
        let help = String::from_utf8(run_in(folder, &asked).stdout).unwrap();
        let (_, block) = help.split_once("\nExample").unwrap();
        let lines = block.lines().skip(1).filter_map(|line| line.trim().strip_prefix("traywright "));
        runs.extend(lines.map(|line| line.split(" > ").next().unwrap().to_owned()));
    }
    runs.sort();
    runs.dedup();
    runs
}

/// Commands that answer the same each time they are run.
fn is_read_only(line: &str) -> bool {
    let writing =
        ["book new", "book take", "driver add", "driver import", "visit new", "visit import", "visit export"];
    let more = [
        "visit figure",
        "visit setting",
        "visit go-on",
        "visit add-task",
        "visit drop-task",
        "visit plan-to",
    ];
    let files = ["visit book", "backup", "restore", "generate", "print"];
    !writing.iter().chain(&more).chain(&files).any(|start| line.starts_with(start))
}

#[test]
fn no_line_of_an_answer_is_wider_than_the_width() {
    let folder = copy_worked_demo("widths");
    let asked = ["plan", "--book", "demo/books/tern-24", "--store", "demo/store", "--json", "--seconds", "1"];
    let plan = run_in(&folder, &asked);
    std::fs::write(folder.join("plan.json"), plan.stdout).unwrap();
    let runs = example_runs(&folder);
    let more = MORE_RUNS.iter().map(|(line, _)| (*line).to_owned());
    let laid_out = |line: &String| {
        !line.contains("--json") && !NOT_LAID_OUT.iter().any(|(start, _)| line.starts_with(start))
    };
    let runs: Vec<String> =
        runs.into_iter().chain(more).filter(laid_out).filter(|line| is_read_only(line)).collect();
    assert!(runs.len() > 40, "only {} commands were run", runs.len());
    let mut findings = Vec::new();
    for line in runs {
        let mut asked = words(&line);
        let is_planned = ["plan", "kit", "cart", "finish"].contains(&asked[0].as_str());
        if is_planned && line.contains("tern-24") && !line.contains("--task") {
            // A small job has all the kinds of lines that a large one has.
            asked.extend(["--task".to_owned(), "renew-thermostat".to_owned()]);
        }
        for columns in [60, 80, 200] {
            let width = columns.to_string();
            let asked: Vec<&str> = asked.iter().map(String::as_str).chain(["--width", &width]).collect();
            let output = run_in(&folder, &asked);
            assert!(output.status.code().is_some_and(|code| code < 2), "{line}: {output:?}");
            let wide = wide_lines(&String::from_utf8_lossy(&output.stdout), columns);
            findings.extend(wide.iter().take(3).map(|wide| format!("{columns}: {line}\n    {wide}")));
        }
    }
    assert!(findings.is_empty(), "{}", findings.join("\n"));
}

#[test]
fn no_line_of_a_help_is_wider_than_the_width() {
    let mut findings = Vec::new();
    for command in collect_commands() {
        for columns in [60, 80, 200] {
            let width = format!("--width={columns}");
            let asked = command.split(' ').chain(["--help", &width]).filter(|word| !word.is_empty());
            let help = run_in(&common::root(), &asked.collect::<Vec<_>>());
            let wide = wide_lines(&String::from_utf8(help.stdout).unwrap(), columns);
            findings.extend(wide.iter().map(|wide| format!("{columns}: {command}\n    {wide}")));
        }
    }
    assert!(findings.is_empty(), "{}", findings.join("\n"));
}

#[test]
fn a_wide_terminal_is_used() {
    let folder = common::root();
    let lines = |width: &str, command: &str| {
        let asked: Vec<&str> = command.split(' ').chain(["--width", width]).collect();
        String::from_utf8(run_in(&folder, &asked).stdout).unwrap().lines().count()
    };
    for command in
        ["book tasks demo/books/tern-24", "book fixings demo/books/tern-24", "store show demo/store"]
    {
        assert!(lines("60", command) > lines("200", command), "{command}");
    }
    let tasks =
        String::from_utf8(run_in(&folder, &["book", "tasks", "demo/books/tern-24", "--width", "200"]).stdout)
            .unwrap();
    let rows = tasks.lines().filter(|line| {
        line.starts_with("re") || line.starts_with("inspect-") || line.starts_with("measure-")
    });
    assert!(
        rows.clone().count() > 20 && rows.clone().all(|row| row.contains(" min") || row.contains(" h")),
        "{tasks}"
    );
}
