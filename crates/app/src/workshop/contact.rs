//! What a device and the journal say to each other of how long the visit is, so that nothing is lost without a word.

use archive::{EventArchive, KeptAside, StreamTip, find_backed_up_place};
use record::{ContentDigest, CountRange, DeviceId, StreamRef, VisitId};
use serde::{Deserialize, Serialize};

use super::{Workshop, WorkshopError, now_ms};

/// At most this many gaps are asked for at once.
const MAX_GAPS: usize = 100;

/// How long a visit's stream is and how it ends, as a device keeps it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StreamLength {
    /// Number of its events.
    pub count: u64,
    /// Place of its newest event in the journal.
    pub place: u64,
    /// Hash of its newest event, which stands for all before it.
    pub tip: ContentDigest,
}

impl From<StreamTip> for StreamLength {
    fn from(tip: StreamTip) -> Self {
        Self { count: tip.count, place: tip.place, tip: tip.tip }
    }
}

/// What a device says of a visit besides its events.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
pub struct DeviceContact {
    /// How long the visit was when the device was last answered.
    #[serde(default)]
    pub known: Option<StreamLength>,
    /// The highest own count that the device ever wrote in it.
    #[serde(default)]
    pub written: u64,
}

/// How the journal stands beside what a device knows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JournalStanding {
    /// How long the visit is now; null: the journal has nothing of it.
    pub journal: Option<StreamLength>,
    /// Whether the journal holds all that the device knows of.
    pub agrees: bool,
    /// What a person has to know where it does not.
    pub words: Option<String>,
    /// Own counts of the device that the journal does not have.
    pub again: Vec<CountRange>,
    /// Events up to this place are in a checked backup; 0: none.
    pub safe: u64,
}

impl Workshop {
    /// Compares what a device knows of a visit with the journal; where they differ it is kept for a person to see to. Asked
    /// before the device's events are taken in.
    pub(super) fn compare_with_device(
        &mut self,
        visit: &VisitId,
        device: &DeviceId,
        contact: &DeviceContact,
    ) -> Result<Option<String>, WorkshopError> {
        let Some(known) = &contact.known else { return Ok(None) };
        let stream = StreamRef::from(visit);
        let tip = StreamTip { count: known.count, place: known.place, tip: known.tip.clone() };
        if self.archive.holds_tip(&stream, &tip)? {
            return Ok(None);
        }
        let has = self.archive.find_stream_tip(&stream)?.map_or(0, |tip| tip.count);
        let words = format!(
            "The journal no longer holds all that it had acknowledged: this visit had {} entries when this device was last \
             answered, and {has} of the journal are there now. What this device still holds is sent again. If more is \
             missing, restore the newest backup on the computer",
            known.count
        );
        self.archive.set_aside(&KeptAside {
            number: 0,
            device: device.to_string(),
            at_ms: now_ms(),
            text: format!(
                "{stream}: {} entries were known to the device, {has} are in the journal",
                known.count
            ),
            reason: words.clone(),
            settled: false,
        })?;
        Ok(Some(words))
    }

    /// How the journal stands now, after the device's events were taken in.
    pub(super) fn standing_for_device(
        &mut self,
        visit: &VisitId,
        device: &DeviceId,
        contact: &DeviceContact,
        words: Option<String>,
    ) -> Result<JournalStanding, WorkshopError> {
        let mut again = match self.visit(visit) {
            Ok(live) => live.history().device_counts().missing_up_to(device, contact.written),
            Err(WorkshopError::NoVisit(_)) if contact.written > 0 => vec![(1, contact.written)],
            Err(WorkshopError::NoVisit(_)) => Vec::new(),
            Err(error) => return Err(error),
        };
        again.truncate(MAX_GAPS);
        Ok(JournalStanding {
            journal: self.archive.find_stream_tip(&StreamRef::from(visit))?.map(StreamLength::from),
            agrees: words.is_none(),
            words,
            again,
            safe: find_backed_up_place(&self.archive)?,
        })
    }
}
