//! Visits and their ledger for the terminal: 80 columns, the answer first.

use model::Book;
use record::Visit;
use record::ledger::{Ledger, LedgerLineKind};

use super::table::{PageWidth, TextAlign, TextTable, bullet, count_with_noun, heading};
use crate::bench::{MissingFigure, SettingCard, VisitCard, count_words};

/// What is said where the verdicts on a visit rest on nothing.
const NO_GROUND: &str = "no book and nothing recorded: this says nothing about the engine";

/// Why the verdicts on a visit say nothing: it has no book, and nothing that the ledger counts was recorded yet; `None` where
/// they rest on something.
#[must_use]
pub fn explain_no_ground(visit: &Visit, book: Option<&Book>) -> Option<&'static str> {
    (book.is_none() && !has_records(visit)).then_some(NO_GROUND)
}

/// Whether anything was recorded that the ledger counts; notes, pictures and readings close and open nothing.
fn has_records(visit: &Visit) -> bool {
    let are_empty = [
        visit.fasteners.iter().next().is_none(),
        visit.parts.is_empty(),
        visit.conditions.is_empty(),
        visit.openings.is_empty(),
        visit.settings.is_empty(),
        visit.tasks.is_empty(),
        visit.extras.is_empty(),
        visit.put_ins.is_empty(),
        visit.pieces.is_empty(),
        visit.happenings.is_empty(),
        visit.waits.is_empty(),
        visit.findings.is_empty(),
        visit.counts.is_empty(),
        visit.strange.is_empty(),
    ];
    are_empty.contains(&false)
}

/// Visits, one block each.
#[must_use]
pub fn format_visits(cards: &[VisitCard], width: PageWidth) -> String {
    if cards.is_empty() {
        return String::from("no visit yet; `traywright visit new` opens one\n");
    }
    cards.iter().map(|card| format_visit_card(card, width)).collect::<Vec<_>>().join("\n")
}

/// One visit.
#[must_use]
pub fn format_visit_card(card: &VisitCard, width: PageWidth) -> String {
    let mut out = bullet(width, &format!("{}  ", card.vehicle), &card.name);
    out.push_str(&format!("   id        {}\n", card.id));
    out.push_str(&bullet(width, "   engine    ", card.book.as_deref().unwrap_or("no book yet")));
    if let Some(odometer) = &card.odometer {
        out.push_str(&format!("   odometer  {odometer}\n"));
    }
    match card.steps {
        Some((done, all)) => {
            out.push_str(&format!("   steps     {done} of {all} done, about {} left\n", card.time_left));
        }
        None => out.push_str("   steps     no plan yet\n"),
    }
    out.push_str(&format!("   ledger    {}\n", open_lines_words(card.open)));
    let no_ground = card.no_ground.as_deref();
    for may in &card.verdicts {
        out.push_str(&format!("   {:<9} {}\n", may.what, verdict_words(may.yes, may.against, no_ground)));
    }
    if let Some(why) = no_ground {
        out.push_str(&bullet(width, "   because   ", why));
    }
    for setting in &card.settings {
        out.push_str(&bullet(width, "   stands    ", &format_setting(setting)));
    }
    if let Some(words) = &card.paused {
        out.push_str(&bullet(width, "   paused    ", words));
    }
    for trouble in &card.troubles {
        out.push_str(&bullet(width, "   note      ", trouble));
    }
    if card.closed {
        out.push_str("   closed and handed over\n");
    } else if let Some((number, text)) = &card.next {
        out.push_str(&bullet(width, "   next      ", &format!("{number} {text}")));
    }
    out
}

/// What was said of a tightening figure that the book does not have, and why it seems odd.
#[must_use]
pub fn format_missing_figure(figure: &MissingFigure, width: PageWidth) -> String {
    let word = figure.word.as_deref().unwrap_or("still missing");
    let mut out = format!("{}: {word}\n", figure.title);
    if let Some(remark) = &figure.remark {
        out.push_str(&bullet(width, "look again: ", remark));
    }
    out
}

/// Where a setting stands, and what brings it back where it does not stand as it should at hand-over: "the lift stands at chest:
/// bring it to ground before hand-over".
#[must_use]
pub fn format_setting(setting: &SettingCard) -> String {
    if setting.is_at_end { setting.words.clone() } else { format!("{}: {}", setting.words, setting.closes) }
}

fn open_lines_words(lines: usize) -> String {
    match lines {
        0 => String::from("nothing is open"),
        n => format!("{} open", count_with_noun(n, "line")),
    }
}

fn verdict_words(yes: bool, against: usize, no_ground: Option<&str>) -> String {
    match against {
        _ if no_ground.is_some() => String::from("not known"),
        _ if yes => String::from("allowed by the rules"),
        n => format!(
            "not yet: {} {} it",
            count_with_noun(n, "line"),
            if n == 1 { "prevents" } else { "prevent" }
        ),
    }
}

/// The ledger: verdicts, or why they say nothing (see [`explain_no_ground`]), open lines by kind, counts.
#[must_use]
pub fn format_ledger(ledger: &Ledger, no_ground: Option<&str>, width: PageWidth) -> String {
    let mut out = match ledger.open_lines().count() {
        0 if ledger.is_zero() => String::from("nothing is open\n"),
        0 => String::from("nothing is open except accepted lines\n"),
        n => format!("{}\n", open_lines_words(n)),
    };
    for (what, verdict) in [
        ("moved", ledger.may_be_moved()),
        ("lowered", ledger.may_be_lowered()),
        ("started", ledger.may_be_started()),
    ] {
        let words = verdict_words(verdict.yes, verdict.reasons.len(), no_ground);
        out.push_str(&format!("  {what:<8} {words}\n"));
    }
    if let Some(why) = no_ground {
        out.push_str(&bullet(width, "  because  ", why));
    }
    for (kind, lines) in ledger.by_kind() {
        out.push_str(&heading(kind.title()));
        for line in lines {
            // Where a fastener that is off lies, the line says itself.
            let told = line.slot.as_ref().filter(|_| kind != LedgerLineKind::Off);
            let slot = told.map_or_else(String::new, |slot| format!(" [{slot}]"));
            let close = line.accepted.as_ref().map_or_else(
                || line.closes.clone(),
                |word| format!("accepted by {}: {}", word.name, word.reason),
            );
            out.push_str(&bullet(width, "  - ", &format!("{}{slot}: {close}", line.what)));
        }
    }
    let differ: Vec<_> = ledger.counts.iter().filter(|row| !row.agrees()).collect();
    if !differ.is_empty() {
        out.push_str(&heading("counts that do not balance"));
        let mut table = TextTable::new(&[
            ("what", TextAlign::Left),
            ("out", TextAlign::Right),
            ("back", TextAlign::Right),
        ]);
        for row in differ {
            let words = count_words(row.kind);
            let what = if row.of.is_empty() { words.to_owned() } else { format!("{words}: {}", row.of) };
            table.add_row(&[what, row.out.to_string(), row.back.to_string()]);
        }
        out.push_str(&table.to_text(width));
    }
    out
}
