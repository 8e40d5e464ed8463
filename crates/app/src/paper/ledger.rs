//! Ledger as paper: a sheet for the windscreen that says what must not be done, and a tag for the key ring.

use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperLabel, PaperRow, PaperSheet};
use record::ledger::{Ledger, LedgerLine, RULES, VehicleVerdict};

use super::words::{self, as_sentence, flow_sheet, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::bench::count_words;
use crate::text::table::count_with_noun;
use crate::titles;

pub(super) fn ledger_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let visit = job.state().ok_or(SheetError::NeedsVisit(SheetKind::Ledger))?;
    let ledger = Ledger::draw_up(visit, job.book);
    let open = ledger.open_lines().count();
    let mut blocks = verdict_blocks(&ledger);
    blocks.push(PaperBlock::Small(
        "Advice from fixed rules; the maker's service data and your own eyes come first.".into(),
    ));
    let nothing = if ledger.is_zero() {
        "Nothing is open."
    } else {
        "Everything that is open has been accepted by name."
    };
    if open == 0 {
        blocks.push(PaperBlock::Text(nothing.into()));
    }
    if !ledger.is_zero() {
        blocks.push(PaperBlock::Heading(format!("{} open", count_with_noun(open, "line"))));
        blocks.push(open_lines_table(job, &ledger));
    }
    blocks.extend(open_counts(&ledger));
    blocks.push(PaperBlock::Columns(vec![
        vec![PaperBlock::Blanks { label: "Name".into(), lines: 1 }],
        vec![PaperBlock::Blanks { label: "Telephone".into(), lines: 1 }],
    ]));
    let foot = title_block_cells(job, &[("open", open.to_string())]);
    blocks.push(PaperBlock::Tag(key_ring_tag(job, &ledger)));
    blocks.push(PaperBlock::Small("Cut out, punch, and hang on the key.".into()));
    Ok(vec![flow_sheet("Ledger", &words::vehicle_title(job), foot, blocks)])
}

/// What is asked, how it is forbidden, how it is allowed.
fn verdict_questions(ledger: &Ledger) -> [(&VehicleVerdict, &'static str, &'static str); 3] {
    [
        (ledger.may_be_started(), "DO NOT START", "started"),
        (ledger.may_be_lowered(), "DO NOT LOWER", "lowered"),
        (ledger.may_be_moved(), "DO NOT MOVE", "moved"),
    ]
}

/// What must not be done, large and with its reasons; then what is allowed.
pub(super) fn verdict_blocks(ledger: &Ledger) -> Vec<PaperBlock> {
    let mut blocks = Vec::new();
    for (verdict, never, _) in verdict_questions(ledger).into_iter().filter(|(verdict, _, _)| !verdict.yes) {
        let text = format!(
            "{} against it. {}",
            count_with_noun(verdict.reasons.len(), "line"),
            verdict_reasons(verdict)
        );
        blocks.push(PaperBlock::Together(vec![
            PaperBlock::Large(never.into()),
            PaperBlock::Caution { signal: model::SignalWord::Warning, text },
        ]));
    }
    let free: Vec<&str> =
        verdict_questions(ledger).into_iter().filter(|(v, _, _)| v.yes).map(|(_, _, done)| done).collect();
    if !free.is_empty() {
        blocks.push(PaperBlock::Text(format!("By the rules it may be {}.", free.join(", "))));
    }
    blocks
}

/// Why, each rule once.
fn verdict_reasons(verdict: &VehicleVerdict) -> String {
    let named = |name: &str| verdict.reasons.iter().any(|reason| reason.rule == name);
    let why: Vec<&str> = RULES.iter().filter(|rule| named(rule.name)).map(|rule| rule.why).collect();
    why.join(" ")
}

fn open_lines_table(job: &PaperJob<'_>, ledger: &Ledger) -> PaperBlock {
    let columns = vec![
        PaperColumn::of_words("what", 6.0),
        PaperColumn::of_words("slot", 1.8),
        PaperColumn::of_words("closes when", 5.0),
        PaperColumn::of_words("since", 2.4),
    ];
    let mut rows = Vec::new();
    for (kind, lines) in ledger.by_kind() {
        rows.push(PaperRow::heading(as_sentence(kind.title()).trim_end_matches('.')));
        rows.extend(group_alike_lines(&lines).iter().map(|lines| open_line_row(job, lines)));
    }
    PaperBlock::Table { columns, rows }
}

/// Open lines for the fasteners of one fixing that close the same way, together.
fn group_alike_lines<'l>(lines: &[&'l LedgerLine]) -> Vec<Vec<&'l LedgerLine>> {
    let same = |a: &LedgerLine, b: &LedgerLine| {
        let both = a.kind.is_fastener() && a.at.hole.is_some() && b.at.hole.is_some();
        let place = (&a.at.fixing, &a.slot, &a.closes) == (&b.at.fixing, &b.slot, &b.closes);
        both && place && a.accepted == b.accepted
    };
    let mut groups: Vec<Vec<&LedgerLine>> = Vec::new();
    for line in lines {
        match groups.iter_mut().find(|group| same(group[0], line)) {
            Some(group) => group.push(line),
            None => groups.push(vec![line]),
        }
    }
    groups
}

/// One line, or the fasteners of one fixing.
fn open_line_row(job: &PaperJob<'_>, lines: &[&LedgerLine]) -> PaperRow {
    let line = lines[0];
    let closes = line
        .accepted
        .as_ref()
        .map_or_else(|| line.closes.clone(), |word| format!("accepted by {}: {}", word.name, word.reason));
    let what = match (&line.at.fixing, lines.len()) {
        (Some(fixing), 2..) => {
            let holes: Vec<&str> = lines.iter().filter_map(|l| l.at.hole.as_deref()).collect();
            format!("{} × {}: {}", lines.len(), titles::fixing_title(job.book, fixing), holes.join(" "))
        }
        _ => line.what.clone(),
    };
    PaperRow::of_cells(vec![
        PaperCell::Tick(what),
        PaperCell::Words(line.slot.clone().unwrap_or_default()),
        PaperCell::Words(closes),
        PaperCell::Words(words::time_words(job, line.since.at_ms)),
    ])
}

/// Counts that do not balance.
fn open_counts(ledger: &Ledger) -> Vec<PaperBlock> {
    let rows: Vec<PaperRow> = ledger
        .counts
        .iter()
        .filter(|row| !row.agrees())
        .map(|row| {
            let words = count_words(row.kind);
            let what = if row.of.is_empty() { words.to_owned() } else { format!("{words}: {}", row.of) };
            PaperRow::of_cells(vec![
                PaperCell::Words(what),
                PaperCell::Words(row.out.to_string()),
                PaperCell::Words(row.back.to_string()),
            ])
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        PaperColumn::of_words("what", 8.0),
        PaperColumn::of_figures("out", 1.0),
        PaperColumn::of_figures("back", 1.0),
    ];
    vec![PaperBlock::Heading("Counts that do not balance".into()), PaperBlock::Table { columns, rows }]
}

/// A label for the key ring: what must not be done.
fn key_ring_tag(job: &PaperJob<'_>, ledger: &Ledger) -> PaperLabel {
    let never: Vec<String> = verdict_questions(ledger)
        .into_iter()
        .filter(|(verdict, _, _)| !verdict.yes)
        .map(|(_, never, _)| never.to_owned())
        .collect();
    let mut lines = if never.is_empty() {
        vec![String::from("may be started, lowered and moved, by the rules")]
    } else {
        never
    };
    lines.push(format!("{} open", count_with_noun(ledger.open_lines().count(), "line")));
    let link = words::visit_page_link(job, "ledger");
    PaperLabel { code: job.plan.asked.vehicle.clone(), lines, vehicle: words::vehicle_title(job), link }
}
