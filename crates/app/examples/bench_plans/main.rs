//! Plans measured: what they come to beside their bounds, what more work finds, what each change of the search is worth, and
//! set-ups beside taking always the nearest. Writes docs/benchmarks-plans.md.
//!
//! `cargo run --release -p app --example bench_plans -- docs/benchmarks-plans.md`
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a measurement that stops at what it did not expect"
)]

mod cases;
mod generated;
mod nearest;
mod operators;
mod work;

use std::fmt::Write as _;

const HEAD: &str = "# Benchmarks: plans

Measured on two processors with nothing else running; written by one command, from a clone:

```sh
cargo run --release -p app --example bench_plans -- docs/benchmarks-plans.md
```

Values are the same on every computer, seconds are not. Books and stores are invented. *Value* is what is made least: the finish,
waits included, plus one minute for each change of place and each move of the lift.

";

fn main() {
    let mut page = String::from(HEAD);
    let cases = cases::bench_cases();
    for section in [
        work::plans_section(&cases),
        work::middle_section(&cases),
        operators::operators_section(&cases),
        nearest::nearest_section(&cases),
        generated::generated_section(),
    ] {
        page.push_str(&section);
        page.push('\n');
    }
    if let Some(peak) = peak_memory_mb() {
        let _ = writeln!(page, "The most memory that the process held over all of it: {peak} MB.");
    }
    match std::env::args().nth(1) {
        Some(path) => std::fs::write(&path, page.trim_end().to_owned() + "\n").unwrap(),
        None => println!("{page}"),
    }
}

/// The most memory held so far, where the system tells it.
fn peak_memory_mb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? / 1024)
}

/// A table of Markdown.
fn markdown_table(heads: &[&str], rows: &[Vec<String>]) -> String {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_owned()).collect();
    let rule = vec![String::from("---"); heads.len()];
    [line(&heads), line(&rule)].into_iter().chain(rows.iter().map(|row| line(row))).collect()
}
