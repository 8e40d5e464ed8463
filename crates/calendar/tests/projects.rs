//! Published project instances through the same code: one visit, continuous hours, items without the mechanic's hands, resources as holders.
//!
//! The files are not in the repository (their terms do not plainly allow it; `validation/instances/README.md`). Where `TRAYWRIGHT_INSTANCES` names a folder with
//! them, each is solved and set beside `best-known/rcpsp.csv`; always, invented projects are set beside what the engine of `schedule` finds by its own decoder.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[expect(dead_code, reason = "this file uses a part")]
mod common;

use std::io::Write as _;
use std::path::Path;

use calendar::hours::WeekHours;
use calendar::{
    BenchHolder, BenchQuestion, CalendarSettings, HeldStretch, HolderKind, ItemHands, make_bench_calendar,
};
use common::{Draws, assert_clean, item, link, shop, visit};
use effort::{RandomSeed, SolverBudget, SolverEffort};
use schedule::{ScheduleJob, ScheduleLag, ScheduleProblem, solve_schedule};

/// Durations, demands, pairs, capacities.
struct Project {
    durations: Vec<u32>,
    demands: Vec<Vec<u32>>,
    pairs: Vec<(usize, usize)>,
    capacities: Vec<u32>,
}

fn question_of(project: &Project) -> BenchQuestion {
    let items = project.durations.iter().enumerate().map(|(k, duration)| {
        let mut it = item(&format!("job {k}"), *duration);
        it.hands = ItemHands::None;
        it
    });
    let mut it = visit('A', items.collect(), project.pairs.iter().map(|(f, t)| link(*f, *t, 0)).collect());
    for (job, demand) in project.demands.iter().enumerate() {
        let used = demand.iter().enumerate().filter(|(_, amount)| **amount > 0 && project.durations[job] > 0);
        it.stretches.extend(used.map(|(holder, amount)| HeldStretch {
            holder,
            amount: *amount,
            from: Some(job),
            to: job,
        }));
    }
    let mut question = shop(vec![it]);
    question.hours = WeekHours::always_open();
    question.now_s = 0;
    let holder = |(k, count): (usize, &u32)| BenchHolder {
        name: format!("resource {k}"),
        count: *count,
        kind: HolderKind::Place,
    };
    question.holders = project.capacities.iter().enumerate().map(holder).collect();
    question
}

fn end_of(project: &Project, tries: u64) -> u32 {
    let question = question_of(project);
    let budget = SolverBudget { effort: SolverEffort::Tries(tries), ..SolverBudget::sized() };
    let settings =
        CalendarSettings { budget, samples: 1, threads: 2, ..CalendarSettings::sized(RandomSeed(5)) };
    let calendar = make_bench_calendar(&question, &settings).unwrap();
    assert_clean(&question, &calendar);
    calendar.finishes[0].planned_s
}

fn random_project(seed: u64) -> Project {
    let mut draws = Draws::new(seed);
    let jobs = 12 + draws.below(8) as usize;
    let capacities: Vec<u32> = (0..3).map(|_| 5 + draws.below(5)).collect();
    let demand = |draws: &mut Draws| capacities.iter().map(|c| draws.below(c / 2 + 2)).collect::<Vec<_>>();
    Project {
        durations: (0..jobs).map(|_| 1 + draws.below(10)).collect(),
        demands: (0..jobs).map(|_| demand(&mut draws)).collect(),
        pairs: (1..jobs).map(|to| (draws.below(to as u32) as usize, to)).collect(),
        capacities,
    }
}

#[test]
fn invented_projects_end_as_soon_as_the_engine_alone_lets_them() {
    for seed in 0..30 {
        let project = random_project(seed);
        let jobs = project.durations.iter().zip(&project.demands);
        let jobs = jobs.map(|(d, u)| ScheduleJob { duration: *d, release: 0, demand: u.clone() }).collect();
        let lags = project.pairs.iter().map(|(f, t)| ScheduleLag { from: *f, to: *t, wait: 0 }).collect();
        let problem = ScheduleProblem::new(jobs, project.capacities.clone(), lags, Vec::new()).unwrap();
        let best = solve_schedule(&problem, &[], &SolverBudget::sized(), RandomSeed(1), 2);
        assert_eq!(f64::from(end_of(&project, 4_000)), best.outcome.value, "seed {seed}");
    }
}

/// Numbers of the lines behind the one that begins with a title, up to the next line of stars.
fn numbers_of_table(text: &str, title: &str, skipped: usize) -> Vec<Vec<u32>> {
    let lines = text.lines().skip_while(|l| !l.starts_with(title)).skip(1 + skipped);
    let rows = lines.take_while(|l| !l.starts_with("***")).filter(|l| !l.starts_with("---"));
    rows.map(|l| l.split_whitespace().map(|w| w.parse().unwrap()).collect()).collect()
}

/// PSPLIB's `.sm` (Kolisch and Sprecher 1996): job, mode, number of successors, successors; job, mode, duration, demands; what there is.
fn read_project(text: &str) -> Project {
    let followers = numbers_of_table(text, "PRECEDENCE RELATIONS", 1);
    let pairs =
        followers.iter().flat_map(|row| row[3..].iter().map(|to| (row[0] as usize - 1, *to as usize - 1)));
    let requests = numbers_of_table(text, "REQUESTS/DURATIONS", 1);
    Project {
        durations: requests.iter().map(|row| row[2]).collect(),
        demands: requests.iter().map(|row| row[3..].to_vec()).collect(),
        pairs: pairs.collect(),
        capacities: numbers_of_table(text, "RESOURCEAVAILABILITIES", 1)[0].clone(),
    }
}

#[test]
fn published_projects_end_at_their_known_optimum() {
    let Some(folder) = std::env::var_os("TRAYWRIGHT_INSTANCES") else { return };
    let table = concat!(env!("CARGO_MANIFEST_DIR"), "/../../validation/instances/best-known/rcpsp.csv");
    let known = std::fs::read_to_string(table).unwrap();
    let (mut seen, mut missed) = (0, 0);
    for row in known.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let path = Path::new(&folder).join("rcpsp").join(format!("{}.sm", cells[0]));
        let (low, high): (u32, u32) = (cells[2].parse().unwrap(), cells[3].parse().unwrap());
        let end = end_of(&read_project(&std::fs::read_to_string(path).unwrap()), 100_000);
        let _closed = writeln!(std::io::stdout(), "| {} | {low} | {high} | {end} |", cells[0]);
        assert!(end >= low, "{}: {end} is below the bound {low}", cells[0]);
        if cells[1] == "30" {
            missed += u32::from(end != high);
        }
        seen += 1;
    }
    assert_eq!(missed, 0, "of those with 30 jobs");
    assert!(seen > 10, "only {seen} files");
}
