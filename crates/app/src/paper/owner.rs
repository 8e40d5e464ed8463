//! Owner's report: what was asked, found, done and declined, what it may cost and why it may cost more, what comes next.
//!
//! Plain words and figures that book, plan and visit hold. No price is made up: where none is known, it says so. Work time is
//! given as time, for no rate is known here.

use journal::visit::{Finding, Happening, HappeningEnd};
use journal::{HappeningKind, StepTo, Visit, Word};
use model::Task;
use model::plan::RescueLine;
use print::paper::{Block, Cell, Column, Row, Sheet};
use units::Money;

use super::words::{self, count, flow, foot, sentence, table, under};
use super::{Job, shopping};
use crate::text;
use crate::titles;

/// Height of a picture.
const PHOTO_MM: f64 = 80.0;

pub(super) fn sheets(job: &Job<'_>) -> Vec<Sheet> {
    let opened = job.state().and_then(|s| s.opened.as_ref());
    let mut blocks = Vec::new();
    let odometer = opened.and_then(|o| o.odometer.as_ref());
    blocks.extend(odometer.map(|o| Block::Text(format!("Odometer at the beginning: {o}."))));
    under(&mut blocks, "What was asked", asked(job));
    under(&mut blocks, "What was found", found(job));
    under(&mut blocks, "What was done", done(job));
    under(&mut blocks, "Measured", measured(job));
    under(&mut blocks, "Pictures", pictures(job));
    under(&mut blocks, "What it costs, as far as it is known", prices(job));
    under(&mut blocks, "What may make it more", risks(job));
    under(&mut blocks, "What you decided against", declined(job));
    under(&mut blocks, "What waits for your word", waiting(job));
    under(&mut blocks, "What comes next, and when", next(job));
    blocks.push(Block::Columns(vec![
        vec![Block::Blanks { label: "Workshop, date".into(), lines: 1 }],
        vec![Block::Blanks { label: "Owner, date".into(), lines: 1 }],
    ]));
    vec![flow("Owner's report", &words::vehicle(job), foot(job, &[]), blocks)]
}

fn asked_tasks<'b>(job: &Job<'b>) -> impl Iterator<Item = &'b Task> {
    let plan = job.plan;
    job.book.tasks.iter().filter(|t| plan.asked.tasks.contains(&t.key))
}

fn asked(job: &Job<'_>) -> Vec<Block> {
    let words = |task: &Task| Block::Text(sentence(&task.title));
    asked_tasks(job).map(words).collect()
}

fn found(job: &Job<'_>) -> Vec<Block> {
    let Some(visit) = job.state() else {
        return vec![Block::Text("The work has not begun; nothing has been found yet.".into())];
    };
    let mut blocks: Vec<Block> = visit.happenings.values().map(|h| Block::Text(happening(job, h))).collect();
    blocks.extend(visit.findings.values().map(|f| Block::Text(finding(job, f))));
    let broken = visit.fasteners.iter().filter(|(_, _, f)| f.state == model::FastenerState::Broken).count();
    if broken > 0 {
        blocks.push(Block::Text(format!("{} broken on the way out.", count(broken, "fastener"))));
    }
    if blocks.is_empty() {
        blocks.push(Block::Text("Nothing beyond what was asked.".into()));
    }
    blocks
}

/// What happened, where, and how it ended.
fn happening(job: &Job<'_>, told: &Happening) -> String {
    let what = match told.what {
        HappeningKind::Seized => "did not turn",
        HappeningKind::Rounded => "drive was rounded off",
        HappeningKind::Broken => "broke",
        HappeningKind::ThreadCameOut => "thread came out with it",
        HappeningKind::Extra => "something is fitted that is not described",
        HappeningKind::WrongPart => "new part does not fit",
        HappeningKind::PartMissing => "part to be fitted is not there",
        HappeningKind::Lost => "dropped and not found",
        HappeningKind::FoundLikeThis => "found like this",
    };
    let place = place(job, &told.at);
    let words = if told.words.is_empty() { String::new() } else { format!(" ({})", told.words) };
    let end = match &told.end {
        Some(HappeningEnd::DealtWith { how, .. }) => format!("; {how}"),
        Some(HappeningEnd::GivenUp { searched, name, .. }) => {
            format!("; not found after searching: {searched}; {name} answers for going on")
        }
        None => String::from("; still open"),
    };
    sentence(&format!("{place}{what}{words}{end}"))
}

/// "Manifold nuts 3: ", as far as it is known.
fn place(job: &Job<'_>, at: &journal::At) -> String {
    let hole = at.hole.as_ref().map_or_else(String::new, |h| format!(" {h}"));
    match (&at.fixing, &at.part) {
        (Some(key), _) => format!("{}{hole}: ", titles::fixing(job.book, key)),
        (None, Some(key)) => format!("{}: ", titles::part(job.book, key)),
        (None, None) => String::new(),
    }
}

fn finding(job: &Job<'_>, found: &Finding) -> String {
    let left = if found.if_left.is_empty() {
        String::new()
    } else {
        format!(" If it is left: {}", sentence(&found.if_left))
    };
    format!("{}{left}", sentence(&format!("{}{}", place(job, &found.at), found.words)))
}

fn done(job: &Job<'_>) -> Vec<Block> {
    let Some(visit) = job.state() else {
        let hands = text::table::spoken(words::hands_s(job.plan));
        let words = format!(
            "Planned: {} come off and go back; about {hands} of work with the hands.",
            count(job.plan.way_in.parts.len(), "part")
        );
        return vec![Block::Text(words)];
    };
    let is_done = |key: &str| visit.tasks.get(key).is_some_and(|t| t.to == StepTo::Done);
    let mut blocks: Vec<Block> = asked_tasks(job)
        .filter(|t| is_done(&t.key))
        .map(|t| Block::Text(format!("Done: {}", sentence(&t.title))))
        .collect();
    let open: Vec<String> = asked_tasks(job).filter(|t| !is_done(&t.key)).map(|t| t.title.clone()).collect();
    if !open.is_empty() {
        blocks.push(Block::Text(format!("Not done yet: {}", sentence(&open.join(", ")))));
    }
    blocks.push(Block::Text(standing(job, visit)));
    blocks
}

/// How much is off, renewed, and back.
fn standing(job: &Job<'_>, visit: &Visit) -> String {
    let off = visit.parts.values().filter(|p| p.now).count();
    let back = visit.parts.values().filter(|p| p.is_back()).count();
    let new = visit.fasteners.iter().filter(|(_, _, f)| f.is_renewed()).count();
    let mut words = vec![
        format!("{} off now", count(off, "part")),
        format!("{} taken off and fitted again", count(back, "part")),
        format!("{} renewed", count(new, "fastener")),
    ];
    if let Some(closed) = &visit.closed {
        words.push(format!("handed over by {}, {}", closed.name, words::time(job, closed.stamp.at_ms)));
    }
    sentence(&words.join("; "))
}

fn measured(job: &Job<'_>) -> Vec<Block> {
    let readings = job.state().map_or(&[][..], |s| s.readings.as_slice());
    let limit =
        |value: Option<f64>| Cell::Words(value.map_or_else(String::new, |v| units::significant(v, 6)));
    let row = |taken: &journal::visit::Taken| {
        let reading = &taken.reading;
        let says = match reading.is_within() {
            Some(true) => "within",
            Some(false) => "outside",
            None => "no limit known",
        };
        Row::of(vec![
            Cell::Words(reading.what.clone()),
            Cell::Bold(format!("{} {}", units::significant(reading.value, 6), reading.unit)),
            limit(reading.low),
            limit(reading.high),
            Cell::Words(says.into()),
        ])
    };
    let columns = vec![
        Column::words("what", 5.0),
        Column::words("read", 2.0),
        Column::words("lowest", 1.5),
        Column::words("highest", 1.5),
        Column::words("", 2.0),
    ];
    table(columns, readings.iter().map(row).collect())
}

fn pictures(job: &Job<'_>) -> Vec<Block> {
    let Some(visit) = &job.visit else { return Vec::new() };
    let mut blocks = Vec::new();
    for picture in &visit.state.pictures {
        let step = picture.at.step.map_or_else(String::new, |n| format!("step {n}, "));
        let caption =
            sentence(&format!("{}{step}{}", place(job, &picture.at), words::time(job, picture.stamp.at_ms)));
        match visit.photos.get(&picture.picture.to_string()) {
            Some(jpeg) => blocks.push(Block::Photo { jpeg: jpeg.clone(), caption, height_mm: PHOTO_MM }),
            None => blocks.push(Block::Small(format!("A picture that is not at hand: {caption}"))),
        }
    }
    blocks
}

/// An amount with the currency of the book.
fn amount(job: &Job<'_>, cents: i64) -> String {
    format!("{} {}", Money::from_cents(cents), job.plan.currency)
}

/// Supplies by the book's prices, findings with their range, and what is not known.
fn prices(job: &Job<'_>) -> Vec<Block> {
    let columns = vec![Column::words("what", 6.0), Column::figures("from", 2.0), Column::figures("to", 2.0)];
    let known: i64 =
        job.plan.readiness.supplies.iter().filter_map(shopping::price).map(Money::as_cents).sum();
    let unknown = job.plan.readiness.supplies.iter().filter(|s| shopping::price(s).is_none()).count();
    let mut rows =
        vec![cost("Parts and supplies by the prices in the book", &amount(job, known), &amount(job, known))];
    if unknown > 0 {
        rows.push(cost(
            &format!("{} without a known price", count(unknown, "line")),
            "not known",
            "not known",
        ));
    }
    let (mut low, mut high) = (known, known);
    for found in wanted(job) {
        let what = format!("Found: {}", found.words);
        match (found.price_from_cents, found.price_to_cents) {
            (None, None) => rows.push(cost(&what, "not known", "not known")),
            (from, to) => {
                let (from, to) = (from.or(to).unwrap_or(0), to.or(from).unwrap_or(0));
                low = low.saturating_add(from.min(to));
                high = high.saturating_add(from.max(to));
                rows.push(cost(&what, &amount(job, from.min(to)), &amount(job, from.max(to))));
            }
        }
    }
    rows.push(Row::of(vec![
        Cell::Bold("Together, of what is known".into()),
        Cell::Bold(amount(job, low)),
        Cell::Bold(amount(job, high)),
    ]));
    let labour = format!(
        "Work with the hands: about {} as planned; the workshop's rate is not held here.",
        text::table::spoken(words::hands_s(job.plan))
    );
    vec![
        Block::Table { columns, rows },
        Block::Text(labour),
        Block::Blanks { label: "Work, rate and tax".into(), lines: 2 },
    ]
}

fn cost(what: &str, from: &str, to: &str) -> Row {
    Row::words(&[what, from, to])
}

/// Findings that were not declined.
fn wanted<'a>(job: &Job<'a>) -> impl Iterator<Item = &'a Finding> {
    let all = job.state().into_iter().flat_map(|v| v.findings.values());
    all.filter(|f| f.answer.as_ref().is_none_or(|a| a.word != Word::No))
}

/// Named risks: fasteners that may break, parts brittle at their age, what is missing.
fn risks(job: &Job<'_>) -> Vec<Block> {
    let ready = &job.plan.readiness;
    let line = |line: &RescueLine| {
        Block::Text(format!(
            "{} ({}) may break or seize on the way out: then {}. No price is known for that.",
            sentence(&titles::fixing(job.book, &line.fixing)).trim_end_matches('.'),
            count(usize::from(line.count), "piece"),
            line.items.last().map_or("repair", String::as_str)
        ))
    };
    let mut blocks: Vec<Block> = ready.rescue.iter().map(line).collect();
    if !ready.brittle.is_empty() {
        let parts = ready.brittle.join(", ");
        blocks.push(Block::Text(format!("May break at their age and then be needed new: {parts}.")));
    }
    blocks
}

fn declined(job: &Job<'_>) -> Vec<Block> {
    let all = job.state().into_iter().flat_map(|v| v.findings.values());
    let no = all.filter_map(|f| Some((f, f.answer.as_ref().filter(|a| a.word == Word::No)?)));
    no.map(|(found, answer)| {
        let when = words::time(job, answer.stamp.at_ms);
        Block::Text(format!("{} Said by {}, {when}.", finding(job, found), answer.by))
    })
    .collect()
}

fn waiting(job: &Job<'_>) -> Vec<Block> {
    let all = job.state().into_iter().flat_map(|v| v.findings.values());
    let open = all.filter(|f| !f.is_answered());
    let line = |f: &Finding| {
        let price = match (f.price_from_cents, f.price_to_cents) {
            (None, None) => String::from("No price is known."),
            (from, to) => format!(
                "{} to {}.",
                amount(job, from.or(to).unwrap_or(0)),
                amount(job, to.or(from).unwrap_or(0))
            ),
        };
        Block::Together(vec![
            Block::Text(format!("{} {price}", finding(job, f))),
            Block::Columns(vec![
                vec![Block::Blanks { label: "Yes".into(), lines: 1 }],
                vec![Block::Blanks { label: "No".into(), lines: 1 }],
            ]),
        ])
    };
    open.map(line).collect()
}

/// Tasks that the book knows and that were not asked for, with what leaving them is expected to cost.
fn next(job: &Job<'_>) -> Vec<Block> {
    let not_asked = job.book.tasks.iter().filter(|t| !job.plan.asked.tasks.contains(&t.key));
    let mut blocks: Vec<Block> = not_asked
        .map(|task| {
            let open = job.plan.way_in.also_open.contains(&task.key);
            let open = if open { " The way to it is open in this visit." } else { "" };
            let left = task.leaving.map_or_else(String::new, |m| {
                format!(" Expected loss if it is left: {} {}.", m, job.plan.currency)
            });
            Block::Text(format!("Not asked for: {}{left}{open}", sentence(&task.title)))
        })
        .collect();
    blocks.push(Block::Text("No date for the next visit is held here; agree on one:".into()));
    blocks.push(Block::Blanks { label: "Next visit".into(), lines: 1 });
    blocks
}
