//! Kit sheet: what has to lie on the cart, by where it is kept, and when it goes back; stacks to put together.

use std::collections::BTreeMap;

use model::plan::{DoubtedDuty, KitLine, StackLine};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet, SheetBody};

use super::words::{self, push_section, table_if_any, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::text::kit_doubt;
use crate::text::table::count_with_noun;
use crate::titles;

pub(super) fn kit_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let pieces: u32 = job.plan.kit.pieces.iter().map(|p| u32::from(p.count)).sum();
    let subtitle = format!(
        "{} from {}, sorted for one walk",
        count_with_noun(pieces as usize, "piece"),
        job.store.title
    );
    let mut blocks = vec![walk_table(job)];
    push_section(&mut blocks, "Special tools that the book names", special_tools_table(job));
    push_section(&mut blocks, "Where the stack of the step does not fit", doubt_table(job));
    push_section(&mut blocks, "Put together before you start", stacks_table(&ready_stacks(job)));
    Ok(vec![PaperSheet {
        title: SheetKind::Kit.title().into(),
        subtitle,
        foot: title_block_cells(job, &[]),
        body: SheetBody::TwoColumns(blocks),
    }])
}

/// Every piece under its place, once, with the step after which it can go back.
fn walk_table(job: &PaperJob<'_>) -> PaperBlock {
    let spans = words::piece_spans(job.plan);
    let columns = vec![
        PaperColumn::of_words("take", 4.4),
        PaperColumn::of_words("from", 4.0),
        PaperColumn::of_words("last step", 1.6),
    ];
    let mut lines: Vec<&KitLine> = job.plan.kit.pieces.iter().collect();
    lines.sort_by(|a, b| (&a.place, &a.piece).cmp(&(&b.place, &b.piece)));
    let row = |line: &&KitLine| {
        let used = spans.get(line.piece.as_str()).map_or_else(String::new, |(_, to)| to.to_string());
        let count = if line.count > 1 { format!("{} × ", line.count) } else { String::new() };
        let title = super::jobs::keep_sizes_whole(&line.title);
        let why = kit_doubt::carried_for_words(line);
        PaperRow::of_cells(vec![
            PaperCell::Tick(format!("{count}{title}{why}")),
            PaperCell::Words(line.place.to_string()),
            PaperCell::Tick(used),
        ])
    };
    let rows = lines.iter().map(row).collect();
    PaperBlock::Table { columns, rows }
}

fn special_tools_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let line = |(tool, key): &(String, String)| {
        let piece = job.store.piece_by_key(key).map(|id| job.store.piece(id));
        let title = piece.map_or_else(|| key.clone(), |p| p.title.clone());
        let serves = titles::any_title(job.book, tool);
        PaperRow::of_cells(vec![
            PaperCell::Tick(format!("{title} (as the {serves})")),
            PaperCell::Words(piece.map_or_else(String::new, |p| p.place.to_string())),
        ])
    };
    let columns = vec![PaperColumn::of_words("take", 6.0), PaperColumn::of_words("from", 4.0)];
    table_if_any(columns, job.plan.kit.special.iter().map(line).collect())
}

/// What the cart serves of fasteners in doubt, and the stacks to take instead.
fn doubt_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(doubt) = &job.plan.kit.doubt else { return Vec::new() };
    let columns = vec![PaperColumn::of_words("fasteners", 4.0), PaperColumn::of_words("take instead", 6.0)];
    let row = |line: &DoubtedDuty| {
        let all: Vec<&str> = line.instead.iter().map(|stack| stack.words.as_str()).collect();
        let title = titles::any_title(job.book, &line.fixing);
        (!all.is_empty()).then(|| {
            PaperRow::of_cells(vec![
                PaperCell::Words(format!("{title}: {}", line.act)),
                PaperCell::Words(all.join("; or ")),
            ])
        })
    };
    let mut blocks = vec![PaperBlock::Text(kit_doubt::served_words(doubt))];
    blocks.extend(table_if_any(columns, doubt.duties.iter().filter_map(row).collect()));
    blocks
}

/// A stack with the step that first uses it and the number of acts that it does.
type StackUse<'a> = (&'a StackLine, u32, usize);

/// Most stacks told: the busiest are worth keeping joined, the rest is put together from what lies on the cart.
const MAX_READY: usize = 6;

/// Stacks that can be kept joined together from the pieces on the cart, the busiest first.
fn ready_stacks<'a>(job: &PaperJob<'a>) -> Vec<StackUse<'a>> {
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
    used.retain(|line| take_pieces(&mut left, &line.0.pieces));
    used.truncate(MAX_READY);
    used
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
        PaperColumn::of_words("from the fastener to the hand", 7.0),
        PaperColumn::of_words("first used", 2.0),
    ];
    let line = |(stack, step, _): &StackUse<'_>| {
        PaperRow::of_cells(vec![
            PaperCell::Tick(stack.words.clone()),
            PaperCell::Words(format!("step {step}")),
        ])
    };
    table_if_any(columns, lines.iter().map(line).collect())
}
