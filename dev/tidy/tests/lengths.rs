//! Short files and short functions, so that one idea fits on one screen.

use tidy::{KeptText, blank_out, find_functions, production_code, report_findings, rust_files};

const MOST_LINES_OF_A_FILE: usize = 500;
const MOST_LINES_OF_A_FUNCTION: usize = 70;
const MOST_LINES_OF_THE_MIDDLE_FUNCTION: usize = 10;

#[test]
fn no_file_is_too_long_to_read() {
    let mut findings = Vec::new();
    for file in rust_files() {
        let lines = file.text.lines().count();
        if lines > MOST_LINES_OF_A_FILE {
            findings.push(format!("{} has {lines} lines, {MOST_LINES_OF_A_FILE} at most", file.path));
        }
    }
    report_findings("file lengths", &findings);
}

#[test]
fn functions_are_short() {
    let mut lengths = Vec::new();
    let mut findings = Vec::new();
    for file in rust_files() {
        let code = blank_out(&file.text, KeptText::Code);
        let code = if file.is_shipped() { production_code(&code) } else { code };
        for function in find_functions(&code) {
            if function.length > MOST_LINES_OF_A_FUNCTION {
                let place = file.place_at(function.line);
                findings.push(format!("{place} `{}` has {} lines", function.name, function.length));
            }
            if file.is_shipped() {
                lengths.push(function.length);
            }
        }
    }
    lengths.sort_unstable();
    let middle = lengths[lengths.len() / 2];
    if middle > MOST_LINES_OF_THE_MIDDLE_FUNCTION {
        findings.push(format!("the middle function has {middle} lines"));
    }
    report_findings(&format!("function lengths (middle of {}: {middle} lines)", lengths.len()), &findings);
}
