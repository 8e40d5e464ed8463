//! Resume card: where an interrupted visit stands, what to look at again, what comes next.

use journal::ledger::Ledger;
use journal::{StepsView, look_again};
use model::plan::Step;
use print::paper::{Block, Cell, Column, Row, Sheet};

use super::words::{self, flow, foot, sentence, step_line, under};
use super::{Job, Kind, NoPaper};
use crate::bench::work_words;
use crate::text;
use crate::titles;

/// Steps shown ahead.
const AHEAD: usize = 5;

pub(super) fn sheets(job: &Job<'_>) -> Result<Vec<Sheet>, NoPaper> {
    let visit = job.state().ok_or(NoPaper::NeedsVisit(Kind::Resume))?;
    if visit.closed.is_some() {
        return Err(NoPaper::Nothing {
            kind: Kind::Resume,
            words: "the visit is closed; nothing is to be resumed",
        });
    }
    let views = StepsView::of(visit, job.book, job.plan);
    let steps: Vec<&Step> = journal::steps_of(job.plan).collect();
    let mut blocks = Vec::new();
    match visit.pause() {
        Some(pause) => {
            blocks.push(Block::Large(sentence(&pause.words)));
            blocks.push(Block::Small(format!("Interrupted {}.", words::time(job, pause.stamp.at_ms))));
        }
        None => blocks.push(Block::Text("The work does not rest; this is where it stands.".into())),
    }
    let done = format!(
        "{} of {} steps are done; about {} are left.",
        views.done,
        views.steps.len(),
        text::table::spoken(views.left_s)
    );
    blocks.push(Block::Text(done));
    blocks.extend(super::ledger::verdicts(&Ledger::of(visit, job.book)));
    under(&mut blocks, "Look at these again first, another way than before", look(job));
    let next = views.ahead().take(AHEAD).filter_map(|v| steps.iter().find(|s| s.number == v.number));
    let next: Vec<_> = next.map(|step| step_line(job, step)).collect();
    under(&mut blocks, "Then", if next.is_empty() { Vec::new() } else { vec![Block::Steps(next)] });
    under(&mut blocks, "In the slots now", slots(job));
    under(&mut blocks, "Waiting for", waits(job));
    blocks.push(Block::Blanks { label: "Note to myself".into(), lines: 4 });
    let foot = foot(job, &[("done", format!("{} of {}", views.done, views.steps.len()))]);
    Ok(vec![flow("Resume card", &words::vehicle(job), foot, blocks)])
}

fn look(job: &Job<'_>) -> Vec<Block> {
    let Some(visit) = job.state() else { return Vec::new() };
    let rows: Vec<Row> = look_again(visit)
        .iter()
        .filter(|item| item.done.is_none())
        .map(|item| {
            Row::of(vec![
                Cell::Tick(work_words(job.book, item.work)),
                Cell::Words(item.before.join(", ")),
                Cell::Words(item.ways.join(", or ")),
            ])
        })
        .collect();
    let columns =
        vec![Column::words("what", 5.0), Column::words("was done", 3.0), Column::words("now look", 5.0)];
    words::table(columns, rows)
}

fn slots(job: &Job<'_>) -> Vec<Block> {
    let Some(visit) = job.state() else { return Vec::new() };
    let mut rows = Vec::new();
    for (slot, lying) in visit.slots() {
        let mut by_fixing: std::collections::BTreeMap<&str, Vec<&str>> = std::collections::BTreeMap::new();
        for (fixing, hole, _) in lying {
            by_fixing.entry(fixing).or_default().push(hole);
        }
        for (fixing, holes) in by_fixing {
            let title = titles::fixing(job.book, fixing);
            let cells = vec![
                Cell::Bold(slot.to_owned()),
                Cell::Words(holes.len().to_string()),
                Cell::Words(format!("{title}: {}", holes.join(" "))),
            ];
            rows.push(Row::of(cells));
        }
    }
    let columns =
        vec![Column::words("slot", 2.0), Column::figures("pcs", 1.0), Column::words("from holes", 8.0)];
    words::table(columns, rows)
}

fn waits(job: &Job<'_>) -> Vec<Block> {
    let running = job.state().into_iter().flat_map(|v| v.waits.values()).filter(|w| w.over.is_none());
    let line = |wait: &journal::visit::Wait| {
        let until = wait.ends_ms.map_or_else(String::new, |ms| format!(", until {}", words::time(job, ms)));
        Block::Text(sentence(&format!("{}{until}", wait.waiting.what)))
    };
    running.map(line).collect()
}
