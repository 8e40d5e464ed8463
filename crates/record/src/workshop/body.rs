//! What an event of a workshop says: of people, devices, hours, tools, power drivers, trays and letters.

// symbol: value = length, in the unit that its field `unit` names; torque_n_m in N·m

use serde::{Deserialize, Serialize};

use super::dates::{find_bad_date, find_bad_moment};
use crate::named_facts::find_empty_key;
use crate::{ContentDigest, DeviceId, EventId, PersonId, StreamBody, StreamKind, StreamRef, VisitId};

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DayOfWeek {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

/// A stretch of work on one day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct OpenStretch {
    /// The day.
    pub day: DayOfWeek,
    /// Minutes after midnight at which work begins.
    pub from_min: u16,
    /// Minutes after midnight at which it ends, 1,440 at most.
    pub to_min: u16,
}

/// A unit of length on a tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum LengthUnit {
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetre,
    /// Inches of 25.4 mm.
    #[serde(rename = "in")]
    Inch,
}

/// A length as somebody measured it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LengthClaim {
    /// The figure, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: LengthUnit,
}

/// What a reading of a power driver is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DriverReadingPurpose {
    /// It makes the calibration.
    Calibration,
    /// It checks an older one.
    Check,
}

/// A run-down with a power driver, and the torque that a wrench then read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DriverReading {
    /// The driver, as its owner calls it.
    pub driver: String,
    /// The kind of joint: thread, material, lubrication.
    pub joint: String,
    /// Clutch step.
    pub step: u32,
    /// Torque that the wrench read.
    pub torque_n_m: f64,
    /// Which fastener it was; repeats on one are not independent.
    pub fastener: u32,
    /// The day, as 2026-03-14; empty where nobody knows.
    pub date: String,
    /// What it is for.
    pub purpose: DriverReadingPurpose,
}

/// What an event of a workshop says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum WorkshopBody {
    /// Somebody works here.
    PersonAdded {
        /// The person.
        person: PersonId,
        /// The name.
        name: String,
    },
    /// A person is called otherwise.
    PersonRenamed {
        /// The person.
        person: PersonId,
        /// The new name.
        name: String,
    },
    /// A device may write; its key is no part of any stream.
    DevicePaired {
        /// The device.
        device: DeviceId,
        /// What it is called.
        name: String,
    },
    /// A device is called otherwise.
    DeviceRenamed {
        /// The device.
        device: DeviceId,
        /// The new name.
        name: String,
    },
    /// A person answers for what a device writes from now on.
    DeviceTaken {
        /// The device.
        device: DeviceId,
        /// Who; `None`: nobody is named any more.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        by: Option<PersonId>,
    },
    /// A device may write no more.
    DeviceRevoked {
        /// The device.
        device: DeviceId,
    },
    /// The hours of work, all of them.
    HoursSet {
        /// Stretches of work, by day.
        stretches: Vec<OpenStretch>,
    },
    /// Nobody works on a day.
    HolidaySet {
        /// The day, as 2026-12-24.
        date: String,
        /// Why.
        name: String,
    },
    /// Work goes on on a day that was a holiday.
    HolidayDropped {
        /// The day.
        date: String,
    },
    /// The hours in which a second pair of hands is here, all of them; none: nobody comes.
    HelperHoursSet {
        /// Stretches, by day.
        stretches: Vec<OpenStretch>,
    },
    /// A vehicle is promised for a date, or not promised any more.
    VisitPromised {
        /// Its visit.
        visit: VisitId,
        /// Until when, as 2027-03-03T17:00; `None`: nothing is promised.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        until: Option<String>,
    },
    /// A part of a visit comes on a day, or is here.
    PartExpected {
        /// The visit.
        visit: VisitId,
        /// Key of the part or the task, or the name of what was ordered.
        part: String,
        /// The day, as 2027-03-03; `None`: it is here.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        on: Option<String>,
    },
    /// A vehicle goes before the others, or no longer.
    VisitGoesFirst {
        /// Its visit.
        visit: VisitId,
        /// Whether it goes first.
        is_first: bool,
    },
    /// Copies of a tool were bought.
    ToolBought {
        /// Key in the tool store.
        tool: String,
        /// How many.
        count: u16,
        /// Price of one, cents; `None`: not stated.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        price_cents: Option<i64>,
    },
    /// Copies of a tool were lent.
    ToolLent {
        /// Key in the tool store.
        tool: String,
        /// How many.
        count: u16,
        /// To whom.
        whom: String,
    },
    /// Copies of a tool came back.
    ToolReturned {
        /// Key in the tool store.
        tool: String,
        /// How many.
        count: u16,
        /// From whom.
        whom: String,
    },
    /// Copies of a tool are gone.
    ToolLost {
        /// Key in the tool store.
        tool: String,
        /// How many.
        count: u16,
        /// How, as far as anybody knows.
        words: String,
    },
    /// A tool was calibrated.
    ToolCalibrated {
        /// Key in the tool store.
        tool: String,
        /// The day, as 2026-03-14.
        date: String,
        /// By whom.
        by: String,
        /// What the certificate says.
        certificate: String,
        /// When it is due again; `None`: not stated.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        next_due: Option<String>,
    },
    /// The lever of a torque wrench and the offset of its head, as somebody measured them.
    LeverMeasured {
        /// Key of the wrench in the tool store.
        wrench: String,
        /// From the middle of the drive to the middle of the grip.
        lever: LengthClaim,
        /// From the middle of the wrench's own drive to the middle of the head's.
        head_offset: LengthClaim,
    },
    /// A power driver was run down and a wrench read the torque.
    DriverRead {
        /// The reading.
        reading: DriverReading,
    },
    /// A tray was made.
    TrayMade {
        /// Its key.
        tray: String,
        /// Compartments from front to back.
        rows: u16,
        /// Compartments from left to right.
        columns: u16,
    },
    /// A tray is no longer in use.
    TrayRetired {
        /// Its key.
        tray: String,
    },
    /// A letter belongs to a vehicle from now on.
    LetterGiven {
        /// The letter.
        letter: String,
        /// The vehicle.
        vehicle: StreamRef,
    },
    /// A letter is free again.
    LetterReleased {
        /// The letter.
        letter: String,
    },
    /// What an hour of work costs from now on.
    LabourRateSet {
        /// Price of an hour, cents.
        cents_per_hour: i64,
    },
    /// What stands under every estimate: what the law of the place or the workshop's own rules ask for.
    EstimateWordsSet {
        /// The words; empty: none.
        words: String,
    },
    /// What is added to planned times from now on, and how much longer an engine takes that is new to the workshop.
    TimesSet {
        /// Allowance for needs and short interruptions, percent of the planned times.
        allowance_percent: u16,
        /// First time over any other time, percent.
        first_time_percent: u16,
    },
    /// An earlier event is taken back.
    Undone {
        /// Which.
        event: EventId,
    },
}

impl StreamBody for WorkshopBody {
    const KIND: StreamKind = StreamKind::Workshop;

    fn undone_event(&self) -> Option<&EventId> {
        if let Self::Undone { event } = self { Some(event) } else { None }
    }

    fn named_events(&self) -> Vec<&EventId> {
        self.undone_event().into_iter().collect()
    }

    fn named_streams(&self) -> Vec<&StreamRef> {
        if let Self::LetterGiven { vehicle, .. } = self { vec![vehicle] } else { Vec::new() }
    }

    fn named_documents(&self) -> Vec<&ContentDigest> {
        Vec::new()
    }

    fn find_broken_field(&self) -> Option<String> {
        use WorkshopBody as B;
        match self {
            B::PersonAdded { person, name } | B::PersonRenamed { person, name } => {
                find_bad_id(PersonId::new(person.as_str()).is_some()).or_else(|| find_empty_key(name))
            }
            B::DevicePaired { device, name } | B::DeviceRenamed { device, name } => {
                find_bad_id(DeviceId::new(device.as_str()).is_some()).or_else(|| find_empty_key(name))
            }
            B::DeviceTaken { device, by } => {
                let is_person = by.as_ref().is_none_or(|p| PersonId::new(p.as_str()).is_some());
                find_bad_id(is_person && DeviceId::new(device.as_str()).is_some())
            }
            B::DeviceRevoked { device } => find_bad_id(DeviceId::new(device.as_str()).is_some()),
            B::HoursSet { stretches } | B::HelperHoursSet { stretches } => find_bad_stretch(stretches),
            B::VisitPromised { visit, until } => find_bad_id(VisitId::new(visit.as_str()).is_some())
                .or_else(|| until.as_deref().and_then(find_bad_moment)),
            B::PartExpected { visit, part, on } => find_bad_id(VisitId::new(visit.as_str()).is_some())
                .or_else(|| find_empty_key(part))
                .or_else(|| on.as_deref().and_then(find_bad_date)),
            B::VisitGoesFirst { visit, .. } => find_bad_id(VisitId::new(visit.as_str()).is_some()),
            B::HolidaySet { date: key, .. }
            | B::HolidayDropped { date: key }
            | B::ToolBought { tool: key, .. }
            | B::ToolLent { tool: key, .. }
            | B::ToolReturned { tool: key, .. }
            | B::ToolLost { tool: key, .. }
            | B::ToolCalibrated { tool: key, .. }
            | B::TrayMade { tray: key, .. }
            | B::TrayRetired { tray: key }
            | B::LetterGiven { letter: key, .. }
            | B::LetterReleased { letter: key } => find_empty_key(key),
            B::LeverMeasured { wrench, lever, head_offset } => {
                let bad = lever.value <= 0.0 || [lever, head_offset].iter().any(|l| !l.value.is_finite());
                find_empty_key(wrench).or_else(|| bad.then(|| "a length is no length".to_owned()))
            }
            B::DriverRead { reading } => {
                let bad = !reading.torque_n_m.is_finite() || reading.torque_n_m < 0.0;
                let names = find_empty_key(&reading.driver).or_else(|| find_empty_key(&reading.joint));
                names.or_else(|| bad.then(|| "the torque read is no torque".to_owned()))
            }
            B::LabourRateSet { cents_per_hour } => {
                (*cents_per_hour < 0).then(|| "an hour of work costs less than nothing".to_owned())
            }
            B::TimesSet { allowance_percent, first_time_percent } => {
                let settings = times::TimeSettings::of_percent(*allowance_percent, *first_time_percent);
                settings.is_none().then(|| "an allowance or a first-time factor is out of range".to_owned())
            }
            B::EstimateWordsSet { .. } | B::Undone { .. } => None,
        }
    }
}

fn find_bad_stretch(stretches: &[OpenStretch]) -> Option<String> {
    let bad = stretches.iter().any(|s| s.from_min >= s.to_min || s.to_min > 24 * 60);
    bad.then(|| "a stretch of work ends before it begins, or after midnight".to_owned())
}

fn find_bad_id(is_good: bool) -> Option<String> {
    (!is_good).then(|| "an id holds something else than letters, figures and hyphens".to_owned())
}
