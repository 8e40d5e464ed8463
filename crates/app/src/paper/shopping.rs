//! Shopping sheet: missing pieces with their specification, parts and supplies with known prices, caps and rescue.

use model::PieceSpec;
use model::plan::{RescueLine, ShoppingLine, SupplyLine};
use print::paper::{Block, Cell, Column, Row, Sheet};
use units::{Money, significant};

use super::Job;
use super::words::{self, flow, foot, table, under};
use crate::text::readiness::verb;
use crate::titles;

pub(super) fn sheets(job: &Job<'_>) -> Vec<Sheet> {
    let ready = &job.plan.readiness;
    let mut blocks = Vec::new();
    let none =
        "Nothing is missing for this job: every fastener in the way can be worked with what is at hand.";
    if ready.shopping.is_empty() && ready.not_at_hand.is_empty() {
        blocks.push(Block::Text(none.into()));
    }
    under(&mut blocks, "Buy, borrow or make", pieces(job));
    under(&mut blocks, "Owned, but not at hand", away(job));
    under(&mut blocks, "Parts and supplies before the start", supplies(job, true));
    under(&mut blocks, "Parts and supplies for later", supplies(job, false));
    if !ready.supplies.is_empty() {
        blocks.push(Block::Small(together(job)));
    }
    under(&mut blocks, "Caps for openings", caps(job));
    under(&mut blocks, "May break, round off or seize: have ready", rescue(job));
    blocks.push(Block::Blanks { label: "Besides".into(), lines: 4 });
    vec![flow(
        "Shopping sheet",
        &job.book.title,
        foot(job, &[("currency", job.plan.currency.clone())]),
        blocks,
    )]
}

fn pieces(job: &Job<'_>) -> Vec<Block> {
    let columns = vec![
        Column::words("", 1.6),
        Column::words("what", 5.0),
        Column::words("specification", 5.0),
        Column::words("unlocks", 4.0),
    ];
    let line = |line: &ShoppingLine| {
        Row::of(vec![
            Cell::Tick(verb(line.how).into()),
            Cell::Bold(line.words.clone()),
            Cell::Words(line.spec.as_ref().map_or_else(String::new, specification)),
            Cell::Words(titles::all(job.book, &line.unlocks)),
        ])
    };
    table(columns, job.plan.readiness.shopping.iter().map(line).collect())
}

/// The figures of a specification, one after the other.
fn specification(spec: &PieceSpec) -> String {
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
    words.extend(spec.bend_deg.map(|bend_deg| format!("bends by {}°", significant(bend_deg, 3))));
    if spec.retention {
        words.push(String::from("holds the fastener"));
    }
    words.join("; ")
}

fn away(job: &Job<'_>) -> Vec<Block> {
    let columns =
        vec![Column::words("fetch", 5.0), Column::words("where it is", 3.0), Column::words("wanted by", 5.0)];
    let line = |line: &model::plan::NotAtHand| {
        Row::of(vec![
            Cell::Tick(line.title.clone()),
            Cell::Words(line.state.clone()),
            Cell::Words(titles::all(job.book, &line.wanted_by)),
        ])
    };
    table(columns, job.plan.readiness.not_at_hand.iter().map(line).collect())
}

fn supplies(job: &Job<'_>, before_start: bool) -> Vec<Block> {
    let columns = vec![
        Column::figures("pcs", 1.0),
        Column::words("what", 6.0),
        Column::words("for", 4.0),
        Column::figures("price", 2.0),
        Column::words("paid", 1.5),
    ];
    let wanted = job.plan.readiness.supplies.iter().filter(|s| s.supply.before_start == before_start);
    let line = |line: &SupplyLine| {
        let price = price(line).map_or_else(|| String::from("not known"), |p| p.to_string());
        Row::of(vec![
            Cell::Words(line.supply.count.to_string()),
            Cell::Tick(line.supply.name.clone()),
            Cell::Words(titles::all(job.book, &line.wanted_by)),
            Cell::Words(price),
            Cell::Blank,
        ])
    };
    table(columns, wanted.map(line).collect())
}

/// The price of all pieces of a line, where that of one is known.
pub(super) fn price(line: &SupplyLine) -> Option<Money> {
    line.supply.price_cents.map(|p| Money::from_cents(p.as_cents() * i64::from(line.supply.count)))
}

fn together(job: &Job<'_>) -> String {
    let lines = &job.plan.readiness.supplies;
    let total: Money = lines.iter().filter_map(price).sum();
    let unknown = lines.iter().filter(|line| line.supply.price_cents.is_none()).count();
    let rest = match unknown {
        0 => String::new(),
        n => format!("; no price is known for {}", words::count(n, "line")),
    };
    format!("Together {total} {} by the prices in the book{rest}.", job.plan.currency)
}

fn caps(job: &Job<'_>) -> Vec<Block> {
    let columns = vec![
        Column::figures("pcs", 1.0),
        Column::words("cap", 5.0),
        Column::words("opening", 5.0),
        Column::words("once this is off", 4.0),
    ];
    let line = |line: &model::plan::CapLine| {
        let cap = line
            .cap
            .clone()
            .unwrap_or_else(|| String::from("cannot be capped: tools over it hold the fastener"));
        Row::of(vec![
            Cell::Words(line.count.to_string()),
            Cell::Tick(cap),
            Cell::Words(titles::opening(job.book, &line.opening)),
            Cell::Words(titles::part(job.book, &line.uncovered_by)),
        ])
    };
    table(columns, job.plan.readiness.caps.iter().map(line).collect())
}

fn rescue(job: &Job<'_>) -> Vec<Block> {
    let columns = vec![
        Column::figures("pcs", 1.0),
        Column::words("fixing", 4.0),
        Column::words("in the order of use", 8.0),
    ];
    let line = |line: &RescueLine| {
        Row::of(vec![
            Cell::Words(line.count.to_string()),
            Cell::Words(titles::fixing(job.book, &line.fixing)),
            Cell::Tick(line.items.join("; ")),
        ])
    };
    table(columns, job.plan.readiness.rescue.iter().map(line).collect())
}
