//! Findings for the owner: told, answered, planned and put right; and what may turn up, with its chance and price.

use app::evidence::estimate::plain_amount;
use app::model::Book;
use app::record::visit::{Finding, ToldRisk};
use app::record::{EventPlace, OwnerWord};
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::frame::json_attribute;

/// Findings and risks.
pub(super) fn findings_section(live: &LiveVisit, at: &EventPlace) -> Markup {
    let state = live.state();
    html! {
        section #findings {
            h2 { "For the owner to decide" }
            @if live.plan().is_some() { div.pair { a.other href="paper/estimate" { "Estimate" } a.other href="paper/owner" { "Owner's report" } } }
            ul.rows { @for (event, finding) in &state.findings { (finding_row(live, event.as_str(), finding)) } }
            details {
                summary { "Add a finding" }
                form data-form="finding" data-at=(json_attribute(at)) {
                    label { "What, and why it matters" textarea name="words" rows="2" maxlength="300" required {} }
                    div.pair {
                        label { "Price from" input name="from" inputmode="decimal"; }
                        label { "Price to" input name="to" inputmode="decimal"; }
                    }
                    label { "What happens if it is left" input name="left" maxlength="200"; }
                    @if let Some(book) = live.book() { (task_choice(book)) }
                    button.main { "Save the finding" }
                }
            }
        }
        section #risks {
            h2 { "What may turn up" }
            p { "Your own judgement, for the estimate: what, how often in a hundred such jobs, and what it would then cost." }
            ul.rows { @for risk in &state.risks { (risk_row(risk)) } }
            details {
                summary { "Add what may turn up" }
                form data-form="risk" {
                    label { "What may turn up" input name="words" maxlength="120" required; }
                    label { "How often in a hundred" input name="chance" inputmode="numeric" required; }
                    div.pair {
                        label { "Price from" input name="from" inputmode="decimal" required; }
                        label { "Price to" input name="to" inputmode="decimal"; }
                    }
                    button { "Keep it" }
                }
            }
        }
    }
}

/// Which task of the book puts it right.
fn task_choice(book: &Book) -> Markup {
    html! { label { "What would put it right"
        select name="task" {
            option value="" { "something that the book does not tell" }
            @for task in &book.tasks { option value=(task.key) { (task.title) } }
        }
    } }
}

fn risk_row(risk: &ToldRisk) -> Markup {
    let price = price_words(Some(risk.price_from_cents), Some(risk.price_to_cents));
    html! { li { span { strong { (risk.words) } } span.where { (risk.chance_percent) " in 100" } span.why { (price) } } }
}

fn finding_row(live: &LiveVisit, event: &str, finding: &Finding) -> Markup {
    let word = |word: OwnerWord| match word {
        OwnerWord::Yes => "do it",
        OwnerWord::No => "leave it",
        OwnerWord::Call => "wants to talk",
    };
    let is_done = live.state().is_finding_done(finding);
    html! {
        li {
            span { strong { (finding.words) } }
            span.where { (price_words(finding.price_from_cents, finding.price_to_cents)) }
            @if !finding.if_left.is_empty() { span.why { "If left: " (finding.if_left) } }
            @if let Some(answer) = &finding.answer { span.why { "The owner's decision: " strong { (word(answer.word)) } ", " (answer.by) } }
            @if !finding.is_answered() {
                span.why.taps { @for (word, name, words) in [(OwnerWord::Yes, "yes", "Do it"), (OwnerWord::No, "no", "Leave it"), (OwnerWord::Call, "call", "Wants to talk")] {
                    @if finding.answer.as_ref().is_none_or(|a| a.word != word) {
                        button type="button" data-ask="answer" data-event=(event) data-word=(name) { (words) }
                    }
                } }
            }
            @if finding.is_approved() { (approved_markup(live, event, finding, is_done)) }
        }
    }
}

/// What is left to do about a finding that the owner wants done: plan its task, or say that it is done.
fn approved_markup(live: &LiveVisit, event: &str, finding: &Finding, is_done: bool) -> Markup {
    let title = |key: &String| {
        let known = live.book().and_then(|book| Some(book.task(book.task_by_key(key)?).title.clone()));
        known.unwrap_or_else(|| key.clone())
    };
    let is_planned = |task: &String| live.plan().is_some_and(|plan| plan.asked.tasks.contains(task));
    html! {
        @if is_done {
            span.why { "Done" @if let Some(end) = &finding.done { ": " (end.how) } "." }
        } @else if let Some(task) = &finding.task {
            @if is_planned(task) { span.why { "Planned: " (title(task)) "." } }
            @else if live.plan().is_some() { span.why {
                form method="post" action={ "/v/" (live.id()) "/goal" } {
                    input type="hidden" name="change" value="add-task";
                    input type="hidden" name="key" value=(task);
                    button { "Plan it now: " (title(task)) }
                }
            } }
        }
        @if !is_done { span.why { button type="button" data-ask="finding-done" data-event=(event) { "It is put right" } } }
    }
}

/// "40.00 to 55.00", in the book's currency.
fn price_words(from_cents: Option<i64>, to_cents: Option<i64>) -> String {
    let words = plain_amount;
    match (from_cents, to_cents) {
        (Some(from), Some(to)) if from != to => format!("{} to {}", words(from), words(to)),
        (Some(one), _) | (None, Some(one)) => words(one),
        (None, None) => String::new(),
    }
}
