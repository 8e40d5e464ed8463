//! What devices send: events that they made themselves, maybe hours ago and maybe twice.

use std::collections::BTreeSet;

use archive::{AppendOutcome, EventArchive, KeptAside};
use record::{
    DeviceId, Event, EventId, StreamBody as _, VisitBody, VisitId, check_event_size, check_sense, read_event,
};
use serde::Serialize;

use super::contact::{DeviceContact, JournalStanding};
use super::{Workshop, WorkshopError, now_ms};

/// What became of one event that was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum IntakeVerdict {
    /// It is on disk.
    Kept,
    /// It was on disk already.
    Known,
    /// It is kept aside for someone to look at.
    Aside,
}

/// What became of one event, with the reason where a person has to look at it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SentEvent {
    /// What became of it; in every case the device may forget it.
    pub verdict: IntakeVerdict,
    /// Why it was kept aside.
    pub reason: Option<String>,
    /// Its place in the journal, where it is there.
    pub place: Option<u64>,
}

impl SentEvent {
    fn aside(reason: String) -> Self {
        Self { verdict: IntakeVerdict::Aside, reason: Some(reason), place: None }
    }
}

/// What became of the events that a device sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenEvents {
    /// Each of them, in the order in which they came.
    pub sent: Vec<SentEvent>,
    /// Whether one that is new changes how the rest of the work looks, so that it is planned anew.
    pub asks_for_new_plan: bool,
    /// How the journal stands beside what the device knows.
    pub standing: JournalStanding,
}

impl Workshop {
    /// Takes the events of a device, one JSON text each; all are on disk when this returns, accepted or kept aside.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses: then the device keeps all of them. [`WorkshopError::NoVisit`].
    pub fn take_events(
        &mut self,
        visit: &VisitId,
        device: &DeviceId,
        texts: &[String],
    ) -> Result<TakenEvents, WorkshopError> {
        self.take_contact(visit, device, texts, &DeviceContact::default())
    }

    /// The same from a device that says how long the visit was when it was last answered. A visit that the journal has lost is
    /// taken in again from the devices that know it.
    ///
    /// # Errors
    /// As [`Workshop::take_events`].
    pub fn take_contact(
        &mut self,
        visit: &VisitId,
        device: &DeviceId,
        texts: &[String],
        contact: &DeviceContact,
    ) -> Result<TakenEvents, WorkshopError> {
        let last_round = match self.visit(visit) {
            Ok(live) => live.history().last_round(),
            Err(WorkshopError::NoVisit(_)) if contact.known.is_some() || contact.written > 0 => 0,
            Err(error) => return Err(error),
        };
        let words = self.compare_with_device(visit, device, contact)?;
        let mut last_round = last_round.max(contact.known.as_ref().map_or(0, |known| known.count));
        let of_workshop: BTreeSet<DeviceId> =
            self.paired_devices()?.into_iter().map(|device| device.id).collect();
        let mut results = Vec::with_capacity(texts.len());
        let (mut events, mut places) = (Vec::<Event>::new(), Vec::new());
        for text in texts {
            match own_event(visit, (device, &of_workshop), text, last_round) {
                Ok(event) => {
                    last_round = last_round.max(event.order.round);
                    places.push(results.len());
                    events.push(event);
                    results.push(SentEvent { verdict: IntakeVerdict::Kept, reason: None, place: None });
                }
                Err(reason) => {
                    self.set_aside(device, text, &reason)?;
                    results.push(SentEvent::aside(reason));
                }
            }
        }
        let told_problems: BTreeSet<EventId> = self
            .visit(visit)
            .map(|live| live.state().happenings.keys().cloned().collect())
            .unwrap_or_default();
        // A problem that is taken back leaves a plan that goes round it: the rest is planned anew as when it was told.
        let asks_anew = |body: &VisitBody| {
            body.asks_for_new_plan() || body.undone_event().is_some_and(|event| told_problems.contains(event))
        };
        let asks: Vec<bool> = events.iter().map(|event| asks_anew(&event.body)).collect();
        let mut asks_for_new_plan = false;
        let kept = if events.is_empty() { Vec::new() } else { self.keep_events(visit, events)? };
        for ((kept, at), asks) in kept.into_iter().zip(places).zip(asks) {
            match kept {
                AppendOutcome::New(place) => {
                    asks_for_new_plan |= asks;
                    results[at].place = Some(place);
                }
                AppendOutcome::Known(place) => {
                    results[at] =
                        SentEvent { verdict: IntakeVerdict::Known, reason: None, place: Some(place) };
                }
                AppendOutcome::Clashing => {
                    results[at] = SentEvent::aside(String::from("another event already has this id"));
                }
            }
        }
        let standing = self.standing_for_device(visit, device, contact, words)?;
        Ok(TakenEvents { sent: results, asks_for_new_plan, standing })
    }

    fn set_aside(&mut self, device: &DeviceId, text: &str, reason: &str) -> Result<(), WorkshopError> {
        let aside = KeptAside {
            number: 0,
            device: device.to_string(),
            at_ms: now_ms(),
            text: text.to_owned(),
            reason: reason.to_owned(),
            settled: false,
        };
        self.archive.set_aside(&aside)?;
        Ok(())
    }
}

/// The event of a text, where it is one that this device may write or carry.
fn own_event(
    visit: &VisitId,
    (device, of_workshop): (&DeviceId, &BTreeSet<DeviceId>),
    text: &str,
    last_round: u64,
) -> Result<Event, String> {
    let event: Event<VisitBody> = read_event(&visit.into(), text).map_err(|why| why.to_string())?;
    // A device that was paired again, or a server that has another address now, brings what was written before: by a device of
    // this workshop, in its name.
    if event.order.device != *device && !of_workshop.contains(&event.order.device) {
        return Err(format!("it claims to be written by device {}", event.order.device));
    }
    check_sense(&event.order, event.at_ms, last_round).map_err(|why| why.to_string())?;
    // It is kept as this program writes it, which may be longer than how the device wrote it.
    let rewritten = serde_json::to_string(&event).expect("an event is plain data");
    check_event_size(&rewritten).map_err(|why| why.to_string())?;
    Ok(event)
}
