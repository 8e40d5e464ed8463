//! Kit sheet: what has to lie on the cart, by where it is kept; stacks to put together; what goes back when.

use std::collections::BTreeMap;

use model::plan::{KitLine, StackLine};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};

use super::PaperJob;
use super::words::{self, flow_sheet, push_section, table_if_any, title_block_cells};
use crate::text::table::count_with_noun;
use crate::titles;

pub(super) fn kit_sheets(job: &PaperJob<'_>) -> Vec<PaperSheet> {
    let pieces: u32 = job.plan.kit.pieces.iter().map(|p| u32::from(p.count)).sum();
    let subtitle = format!(
        "{} from {}, sorted for one walk",
        count_with_noun(pieces as usize, "piece"),
        job.store.title
    );
    let foot = title_block_cells(job, &[("store", job.store.title.clone())]);
    let mut blocks = vec![walk_table(job)];
    push_section(&mut blocks, "Special tools that the book names", special_tools_table(job));
    push_section(&mut blocks, "Take more than one", pieces_wanted_twice(job));
    let (now, later) = split_ready_stacks(job);
    push_section(&mut blocks, "Put together before you start", stacks_table(&now));
    push_section(&mut blocks, "Put together when needed, from what is on the cart", stacks_table(&later));
    push_section(&mut blocks, "What goes back when", return_table(job));
    vec![flow_sheet("Kit sheet", &subtitle, foot, blocks)]
}

/// Every piece under its place, once.
fn walk_table(job: &PaperJob<'_>) -> PaperBlock {
    let spans = words::piece_spans(job.plan);
    let columns = vec![
        PaperColumn::of_words("take", 7.0),
        PaperColumn::of_figures("pcs", 1.0),
        PaperColumn::of_figures("acts", 1.0),
        PaperColumn::of_figures("last used", 1.6),
        PaperColumn::of_words("back", 1.0),
    ];
    let mut lines: Vec<&KitLine> = job.plan.kit.pieces.iter().collect();
    lines.sort_by(|a, b| (&a.place, &a.piece).cmp(&(&b.place, &b.piece)));
    let mut rows = Vec::new();
    let mut last = None;
    for line in lines {
        if last != Some(&line.place) {
            rows.push(PaperRow::heading(&line.place.to_string()));
            last = Some(&line.place);
        }
        let used = spans.get(line.piece.as_str()).map_or_else(String::new, |(_, to)| format!("step {to}"));
        rows.push(PaperRow::of_cells(vec![
            PaperCell::Tick(line.title.clone()),
            PaperCell::Words(line.count.to_string()),
            PaperCell::Words(line.duties.to_string()),
            PaperCell::Words(used),
            PaperCell::Tick(String::new()),
        ]));
    }
    PaperBlock::Table { columns, rows }
}

fn special_tools_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let line = |(tool, key): &(String, String)| {
        let piece = job.store.piece_by_key(key).map(|id| job.store.piece(id));
        PaperRow::of_cells(vec![
            PaperCell::Tick(piece.map_or_else(|| key.clone(), |p| p.title.clone())),
            PaperCell::Words(titles::any_title(job.book, tool)),
            PaperCell::Words(piece.map_or_else(String::new, |p| p.place.to_string())),
        ])
    };
    let columns = vec![
        PaperColumn::of_words("take", 4.0),
        PaperColumn::of_words("serves as", 4.0),
        PaperColumn::of_words("kept in", 3.0),
    ];
    table_if_any(columns, job.plan.kit.special.iter().map(line).collect())
}

fn pieces_wanted_twice(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let more = job.plan.kit.pieces.iter().filter(|line| line.count > 1);
    let words: Vec<String> = more.map(|line| format!("{} x {}", line.count, line.title)).collect();
    if words.is_empty() { Vec::new() } else { vec![PaperBlock::Text(words.join("; "))] }
}

/// A stack with the step that first uses it and the number of acts that it does.
type StackUse<'a> = (&'a StackLine, u32, usize);

/// Stacks that can be kept joined together from the pieces on the cart, the busiest first, and those that cannot.
fn split_ready_stacks<'a>(job: &PaperJob<'a>) -> (Vec<StackUse<'a>>, Vec<StackUse<'a>>) {
    let mut left: BTreeMap<&str, u16> = BTreeMap::new();
    for line in &job.plan.kit.pieces {
        left.insert(line.piece.as_str(), line.count);
    }
    let mut used: Vec<StackUse<'a>> = words::stacks_of_steps(record::steps_of(job.plan))
        .into_iter()
        .filter_map(|(id, _, step)| {
            let stack = job.plan.stacks.iter().find(|s| s.id == id && s.pieces.len() > 1)?;
            let acts = job.plan.duties.iter().filter(|d| d.stack.as_deref() == Some(id)).count();
            Some((stack, step, acts))
        })
        .collect();
    used.sort_by(|a, b| b.2.cmp(&a.2).then_with(|| a.1.cmp(&b.1)));
    let (mut now, mut later) = (Vec::new(), Vec::new());
    for line in used {
        if take_pieces(&mut left, &line.0.pieces) { now.push(line) } else { later.push(line) }
    }
    later.sort_by_key(|line| line.1);
    (now, later)
}

/// Takes pieces from what is left, all of them or none.
fn take_pieces<'a>(left: &mut BTreeMap<&'a str, u16>, pieces: &'a [String]) -> bool {
    let mut then = left.clone();
    for piece in pieces {
        match then.get_mut(piece.as_str()) {
            Some(count) if *count > 0 => *count -= 1,
            _ => return false,
        }
    }
    *left = then;
    true
}

fn stacks_table(lines: &[StackUse<'_>]) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_words("stack", 1.3),
        PaperColumn::of_words("from the fastener to the hand", 8.0),
        PaperColumn::of_figures("acts", 1.0),
        PaperColumn::of_figures("first used", 1.6),
    ];
    let line = |(stack, step, acts): &StackUse<'_>| {
        PaperRow::of_cells(vec![
            PaperCell::Tick(stack.id.clone()),
            PaperCell::Words(stack.words.clone()),
            PaperCell::Words(acts.to_string()),
            PaperCell::Words(format!("step {step}")),
        ])
    };
    table_if_any(columns, lines.iter().map(line).collect())
}

/// Pieces by the last step that uses them.
fn return_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let spans = words::piece_spans(job.plan);
    let mut lines: Vec<(u32, &KitLine)> = job
        .plan
        .kit
        .pieces
        .iter()
        .filter_map(|line| spans.get(line.piece.as_str()).map(|(_, to)| (*to, line)))
        .collect();
    lines.sort_by(|a, b| (a.0, &a.1.place, &a.1.piece).cmp(&(b.0, &b.1.place, &b.1.piece)));
    let columns = vec![
        PaperColumn::of_words("after", 1.5),
        PaperColumn::of_words("piece", 6.0),
        PaperColumn::of_words("back into", 4.0),
    ];
    let row = |(step, line): &(u32, &KitLine)| {
        PaperRow::of_cells(vec![
            PaperCell::Tick(format!("step {step}")),
            PaperCell::Words(line.title.clone()),
            PaperCell::Words(line.place.to_string()),
        ])
    };
    table_if_any(columns, lines.iter().map(row).collect())
}
