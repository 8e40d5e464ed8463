//! A vehicle's record as open files: tables that any spreadsheet reads, written into a folder.

use std::path::{Path, PathBuf};

use super::vehicle::VehicleHistory;

/// The files of a vehicle's record, each with its path below a folder.
#[must_use]
pub fn vehicle_files(history: &VehicleHistory, folder: &Path) -> Vec<(PathBuf, String)> {
    let files = [
        ("odometer.csv", odometer_table(history)),
        ("visits.csv", visits_table(history)),
        ("readings.csv", readings_table(history)),
        ("left.csv", left_table(history)),
        ("due.csv", due_table(history)),
    ];
    files.into_iter().map(|(name, table)| (folder.join(name), table)).collect()
}

/// Rows as comma-separated text.
fn write_table<const N: usize>(head: [&str; N], rows: impl Iterator<Item = [String; N]>) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Memory refuses nothing.
    _ = writer.write_record(head);
    rows.for_each(|row| _ = writer.write_record(row));
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

fn odometer_table(history: &VehicleHistory) -> String {
    let row = |(day, reading): &(String, record::vehicle::OdometerValue)| {
        [day.clone(), reading.value.to_string(), reading.unit.to_string()]
    };
    write_table(["day", "shows", "unit"], history.odometer.readings.iter().map(row))
}

fn visits_table(history: &VehicleHistory) -> String {
    let rows = history.visits.iter().map(|visit| {
        [
            visit.day.clone().unwrap_or_default(),
            visit.odometer.map_or_else(String::new, |reading| reading.to_string()),
            visit.engine.clone().unwrap_or_default(),
            visit.done.join("; "),
            visit.fitted.join("; "),
            visit.pictures.to_string(),
            if visit.is_closed { "closed" } else { "open" }.to_owned(),
            visit.id.to_string(),
        ]
    });
    write_table(["day", "odometer", "engine", "done", "fitted", "pictures", "standing", "visit"], rows)
}

fn readings_table(history: &VehicleHistory) -> String {
    let mut rows = Vec::new();
    for visit in &history.visits {
        for board in &visit.boards {
            for place in &board.places {
                let verdict =
                    place.verdict.as_ref().map_or_else(String::new, |verdict| verdict.words.clone());
                rows.extend(place.readings.iter().map(|reading| {
                    [
                        visit.day.clone().unwrap_or_default(),
                        visit.odometer.map_or_else(String::new, |odometer| odometer.to_string()),
                        board.title.clone(),
                        place.place.clone(),
                        reading.grade.clone().unwrap_or_else(|| reading.value.to_string()),
                        reading.unit.clone(),
                        board.place_limit_words.clone(),
                        verdict.clone(),
                        reading.method.clone(),
                    ]
                }));
            }
        }
    }
    let head = ["day", "odometer", "what", "place", "read", "unit", "limit", "verdict", "with"];
    write_table(head, rows.into_iter())
}

fn left_table(history: &VehicleHistory) -> String {
    let rows = history.left.iter().map(|left| {
        [left.day.clone().unwrap_or_default(), left.words.clone(), left.if_left.clone(), left.by.clone()]
    });
    write_table(["day", "found", "if left", "decided by"], rows)
}

fn due_table(history: &VehicleHistory) -> String {
    let rows = history.due.iter().map(|due| {
        [
            due.title.clone(),
            due.every.clone(),
            due.last.clone().unwrap_or_default(),
            due.at.map_or_else(String::new, |at| at.to_string()),
            due.by_date.clone().unwrap_or_default(),
            due.words.clone(),
        ]
    });
    write_table(["task", "every", "last", "due at", "due by", "in words"], rows)
}
