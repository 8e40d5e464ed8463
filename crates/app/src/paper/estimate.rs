//! Estimate: the work as a range of hours, the way in once, parts, what may turn up with its chance and price, and the workshop's own words.

use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use times::shown::range_words;

use super::PaperJob;
use super::words::{self, as_sentence, flow_sheet, push_section, table_if_any, title_block_cells};
use crate::evidence::estimate::{
    EstimateLine, EstimateRisk, JobEstimate, about_amount_words, about_span_words, amount_words,
    estimate_job, span_words,
};
use crate::job_hours::RANGE_MEANING;
use crate::text::table::count_with_noun;

/// What is said where the workshop has set no words of its own.
const NO_RULES: &str = "What an estimate must say, how far it binds and by how much the bill may exceed it is set by the law of the place. \
                        This program knows none of it; the workshop sets its own words on the page Workshop.";

pub(super) fn estimate_sheets(job: &PaperJob<'_>) -> Vec<PaperSheet> {
    let estimate = job_estimate(job);
    let mut blocks = total_blocks(job, &estimate);
    push_section(&mut blocks, "What was asked", vec![work_table(job, &estimate)]);
    push_section(&mut blocks, "Found, and you want it done", risk_table(job, &estimate.approved, false));
    push_section(&mut blocks, "If it is found", risk_table(job, &estimate.if_found, true));
    let judged = estimate.if_found.iter().any(|risk| risk.chance_percent.is_some());
    if judged {
        let average = about_amount_words(estimate.average_extra_cents, &job.plan.currency);
        blocks.push(PaperBlock::Small(format!(
            "Chances and prices here are the mechanic's judgement. By them such jobs cost {average} more on average."
        )));
    }
    let own = job.terms.estimate_words.trim();
    blocks.push(PaperBlock::Text(if own.is_empty() { NO_RULES.into() } else { own.to_owned() }));
    blocks.push(PaperBlock::Columns(vec![
        vec![PaperBlock::Blanks { label: "Workshop, date".into(), lines: 1 }],
        vec![PaperBlock::Blanks { label: "Agreed by the owner up to, date".into(), lines: 1 }],
    ]));
    vec![flow_sheet("Estimate", &words::vehicle_title(job), title_block_cells(job, &[]), blocks)]
}

/// The estimate of a job by the hours of its plan.
pub(super) fn job_estimate(job: &PaperJob<'_>) -> JobEstimate {
    estimate_job((job.book, job.plan), job.state(), &job.terms, &job.hours())
}

fn total_blocks(job: &PaperJob<'_>, estimate: &JobEstimate) -> Vec<PaperBlock> {
    let currency = &job.plan.currency;
    let hours = format!(
        "Work: {}; {RANGE_MEANING}. It rests on {}.",
        range_words(estimate.hands_s),
        job.times.words()
    );
    let mut blocks = Vec::new();
    match (estimate.fixed, job.terms.cents_per_hour) {
        (Some(fixed), Some(rate)) => {
            let open = if estimate.unpriced > 0 {
                format!(", without {} of unknown price", count_with_noun(estimate.unpriced, "line of parts"))
            } else {
                String::new()
            };
            blocks.push(PaperBlock::Large(as_sentence(&format!(
                "work and parts as asked: {}{open}",
                about_span_words(fixed, currency)
            ))));
            let most = estimate.most_cents.filter(|most| *most > fixed.to_cents);
            blocks.extend(most.map(|most| {
                PaperBlock::Text(format!(
                    "If all of what is named below were found: up to {}.",
                    about_amount_words(most, currency)
                ))
            }));
            blocks.push(PaperBlock::Text(format!("{hours} An hour costs {}.", amount_words(rate, currency))));
        }
        _ => {
            blocks.push(PaperBlock::Text(hours));
            blocks.push(PaperBlock::Text("No price of an hour is set; set it on the page Workshop.".into()));
        }
    }
    blocks
}

fn work_table(job: &PaperJob<'_>, estimate: &JobEstimate) -> PaperBlock {
    let currency = &job.plan.currency;
    let parts = |cents: i64, unpriced: usize| match (cents, unpriced) {
        (0, 0) => String::from("none"),
        (0, _) => String::from("price not known"),
        (_, 0) => amount_words(cents, currency),
        (_, lines) => format!("{}, and {} not known", amount_words(cents, currency), lines),
    };
    let row = |line: &EstimateLine| {
        PaperRow::of_words(&[
            as_sentence(&line.what).trim_end_matches('.'),
            &range_words(line.hands_s),
            &parts(line.parts_cents, line.unpriced),
        ])
    };
    let mut rows: Vec<PaperRow> = estimate.lines.iter().map(row).collect();
    rows.push(PaperRow::of_cells(vec![
        PaperCell::Bold("Together".into()),
        PaperCell::Bold(range_words(estimate.hands_s)),
        PaperCell::Bold(parts(estimate.parts_cents, estimate.unpriced)),
    ]));
    let columns = vec![
        PaperColumn::of_words("what", 5.0),
        PaperColumn::of_words("hands-on time", 2.6),
        PaperColumn::of_words("parts", 2.6),
    ];
    PaperBlock::Table { columns, rows }
}

fn risk_table(job: &PaperJob<'_>, risks: &[EstimateRisk], has_chance: bool) -> Vec<PaperBlock> {
    let mut columns = vec![PaperColumn::of_words("what", 5.0), PaperColumn::of_words("price", 2.6)];
    if has_chance {
        columns.push(PaperColumn::of_words("how often", 2.6));
    }
    let row = |risk: &EstimateRisk| {
        let price = risk
            .price
            .map_or_else(|| String::from("not known"), |price| span_words(price, &job.plan.currency));
        let mut cells = vec![as_sentence(&risk.what).trim_end_matches('.').to_owned(), price];
        if has_chance {
            let chance = risk
                .chance_percent
                .map_or_else(|| String::from("not told"), |chance| format!("{chance} in 100"));
            cells.push(chance);
        }
        PaperRow::of_words(&cells.iter().map(String::as_str).collect::<Vec<_>>())
    };
    table_if_any(columns, risks.iter().map(row).collect())
}
