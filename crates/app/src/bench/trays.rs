//! The trays as they lie now: what each compartment holds, and what of its fasteners is still out.

use std::collections::BTreeMap;

use model::plan::{Plan, SlotLine};
use model::{Book, FastenerState, SlotAddress, Store};
use record::Visit;

/// One compartment, bag, card or other place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlotContents {
    /// Its address.
    pub slot: SlotAddress,
    /// Row and column in the tray, from the front left, from 0.
    pub at: Option<(u16, u16)>,
    /// What belongs in it: size and title of the fixing.
    pub what: String,
    /// How many lie in it now.
    pub now: usize,
    /// How many belong in it when all are off.
    pub count: u16,
}

/// A tray, or the bags, cards and other places together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrayContents {
    /// Key of the tray; `None` for the other places.
    pub tray: Option<String>,
    /// Heading.
    pub title: String,
    /// Rows and columns of a tray.
    pub size: (u16, u16),
    /// Compartments in use, by place.
    pub compartments: Vec<SlotContents>,
}

/// All trays in use and the other places of a visit.
#[must_use]
pub fn trays_of_visit(book: &Book, store: &Store, plan: &Plan, visit: &Visit) -> Vec<TrayContents> {
    let mut lying: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for (fixing, _, fastener) in visit.fasteners.iter() {
        if fastener.state == FastenerState::Off {
            let slot = fastener.slot.as_deref().unwrap_or_default();
            *lying.entry((fixing, slot)).or_default() += 1;
        }
    }
    let now = |line: &SlotLine| {
        lying.get(&(line.fixing.as_str(), line.slot.to_string().as_str())).copied().unwrap_or(0)
    };
    let mut all: Vec<TrayContents> = Vec::new();
    for tray in &store.trays {
        let place = |line: &SlotLine| {
            let number = line.slot.compartment_of(&plan.asked.vehicle, &tray.key)?;
            let at = u16::try_from(number).ok()?.checked_sub(1)?;
            Some((at / tray.columns.max(1), at % tray.columns.max(1)))
        };
        let held = plan.slots.iter().filter_map(|line| Some((line, place(line)?)));
        let compartments: Vec<SlotContents> =
            held.map(|(line, at)| contents_of_slot(book, line, Some(at), now(line))).collect();
        if !compartments.is_empty() {
            let (title, size) =
                (format!("Tray {}-{}", plan.asked.vehicle, tray.key), (tray.rows, tray.columns));
            all.push(TrayContents { tray: Some(tray.key.clone()), title, size, compartments });
        }
    }
    let placed: Vec<&SlotAddress> = all.iter().flat_map(|t| t.compartments.iter().map(|c| &c.slot)).collect();
    let others: Vec<SlotContents> = plan
        .slots
        .iter()
        .filter(|line| !placed.contains(&&line.slot))
        .map(|line| contents_of_slot(book, line, None, now(line)))
        .collect();
    if !others.is_empty() {
        let title = String::from("Bags, cards and places on the engine");
        all.push(TrayContents { tray: None, title, size: (0, 0), compartments: others });
    }
    all
}

fn contents_of_slot(book: &Book, line: &SlotLine, at: Option<(u16, u16)>, now: usize) -> SlotContents {
    let title =
        book.fixing_by_key(&line.fixing).map_or(line.fixing.clone(), |id| book.fixing(id).title.clone());
    SlotContents {
        slot: line.slot.clone(),
        at,
        what: format!("{}, {title}", line.size),
        now,
        count: line.count,
    }
}
