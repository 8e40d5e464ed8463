//! Hole cards: the holes of a part in true size, to be punched in cardboard and filled with its fasteners.

use std::collections::BTreeSet;

use model::plan::MixUpLine;
use model::{Fixing, FixingId, HoleOrderOrigin, KeepPlace, MixUpKind, PartId, SignalWord};
use print::paper::{HoleCard, HoleSpot, PaperBlock, PaperSheet, SheetBody};

use super::words::{as_sentence, title_block_cells};
use super::{PaperJob, PrintOptions, SheetError, SheetKind};
use crate::draw;
use crate::size_letters::SizeLetters;
use crate::text::table::count_with_noun;

/// Fewest holes for which a card is worth the cutting (assumption).
const FEWEST_HOLES: usize = 4;

/// Which parts get a card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CardChoice {
    /// Those whose fasteners the plan keeps on a card.
    KeptOnCards,
    /// Those, and parts with four or more holes on one page.
    WorthPunching,
}

pub(super) fn hole_card_sheets(
    job: &PaperJob<'_>,
    wanted: &PrintOptions,
    choice: CardChoice,
) -> Result<Vec<PaperSheet>, SheetError> {
    let parts = job.book.part_ids();
    let sheets: Vec<PaperSheet> =
        parts.filter_map(|part| hole_card_sheet(job, part, (wanted.true_size, choice))).collect();
    if sheets.is_empty() {
        let words = "no part that comes off has four or more holes whose positions are in the book";
        return Err(SheetError::Nothing { kind: SheetKind::HoleCards, words });
    }
    Ok(sheets)
}

/// The fixings of a part that come out into a tray, bag or card, in book order.
fn fixings_of_card<'b>(job: &PaperJob<'b>, part: PartId) -> Vec<&'b Fixing> {
    let comes_out = |id: &FixingId| {
        let key = &job.book.fixing(*id).key;
        let keeps = |keep| matches!(keep, KeepPlace::Tray | KeepPlace::Bag | KeepPlace::HoleCard);
        job.plan.slots.iter().any(|line| line.fixing == *key && keeps(line.keep))
    };
    job.book.fixings_of(part).filter(comes_out).map(|id| job.book.fixing(id)).collect()
}

fn hole_card_sheet(
    job: &PaperJob<'_>,
    id: PartId,
    (is_tiled, choice): (bool, CardChoice),
) -> Option<PaperSheet> {
    let part = job.book.part(id);
    let fixings = fixings_of_card(job, id);
    let wished = |f: &&Fixing| {
        job.plan.slots.iter().any(|line| line.fixing == f.key && line.keep == KeepPlace::HoleCard)
    };
    let count: usize = fixings.iter().map(|f| f.holes.len()).sum();
    let is_handy = count >= FEWEST_HOLES && fits_in(&fixings, MAX_ONE_PAGE_MM);
    let enough = (is_handy && choice == CardChoice::WorthPunching) || fixings.iter().any(wished);
    if !enough || count < 2 || !lie_apart(&fixings) {
        return None;
    }
    let slots = slots_in_words(job, &fixings);
    let title = format!("Hole card: {}", part.title);
    let subtitle = format!("{count} fasteners, otherwise kept in {slots}");
    let foot = title_block_cells(job, &[("part", part.title.clone()), ("slot", slots)]);
    let body = if fits_in(&fixings, MAX_CARD_MM) {
        SheetBody::HoleCard(card_of_fixings(job, &fixings, is_tiled))
    } else {
        SheetBody::Flow(vec![PaperBlock::Text(too_far_words(&fixings))])
    };
    Some(PaperSheet { title, subtitle, foot, body })
}

/// The slots that the fasteners are kept in, each once.
fn slots_in_words(job: &PaperJob<'_>, fixings: &[&Fixing]) -> String {
    let slots: BTreeSet<String> = fixings
        .iter()
        .filter_map(|f| job.plan.slots.iter().find(|line| line.fixing == f.key))
        .map(|line| line.slot.to_string())
        .collect();
    slots.into_iter().collect::<Vec<_>>().join(", ")
}

/// The card itself.
fn card_of_fixings(job: &PaperJob<'_>, fixings: &[&Fixing], is_tiled: bool) -> HoleCard {
    let lengths = SizeLetters::of_fixings(job.book, fixings);
    let turns = last_pass_turns(job, fixings);
    let holes = fixings.iter().flat_map(|f| f.holes.iter().map(|h| (*f, h)));
    let spot = |(f, h): (&Fixing, &model::Hole)| HoleSpot {
        label: h.label.clone(),
        at_mm: (h.x.as_mm(), h.y.as_mm()),
        diameter_mm: punched_mm(f),
        turn: turns.iter().position(|t| *t == (f.key.as_str(), h.label.as_str())).map(|at| at as u32 + 1),
        class: lengths.letter_of_fixing(f),
    };
    HoleCard {
        holes: holes.map(spot).collect(),
        outline_mm: Vec::new(),
        classes: lengths.letters_with_sizes(),
        short_warning: short_warning(job, fixings),
        warnings: mix_up_warnings(job, fixings),
        is_tiled,
    }
}

/// Widest and highest pattern that needs no second page on either paper, with room for ruler and title block; a larger part
/// is put on a card only where its fasteners are to be kept on one.
const MAX_ONE_PAGE_MM: (f64, f64) = (170.0, 170.0);

/// Largest pattern that is drawn in true size, on tiles: a longer part is a wrong unit in the book (assumption).
const MAX_CARD_MM: (f64, f64) = (3000.0, 3000.0);

/// How far the holes lie apart, across and along.
fn span_mm(fixings: &[&Fixing]) -> (f64, f64) {
    let holes = || fixings.iter().flat_map(|f| &f.holes);
    let span = |of: fn(&model::Hole) -> f64| {
        let low_mm = holes().map(of).fold(f64::INFINITY, f64::min);
        holes().map(of).fold(f64::NEG_INFINITY, f64::max) - low_mm
    };
    (span(|h| h.x.as_mm()), span(|h| h.y.as_mm()))
}

fn fits_in(fixings: &[&Fixing], room_mm: (f64, f64)) -> bool {
    let (width_mm, height_mm) = span_mm(fixings);
    width_mm <= room_mm.0 && height_mm <= room_mm.1
}

/// Why there is no card: a sheet that says so, so that the rest of the pack still prints.
fn too_far_words(fixings: &[&Fixing]) -> String {
    let (width_mm, height_mm) = span_mm(fixings);
    format!(
        "The holes span {width_mm:.0} mm by {height_mm:.0} mm; a card in true size takes at most {:.0} mm by {:.0} mm. \
         Check the hole positions in the book: are they in millimetres?",
        MAX_CARD_MM.0, MAX_CARD_MM.1
    )
}

/// Whether each hole has a place of its own: a book without places gives all holes the same.
fn lie_apart(fixings: &[&Fixing]) -> bool {
    let mut places: Vec<(f64, f64)> =
        fixings.iter().flat_map(|f| f.holes.iter().map(|h| (h.x.as_mm(), h.y.as_mm()))).collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    places.windows(2).all(|two| units::math::hypot(two[0].0 - two[1].0, two[0].1 - two[1].1) > SAME_PLACE_MM)
}

/// Holes nearer than this are the same place: no tool would fit between their heads (assumption).
const SAME_PLACE_MM: f64 = 2.0;

/// The hole to be punched: the thread goes through, the head does not.
fn punched_mm(fixing: &Fixing) -> f64 {
    let head_mm = fixing.head.diameter.as_mm();
    fixing.thread.map_or(head_mm * 0.5, |t| t.d_mm()).clamp(1.5, 60.0)
}

/// Fixings and holes in the order of their last tightening pass; unrelated fasteners have none.
fn last_pass_turns<'a>(job: &PaperJob<'a>, fixings: &[&'a Fixing]) -> Vec<(&'a str, &'a str)> {
    let mut turns: Vec<(&str, &str)> = Vec::new();
    let tightens = |step: &&model::plan::Step| step.kind == model::plan::StepKind::Tighten;
    let is_related = |step: &&model::plan::Step| {
        let ids = step.fixings.iter().filter_map(|key| job.book.fixing_by_key(key));
        let together: Vec<&Fixing> = ids.map(|id| job.book.fixing(id)).collect();
        HoleOrderOrigin::of_fixings(&together).has_order()
    };
    for step in record::steps_of(job.plan).filter(tightens).filter(is_related) {
        for label in draw::last_pass(job.plan, step) {
            let own = fixings.iter().filter(|f| step.fixings.contains(&f.key));
            let hole = own.flat_map(|f| f.holes.iter().map(move |h| (f.key.as_str(), h.label.as_str())));
            turns.extend(hole.filter(|(_, l)| *l == label));
        }
    }
    // One number for each joint: with several joints on the part the order begins anew, so none is numbered here.
    let joints: BTreeSet<u32> = record::steps_of(job.plan)
        .filter(tightens)
        .filter(|s| fixings.iter().any(|f| s.fixings.contains(&f.key)))
        .map(|s| s.number)
        .collect();
    if joints.len() > 1 { Vec::new() } else { turns }
}

/// Swaps on a card of which only depth or class is not known; more are counted.
const MAX_NOT_KNOWN_ON_CARD: usize = 4;

/// Look-alikes that do harm in a hole of this part, or from it, worst first; of what is not known only the first few.
fn mix_up_warnings(job: &PaperJob<'_>, fixings: &[&Fixing]) -> Vec<(SignalWord, String)> {
    let here = |key: &str| fixings.iter().any(|f| f.key == key);
    let lines = job.plan.mix_ups.iter().filter(|m| here(&m.fastener_of) || here(&m.hole_of));
    let (not_known, harmful): (Vec<&MixUpLine>, Vec<&MixUpLine>) =
        lines.partition(|line| line.consequence.is_not_known());
    let shown = harmful.into_iter().chain(not_known.iter().copied().take(MAX_NOT_KNOWN_ON_CARD));
    let mut warnings: Vec<(SignalWord, String)> =
        shown.map(|m| (signal_of_mix_up(m), as_sentence(&m.words))).collect();
    let more = not_known.len().saturating_sub(MAX_NOT_KNOWN_ON_CARD);
    if more > 0 {
        let words = format!(
            "{more} more look-alikes of a class, or for a hole of a depth, that the book does not give; keep them apart."
        );
        warnings.push((SignalWord::Notice, words));
    }
    warnings
}

/// How many look-alikes do harm, and where they are told; empty where none does.
fn short_warning(job: &PaperJob<'_>, fixings: &[&Fixing]) -> String {
    let grave = mix_up_warnings(job, fixings).iter().filter(|(word, _)| *word == SignalWord::Warning).count();
    if grave == 0 {
        return String::new();
    }
    format!(
        "{} do harm in these holes, or from them: see the tray map.",
        count_with_noun(grave, "look-alike")
    )
}

/// How grave a swap is: what holds nothing, or breaks later, can hurt people; what is seen at once costs time.
pub(super) fn signal_of_mix_up(line: &MixUpLine) -> SignalWord {
    match line.consequence {
        MixUpKind::BottomsOut
        | MixUpKind::DoesNotGrip
        | MixUpKind::TooLittleThread
        | MixUpKind::WeakerClass => SignalWord::Warning,
        MixUpKind::CrossThreads | MixUpKind::UnknownClass | MixUpKind::ReachesDeeper => SignalWord::Caution,
        MixUpKind::WillNotEnter | MixUpKind::Harmless => SignalWord::Notice,
    }
}
