//! Owner's report: what was asked, found, done and declined, what it may cost and why it may cost more, what comes next.
//!
//! Plain words and figures that book, plan and visit hold. No price is made up: where none is known, it says so. Work time is
//! given as time, because no rate is known here.

use model::Task;
use model::plan::RescueLine;
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};
use record::visit::{FigureWord, Finding, HappeningEnd, VisitHappening};
use record::{OwnerWord, StepMark, Visit, VisitHappeningKind};
use times::shown::range_words;
use units::Money;

use crate::evidence::due::{DueStanding, TaskDue};
use crate::evidence::estimate::{self, task_parts_cents, tasks_priced_by_findings};
use crate::evidence::readings::boards_of_visit;
use crate::evidence::vehicle::fitted_words;
use crate::job_hours::RANGE_MEANING;

use super::words::{self, as_sentence, flow_sheet, push_section, table_if_any, title_block_cells};
use super::{PaperJob, shopping};
use crate::text::table::count_with_noun;
use crate::titles;

/// Tasks of which the next date is told; the soonest.
const MAX_DUE_TOLD: usize = 6;
/// Height of a picture.
const PHOTO_MM: f64 = 60.0;
/// Pictures that are shown, the newest: the report is two pages.
const MAX_PHOTOS: usize = 4;
/// Lines from which on they stand in two columns.
const MIN_IN_COLUMNS: usize = 8;

pub(super) fn owner_sheets(job: &PaperJob<'_>) -> Vec<PaperSheet> {
    let opened = job.state().and_then(|s| s.opened.as_ref());
    let mut blocks = Vec::new();
    let odometer = opened.and_then(|o| o.odometer.as_ref());
    blocks.extend(odometer.map(|o| PaperBlock::Text(format!("Odometer at the start: {o}."))));
    push_section(&mut blocks, "What was asked", asked_blocks(job));
    push_section(&mut blocks, "What was found", found_blocks(job));
    push_section(&mut blocks, "What was done", done_blocks(job));
    push_section(&mut blocks, "Tightening figures that the book does not have", figure_blocks(job));
    push_section(&mut blocks, "Begun while questions stood open", going_on_blocks(job));
    push_section(&mut blocks, "Measured", measured_table(job));
    push_section(&mut blocks, "Fitted new", fitted_table(job));
    push_section(&mut blocks, "What it costs, as far as it is known", cost_blocks(job));
    push_section(&mut blocks, "What may raise the cost", risk_blocks(job));
    push_section(&mut blocks, "What you decided against", declined_blocks(job));
    push_section(&mut blocks, "What needs your decision", waiting_blocks(job));
    push_section(&mut blocks, "What comes next, and when", next_visit_blocks(job));
    push_section(&mut blocks, "Pictures", picture_blocks(job));
    blocks.push(PaperBlock::Columns(vec![
        vec![PaperBlock::Blanks { label: "Workshop, date".into(), lines: 1 }],
        vec![PaperBlock::Blanks { label: "Owner, date".into(), lines: 1 }],
    ]));
    vec![flow_sheet("Owner's report", &words::vehicle_title(job), title_block_cells(job, &[]), blocks)]
}

/// Who went on although questions of the plan stood open, and which.
fn going_on_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let Some((told, word)) = crate::bench::going_on_words(visit).zip(visit.went_on.as_ref()) else {
        return Vec::new();
    };
    let questions = word.open.iter().map(|words| PaperBlock::Small(as_sentence(words)));
    core::iter::once(PaperBlock::Text(as_sentence(&told))).chain(questions).collect()
}

fn asked_tasks<'b>(job: &PaperJob<'b>) -> impl Iterator<Item = &'b Task> {
    let plan = job.plan;
    job.book.tasks.iter().filter(|t| plan.asked.tasks.contains(&t.key))
}

fn is_done(visit: &Visit, task: &Task) -> bool {
    visit.tasks.get(&task.key).is_some_and(|standing| standing.to == StepMark::Done)
}

/// What was asked; where some of it is done and some is not, each with which.
fn asked_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let done = |task: &Task| job.state().is_some_and(|visit| is_done(visit, task));
    let count = asked_tasks(job).filter(|task| done(task)).count();
    let is_mixed = count > 0 && count < asked_tasks(job).count();
    let words = |task: &Task| {
        let title = as_sentence(&task.title);
        match (is_mixed, done(task)) {
            (false, _) => title,
            (true, true) => format!("{}: done.", title.trim_end_matches('.')),
            (true, false) => format!("{}: not done yet.", title.trim_end_matches('.')),
        }
    };
    in_two_columns(asked_tasks(job).map(|task| PaperBlock::Text(words(task))).collect())
}

/// Few lines below each other, more in two columns.
fn in_two_columns(mut lines: Vec<PaperBlock>) -> Vec<PaperBlock> {
    if lines.len() < MIN_IN_COLUMNS {
        return lines;
    }
    let right = lines.split_off(lines.len().div_ceil(2));
    vec![PaperBlock::Columns(vec![lines, right])]
}

fn found_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else {
        return vec![PaperBlock::Text("The work has not begun; nothing has been found yet.".into())];
    };
    let mut blocks: Vec<PaperBlock> =
        visit.happenings.values().map(|h| PaperBlock::Text(happening_sentence(job, h))).collect();
    blocks.extend(visit.findings.values().map(|f| PaperBlock::Text(finding_words(job, f))));
    let broken = visit.fasteners.iter().filter(|(_, _, f)| f.state == model::FastenerState::Broken).count();
    if broken > 0 {
        blocks.push(PaperBlock::Text(format!(
            "{} broke while being undone.",
            count_with_noun(broken, "fastener")
        )));
    }
    if blocks.is_empty() {
        blocks.push(PaperBlock::Text("Nothing beyond what was asked.".into()));
    }
    blocks
}

/// What happened, where, and how it ended.
fn happening_sentence(job: &PaperJob<'_>, told: &VisitHappening) -> String {
    let what = match told.what {
        VisitHappeningKind::Seized => "did not turn",
        VisitHappeningKind::Rounded => "drive was rounded off",
        VisitHappeningKind::Broken => "broke",
        VisitHappeningKind::ThreadCameOut => "thread came out with it",
        VisitHappeningKind::Extra => "something is fitted that the book does not describe",
        VisitHappeningKind::WrongPart => "new part does not fit",
        VisitHappeningKind::PartMissing => "part to be fitted is not there",
        VisitHappeningKind::Lost => "dropped and not found",
        VisitHappeningKind::FoundLikeThis => "found like this",
    };
    let place = place_prefix(job, &told.at);
    let words = if told.words.is_empty() { String::new() } else { format!(" ({})", told.words) };
    let end = match &told.end {
        Some(HappeningEnd::DealtWith { how, .. }) => format!("; {how}"),
        Some(HappeningEnd::GivenUp { searched, name, .. }) => {
            format!("; not found after searching: {searched}; {name} takes responsibility for going on")
        }
        None => String::from("; still open"),
    };
    as_sentence(&format!("{place}{what}{words}{end}"))
}

/// "Manifold nuts 3: ", as far as it is known.
fn place_prefix(job: &PaperJob<'_>, at: &record::EventPlace) -> String {
    let hole = at.hole.as_ref().map_or_else(String::new, |h| format!(" {h}"));
    match (&at.fixing, &at.part) {
        (Some(key), _) => format!("{}{hole}: ", titles::fixing_title(job.book, key)),
        (None, Some(key)) => format!("{}: ", titles::part_title(job.book, key)),
        (None, None) => String::new(),
    }
}

fn finding_words(job: &PaperJob<'_>, found: &Finding) -> String {
    let left = if found.if_left.is_empty() {
        String::new()
    } else {
        format!(" If it is left: {}", as_sentence(&found.if_left))
    };
    format!("{}{left}", as_sentence(&format!("{}{}", place_prefix(job, &found.at), found.words)))
}

fn done_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else {
        let hands = range_words(job.hours().hands_on);
        let words = format!(
            "Planned: {} to take off and refit; {hands} of hands-on work.",
            count_with_noun(job.plan.way_in.parts.len(), "part")
        );
        return vec![PaperBlock::Text(words)];
    };
    let asked = asked_tasks(job).count();
    let done = asked_tasks(job).filter(|task| is_done(visit, task)).count();
    let told = match (done, asked) {
        (0, 1) => String::from("It is not done yet."),
        (0, _) => String::from("None of it is done yet."),
        (done, asked) if done == asked => String::from("All that was asked is done."),
        (done, asked) => format!("{done} of {asked} things that were asked are done."),
    };
    vec![PaperBlock::Text(format!("{told} {}", work_so_far_words(job, visit)))]
}

/// How much is off, renewed, and back.
fn work_so_far_words(job: &PaperJob<'_>, visit: &Visit) -> String {
    let off = visit.parts.values().filter(|p| p.now).count();
    let back = visit.parts.values().filter(|p| p.is_back()).count();
    let new = visit.fasteners.iter().filter(|(_, _, f)| f.is_renewed()).count();
    let counts = [
        (off, "part", "off now"),
        (back, "part", "taken off and fitted again"),
        (new, "fastener", "renewed"),
    ];
    let told = counts.into_iter().filter(|(count, ..)| *count > 0);
    let mut words: Vec<String> =
        told.map(|(count, noun, what)| format!("{} {what}", count_with_noun(count, noun))).collect();
    if words.is_empty() {
        words.push(String::from("nothing is off"));
    }
    if let Some(closed) = &visit.closed {
        words.push(format!("handed over by {}, {}", closed.name, words::time_words(job, closed.stamp.at_ms)));
    }
    as_sentence(&words.join("; "))
}

/// Figures given at the bench with their source, and what was tightened without one, by whose word and why.
fn figure_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let line = |(key, word): (&String, &FigureWord)| {
        let title = titles::fixing_title(job.book, key);
        let words = match word {
            FigureWord::Given { figure, source, name, .. } => {
                format!("{title}: {figure}, from {source}, read by {name}")
            }
            FigureWord::Waived { reason, name, .. } => {
                format!("{title}: {}, no figure, {name}; {reason}", tightness_words(visit, key))
            }
        };
        PaperBlock::Text(as_sentence(&words))
    };
    visit.figures.words.iter().map(line).collect()
}

/// "tight" where every fastener of a fixing that was touched is.
fn tightness_words(visit: &Visit, fixing: &str) -> &'static str {
    let mut touched = visit.fasteners.of_fixing(fixing).map(|(_, f)| f.state).peekable();
    if touched.peek().is_some() && touched.all(model::FastenerState::is_closed) {
        "tight"
    } else {
        "not tight yet"
    }
}

/// Every board with its limits and how each place stands.
fn measured_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let boards = boards_of_visit(Some(job.book), &job.plan.asked.tasks, visit);
    let mut rows = Vec::new();
    for board in boards.iter().filter(|board| board.is_begun()) {
        for place in &board.places {
            let says = place.verdict.as_ref().map_or("no limit known", |verdict| verdict.words.as_str());
            rows.push(PaperRow::of_cells(vec![
                PaperCell::Words(place.what.clone()),
                PaperCell::Bold(place.shown.clone().unwrap_or_else(|| String::from("not read"))),
                PaperCell::Words(board.place_limit_words.clone()),
                PaperCell::Words(says.into()),
            ]));
        }
        if let Some(spread) = &board.spread {
            let (none, words) = (PaperCell::Words(String::new()), PaperCell::Words(spread.words.clone()));
            rows.push(PaperRow::of_cells(vec![
                PaperCell::Words(format!("{}, all places", board.title)),
                none.clone(),
                none,
                words,
            ]));
        }
    }
    let columns = vec![
        PaperColumn::of_words("what", 4.2),
        PaperColumn::of_words("read", 2.2),
        PaperColumn::of_words("limit", 3.2),
        PaperColumn::of_words("", 3.0),
    ];
    table_if_any(columns, rows)
}

/// What was fitted new, and room for how long the seller answers for it.
fn fitted_table(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = job.state() else { return Vec::new() };
    let row = |words: String| {
        PaperRow::of_cells(vec![
            PaperCell::Words(as_sentence(&words).trim_end_matches('.').into()),
            PaperCell::Blank,
        ])
    };
    let rows = fitted_words(job.book, visit).into_iter().map(row).collect();
    let columns = vec![
        PaperColumn::of_words("fitted new", 5.0),
        PaperColumn::of_words("the seller answers for it until", 3.0),
    ];
    table_if_any(columns, rows)
}

fn picture_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let Some(visit) = &job.visit else { return Vec::new() };
    let mut blocks = Vec::new();
    for picture in visit.state.pictures.iter().rev().take(MAX_PHOTOS).rev() {
        let step = picture.at.step.map_or_else(String::new, |n| format!("step {n}, "));
        let caption = as_sentence(&format!(
            "{}{step}{}",
            place_prefix(job, &picture.at),
            words::time_words(job, picture.stamp.at_ms)
        ));
        match visit.photos.get(&picture.picture.to_string()) {
            Some(jpeg) => blocks.push(PaperBlock::Photo { jpeg: jpeg.clone(), caption, height_mm: PHOTO_MM }),
            None => blocks.push(PaperBlock::Small(format!("A picture that is not at hand: {caption}"))),
        }
    }
    let more = visit.state.pictures.len().saturating_sub(MAX_PHOTOS);
    let columns: Vec<Vec<PaperBlock>> = blocks.into_iter().map(|block| vec![block]).collect();
    let mut blocks = match columns.len() {
        0 | 1 => columns.into_iter().flatten().collect(),
        _ => vec![PaperBlock::Columns(columns)],
    };
    if more > 0 {
        let words = format!("{} more in the workshop's record.", count_with_noun(more, "picture"));
        blocks.push(PaperBlock::Small(words));
    }
    blocks
}

/// An amount with the currency of the book.
fn amount_words(job: &PaperJob<'_>, cents: i64) -> String {
    estimate::amount_words(cents, &job.plan.currency)
}

/// Supplies by the book's prices, findings with their range, and what is not known.
fn cost_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let columns = vec![
        PaperColumn::of_words("what", 6.0),
        PaperColumn::of_figures("from", 2.0),
        PaperColumn::of_figures("to", 2.0),
    ];
    let priced = tasks_priced_by_findings(job.state());
    let of_findings: i64 =
        asked_tasks(job).filter(|task| priced.contains(&task.key.as_str())).map(task_parts_cents).sum();
    let all = job.plan.readiness.supplies.iter().filter_map(shopping::supply_line_price).map(Money::as_cents);
    let known = (all.sum::<i64>() - of_findings).max(0);
    let unknown =
        job.plan.readiness.supplies.iter().filter(|s| shopping::supply_line_price(s).is_none()).count();
    let mut rows = vec![cost_row(
        "Parts and supplies by the prices in the book",
        &amount_words(job, known),
        &amount_words(job, known),
    )];
    if unknown > 0 {
        rows.push(cost_row(
            &format!("{} without a known price", count_with_noun(unknown, "line")),
            "not known",
            "not known",
        ));
    }
    let (mut low, mut high) = (known, known);
    for found in findings_not_declined(job) {
        let what = format!("Found: {}", found.words);
        match (found.price_from_cents, found.price_to_cents) {
            (None, None) => rows.push(cost_row(&what, "not known", "not known")),
            (from, to) => {
                let (from, to) = (from.or(to).unwrap_or(0), to.or(from).unwrap_or(0));
                low = low.saturating_add(from.min(to));
                high = high.saturating_add(from.max(to));
                rows.push(cost_row(
                    &what,
                    &amount_words(job, from.min(to)),
                    &amount_words(job, from.max(to)),
                ));
            }
        }
    }
    rows.push(PaperRow::of_cells(vec![
        PaperCell::Bold("Total of what is known".into()),
        PaperCell::Bold(amount_words(job, low)),
        PaperCell::Bold(amount_words(job, high)),
    ]));
    let hours = range_words(job.hours().hands_on);
    let labour = job.terms.cents_per_hour.map_or_else(
        || {
            format!(
                "Hands-on work: {hours}, {RANGE_MEANING}; no price of an hour is set on the page Workshop."
            )
        },
        |rate| format!("Hands-on work: {hours}, {RANGE_MEANING}; an hour costs {}.", amount_words(job, rate)),
    );
    vec![
        PaperBlock::Table { columns, rows },
        PaperBlock::Text(labour),
        PaperBlock::Blanks { label: "Work, rate and tax".into(), lines: 2 },
    ]
}

fn cost_row(what: &str, from: &str, to: &str) -> PaperRow {
    PaperRow::of_words(&[what, from, to])
}

/// Findings that were not declined.
fn findings_not_declined<'a>(job: &PaperJob<'a>) -> impl Iterator<Item = &'a Finding> {
    let all = job.state().into_iter().flat_map(|v| v.findings.values());
    all.filter(|f| f.answer.as_ref().is_none_or(|a| a.word != OwnerWord::No))
}

/// Named risks: fasteners that may break, parts brittle at their age, what is missing.
fn risk_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let ready = &job.plan.readiness;
    if job.state().is_some_and(|visit| visit.closed.is_some()) {
        return Vec::new();
    }
    let line =
        |line: &RescueLine| format!("{} ({})", titles::fixing_title(job.book, &line.fixing), line.count);
    let may_break: Vec<String> = ready.rescue.iter().map(line).collect();
    let mut blocks = Vec::new();
    if !may_break.is_empty() {
        let words = format!(
            "May break or seize when undone, and then want a new thread or a new stud; no price is known for that: {}.",
            may_break.join(", ")
        );
        blocks.push(PaperBlock::Text(words));
    }
    if !ready.brittle.is_empty() {
        let parts = ready.brittle.join(", ");
        blocks.push(PaperBlock::Text(format!(
            "Brittle with age; may break and then have to be renewed: {parts}."
        )));
    }
    blocks
}

fn declined_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let all = job.state().into_iter().flat_map(|v| v.findings.values());
    let no = all.filter_map(|f| Some((f, f.answer.as_ref().filter(|a| a.word == OwnerWord::No)?)));
    no.map(|(found, answer)| {
        let when = words::time_words(job, answer.stamp.at_ms);
        PaperBlock::Text(format!("{} Decided by {}, {when}.", finding_words(job, found), answer.by))
    })
    .collect()
}

fn waiting_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let all = job.state().into_iter().flat_map(|v| v.findings.values());
    let open = all.filter(|f| !f.is_answered());
    let line = |f: &Finding| {
        let price = match (f.price_from_cents, f.price_to_cents) {
            (None, None) => String::from("No price is known."),
            (from, to) => format!(
                "{} to {}.",
                amount_words(job, from.or(to).unwrap_or(0)),
                amount_words(job, to.or(from).unwrap_or(0))
            ),
        };
        PaperBlock::Together(vec![
            PaperBlock::Text(format!("{} {price}", finding_words(job, f))),
            PaperBlock::Columns(vec![
                vec![PaperBlock::Blanks { label: "Yes".into(), lines: 1 }],
                vec![PaperBlock::Blanks { label: "No".into(), lines: 1 }],
            ]),
        ])
    };
    open.map(line).collect()
}

/// Tasks that the book knows and that were not asked for, with what leaving them is expected to cost.
fn next_visit_blocks(job: &PaperJob<'_>) -> Vec<PaperBlock> {
    let not_asked = job.book.tasks.iter().filter(|t| !job.plan.asked.tasks.contains(&t.key));
    let mut blocks: Vec<PaperBlock> = not_asked
        .map(|task| {
            let open = job.plan.way_in.also_open.contains(&task.key);
            let open =
                if open { " It can be done in this visit without taking anything more off." } else { "" };
            let left = task.leaving.map_or_else(String::new, |m| {
                format!(" Expected cost of leaving it: {} {}.", m, job.plan.currency)
            });
            PaperBlock::Text(format!("Not asked for: {}{left}{open}", as_sentence(&task.title)))
        })
        .collect();
    let asked = |due: &&TaskDue| due.standing != DueStanding::NotKnown;
    let due = job.due.iter().filter(asked).take(MAX_DUE_TOLD);
    let due: Vec<PaperBlock> = due
        .map(|due| {
            PaperBlock::Text(format!(
                "{} {}.",
                as_sentence(&due.title),
                crate::bench::capitalise_first(&due.words)
            ))
        })
        .collect();
    if due.is_empty() {
        blocks.push(PaperBlock::Text("No date for the next visit is recorded; agree on one:".into()));
    } else {
        blocks.push(PaperBlock::Text("By the book's intervals and the distance driven so far:".into()));
        blocks.extend(due);
    }
    blocks.push(PaperBlock::Blanks { label: "Next visit".into(), lines: 1 });
    blocks
}
