//! Going on while questions of the plan stand open: asked once a visit, and told in the report.

use record::{Visit, VisitBody};

use super::readiness_now;
use crate::text::table::count_with_noun;
use crate::workshop::LiveVisit;
use model::plan::{Plan, Readiness, ReadinessVerdict};

/// What a person answers for who goes on now; nothing where nothing stands open or somebody has answered.
#[must_use]
pub fn go_on_body(plan: &Plan, visit: &Visit, name: &str) -> Option<VisitBody> {
    let ready = readiness_now(plan, visit);
    let is_open = ready.verdict.refit != ReadinessVerdict::Go;
    let open = open_questions(&ready);
    (is_open && !open.is_empty() && visit.went_on.is_none())
        .then(|| VisitBody::WentOn { open, name: name.to_owned() })
}

/// What stands open, or against starting, in words.
fn open_questions(ready: &Readiness) -> Vec<String> {
    ready.against.iter().cloned().chain(ready.open.iter().map(|line| line.words.clone())).collect()
}

/// "2 questions stand open", or who went on with them.
#[must_use]
pub fn going_on_words(visit: &Visit) -> Option<String> {
    let word = visit.went_on.as_ref()?;
    let questions = count_with_noun(word.open.len(), "question");
    Some(format!("{} went on while {questions} stood open", word.name))
}

/// What the bench says of questions that nobody has answered for yet.
#[must_use]
pub fn open_notice(live: &LiveVisit) -> Option<String> {
    let body = go_on_body(live.plan()?, live.state(), "")?;
    let VisitBody::WentOn { open, .. } = body else { return None };
    let questions = count_with_noun(open.len(), "question");
    let stand = if open.len() == 1 { "stands" } else { "stand" };
    Some(format!("{questions} {stand} open, and nobody has said to go on: see Before you start"))
}
