//! A visit on the first page: what is open, and whether the vehicle may be moved, lowered, started.

use archive::{EventArchive, SavedState};
use model::Book;
use model::plan::Plan;
use record::ledger::{Ledger, VehicleVerdict};
use record::{PlanStepsView, StreamFold, StreamKind, VehicleId, Visit, VisitId};
use serde::{Deserialize, Serialize};

use super::settings::{SettingCard, settings_to_bring_back};
use super::sheet::step_in_hand;
use crate::text;
use crate::workshop::{ArchivedStream, LiveVisit, Workshop, WorkshopError};

/// Format number of kept cards among the saved states.
const KEPT: u32 = 1_001;

/// Version that made a kept card; a card of another version is rebuilt.
const EDITION: &str = concat!(env!("CARGO_PKG_VERSION"), " card 5");

/// May it be moved, lowered, started?
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitPermission {
    /// What is asked: "moved".
    pub what: String,
    /// Whether nothing prevents it.
    pub yes: bool,
    /// How many lines prevent it.
    pub against: usize,
}

/// A visit in a few lines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitCard {
    /// Its id.
    pub id: VisitId,
    /// The vehicle's own stream, where it has one.
    #[serde(default)]
    pub vehicle_id: Option<VehicleId>,
    /// Letter of the vehicle.
    pub vehicle: String,
    /// What a person calls the vehicle.
    pub name: String,
    /// Distance driven, as it was read.
    pub odometer: Option<String>,
    /// The engine; `None`: there is no book yet.
    pub book: Option<String>,
    /// Steps done, and in all; `None`: there is no plan.
    pub steps: Option<(usize, usize)>,
    /// The step in hand.
    pub next: Option<(u32, String)>,
    /// About how long the rest takes.
    pub time_left: String,
    /// Settings of the vehicle that do not stand as they should at hand-over.
    pub settings: Vec<SettingCard>,
    /// Open lines of the ledger that nobody has accepted.
    pub open: usize,
    /// May it be moved, lowered, started?
    pub verdicts: Vec<VisitPermission>,
    /// Why those verdicts say nothing; `None`: they rest on something.
    pub no_ground: Option<String>,
    /// What to know on the way back, where the work rests.
    pub paused: Option<String>,
    /// Whether the visit is over.
    pub closed: bool,
    /// What is missing or cannot be read, and what to do about it.
    pub troubles: Vec<String>,
}

/// The card of a visit.
#[must_use]
pub fn visit_card(live: &LiveVisit) -> VisitCard {
    let visit = live.state();
    let ledger = Ledger::draw_up(visit, live.book());
    let planned = live.planned_texts().map(|(book, _, plan)| PlanStepsView::of_plan(visit, book, plan));
    let opened = visit.opened.as_ref();
    VisitCard {
        id: live.id(),
        vehicle_id: opened.and_then(|o| o.vehicle.as_ref()?.vehicle_id()),
        vehicle: opened.map_or_else(|| String::from("?"), |o| o.letter.clone()),
        name: opened.map_or_else(|| String::from("the beginning has not arrived"), |o| o.name.clone()),
        odometer: opened.and_then(|o| o.odometer.clone()),
        book: live.book().map(|book| book.title.clone()),
        steps: planned.as_ref().map(|steps| (steps.done, steps.steps.len())),
        next: live.planned_texts().and_then(|(book, _, plan)| next_step_words(visit, book, plan)),
        time_left: planned.as_ref().map_or_else(String::new, |s| text::table::spoken_time(s.left_s)),
        settings: settings_to_bring_back(visit, live.book()),
        open: ledger.open_lines().count(),
        verdicts: vec![
            visit_permission("moved", ledger.may_be_moved()),
            visit_permission("lowered", ledger.may_be_lowered()),
            visit_permission("started", ledger.may_be_started()),
        ],
        no_ground: text::visit::explain_no_ground(visit, live.book()).map(str::to_owned),
        paused: visit.current_pause().map(|p| p.words.clone()),
        closed: visit.closed.is_some(),
        troubles: card_troubles(live),
    }
}

fn next_step_words(visit: &Visit, book: &Book, plan: &Plan) -> Option<(u32, String)> {
    let number = step_in_hand(visit, book, plan)?;
    record::steps_of(plan).find(|s| s.number == number).map(|s| (number, s.text.clone()))
}

fn card_troubles(live: &LiveVisit) -> Vec<String> {
    let missing = Some(live.missing_words()).filter(|words| !words.is_empty());
    live.unreadable_texts().iter().cloned().chain(missing).collect()
}

fn visit_permission(what: &str, verdict: &VehicleVerdict) -> VisitPermission {
    VisitPermission { what: what.to_owned(), yes: verdict.yes, against: verdict.reasons.len() }
}

/// A card as it is kept, so that the first page need not read every past visit.
#[derive(Serialize, Deserialize)]
struct KeptCard {
    edition: String,
    state: String,
    card: VisitCard,
}

/// The cards of all visits, those closed last; one that cannot be read says so on its own card and hurts no other.
///
/// # Errors
/// [`WorkshopError`] when the archive itself cannot be read.
pub fn visit_cards(workshop: &mut Workshop) -> Result<Vec<VisitCard>, WorkshopError> {
    let mut cards = Vec::new();
    for line in workshop.archive().list_streams(StreamKind::Visit)? {
        let Some(id) = line.stream.visit_id() else { continue };
        cards.push(find_or_make_card(workshop, &id, &line).unwrap_or_else(|error| broken_card(id, &error)));
    }
    cards.sort_by_key(|card| card.closed);
    Ok(cards)
}

/// The card of a visit: from what is at hand, else as it was kept, else made from its events and kept.
fn find_or_make_card(
    workshop: &mut Workshop,
    id: &VisitId,
    line: &ArchivedStream,
) -> Result<VisitCard, WorkshopError> {
    if let Some(live) = workshop.visit_at_hand(id) {
        return Ok(visit_card(live));
    }
    let kept =
        workshop.archive().find_saved_state(&line.stream, KEPT)?.filter(|saved| saved.position == line.last);
    let known = kept.and_then(|saved| serde_json::from_slice::<KeptCard>(&saved.bytes).ok());
    if let Some(known) = known.filter(|k| k.edition == EDITION && k.state == Visit::STATE_FORMAT) {
        return Ok(known.card);
    }
    let made = visit_card(workshop.visit(id)?);
    let (edition, state) = (EDITION.to_owned(), Visit::STATE_FORMAT.to_owned());
    let kept = KeptCard { edition, state, card: made.clone() };
    let bytes = serde_json::to_vec(&kept).expect("a card is plain data");
    // A card that cannot be kept is made anew the next time.
    let _ = workshop.archive_mut().put_saved_state(
        &line.stream,
        KEPT,
        &SavedState { position: line.last, bytes },
    );
    Ok(made)
}

/// A visit that cannot be read.
fn broken_card(id: VisitId, error: &WorkshopError) -> VisitCard {
    VisitCard {
        id,
        vehicle_id: None,
        vehicle: String::from("?"),
        name: String::from("this visit cannot be read"),
        odometer: None,
        book: None,
        steps: None,
        next: None,
        time_left: String::new(),
        settings: Vec::new(),
        open: 0,
        verdicts: Vec::new(),
        no_ground: None,
        paused: None,
        closed: false,
        troubles: vec![error.to_string()],
    }
}
