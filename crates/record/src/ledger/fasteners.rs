//! Lines about single fasteners: loose, off, finger-tight, broken, missing, undecided, not renewed.

use model::{FastenerState, Fixing};

use super::{LedgerDraft, LedgerLineKind};
use crate::decide::CLOSES_FIGURE;
use crate::names::{BookByKey, length_class, passes_of_fixing, tightening_figures};
use crate::visit::{FigureWord, VisitFastener};
use crate::{EventPlace, Visit};

pub(super) fn open_fastener_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (fixing, hole, fastener) in visit.fasteners.iter() {
        match FastenerFacts::find(desk, fixing, hole) {
            Some(facts) => open_fastener_line(desk, &facts, hole, fastener),
            None => open_unknown_hole_line(desk, fixing, hole, fastener),
        }
    }
    desk.names.book_fixings().iter().for_each(|fixing| open_figure_line(desk, fixing));
}

/// A fixing of which a fastener is run in, without a figure to tighten it to and without a name that answers for it.
fn open_figure_line(desk: &mut LedgerDraft<'_>, fixing: &Fixing) {
    let visit = desk.visit;
    if !fixing.is_figure_missing() || visit.figures.word_on(&fixing.key).is_some() {
        return;
    }
    let is_in_again = |state| is_run_in_again(state) || (fixing.slackened && state == FastenerState::Freed);
    let run_in = visit.fasteners.of_fixing(&fixing.key).filter(|(_, f)| is_in_again(f.state));
    let Some(since) = run_in.map(|(_, f)| &f.since).min_by(|a, b| a.order.cmp(&b.order)) else { return };
    let at = EventPlace {
        part: desk.names.part_of(fixing).map(|part| part.key.clone()),
        fixing: Some(fixing.key.clone()),
        ..EventPlace::default()
    };
    let what = format!("the tightening figure of {} is missing", fixing.title);
    let words = (what, CLOSES_FIGURE.to_owned());
    desk.open_line(LedgerLineKind::FigureMissing, &[&fixing.key], at, words, since);
}

/// What the ledger has to know of a fastener; without a book, what its key says.
struct FastenerFacts<'a> {
    key: &'a str,
    part: Option<&'a str>,
    /// "cover bolts 3 (M6 × 25)".
    name: String,
    passes: u8,
    one_time: bool,
    /// Whether it is only slackened and stays in its hole.
    slackened: bool,
    /// What tightens it, in the imperative.
    tighten: String,
    finish: String,
}

impl<'a> FastenerFacts<'a> {
    /// `None` where there is a book and it has no such hole.
    fn find(desk: &LedgerDraft<'a>, fixing: &'a str, hole: &str) -> Option<Self> {
        let (names, visit) = (desk.names, desk.visit);
        if names.book.is_none() {
            return Some(Self::without_book(fixing, hole));
        }
        names.fixing_with_hole(fixing, hole).map(|known| Self::of_fixing(names, visit, known, hole))
    }

    fn of_fixing(names: &BookByKey<'a>, visit: &Visit, fixing: &'a Fixing, hole: &str) -> Self {
        let figure = figure_words(fixing, visit);
        Self {
            key: &fixing.key,
            part: names.part_of(fixing).map(|part| part.key.as_str()),
            name: format!("{} {hole} ({})", fixing.title, length_class(fixing)),
            passes: passes_of_fixing(fixing),
            one_time: fixing.one_time,
            slackened: fixing.slackened,
            tighten: tighten_words(&figure),
            finish: format!("finish the passes: {figure}"),
        }
    }

    fn without_book(fixing: &'a str, hole: &str) -> Self {
        let tighten = "tighten it to the maker's figure".to_owned();
        let name = format!("{fixing} {hole}");
        let (one_time, slackened) = (false, false);
        Self {
            key: fixing,
            part: None,
            name,
            passes: 0,
            one_time,
            slackened,
            finish: tighten.clone(),
            tighten,
        }
    }
}

fn open_unknown_hole_line(desk: &mut LedgerDraft<'_>, fixing: &str, hole: &str, fastener: &VisitFastener) {
    let at = EventPlace { fixing: Some(fixing.into()), hole: Some(hole.into()), ..EventPlace::default() };
    let what =
        format!("“{fixing}” has no hole {hole} in the book (reported as {})", state_words(fastener.state));
    let closes = "check that the right book is open, or accept this line".to_owned();
    desk.open_line(LedgerLineKind::Strange, &["fastener", fixing, hole], at, (what, closes), &fastener.since);
}

fn open_fastener_line(desk: &mut LedgerDraft<'_>, facts: &FastenerFacts<'_>, hole: &str, f: &VisitFastener) {
    let at = EventPlace {
        part: facts.part.map(str::to_owned),
        fixing: Some(facts.key.to_owned()),
        hole: Some(hole.into()),
        ..EventPlace::default()
    };
    let name = &facts.name;
    let names = [facts.key, hole];
    if f.is_undecided() {
        let words = (format!("{name}: {}", claims_words(f)), "look at it and record its actual state".into());
        desk.open_line(LedgerLineKind::Undecided, &names, at, words, &f.since);
        return;
    }
    if facts.one_time && f.spent && is_run_in_again(f.state) {
        let what = format!("{name} must be renewed each time, but the old one is back in");
        let words = (what, "take it out and fit a new one".into());
        desk.open_line(LedgerLineKind::NotRenewed, &names, at.clone(), words, &f.since);
    }
    if let Some((kind, what, closes)) = describe_open_state(facts, f) {
        let line = desk.open_line(kind, &names, at, (what, closes), &f.since);
        line.slot = f.slot.clone().filter(|_| f.state == FastenerState::Off);
    }
}

/// Why a fastener is open, if it is: kind, what, and what closes it.
fn describe_open_state(
    facts: &FastenerFacts<'_>,
    f: &VisitFastener,
) -> Option<(LedgerLineKind, String, String)> {
    let (name, all) = (&facts.name, facts.passes);
    let (tighten, finish) = (facts.tighten.clone(), facts.finish.clone());
    Some(match f.state {
        FastenerState::InPlace => return None,
        FastenerState::Tight | FastenerState::Checked if f.holds_tight(all) => return None,
        FastenerState::Tight | FastenerState::Checked => {
            let what = format!("{name}: {} of {all} passes done", f.passes_done(all));
            (LedgerLineKind::FingerTight, what, finish)
        }
        FastenerState::FingerTight if f.passes_done(all) > 0 => {
            let what = format!("{name}: {} of {all} passes done, not tight", f.passes_done(all));
            (LedgerLineKind::FingerTight, what, finish)
        }
        FastenerState::FingerTight => {
            (LedgerLineKind::FingerTight, format!("{name} is finger-tight"), tighten)
        }
        FastenerState::Freed if facts.slackened => {
            (LedgerLineKind::Freed, format!("{name} is slackened, in its hole"), tighten)
        }
        FastenerState::Freed => (LedgerLineKind::Freed, format!("{name} is broken loose"), tighten),
        FastenerState::Off => {
            let slot = f.slot.as_ref().map_or_else(String::new, |slot| format!(", {}", whereabouts(slot)));
            let new = if f.is_renewed() && !f.spent { "the new " } else { "" };
            let fit = if facts.one_time && f.spent { "fit a new one" } else { "run it in" };
            (LedgerLineKind::Off, format!("{new}{name} is off{slot}"), format!("{fit}, then {tighten}"))
        }
        FastenerState::Broken => {
            let closes = format!("remove the remains, fit a new one, then {tighten}");
            (LedgerLineKind::Broken, format!("{name} is broken"), closes)
        }
        FastenerState::Missing => {
            (LedgerLineKind::Missing, format!("{name} is missing"), format!("fit one, then {tighten}"))
        }
    })
}

/// How a fixing is to be tightened: as the book writes it, else what was said at the bench.
/// Where a fastener lies that is off: "in A-T1-03", "on its part".
fn whereabouts(slot: &str) -> String {
    match slot {
        "on part" => String::from("on its part"),
        "in hole" | "scrap" => slot.to_owned(),
        address => format!("in {address}"),
    }
}

fn figure_words(fixing: &Fixing, visit: &Visit) -> String {
    let word = visit.figures.word_on(&fixing.key).filter(|_| fixing.is_figure_missing());
    word.map_or_else(|| tightening_figures(fixing), FigureWord::as_words)
}

fn tighten_words(figure: &str) -> String {
    if figure.is_empty() { "fit it".to_owned() } else { format!("tighten it: {figure}") }
}

const fn is_run_in_again(state: FastenerState) -> bool {
    matches!(state, FastenerState::FingerTight | FastenerState::Tight | FastenerState::Checked)
}

/// What the devices say: "tablet says off, phone says tight".
fn claims_words(f: &VisitFastener) -> String {
    let claims = f.claims.iter().map(|c| format!("{} says {}", c.stamp.order.device, state_words(c.to)));
    claims.collect::<Vec<_>>().join(", ")
}

/// A state as a person says it.
#[must_use]
pub(crate) const fn state_words(state: FastenerState) -> &'static str {
    match state {
        FastenerState::InPlace => "in place",
        FastenerState::Freed => "broken loose",
        FastenerState::Off => "off",
        FastenerState::FingerTight => "finger-tight",
        FastenerState::Tight => "tight",
        FastenerState::Checked => "checked",
        FastenerState::Broken => "broken",
        FastenerState::Missing => "missing",
    }
}
