//! `traywright visit add-task`, `drop-task`, `plan-to`: the same visit, another goal.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::records::GoalPlanRecord;
use app::workshop::{GoalChange, SolverBudget};
use clap::Args;

/// Takes one task more into a visit that has begun, and plans on from where the work stands.
///
/// What is off stays off and costs nothing more; a part that is back on and in the way comes off again.
#[derive(Debug, Args)]
pub struct AddTaskCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The task, by its key in the book.
    #[arg(long, value_name = "KEY")]
    task: String,
    #[command(flatten)]
    ending: GoalArguments,
}

/// Leaves a task out of a visit that has begun, and plans on from where the work stands.
///
/// What is off goes back; what is not off yet stays on unless another task needs it off.
#[derive(Debug, Args)]
pub struct DropTaskCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The task, by its key in the book.
    #[arg(long, value_name = "KEY")]
    task: String,
    #[command(flatten)]
    ending: GoalArguments,
}

/// Plans to a state of the vehicle first, or to the whole job again.
///
/// `roll` puts back the least that lets the vehicle be pushed out of the way; other states stand under `[[goal]]` in the
/// book. `whole` goes on with the job afterwards.
#[derive(Debug, Args)]
pub struct PlanToCommand {
    /// The visit: its id, or the letter of an open one.
    visit: String,
    /// The state of the vehicle, by its key, or `whole`.
    #[arg(long, value_name = "KEY")]
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
    let id = workshop.find_visit(visit)?;
    let input = workshop.prepare_goal_change(&id, &change.why())?;
    let made = input.plan_goal_change(change, SolverBudget::sized())?;
    if !workshop.adopt_plan(&made)? {
        return Err(CommandFailure::bad_request("the visit went on meanwhile; ask again"));
    }
    let record = GoalPlanRecord::of_plan(&id, &made);
    if ending.json {
        print_json("visit-plan", &record)?;
    } else {
        print_answer(&app::text::plan_text::format_remade_plan(&made, page_width()))?;
    }
    Ok(CommandVerdict::Clean)
}
