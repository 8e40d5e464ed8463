//! Vehicles: each a stream of its own, whatever it is called and whichever plate it carries.

use archive::EventArchive;
use record::vehicle::{OdometerValue, VehicleRecord};
use record::{DeviceId, EventRef, StreamKind, StreamRef, VehicleBody, VehicleId};

use super::own_stream::OwnStream;
use super::{Workshop, WorkshopError};

/// A vehicle with what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownVehicle {
    /// Its id.
    pub id: VehicleId,
    /// All claims, and the newest of each kind that is not taken back.
    pub record: VehicleRecord,
}

/// A vehicle in which a word was found.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundVehicle {
    /// The vehicle.
    pub known: KnownVehicle,
    /// Lines of its visits with the word in them.
    pub lines: Vec<String>,
}

/// Maximum number of lines told of one vehicle.
const MAX_FOUND_LINES: usize = 5;

impl Workshop {
    /// All vehicles, in the order of their first event.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn list_vehicles(&self) -> Result<Vec<KnownVehicle>, WorkshopError> {
        let lines = self.archive.list_streams(StreamKind::Vehicle)?;
        let ids = lines.iter().filter_map(|line| line.stream.vehicle_id());
        ids.map(|id| self.vehicle(&id)).collect()
    }

    /// One vehicle.
    ///
    /// # Errors
    /// [`WorkshopError::NoVehicle`], or when the archive cannot be read.
    pub fn vehicle(&self, id: &VehicleId) -> Result<KnownVehicle, WorkshopError> {
        let stream = self.read_vehicle(id)?;
        if stream.event_count() == 0 {
            return Err(WorkshopError::NoVehicle(id.to_string()));
        }
        Ok(KnownVehicle { id: id.clone(), record: stream.state().clone() })
    }

    /// Writes down what is so of a vehicle.
    ///
    /// # Errors
    /// [`WorkshopError::NoVehicle`], or [`WorkshopError::Store`] when the disk refuses.
    pub fn say_of_vehicle(
        &mut self,
        id: &VehicleId,
        device: &DeviceId,
        bodies: Vec<VehicleBody>,
    ) -> Result<(), WorkshopError> {
        self.vehicle(id)?;
        let writer = self.writer(device);
        self.read_vehicle(id)?.say(&mut self.archive, &writer, bodies)
    }

    /// The vehicles that a word is found in, whatever its case: their names, their findings, what was fitted; all for an empty word.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read. A visit that cannot be read is not searched.
    pub fn find_vehicles(&mut self, word: &str) -> Result<Vec<FoundVehicle>, WorkshopError> {
        let word = word.trim().to_lowercase();
        let mut all = Vec::new();
        for known in self.list_vehicles()? {
            let record = &known.record;
            let names =
                record.own_ids.iter().chain(&record.names).chain(&record.remarks).map(|claim| &claim.value);
            let plates = record.plates.iter().filter_map(|claim| claim.value.as_ref());
            let is_named = names.chain(plates).any(|name| name.to_lowercase().contains(&word));
            let lines = if word.is_empty() { Vec::new() } else { self.lines_with_word(&known, &word) };
            if is_named || !lines.is_empty() {
                all.push(FoundVehicle { known, lines });
            }
        }
        Ok(all)
    }

    /// What in a vehicle's visits has a word in it: findings, notes, titles of done tasks.
    fn lines_with_word(&mut self, known: &KnownVehicle, word: &str) -> Vec<String> {
        let mut lines = Vec::new();
        for id in known.record.visit_ids() {
            let Ok(live) = self.visit(&id) else { continue };
            let state = live.state();
            let told = state.findings.values().map(|finding| finding.words.clone());
            let noted = state.notes.iter().map(|note| note.words.clone());
            let done = state.tasks.keys().filter_map(|key| {
                let book = live.book()?;
                let task = book.task(book.task_by_key(key)?);
                let fitted = task.supplies.iter().map(|supply| supply.name.as_str());
                Some(core::iter::once(task.title.as_str()).chain(fitted).collect::<Vec<_>>().join("; "))
            });
            lines.extend(told.chain(noted).chain(done).filter(|line| line.to_lowercase().contains(word)));
        }
        lines.truncate(MAX_FOUND_LINES);
        lines
    }

    pub(super) fn read_vehicle(&self, id: &VehicleId) -> Result<OwnStream<VehicleRecord>, WorkshopError> {
        OwnStream::read_whole(&self.archive, StreamRef::from(id))
    }
}

/// An odometer's words in the one way in which they are shown, however they were written; words that are no figure stay.
pub(super) fn plain_odometer(words: &str) -> String {
    OdometerValue::parse_words(words).map_or_else(|| words.to_owned(), |reading| reading.to_string())
}

/// What the opening of a visit claims of its vehicle; an odometer that is no figure is kept as a remark.
pub(super) fn claims_of_visit(name: &str, odometer: Option<&str>, opening: EventRef) -> Vec<VehicleBody> {
    let mut claims = Vec::new();
    if !name.trim().is_empty() {
        claims.push(VehicleBody::NameClaimed { name: name.to_owned() });
    }
    claims.push(VehicleBody::Visited { opening });
    claims.extend(odometer.map(|words| match OdometerValue::parse_words(words) {
        Some(reading) => VehicleBody::OdometerClaimed { reading, date: None, read_by: None },
        None => VehicleBody::Remarked { words: format!("odometer at the visit: {words}") },
    }));
    claims
}
