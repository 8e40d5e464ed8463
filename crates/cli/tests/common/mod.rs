//! Running the command, and the example lines of the pages in `docs`.
#![expect(dead_code, reason = "each test file uses its own part of it")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The checkout, from which the examples of the pages are run.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub fn demo(path: &str) -> String {
    root().join("demo").join(path).display().to_string()
}

pub fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_traywright")).current_dir(root()).args(arguments).output().unwrap()
}

#[track_caller]
pub fn check(arguments: &[&str], code: i32) -> String {
    let output = run(arguments);
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(code), "{arguments:?}\n{out}\n{err}");
    out.into_owned()
}

/// What an example line prints.
#[track_caller]
pub fn answered(line: &str) -> String {
    let words = words(line);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    assert_eq!(words[0], "traywright", "{line}");
    check(&words[1..], 0)
}

/// The words of a command line, double quotes taken off as a shell does.
pub fn words(line: &str) -> Vec<String> {
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
