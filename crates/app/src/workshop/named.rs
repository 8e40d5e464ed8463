//! Visits and vehicles by the id that a person typed; one that is not there is told with the nearest that is.

use faults::nearest_name;
use record::{VehicleId, VisitId};

use super::{Workshop, WorkshopError};

/// Ids that are told where none is near, at most.
const MAX_TOLD_IDS: usize = 3;

/// Says that nothing goes by an id: with the nearest one, with all where they are few, or with the command that lists them.
fn unlisted_error(what: &'static str, typed: &str, known: &[&str]) -> WorkshopError {
    let near = match (nearest_name(typed, known.iter().copied()), known.len()) {
        (Some(near), _) => vec![near.to_owned()],
        (None, 1..=MAX_TOLD_IDS) => known.iter().map(|id| (*id).to_owned()).collect(),
        (None, _) => Vec::new(),
    };
    WorkshopError::NotListed { what, typed: typed.to_owned(), near }
}

impl Workshop {
    /// The visit that a person named: by its id, or by the letter of the one open visit that has it.
    ///
    /// # Errors
    /// [`WorkshopError::NotListed`] with the nearest, or what cannot be read.
    pub fn find_visit(&mut self, typed: &str) -> Result<VisitId, WorkshopError> {
        let known = self.list_visits()?;
        if let Some(visit) = known.iter().find(|visit| visit.as_str() == typed) {
            return Ok(visit.clone());
        }
        let mut lettered = Vec::new();
        for visit in &known {
            // A visit that cannot be read has no letter; asked for by its id it says why.
            let Ok(live) = self.visit(visit) else { continue };
            let letter = live.state().opened.as_ref().map(|opened| opened.letter.as_str());
            if live.state().closed.is_none() && letter == Some(typed) {
                lettered.push(visit.clone());
            }
        }
        match &lettered[..] {
            [one] => Ok(one.clone()),
            [] => Err(unlisted_error("visit", typed, &known.iter().map(VisitId::as_str).collect::<Vec<_>>())),
            several => {
                let near = several.iter().map(ToString::to_string).collect();
                Err(WorkshopError::SharedLetter { letter: typed.to_owned(), visits: near })
            }
        }
    }

    /// The vehicle that a person named: by its id, or by what it is called.
    ///
    /// # Errors
    /// [`WorkshopError::NotListed`] with the nearest, or what cannot be read.
    pub fn find_vehicle(&self, typed: &str) -> Result<VehicleId, WorkshopError> {
        let known = self.list_vehicles()?;
        let by_id = known.iter().find(|vehicle| vehicle.id.as_str() == typed);
        let mut named = known.iter().filter(|vehicle| vehicle.record.name() == Some(typed));
        if let Some(vehicle) = by_id.or_else(|| named.next().filter(|_| named.next().is_none())) {
            return Ok(vehicle.id.clone());
        }
        let names = known.iter().filter_map(|vehicle| vehicle.record.name());
        let known: Vec<&str> = known.iter().map(|vehicle| vehicle.id.as_str()).chain(names).collect();
        Err(unlisted_error("vehicle", typed, &known))
    }
}

#[cfg(test)]
mod tests {
    use super::unlisted_error;

    #[test]
    fn the_nearest_id_is_named_or_all_where_they_are_few() {
        let (a, b) = ("01ARZ3NDEKTSV4RRFFQ69G5FAV", "01BX5ZZKBKACTAV9WEVGEMMVRZ");
        let said = |typed: &str, known: &[&str]| unlisted_error("visit", typed, known).to_string();
        assert!(said("01ARZ3NDEKTSV4RRFFQ69G5FAW", &[a, b]).ends_with(&format!("did you mean {a}?")));
        assert!(said("x", &[a, b]).ends_with(&format!("there is {a}, {b}")));
        assert!(said("x", &[a; 4]).ends_with("`traywright visit show` lists the visits"));
        assert!(said("x", &[]).ends_with("`traywright visit show` lists the visits"));
    }
}
