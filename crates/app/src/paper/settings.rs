//! What the hand sets in each pass of a tightening step: the figure on the wrench's scale, and what it comes to at the fastener.

use model::plan::Step;
use model::{Act, Fixing};

use super::PaperJob;
use crate::bolting_answers::{PassReasons, pass_of_step_action};

/// One setting of a step with the holes that it is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PassSetting {
    /// Pass, from 1.
    pub(super) pass: u32,
    /// Passes of the fixing.
    pub(super) passes: usize,
    /// What is set: "24.3 N·m", "90° further".
    pub(super) set: String,
    /// What it comes to at the fastener, where that differs.
    pub(super) beside: String,
    /// Fixing key.
    pub(super) fixing: String,
    /// Holes in the order of the work.
    pub(super) holes: Vec<String>,
    /// With what.
    pub(super) stack: String,
}

/// Settings closer than this to the torque are the same on every scale.
const SAME_N_M: f64 = 1.0e-9;

/// The settings of a step in the order of the work: one line for each pass, setting and stack.
pub(super) fn settings_of_step(job: &PaperJob<'_>, step: &Step) -> Vec<PassSetting> {
    let mut all: Vec<PassSetting> = Vec::new();
    for action in &step.actions {
        let Some(duty) = job.plan.duties.get(action.duty).filter(|duty| duty.act == Act::Tighten) else {
            continue;
        };
        let Some(id) = job.book.fixing_by_key(&duty.fixing) else { continue };
        let fixing = job.book.fixing(id);
        let Some(pass) = pass_of_step_action(fixing, job.plan, step, job.store, action) else { continue };
        let (set, beside) = set_words(fixing, &pass);
        let line = PassSetting {
            pass: pass.pass,
            passes: fixing.tightening.stages.len(),
            set,
            beside,
            fixing: fixing.key.clone(),
            holes: action.holes.clone(),
            stack: pass.stack,
        };
        let same = |known: &&mut PassSetting| {
            (known.pass, &known.set, &known.beside, &known.stack, &known.fixing)
                == (line.pass, &line.set, &line.beside, &line.stack, &line.fixing)
        };
        match all.iter_mut().find(same) {
            Some(known) => known.holes.extend(line.holes),
            None => all.push(line),
        }
    }
    all
}

/// What is set, and what stands beside it.
fn set_words(fixing: &Fixing, pass: &PassReasons) -> (String, String) {
    let stage = fixing.tightening.stages.get(pass.pass.saturating_sub(1) as usize);
    if stage.is_some_and(|stage| stage.target.angle().is_some()) {
        return (format!("{} further", pass.figure), String::new());
    }
    // A guessed lever carries the mark of what is likely and not proven.
    let mark = if pass.lever.is_some_and(|lever| lever.doubt.is_some()) { "~ " } else { "" };
    match pass.to_set_n_m().zip(pass.torque_n_m) {
        Some((set_n_m, torque_n_m)) if (set_n_m - torque_n_m).abs() > SAME_N_M => (
            format!("{mark}{} N·m", units::significant(set_n_m, 4)),
            format!("{} at the fastener", pass.figure),
        ),
        _ => (pass.figure.clone(), String::new()),
    }
}

/// The settings of a step below each other, each once: "5 N·m", "10 N·m"; and what stands beside the last of them.
pub(super) fn figure_of_step(settings: &[PassSetting]) -> (String, String) {
    let mut lines: Vec<&str> = Vec::new();
    let mut beside: Vec<&str> = Vec::new();
    for setting in settings {
        if !lines.contains(&setting.set.as_str()) {
            lines.push(&setting.set);
        }
        if !setting.beside.is_empty() && !beside.contains(&setting.beside.as_str()) {
            beside.push(&setting.beside);
        }
    }
    let set = if beside.is_empty() { String::new() } else { format!("set; {}", beside.join(", ")) };
    (lines.join("\n"), set)
}
