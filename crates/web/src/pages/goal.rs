//! What a visit is for: its tasks, those that may be added, and states of the vehicle that may come first.

use app::model::plan::Plan;
use app::model::{Book, GOAL_TO_ROLL, Task};
use app::text::table::spoken_time;
use app::workshop::{GoalChange, LiveVisit, SolverBudget, VisitId, WHOLE_JOB, WorkshopError};
use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, PageContext};
use super::{PageFailure, SheetRequest};
use crate::bench_state::{SharedBench, run_blocking};

/// What a button of the page asks for.
#[derive(Debug, Deserialize)]
pub(crate) struct GoalForm {
    change: ChangeAsked,
    key: String,
}

/// How the goal changes.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum ChangeAsked {
    AddTask,
    DropTask,
    PlanTo,
}

impl ChangeAsked {
    const fn file_word(self) -> &'static str {
        match self {
            Self::AddTask => "add-task",
            Self::DropTask => "drop-task",
            Self::PlanTo => "plan-to",
        }
    }
}

/// The page.
pub(crate) async fn goal_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let body = |live: &LiveVisit, stage: &PageContext| match live.planned_texts() {
        Some((book, _, plan)) => goal_sheet(book, plan, live, stage),
        None => {
            html! { h1 { "Tasks" } p { "This visit has no plan, so it has no tasks." } (frame::missing_notice(live)) }
        }
    };
    asked.render_sheet("Tasks", "goal", body).await
}

fn goal_sheet(book: &Book, plan: &Plan, live: &LiveVisit, stage: &PageContext) -> Markup {
    let is_wanted = |task: &&Task| plan.asked.tasks.contains(&task.key);
    let is_done = |task: &Task| {
        let standing = live.state().tasks.get(&task.key);
        standing.is_some_and(|standing| standing.to == app::record::StepMark::Done)
    };
    let goal = plan.asked.goal.as_deref().and_then(|key| book.goal_by_key(key));
    html! {
        h1 { "Tasks" }
        @if let Some(goal) = &goal {
            p.big { (app::bench::capitalise_first(&goal.title)) " first" }
            p { "The tasks wait until the vehicle is back." }
        }
        ul.rows {
            @for task in book.tasks.iter().filter(is_wanted) {
                li { span { strong { (task.title) } } span.where { (spoken_time(task.work_s())) }
                    @if is_done(task) { span.why { "Done." } }
                    @else { span.why { (change_button(stage, ChangeAsked::DropTask, &task.key, "Leave out")) } } }
            }
        }
        section {
            h2 { "Plan first to" }
            p { "The least is put back; the rest of the job waits, and what is in its way comes off again." }
            @if goal.is_some() { (change_button(stage, ChangeAsked::PlanTo, WHOLE_JOB, "Go on with the whole job")) }
            @for (key, title) in states_to_offer(book, plan) {
                (change_button(stage, ChangeAsked::PlanTo, &key, &app::bench::capitalise_first(&title)))
            }
        }
        section {
            h2 { "May be added" }
            ul.rows {
                @for task in book.tasks.iter().filter(|task| !is_wanted(task)) {
                    li { span { strong { (task.title) } } span.where { (spoken_time(task.work_s())) }
                        @if plan.way_in.also_open.contains(&task.key) { span.where { "its way is open anyway" } }
                        span.why { (change_button(stage, ChangeAsked::AddTask, &task.key, "Add")) } }
                }
            }
        }
    }
}

/// The states of the book that the plan does not lead to already: key and title.
fn states_to_offer(book: &Book, plan: &Plan) -> Vec<(String, String)> {
    let own = book.goals.iter().map(|goal| goal.key.as_str());
    let usual = [GOAL_TO_ROLL].into_iter().filter(|key| book.goals.iter().all(|goal| goal.key != *key));
    let open = own.chain(usual).filter(|key| plan.asked.goal.as_deref() != Some(*key));
    open.filter_map(|key| book.goal_by_key(key)).map(|goal| (goal.key, goal.title)).collect()
}

fn change_button(stage: &PageContext, change: ChangeAsked, key: &str, words: &str) -> Markup {
    html! {
        form method="post" action=(stage.sheet_address("goal")) {
            input type="hidden" name="change" value=(change.file_word());
            input type="hidden" name="key" value=(key);
            button { (words) }
        }
    }
}

/// Plans to another goal and goes to the bench; what the plan has to say against it is a page.
pub(crate) async fn change_goal(
    State(bench): State<SharedBench>,
    Path(visit): Path<String>,
    Form(form): Form<GoalForm>,
) -> Result<Response, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let change = match form.change {
        ChangeAsked::AddTask => GoalChange::AddTask(form.key),
        ChangeAsked::DropTask => GoalChange::DropTask(form.key),
        ChangeAsked::PlanTo => GoalChange::PlanTo(form.key),
    };
    let (of, why) = (id.clone(), change.why());
    let input = bench.with_workshop(move |workshop| workshop.prepare_goal_change(&of, &why)).await?;
    let planning = move || input.plan_goal_change(&change, SolverBudget::sized());
    let made = run_blocking(planning).await?;
    if !bench.with_workshop(move |workshop| workshop.adopt_plan(&made)).await? {
        let words = "the visit went on meanwhile; ask again";
        return Err(PageFailure::Workshop(WorkshopError::Rest(words.to_owned())));
    }
    bench.announce_change(id.as_str());
    Ok(Redirect::to(&format!("/v/{visit}/bench")).into_response())
}
