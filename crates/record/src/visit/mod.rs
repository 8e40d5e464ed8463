//! The state of a visit, as replay makes it: everything the events say, by key, with who and when.
//!
//! Names are kept as they were written. Whether the book knows them is asked when the ledger is drawn up, so that no event
//! is lost and replay needs nothing but the events.

mod fastener;
mod faults;
mod figure;
mod reports;
mod seen;
mod settings;
mod things;

use std::collections::{BTreeMap, BTreeSet};

use model::FastenerState;
use serde::{Deserialize, Serialize};

pub use fastener::{FastenerClaim, VisitFastener, VisitFasteners, is_in_hole};
pub use figure::{FigureWord, VisitFigures};
pub use reports::{
    AcceptedLine, ClosedWork, Finding, FindingEnd, HandCount, HappeningEnd, OwnerAnswer, PlanInForce,
    SecondLook, StrangeEvent, TaskStanding, TextsInForce, ToldRisk, VisitClosing, VisitHappening, VisitNote,
    VisitPicture, VisitReading, VisitStart, VisitWait, WentOnWhileOpen, WorkKind, WorkPause,
};
pub use seen::{MeasuredHeads, SeenEngine, SeenFixing, SeenPart, SeenWay, ToldWord};
pub use settings::{SettingHistory, SettingReport, SettingStanding, setting_value_words};
pub(crate) use settings::{is_end_value, quote_words};
pub use things::{OpeningCaps, PieceWhereabouts, ThingPutIn, ToggleState};

use crate::{DeviceId, Event, EventId, EventOrder};

/// Who said it, at which place of the order, and when by the writer's clock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EventStamp {
    /// The event.
    pub event: EventId,
    /// Its place in the defined order; names the device.
    pub order: EventOrder,
    /// What the writer's clock showed, milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
}

impl EventStamp {
    /// The stamp of an event.
    #[must_use]
    pub fn of_event<B>(event: &Event<B>) -> Self {
        Self { event: event.id.clone(), order: event.order.clone(), at_ms: event.at_ms }
    }

    /// Whether nobody wrote it: it is of a state as it would be ([`crate::apply_pretended_events`]), and its time says nothing.
    #[must_use]
    pub fn is_pretended(&self) -> bool {
        self.order.device.as_str() == crate::pretend::PRETENDED
    }
}

/// The state of a visit.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Visit {
    /// How it began; `None` before the first event.
    pub opened: Option<VisitStart>,
    /// The texts that it works from by now; `None`: it has none.
    pub based_on: Option<TextsInForce>,
    /// The plan that is worked by now; `None`: there is none yet.
    pub planned: Option<PlanInForce>,
    /// Plans that were worked by before, the first first.
    pub earlier_plans: Vec<PlanInForce>,
    /// Fasteners that were mentioned.
    pub fasteners: VisitFasteners,
    /// What was said of tightening figures that the book does not have.
    pub figures: VisitFigures,
    /// What was seen at the engine and no book tells of.
    #[serde(default, skip_serializing_if = "SeenEngine::is_empty")]
    pub seen: SeenEngine,
    /// Parts that were lifted off (`now`: off), by key.
    pub parts: BTreeMap<String, ToggleState>,
    /// Conditions that were made (`now`: holds), by key.
    pub conditions: BTreeMap<String, ToggleState>,
    /// Caps of openings, by key of the opening.
    pub openings: BTreeMap<String, OpeningCaps>,
    /// Settings that were changed, by key.
    pub settings: BTreeMap<String, SettingHistory>,
    /// Tasks, by key.
    pub tasks: BTreeMap<String, TaskStanding>,
    /// Extra steps that a happening requires, by key.
    pub extras: BTreeMap<String, TaskStanding>,
    /// Things put in, by the event that put them in.
    pub put_ins: BTreeMap<EventId, ThingPutIn>,
    /// Pieces that left their place, by key.
    pub pieces: BTreeMap<String, PieceWhereabouts>,
    /// Happenings, by the event that reported them.
    pub happenings: BTreeMap<EventId, VisitHappening>,
    /// Waits, by the event that began them.
    pub waits: BTreeMap<EventId, VisitWait>,
    /// Findings for the owner, by the event that reported them.
    pub findings: BTreeMap<EventId, Finding>,
    /// What may turn up, by the mechanic's judgement, in the order of saying.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub risks: Vec<ToldRisk>,
    /// Readings, in order.
    pub readings: Vec<VisitReading>,
    /// Pictures, in order.
    pub pictures: Vec<VisitPicture>,
    /// Notes, in order.
    pub notes: Vec<VisitNote>,
    /// Interruptions, in order.
    pub pauses: Vec<WorkPause>,
    /// Closed work that was looked at again, in order.
    pub looked: Vec<SecondLook>,
    /// Counts by hand, the latest of each thing counted.
    pub counts: BTreeMap<String, HandCount>,
    /// Accepted lines of the ledger, by key of the line.
    pub overrides: BTreeMap<String, AcceptedLine>,
    /// Who went on while questions of the plan stood open; the first word, which stays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub went_on: Option<WentOnWhileOpen>,
    /// Lines of the lists before the start that are at hand, in words.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub gathered: BTreeSet<String>,
    /// The visit is over.
    pub closed: Option<VisitClosing>,
    /// Events that do not fit what is known.
    pub strange: Vec<StrangeEvent>,
    /// The work closed last, latest first, three at most.
    pub works: Vec<ClosedWork>,
    /// The last events of each device that may be taken back, earliest first, [`MAX_RECENT_EVENTS`] at most.
    pub recent: BTreeMap<DeviceId, Vec<EventStamp>>,
}

/// How many of each device's last events are kept at hand for taking back.
pub const MAX_RECENT_EVENTS: usize = 32;

impl Visit {
    /// Whether what was found is put right, by word or by the task that does it.
    #[must_use]
    pub fn is_finding_done(&self, finding: &Finding) -> bool {
        let task = finding.task.as_ref().and_then(|task| self.tasks.get(task));
        finding.done.is_some() || task.is_some_and(|task| task.to == crate::StepMark::Done)
    }

    /// The newest picture of a fixing.
    #[must_use]
    pub fn latest_picture_of(&self, fixing: &str) -> Option<&VisitPicture> {
        self.pictures.iter().rfind(|taken| taken.at.fixing.as_deref() == Some(fixing))
    }

    /// The state of a fastener; in place, where it was never mentioned.
    #[must_use]
    pub fn fastener_state(&self, fixing: &str, hole: &str) -> FastenerState {
        self.fasteners.state(fixing, hole)
    }

    /// Whether a part is off.
    #[must_use]
    pub fn is_part_off(&self, part: &str) -> bool {
        self.parts.get(part).is_some_and(|p| p.now)
    }

    /// Whether a condition holds.
    #[must_use]
    pub fn condition_holds(&self, condition: &str) -> bool {
        self.conditions.get(condition).is_some_and(|c| c.now)
    }

    /// Caps that are in an opening.
    #[must_use]
    pub fn caps_in(&self, opening: &str) -> u32 {
        self.openings.get(opening).map_or(0, |o| o.inside)
    }

    /// The interruption that work rests in.
    #[must_use]
    pub fn current_pause(&self) -> Option<&WorkPause> {
        self.pauses.last().filter(|p| p.resumed.is_none())
    }

    /// Fasteners that two devices contradict each other about: fixing, hole, fastener with both claims.
    pub fn open_conflicts(&self) -> impl Iterator<Item = (&str, &str, &VisitFastener)> {
        self.fasteners.iter().filter(|(_, _, f)| f.is_undecided())
    }

    /// The last event of a device that is not void and may be undone.
    #[must_use]
    pub fn last_event_of(&self, device: &DeviceId) -> Option<&EventId> {
        self.recent.get(device)?.last().map(|s| &s.event)
    }

    /// The events of a device's last decision that are not void, the latest first: they are consecutive and carry the same time.
    pub fn last_decision_of(&self, device: &DeviceId) -> impl Iterator<Item = &EventId> {
        let recent = self.recent.get(device).map(Vec::as_slice).unwrap_or_default();
        let last = recent.last();
        let together = recent.iter().rev().enumerate().take_while(move |(back, stamp)| {
            last.is_some_and(|l| {
                stamp.at_ms == l.at_ms && stamp.order.count.saturating_add(*back as u64) == l.order.count
            })
        });
        together.map(|(_, stamp)| &stamp.event)
    }

    /// What lies in each slot now: fixing, hole, fastener.
    #[must_use]
    pub fn slot_contents(&self) -> BTreeMap<&str, Vec<(&str, &str, &VisitFastener)>> {
        let mut slots: BTreeMap<&str, Vec<(&str, &str, &VisitFastener)>> = BTreeMap::new();
        for (fixing, hole, fastener) in
            self.fasteners.iter().filter(|(_, _, f)| f.state == FastenerState::Off)
        {
            if let Some(slot) = &fastener.slot {
                slots.entry(slot).or_default().push((fixing, hole, fastener));
            }
        }
        slots
    }
}
