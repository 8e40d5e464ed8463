//! The page: a summary a group, then a row an instance, all from the lines of the log.
//!
//! symbol: value, values, bound, ratio = in the unit of the instance; parts of a whole

use std::fmt::Write as _;

use super::log::{Line, Run};
use super::work::{Group, Instance, Solver};
use crate::kind::Kind;
use crate::run::Sense;

/// What all runs share.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'f> {
    /// Seeds of our runs.
    pub seeds: &'f [u64],
    /// Threads of our runs.
    pub threads: u16,
    /// Processors of the machine.
    pub processors: usize,
    /// What the seconds of the aims were multiplied by.
    pub seconds_scale: f64,
    /// Workers of a peer.
    pub peer_workers: u16,
}

/// An instance with its runs.
struct Row<'r> {
    instance: &'r Instance,
    /// Ours, by seed.
    ours: Vec<&'r Line>,
    peers: Vec<&'r Line>,
}

/// The page as Markdown.
pub fn page(facts: &Facts, instances: &[Instance], lines: &[Line]) -> String {
    let rows: Vec<Row> = instances.iter().map(|instance| Row::new(instance, lines)).collect();
    let mut out = head(facts);
    for kind in Kind::ALL {
        let of_kind: Vec<&Row> =
            rows.iter().filter(|r| r.instance.kind == kind && !r.ours.is_empty()).collect();
        if !of_kind.is_empty() {
            let _ = write!(out, "\n## {}\n", title(kind));
            summary(&mut out, &of_kind);
            table(&mut out, &of_kind);
        }
    }
    sources(&mut out, &rows);
    out
}

const fn title(kind: Kind) -> &'static str {
    match kind {
        Kind::Sop => "Order: sequential ordering (length of the order)",
        Kind::Ssp => "Cart: job sequencing and tool switching (switches)",
        Kind::Scp => "Kit: set cover (cost)",
        Kind::Closure => "Scope: maximum closure (value)",
        Kind::Rcpsp => "Refit: project scheduling (last finish)",
    }
}

fn head(facts: &Facts) -> String {
    let seeds: Vec<String> = facts.seeds.iter().map(u64::to_string).collect();
    format!(
        "# Benchmarks\n\n\
         Written by `cargo run --release -p instances -- report`; do not edit. Published instances, solved by this planner and set\n\
         beside the best known values. Every answer was judged by `check`, which shares no code with the solvers.\n\n\
         * Our runs: {} threads on a machine with {} processors; seeds {}; the worst seed is quoted.\n\
         * Seconds: those of the aims times {}. A run ends early with a proof, or at a value that others have proven best.\n\
         * Peers: one seed, {} workers, the seconds of their column; the figure is their value as a ratio to our worst: above 1\n\
         \x20 is worse than ours where little is wanted. `none` where no answer came in time.\n\
         * `cpu s` are processor seconds of the costliest run; `load` the programs that wanted a processor in the minute before\n\
         \x20 the end of the last run. With more load than processors, compare processor seconds, not seconds.\n\
         * `off` is the distance of the worst seed from the best known value; `gap` its distance from our own bound.\n\
         * `effort` is the work of the first seed in the solver's own count; `instances KIND FILE --effort N --seed S --threads T`\n\
         \x20 repeats a run of that much work on any machine.\n",
        facts.threads,
        facts.processors,
        seeds.join(", "),
        facts.seconds_scale,
        facts.peer_workers,
    )
}

impl<'r> Row<'r> {
    fn new(instance: &'r Instance, lines: &'r [Line]) -> Self {
        let named = |line: &&Line| line.kind == instance.kind.word() && line.name == instance.known.instance;
        let (ours, peers) = lines.iter().filter(named).partition(|line| line.solver == Solver::Ours);
        Self { instance, ours, peers }
    }

    fn sense(&self) -> Sense {
        if self.instance.kind == Kind::Closure { Sense::Most } else { Sense::Least }
    }

    fn runs(&self) -> impl Iterator<Item = &'r Run> + '_ {
        self.ours.iter().filter_map(|line| line.result.as_ref().ok())
    }

    /// Values of all seeds, best first; none where a run failed or found nothing.
    fn values(&self) -> Option<Vec<f64>> {
        let run = |line: &&Line| line.result.as_ref().ok().filter(|r| r.verdict.is_empty())?.value;
        let mut values: Vec<f64> = self.ours.iter().map(run).collect::<Option<_>>()?;
        values.sort_by(f64::total_cmp);
        if self.sense() == Sense::Most {
            values.reverse();
        }
        Some(values)
    }

    fn worst(&self) -> Option<f64> {
        self.values()?.last().copied()
    }

    /// Distance of the worst seed from the best known value.
    fn off_fraction(&self) -> Option<f64> {
        Some(self.instance.known.off_fraction(self.worst()?, self.sense()))
    }

    fn is_proven(&self) -> bool {
        self.runs().count() > 0 && self.runs().all(|run| run.proven)
    }

    /// The best bound of all seeds.
    fn bound(&self) -> Option<f64> {
        let bounds = self.runs().filter_map(|run| run.bound);
        match self.sense() {
            Sense::Least => bounds.max_by(f64::total_cmp),
            Sense::Most => bounds.min_by(f64::total_cmp),
        }
    }

    /// What a peer found, as a ratio to our worst.
    fn ratio(&self, line: &Line) -> Option<f64> {
        let theirs = line.result.as_ref().ok()?.value?;
        let ours = self.worst()?;
        if ours == 0.0 { (theirs == 0.0).then_some(1.0) } else { Some(theirs / ours) }
    }

    fn peer(&self, solver: Solver) -> Option<&'r Line> {
        self.peers.iter().find(|line| line.solver == solver).copied()
    }
}

/// The groups of some rows in their order.
fn groups(rows: &[&Row]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for row in rows {
        let group = row.instance.group();
        if !groups.iter().any(|g| g.title == group.title) {
            groups.push(group);
        }
    }
    groups
}

fn summary(out: &mut String, rows: &[&Row]) {
    let peers = peers(rows);
    let mut cells = vec!["group", "aim", "instances", "at best known", "mean off", "most off", "proven"];
    let titles: Vec<String> = peers.iter().map(|p| format!("{}: worse / same / better", p.title())).collect();
    cells.extend(titles.iter().map(String::as_str));
    heading(out, &cells);
    for group in groups(rows) {
        let members: Vec<&&Row> = rows.iter().filter(|r| r.instance.group().title == group.title).collect();
        let offs: Vec<f64> = members.iter().filter_map(|r| r.off_fraction()).collect();
        let best = offs.iter().filter(|off| **off <= 0.0).count();
        let proven = members.iter().filter(|r| r.is_proven()).count();
        let mean = offs.iter().sum::<f64>() / offs.len().max(1) as f64;
        let most = offs.iter().copied().max_by(f64::total_cmp);
        let mut cells = vec![
            group.title.into(),
            format!("{}, in {} s", group.aim, group.seconds),
            members.len().to_string(),
            best.to_string(),
            percent(Some(mean).filter(|_| !offs.is_empty())),
            percent(most),
            proven.to_string(),
        ];
        cells.extend(peers.iter().map(|peer| against(&members, *peer)));
        line(out, &cells);
    }
}

/// On how many instances a peer came out worse, the same and better; nothing found in time is worse.
fn against(members: &[&&Row], peer: Solver) -> String {
    let mut counts = [0; 3];
    for row in members {
        let Some(line) = row.peer(peer) else { continue };
        let ratio = row.ratio(line).unwrap_or(f64::INFINITY);
        counts[usize::from(ratio <= 1.0) + usize::from(ratio < 1.0)] += 1;
    }
    format!("{} / {} / {}", counts[0], counts[1], counts[2])
}

fn peers(rows: &[&Row]) -> Vec<Solver> {
    let mut peers: Vec<Solver> = rows.iter().flat_map(|r| r.peers.iter().map(|l| l.solver)).collect();
    peers.sort_unstable();
    peers.dedup();
    peers
}

fn table(out: &mut String, rows: &[&Row]) {
    let peers = peers(rows);
    let mut cells =
        vec!["instance", "size", "best known", "limit s", "worst seed", "best seed", "off", "bound", "gap"];
    cells.extend(["time to best s", "seconds", "cpu s", "effort", "load"]);
    let titles: Vec<String> = peers.iter().map(|p| p.title().to_owned()).collect();
    cells.extend(titles.iter().map(String::as_str));
    heading(out, &cells);
    for row in rows {
        let mut cells = ours(row);
        cells.extend(peers.iter().map(|peer| theirs(row, *peer)));
        line(out, &cells);
    }
}

/// The cells of our runs.
fn ours(row: &Row) -> Vec<String> {
    let known = &row.instance.known;
    let best_known = match known.lower {
        Some(lower) if lower < known.upper => format!("{} to {}", number(lower), number(known.upper)),
        Some(_) => number(known.upper),
        None => format!("{} (open)", number(known.upper)),
    };
    let most = |of: fn(&Run) -> f64| row.runs().map(of).max_by(f64::total_cmp);
    let first = row.ours.first();
    let limit = first.map_or_else(String::new, |l| plain(l.limit_s));
    let effort = row.runs().next().and_then(|run| run.effort);
    let (worst, best) = match row.values() {
        Some(values) => (values.last().copied(), values.first().copied()),
        None => (None, None),
    };
    let gap = worst.zip(row.bound()).map(|(w, b)| if w == 0.0 { 0.0 } else { (w - b).abs() / w.abs() });
    let gap = if row.is_proven() { "proven".into() } else { percent(gap) };
    vec![
        known.instance.clone(),
        known.size.clone(),
        best_known,
        limit,
        worst.map_or_else(|| trouble(row), number),
        best.map_or_else(String::new, number),
        percent(row.off_fraction()),
        row.bound().map_or_else(String::new, number),
        gap,
        seconds(most(|r| r.best_at_s)),
        seconds(most(|r| r.seconds)),
        seconds(most(|r| r.cpu_s)),
        effort.map_or_else(String::new, |e| e.to_string()),
        row.ours.last().and_then(|l| l.load).map_or_else(String::new, |load| format!("{load:.1}")),
    ]
}

/// Why there is no value.
fn trouble(row: &Row) -> String {
    let fault = row.ours.iter().find_map(|l| l.result.as_ref().err().map(String::as_str));
    let judged = row.runs().find_map(|r| r.verdict.first()).map(String::as_str);
    let said = fault.or(judged).unwrap_or("no answer in time");
    format!("**{}**", said.replace('|', "/"))
}

fn theirs(row: &Row, peer: Solver) -> String {
    let Some(line) = row.peer(peer) else { return String::new() };
    match (&line.result, row.ratio(line)) {
        (Err(_), _) => "failed".into(),
        (Ok(run), None) => format!("none in {} s", plain(run.seconds)),
        (Ok(run), Some(ratio)) => {
            let proven = if run.proven { ", proven" } else { "" };
            format!("{ratio:.3} in {} s{proven}", plain(run.seconds))
        }
    }
}

/// Where the best known values come from, each source once with its instances.
fn sources(out: &mut String, rows: &[Row]) {
    out.push_str("\n## Sources of the best known values\n\n");
    let mut told: Vec<(&str, Vec<&str>)> = Vec::new();
    for row in rows {
        let known = &row.instance.known;
        match told.iter_mut().find(|(source, _)| *source == known.source) {
            Some((_, names)) => names.push(&known.instance),
            None => told.push((&known.source, vec![&known.instance])),
        }
    }
    for (source, names) in told {
        let _ = writeln!(out, "* {}: {source}.", names.join(", "));
    }
}

fn heading(out: &mut String, cells: &[&str]) {
    out.push('\n');
    let rule: Vec<String> = cells.iter().map(|_| "---".into()).collect();
    line(out, &cells.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>());
    line(out, &rule);
}

fn line(out: &mut String, cells: &[String]) {
    let _ = writeln!(out, "| {} |", cells.join(" | "));
}

/// A value without a fraction where it has none.
fn number(value: f64) -> String {
    if value.fract() == 0.0 { format!("{value:.0}") } else { format!("{value:.2}") }
}

/// Three digits are enough for a time.
fn seconds(time_s: Option<f64>) -> String {
    time_s.map_or_else(String::new, |t| if t < 10.0 { format!("{t:.3}") } else { format!("{t:.1}") })
}

fn plain(time_s: f64) -> String {
    let text = format!("{time_s:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn percent(fraction: Option<f64>) -> String {
    fraction.map_or_else(String::new, |f| format!("{:.2} %", 100.0 * f))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::known;
    use std::path::PathBuf;

    fn run(value: f64, proven: bool) -> Result<Run, String> {
        Ok(Run {
            value: Some(value),
            bound: Some(1280.0),
            proven,
            best_at_s: 0.5,
            seconds: 2.5,
            cpu_s: 4.0,
            effort: Some(77),
            verdict: Vec::new(),
        })
    }

    fn line_of(solver: Solver, seed: u64, result: Result<Run, String>) -> Line {
        let (kind, name) = ("sop".into(), "ESC47".into());
        Line { solver, kind, name, seed, limit_s: 2.5, threads: 2, load: Some(1.5), result }
    }

    fn shown(lines: &[Line]) -> String {
        let known = known::table(Kind::Sop).expect("good").into_iter().find(|k| k.instance == "ESC47");
        let known = known.expect("it is in the table");
        let instances = [Instance { kind: Kind::Sop, file: PathBuf::new(), known }];
        let facts = Facts { seeds: &[1, 2], threads: 2, processors: 2, seconds_scale: 0.25, peer_workers: 8 };
        page(&facts, &instances, lines)
    }

    #[test]
    fn the_worst_seed_is_quoted_and_peers_are_ratios_to_it() {
        let lines = [
            line_of(Solver::Ours, 1, run(1288.0, false)),
            line_of(Solver::Ours, 2, run(1300.0, false)),
            line_of(Solver::CpSat, 1, run(1560.0, false)),
            line_of(Solver::Routing, 1, run(1300.0, true)),
        ];
        let page = shown(&lines);
        let row = "| ESC47 | 49 | 1288 | 2.5 | 1300 | 1288 | 0.93 % | 1280 | 1.54 % | 0.500 | 2.500 | 4.000 | 77 | 1.5 \
                   | 1.200 in 2.5 s | 1.000 in 2.5 s, proven |";
        assert!(page.contains(row), "{page}");
        let group = "| closed, up to 80 nodes | best known, worst of the seeds, in 10 s | 1 | 0 | 0.93 % | 0.93 % | 0 \
                     | 1 / 0 / 0 | 0 / 1 / 0 |";
        assert!(page.contains(group), "{page}");
        assert!(page.contains("* ESC47: TSPLIB SOP bounds page"), "{page}");
    }

    #[test]
    fn a_run_that_failed_or_was_judged_wrong_has_no_value() {
        let wrong = run(1288.0, true).map(|r| Run { verdict: vec!["node 3 comes twice".into()], ..r });
        for (result, said) in [(wrong, "**node 3 comes twice**"), (Err("it fell".into()), "**it fell**")] {
            let page =
                shown(&[line_of(Solver::Ours, 1, run(1288.0, true)), line_of(Solver::Ours, 2, result)]);
            assert!(page.contains(said) && !page.contains("| 1288 | 1288 |"), "{page}");
        }
    }
}
