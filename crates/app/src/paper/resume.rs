//! Resume card: where an interrupted visit is, what to look at again, what comes next.

use model::plan::Step;
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use record::ledger::Ledger;
use record::{PlanStepsView, look_again};

use super::words::{self, as_sentence, flow_sheet, push_section, step_line, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::bench::{SettingCard, settings_to_bring_back, work_words};
use crate::text;
use crate::titles;

/// Steps shown ahead.
const AHEAD: usize = 5;

pub(super) fn resume_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let visit = job.state().ok_or(SheetError::NeedsVisit(SheetKind::Resume))?;
    if visit.closed.is_some() {
        return Err(SheetError::Nothing {
            kind: SheetKind::Resume,
            words: "the visit is closed; there is nothing to resume",
        });
    }
    let views = PlanStepsView::of_plan(visit, job.book, job.plan);
    let steps: Vec<&Step> = record::steps_of(job.plan).collect();
    let mut blocks = Vec::new();
    match visit.current_pause() {
        Some(pause) => {
            blocks.push(PaperBlock::Large(as_sentence(&pause.words)));
            blocks.push(PaperBlock::Small(format!(
                "Interrupted {}.",
                words::time_words(job, pause.stamp.at_ms)
            )));
        }
        None => blocks.push(PaperBlock::Text("The work is not paused; this is how far it is.".into())),
    }
    let done = format!(
        "{} of {} steps are done; about {} left.",
        views.done,
        views.steps.len(),
        text::table::spoken_time(views.left_s)
    );
    blocks.push(PaperBlock::Text(done));
    blocks.extend(super::ledger::verdict_blocks(&Ledger::draw_up(visit, job.book)));
    push_section(
        &mut blocks,
        "Look at these again first, by a different method than before",
        look_again_table(job),
    );
    let next = views.steps_ahead().take(AHEAD).filter_map(|v| steps.iter().find(|s| s.number == v.number));
    let next: Vec<_> = next.map(|step| step_line(job, step)).collect();
    push_section(
        &mut blocks,
        "Then",
        if next.is_empty() { Vec::new() } else { vec![PaperBlock::Steps(next)] },
    );
    push_section(&mut blocks, "To be brought back before hand-over", setting_lines(job));
    push_section(&mut blocks, "In the slots now", slots_table(job));
    push_section(&mut blocks, "Waiting for", running_wait_lines(job));
    blocks.push(PaperBlock::Blanks { label: "Note to myself".into(), lines: 4 });
    let foot = title_block_cells(job, &[("done", format!("{} of {}", views.done, views.steps.len()))]);
    Ok(vec![flow_sheet("Resume card", &words::vehicle_title(job), foot, blocks)])
}

fn look_again_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let rows: Vec<PaperRow> = look_again(visit)
        .iter()
        .filter(|item| item.done.is_none())
        .map(|item| {
            PaperRow::of_cells(vec![
                PaperCell::Tick(work_words(job.book, item.work)),
                PaperCell::Words(item.before.join(", ")),
                PaperCell::Words(item.ways.join(", or ")),
            ])
        })
        .collect();
    let columns = vec![
        PaperColumn::of_words("what", 5.0),
        PaperColumn::of_words("was done", 3.0),
        PaperColumn::of_words("now look", 5.0),
    ];
    words::table_if_any(columns, rows)
}

/// Settings of the vehicle that do not stand as they should at hand-over.
fn setting_lines(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let cards = settings_to_bring_back(visit, Some(job.book));
    let line = |card: &SettingCard| PaperBlock::Text(as_sentence(&text::visit::format_setting(card)));
    cards.iter().map(line).collect()
}

fn slots_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let mut rows = Vec::new();
    for (slot, lying) in visit.slot_contents() {
        let mut by_fixing: std::collections::BTreeMap<&str, Vec<&str>> = std::collections::BTreeMap::new();
        for (fixing, hole, _) in lying {
            by_fixing.entry(fixing).or_default().push(hole);
        }
        for (fixing, holes) in by_fixing {
            let title = titles::fixing_title(job.book, fixing);
            let cells = vec![
                PaperCell::Bold(slot.to_owned()),
                PaperCell::Words(holes.len().to_string()),
                PaperCell::Words(format!("{title}: {}", holes.join(" "))),
            ];
            rows.push(PaperRow::of_cells(cells));
        }
    }
    let columns = vec![
        PaperColumn::of_words("slot", 2.0),
        PaperColumn::of_figures("pcs", 1.0),
        PaperColumn::of_words("from holes", 8.0),
    ];
    words::table_if_any(columns, rows)
}

fn running_wait_lines(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let running = job.state().into_iter().flat_map(|v| v.waits.values()).filter(|w| w.over.is_none());
    let line = |wait: &record::visit::VisitWait| {
        let until =
            wait.ends_ms.map_or_else(String::new, |ms| format!(", until {}", words::time_words(job, ms)));
        PaperBlock::Text(as_sentence(&format!("{}{until}", wait.waiting.what)))
    };
    running.map(line).collect()
}
