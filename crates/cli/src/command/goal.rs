//! `traywright visit add-task`, `drop-task`, `plan-to`: the same visit, another goal.

use super::journal::{JournalArguments, parse_visit_id};
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::records::GoalPlanRecord;
use app::workshop::{GoalChange, SolverBudget};
use clap::Args;

/// Takes one task more into a visit that has begun, and plans on from where the work stands.
///
/// What is off stays off and costs nothing more; a part that is back on and in the way comes off again.
///
/// Example: traywright visit add-task VISIT renew-thermostat
#[derive(Debug, Args)]
pub struct AddTaskCommand {
    /// Id of the visit.
    visit: String,
    /// Key of the task.
    task: String,
    #[command(flatten)]
    ending: GoalArguments,
}

/// Leaves a task out of a visit that has begun, and plans on from where the work stands.
///
/// What is off goes back; what is not off yet stays on unless another task needs it off.
///
/// Example: traywright visit drop-task VISIT renew-thermostat
#[derive(Debug, Args)]
pub struct DropTaskCommand {
    /// Id of the visit.
    visit: String,
    /// Key of the task.
    task: String,
    #[command(flatten)]
    ending: GoalArguments,
}

/// Plans to a state of the vehicle first, or to the whole job again.
///
/// `roll` puts back the least that lets the vehicle be pushed out of the way; other states stand under `[[goal]]` in the
/// book. `whole` goes on with the job afterwards.
///
/// Example: traywright visit plan-to VISIT roll
#[derive(Debug, Args)]
pub struct PlanToCommand {
    /// Id of the visit.
    visit: String,
    /// Key of the state, or `whole`.
    goal: String,
    #[command(flatten)]
    ending: GoalArguments,
}

/// Where the visit is kept, and how the answer is printed.
#[derive(Debug, Args)]
struct GoalArguments {
    #[command(flatten)]
    journal: JournalArguments,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl AddTaskCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        plan_on(&self.visit, &self.ending, &GoalChange::AddTask(self.task))
    }
}

impl DropTaskCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        plan_on(&self.visit, &self.ending, &GoalChange::DropTask(self.task))
    }
}

impl PlanToCommand {
    pub(super) fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        plan_on(&self.visit, &self.ending, &GoalChange::PlanTo(self.goal))
    }
}

/// Plans the visit on to a goal and works by that plan from now on.
fn plan_on(
    visit: &str,
    ending: &GoalArguments,
    change: &GoalChange,
) -> Result<CommandVerdict, CommandFailure> {
    let mut workshop = ending.journal.change_workshop("visit")?;
    let id = parse_visit_id(visit)?;
    let input = workshop.prepare_replan(&id, &change.why())?;
    let made = input.plan_goal_change(change, SolverBudget::sized())?;
    if !workshop.adopt_plan(&made)? {
        return Err(CommandFailure::bad_request("the visit went on meanwhile; ask again"));
    }
    let record = GoalPlanRecord::of_plan(&id, &made);
    if ending.json {
        print_json("visit-plan", &record)?;
    } else {
        print_answer(&record.words)?;
    }
    Ok(CommandVerdict::Clean)
}
