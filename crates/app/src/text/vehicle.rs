//! Vehicles for the terminal: what stands of each, then every claim with its day.

use record::WorkshopRecord;
use record::vehicle::VehicleClaim;

use crate::workshop::KnownVehicle;

/// Vehicles, a few lines each.
#[must_use]
pub fn format_vehicles(vehicles: &[KnownVehicle]) -> String {
    if vehicles.is_empty() {
        return String::from("no vehicle yet; `traywright visit new` brings the first\n");
    }
    vehicles.iter().map(format_standing).collect::<Vec<_>>().join("\n")
}

fn format_standing(known: &KnownVehicle) -> String {
    let record = &known.record;
    let mut out = format!("{}\n   id        {}\n", record.name().unwrap_or("without a name"), known.id);
    let odometer = record.odometer().map(|claim| claim.reading.to_string());
    let rows = [
        ("known as", record.own_id().map(str::to_owned)),
        ("plate", record.plate().map(str::to_owned)),
        ("odometer", odometer),
    ];
    for (what, value) in rows {
        if let Some(value) = value {
            out.push_str(&format!("   {what:<9} {value}\n"));
        }
    }
    for visit in record.visit_ids() {
        out.push_str(&format!("   visit     {visit}\n"));
    }
    out
}

/// One vehicle with all its claims, each with its day and who answers for it.
#[must_use]
pub fn format_vehicle(known: &KnownVehicle, workshop: &WorkshopRecord) -> String {
    let record = &known.record;
    let mut out = format_standing(known);
    out.push_str("\nclaims, the first first\n");
    let text = |value: &String| value.clone();
    push_claims(&mut out, workshop, "known as", &record.own_ids, text);
    push_claims(&mut out, workshop, "plate", &record.plates, |plate| {
        plate.clone().unwrap_or_else(|| String::from("none"))
    });
    push_claims(&mut out, workshop, "name", &record.names, text);
    push_claims(&mut out, workshop, "odometer", &record.odometers, |claim| claim.reading.to_string());
    push_claims(&mut out, workshop, "remark", &record.remarks, text);
    out
}

fn push_claims<T>(
    out: &mut String,
    workshop: &WorkshopRecord,
    what: &str,
    claims: &[VehicleClaim<T>],
    words: impl Fn(&T) -> String,
) {
    for claim in claims {
        let day = jiff::Timestamp::from_millisecond(claim.stamp.at_ms)
            .map_or_else(|_| String::from("?"), |at| at.strftime("%Y-%m-%d").to_string());
        let person = claim.person.as_ref().and_then(|id| workshop.persons.get(id));
        let by = person.map_or_else(String::new, |person| format!(", {}", person.name));
        out.push_str(&format!("   {day}  {what:<9} {}{by}\n", words(&claim.value)));
    }
}
