//! Vehicles: each a stream of its own, whatever it is called and whichever plate it carries.

use archive::EventArchive;
use record::vehicle::{OdometerValue, VehicleRecord};
use record::{EventRef, StreamKind, StreamRef, VehicleBody, VehicleId};

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
