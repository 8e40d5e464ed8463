//! Lines about single fasteners: loose, off, finger-tight, broken, missing, undecided, not renewed.

use model::{FastenerState, Fixing};

use super::{Desk, LineKind};
use crate::At;
use crate::names::{figures, length_class, passes_of};
use crate::visit::Fastener;

pub(super) fn open(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (fixing, hole, fastener) in visit.fasteners.iter() {
        match desk.names.hole(fixing, hole) {
            Some(known) => line(desk, known, hole, fastener),
            None => unknown(desk, fixing, hole, fastener),
        }
    }
}

fn unknown(desk: &mut Desk<'_>, fixing: &str, hole: &str, fastener: &Fastener) {
    let at = At { fixing: Some(fixing.into()), hole: Some(hole.into()), ..At::default() };
    let what =
        format!("the book has no hole {hole} in “{fixing}”, said to be {}", state_words(fastener.state));
    let closes = "look whether the right book is open, or accept it".to_owned();
    desk.open(LineKind::Strange, &["fastener", fixing, hole], at, (what, closes), &fastener.since);
}

fn line(desk: &mut Desk<'_>, fixing: &Fixing, hole: &str, f: &Fastener) {
    let part = &desk.names.part_of(fixing).key;
    let at = At {
        part: Some(part.clone()),
        fixing: Some(fixing.key.clone()),
        hole: Some(hole.into()),
        ..At::default()
    };
    let name = format!("{} {hole} ({})", fixing.title, length_class(fixing));
    let names = [fixing.key.as_str(), hole];
    if f.is_undecided() {
        let words = (format!("{name}: {}", claims(f)), "look and say how it really stands".into());
        desk.open(LineKind::Undecided, &names, at, words, &f.since);
        return;
    }
    if fixing.one_time && f.spent && is_back(f.state) {
        let what = format!("{name} is renewed each time, and the old one is back in");
        let words = (what, "take it out and fit a new one".into());
        desk.open(LineKind::NotRenewed, &names, at.clone(), words, &f.since);
    }
    if let Some((kind, what, closes)) = stands(fixing, &name, f) {
        let line = desk.open(kind, &names, at, (what, closes), &f.since);
        line.slot = f.slot.clone().filter(|_| f.state == FastenerState::Off);
    }
}

/// How a fastener stands open, if it does: kind, what, and what closes it.
fn stands(fixing: &Fixing, name: &str, f: &Fastener) -> Option<(LineKind, String, String)> {
    let all = passes_of(fixing);
    let tighten = tighten_words(fixing);
    Some(match f.state {
        FastenerState::InPlace => return None,
        FastenerState::Tight | FastenerState::Checked if f.holds(all) => return None,
        FastenerState::Tight | FastenerState::Checked => {
            let what = format!("{name} is through {} of {all} passes", f.passes(all));
            (LineKind::FingerTight, what, format!("finish the passes: {}", figures(fixing)))
        }
        FastenerState::FingerTight if f.passes(all) > 0 => {
            let what = format!("{name} is through {} of {all} passes, not tight", f.passes(all));
            (LineKind::FingerTight, what, format!("finish the passes: {}", figures(fixing)))
        }
        FastenerState::FingerTight => (LineKind::FingerTight, format!("{name} is finger-tight"), tighten),
        FastenerState::Freed => (LineKind::Freed, format!("{name} is broken loose"), tighten),
        FastenerState::Off => {
            let slot = f.slot.as_ref().map_or_else(String::new, |s| format!(", in {s}"));
            let new = if f.is_renewed() && !f.spent { "the new " } else { "" };
            let fit = if fixing.one_time && f.spent { "fit a new one" } else { "run it in" };
            (LineKind::Off, format!("{new}{name} is off{slot}"), format!("{fit}, then {tighten}"))
        }
        FastenerState::Broken => {
            let closes = format!("bring the rest out, fit a new one, then {tighten}");
            (LineKind::Broken, format!("{name} is broken"), closes)
        }
        FastenerState::Missing => {
            (LineKind::Missing, format!("{name} is missing"), format!("fit one, then {tighten}"))
        }
    })
}

fn tighten_words(fixing: &Fixing) -> String {
    let figures = figures(fixing);
    if figures.is_empty() { "seat it".to_owned() } else { format!("tighten it: {figures}") }
}

const fn is_back(state: FastenerState) -> bool {
    matches!(state, FastenerState::FingerTight | FastenerState::Tight | FastenerState::Checked)
}

/// What the devices say: "tablet says off, phone says tight".
fn claims(f: &Fastener) -> String {
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
