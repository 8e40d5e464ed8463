//! Shopping sheet: missing pieces with their specification, parts and supplies with known prices, caps and rescue.

use model::PieceSpec;
use model::plan::{ShoppingLine, SupplyLine};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet, SheetBody};
use units::{Money, significant};

use super::words::{as_sentence, push_section, table_if_any, title_block_cells};
use super::{PaperJob, SheetKind};
use crate::text::readiness::obtain_verb;
use crate::text::table::count_with_noun;
use crate::titles;

pub(super) fn shopping_sheets(job: &PaperJob<'_>) -> Vec<PaperSheet> {
    let ready = &job.plan.readiness;
    let mut blocks = Vec::new();
    let none =
        "Nothing is missing for this job: every fastener in the way can be reached with the tools at hand.";
    if ready.shopping.is_empty() && ready.not_at_hand.is_empty() {
        blocks.push(PaperBlock::Text(none.into()));
    }
    push_section(&mut blocks, "Buy, borrow or make", missing_pieces(job));
    push_section(&mut blocks, "Owned, but not at hand", pieces_not_at_hand(job));
    push_section(&mut blocks, "Parts and supplies before the start", supplies_table(job, true));
    push_section(&mut blocks, "Parts and supplies for later", supplies_table(job, false));
    if !ready.supplies.is_empty() {
        blocks.push(PaperBlock::Small(supplies_total_words(job)));
    }
    push_section(&mut blocks, "Caps for openings", caps_table(job));
    push_section(
        &mut blocks,
        "Cannot be capped: above them, use tools that retain the fastener",
        uncapped(job),
    );
    push_section(&mut blocks, "May break, round off or seize: have ready", rescue_table(job));
    vec![PaperSheet {
        title: SheetKind::Shopping.title().into(),
        subtitle: job.book.title.clone(),
        foot: title_block_cells(job, &[]),
        body: SheetBody::TwoColumns(blocks),
    }]
}

fn missing_pieces(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_words("", 2.0),
        PaperColumn::of_words("what, and what it opens the way to", 8.0),
    ];
    let line = |line: &ShoppingLine| {
        PaperRow::of_cells(vec![
            PaperCell::Tick(obtain_verb(line.how).into()),
            PaperCell::Words(what_words(job, line)),
        ])
    };
    table_if_any(columns, job.plan.readiness.shopping.iter().map(line).collect())
}

/// What is missing, with the figures of its specification that the words do not say.
fn what_words(job: &PaperJob<'_>, line: &ShoppingLine) -> String {
    let spec = line.spec.as_ref().map_or_else(String::new, specification_words);
    let mut words = vec![line.words.clone()];
    if !spec.is_empty() {
        words.push(spec);
    }
    if !line.unlocks.is_empty() {
        words.push(format!("for {}", titles::joined_titles(job.book, &line.unlocks)));
    }
    words.join("; ")
}

/// The figures of a specification, one after the other.
fn specification_words(spec: &PieceSpec) -> String {
    let mut words = Vec::new();
    words.extend(spec.drive.map(|drive| format!("for {drive}")));
    words.extend(spec.link.map(|link| format!("drive {link}")));
    match (spec.min_length_mm, spec.max_length_mm) {
        (Some(low_mm), Some(high_mm)) if significant(low_mm, 3) == significant(high_mm, 3) => {
            words.push(format!("length {} mm", significant(low_mm, 3)));
        }
        (Some(low_mm), Some(high_mm)) => {
            words.push(format!("length {} to {} mm", significant(low_mm, 3), significant(high_mm, 3)));
        }
        (Some(low_mm), None) => words.push(format!("length at least {} mm", significant(low_mm, 3))),
        (None, Some(high_mm)) => words.push(format!("length at most {} mm", significant(high_mm, 3))),
        (None, None) => {}
    }
    words.extend(spec.max_diameter_mm.map(|d_mm| format!("diameter at most {} mm", significant(d_mm, 3))));
    words.extend(spec.torque_n_m.map(|t_n_m| format!("for {} N·m", significant(t_n_m, 3))));
    words.extend(spec.max_step_deg.map(|step_deg| format!("step at most {}°", significant(step_deg, 3))));
    words.extend(spec.bend_deg.map(|bend_deg| format!("bends by at least {}°", significant(bend_deg, 3))));
    if spec.retention {
        words.push(String::from("retains the fastener"));
    }
    words.join("; ")
}

fn pieces_not_at_hand(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_words("fetch", 5.0),
        PaperColumn::of_words("where it is", 3.0),
        PaperColumn::of_words("needed for", 5.0),
    ];
    let line = |line: &model::plan::NotAtHandLine| {
        PaperRow::of_cells(vec![
            PaperCell::Tick(line.title.clone()),
            PaperCell::Words(line.state.spoken_word().into()),
            PaperCell::Words(titles::joined_titles(job.book, &line.wanted_by)),
        ])
    };
    table_if_any(columns, job.plan.readiness.not_at_hand.iter().map(line).collect())
}

fn supplies_table(job: &PaperJob<'_>, before_start: bool) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_figures("pcs", 1.1),
        PaperColumn::of_words("what, and for what", 8.0),
        PaperColumn::of_figures("price", 1.7),
    ];
    let wanted = job.plan.readiness.supplies.iter().filter(|s| s.supply.before_start == before_start);
    let line = |line: &SupplyLine| {
        let price = supply_line_price(line).map_or_else(|| String::from("not known"), |p| p.to_string());
        PaperRow::of_cells(vec![
            PaperCell::Words(line.supply.count.to_string()),
            PaperCell::Tick(supply_words(job, line)),
            PaperCell::Words(price),
        ])
    };
    table_if_any(columns, wanted.map(line).collect())
}

/// What it is, and what needs it where the name does not say so.
fn supply_words(job: &PaperJob<'_>, line: &SupplyLine) -> String {
    let wanted_by = titles::joined_titles(job.book, &line.wanted_by);
    let name = &line.supply.name;
    if wanted_by.is_empty() || name.to_lowercase().contains(&wanted_by.to_lowercase()) {
        name.clone()
    } else {
        format!("{name} ({wanted_by})")
    }
}

/// The price of all pieces of a line, where that of one is known.
pub(crate) fn supply_line_price(line: &SupplyLine) -> Option<Money> {
    line.supply.price_cents.map(|p| Money::from_cents(p.as_cents() * i64::from(line.supply.count)))
}

fn supplies_total_words(job: &PaperJob<'_>) -> String {
    let lines = &job.plan.readiness.supplies;
    let total: Money = lines.iter().filter_map(supply_line_price).sum();
    let unknown = lines.iter().filter(|line| line.supply.price_cents.is_none()).count();
    let rest = match unknown {
        0 => String::new(),
        n => format!("; no price is known for {}", count_with_noun(n, "line")),
    };
    format!(
        "Prices are of all pieces of a line. Total {total} {} at the prices in the book{rest}.",
        job.plan.currency
    )
}

fn caps_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_figures("pcs", 1.1),
        PaperColumn::of_words("cap", 4.0),
        PaperColumn::of_words("opening, once this is off", 5.0),
    ];
    let line = |line: &model::plan::CapLine| {
        line.cap.as_ref().map(|cap| {
            PaperRow::of_cells(vec![
                PaperCell::Words(line.count.to_string()),
                PaperCell::Tick(cap.clone()),
                PaperCell::Words(opening_words(job, line)),
            ])
        })
    };
    table_if_any(columns, job.plan.readiness.caps.iter().filter_map(line).collect())
}

/// Openings that no cap closes.
fn uncapped(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let open = job.plan.readiness.caps.iter().filter(|line| line.cap.is_none());
    let told: Vec<String> = open.map(|line| opening_words(job, line)).collect();
    if told.is_empty() { Vec::new() } else { vec![PaperBlock::Small(as_sentence(&told.join("; ")))] }
}

/// "intake ports, once the intake manifold is off".
fn opening_words(job: &PaperJob<'_>, line: &model::plan::CapLine) -> String {
    let opening = titles::opening_title(job.book, &line.opening);
    format!("{opening} ({})", titles::part_title(job.book, &line.uncovered_by))
}

/// What to have ready for each kind of trouble, with the fixings that it is for.
fn rescue_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for line in &job.plan.readiness.rescue {
        let of = format!("{} × {}", line.count, titles::fixing_title(job.book, &line.fixing));
        let items = line.items.join("; ");
        match groups.iter_mut().find(|(known, _)| *known == items) {
            Some((_, fixings)) => fixings.push(of),
            None => groups.push((items, vec![of])),
        }
    }
    let block = |(items, fixings): (String, Vec<String>)| {
        PaperBlock::Small(format!("{}: {}", fixings.join(", "), as_sentence(&items)))
    };
    groups.into_iter().map(block).collect()
}
