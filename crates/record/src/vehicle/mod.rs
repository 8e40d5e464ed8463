//! The stream of a vehicle: every claim with who made it, the newest valid one of each kind, and the visits that it came for.
//!
//! Nothing a visit says of a vehicle is lost or overwritten: a plate that was read wrongly stays beside the right one. The
//! newest claim counts; undoing it makes the one before it count again.

mod body;

use serde::{Deserialize, Serialize};

pub use body::{OdometerUnit, OdometerValue, VehicleBody};

use crate::{Event, EventRef, EventStamp, PersonId, StreamFold, VisitId};

/// What was claimed, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VehicleClaim<T> {
    /// What.
    pub value: T,
    /// Who answers for it; `None`: nobody was named.
    pub person: Option<PersonId>,
    /// When.
    pub stamp: EventStamp,
}

/// What an odometer showed, on which day, and who read it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OdometerClaim {
    /// What it showed.
    pub reading: OdometerValue,
    /// The day, as 2026-03-14; `None`: the day of the event.
    pub date: Option<String>,
    /// Who read it; `None`: whoever answers for the event.
    pub read_by: Option<String>,
}

/// Work that was done elsewhere.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ElsewhereClaim {
    /// Key of the book's task.
    pub task: String,
    /// What the odometer showed then.
    pub odometer: Option<OdometerValue>,
    /// The day, as 2026-03-14.
    pub date: Option<String>,
    /// Who says so.
    pub told_by: String,
}

/// The state of a vehicle's stream: all claims that are not void, in order.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct VehicleRecord {
    /// Own names.
    pub own_ids: Vec<VehicleClaim<String>>,
    /// Plates; `None`: it carries none.
    pub plates: Vec<VehicleClaim<Option<String>>>,
    /// Names.
    pub names: Vec<VehicleClaim<String>>,
    /// Odometer readings.
    pub odometers: Vec<VehicleClaim<OdometerClaim>>,
    /// Visits, by the event that opened each.
    pub visits: Vec<VehicleClaim<EventRef>>,
    /// Work that was done elsewhere.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub elsewhere: Vec<VehicleClaim<ElsewhereClaim>>,
    /// Remarks.
    pub remarks: Vec<VehicleClaim<String>>,
}

impl VehicleRecord {
    /// The own name that counts.
    #[must_use]
    pub fn own_id(&self) -> Option<&str> {
        self.own_ids.last().map(|claim| claim.value.as_str())
    }

    /// The plate that counts.
    #[must_use]
    pub fn plate(&self) -> Option<&str> {
        self.plates.last().and_then(|claim| claim.value.as_deref())
    }

    /// The name that counts.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.names.last().map(|claim| claim.value.as_str())
    }

    /// The odometer reading that counts.
    #[must_use]
    pub fn odometer(&self) -> Option<&OdometerClaim> {
        self.odometers.last().map(|claim| &claim.value)
    }

    /// The visits that it came for, each once, in order.
    #[must_use]
    pub fn visit_ids(&self) -> Vec<VisitId> {
        let mut ids: Vec<VisitId> = Vec::new();
        for id in self.visits.iter().filter_map(|claim| claim.value.stream.visit_id()) {
            if !ids.contains(&id) {
                ids.push(id);
            }
        }
        ids
    }
}

/// Adds a claim to those that are not void.
fn add_claim<T>(claims: &mut Vec<VehicleClaim<T>>, value: T, event: &Event<VehicleBody>) {
    let (person, stamp) = (event.person.clone(), EventStamp::of_event(event));
    claims.push(VehicleClaim { value, person, stamp });
}

impl StreamFold for VehicleRecord {
    type Body = VehicleBody;

    const STATE_FORMAT: &'static str = "traywright-vehicle-state/2";

    fn evolve(&mut self, event: &Event<VehicleBody>) {
        match &event.body {
            VehicleBody::KnownAs { own_id } => add_claim(&mut self.own_ids, own_id.clone(), event),
            VehicleBody::PlateClaimed { plate } => add_claim(&mut self.plates, plate.clone(), event),
            VehicleBody::NameClaimed { name } => add_claim(&mut self.names, name.clone(), event),
            VehicleBody::OdometerClaimed { reading, date, read_by } => {
                let (date, read_by) = (date.clone(), read_by.clone());
                add_claim(&mut self.odometers, OdometerClaim { reading: *reading, date, read_by }, event);
            }
            VehicleBody::DoneElsewhere { task, odometer, date, told_by } => {
                let (task, date, told_by) = (task.clone(), date.clone(), told_by.clone());
                add_claim(
                    &mut self.elsewhere,
                    ElsewhereClaim { task, odometer: *odometer, date, told_by },
                    event,
                );
            }
            VehicleBody::Visited { opening } => add_claim(&mut self.visits, opening.clone(), event),
            VehicleBody::Remarked { words } => add_claim(&mut self.remarks, words.clone(), event),
            VehicleBody::Undone { .. } => {}
        }
    }
}
