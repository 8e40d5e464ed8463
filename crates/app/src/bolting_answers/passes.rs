//! The passes of a tightening step: the figure, what the tool is set to, and why that differs.

use super::lever::{self, PassLever};
use bolting::wrench::round_setting;
use model::plan::{Plan, Step, StepAction};
use model::{Act, Fixing, Store, allowed_deviation_fraction};
use serde::Serialize;
use units::{Torque, Unit};

/// One pass with one stack.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassReasons {
    /// Pass, from 1.
    pub pass: u32,
    /// The figure as the book writes it.
    pub figure: String,
    /// Torque at the fastener.
    pub torque_n_m: Option<f64>,
    /// What the torque tool is set to.
    pub setting_n_m: Option<f64>,
    /// The mark of its scale next to the setting, where the store says how its scale is divided.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark_n_m: Option<f64>,
    /// Why the setting differs, or that it does not.
    pub correction: String,
    /// Lever and adapter behind a setting that differs, where the store has the pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lever: Option<PassLever>,
    /// The stack in words.
    pub stack: String,
}

impl PassReasons {
    /// What to set: the mark of the scale where it is known, else the exact setting.
    #[must_use]
    pub fn to_set_n_m(&self) -> Option<f64> {
        self.mark_n_m.or(self.setting_n_m)
    }
}

/// What the passes of a step are read from.
#[derive(Debug, Clone, Copy)]
pub(super) struct PassSources<'p> {
    /// The plan.
    pub(super) plan: &'p Plan,
    /// The step.
    pub(super) step: &'p Step,
    /// The store that the plan was made from, where it is at hand.
    pub(super) store: Option<&'p Store>,
}

/// The passes of a step on one fixing; one line for each pass and stack.
pub(super) fn pass_reasons_of_fixing(fixing: &Fixing, from: PassSources<'_>) -> Vec<PassReasons> {
    let mut found: Vec<PassReasons> = Vec::new();
    for action in &from.step.actions {
        let Some(pass) = pass_of_action(fixing, from, action) else { continue };
        if !found.contains(&pass) {
            found.push(pass);
        }
    }
    found
}

/// The pass that an action of a step makes on a fixing.
pub(crate) fn pass_of_step_action(
    fixing: &Fixing,
    plan: &Plan,
    step: &Step,
    store: &Store,
    action: &StepAction,
) -> Option<PassReasons> {
    pass_of_action(fixing, PassSources { plan, step, store: Some(store) }, action)
}

fn pass_of_action(fixing: &Fixing, from: PassSources<'_>, action: &StepAction) -> Option<PassReasons> {
    let plan = from.plan;
    let duty = plan.duties.get(action.duty).filter(|d| d.fixing == fixing.key && d.act == Act::Tighten)?;
    let stack = action.stack.as_ref().and_then(|id| plan.stacks.iter().find(|s| s.id == *id));
    let stage = duty.stage.and_then(|s| fixing.tightening.stages.get(usize::from(s)));
    let is_torque = stage.is_some_and(|s| s.target.torque().is_some());
    let torque_n_m = duty.torque_n_m.filter(|_| is_torque);
    let setting_n_m = duty.setting_n_m.filter(|_| is_torque);
    let tools = from.store.zip(stack);
    let wrench = tools.and_then(|(store, stack)| lever::wrench_of_stack(store, stack));
    let step = wrench.and_then(|(_, measure)| measure.scale_step);
    let mark =
        |(set_n_m, step): (f64, Torque)| round_setting(Torque::from_n_m(set_n_m), step).setting.as_n_m();
    let figures = torque_n_m.zip(setting_n_m).filter(|(torque, set)| !is_same_setting(*torque, *set));
    let lever = figures.zip(tools).and_then(|((torque, set), (store, stack))| {
        let torques = (Torque::from_n_m(torque), Torque::from_n_m(set));
        lever::lever_of_stack(store, stack, torques, allowed_deviation_fraction(fixing))
    });
    Some(PassReasons {
        pass: u32::from(duty.stage.unwrap_or(0)) + 1,
        figure: action.figure.clone().or_else(|| stage.map(|s| s.as_written.clone())).unwrap_or_default(),
        torque_n_m,
        setting_n_m,
        mark_n_m: setting_n_m.zip(step).map(mark),
        correction: correction_words(torque_n_m, setting_n_m),
        lever,
        stack: stack.map_or_else(|| String::from("no tool at hand"), |s| s.words.clone()),
    })
}

/// Settings closer than this to the torque need no correction.
const SAME_FRACTION: f64 = 1.0e-9;

fn is_same_setting(torque_n_m: f64, setting_n_m: f64) -> bool {
    (setting_n_m / torque_n_m - 1.0).abs() < SAME_FRACTION
}

fn correction_words(torque_n_m: Option<f64>, setting_n_m: Option<f64>) -> String {
    let n_m: &Unit = &Torque::UNITS[0];
    match torque_n_m.zip(setting_n_m) {
        None => String::new(),
        Some((torque, setting)) if is_same_setting(torque, setting) => {
            String::from("none: the tool is in line with the fastener")
        }
        Some((torque, setting)) => {
            let ratio = units::significant(setting / torque, 3);
            let (lever, off) = if setting < torque { ("lengthens", "much") } else { ("shortens", "little") };
            let torque = Torque::from_n_m(torque).show_in(n_m, 3);
            format!(
                "times {ratio}, because the offset {lever} the lever; a setting of {torque} would apply too {off} torque"
            )
        }
    }
}
