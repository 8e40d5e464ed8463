//! One instance on the command line: solved, judged and told as text or as JSON.

// symbol: until = in the unit of the instance

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use effort::Standing;

use crate::cpu;
use crate::kind::Kind;
use crate::run::{Answer, Settings};

/// What to solve and what it may cost.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The published file.
    file: PathBuf,
    /// Seconds of the wall clock.
    #[arg(long, default_value_t = 10.0, value_parser = positive)]
    seconds: f64,
    /// Seed of all random choices.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Threads to use; as many as the machine has when left out.
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
    /// Tries in the solver's own count, for a run that can be repeated on any machine.
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
pub fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if seconds > 0.0 && seconds.is_finite() => Ok(seconds),
        _ => Err("expected a number above zero".into()),
    }
}

/// Solves one file and prints the answer; fails when the judge finds a fault in it.
pub fn run(kind: Kind, arguments: &Arguments) -> Result<ExitCode, String> {
    let threads = arguments.threads.unwrap_or_else(|| u16::try_from(cpu::workers()).unwrap_or(u16::MAX));
    let settings = Settings {
        seconds: arguments.seconds,
        seed: arguments.seed,
        threads,
        effort: arguments.effort,
        until: arguments.until,
    };
    let answer = kind.run(&arguments.file, &settings)?;
    let text = if arguments.json { json(&answer, &settings)? } else { told(&answer, &settings) };
    say(&text);
    Ok(if answer.verdict.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn json(answer: &Answer, settings: &Settings) -> Result<String, String> {
    let mut value = serde_json::to_value(answer).map_err(|e| e.to_string())?;
    if let Some(fields) = value.as_object_mut() {
        fields.insert("gap_percent".into(), (100.0 * answer.gap_fraction()).into());
        fields.insert("seed".into(), settings.seed.into());
        fields.insert("threads".into(), settings.threads.into());
        fields.insert("load".into(), cpu::load().into());
    }
    serde_json::to_string_pretty(&value).map_err(|e| e.to_string())
}

fn told(answer: &Answer, settings: &Settings) -> String {
    let mut lines = vec![
        format!("{} {}: {} ({})", answer.kind, answer.name, answer.value, standing(answer.standing)),
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
        faults => lines.extend(faults.iter().map(|fault| format!("judge        WRONG: {fault}"))),
    }
    lines.join("\n")
}

/// The standing in a word.
pub const fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Proven => "proven best",
        Standing::Found => "best found",
        Standing::Stopped => "best found when stopped",
        Standing::Impossible => "impossible",
    }
}

/// Prints a line; a closed pipe is no reason to fail.
pub fn say(text: &str) {
    let _closed = writeln!(io::stdout(), "{text}");
}

/// Prints a line beside the answers.
pub fn complain(text: &str) {
    let _closed = writeln!(io::stderr(), "{text}");
}
