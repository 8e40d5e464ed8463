//! What plans come to beside their bounds, and what more work finds; plans anew from the middle.

use std::time::Instant;

use app::model::plan::Plan;
use app::model::progress::Progress;
use effort::{SolverBudget, SolverEffort};
use plan::course::operators::CourseOperators;

use crate::cases::{BenchCase, value_s};
use crate::markdown_table;

/// Rounds that stand for 5 and for 60 seconds.
const SHORT: u32 = 5;
const LONG: u32 = 60;

/// Plans of the sized effort with their bounds.
pub fn plans_section(cases: &[BenchCase]) -> String {
    let rows: Vec<Vec<String>> = cases.iter().map(plan_row).collect();
    let heads = [
        "job",
        "steps",
        "value",
        "gap to its bound",
        "places",
        "lift",
        "tools",
        "5 s",
        "60 s",
        "threads 1, 2, 4",
        "seconds",
    ];
    format!(
        "## Plans and their bounds\n\n*Places*, *lift*, *tools*: moves, and at least how many any order needs. *5 s* and *60 s*: how much less \
         the value is after {SHORT} and {LONG} rounds (what `--seconds` asks for) than after the work that suits the job.\n\n{}",
        markdown_table(&heads, &rows)
    )
}

fn plan_row(case: &BenchCase) -> Vec<String> {
    let start = Instant::now();
    let made = plan::make_plan(&case.book, &case.store, &case.asked, SolverBudget::sized()).unwrap();
    let plan_s = start.elapsed().as_secs_f64();
    let course = made.course.clone().unwrap();
    let all = CourseOperators::default();
    let of = |effort, threads| value_s(&case.solve(effort, all, threads));
    let sized_s = of(SolverEffort::Sized, 2);
    let less = |rounds| 100.0 * (sized_s - of(SolverEffort::Rounds(rounds), 2)) / sized_s;
    let same = [1, 4].iter().all(|threads| of(SolverEffort::Sized, *threads).to_bits() == sized_s.to_bits());
    let moves = &course.moves;
    let [places, lift, tools] =
        [&moves.place, &moves.lift, &moves.tools].map(|of| format!("{} ({})", of.count, of.bound));
    vec![
        case.name.clone(),
        made.all_steps().count().to_string(),
        format!("{:.2} h", course.outcome.value / 3600.0),
        format!("{:.1} %", 100.0 * (course.outcome.value - course.outcome.bound) / course.outcome.value),
        places,
        lift,
        tools,
        format!("{:.2} %", less(SHORT)),
        format!("{:.2} %", less(LONG)),
        if same { "the same" } else { "differ" }.to_owned(),
        format!("{plan_s:.1}"),
    ]
}

/// Plans made anew half-way through, with the order kept.
pub fn middle_section(cases: &[BenchCase]) -> String {
    let rows: Vec<Vec<String>> = cases.iter().map(middle_row).collect();
    format!(
        "## Anew from the middle\n\nHalf of the steps done, the rest planned again: the order stays unless a change saves five minutes. \
         *Neighbours*: how many pairs of steps that followed each other still do.\n\n{}",
        markdown_table(&["job", "steps left", "neighbours", "seconds"], &rows)
    )
}

fn middle_row(case: &BenchCase) -> Vec<String> {
    let made = plan::make_plan(&case.book, &case.store, &case.asked, SolverBudget::sized()).unwrap();
    let steps: Vec<_> = made.all_steps().collect();
    let mut progress = Progress::default();
    steps[..steps.len() / 2].iter().for_each(|step| progress.do_step(&case.book, &made, step));
    let start = Instant::now();
    let anew =
        plan::remake_plan(&case.book, &case.store, &made, &progress, &[], SolverBudget::sized()).unwrap();
    let anew_s = start.elapsed().as_secs_f64();
    let names = |plan: &Plan| plan.all_steps().map(|step| step.name.clone()).collect::<Vec<_>>();
    let (before, after) = (names(&made), names(&anew));
    let left: Vec<_> = before.iter().filter(|name| after.contains(name)).collect();
    let kept =
        left.windows(2).filter(|pair| after.windows(2).any(|now| now[0] == *pair[0] && now[1] == *pair[1]));
    let pairs = left.len().saturating_sub(1);
    vec![
        case.name.clone(),
        after.len().to_string(),
        format!("{} of {pairs}", kept.count()),
        format!("{anew_s:.2}"),
    ]
}
