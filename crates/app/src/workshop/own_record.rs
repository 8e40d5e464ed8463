//! What the workshop says in its own stream: people, devices, readings of power drivers.

use std::collections::BTreeMap;

use archive::{DeviceKey, EventArchive};
use record::workshop::{DriverReading, KeptDriverReading};
use record::{ContentDigest, DeviceId, PersonId, WorkshopBody, WorkshopRecord};

use crate::evidence::estimate::WorkshopTerms;

use super::{Workshop, WorkshopError, new_id};
use crate::bolting_answers::driver::readings::is_same_reading;

/// A device that may write, or once did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its id.
    pub id: DeviceId,
    /// What a person calls it.
    pub name: String,
    /// SHA-256 of its key; `None`: it has none any more.
    pub key: Option<ContentDigest>,
    /// Who answers for what it writes.
    pub person: Option<PersonId>,
    /// When it was paired, milliseconds since 1970-01-01 UTC.
    pub paired_ms: i64,
    /// When its key was taken back.
    pub revoked_ms: Option<i64>,
}

impl Workshop {
    /// What the workshop knows of its people, devices, hours, tools, trays and letters.
    #[must_use]
    pub fn record(&self) -> &WorkshopRecord {
        self.own.state()
    }

    /// What an hour costs, and what stands under every estimate.
    #[must_use]
    pub fn estimate_terms(&self) -> WorkshopTerms {
        let record = self.record();
        WorkshopTerms { cents_per_hour: record.cents_per_hour, estimate_words: record.estimate_words.clone() }
    }

    /// Writes down what is so in the workshop.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn say_of_workshop(
        &mut self,
        device: &DeviceId,
        bodies: Vec<WorkshopBody>,
    ) -> Result<(), WorkshopError> {
        let writer = self.writer(device);
        self.own.say(&mut self.archive, &writer, bodies)
    }

    /// All devices that were ever paired, in the order of pairing, those taken back included.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn paired_devices(&self) -> Result<Vec<Device>, WorkshopError> {
        let mut keys: BTreeMap<DeviceId, ContentDigest> =
            self.archive.list_device_keys()?.into_iter().map(|key| (key.device, key.key)).collect();
        let known = self.record().devices.iter();
        let mut devices: Vec<Device> = known
            .map(|(id, known)| Device {
                id: id.clone(),
                name: known.name.clone(),
                key: keys.remove(id),
                person: known.person.clone(),
                paired_ms: known.paired.at_ms,
                revoked_ms: known.revoked.as_ref().map(|stamp| stamp.at_ms),
            })
            .collect();
        devices.sort_by(|a, b| (a.paired_ms, &a.id).cmp(&(b.paired_ms, &b.id)));
        Ok(devices)
    }

    /// Lets a device write from now on.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn pair_device(&mut self, device: &Device) -> Result<(), WorkshopError> {
        if let Some(key) = &device.key {
            self.archive.put_device_key(&DeviceKey { device: device.id.clone(), key: key.clone() })?;
        }
        let paired = WorkshopBody::DevicePaired { device: device.id.clone(), name: device.name.clone() };
        let own = self.device.clone();
        self.say_of_workshop(&own, vec![paired])
    }

    /// Takes a device's key back; the key is removed first, so that it opens nothing whatever happens next.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn revoke_device(&mut self, device: &DeviceId) -> Result<(), WorkshopError> {
        self.archive.remove_device_key(device)?;
        let own = self.device.clone();
        self.say_of_workshop(&own, vec![WorkshopBody::DeviceRevoked { device: device.clone() }])
    }

    /// Says who answers for what a device writes, by name; an empty name says that nobody does. Gives the person's id.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn name_person_of_device(
        &mut self,
        device: &DeviceId,
        name: &str,
    ) -> Result<Option<PersonId>, WorkshopError> {
        let name = name.trim();
        let known = self.record().persons.iter().find(|(_, person)| person.name == name);
        let mut bodies = Vec::new();
        let by = match (name.is_empty(), known) {
            (true, _) => None,
            (false, Some((id, _))) => Some(id.clone()),
            (false, None) => {
                let person = PersonId::new(&new_id()).expect("letters and figures");
                bodies.push(WorkshopBody::PersonAdded { person: person.clone(), name: name.to_owned() });
                Some(person)
            }
        };
        bodies.push(WorkshopBody::DeviceTaken { device: device.clone(), by: by.clone() });
        self.say_of_workshop(device, bodies)?;
        Ok(by)
    }

    /// Keeps readings of a power driver; those that are here already, by all that they say, are not kept twice where
    /// `once` is set. Gives how many are new.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn keep_driver_readings(
        &mut self,
        device: &DeviceId,
        readings: Vec<DriverReading>,
        once: bool,
    ) -> Result<usize, WorkshopError> {
        let mut known: Vec<&DriverReading> = self.driver_readings().collect();
        let mut is_new =
            |reading: &DriverReading| match known.iter().position(|k| is_same_reading(k, reading)) {
                Some(at) if once => {
                    known.swap_remove(at);
                    false
                }
                Some(_) | None => true,
            };
        let new: Vec<DriverReading> = readings.into_iter().filter(|reading| is_new(reading)).collect();
        let count = new.len();
        let bodies = new.into_iter().map(|reading| WorkshopBody::DriverRead { reading }).collect();
        self.say_of_workshop(device, bodies)?;
        Ok(count)
    }

    /// Readings of power drivers, in order.
    pub fn driver_readings(&self) -> impl Iterator<Item = &DriverReading> {
        self.record().driver_readings.iter().map(|KeptDriverReading { reading, .. }| reading)
    }
}
