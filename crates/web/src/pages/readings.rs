//! Readings: what was measured, against its limits, and a form with few fields.

use app::evidence::readings::boards_of_visit;
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::boards::boards_markup;
use super::{PageFailure, SheetRequest};

/// The readings of a visit.
pub(crate) async fn readings_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    asked.render_sheet("Readings", "readings", |live, _| readings_sheet(live)).await
}

fn readings_sheet(live: &LiveVisit) -> Markup {
    let state = live.state();
    let is_asked = |key: &String| live.plan().is_none_or(|plan| plan.asked.tasks.contains(key));
    let all = live.book().into_iter().flat_map(|book| &book.tasks);
    let tasks: Vec<_> = all.filter(|task| is_asked(&task.key)).collect();
    let asked: Vec<String> = tasks.iter().map(|task| task.key.clone()).collect();
    let boards = boards_of_visit(live.book(), &asked, state);
    html! {
        h1 { "Readings" }
        @if boards.is_empty() { p { "None yet, and the book asks for none." } }
        (boards_markup(&boards, None))
        details.other open[boards.iter().all(|board| board.measure.is_empty())] {
            summary { "Something else was measured" }
            form data-form="reading" {
                label { "What is measured"
                    select name="task" { @for task in &tasks { option value=(task.key) { (task.title) } } option value="" { "something else" } } }
                label { "In words" input name="what" placeholder="cylinder 3" maxlength="80"; }
                div.pair {
                    label { "Value" input name="value" inputmode="decimal" required; }
                    label { "Unit" input name="unit" list="units" required maxlength="12"; }
                }
                div.pair {
                    label { "Lowest allowed" input name="low" inputmode="decimal"; }
                    label { "Highest allowed" input name="high" inputmode="decimal"; }
                }
                label { "Measured with" input name="method" placeholder="feeler gauge, cold" maxlength="80"; }
                button.main { "Save the reading" }
            }
        }
        section {
            h2 { "Pictures" }
            div.pictures { @for picture in state.pictures.iter().rev() {
                a href={ "/picture/" (picture.picture) } { img loading="lazy" src={ "/picture/" (picture.picture) } alt="picture of the work"; }
            } }
        }
    }
}
