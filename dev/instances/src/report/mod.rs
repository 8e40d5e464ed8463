//! The report: everything run, with progress, and set beside the best known values and the peers on one page.
//!
//! Each run is a program of its own and a line in a log; a report that was interrupted goes on where it stopped. A run ends
//! early when it has a proof, or, where no proof is aimed at, when it has reached a best known value that others have
//! proven. The page is written after each kind, so that an early end leaves what is known.

mod child;
pub mod known;
pub mod log;
mod page;
pub mod work;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use child::PeerScripts;
use log::RunLog;
use work::{ComparedSolver, PublishedInstance, RunJob};

use crate::cpu;
use crate::kind::InstanceKind;
use crate::one::{parse_positive_seconds, print_complaint};

/// Workers of a peer: CP-SAT's portfolio is made for eight, on however few processors.
const PEER_WORKERS: u16 = 8;

/// What to run and where to write.
#[derive(Debug, clap::Args)]
pub struct ReportArguments {
    /// Folder that holds one folder of instances for each kind, as `validation/instances/fetch` writes it.
    #[arg(long, default_value = "target/instances")]
    data: PathBuf,
    /// Factor on every time limit. 1 gives each instance the time its target names and takes about two
    /// hours with peers; the default takes about half an hour.
    #[arg(long, default_value_t = 0.25, value_parser = parse_positive_seconds)]
    seconds_scale: f64,
    /// Seeds, each a run of its own; the page quotes the worst.
    #[arg(long, value_delimiter = ',', default_values_t = [1, 2, 3])]
    seeds: Vec<u64>,
    /// Threads of our runs; default: one for each processor.
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
    /// Kinds to run; all when left out.
    #[arg(long, value_delimiter = ',')]
    kinds: Vec<InstanceKind>,
    /// Only instances whose name holds this.
    #[arg(long, default_value = "")]
    only: String,
    /// Also runs the peer solvers, with one seed each.
    #[arg(long)]
    peers: bool,
    /// Seconds of a peer on each instance; default: the same as ours.
    #[arg(long, value_parser = parse_positive_seconds)]
    peer_seconds: Option<f64>,
    /// The interpreter that has the packages of `validation/peers/requirements.txt`.
    #[arg(long, default_value = "python3")]
    python: PathBuf,
    /// The folder of the peers' scripts.
    #[arg(long, default_value = "validation/peers")]
    scripts: PathBuf,
    /// The log of runs; a report goes on from what it holds.
    #[arg(long, default_value = "target/benchmarks.jsonl")]
    log: PathBuf,
    /// Ignores what the log holds and starts anew.
    #[arg(long)]
    fresh: bool,
    /// The page.
    #[arg(long, default_value = "docs/benchmarks.md")]
    out: PathBuf,
}

/// Runs everything and writes the page; fails when a judge found a fault or a run of ours failed.
///
/// # Errors
/// Folders that cannot be read, files that cannot be written.
pub fn write_report(arguments: &ReportArguments) -> Result<ExitCode, String> {
    let kinds = if arguments.kinds.is_empty() { InstanceKind::ALL.to_vec() } else { arguments.kinds.clone() };
    let mut instances = Vec::new();
    for kind in kinds {
        require_folder(&arguments.data.join(kind.word()))?;
        let (found, missing) = work::find_instances(kind, &arguments.data)?;
        if !missing.is_empty() {
            print_complaint(&format!("{}: not found, skipped: {}", kind.word(), missing.join(", ")));
        }
        instances.extend(found.into_iter().filter(|i| i.known.instance.contains(&arguments.only)));
    }
    let jobs = list_jobs(arguments, &instances);
    let mut log = RunLog::open(&arguments.log, arguments.fresh)?;
    let used = run_all_jobs(arguments, &instances, &jobs, &mut log)?;
    print_complaint(&format!("wrote {}", arguments.out.display()));
    let wrong = |line: &&log::RunLogLine| {
        line.solver == ComparedSolver::Ours
            && line.result.as_ref().map_or(true, |run| !run.verdict.is_empty())
    };
    Ok(ExitCode::from(u8::from(used.iter().any(|line| wrong(&line)))))
}

/// Fails where there is no such folder of instances, with what gets them.
fn require_folder(folder: &Path) -> Result<(), String> {
    if folder.is_dir() {
        return Ok(());
    }
    Err(format!(
        "{}: no such folder; `validation/instances/fetch` gets the published instances into target/instances, `--data FOLDER` \
         names another folder that holds them",
        folder.display()
    ))
}

/// The command line that repeats a report, whatever was left to defaults written out.
fn write_command_line(arguments: &ReportArguments) -> String {
    let seeds: Vec<String> = arguments.seeds.iter().map(u64::to_string).collect();
    let mut words = vec![
        String::from("cargo run --release -p instances -- report"),
        format!("--data {}", arguments.data.display()),
        format!("--seconds-scale {}", arguments.seconds_scale),
        format!("--seeds {}", seeds.join(",")),
        format!("--threads {}", thread_count(arguments)),
    ];
    let kinds: Vec<&str> = arguments.kinds.iter().map(|kind| kind.word()).collect();
    if !kinds.is_empty() {
        words.push(format!("--kinds {}", kinds.join(",")));
    }
    if !arguments.only.is_empty() {
        words.push(format!("--only {}", arguments.only));
    }
    if arguments.peers {
        words.push(String::from("--peers"));
        words.extend(arguments.peer_seconds.map(|seconds| format!("--peer-seconds {seconds}")));
        words.push(format!("--python {}", arguments.python.display()));
        words.push(format!("--scripts {}", arguments.scripts.display()));
    }
    words.push(format!("--log {}", arguments.log.display()));
    words.push(format!("--out {}", arguments.out.display()));
    words.join(" ")
}

fn thread_count(arguments: &ReportArguments) -> u16 {
    arguments.threads.unwrap_or_else(|| u16::try_from(cpu::processor_count()).unwrap_or(u16::MAX))
}

fn list_jobs<'i>(arguments: &ReportArguments, instances: &'i [PublishedInstance]) -> Vec<RunJob<'i>> {
    let mut jobs = Vec::new();
    for instance in instances {
        let seconds = instance.group().seconds * arguments.seconds_scale;
        for seed in &arguments.seeds {
            let threads = thread_count(arguments);
            jobs.push(RunJob { solver: ComparedSolver::Ours, instance, seed: *seed, seconds, threads });
        }
        let peers = ComparedSolver::peers_of(instance.kind).iter().filter(|_| arguments.peers);
        for peer in peers {
            let seconds = arguments.peer_seconds.unwrap_or(seconds);
            let seed = arguments.seeds.first().copied().unwrap_or(1);
            jobs.push(RunJob { solver: *peer, instance, seed, seconds, threads: PEER_WORKERS });
        }
    }
    jobs
}

/// Runs what the log does not hold yet, and writes the page after each kind; gives the lines of all jobs.
fn run_all_jobs(
    arguments: &ReportArguments,
    instances: &[PublishedInstance],
    jobs: &[RunJob],
    log: &mut RunLog,
) -> Result<Vec<log::RunLogLine>, String> {
    let peers = PeerScripts { python: &arguments.python, scripts: &arguments.scripts };
    let mut used = Vec::new();
    for (at, job) in jobs.iter().enumerate() {
        let name = format!("{} {}", job.instance.kind.word(), job.instance.known.instance);
        let held = log.lines.iter().rfind(|line| line.answers_job(job) && line.result.is_ok()).cloned();
        let (line, how) = match held {
            Some(line) => (line, " (from the log)"),
            None => {
                let line = child::run_job(job, peers);
                log.add_line(line.clone())?;
                (line, "")
            }
        };
        let told = match &line.result {
            Ok(run) => {
                format!("{} in {:.2} s", run.value.map_or("nothing".into(), |v| v.to_string()), run.seconds)
            }
            Err(fault) => format!("failed: {fault}"),
        };
        let left = jobs[at + 1..].iter().fold(0.0, |sum, j| sum + j.seconds);
        print_complaint(&format!(
            "[{}/{}] {name}, {}, seed {}: {told}{how}; up to {:.0} min left",
            at + 1,
            jobs.len(),
            job.solver.title(),
            job.seed,
            left / 60.0
        ));
        used.push(line);
        if jobs.get(at + 1).is_none_or(|next| next.instance.kind != job.instance.kind) {
            write_page(arguments, instances, &used)?;
        }
    }
    Ok(used)
}

fn write_page(
    arguments: &ReportArguments,
    instances: &[PublishedInstance],
    lines: &[log::RunLogLine],
) -> Result<(), String> {
    let told = |error: std::io::Error| format!("{}: {error}", arguments.out.display());
    if let Some(folder) = arguments.out.parent().filter(|f| !f.as_os_str().is_empty()) {
        fs::create_dir_all(folder).map_err(told)?;
    }
    let command = write_command_line(arguments);
    let facts = page::PageFacts {
        command: &command,
        seeds: &arguments.seeds,
        threads: thread_count(arguments),
        processors: cpu::processor_count(),
        seconds_scale: arguments.seconds_scale,
        peer_workers: PEER_WORKERS,
    };
    fs::write(&arguments.out, page::render_page(&facts, instances, lines)).map_err(told)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser as _;

    #[derive(clap::Parser)]
    struct CommandLine {
        #[command(flatten)]
        arguments: ReportArguments,
    }

    fn read(line: &str) -> ReportArguments {
        CommandLine::try_parse_from(line.split_whitespace()).expect(line).arguments
    }

    #[test]
    fn the_command_line_on_the_page_asks_for_the_same_again() {
        for line in [
            "report",
            "report --seconds-scale 0.5 --seeds 4,5 --threads 1 --kinds sop,scp --only ESC --out a.md --log b.jsonl",
            "report --data x --peers --peer-seconds 7.5 --python target/peers/bin/python --scripts y",
        ] {
            let arguments = read(line);
            let command = write_command_line(&arguments);
            let again = command.strip_prefix("cargo run --release -p instances -- ").expect(&command);
            let threads = Some(thread_count(&arguments));
            assert_eq!(
                format!("{:?}", read(again)),
                format!("{:?}", ReportArguments { threads, ..arguments }),
                "{command}"
            );
        }
    }

    #[test]
    fn a_folder_that_is_not_there_names_the_script_that_gets_it() {
        let fault = write_report(&read("report --data no/such/folder")).expect_err("it is not there");
        assert!(
            fault.starts_with("no/such/folder/sop: ") && fault.contains("validation/instances/fetch"),
            "{fault}"
        );
    }
}
