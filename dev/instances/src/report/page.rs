//! The page: one summary for each group, then one row for each instance, all from the lines of the log.
//!
//! symbol: value, values, bound, ratio = in the unit of the instance; parts of a whole

use std::fmt::Write as _;

use super::log::{RunLogLine, RunResult};
use super::work::{ComparedSolver, InstanceGroup, PublishedInstance};
use crate::kind::InstanceKind;
use crate::run::ObjectiveSense;

/// What all runs share.
#[derive(Debug, Clone, Copy)]
pub struct PageFacts<'f> {
    /// The whole command line that writes this page.
    pub command: &'f str,
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
struct InstanceRow<'r> {
    instance: &'r PublishedInstance,
    /// Ours, by seed.
    ours: Vec<&'r RunLogLine>,
    peers: Vec<&'r RunLogLine>,
}

/// The page as Markdown.
pub fn render_page(facts: &PageFacts, instances: &[PublishedInstance], lines: &[RunLogLine]) -> String {
    let rows: Vec<InstanceRow> = instances.iter().map(|instance| InstanceRow::new(instance, lines)).collect();
    let mut out = render_head(facts);
    for kind in InstanceKind::ALL {
        let of_kind: Vec<&InstanceRow> =
            rows.iter().filter(|r| r.instance.kind == kind && !r.ours.is_empty()).collect();
        if !of_kind.is_empty() {
            let _ = write!(out, "\n## {}\n", kind_title(kind));
            write_summary(&mut out, &of_kind);
            write_table(&mut out, &of_kind);
        }
    }
    write_sources(&mut out, &rows);
    out
}

const fn kind_title(kind: InstanceKind) -> &'static str {
    match kind {
        InstanceKind::Sop => "Order: sequential ordering (length of the order)",
        InstanceKind::Ssp => "Cart: job sequencing and tool switching (switches)",
        InstanceKind::Scp => "Kit: set cover (cost)",
        InstanceKind::Closure => "Scope: maximum closure (value)",
        InstanceKind::Rcpsp => "Refit: project scheduling (last finish)",
    }
}

/// What of the code measured here a user's plan passes through, and what not.
const PASSED_THROUGH: &str = "\
These are figures of solvers, not of plans. The kit of a plan comes from `cover`, which solves set covers on the way to its bound;\n\
`traywright worth` asks `closure`, `traywright finish` asks `schedule` (one resource, one thread), `traywright cart` the loading of\n\
`cart`. No plan passes through `order`, nor through the job order of `cart`: `plan` orders steps by a search of its own, whose\n\
figures are in docs/benchmarks-invented.md.";

fn render_head(facts: &PageFacts) -> String {
    let seeds: Vec<String> = facts.seeds.iter().map(u64::to_string).collect();
    format!(
        "# Benchmarks\n\n\
         Written by the command below; do not edit. `validation/instances/fetch` gets the instances.\n\n\
         ```sh\n{}\n```\n\n\
         Published instances, solved by the crates `order`, `cover`, `cart`, `closure` and `schedule` and set beside the best known\n\
         values. Every answer was judged by `judge`, which shares no code with the solvers.\n\n\
         {PASSED_THROUGH}\n\n\
         * Our runs: {} threads on a machine with {} processors; seeds {}; the worst seed is quoted.\n\
         * Time limits: those of the targets times {}. A run ends early with a proof, or at a value that others have proven best.\n\
         * Peers: one seed, {} workers, the seconds of their column; the figure is their value as a ratio to our worst: above 1\n\
         \x20 is worse than ours where the objective is minimised. `none` where no answer came in time.\n\
         * `cpu s` are processor seconds of the costliest run; `load` the mean number of runnable programs in the minute before\n\
         \x20 the end of the last run. With more load than processors, compare processor seconds, not seconds.\n\
         * `off` is the distance of the worst seed from the best known value; `gap` its distance from our own bound.\n\
         * `effort` is the work of the first seed in the solver's own count; `instances KIND FILE --effort N --seed S --threads T`\n\
         \x20 repeats a run of that much work on any machine.\n",
        facts.command,
        facts.threads,
        facts.processors,
        seeds.join(", "),
        facts.seconds_scale,
        facts.peer_workers,
    )
}

impl<'r> InstanceRow<'r> {
    fn new(instance: &'r PublishedInstance, lines: &'r [RunLogLine]) -> Self {
        let named =
            |line: &&RunLogLine| line.kind == instance.kind.word() && line.name == instance.known.instance;
        let (ours, peers) = lines.iter().filter(named).partition(|line| line.solver == ComparedSolver::Ours);
        Self { instance, ours, peers }
    }

    fn sense(&self) -> ObjectiveSense {
        if self.instance.kind == InstanceKind::Closure { ObjectiveSense::Most } else { ObjectiveSense::Least }
    }

    fn runs(&self) -> impl Iterator<Item = &'r RunResult> + '_ {
        self.ours.iter().filter_map(|line| line.result.as_ref().ok())
    }

    /// Values of all seeds, best first; none where a run failed or found nothing.
    fn values(&self) -> Option<Vec<f64>> {
        let run = |line: &&RunLogLine| line.result.as_ref().ok().filter(|r| r.verdict.is_empty())?.value;
        let mut values: Vec<f64> = self.ours.iter().map(run).collect::<Option<_>>()?;
        values.sort_by(f64::total_cmp);
        if self.sense() == ObjectiveSense::Most {
            values.reverse();
        }
        Some(values)
    }

    fn worst_value(&self) -> Option<f64> {
        self.values()?.last().copied()
    }

    /// Distance of the worst seed from the best known value.
    fn off_fraction(&self) -> Option<f64> {
        Some(self.instance.known.off_fraction(self.worst_value()?, self.sense()))
    }

    fn is_proven(&self) -> bool {
        self.runs().count() > 0 && self.runs().all(|run| run.proven)
    }

    /// The best bound of all seeds.
    fn best_bound(&self) -> Option<f64> {
        let bounds = self.runs().filter_map(|run| run.bound);
        match self.sense() {
            ObjectiveSense::Least => bounds.max_by(f64::total_cmp),
            ObjectiveSense::Most => bounds.min_by(f64::total_cmp),
        }
    }

    /// What a peer found, as a ratio to our worst.
    fn ratio_to_ours(&self, line: &RunLogLine) -> Option<f64> {
        let theirs = line.result.as_ref().ok()?.value?;
        let ours = self.worst_value()?;
        if ours == 0.0 { (theirs == 0.0).then_some(1.0) } else { Some(theirs / ours) }
    }

    fn peer_line(&self, solver: ComparedSolver) -> Option<&'r RunLogLine> {
        self.peers.iter().find(|line| line.solver == solver).copied()
    }
}

/// The groups of some rows in their order.
fn list_groups(rows: &[&InstanceRow]) -> Vec<InstanceGroup> {
    let mut groups: Vec<InstanceGroup> = Vec::new();
    for row in rows {
        let group = row.instance.group();
        if !groups.iter().any(|g| g.title == group.title) {
            groups.push(group);
        }
    }
    groups
}

fn write_summary(out: &mut String, rows: &[&InstanceRow]) {
    let peers = list_peers(rows);
    let mut cells = vec!["group", "aim", "instances", "at best known", "mean off", "most off", "proven"];
    let titles: Vec<String> = peers.iter().map(|p| format!("{}: worse / same / better", p.title())).collect();
    cells.extend(titles.iter().map(String::as_str));
    write_heading_row(out, &cells);
    for group in list_groups(rows) {
        let members: Vec<&&InstanceRow> =
            rows.iter().filter(|r| r.instance.group().title == group.title).collect();
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
            percent_cell(Some(mean).filter(|_| !offs.is_empty())),
            percent_cell(most),
            proven.to_string(),
        ];
        cells.extend(peers.iter().map(|peer| peer_score(&members, *peer)));
        write_row(out, &cells);
    }
}

/// On how many instances a peer came out worse, the same and better; nothing found in time is worse.
fn peer_score(members: &[&&InstanceRow], peer: ComparedSolver) -> String {
    let mut counts = [0; 3];
    for row in members {
        let Some(line) = row.peer_line(peer) else { continue };
        let ratio = row.ratio_to_ours(line).unwrap_or(f64::INFINITY);
        counts[usize::from(ratio <= 1.0) + usize::from(ratio < 1.0)] += 1;
    }
    format!("{} / {} / {}", counts[0], counts[1], counts[2])
}

fn list_peers(rows: &[&InstanceRow]) -> Vec<ComparedSolver> {
    let mut peers: Vec<ComparedSolver> = rows.iter().flat_map(|r| r.peers.iter().map(|l| l.solver)).collect();
    peers.sort_unstable();
    peers.dedup();
    peers
}

fn write_table(out: &mut String, rows: &[&InstanceRow]) {
    let peers = list_peers(rows);
    let mut cells =
        vec!["instance", "size", "best known", "limit s", "worst seed", "best seed", "off", "bound", "gap"];
    cells.extend(["time to best s", "seconds", "cpu s", "effort", "load"]);
    let titles: Vec<String> = peers.iter().map(|p| p.title().to_owned()).collect();
    cells.extend(titles.iter().map(String::as_str));
    write_heading_row(out, &cells);
    for row in rows {
        let mut cells = our_cells(row);
        cells.extend(peers.iter().map(|peer| peer_cell(row, *peer)));
        write_row(out, &cells);
    }
}

/// The cells of our runs.
fn our_cells(row: &InstanceRow) -> Vec<String> {
    let known = &row.instance.known;
    let best_known = match known.lower {
        Some(lower) if lower < known.upper => {
            format!("{} to {}", number_cell(lower), number_cell(known.upper))
        }
        Some(_) => number_cell(known.upper),
        None => format!("{} (open)", number_cell(known.upper)),
    };
    let most = |of: fn(&RunResult) -> f64| row.runs().map(of).max_by(f64::total_cmp);
    let first = row.ours.first();
    let limit = first.map_or_else(String::new, |l| plain_seconds(l.limit_s));
    let effort = row.runs().next().and_then(|run| run.effort);
    let (worst, best) = match row.values() {
        Some(values) => (values.last().copied(), values.first().copied()),
        None => (None, None),
    };
    let gap = worst.zip(row.best_bound()).map(|(w, b)| if w == 0.0 { 0.0 } else { (w - b).abs() / w.abs() });
    let gap = if row.is_proven() { "proven".into() } else { percent_cell(gap) };
    vec![
        known.instance.clone(),
        known.size.clone(),
        best_known,
        limit,
        worst.map_or_else(|| failure_cell(row), number_cell),
        best.map_or_else(String::new, number_cell),
        percent_cell(row.off_fraction()),
        row.best_bound().map_or_else(String::new, number_cell),
        gap,
        seconds_cell(most(|r| r.best_at_s)),
        seconds_cell(most(|r| r.seconds)),
        seconds_cell(most(|r| r.cpu_s)),
        effort.map_or_else(String::new, |e| e.to_string()),
        row.ours.last().and_then(|l| l.load).map_or_else(String::new, |load| format!("{load:.1}")),
    ]
}

/// Why there is no value.
fn failure_cell(row: &InstanceRow) -> String {
    let fault = row.ours.iter().find_map(|l| l.result.as_ref().err().map(String::as_str));
    let judged = row.runs().find_map(|r| r.verdict.first()).map(String::as_str);
    let said = fault.or(judged).unwrap_or("no answer in time");
    format!("**{}**", said.replace('|', "/"))
}

fn peer_cell(row: &InstanceRow, peer: ComparedSolver) -> String {
    let Some(line) = row.peer_line(peer) else { return String::new() };
    match (&line.result, row.ratio_to_ours(line)) {
        (Err(_), _) => "failed".into(),
        (Ok(run), None) => format!("none in {} s", plain_seconds(run.seconds)),
        (Ok(run), Some(ratio)) => {
            let proven = if run.proven { ", proven" } else { "" };
            format!("{ratio:.3} in {} s{proven}", plain_seconds(run.seconds))
        }
    }
}

/// Where the best known values come from, each source once with its instances.
fn write_sources(out: &mut String, rows: &[InstanceRow]) {
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

fn write_heading_row(out: &mut String, cells: &[&str]) {
    out.push('\n');
    let rule: Vec<String> = cells.iter().map(|_| "---".into()).collect();
    write_row(out, &cells.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>());
    write_row(out, &rule);
}

fn write_row(out: &mut String, cells: &[String]) {
    let _ = writeln!(out, "| {} |", cells.join(" | "));
}

/// A value without a fraction where it has none.
fn number_cell(value: f64) -> String {
    if value.fract() == 0.0 { format!("{value:.0}") } else { format!("{value:.2}") }
}

/// Three digits are enough for a time.
fn seconds_cell(time_s: Option<f64>) -> String {
    time_s.map_or_else(String::new, |t| if t < 10.0 { format!("{t:.3}") } else { format!("{t:.1}") })
}

fn plain_seconds(time_s: f64) -> String {
    let text = format!("{time_s:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn percent_cell(fraction: Option<f64>) -> String {
    fraction.map_or_else(String::new, |f| format!("{:.2} %", 100.0 * f))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::known;
    use std::path::PathBuf;

    fn run(value: f64, proven: bool) -> Result<RunResult, String> {
        Ok(RunResult {
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

    fn line_of(solver: ComparedSolver, seed: u64, result: Result<RunResult, String>) -> RunLogLine {
        let (kind, name) = ("sop".into(), "ESC47".into());
        RunLogLine { solver, kind, name, seed, limit_s: 2.5, threads: 2, load: Some(1.5), result }
    }

    fn shown(lines: &[RunLogLine]) -> String {
        let known = known::read_best_known(InstanceKind::Sop)
            .expect("good")
            .into_iter()
            .find(|k| k.instance == "ESC47");
        let known = known.expect("it is in the table");
        let instances = [PublishedInstance { kind: InstanceKind::Sop, file: PathBuf::new(), known }];
        let facts = PageFacts {
            command: "report --seeds 1,2",
            seeds: &[1, 2],
            threads: 2,
            processors: 2,
            seconds_scale: 0.25,
            peer_workers: 8,
        };
        render_page(&facts, &instances, lines)
    }

    #[test]
    fn the_worst_seed_is_quoted_and_peers_are_ratios_to_it() {
        let lines = [
            line_of(ComparedSolver::Ours, 1, run(1288.0, false)),
            line_of(ComparedSolver::Ours, 2, run(1300.0, false)),
            line_of(ComparedSolver::CpSat, 1, run(1560.0, false)),
            line_of(ComparedSolver::Routing, 1, run(1300.0, true)),
        ];
        let page = shown(&lines);
        let row = "| ESC47 | 49 | 1288 | 2.5 | 1300 | 1288 | 0.93 % | 1280 | 1.54 % | 0.500 | 2.500 | 4.000 | 77 | 1.5 \
                   | 1.200 in 2.5 s | 1.000 in 2.5 s, proven |";
        assert!(page.contains(row), "{page}");
        assert!(page.contains("```sh\nreport --seeds 1,2\n```"), "{page}");
        let group = "| closed, up to 80 nodes | best known, worst of the seeds, in 10 s | 1 | 0 | 0.93 % | 0.93 % | 0 \
                     | 1 / 0 / 0 | 0 / 1 / 0 |";
        assert!(page.contains(group), "{page}");
        assert!(page.contains("* ESC47: TSPLIB SOP bounds page"), "{page}");
    }

    #[test]
    fn a_run_that_failed_or_was_judged_wrong_has_no_value() {
        let wrong = run(1288.0, true).map(|r| RunResult { verdict: vec!["node 3 comes twice".into()], ..r });
        for (result, said) in [(wrong, "**node 3 comes twice**"), (Err("it fell".into()), "**it fell**")] {
            let page = shown(&[
                line_of(ComparedSolver::Ours, 1, run(1288.0, true)),
                line_of(ComparedSolver::Ours, 2, result),
            ]);
            assert!(page.contains(said) && !page.contains("| 1288 | 1288 |"), "{page}");
        }
    }
}
