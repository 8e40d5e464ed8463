//! The figure that the hand sets next, in large letters, and beside it what it comes to at the fastener.
//!
//! What is read at two metres is what the wrench is set to, on the wrench's own scale: a crow-foot or a coarse scale makes
//! that another figure than the torque at the fastener, which stands beside it. An angle is never shown without what it follows.

use model::plan::{DutyLine, Plan, Step, StepAction};
use model::{Book, Fixing, Store};

use crate::bolting_answers::{PassReasons, pass_of_step_action};

/// What is read at arm's length, and what stands beside it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SetFigure {
    /// In large letters.
    pub large: String,
    /// Beside it.
    pub beside: String,
}

/// The figure of the pass in hand.
pub(super) fn set_figure(
    book: &Book,
    store: &Store,
    plan: &Plan,
    step: &Step,
    duty: (usize, &DutyLine),
) -> Option<SetFigure> {
    let action: &StepAction = step.actions.iter().find(|a| a.duty == duty.0)?;
    let fixing = book.fixing(book.fixing_by_key(&duty.1.fixing)?);
    let pass = pass_of_step_action(fixing, plan, step, store, action)?;
    if pass.figure.is_empty() {
        return None;
    }
    let all = fixing.tightening.stages.len();
    let of = if all > 1 { format!("pass {} of {all}", pass.pass) } else { String::new() };
    let mut figure = figure_of_pass(fixing, &pass);
    figure.beside = [of, figure.beside].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join("; ");
    Some(figure)
}

/// Settings closer than this to the torque are the same on every scale.
const SAME_N_M: f64 = 1.0e-9;

fn figure_of_pass(fixing: &Fixing, pass: &PassReasons) -> SetFigure {
    let stage = fixing.tightening.stages.get(pass.pass.saturating_sub(1) as usize);
    if stage.is_some_and(|stage| stage.target.angle().is_some()) {
        let before: Vec<&str> = fixing.tightening.stages.iter().map(|s| s.as_written.as_str()).collect();
        let before = before[..(pass.pass as usize).saturating_sub(1)].join(", then ");
        let beside = if before.is_empty() { String::from("an angle") } else { format!("after {before}") };
        return SetFigure { large: format!("{} further", pass.figure), beside };
    }
    match pass.to_set_n_m().zip(pass.torque_n_m) {
        Some((set_n_m, torque_n_m)) if (set_n_m - torque_n_m).abs() > SAME_N_M => SetFigure {
            large: format!("{} N·m", units::significant(set_n_m, 4)),
            beside: format!("set on the wrench; {} at the fastener", pass.figure),
        },
        _ => SetFigure { large: pass.figure.clone(), beside: String::new() },
    }
}
