//! The readiness of a plan as it stands now: what was told or is at hand since it was made is not asked again.
//!
//! A plan's readiness is of the moment in which it was made. A figure that was given since, or answered for by name, and plugs for open ends that
//! are at hand close their questions here. What changes the reach of tools (a drive, a room) needs the plan made anew; how much of
//! that was told since is counted, so that the page can offer it.

use std::collections::BTreeSet;

use model::plan::{OpenKind, Plan, Readiness, ReadinessVerdict};
use model::{FastenerState, PartKind};
use plan::readiness::{missing_figure_words, open_ends_words, readiness_verdicts};
use record::visit::ToldWord;
use record::{PutInKind, ToldWhat, Visit};

/// The readiness of a plan with what was told in the visit since.
#[must_use]
pub fn readiness_now(plan: &Plan, visit: &Visit) -> Readiness {
    let mut ready = plan.readiness.clone();
    ready.figures_missing.retain(|line| visit.figures.word_on(&line.fixing).is_none());
    let missing = missing_figure_words(&ready.figures_missing);
    ready.against_refit = missing.iter().cloned().collect();
    let closed: BTreeSet<String> = seen_open_ends(visit)
        .filter(|(key, title)| visit.gathered.contains(&plugs_words(title)) || plugs_in(visit, key) > 0)
        .map(|(_, title)| open_ends_words(title))
        .collect();
    ready.open.retain_mut(|line| match line.kind {
        OpenKind::TighteningMissing => {
            let left: BTreeSet<&str> =
                ready.figures_missing.iter().map(|line| line.fixing.as_str()).collect();
            line.fixings.retain(|fixing| left.contains(fixing.as_str()));
            line.fasteners = ready.figures_missing.iter().map(|line| u32::from(line.count)).sum();
            line.words.clone_from(missing.as_ref().unwrap_or(&String::new()));
            missing.is_some()
        }
        OpenKind::TradeQuestion => !closed.contains(&line.words),
        OpenKind::FigureNotKnown | OpenKind::NotProven | OpenKind::AskFirst | OpenKind::Support => true,
    });
    ready.verdict = readiness_verdicts(&ready.against, &ready.figures_missing, &ready.coverage, &ready.open);
    ready.go =
        ready.verdict.first_bolt == ReadinessVerdict::Go && ready.verdict.refit == ReadinessVerdict::Go;
    ready
}

/// Whether the first bolt is behind: something was loosened or taken off.
#[must_use]
pub fn is_first_bolt_behind(visit: &Visit) -> bool {
    let is_touched = |state: FastenerState| state != FastenerState::InPlace;
    visit.parts.values().any(|part| part.made.is_some())
        || visit.fasteners.iter().any(|(_, _, fastener)| is_touched(fastener.state))
}

/// How many words that change what tools reach, or the order of parts, were told since the plan was made.
#[must_use]
pub fn words_told_since_plan(visit: &Visit) -> usize {
    let Some(planned) = &visit.planned else { return 0 };
    let changes_plan = |what: &ToldWhat| match what {
        ToldWhat::Kind
        | ToldWhat::Drive
        | ToldWhat::Room
        | ToldWhat::Thread
        | ToldWhat::OffAfter
        | ToldWhat::NotAfter => true,
        ToldWhat::Title | ToldWhat::HeadHeight | ToldWhat::Worked | ToldWhat::Failed => false,
    };
    let is_new = |word: &&ToldWord| word.stamp.order > planned.stamp.order;
    let of_subjects = visit.seen.part_words.values().chain(visit.seen.fixing_words.values());
    let words = of_subjects.flatten().filter(|(what, _)| changes_plan(what)).flat_map(|(_, words)| words);
    words.filter(is_new).count()
}

/// Seen parts whose ends stand open once they are off: key and title.
pub(super) fn seen_open_ends(visit: &Visit) -> impl Iterator<Item = (&str, &str)> {
    visit.seen.parts_in_order().into_iter().filter_map(|(key, _)| {
        let word = visit.seen.part_kind(key)?;
        let has_ends =
            [PartKind::Pipe, PartKind::Hose, PartKind::Union].iter().any(|kind| kind.file_word() == word);
        has_ends.then(|| Some((key, visit.seen.part_title(key)?))).flatten()
    })
}

/// The line to tick for what closes the ends of a part.
pub(super) fn plugs_words(title: &str) -> String {
    format!("plugs for the open ends of the {title}")
}

/// Plugs that are in the ends of a part.
pub(super) fn plugs_in(visit: &Visit, part: &str) -> u32 {
    let in_part = visit.put_ins.values().filter(|one| one.at.part.as_deref() == Some(part));
    in_part.filter(|one| one.what == PutInKind::Plug).map(|one| u32::from(one.count)).sum()
}
