//! Shopping: the fewest pieces that close the gaps, one line for all gaps that one piece serves.
//!
//! Two specifications become one when kind, drive, link and way of getting it agree, their length windows overlap and,
//! for torque tools, they ask for the same torque. Taken in the order of the windows' upper ends, the windows need
//! the fewest lines this way.

// symbol: a = a field of one specification, in its unit
// symbol: b = the same field of another

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Gap, ShoppingLine};
use model::{PieceKind, PieceSpec};
use units::{Torque, significant};

/// Shopping lines of the gaps: most fixings unlocked first, then most gaps closed, then by words.
pub(super) fn shopping_of_gaps(gaps: &[Gap]) -> Vec<ShoppingLine> {
    let specs: Vec<&PieceSpec> = gaps.iter().map(|g| &g.wanted).collect();
    let mut lines: Vec<ShoppingLine> = merge_specs(&specs)
        .into_iter()
        .map(|(spec, closes)| ShoppingLine {
            how: spec.how,
            words: spec.words.clone(),
            spec: Some(spec),
            unlocks: unlocked_fixings(gaps, &closes),
            closes,
        })
        .collect();
    lines.sort_by(|a, b| {
        let more = (b.unlocks.len(), b.closes.len()).cmp(&(a.unlocks.len(), a.closes.len()));
        more.then_with(|| a.words.cmp(&b.words)).then_with(|| a.closes.cmp(&b.closes))
    });
    lines
}

/// Fixings with no gap left once some gaps are closed, sorted.
fn unlocked_fixings(gaps: &[Gap], closes: &[usize]) -> Vec<String> {
    let mut left: BTreeMap<&str, usize> = BTreeMap::new();
    for (at, gap) in gaps.iter().enumerate() {
        *left.entry(gap.fixing.as_str()).or_default() += usize::from(!closes.contains(&at));
    }
    let touched: BTreeSet<&str> = closes.iter().map(|at| gaps[*at].fixing.as_str()).collect();
    touched.into_iter().filter(|f| left.get(f) == Some(&0)).map(str::to_owned).collect()
}

/// Specifications merged where one piece serves, each with the positions that it serves, rising.
pub(crate) fn merge_specs(specs: &[&PieceSpec]) -> Vec<(PieceSpec, Vec<usize>)> {
    let mut order: Vec<usize> = (0..specs.len()).collect();
    order.sort_by(|a, b| upper_mm(specs[*a]).total_cmp(&upper_mm(specs[*b])).then(a.cmp(b)));
    let mut lines: Vec<(PieceSpec, Vec<usize>)> = Vec::new();
    for at in order {
        match lines.iter_mut().find_map(|line| Some((merge_two_specs(&line.0, specs[at])?, line))) {
            Some((spec, line)) => {
                line.0 = spec;
                line.1.push(at);
            }
            None => lines.push((specs[at].clone(), vec![at])),
        }
    }
    for (_, served) in &mut lines {
        served.sort_unstable();
    }
    lines
}

fn upper_mm(spec: &PieceSpec) -> f64 {
    spec.max_length_mm.unwrap_or(f64::INFINITY)
}

/// The specification of one piece that serves for two; `None` where no piece can.
fn merge_two_specs(a: &PieceSpec, b: &PieceSpec) -> Option<PieceSpec> {
    let same = (a.kind, a.drive, a.link, a.how) == (b.kind, b.drive, b.link, b.how);
    let min_length_mm = choose_limit(a.min_length_mm, b.min_length_mm, f64::max);
    let max_length_mm = choose_limit(a.max_length_mm, b.max_length_mm, f64::min);
    let fits = min_length_mm.zip(max_length_mm).is_none_or(|(low, high)| low <= high);
    if !same || !fits || (is_torque_tool(a.kind) && a.torque_n_m != b.torque_n_m) {
        return None;
    }
    let mut spec = PieceSpec {
        min_length_mm,
        max_length_mm,
        max_diameter_mm: choose_limit(a.max_diameter_mm, b.max_diameter_mm, f64::min),
        torque_n_m: choose_limit(a.torque_n_m, b.torque_n_m, f64::max),
        max_step_deg: choose_limit(a.max_step_deg, b.max_step_deg, f64::min),
        bend_deg: choose_limit(a.bend_deg, b.bend_deg, f64::max),
        retention: a.retention || b.retention,
        ..a.clone()
    };
    let plain = |s: &PieceSpec| PieceSpec { words: String::new(), ..s.clone() };
    if plain(&spec) == plain(b) {
        spec.words.clone_from(&b.words);
    } else if spec != *a {
        spec.words = wanted_piece_words(&spec);
    }
    Some(spec)
}

const fn is_torque_tool(kind: PieceKind) -> bool {
    matches!(kind, PieceKind::TorqueWrench | PieceKind::TorqueScrewdriver)
}

fn choose_limit(a: Option<f64>, b: Option<f64>, pick: fn(f64, f64) -> f64) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(pick(a, b)),
        (one, other) => one.or(other),
    }
}

/// A specification in one line.
pub(super) fn wanted_piece_words(spec: &PieceSpec) -> String {
    let mm = |value_mm: f64| significant(value_mm, 3);
    let mut head = spec.kind.spoken_word().to_owned();
    if let Some(drive) = spec.drive {
        head = format!("{head} {drive}");
    }
    if let Some(link) = spec.link {
        head = format!("{head} {link}");
    }
    let length = match (spec.min_length_mm, spec.max_length_mm) {
        (Some(low), Some(high)) if low < high => Some(format!("{} to {} mm long", mm(low), mm(high))),
        (Some(low), None) => Some(format!("at least {} mm long", mm(low))),
        (None, Some(high)) => Some(format!("at most {} mm long", mm(high))),
        (Some(one), Some(_)) => Some(format!("{} mm long", mm(one))),
        (None, None) => None,
    };
    let torque = |t_n_m: f64| {
        let verb = if is_torque_tool(spec.kind) { "for" } else { "rated for at least" };
        format!("{verb} {}", Torque::from_n_m(t_n_m))
    };
    let parts = [
        length,
        spec.max_diameter_mm.map(|d| format!("at most {} mm across", mm(d))),
        spec.torque_n_m.map(torque),
        spec.max_step_deg.map(|s| format!("turning in steps of at most {}°", mm(s))),
        spec.bend_deg.map(|b| format!("bending by at least {}°", mm(b))),
        spec.retention.then(|| "retaining the fastener".to_owned()),
    ];
    parts.into_iter().flatten().fold(head, |all, part| format!("{all}, {part}"))
}
