//! Shopping sheet: missing pieces with their specification, parts and supplies with known prices, caps and rescue.

use model::PieceSpec;
use model::plan::{RescueLine, ShoppingLine, SupplyLine};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use units::{Money, significant};

use super::PaperJob;
use super::words::{flow_sheet, push_section, table_if_any, title_block_cells};
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
    push_section(&mut blocks, "May break, round off or seize: have ready", rescue_table(job));
    blocks.push(PaperBlock::Blanks { label: "Also needed".into(), lines: 4 });
    vec![flow_sheet(
        "Shopping sheet",
        &job.book.title,
        title_block_cells(job, &[("currency", job.plan.currency.clone())]),
        blocks,
    )]
}

fn missing_pieces(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_words("", 1.6),
        PaperColumn::of_words("what", 5.0),
        PaperColumn::of_words("specification", 5.0),
        PaperColumn::of_words("unlocks", 4.0),
    ];
    let line = |line: &ShoppingLine| {
        PaperRow::of_cells(vec![
            PaperCell::Tick(obtain_verb(line.how).into()),
            PaperCell::Bold(line.words.clone()),
            PaperCell::Words(line.spec.as_ref().map_or_else(String::new, specification_words)),
            PaperCell::Words(titles::joined_titles(job.book, &line.unlocks)),
        ])
    };
    table_if_any(columns, job.plan.readiness.shopping.iter().map(line).collect())
}

/// The figures of a specification, one after the other.
fn specification_words(spec: &PieceSpec) -> String {
    let mut words = Vec::new();
    words.extend(spec.drive.map(|drive| format!("for {drive}")));
    words.extend(spec.link.map(|link| format!("drive {link}")));
    match (spec.min_length_mm, spec.max_length_mm) {
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
        PaperColumn::of_figures("pcs", 1.0),
        PaperColumn::of_words("what", 6.0),
        PaperColumn::of_words("for", 4.0),
        PaperColumn::of_figures("price", 2.0),
        PaperColumn::of_words("paid", 1.5),
    ];
    let wanted = job.plan.readiness.supplies.iter().filter(|s| s.supply.before_start == before_start);
    let line = |line: &SupplyLine| {
        let price = supply_line_price(line).map_or_else(|| String::from("not known"), |p| p.to_string());
        PaperRow::of_cells(vec![
            PaperCell::Words(line.supply.count.to_string()),
            PaperCell::Tick(line.supply.name.clone()),
            PaperCell::Words(titles::joined_titles(job.book, &line.wanted_by)),
            PaperCell::Words(price),
            PaperCell::Blank,
        ])
    };
    table_if_any(columns, wanted.map(line).collect())
}

/// The price of all pieces of a line, where that of one is known.
pub(super) fn supply_line_price(line: &SupplyLine) -> Option<Money> {
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
    format!("Total {total} {} at the prices in the book{rest}.", job.plan.currency)
}

fn caps_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_figures("pcs", 1.0),
        PaperColumn::of_words("cap", 5.0),
        PaperColumn::of_words("opening", 5.0),
        PaperColumn::of_words("once this is off", 4.0),
    ];
    let line = |line: &model::plan::CapLine| {
        let cap = line.cap.clone().unwrap_or_else(|| {
            String::from("cannot be capped: above it, use tools that retain the fastener")
        });
        PaperRow::of_cells(vec![
            PaperCell::Words(line.count.to_string()),
            PaperCell::Tick(cap),
            PaperCell::Words(titles::opening_title(job.book, &line.opening)),
            PaperCell::Words(titles::part_title(job.book, &line.uncovered_by)),
        ])
    };
    table_if_any(columns, job.plan.readiness.caps.iter().map(line).collect())
}

fn rescue_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_figures("pcs", 1.0),
        PaperColumn::of_words("fixing", 4.0),
        PaperColumn::of_words("in the order of use", 8.0),
    ];
    let line = |line: &RescueLine| {
        PaperRow::of_cells(vec![
            PaperCell::Words(line.count.to_string()),
            PaperCell::Words(titles::fixing_title(job.book, &line.fixing)),
            PaperCell::Tick(line.items.join("; ")),
        ])
    };
    table_if_any(columns, job.plan.readiness.rescue.iter().map(line).collect())
}
