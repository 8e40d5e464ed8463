//! What each change of the search is worth: the same work without it.

use effort::SolverEffort;
use plan::course::operators::{CourseOperator, CourseOperators};

use crate::cases::{BenchCase, value_s};
use crate::markdown_table;

/// Words of a change.
const fn words(operator: CourseOperator) -> &'static str {
    match operator {
        CourseOperator::EarlyWay => "a way earlier",
        CourseOperator::LateWay => "a way later",
        CourseOperator::Joining => "behind what is cheap before it",
        CourseOperator::Exchange => "stretches change places",
        CourseOperator::Forerunners => "with what has to come before",
    }
}

/// The value without each change, at equal work.
pub fn operators_section(cases: &[BenchCase]) -> String {
    let all = CourseOperators::default();
    let value = |case: &BenchCase, operators| value_s(&case.solve(SolverEffort::Sized, operators, 2));
    let whole: Vec<f64> = cases.iter().map(|case| value(case, all)).collect();
    let mut rows = Vec::new();
    for operator in CourseOperator::ALL {
        let dearer = |(case, whole_s): (&BenchCase, &f64)| {
            100.0 * (value(case, all.without(operator)) - whole_s) / whole_s
        };
        let each: Vec<f64> = cases.iter().zip(&whole).map(dearer).collect();
        let mean = each.iter().sum::<f64>() / each.len() as f64;
        let cells = each.iter().chain([&mean]).map(|percent| format!("{percent:+.2} %"));
        rows.push([words(operator).to_owned()].into_iter().chain(cells).collect());
    }
    let mut heads = vec!["without"];
    heads.extend(cases.iter().map(|case| case.name.as_str()));
    heads.push("mean");
    format!(
        "## What each change is worth\n\nHow much dearer the plan becomes without one of the changes that cooling tries, at the same number \
         of tries. Plans from the middle are left out: their order is kept, and hardly any change is taken.\n\n{}",
        markdown_table(&heads, &rows)
    )
}
