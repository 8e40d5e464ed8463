//! Every example line of every help does what it says, on a copy of the demo that `traywright demo` has been run on.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;
#[path = "common/demo_copy.rs"]
mod demo_copy;

use std::path::Path;

use common::words;
use demo_copy::{collect_commands, copy_worked_demo, run_in};

/// Examples that do not end with exit code 0, each with the code and its reason.
const OTHER_ENDS: &[(&str, i32, &str)] = &[
    ("ledger ", 1, "things stand open in the visit half-way"),
    ("visit book ", 2, "the half-way visit follows a book, so that nothing was told that would make one"),
];

/// Examples that are not run, each with its reason.
const NOT_RUN: &[(&str, &str)] = &[
    ("serve", "serves until it is ended; the tests of the browser run it"),
    ("book take ", "wants a file that another workshop passed on; crates/app/tests/seen.rs makes one"),
    ("demo", "serves until it is ended; with --no-serve it has been run"),
];

/// The example lines at the end of a help, without the program's name.
fn example_lines(help: &str) -> Vec<String> {
    let (_, block) = help.split_once("\nExample").unwrap_or_else(|| panic!("no example in\n{help}"));
    let lines = block.lines().skip(1).map(str::trim).filter(|line| !line.is_empty());
    lines.map(|line| line.strip_prefix("traywright ").expect(line).to_owned()).collect()
}

/// Commands whose examples work on what others leave: run after all others, in this order.
const LAST: &[&str] = &["visit add-task", "visit plan-to"];

/// The commands without those that only group others, in an order in which each finds what it works on.
fn ordered_commands() -> Vec<String> {
    let all = collect_commands();
    let is_group =
        |path: &str| path.is_empty() || all.iter().any(|other| other.starts_with(&format!("{path} ")));
    let place = |path: &str| LAST.iter().position(|last| *last == path).map_or(0, |at| at + 1);
    let mut own: Vec<String> = all.iter().filter(|path| !is_group(path)).cloned().collect();
    own.sort_by_key(|path| place(path));
    own
}

/// Runs an example line in a folder; what it prints goes where the line says.
fn try_example(folder: &Path, line: &str) {
    let (asked, into) = line.split_once(" > ").map_or((line, None), |(asked, into)| (asked, Some(into)));
    let asked = words(asked);
    let output = run_in(folder, &asked.iter().map(String::as_str).collect::<Vec<_>>());
    let code = OTHER_ENDS.iter().find(|(start, ..)| line.starts_with(start)).map_or(0, |end| end.1);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{line}\n{said}");
    if let Some(file) = into {
        std::fs::write(folder.join(file), &output.stdout).unwrap();
    }
}

#[test]
fn every_example_of_every_help_works() {
    let folder = copy_worked_demo("examples");
    let mut tried = 0;
    for command in ordered_commands() {
        let asked: Vec<&str> = command.split(' ').chain(["--help"]).collect();
        let help = String::from_utf8(run_in(&folder, &asked).stdout).unwrap();
        for line in example_lines(&help) {
            if !NOT_RUN.iter().any(|(start, _)| line.starts_with(start)) {
                try_example(&folder, &line);
                tried += 1;
            }
        }
    }
    assert!(tried > 50, "only {tried} examples were tried");
}
