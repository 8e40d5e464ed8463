//! Another goal for a visit: a task more or fewer, a state of the book first, or the whole job again.

use effort::SolverBudget;
use plan::goal::GoalRequest;

use super::{RemadePlan, RestPlanInput, WorkshopError};

/// The word for the whole job, beside the states of a book.
pub const WHOLE_JOB: &str = "whole";

/// What changes in the goal of a visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GoalChange {
    /// A task more.
    AddTask(String),
    /// A task less.
    DropTask(String),
    /// A state of the book first, or [`WHOLE_JOB`].
    PlanTo(String),
}

impl GoalChange {
    /// Why the plan is made anew, for the journal.
    #[must_use]
    pub fn why(&self) -> String {
        match self {
            Self::AddTask(task) => format!("task added: {task}"),
            Self::DropTask(task) => format!("task left out: {task}"),
            Self::PlanTo(goal) => format!("planned to: {goal}"),
        }
    }

    /// What is wanted now, where these tasks were wanted before.
    ///
    /// # Errors
    /// [`WorkshopError::Rest`] where a task is wanted already, or was not, or is the last one.
    pub fn to_request(&self, tasks: &[String]) -> Result<GoalRequest, WorkshopError> {
        match self {
            Self::AddTask(task) if tasks.contains(task) => {
                Err(WorkshopError::Rest(format!("`{task}` is one of the visit's tasks already")))
            }
            Self::AddTask(task) => {
                Ok(GoalRequest { tasks: tasks.iter().chain([task]).cloned().collect(), goal: None })
            }
            Self::DropTask(task) => {
                let left: Vec<String> = tasks.iter().filter(|own| *own != task).cloned().collect();
                if left.len() == tasks.len() {
                    let words = format!("`{task}` is not one of the visit's tasks: {}", tasks.join(", "));
                    return Err(WorkshopError::Rest(words));
                }
                if left.is_empty() {
                    let words = "it is the visit's last task; add another one first, or plan to a state of the vehicle";
                    return Err(WorkshopError::Rest(words.to_owned()));
                }
                Ok(GoalRequest { tasks: left, goal: None })
            }
            Self::PlanTo(goal) => {
                let goal = (goal != WHOLE_JOB).then(|| goal.clone());
                Ok(GoalRequest { tasks: tasks.to_vec(), goal })
            }
        }
    }
}

impl RestPlanInput {
    /// Plans the way from where the work stands to another goal.
    ///
    /// # Errors
    /// As [`GoalChange::to_request`] and [`RestPlanInput::plan_rest`].
    pub fn plan_goal_change(
        self,
        change: &GoalChange,
        budget: SolverBudget<'_>,
    ) -> Result<RemadePlan, WorkshopError> {
        let request = change.to_request(self.tasks_asked())?;
        self.plan_to_goal(&request, budget)
    }
}
