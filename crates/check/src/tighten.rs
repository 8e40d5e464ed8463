//! Tightening: is every joint run in first, and tightened stage by stage over all its holes?
//!
//! Fixings of one part with the same joint name are one joint. A fixing without a joint name and without a stated pattern is
//! judged station by station, for its holes may be tightened from several positions one after another.

use crate::Found;
use crate::case::{Case, place};
use crate::replay::touches;
use model::plan::Step;
use model::{Act, FixingId, PatternRule, StageTarget, StationId};
use std::collections::BTreeMap;

/// What counts as one joint.
type Joint = (usize, String, Option<StationId>);

/// One fastener's turn: position in the refit, pass, and fastener.
struct Turn {
    at: String,
    pass: usize,
}

/// J610 stages and passes, J616 run-in before tightening.
pub(crate) fn judge(case: &Case, found: &mut Found) {
    let mut done: BTreeMap<(FixingId, u16), Vec<u8>> = BTreeMap::new();
    let mut joints: BTreeMap<Joint, Vec<Turn>> = BTreeMap::new();
    for (at, step) in case.plan.refit.steps.iter().enumerate() {
        for action in &step.actions {
            let Some(duty) = case.duty(action) else { continue };
            let station = case.station(&duty);
            for touch in touches(case, action).into_iter().filter(|t| t.act == Act::Tighten) {
                let stages = done.entry((touch.fixing, touch.hole)).or_default();
                let passes = duty.fixing.tightening.stages.len();
                let stage = touch.stage.unwrap_or_default();
                let pass =
                    if stages.len() >= passes { closing(case, touch.fixing) } else { usize::from(stage) };
                stages.push(stage);
                let turn = Turn { at: place("refit", step), pass };
                joints.entry(joint(case, touch.fixing, station)).or_default().push(turn);
            }
        }
        run_in_first(case, at, step, found);
    }
    for turns in joints.values() {
        let early = turns.windows(2).find(|w| w[1].pass < w[0].pass);
        if let Some(early) = early {
            found.add(
                "J610",
                early[1].at.clone(),
                "a stage starts again before the joint has gone through the one before",
            );
        }
    }
    each_hole(case, &done, found);
}

/// The pass number of the closing pass: behind the last stage of the longest fixing of the joint.
fn closing(case: &Case, id: FixingId) -> usize {
    members(case, id).map(|f| case.book.fixing(f).tightening.stages.len()).max().unwrap_or_default()
}

/// The fixings of a fixing's joint.
fn members<'c>(case: &'c Case, id: FixingId) -> impl Iterator<Item = FixingId> + 'c {
    let it = case.book.fixing(id);
    let same = move |f: &FixingId| *f == id || (it.joint.is_some() && case.book.fixing(*f).joint == it.joint);
    case.book.fixings_of(it.part).filter(same)
}

fn joint(case: &Case, id: FixingId, station: StationId) -> Joint {
    let it = case.book.fixing(id);
    match &it.joint {
        Some(name) => (it.part.index(), format!("joint {name}"), None),
        None => {
            let by_station = it.tightening.pattern == PatternRule::Auto;
            (it.part.index(), format!("fixing {}", it.key), by_station.then_some(station))
        }
    }
}

fn run_in_first(case: &Case, at: usize, step: &Step, found: &mut Found) {
    for action in &step.actions {
        let Some(duty) = case.duty(action).filter(|d| d.line.act == Act::Tighten) else { continue };
        for member in members(case, duty.id) {
            let late = case.plan.refit.steps.iter().skip(at + 1);
            let mut late = late.flat_map(|s| &s.actions).filter_map(|a| case.duty(a));
            if late.any(|d| d.id == member && d.line.act == Act::RunIn) {
                let words = format!("tightened before `{}` is run in", case.book.fixing(member).key);
                found.add("J616", place("refit", step), words);
            }
        }
    }
}

fn each_hole(case: &Case, done: &BTreeMap<(FixingId, u16), Vec<u8>>, found: &mut Found) {
    for fixing in case.fixings_off() {
        let it = case.book.fixing(fixing);
        let mut wanted: Vec<u8> = Vec::new();
        if it.drive.is_turned() {
            wanted.extend(0..it.tightening.stages.len() as u8);
            let torque =
                it.tightening.stages.iter().rposition(|s| matches!(s.target, StageTarget::Torque(_)));
            wanted.extend(torque.filter(|_| it.tightening.closing_pass).map(|s| s as u8));
        }
        for (at, hole) in it.holes.iter().enumerate() {
            let stages = done.get(&(fixing, at as u16)).map_or(&[][..], |s| s);
            if stages != wanted {
                let words = format!("hole {} of `{}`: stages {stages:?}, not {wanted:?}", hole.label, it.key);
                found.add("J610", "refit", words);
            }
        }
    }
}
