//! A visit on the first page: what stands open, and whether the vehicle may be moved, lowered, started.

use journal::ledger::{Ledger, Verdict};
use journal::{StepsView, VisitId};

use crate::text;
use crate::workshop::Live;

/// A visit in a few lines.
#[derive(Debug, Clone, PartialEq)]
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
    pub verdicts: [(&'static str, Verdict); 3],
    /// What to know on the way back, where the work rests.
    pub paused: Option<String>,
    /// Whether the visit is over.
    pub closed: bool,
}

/// The card of a visit.
#[must_use]
pub fn card(live: &Live) -> VisitCard {
    let visit = live.state();
    let ledger = Ledger::of(visit, live.book());
    let steps = StepsView::of(visit, live.book(), live.plan());
    let next = steps.next.map(|at| steps.steps[at].number);
    let text_of = |number: u32| {
        journal::steps_of(live.plan()).find(|s| s.number == number).map(|s| (number, s.text.clone()))
    };
    VisitCard {
        id: live.history().id().clone(),
        vehicle: visit.opened.as_ref().map_or_else(String::new, |o| o.vehicle.clone()),
        name: visit.opened.as_ref().map_or_else(String::new, |o| o.name.clone()),
        odometer: visit.opened.as_ref().and_then(|o| o.odometer.clone()),
        book: live.book().title.clone(),
        steps: (steps.done, steps.steps.len()),
        next: next.and_then(text_of),
        time_left: text::table::spoken(steps.left_s),
        open: ledger.open().count(),
        verdicts: [
            ("moved", ledger.may_be_moved().clone()),
            ("lowered", ledger.may_be_lowered().clone()),
            ("started", ledger.may_be_started().clone()),
        ],
        paused: visit.pause().map(|p| p.words.clone()),
        closed: visit.closed.is_some(),
    }
}
