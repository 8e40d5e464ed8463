//! Tray map: each tray as it lies, with what belongs in each compartment, and what is kept elsewhere.

use model::{SignalWord, SlotAddress};
use print::paper::{PaperBlock, PaperCell, PaperColumn, PaperRow, PaperSheet};

use super::hole_card::signal_of_mix_up;
use super::words::{self, as_sentence, flow_sheet, title_block_cells};
use super::{PaperJob, SheetError, SheetKind};
use crate::text::table::count_with_noun;
use crate::{draw, titles};

/// Greatest height of a tray: two lie on a page.
const TRAY_MM: f64 = 105.0;

pub(super) fn tray_sheets(job: &PaperJob<'_>) -> Result<Vec<PaperSheet>, SheetError> {
    let trays = draw::tray_pictures(job.book, job.store, job.plan);
    let elsewhere = places_elsewhere(job);
    if trays.is_empty() && elsewhere.is_empty() {
        return Err(SheetError::Nothing { kind: SheetKind::Trays, words: "no fastener is kept anywhere" });
    }
    let subtitle = format!("{}, as they lie before you", count_with_noun(trays.len(), "tray"));
    let mut blocks: Vec<PaperBlock> =
        trays.into_iter().map(|drawing| PaperBlock::Picture { drawing, height_mm: TRAY_MM }).collect();
    if !elsewhere.is_empty() {
        let columns = || {
            vec![
                PaperColumn::of_words("where", 1.7),
                PaperColumn::of_figures("pcs", 1.0),
                PaperColumn::of_words("what", 6.0),
            ]
        };
        let half = elsewhere.len().div_ceil(2);
        let table = |lines: &[(String, u16, String)]| {
            let rows = lines.iter().map(slot_row).collect();
            words::table_if_any(columns(), rows)
        };
        let (left, right) = elsewhere.split_at(half);
        blocks.push(PaperBlock::Columns(vec![table(left), table(right)]));
    }
    let grave = grave_mix_ups(job);
    if !grave.is_empty() {
        blocks.push(PaperBlock::Heading(String::from("Do not mix up: these hold nothing, or break")));
        blocks.push(PaperBlock::Columns(grave));
    }
    Ok(vec![flow_sheet(SheetKind::Trays.title(), &subtitle, title_block_cells(job, &[]), blocks)])
}

/// Look-alikes that hold nothing or break in another's hole, in two columns, those of which the same is said together; the
/// harmless ones are not told.
fn grave_mix_ups(job: &PaperJob<'_>) -> Vec<Vec<PaperBlock>> {
    let mut told: Vec<(Vec<String>, String)> = Vec::new();
    for line in job.plan.mix_ups.iter().filter(|line| signal_of_mix_up(line) == SignalWord::Warning) {
        let (fastener, rest) = match line.words.split_once(" in a hole of ") {
            Some((fastener, rest)) => (fastener.to_owned(), format!("in a hole of {rest}")),
            None => (line.words.clone(), String::new()),
        };
        match told.iter_mut().find(|(_, known)| *known == rest && !rest.is_empty()) {
            Some((fasteners, _)) => fasteners.push(fastener),
            None => told.push((vec![fastener], rest)),
        }
    }
    if told.is_empty() {
        return Vec::new();
    }
    let block = |(fasteners, rest): &(Vec<String>, String)| {
        PaperBlock::Small(as_sentence(format!("{} {rest}", fasteners.join(", ")).trim()))
    };
    let (left, right) = told.split_at(told.len().div_ceil(2));
    [left, right].map(|half| half.iter().map(block).collect()).into()
}

/// Bags, cards and scrap, with count and contents: what lies in no tray and does not stay in its place. What is scrapped is not
/// told apart, it only has to be kept until hand-over.
fn places_elsewhere(job: &PaperJob<'_>) -> Vec<(String, u16, String)> {
    let mut places: Vec<(String, u16, String)> = Vec::new();
    let lines = job.plan.slots.iter().filter(|line| !line.slot.stays_in_place());
    for line in lines.filter(|line| !words::lies_in_tray(job, line)) {
        let slot = line.slot.to_string();
        let fixing = titles::fixing_title(job.book, &line.fixing);
        if line.slot != SlotAddress::Scrap {
            places.push((slot, line.count, format!("{}, {fixing}", line.size)));
            continue;
        }
        match places.iter_mut().find(|(known, _, _)| *known == slot) {
            Some((_, count, what)) => {
                *count += line.count;
                what.push_str(&format!(", {fixing}"));
            }
            None => places.push((slot, line.count, format!("old, fit new: {fixing}"))),
        }
    }
    places.sort();
    places
}

fn slot_row((slot, count, what): &(String, u16, String)) -> PaperRow {
    PaperRow::of_cells(vec![
        PaperCell::Bold(slot.clone()),
        PaperCell::Words(count.to_string()),
        PaperCell::Words(what.clone()),
    ])
}
