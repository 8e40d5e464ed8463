//! What devices send: events that they made themselves, maybe hours ago and maybe twice.

use archive::{AppendOutcome, EventArchive, KeptAside};
use record::{DeviceId, Event, VisitBody, VisitId, check_event_size, read_event};
use serde::Serialize;

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
}

/// What became of the events that a device sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenEvents {
    /// Each of them, in the order in which they came.
    pub sent: Vec<SentEvent>,
    /// Whether one that is new changes how the rest of the work looks, so that it is planned anew.
    pub asks_for_new_plan: bool,
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
        self.visit(visit)?;
        let mut results = Vec::with_capacity(texts.len());
        let (mut events, mut places) = (Vec::<Event>::new(), Vec::new());
        for text in texts {
            match own_event(visit, device, text) {
                Ok(event) => {
                    places.push(results.len());
                    events.push(event);
                    results.push(SentEvent { verdict: IntakeVerdict::Kept, reason: None });
                }
                Err(reason) => {
                    self.set_aside(device, text, &reason)?;
                    results.push(SentEvent { verdict: IntakeVerdict::Aside, reason: Some(reason) });
                }
            }
        }
        let asks: Vec<bool> = events.iter().map(|event| event.body.asks_for_new_plan()).collect();
        let mut asks_for_new_plan = false;
        for ((kept, place), asks) in self.keep_events(visit, events)?.into_iter().zip(places).zip(asks) {
            match kept {
                AppendOutcome::New(_) => asks_for_new_plan |= asks,
                AppendOutcome::Known => results[place].verdict = IntakeVerdict::Known,
                AppendOutcome::Clashing => {
                    let reason = Some(String::from("another event already has this id"));
                    results[place] = SentEvent { verdict: IntakeVerdict::Aside, reason };
                }
            }
        }
        Ok(TakenEvents { sent: results, asks_for_new_plan })
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

/// The event of a text, where it is one that this device may write.
fn own_event(visit: &VisitId, device: &DeviceId, text: &str) -> Result<Event, String> {
    let event: Event<VisitBody> = read_event(&visit.into(), text).map_err(|why| why.to_string())?;
    if event.order.device != *device {
        return Err(format!("it claims to be written by device {}", event.order.device));
    }
    // It is kept as this program writes it, which may be longer than how the device wrote it.
    let rewritten = serde_json::to_string(&event).expect("an event is plain data");
    check_event_size(&rewritten).map_err(|why| why.to_string())?;
    Ok(event)
}
