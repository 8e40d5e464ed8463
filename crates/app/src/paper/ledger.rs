//! Ledger as paper: a sheet for the windscreen that says what must not be done, and a tag for the key ring.

use journal::ledger::{Ledger, Line, RULES, Verdict};
use print::paper::{Block, Body, Cell, Column, Label, Row, Sheet, Signal};

use super::words::{self, count, flow, foot, sentence};
use super::{Job, Kind, NoPaper, Wanted, labels};
use crate::bench::count_words;
use crate::titles;

pub(super) fn sheets(job: &Job<'_>, wanted: &Wanted) -> Result<Vec<Sheet>, NoPaper> {
    let visit = job.state().ok_or(NoPaper::NeedsVisit(Kind::Ledger))?;
    let ledger = Ledger::of(visit, job.book);
    let open = ledger.open().count();
    let mut blocks = verdicts(&ledger);
    blocks
        .push(Block::Small("Advice by rule; the maker's service data and your own eyes come first.".into()));
    let nothing =
        if ledger.is_zero() { "Nothing stands open." } else { "What stands open is accepted by name." };
    if open == 0 {
        blocks.push(Block::Text(nothing.into()));
    }
    if !ledger.is_zero() {
        blocks.push(Block::Heading(format!("{} open", count(open, "line"))));
        blocks.push(lines(job, &ledger));
    }
    blocks.extend(counts(&ledger));
    blocks.push(Block::Columns(vec![
        vec![Block::Blanks { label: "Name".into(), lines: 1 }],
        vec![Block::Blanks { label: "Telephone".into(), lines: 1 }],
    ]));
    let foot = foot(job, &[("open", open.to_string())]);
    let tag = Sheet {
        title: "Key ring tag".into(),
        subtitle: "cut out, punch, and hang on the key".into(),
        foot: foot.clone(),
        body: Body::Labels(labels::lay(vec![tag(job, &ledger)], wanted)?),
    };
    Ok(vec![flow("Ledger", &words::vehicle(job), foot, blocks), tag])
}

/// What is asked, how it is forbidden, how it is allowed.
fn asked(ledger: &Ledger) -> [(&Verdict, &'static str, &'static str); 3] {
    [
        (ledger.may_be_started(), "DO NOT START", "started"),
        (ledger.may_be_lowered(), "DO NOT LOWER", "lowered"),
        (ledger.may_be_moved(), "DO NOT MOVE", "moved"),
    ]
}

/// What must not be done, large and with its reasons; then what nothing stands against.
pub(super) fn verdicts(ledger: &Ledger) -> Vec<Block> {
    let mut blocks = Vec::new();
    for (verdict, never, _) in asked(ledger).into_iter().filter(|(verdict, _, _)| !verdict.yes) {
        let text = format!("{} against it. {}", count(verdict.reasons.len(), "line"), reasons(verdict));
        blocks.push(Block::Together(vec![
            Block::Large(never.into()),
            Block::Caution { signal: Signal::Warning, text },
        ]));
    }
    let free: Vec<&str> =
        asked(ledger).into_iter().filter(|(v, _, _)| v.yes).map(|(_, _, done)| done).collect();
    if !free.is_empty() {
        blocks
            .push(Block::Text(format!("By the rules nothing stands against its being {}.", free.join(", "))));
    }
    blocks
}

/// Why, each rule once.
fn reasons(verdict: &Verdict) -> String {
    let named = |name: &str| verdict.reasons.iter().any(|reason| reason.rule == name);
    let why: Vec<&str> = RULES.iter().filter(|rule| named(rule.name)).map(|rule| rule.why).collect();
    why.join(" ")
}

fn lines(job: &Job<'_>, ledger: &Ledger) -> Block {
    let columns = vec![
        Column::words("what", 6.0),
        Column::words("slot", 1.8),
        Column::words("closes when", 5.0),
        Column::words("since", 2.4),
    ];
    let mut rows = Vec::new();
    for (kind, lines) in ledger.by_kind() {
        rows.push(Row::heading(sentence(kind.title()).trim_end_matches('.')));
        rows.extend(alike(&lines).iter().map(|lines| row(job, lines)));
    }
    Block::Table { columns, rows }
}

/// Lines that stand open for the fasteners of one fixing and close the same way, together.
fn alike<'l>(lines: &[&'l Line]) -> Vec<Vec<&'l Line>> {
    let same = |a: &Line, b: &Line| {
        let both = a.kind.is_fastener() && a.at.hole.is_some() && b.at.hole.is_some();
        let place = (&a.at.fixing, &a.slot, &a.closes) == (&b.at.fixing, &b.slot, &b.closes);
        both && place && a.accepted == b.accepted
    };
    let mut groups: Vec<Vec<&Line>> = Vec::new();
    for line in lines {
        match groups.iter_mut().find(|group| same(group[0], line)) {
            Some(group) => group.push(line),
            None => groups.push(vec![line]),
        }
    }
    groups
}

/// One line, or the fasteners of one fixing.
fn row(job: &Job<'_>, lines: &[&Line]) -> Row {
    let line = lines[0];
    let closes = line
        .accepted
        .as_ref()
        .map_or_else(|| line.closes.clone(), |word| format!("accepted by {}: {}", word.name, word.reason));
    let what = match (&line.at.fixing, lines.len()) {
        (Some(fixing), 2..) => {
            let holes: Vec<&str> = lines.iter().filter_map(|l| l.at.hole.as_deref()).collect();
            format!("{} x {}: {}", lines.len(), titles::fixing(job.book, fixing), holes.join(" "))
        }
        _ => line.what.clone(),
    };
    Row::of(vec![
        Cell::Tick(what),
        Cell::Words(line.slot.clone().unwrap_or_default()),
        Cell::Words(closes),
        Cell::Words(words::time(job, line.since.at_ms)),
    ])
}

/// Counts that do not close.
fn counts(ledger: &Ledger) -> Vec<Block> {
    let rows: Vec<Row> = ledger
        .counts
        .iter()
        .filter(|row| !row.agrees())
        .map(|row| {
            let words = count_words(row.kind);
            let what = if row.of.is_empty() { words.to_owned() } else { format!("{words}: {}", row.of) };
            Row::of(vec![
                Cell::Words(what),
                Cell::Words(row.out.to_string()),
                Cell::Words(row.back.to_string()),
            ])
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![Column::words("what", 8.0), Column::figures("out", 1.0), Column::figures("back", 1.0)];
    vec![Block::Heading("Counts that do not close".into()), Block::Table { columns, rows }]
}

/// A label for the key ring: what must not be done.
fn tag(job: &Job<'_>, ledger: &Ledger) -> Label {
    let never: Vec<String> = asked(ledger)
        .into_iter()
        .filter(|(verdict, _, _)| !verdict.yes)
        .map(|(_, never, _)| never.to_owned())
        .collect();
    let mut lines = if never.is_empty() {
        vec![String::from("nothing stands against starting, by the rules")]
    } else {
        never
    };
    lines.push(format!("{} open", count(ledger.open().count(), "line")));
    let link = words::link(job, "ledger");
    Label { code: job.plan.asked.vehicle.clone(), lines, vehicle: words::vehicle(job), link }
}
