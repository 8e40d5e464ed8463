//! The stream of a workshop: who works here with what, on which devices, at which hours; what is promised for when and which part
//! comes when; tools and where they are.
//!
//! It never leaves the workshop: an exported visit does not carry it, and no key of a device is in it.

mod body;
mod dates;
mod tools;

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

pub use body::{
    DayOfWeek, DriverReading, DriverReadingPurpose, LengthClaim, LengthUnit, OpenStretch, WorkshopBody,
};
pub use dates::VisitDates;
pub use tools::{ToolCalibration, ToolLever, ToolRecord};

use crate::{DeviceId, Event, EventStamp, PersonId, StreamFold, StreamRef, VisitId};

/// Somebody who works here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownPerson {
    /// The name.
    pub name: String,
    /// When it was said.
    pub stamp: EventStamp,
}

/// A device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownDevice {
    /// What it is called.
    pub name: String,
    /// Who answers for what it writes.
    pub person: Option<PersonId>,
    /// When it was paired.
    pub paired: EventStamp,
    /// When it was taken back.
    pub revoked: Option<EventStamp>,
}

/// A tray.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownTray {
    /// Compartments from front to back.
    pub rows: u16,
    /// Compartments from left to right.
    pub columns: u16,
    /// When it was made.
    pub made: EventStamp,
    /// When it was retired.
    pub retired: Option<EventStamp>,
}

/// A reading of a power driver, and when it was written down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptDriverReading {
    /// The reading.
    pub reading: DriverReading,
    /// When it was written down.
    pub stamp: EventStamp,
}

/// What the workshop has set about its times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptTimes {
    /// Allowance for needs and short interruptions, percent of the planned times.
    pub allowance_percent: u16,
    /// First time over any other time, percent.
    pub first_time_percent: u16,
}

/// The state of a workshop's stream.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct WorkshopRecord {
    /// People, by id.
    pub persons: BTreeMap<PersonId, KnownPerson>,
    /// Devices, by id, those taken back included.
    pub devices: BTreeMap<DeviceId, KnownDevice>,
    /// Hours of work, by day; empty where nobody has said.
    pub hours: Vec<OpenStretch>,
    /// Days on which nobody works, each with why.
    pub holidays: BTreeMap<String, String>,
    /// Hours in which a second pair of hands is here; empty where nobody comes.
    #[serde(default)]
    pub helper_hours: Vec<OpenStretch>,
    /// What was said of the dates of a visit.
    #[serde(default)]
    pub visit_dates: BTreeMap<VisitId, VisitDates>,
    /// Tools that were mentioned, by key.
    pub tools: BTreeMap<String, ToolRecord>,
    /// Readings of power drivers, in order.
    pub driver_readings: Vec<KeptDriverReading>,
    /// Trays, by key, those retired included.
    pub trays: BTreeMap<String, KnownTray>,
    /// Price of an hour of work, cents; `None`: nobody has said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cents_per_hour: Option<i64>,
    /// What stands under every estimate; empty: nothing.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub estimate_words: String,
    /// Allowance and first-time factor; `None`: nobody has set them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub times: Option<KeptTimes>,
    /// Letters in use, each with its vehicle.
    pub letters: BTreeMap<String, StreamRef>,
    /// Events that name what was never reported.
    pub strange: BTreeSet<String>,
}

impl WorkshopRecord {
    /// Who answers for what a device writes.
    #[must_use]
    pub fn person_of_device(&self, device: &DeviceId) -> Option<&PersonId> {
        self.devices.get(device)?.person.as_ref()
    }

    fn add_person(&mut self, person: &PersonId, name: &str, stamp: EventStamp) {
        self.persons.insert(person.clone(), KnownPerson { name: name.to_owned(), stamp });
    }

    fn pair_device(&mut self, device: &DeviceId, name: &str, paired: EventStamp) {
        let known = KnownDevice { name: name.to_owned(), person: None, paired, revoked: None };
        self.devices.insert(device.clone(), known);
    }

    fn change_device(
        &mut self,
        device: &DeviceId,
        stamp: &EventStamp,
        change: impl FnOnce(&mut KnownDevice),
    ) {
        match self.devices.get_mut(device) {
            Some(known) => change(known),
            None => {
                _ = self.strange.insert(format!("a device that was never paired (event {})", stamp.event))
            }
        }
    }

    fn make_tray(&mut self, tray: &str, (rows, columns): (u16, u16), made: EventStamp) {
        self.trays.insert(tray.to_owned(), KnownTray { rows, columns, made, retired: None });
    }

    fn retire_tray(&mut self, tray: &str, stamp: EventStamp) {
        match self.trays.get_mut(tray) {
            Some(known) => known.retired = Some(stamp),
            None => _ = self.strange.insert(format!("a tray that was never made (event {})", stamp.event)),
        }
    }

    /// What was said of a visit's dates.
    fn dates_of_visit(&mut self, visit: &VisitId) -> &mut VisitDates {
        self.visit_dates.entry(visit.clone()).or_default()
    }

    fn tool(&mut self, tool: &str) -> &mut ToolRecord {
        self.tools.entry(tool.to_owned()).or_default()
    }
}

impl StreamFold for WorkshopRecord {
    type Body = WorkshopBody;

    const STATE_FORMAT: &'static str = "traywright-workshop-state/2";

    fn evolve(&mut self, event: &Event<WorkshopBody>) {
        use WorkshopBody as B;
        let stamp = EventStamp::of_event(event);
        match &event.body {
            B::PersonAdded { person, name } | B::PersonRenamed { person, name } => {
                self.add_person(person, name, stamp);
            }
            B::DevicePaired { device, name } => self.pair_device(device, name, stamp),
            B::DeviceRenamed { device, name } => {
                self.change_device(device, &stamp, |known| known.name.clone_from(name));
            }
            B::DeviceTaken { device, by } => {
                self.change_device(device, &stamp, |known| known.person.clone_from(by));
            }
            B::DeviceRevoked { device } => {
                self.change_device(device, &stamp, |known| known.revoked = Some(stamp.clone()));
            }
            B::HoursSet { stretches } => self.hours.clone_from(stretches),
            B::HelperHoursSet { stretches } => self.helper_hours.clone_from(stretches),
            B::VisitPromised { visit, until } => self.dates_of_visit(visit).promise.clone_from(until),
            B::PartExpected { visit, part, on } => {
                _ = self.dates_of_visit(visit).parts.insert(part.clone(), on.clone());
            }
            B::VisitGoesFirst { visit, is_first } => self.dates_of_visit(visit).is_first = *is_first,
            B::HolidaySet { date, name } => _ = self.holidays.insert(date.clone(), name.clone()),
            B::HolidayDropped { date } => _ = self.holidays.remove(date),
            B::ToolBought { tool, count, .. } => self.tool(tool).buy_copies(*count),
            B::ToolLent { tool, count, whom } => self.tool(tool).lend_copies(*count, whom),
            B::ToolReturned { tool, count, whom } => self.tool(tool).take_copies_back(*count, whom),
            B::ToolLost { tool, count, .. } => self.tool(tool).lose_copies(*count),
            B::ToolCalibrated { tool, date, by, certificate, next_due } => {
                let (date, by, certificate) = (date.clone(), by.clone(), certificate.clone());
                let calibration =
                    ToolCalibration { date, by, certificate, next_due: next_due.clone(), stamp };
                self.tool(tool).calibrations.push(calibration);
            }
            B::LeverMeasured { wrench, lever, head_offset } => {
                let measured = ToolLever { lever: *lever, head_offset: *head_offset, stamp };
                self.tool(wrench).lever = Some(measured);
            }
            B::DriverRead { reading } => {
                self.driver_readings.push(KeptDriverReading { reading: reading.clone(), stamp });
            }
            B::TrayMade { tray, rows, columns } => self.make_tray(tray, (*rows, *columns), stamp),
            B::TrayRetired { tray } => self.retire_tray(tray, stamp),
            B::LetterGiven { letter, vehicle } => {
                self.letters.insert(letter.clone(), vehicle.clone());
            }
            B::LetterReleased { letter } => _ = self.letters.remove(letter),
            B::LabourRateSet { cents_per_hour } => self.cents_per_hour = Some(*cents_per_hour),
            B::EstimateWordsSet { words } => self.estimate_words.clone_from(words),
            B::TimesSet { allowance_percent, first_time_percent } => {
                let (allowance_percent, first_time_percent) = (*allowance_percent, *first_time_percent);
                self.times = Some(KeptTimes { allowance_percent, first_time_percent });
            }
            B::Undone { .. } => {}
        }
    }
}
