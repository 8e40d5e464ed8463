//! Order of holes: is a joint gone round as the maker's sequence or its pattern says, and undone the other way round?
//!
//! **Ring.** Holes are numbered clockwise from the top. Of an even number opposite holes are a pair; each next pair lies farthest from the nearest
//! pair done, the first clockwise of several. Of an odd number each next hole lies farthest from the nearest done, then from the last, then is the first
//! clockwise.
//!
//! **Field.** From the middle outwards, shell by shell, and in a shell always the hole farthest from the last.
//!
//! Holes are a ring where the nearest to the middle is at least [`RING_FRACTION`] as far out as the farthest and no gap is above
//! [`RING_GAP_DEG`]. The middle is that of the box round all holes.
//!
//! **Worked example.** Eight bolts of a ring: 1-5 3-7 2-6 4-8.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::replay::{touches_of_action, wanted_stages};
use model::plan::StepKind;
use model::{Act, Fixing, FixingId, PatternRule, StationId};
use std::collections::BTreeMap;
use units::math;

/// Holes nearer to the middle than this share of the farthest are no ring (assumption).
const RING_FRACTION: f64 = 0.7;
/// A ring has no gap above this (assumption).
const RING_GAP_DEG: f64 = 150.0;
/// Distances from the middle this close are one shell (assumption: drawing accuracy).
const SHELL_MM: f64 = 0.5;

/// The order of holes of each fixing's joint.
struct JointOrders<'c> {
    case: &'c PlanCase<'c>,
    /// Position of each hole in the order of its joint.
    ranks: BTreeMap<(FixingId, u16), usize>,
}

impl<'c> JointOrders<'c> {
    fn of_plan(case: &'c PlanCase<'c>) -> Self {
        let mut ranks = BTreeMap::new();
        for id in case.fixings_off() {
            let members = members_of_joint(case, id);
            let fixings: Vec<&Fixing> = members.iter().map(|id| case.book.fixing(*id)).collect();
            let order = order_of_joint(&fixings).unwrap_or_default();
            let ranked = order.into_iter().enumerate().map(|(rank, (at, hole))| ((members[at], hole), rank));
            ranks.extend(ranked);
        }
        Self { case, ranks }
    }

    /// What is said where two holes follow each other that should not; nothing where no order binds them.
    fn fault(&self, before: (FixingId, u16), after: (FixingId, u16)) -> Option<String> {
        let (first, then) = (self.ranks.get(&before)?, self.ranks.get(&after)?);
        let label = |(id, hole): (FixingId, u16)| {
            let fixing = self.case.book.fixing(id);
            let label = fixing.holes.get(usize::from(hole)).map_or("?", |hole| hole.label.as_str());
            format!("hole {label} of `{}`", fixing.key)
        };
        (first > then).then(|| format!("{} comes before {}", label(before), label(after)))
    }
}

/// The fixings that are tightened as one with a fixing, itself included.
fn members_of_joint(case: &PlanCase, id: FixingId) -> Vec<FixingId> {
    let it = case.book.fixing(id);
    let is_member =
        |other: &FixingId| *other == id || (it.joint.is_some() && case.book.fixing(*other).joint == it.joint);
    case.book.fixings_of(it.part).filter(is_member).collect()
}

/// One round of a joint: its first fixing, the place it is worked from where that parts it, and the pass.
type JointRound = (FixingId, Option<StationId>, usize);

/// J619: each pass over a joint keeps the order of its holes, and breaking loose and running out keep it backwards. J702: what the
/// plan says of where the order is from.
pub(crate) fn judge_hole_orders(case: &PlanCase, found: &mut FoundViolations) {
    let orders = JointOrders::of_plan(case);
    let mut last: BTreeMap<JointRound, (FixingId, u16)> = BTreeMap::new();
    let mut rounds: BTreeMap<(FixingId, u16), Vec<u8>> = BTreeMap::new();
    for step in &case.plan.refit.steps {
        for action in &step.actions {
            let Some(duty) = case.duty_of_action(action).filter(|duty| duty.line.act == Act::Tighten) else {
                continue;
            };
            let members = members_of_joint(case, duty.id);
            let is_parted =
                duty.fixing.joint.is_none() && duty.fixing.tightening.pattern == PatternRule::Auto;
            let station = is_parted.then(|| case.station_of_duty(&duty));
            for touch in touches_of_action(case, action) {
                let here = (touch.fixing, touch.hole);
                let done = rounds.entry(here).or_default();
                let stage = touch.stage.unwrap_or_default();
                let closes =
                    done.len() + 1 == wanted_stages(duty.fixing).len() && duty.fixing.tightening.closing_pass;
                let pass = if closes && done.contains(&stage) { usize::MAX } else { usize::from(stage) };
                done.push(stage);
                let before = members.first().and_then(|first| last.insert((*first, station, pass), here));
                if let Some(words) = before.and_then(|before| orders.fault(before, here)) {
                    found.add("J619", step_place("refit", step), words);
                }
            }
        }
    }
    judge_release(case, &orders, found);
    judge_told_origins(case, found);
}

fn judge_release(case: &PlanCase, orders: &JointOrders, found: &mut FoundViolations) {
    for step in case.plan.strip.steps.iter().filter(|step| step.kind == StepKind::Undo) {
        for action in &step.actions {
            let touches = touches_of_action(case, action);
            let faults = touches.windows(2).filter_map(|pair| {
                orders.fault((pair[1].fixing, pair[1].hole), (pair[0].fixing, pair[0].hole))
            });
            for words in faults {
                found.add("J619", step_place("strip", step), format!("undone against the order: {words}"));
            }
        }
    }
}

fn judge_told_origins(case: &PlanCase, found: &mut FoundViolations) {
    for (at, duty) in case.duties.iter().enumerate() {
        let Some(duty) = duty else { continue };
        let of_act = || case.book.hole_order_of(duty.id);
        let wanted = (duty.line.act == Act::Tighten).then(of_act);
        if duty.line.hole_order != wanted {
            let words =
                |origin: Option<model::HoleOrderOrigin>| origin.map_or("none", |one| one.spoken_word());
            let words =
                format!("order of holes: {}, the plan says {}", words(wanted), words(duty.line.hole_order));
            found.add("J702", format!("duty {at}"), words);
        }
    }
}

/// A hole of a joint with its place from the middle of all.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SeenHole {
    x_mm: f64,
    y_mm: f64,
}

impl SeenHole {
    fn out_mm(self) -> f64 {
        math::hypot(self.x_mm, self.y_mm)
    }

    fn apart_mm(self, other: Self) -> f64 {
        math::hypot(self.x_mm - other.x_mm, self.y_mm - other.y_mm)
    }

    /// Clockwise from the top, 0 up to 360; a hair left of the top is the top.
    fn clockwise_deg(self) -> f64 {
        let deg = math::atan2(self.x_mm, self.y_mm).to_degrees();
        if deg < -1.0e-6 { deg + 360.0 } else { deg.max(0.0) }
    }
}

/// The holes of fixings that are tightened as one, in the order of their tightening: (position of the fixing, position of the hole).
/// `None` where nothing gives an order.
pub(crate) fn order_of_joint(fixings: &[&Fixing]) -> Option<Vec<(usize, u16)>> {
    if !model::HoleOrderOrigin::of_fixings(fixings).has_order() {
        return None;
    }
    let all: Vec<(usize, u16)> =
        (0..fixings.len()).flat_map(|f| (0..fixings[f].holes.len() as u16).map(move |h| (f, h))).collect();
    let stated = fixings.iter().map(|f| &f.tightening.pattern).find(|rule| **rule != PatternRule::Auto);
    if let Some(PatternRule::Given(labels)) = stated {
        let named = |label: &String| {
            all.iter().find(|(f, h)| fixings[*f].holes[usize::from(*h)].label == *label).copied()
        };
        let given: Vec<(usize, u16)> = labels.iter().filter_map(named).collect();
        let names_all = all.iter().all(|hole| given.iter().filter(|one| *one == hole).count() == 1);
        if names_all {
            return Some(given);
        }
    }
    let seen = seen_from_middle(fixings, &all);
    let order = match stated {
        Some(PatternRule::CrissCross) => ring_order(&seen),
        Some(PatternRule::Spiral) => field_order(&seen),
        Some(PatternRule::Auto | PatternRule::Given(_)) | None if is_ring(&seen) => ring_order(&seen),
        Some(PatternRule::Auto | PatternRule::Given(_)) | None => field_order(&seen),
    };
    Some(order.into_iter().map(|at| all[at]).collect())
}

fn seen_from_middle(fixings: &[&Fixing], all: &[(usize, u16)]) -> Vec<SeenHole> {
    let at = |(f, h): &(usize, u16)| {
        let hole = &fixings[*f].holes[usize::from(*h)];
        SeenHole { x_mm: hole.x.as_mm(), y_mm: hole.y.as_mm() }
    };
    let places: Vec<SeenHole> = all.iter().map(at).collect();
    let middle_mm = |of: fn(&SeenHole) -> f64| {
        let least_mm = places.iter().map(of).fold(f64::INFINITY, f64::min);
        let most_mm = places.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        f64::midpoint(least_mm, most_mm)
    };
    let (x_mm, y_mm) = (middle_mm(|p| p.x_mm), middle_mm(|p| p.y_mm));
    places.iter().map(|p| SeenHole { x_mm: p.x_mm - x_mm, y_mm: p.y_mm - y_mm }).collect()
}

fn is_ring(seen: &[SeenHole]) -> bool {
    let most_mm = seen.iter().map(|hole| hole.out_mm()).fold(0.0, f64::max);
    let is_out = |hole: &SeenHole| hole.out_mm() > 0.0 && hole.out_mm() >= RING_FRACTION * most_mm;
    let mut turns_deg: Vec<f64> = seen.iter().map(|hole| hole.clockwise_deg()).collect();
    turns_deg.sort_by(f64::total_cmp);
    let next_deg = turns_deg.iter().skip(1).copied().chain(turns_deg.first().map(|first| first + 360.0));
    let is_closed = turns_deg.iter().zip(next_deg).all(|(here, next)| next - here <= RING_GAP_DEG);
    seen.len() > 2 && is_closed && seen.iter().all(is_out)
}

/// The holes clockwise from the top.
fn clockwise(seen: &[SeenHole]) -> Vec<usize> {
    let mut ring: Vec<usize> = (0..seen.len()).collect();
    ring.sort_by(|a, b| seen[*a].clockwise_deg().total_cmp(&seen[*b].clockwise_deg()).then(a.cmp(b)));
    ring
}

fn ring_order(seen: &[SeenHole]) -> Vec<usize> {
    let ring = clockwise(seen);
    let count = ring.len();
    let is_even = count.is_multiple_of(2);
    let places = if is_even { count / 2 } else { count };
    let apart = |a: usize, b: usize| {
        let one_way = a.abs_diff(b);
        one_way.min(places - one_way)
    };
    let mut order: Vec<usize> = Vec::new();
    for _ in 0..places {
        let rank = |place: &usize| {
            let nearest = order.iter().map(|done| apart(*place, *done)).min().unwrap_or(0);
            let from_last = order.last().filter(|_| !is_even).map_or(0, |last| apart(*place, *last));
            (nearest, from_last, core::cmp::Reverse(*place))
        };
        order.extend((0..places).filter(|place| !order.contains(place)).max_by_key(rank));
    }
    let both = |place: usize| [Some(place), is_even.then_some(place + places)];
    order.into_iter().flat_map(both).flatten().map(|place| ring[place]).collect()
}

fn field_order(seen: &[SeenHole]) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    let mut left: Vec<usize> = (0..seen.len()).collect();
    while !left.is_empty() {
        let least_mm = left.iter().map(|at| seen[*at].out_mm()).fold(f64::INFINITY, f64::min);
        let (mut shell, rest): (Vec<usize>, Vec<usize>) =
            left.iter().partition(|at| seen[**at].out_mm() <= least_mm + SHELL_MM || least_mm.is_infinite());
        left = rest;
        while !shell.is_empty() {
            let away_mm = |at: usize| order.last().map_or(0.0, |last: &usize| seen[at].apart_mm(seen[*last]));
            let next = (1..shell.len()).fold(0, |best, other| {
                if away_mm(shell[other]) > away_mm(shell[best]) + 1.0e-9 { other } else { best }
            });
            let next = shell.remove(next);
            order.push(next);
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(count: usize) -> Vec<SeenHole> {
        let at = |n: usize| {
            let turn_rad = core::f64::consts::TAU * n as f64 / count as f64;
            SeenHole { x_mm: 40.0 * math::sin(turn_rad), y_mm: 40.0 * math::cos(turn_rad) }
        };
        (0..count).map(at).collect()
    }

    #[test]
    fn a_ring_goes_crosswise_and_a_field_outwards() {
        let numbers = |order: Vec<usize>| order.into_iter().map(|at| at + 1).collect::<Vec<_>>();
        assert_eq!(numbers(ring_order(&ring(8))), [1, 5, 3, 7, 2, 6, 4, 8]);
        assert_eq!(
            numbers(ring_order(&ring(16))),
            [1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 4, 12, 6, 14, 8, 16],
            "as MIL-HDBK-60 prints it"
        );
        assert_eq!(numbers(ring_order(&ring(5))), [1, 3, 5, 2, 4]);
        let row: Vec<SeenHole> =
            [-20.0, -10.0, 0.0, 10.0, 20.0].map(|x_mm| SeenHole { x_mm, y_mm: 0.0 }).into();
        assert!(!is_ring(&row) && is_ring(&ring(4)));
        assert_eq!(numbers(field_order(&row)), [3, 2, 4, 1, 5]);
    }
}
