//! One instance on the command line: solved, judged and reported as text or as JSON.

// symbol: until = in the unit of the instance

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use effort::SolverStanding;

use crate::cpu;
use crate::kind::InstanceKind;
use crate::run::{InstanceAnswer, InstanceSettings};

/// What to solve and what it may cost.
#[derive(Debug, clap::Args)]
pub struct SolveArguments {
    /// The published file.
    file: PathBuf,
    /// Seconds of the wall clock.
    #[arg(long, default_value_t = 10.0, value_parser = parse_positive_seconds)]
    seconds: f64,
    /// Seed of all random choices.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Threads to use; default: one for each processor.
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
    /// Effort limit in the solver's own count; makes the run repeatable on any machine.
    #[arg(long)]
    effort: Option<u64>,
    /// Stops as soon as this value, known to be best, is reached.
    #[arg(long)]
    until: Option<f64>,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

/// Reads a positive number of seconds.
pub fn parse_positive_seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if seconds > 0.0 && seconds.is_finite() => Ok(seconds),
        _ => Err("expected a number above zero".into()),
    }
}

/// Solves one file and prints the answer; fails when the judge finds a fault in it.
pub fn solve_one_file(kind: InstanceKind, arguments: &SolveArguments) -> Result<ExitCode, String> {
    let threads =
        arguments.threads.unwrap_or_else(|| u16::try_from(cpu::processor_count()).unwrap_or(u16::MAX));
    let settings = InstanceSettings {
        seconds: arguments.seconds,
        seed: arguments.seed,
        threads,
        effort: arguments.effort,
        until: arguments.until,
    };
    let answer = kind.run_file(&arguments.file, &settings)?;
    let text =
        if arguments.json { answer_json(&answer, &settings)? } else { answer_text(&answer, &settings) };
    print_line(&text);
    Ok(if answer.verdict.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn answer_json(answer: &InstanceAnswer, settings: &InstanceSettings) -> Result<String, String> {
    let mut value = serde_json::to_value(answer).map_err(|e| e.to_string())?;
    if let Some(fields) = value.as_object_mut() {
        fields.insert("gap_percent".into(), (100.0 * answer.gap_fraction()).into());
        fields.insert("seed".into(), settings.seed.into());
        fields.insert("threads".into(), settings.threads.into());
        fields.insert("load".into(), cpu::machine_load().into());
    }
    serde_json::to_string_pretty(&value).map_err(|e| e.to_string())
}

fn answer_text(answer: &InstanceAnswer, settings: &InstanceSettings) -> String {
    let mut lines = vec![
        format!("{} {}: {} ({})", answer.kind, answer.name, answer.value, standing_words(answer.standing)),
        format!("bound        {} (gap {:.2} %)", answer.bound, 100.0 * answer.gap_fraction()),
        format!("time to best {:.3} s of {:.3} s", answer.best_at_s, answer.seconds),
        format!(
            "spent        {:.3} processor seconds, effort {}, {} threads, seed {}",
            answer.cpu_s, answer.effort, settings.threads, settings.seed
        ),
        format!("solution     {}", answer.solution),
    ];
    match answer.verdict.as_slice() {
        [] => lines.push("judge        the answer holds".into()),
        faults => lines.extend(faults.iter().map(|fault| format!("judge        FAULT: {fault}"))),
    }
    lines.join("\n")
}

/// The standing in a word.
pub const fn standing_words(standing: SolverStanding) -> &'static str {
    match standing {
        SolverStanding::Proven => "proven best",
        SolverStanding::Found => "best found",
        SolverStanding::Stopped => "best found when stopped",
        SolverStanding::Impossible => "impossible",
    }
}

/// Prints a line; a closed pipe is no reason to fail.
pub fn print_line(text: &str) {
    let _closed = writeln!(io::stdout(), "{text}");
}

/// Prints a line beside the answers.
pub fn print_complaint(text: &str) {
    let _closed = writeln!(io::stderr(), "{text}");
}
