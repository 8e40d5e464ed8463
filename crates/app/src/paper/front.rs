//! Front page: whether one may begin, how long it takes, what stands open, every caution once, and where the rest is.

use model::plan::{Plan, ReadinessVerdict};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use units::Money;

use super::PaperJob;
use super::cautions::CautionList;
use super::shopping::supply_line_price;
use super::words::{self, SERVICE_DATA, as_sentence, flow_sheet, title_block_cells};
use crate::job_hours::{RANGE_MEANING, hours_words};
use crate::page::verdict_word;
use crate::text::readiness::verdict_sentence;
use crate::text::table::count_with_noun;
use crate::titles;

/// Open questions told on the front page; more are counted.
const MAX_QUESTIONS: usize = 4;

pub(super) fn front_sheets(job: &PaperJob<'_>) -> Vec<PaperSheet> {
    let ready = &job.plan.readiness;
    let sentence = verdict_sentence(ready);
    let said = sentence.split_once(": ").map_or(sentence.as_str(), |(_, said)| said);
    let is_no = ready.verdict.first_bolt.max(ready.verdict.refit) == ReadinessVerdict::No;
    let mut blocks = vec![PaperBlock::Verdict {
        word: verdict_word(ready).to_uppercase(),
        text: as_sentence(said),
        is_stop: is_no,
    }];
    let mut open = Vec::new();
    for (words, of) in [("Against starting", &ready.against), ("Against the refit", &ready.against_refit)] {
        if !of.is_empty() {
            open.push(PaperBlock::Heading(words.into()));
            open.extend(of.iter().map(|line| PaperBlock::Text(as_sentence(line))));
        }
    }
    open.extend(question_blocks(job.plan));
    open.push(PaperBlock::Contents);
    blocks.push(PaperBlock::Columns(vec![vec![facts_table(job)], open]));
    let cautions = CautionList::of_job(job).boxes(2);
    if !cautions.is_empty() {
        blocks.push(PaperBlock::Heading(String::from("Cautions: each once; the steps name them by number")));
        blocks.push(PaperBlock::Columns(cautions.into_iter().map(|one| vec![one]).collect()));
    }
    blocks.extend(finding_blocks(job));
    let tasks: Vec<String> =
        job.plan.asked.tasks.iter().map(|key| titles::task_title(job.book, key)).collect();
    let subtitle = short_list(&tasks);
    vec![flow_sheet(&words::vehicle_title(job), &subtitle, title_block_cells(job, &[]), blocks)]
}

/// Tasks in one line; of many the first few and how many more.
fn short_list(tasks: &[String]) -> String {
    const MAX_TOLD: usize = 8;
    let told = tasks.iter().take(MAX_TOLD).cloned().collect::<Vec<_>>().join("; ");
    match tasks.len().saturating_sub(MAX_TOLD) {
        0 => told,
        more => format!("{told}; and {more} more"),
    }
}

fn facts_table(job: &PaperJob<'_>) -> PaperBlock {
    let plan = job.plan;
    let helpers = record::steps_of(plan).filter(|step| step.helper).count();
    let two = if helpers == 0 {
        String::from("no step needs a second person")
    } else {
        format!("{} with a second person", count_with_noun(helpers, "step"))
    };
    let pieces: u32 = plan.kit.pieces.iter().map(|piece| u32::from(piece.count)).sum();
    let rows = [
        ("time", time_words(job)),
        ("days", days_words(job)),
        (
            "work",
            format!(
                "{} off and on again, {}; {two}",
                count_with_noun(plan.way_in.parts.len(), "part"),
                count_with_noun(record::steps_of(plan).count(), "step")
            ),
        ),
        ("cart", count_with_noun(pieces as usize, "piece")),
        ("to buy", purchase_words(plan)),
    ];
    let columns = vec![PaperColumn::of_words("", 1.0), PaperColumn::of_words("", 5.0)];
    let row = |(name, words): (&str, String)| {
        PaperRow::of_cells(vec![PaperCell::Bold(name.into()), PaperCell::Words(words)])
    };
    PaperBlock::Table { columns, rows: rows.into_iter().map(row).collect() }
}

/// "31 to 38 h of work, and about 5 h of waiting besides", and what that rests on.
fn time_words(job: &PaperJob<'_>) -> String {
    format!("{}: {RANGE_MEANING}. It rests on {}.", hours_words(&job.hours()), job.times.words())
}

/// "3 to 4 at 8 hours a day": half of such jobs, and four in five, waits included.
fn days_words(job: &PaperJob<'_>) -> String {
    const DAY_OF_WORK_S: f64 = 8.0 * 3_600.0;
    let days = |at_s: f64| units::math::ceil(at_s / DAY_OF_WORK_S).max(1.0);
    let hours = job.hours();
    let whole = hours.hands_on.later_by(hours.waits_s);
    match (days(whole.p50_s), days(whole.p80_s)) {
        (half, likely) if half >= likely => format!("{half} at 8 hours a day, waits included"),
        (half, likely) => format!("{half} to {likely} at 8 hours a day, waits included"),
    }
}

/// How many things are to be bought, and what the parts come to.
fn purchase_words(plan: &Plan) -> String {
    let ready = &plan.readiness;
    let total: Money = ready.supplies.iter().filter_map(supply_line_price).sum();
    let unknown = ready.supplies.iter().filter(|line| line.supply.price_cents.is_none()).count();
    let mut words = vec![match ready.shopping.len() {
        0 => String::from("no tool"),
        count => count_with_noun(count, "tool"),
    }];
    if !ready.supplies.is_empty() {
        let supplies = count_with_noun(ready.supplies.len(), "line");
        words.push(format!("{supplies} of parts and supplies, {total} {}", plan.currency));
    }
    if unknown > 0 {
        words.push(format!("no price known for {}", count_with_noun(unknown, "line")));
    }
    words.join("; ")
}

/// What stands open, the first few.
fn question_blocks(plan: &Plan) -> Vec<PaperBlock> {
    let open = &plan.readiness.open;
    if open.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![PaperBlock::Heading(count_with_noun(open.len(), "open question"))];
    let told = open.iter().take(MAX_QUESTIONS).map(|line| PaperBlock::Small(as_sentence(&line.words)));
    blocks.extend(told);
    let more = open.len().saturating_sub(MAX_QUESTIONS);
    if more > 0 {
        blocks.push(PaperBlock::Small(format!("And {more} more; `traywright plan` lists all.")));
    }
    blocks
}

/// How a step is found again, and what stands above all figures.
fn finding_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let mut said = vec![String::from(
        "When the plan is made anew, step numbers change; part, fixing and holes beside a number do not: find the step by them.",
    )];
    said.extend(job.plan.readiness.book_note.iter().map(|note| as_sentence(note)));
    said.push(SERVICE_DATA.into());
    let mut blocks = vec![PaperBlock::Small(said.join(" "))];
    let link = words::visit_page_link(job, "");
    if !link.is_empty() {
        let words = String::from("opens this visit on the bench");
        blocks.push(PaperBlock::Code { link: link.trim_end_matches('/').to_owned(), words });
    }
    blocks
}
