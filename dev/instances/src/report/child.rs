//! Runs one job in a program of its own, so that its processor time is measured alone and a crash stops nothing else.

// symbol: value, bound = in the unit of the instance

use std::io::Read as _;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use effort::SolverStanding;
use serde::Deserialize;

use super::log::{RunLogLine, RunResult};
use super::work::{ComparedSolver, RunJob};
use crate::cpu;
use crate::run::InstanceAnswer;

/// Seconds beyond the limit after which a program is ended: reading, proof of the last node, start of an interpreter.
const GRACE_S: f64 = 60.0;

/// What a peer's script prints.
#[derive(Debug, Deserialize)]
struct PeerAnswer {
    value: Option<f64>,
    bound: Option<f64>,
    proven: bool,
    best_at_s: f64,
    seconds: f64,
    cpu_s: f64,
}

/// Where the peers are.
#[derive(Debug, Clone, Copy)]
pub struct PeerScripts<'p> {
    /// The interpreter that has the peers.
    pub python: &'p Path,
    /// The folder of the scripts.
    pub scripts: &'p Path,
}

/// Runs a job and reports the result.
pub fn run_job(job: &RunJob, peers: PeerScripts) -> RunLogLine {
    let result = match job.solver {
        ComparedSolver::Ours => run_ours(job),
        _ => run_peer(job, peers),
    };
    RunLogLine {
        solver: job.solver,
        kind: job.instance.kind.word().into(),
        name: job.instance.known.instance.clone(),
        seed: job.seed,
        limit_s: job.seconds,
        threads: job.threads,
        load: cpu::machine_load(),
        result,
    }
}

fn run_ours(job: &RunJob) -> Result<RunResult, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let mut command = Command::new(program);
    command.arg(job.instance.kind.word()).arg(&job.instance.file).arg("--json");
    command.args(["--seconds", &job.seconds.to_string()]);
    command.args(["--seed", &job.seed.to_string()]);
    command.args(["--threads", &job.threads.to_string()]);
    if job.instance.known.is_closed() && !job.instance.group().proof {
        command.args(["--until", &job.instance.known.upper.to_string()]);
    }
    let answer: InstanceAnswer = run_for_json(command, job.seconds)?;
    Ok(RunResult {
        value: (answer.standing != SolverStanding::Impossible).then_some(answer.value),
        bound: Some(answer.bound),
        proven: answer.standing == SolverStanding::Proven,
        best_at_s: answer.best_at_s,
        seconds: answer.seconds,
        cpu_s: answer.cpu_s,
        effort: Some(answer.effort),
        verdict: answer.verdict,
    })
}

fn run_peer(job: &RunJob, peers: PeerScripts) -> Result<RunResult, String> {
    let mut command = Command::new(peers.python);
    command.env("PYTHONDONTWRITEBYTECODE", "1");
    command.arg(peers.scripts.join(job.solver.script_name(job.instance.kind))).arg(&job.instance.file);
    command.args(["--seconds", &job.seconds.to_string()]);
    command.args(["--seed", &job.seed.to_string()]);
    command.args(["--workers", &job.threads.to_string()]);
    let peer: PeerAnswer = run_for_json(command, job.seconds)?;
    Ok(RunResult {
        value: peer.value,
        bound: peer.bound,
        proven: peer.proven,
        best_at_s: peer.best_at_s,
        seconds: peer.seconds,
        cpu_s: peer.cpu_s,
        effort: None,
        verdict: Vec::new(),
    })
}

/// The JSON that a program prints, whatever code it ends with.
fn run_for_json<T: serde::de::DeserializeOwned>(mut command: Command, limit_s: f64) -> Result<T, String> {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| format!("{}: {error}", command.get_program().display()))?;
    let told = child.stdout.take().map(|mut pipe| {
        std::thread::spawn(move || {
            let mut text = String::new();
            pipe.read_to_string(&mut text).map(|_| text)
        })
    });
    let complaint = child.stderr.take().map(|mut pipe| {
        std::thread::spawn(move || {
            let mut text = String::new();
            pipe.read_to_string(&mut text).map(|_| text)
        })
    });
    let ended = wait_or_kill(&mut child, limit_s + GRACE_S);
    let gather = |reader: Option<std::thread::JoinHandle<std::io::Result<String>>>| {
        reader.and_then(|r| r.join().ok()).and_then(Result::ok).unwrap_or_default()
    };
    let (text, complaint) = (gather(told), gather(complaint));
    ended?;
    // Some peers greet before they answer.
    let answer = text.find('{').map_or("", |at| &text[at..]);
    serde_json::from_str(answer).map_err(|error| {
        let last = complaint.lines().rfind(|line| !line.trim().is_empty()).unwrap_or("it printed nothing");
        format!("no answer ({error}): {last}")
    })
}

/// Waits for a program, and ends it when it takes too long.
fn wait_or_kill(child: &mut Child, most_s: f64) -> Result<(), String> {
    let start = Instant::now();
    loop {
        match child.try_wait() {
            Err(error) => return Err(error.to_string()),
            Ok(Some(_)) => return Ok(()),
            Ok(None) if start.elapsed().as_secs_f64() > most_s => {
                child.kill().and_then(|()| child.wait()).map_err(|error| error.to_string())?;
                return Err(format!("did not finish within {most_s:.0} s"));
            }
            Ok(None) => std::thread::sleep(Duration::from_millis(5)),
        }
    }
}
