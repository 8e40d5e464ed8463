//! A pure core: below `app` nothing knows of files, clock, environment, network, processes, terminal or threads.
//!
//! The same input gives the same plan on every machine and in every test, because nothing else can be asked.

use tidy::{CheckoutFile, KeptText, blank_out, production_code, report_findings, rust_files, words_of};

/// The crates that may know of the world outside; the program name `app` is the line.
const OUTSIDE: &[&str] =
    &["app", "cli", "demo_scenario", "fuzz_cases", "instances", "archive", "tidy", "web"];

/// Crates that may share work out among threads; how many is always an input.
const THREADS: &[&str] = &["cart", "cover", "order", "plan", "reach", "schedule"];

/// Modules of the standard library that open on the world.
const DOORS: &[&str] = &["env", "fs", "net", "os", "process", "thread", "time"];

/// What may pass through a door all the same: plain values and the writing of text into memory.
const HARMLESS: &[&str] = &["std::time::Duration"];

/// Calls that open on the world under any name.
const CALLS: &[&str] = &[
    "Instant::now",
    "SystemTime",
    "println!",
    "eprintln!",
    "print!(",
    "eprint!(",
    "stdin()",
    "stdout()",
    "stderr()",
    "thread::spawn",
];

/// The doors that a line of code goes through.
fn opened(line: &str, crate_name: &str) -> Vec<String> {
    let line = HARMLESS.iter().fold(line.to_owned(), |l, ok| l.replace(ok, ""));
    let mut found: Vec<String> =
        CALLS.iter().filter(|c| stands_alone(&line, c)).map(|c| (*c).into()).collect();
    let grouped = line.split_once("std::{").map_or("", |(_, group)| group);
    for door in DOORS {
        let direct = line.contains(&format!("std::{door}"));
        if direct || words_of(grouped).any(|w| w == *door) {
            found.push(format!("std::{door}"));
        }
    }
    found.retain(|door| door != "std::thread" || !THREADS.contains(&crate_name));
    found
}

fn stands_alone(line: &str, text: &str) -> bool {
    let mut places = line.match_indices(text);
    places.any(|(at, _)| !line[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
}

#[test]
fn doors_are_seen_in_every_way_of_writing() {
    let check = |line: &str, expected: &[&str]| assert_eq!(opened(line, "model"), expected, "{line}");
    check("use std::fs;", &["std::fs"]);
    check("use std::{collections::BTreeMap, env};", &["std::env"]);
    check("    std::process::exit(1)", &["std::process"]);
    check("let t = Instant::now();", &["Instant::now"]);
    check("eprintln!()", &["eprintln!"]);
    check("use std::time::Duration;", &[]);
    check("use std::collections::BTreeMap;", &[]);
    check("std::thread::scope(|s| ())", &["std::thread"]);
    assert_eq!(opened("std::thread::scope(|s| ())", "reach"), Vec::<String>::new());
    assert_eq!(opened("std::thread::spawn(|| ())", "reach"), ["thread::spawn"]);
}

/// The code with each group of imports drawn onto one line, so that a line tells all.
fn joined(code: &str) -> Vec<(usize, String)> {
    let mut lines: Vec<(usize, String)> = Vec::new();
    let mut inside = false;
    for (index, line) in code.lines().enumerate() {
        match lines.last_mut() {
            Some((_, last)) if inside => last.push_str(line),
            _ => lines.push((index, line.to_owned())),
        }
        let last = lines.last().map_or("", |(_, l)| l.trim_start());
        inside = (last.starts_with("use ") || last.starts_with("pub use ")) && !last.contains(';');
    }
    lines
}

#[test]
fn nothing_below_the_use_cases_knows_the_world() {
    let mut findings = Vec::new();
    let below = |f: &CheckoutFile| f.is_shipped() && !f.crate_name().is_some_and(|n| OUTSIDE.contains(&n));
    for file in rust_files().into_iter().filter(below) {
        let crate_name = file.crate_name().unwrap_or_default();
        for (index, line) in joined(&production_code(&blank_out(&file.text, KeptText::Code))) {
            for door in opened(&line, crate_name) {
                findings.push(format!("{} `{door}`", file.place_at(index)));
            }
        }
    }
    report_findings("the world outside, known below `app`", &findings);
}
