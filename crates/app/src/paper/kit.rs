//! Kit sheet: what has to lie on the cart, by where it is kept; stacks to put together; what goes back when.

use std::collections::BTreeMap;

use model::plan::{KitLine, StackLine};
use print::paper::{Block, Cell, Column, Row, Sheet};

use super::Job;
use super::words::{self, count, flow, foot, table, under};
use crate::titles;

pub(super) fn sheets(job: &Job<'_>) -> Vec<Sheet> {
    let pieces: u32 = job.plan.kit.pieces.iter().map(|p| u32::from(p.count)).sum();
    let subtitle =
        format!("{} from {}, sorted for one walk", count(pieces as usize, "piece"), job.store.title);
    let foot = foot(job, &[("store", job.store.title.clone())]);
    let mut blocks = vec![walk(job)];
    under(&mut blocks, "Asked for by name", special(job));
    under(&mut blocks, "Take more than one", twice(job));
    let (now, later) = beforehand(job);
    under(&mut blocks, "Put together before you start", stacks(&now));
    under(&mut blocks, "Put together as they come, from what lies on the cart", stacks(&later));
    under(&mut blocks, "What goes back when", back(job));
    vec![flow("Kit sheet", &subtitle, foot, blocks)]
}

/// Every piece under its place, once.
fn walk(job: &Job<'_>) -> Block {
    let spans = words::spans(job.plan);
    let columns = vec![
        Column::words("take", 7.0),
        Column::figures("pcs", 1.0),
        Column::figures("acts", 1.0),
        Column::figures("last used", 1.6),
        Column::words("back", 1.0),
    ];
    let mut lines: Vec<&KitLine> = job.plan.kit.pieces.iter().collect();
    lines.sort_by(|a, b| (&a.place, &a.piece).cmp(&(&b.place, &b.piece)));
    let mut rows = Vec::new();
    let mut last = None;
    for line in lines {
        if last != Some(&line.place) {
            rows.push(Row::heading(&line.place.to_string()));
            last = Some(&line.place);
        }
        let used = spans.get(line.piece.as_str()).map_or_else(String::new, |(_, to)| format!("step {to}"));
        rows.push(Row::of(vec![
            Cell::Tick(line.title.clone()),
            Cell::Words(line.count.to_string()),
            Cell::Words(line.duties.to_string()),
            Cell::Words(used),
            Cell::Tick(String::new()),
        ]));
    }
    Block::Table { columns, rows }
}

fn special(job: &Job<'_>) -> Vec<Block> {
    let line = |(tool, key): &(String, String)| {
        let piece = job.store.piece_by_key(key).map(|id| job.store.piece(id));
        Row::of(vec![
            Cell::Tick(piece.map_or_else(|| key.clone(), |p| p.title.clone())),
            Cell::Words(titles::any(job.book, tool)),
            Cell::Words(piece.map_or_else(String::new, |p| p.place.to_string())),
        ])
    };
    let columns =
        vec![Column::words("take", 4.0), Column::words("answers to", 4.0), Column::words("kept in", 3.0)];
    table(columns, job.plan.kit.special.iter().map(line).collect())
}

fn twice(job: &Job<'_>) -> Vec<Block> {
    let more = job.plan.kit.pieces.iter().filter(|line| line.count > 1);
    let words: Vec<String> = more.map(|line| format!("{} x {}", line.count, line.title)).collect();
    if words.is_empty() { Vec::new() } else { vec![Block::Text(words.join("; "))] }
}

/// A stack with the step that first uses it and the number of acts that it does.
type Used<'a> = (&'a StackLine, u32, usize);

/// Stacks that can stand ready together from the pieces on the cart, the busiest first, and those that cannot.
fn beforehand<'a>(job: &Job<'a>) -> (Vec<Used<'a>>, Vec<Used<'a>>) {
    let mut left: BTreeMap<&str, u16> = BTreeMap::new();
    for line in &job.plan.kit.pieces {
        left.insert(line.piece.as_str(), line.count);
    }
    let mut used: Vec<Used<'a>> = words::stacks(journal::steps_of(job.plan))
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
        if take(&mut left, &line.0.pieces) { now.push(line) } else { later.push(line) }
    }
    later.sort_by_key(|line| line.1);
    (now, later)
}

/// Takes pieces from what is left, all of them or none.
fn take<'a>(left: &mut BTreeMap<&'a str, u16>, pieces: &'a [String]) -> bool {
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

fn stacks(lines: &[Used<'_>]) -> Vec<Block> {
    let columns = vec![
        Column::words("stack", 1.3),
        Column::words("from the fastener to the hand", 8.0),
        Column::figures("acts", 1.0),
        Column::figures("first used", 1.6),
    ];
    let line = |(stack, step, acts): &Used<'_>| {
        Row::of(vec![
            Cell::Tick(stack.id.clone()),
            Cell::Words(stack.words.clone()),
            Cell::Words(acts.to_string()),
            Cell::Words(format!("step {step}")),
        ])
    };
    table(columns, lines.iter().map(line).collect())
}

/// Pieces by the last step that uses them.
fn back(job: &Job<'_>) -> Vec<Block> {
    let spans = words::spans(job.plan);
    let mut lines: Vec<(u32, &KitLine)> = job
        .plan
        .kit
        .pieces
        .iter()
        .filter_map(|line| spans.get(line.piece.as_str()).map(|(_, to)| (*to, line)))
        .collect();
    lines.sort_by(|a, b| (a.0, &a.1.place, &a.1.piece).cmp(&(b.0, &b.1.place, &b.1.piece)));
    let columns =
        vec![Column::words("after", 1.5), Column::words("piece", 6.0), Column::words("back into", 4.0)];
    let row = |(step, line): &(u32, &KitLine)| {
        Row::of(vec![
            Cell::Tick(format!("step {step}")),
            Cell::Words(line.title.clone()),
            Cell::Words(line.place.to_string()),
        ])
    };
    table(columns, lines.iter().map(row).collect())
}
