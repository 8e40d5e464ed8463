//! A vehicle as a record: what is known of it now, its visits, and every claim with its day and its person.

use record::WorkshopRecord;
use record::vehicle::VehicleClaim;
use serde::Serialize;

use crate::workshop::{KnownVehicle, VisitId};

/// One thing that was claimed of a vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VehicleClaimRecord {
    /// Day of the entry, as 2026-03-14; `None`: its clock showed no day.
    pub day: Option<String>,
    /// What it is about: `known as`, `plate`, `name`, `odometer` or `remark`.
    pub about: &'static str,
    /// What was claimed, in words; `None`: that there is none.
    pub value: Option<String>,
    /// Name of the person who answers for it; `None`: nobody was named.
    pub person: Option<String>,
}

/// A vehicle with what is known of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VehicleSummaryRecord {
    /// Its id.
    pub id: String,
    /// What a person calls it.
    pub name: Option<String>,
    /// The workshop's own word or number for it.
    pub known_as: Option<String>,
    /// The plate it carries now.
    pub plate: Option<String>,
    /// What the odometer showed last, with its unit.
    pub odometer: Option<String>,
    /// Its visits, the first first.
    pub visits: Vec<VisitId>,
    /// All claims: those about one thing together, the first first.
    pub claims: Vec<VehicleClaimRecord>,
}

impl VehicleSummaryRecord {
    /// The record of a vehicle.
    #[must_use]
    pub fn of_vehicle(known: &KnownVehicle, workshop: &WorkshopRecord) -> Self {
        let record = &known.record;
        Self {
            id: known.id.to_string(),
            name: record.name().map(str::to_owned),
            known_as: record.own_id().map(str::to_owned),
            plate: record.plate().map(str::to_owned),
            odometer: record.odometer().map(|claim| claim.reading.to_string()),
            visits: record.visit_ids(),
            claims: list_claims(known, workshop),
        }
    }
}

/// Several vehicles.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VehicleListRecord {
    /// The vehicles, in the order of their first entry.
    pub vehicles: Vec<VehicleSummaryRecord>,
}

impl VehicleListRecord {
    /// The record of several vehicles.
    #[must_use]
    pub fn of_vehicles(vehicles: &[KnownVehicle], workshop: &WorkshopRecord) -> Self {
        let records = vehicles.iter().map(|known| VehicleSummaryRecord::of_vehicle(known, workshop));
        Self { vehicles: records.collect() }
    }
}

/// All claims of a vehicle.
fn list_claims(known: &KnownVehicle, workshop: &WorkshopRecord) -> Vec<VehicleClaimRecord> {
    let record = &known.record;
    let mut claims = Vec::new();
    let text = |value: &String| Some(value.clone());
    push_claims(&mut claims, workshop, "known as", &record.own_ids, text);
    push_claims(&mut claims, workshop, "plate", &record.plates, Clone::clone);
    push_claims(&mut claims, workshop, "name", &record.names, text);
    push_claims(&mut claims, workshop, "odometer", &record.odometers, |claim| {
        Some(claim.reading.to_string())
    });
    push_claims(&mut claims, workshop, "remark", &record.remarks, text);
    claims
}

fn push_claims<T>(
    records: &mut Vec<VehicleClaimRecord>,
    workshop: &WorkshopRecord,
    about: &'static str,
    claims: &[VehicleClaim<T>],
    words: impl Fn(&T) -> Option<String>,
) {
    records.extend(claims.iter().map(|claim| {
        VehicleClaimRecord {
            day: jiff::Timestamp::from_millisecond(claim.stamp.at_ms)
                .ok()
                .map(|at| at.strftime("%Y-%m-%d").to_string()),
            about,
            value: words(&claim.value),
            person: claim
                .person
                .as_ref()
                .and_then(|id| workshop.persons.get(id))
                .map(|person| person.name.clone()),
        }
    }));
}
