//! A visit on the first page: what stands open, and whether the vehicle may be moved, lowered, started.

use archive::{EventArchive, SavedState};
use record::ledger::{Ledger, VehicleVerdict};
use record::{PlanStepsView, StateSnapshot, VisitId};
use serde::{Deserialize, Serialize};

use crate::text;
use crate::workshop::{ArchivedVisit, LiveVisit, Workshop, WorkshopError};

/// Format number of kept cards among the saved states.
const KEPT: u32 = 1_001;

/// What a kept card was made by: another edition makes it anew.
const EDITION: &str = concat!(env!("CARGO_PKG_VERSION"), " card 1");

/// May it be moved, lowered, started?
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitPermission {
    /// What is asked: "moved".
    pub what: String,
    /// Whether nothing stands against it.
    pub yes: bool,
    /// How many lines stand against it.
    pub against: usize,
}

/// A visit in a few lines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitCard {
    /// Its id.
    pub id: VisitId,
    /// Letter of the vehicle.
    pub vehicle: String,
    /// What a person calls the vehicle.
    pub name: String,
    /// Distance driven, as it was read.
    pub odometer: Option<String>,
    /// The engine.
    pub book: String,
    /// Steps done, and in all.
    pub steps: (usize, usize),
    /// The step in hand.
    pub next: Option<(u32, String)>,
    /// About how long the rest takes.
    pub time_left: String,
    /// Open lines of the ledger that nobody has accepted.
    pub open: usize,
    /// May it be moved, lowered, started?
    pub verdicts: Vec<VisitPermission>,
    /// What to know on the way back, where the work rests.
    pub paused: Option<String>,
    /// Whether the visit is over.
    pub closed: bool,
}

/// The card of a visit.
#[must_use]
pub fn visit_card(live: &LiveVisit) -> VisitCard {
    let visit = live.state();
    let ledger = Ledger::draw_up(visit, live.book());
    let steps = PlanStepsView::of_plan(visit, live.book(), live.plan());
    let next = steps.next.map(|at| steps.steps[at].number);
    let text_of = |number: u32| {
        record::steps_of(live.plan()).find(|s| s.number == number).map(|s| (number, s.text.clone()))
    };
    VisitCard {
        id: live.history().id().clone(),
        vehicle: visit.opened.as_ref().map_or_else(String::new, |o| o.vehicle.clone()),
        name: visit.opened.as_ref().map_or_else(String::new, |o| o.name.clone()),
        odometer: visit.opened.as_ref().and_then(|o| o.odometer.clone()),
        book: live.book().title.clone(),
        steps: (steps.done, steps.steps.len()),
        next: next.and_then(text_of),
        time_left: text::table::spoken_time(steps.left_s),
        open: ledger.open_lines().count(),
        verdicts: vec![
            visit_permission("moved", ledger.may_be_moved()),
            visit_permission("lowered", ledger.may_be_lowered()),
            visit_permission("started", ledger.may_be_started()),
        ],
        paused: visit.current_pause().map(|p| p.words.clone()),
        closed: visit.closed.is_some(),
    }
}

fn visit_permission(what: &str, verdict: &VehicleVerdict) -> VisitPermission {
    VisitPermission { what: what.to_owned(), yes: verdict.yes, against: verdict.reasons.len() }
}

/// A card as it is kept, so that the first page does not read every visit that ever was.
#[derive(Serialize, Deserialize)]
struct KeptCard {
    edition: String,
    state: String,
    card: VisitCard,
}

/// The cards of all visits, those closed last.
///
/// # Errors
/// [`WorkshopError`] when a visit cannot be read.
pub fn visit_cards(workshop: &mut Workshop) -> Result<Vec<VisitCard>, WorkshopError> {
    let mut cards = Vec::new();
    for line in workshop.list_visits()? {
        cards.push(find_or_make_card(workshop, &line)?);
    }
    cards.sort_by_key(|card| card.closed);
    Ok(cards)
}

/// The card of a visit: from what is at hand, else as it was kept, else made from its events and kept.
fn find_or_make_card(workshop: &mut Workshop, line: &ArchivedVisit) -> Result<VisitCard, WorkshopError> {
    if let Some(live) = workshop.visit_at_hand(&line.visit) {
        return Ok(visit_card(live));
    }
    let kept =
        workshop.archive().find_saved_state(&line.visit, KEPT)?.filter(|saved| saved.position == line.last);
    let known = kept.and_then(|saved| serde_json::from_slice::<KeptCard>(&saved.bytes).ok());
    if let Some(known) = known.filter(|k| k.edition == EDITION && k.state == StateSnapshot::FORMAT) {
        return Ok(known.card);
    }
    let made = visit_card(workshop.visit(&line.visit)?);
    let (edition, state) = (EDITION.to_owned(), StateSnapshot::FORMAT.to_owned());
    let kept = KeptCard { edition, state, card: made.clone() };
    let bytes = serde_json::to_vec(&kept).expect("a card is plain data");
    workshop.archive_mut().put_saved_state(&line.visit, KEPT, &SavedState { position: line.last, bytes })?;
    Ok(made)
}
