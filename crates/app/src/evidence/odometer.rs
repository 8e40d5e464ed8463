//! The odometer of a vehicle: its readings, slips among them, and how far the vehicle goes in a day.

// symbol: due_day = days since 1970-01-01

use jiff::tz::TimeZone;
use record::vehicle::{OdometerClaim, OdometerUnit, OdometerValue, VehicleClaim, VehicleRecord};
use trend::answers::odometer::{OdometerAnswer, OdometerRequest, answer_odometer};
use trend::days::{DayForm, parse_day};
use trend::slips::{KM_PER_MILE, OdometerNote};

use super::vehicle::{CONFIDENCE_SHARE, day_of};

/// Kilometres in one of a unit; `None` for hours of running.
#[must_use]
pub const fn km_in_unit(unit: OdometerUnit) -> Option<f64> {
    match unit {
        OdometerUnit::Kilometre => Some(1.0),
        OdometerUnit::Mile => Some(KM_PER_MILE),
        OdometerUnit::Hour => None,
    }
}

/// The odometer of a vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct OdometerHistory {
    /// Readings by day, the first first; those without a day are left out.
    pub readings: Vec<(String, OdometerValue)>,
    /// Unit of the newest reading; kilometres where there is none.
    pub unit: OdometerUnit,
    /// Distance a day with its interval; words that say why where there is none.
    pub rate: Result<OdometerAnswer, String>,
}

impl OdometerHistory {
    /// The newest reading.
    #[must_use]
    pub fn last(&self) -> Option<&(String, OdometerValue)> {
        self.readings.last()
    }

    /// Kilometres in one of the unit; `None` for hours of running.
    #[must_use]
    pub const fn unit_km(&self) -> Option<f64> {
        km_in_unit(self.unit)
    }

    /// When a milestone is reached: the answer of `trend` for a distance on the odometer, a day, or both.
    ///
    /// # Errors
    /// Words that say why the readings do not tell.
    pub fn ask_due(&self, due_at_km: Option<f64>, due_day: Option<f64>) -> Result<OdometerAnswer, String> {
        ask_odometer(&self.readings, due_at_km, due_day)
    }
}

/// Reads the odometer of a vehicle's record.
#[must_use]
pub fn read_odometer_history(record: &VehicleRecord, zone: &TimeZone) -> OdometerHistory {
    let day = |claim: &VehicleClaim<OdometerClaim>| {
        claim.value.date.clone().or_else(|| day_of(claim.stamp.at_ms, zone))
    };
    let dated = record.odometers.iter().filter_map(|claim| Some((day(claim)?, claim.value.reading)));
    let mut readings: Vec<(String, OdometerValue)> = dated.collect();
    readings.sort_by(|a, b| a.0.cmp(&b.0));
    let unit = readings.last().map_or(OdometerUnit::Kilometre, |(_, reading)| reading.unit);
    let rate = ask_odometer(&readings, None, None);
    OdometerHistory { readings, unit, rate }
}

fn ask_odometer(
    readings: &[(String, OdometerValue)],
    due_at_km: Option<f64>,
    due_day: Option<f64>,
) -> Result<OdometerAnswer, String> {
    let note = |(line, (day, reading)): (usize, &(String, OdometerValue))| {
        let unit_km = km_in_unit(reading.unit)?;
        let (day, _) = parse_day(day)?;
        Some(OdometerNote { line: line as u64 + 1, day, km: reading.value * unit_km, unit_km })
    };
    let notes: Vec<OdometerNote> = readings.iter().enumerate().filter_map(note).collect();
    if notes.is_empty() && !readings.is_empty() {
        return Err(String::from("the meter counts hours; a rate is told for distances only"));
    }
    answer_odometer(&OdometerRequest {
        notes,
        day_form: DayForm::Date,
        due_at_km,
        due_in_km: None,
        due_day,
        since_day: None,
        all_readings: false,
        usual_rate: None,
        confidence_share: CONFIDENCE_SHARE,
    })
    .map_err(|failure| failure.to_string())
}
