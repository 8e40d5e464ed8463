//! Vehicles for the terminal: what is known of each now, then every claim with its day.

use crate::records::{VehicleListRecord, VehicleSummaryRecord};

/// Vehicles, a few lines each.
#[must_use]
pub fn format_vehicles(list: &VehicleListRecord) -> String {
    if list.vehicles.is_empty() {
        return String::from("no vehicle yet; `traywright visit new` brings the first\n");
    }
    list.vehicles.iter().map(format_summary).collect::<Vec<_>>().join("\n")
}

fn format_summary(vehicle: &VehicleSummaryRecord) -> String {
    let mut out =
        format!("{}\n   id        {}\n", vehicle.name.as_deref().unwrap_or("without a name"), vehicle.id);
    let rows = [("known as", &vehicle.known_as), ("plate", &vehicle.plate), ("odometer", &vehicle.odometer)];
    for (what, value) in rows {
        if let Some(value) = value {
            out.push_str(&format!("   {what:<9} {value}\n"));
        }
    }
    for visit in &vehicle.visits {
        out.push_str(&format!("   visit     {visit}\n"));
    }
    out
}

/// One vehicle with all its claims, each with its day and who answers for it.
#[must_use]
pub fn format_vehicle(vehicle: &VehicleSummaryRecord) -> String {
    let mut out = format_summary(vehicle);
    out.push_str("\nclaims, oldest first\n");
    for claim in &vehicle.claims {
        let (day, value) = (claim.day.as_deref().unwrap_or("?"), claim.value.as_deref().unwrap_or("none"));
        let by = claim.person.as_ref().map_or_else(String::new, |person| format!(", {person}"));
        out.push_str(&format!("   {day}  {:<9} {value}{by}\n", claim.about));
    }
    out
}
