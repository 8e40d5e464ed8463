//! The file of readings that a mechanic keeps: one line a run-down, as any spreadsheet writes it.
//!
//! Columns by their headings, in any order: `driver`, `joint` (the kind of joint), `step`, `torque` with its unit (or
//! `torque_n_m` as bare numbers), and, as far as wanted, `date` (2026-03-14), `fastener` (a number; the same number is the
//! same fastener) and `use` (`calibration`, or `check` for a later look at whether the clutch still does the same).
//! Without a fastener's number each line counts as a fresh one. Lines with `#` are comments.

use super::days::find_day;
use crate::bolting_answers::{BoltingError, read};
use crate::load::{WantedFile, read_text_of_kind};
use bolting::driver::{ClutchReading, RunDownRecord};
use record::workshop::{DriverReading, DriverReadingPurpose};
use serde::Serialize;
use std::path::Path;
use units::Torque;

/// Headings of a file.
const HEADINGS: [&str; 7] = ["driver", "joint", "step", "torque", "fastener", "date", "use"];
/// Highest step of a clutch that is read (assumption).
const MAX_CLUTCH_STEP: u32 = 100;
/// Faults of a file reported at once.
const MAX_READING_FAULTS_SHOWN: usize = 8;

/// What a reading is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingUse {
    /// The calibration rests on it.
    Calibration,
    /// Taken later, to see whether the calibration still holds.
    Check,
}

/// One line of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingLine {
    /// Driver, joint kind and reading.
    pub observation: RunDownRecord,
    /// Day, `2026-03-14`; empty where none is given.
    pub date: String,
    /// What it is for.
    pub purpose: ReadingUse,
}

/// The position of each column.
struct ReadingColumns {
    at: [Option<usize>; 7],
    is_bare_n_m: bool,
}

fn cell_separator(text: &str) -> u8 {
    let heading = text.lines().find(|l| !l.trim_start().starts_with('#')).unwrap_or_default();
    if heading.contains(';') { b';' } else { b',' }
}

fn csv_reader(text: &str) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .delimiter(cell_separator(text))
        .from_reader(text.as_bytes())
}

fn find_columns(cells: &csv::StringRecord) -> Result<ReadingColumns, String> {
    let named = |wanted: &str| cells.iter().position(|c| c.to_lowercase().replace([' ', '-'], "_") == wanted);
    let bare = named("torque_n_m");
    let find = |heading: &str| match heading {
        "joint" => named("joint").or_else(|| named("joint_kind")),
        "torque" => named("torque").or(bare),
        other => named(other),
    };
    let at = HEADINGS.map(find);
    let missing: Vec<&str> =
        HEADINGS[..4].iter().zip(at).filter(|(_, at)| at.is_none()).map(|(h, _)| *h).collect();
    if missing.is_empty() {
        return Ok(ReadingColumns { at, is_bare_n_m: named("torque").is_none() });
    }
    Err(format!(
        "no column {}; the first line must name the columns: {}",
        missing.join(", "),
        HEADINGS.join(",")
    ))
}

/// Reads a file of readings.
///
/// # Errors
/// [`BoltingError`] where the file cannot be read, or with every line that cannot be used.
pub fn load_readings(path: &Path) -> Result<Vec<ReadingLine>, BoltingError> {
    parse_readings(&read_text_of_kind(path, WantedFile::Spreadsheet)?, &path.display().to_string())
}

/// Reads the text of a file.
fn parse_readings(text: &str, name: &str) -> Result<Vec<ReadingLine>, BoltingError> {
    let mut records = csv_reader(text).into_records();
    let heading = records.next().and_then(Result::ok).unwrap_or_default();
    let columns =
        find_columns(&heading).map_err(|words| read::field_error("readings", format!("{name}: {words}")))?;
    let (mut lines, mut faults) = (Vec::new(), Vec::new());
    for record in records {
        let place = record.as_ref().ok().and_then(|r| r.position()).map_or(0, csv::Position::line);
        let fresh = u32::try_from(lines.len()).unwrap_or(u32::MAX);
        match record.map_err(|e| e.to_string()).and_then(|r| parse_reading_line(&columns, &r, fresh)) {
            Ok(line) => lines.push(line),
            Err(words) => faults.push(format!("{name}:{place}: {words}")),
        }
    }
    if faults.is_empty() {
        return Ok(lines);
    }
    let more = faults.len().saturating_sub(MAX_READING_FAULTS_SHOWN);
    faults.truncate(MAX_READING_FAULTS_SHOWN);
    let tail = if more > 0 { format!("\nand {more} more") } else { String::new() };
    Err(read::field_error("readings", format!("lines that cannot be used:\n{}{tail}", faults.join("\n"))))
}

/// Numbers of fasteners that a file does not number start here, far above any that a person writes.
const UNNUMBERED_FROM: u32 = 1_000_000;

fn parse_reading_line(
    columns: &ReadingColumns,
    record: &csv::StringRecord,
    fresh: u32,
) -> Result<ReadingLine, String> {
    let cell = |column: usize| columns.at[column].and_then(|at| record.get(at)).unwrap_or_default();
    let step = parse_clutch_step(cell(2))?;
    let torque = if columns.is_bare_n_m { format!("{} N·m", cell(3)) } else { cell(3).to_owned() };
    let torque = Torque::parse(&torque).map_err(|error| error.to_string())?;
    let fastener = match cell(4) {
        "" => UNNUMBERED_FROM.saturating_add(fresh),
        text => {
            text.parse().map_err(|_| format!("`{text}` is not the number of a fastener; write 1, 2, 3 …"))?
        }
    };
    let purpose = match cell(6).to_lowercase().as_str() {
        "" | "calibration" => ReadingUse::Calibration,
        "check" => ReadingUse::Check,
        other => return Err(format!("`{other}` is not a known use; write `calibration` or `check`")),
    };
    let (driver, joint_kind) =
        (required_reading_name(cell(0), "driver")?, required_reading_name(cell(1), "joint")?);
    let observation = RunDownRecord { driver, joint_kind, reading: ClutchReading { step, torque, fastener } };
    Ok(ReadingLine { observation, date: parse_date(cell(5))?, purpose })
}

fn required_reading_name(text: &str, what: &str) -> Result<String, String> {
    if text.is_empty() { Err(format!("the {what} is missing")) } else { Ok(text.to_owned()) }
}

/// Reads a clutch step.
pub fn parse_clutch_step(text: &str) -> Result<u32, String> {
    let read = text.trim().parse().ok().filter(|s| (1..=MAX_CLUTCH_STEP).contains(s));
    read.ok_or_else(|| format!("`{text}` is not a clutch step; write 1 to {MAX_CLUTCH_STEP}"))
}

/// Reads a day of the calendar as `2026-03-14`; an empty text stays empty.
pub fn parse_date(text: &str) -> Result<String, String> {
    if text.is_empty() || find_day(text).is_some() {
        return Ok(text.to_owned());
    }
    Err(format!(
        "`{text}` is not a day of the calendar; write one that exists as year-month-day, such as 2026-03-14"
    ))
}

/// Numbers that are given to fasteners which a file does not number; each file has its own million of them.
fn unnumbered_base(name: &str) -> u32 {
    let digits = name.get(..6).and_then(|digits| u32::from_str_radix(digits, 16).ok());
    UNNUMBERED_FROM * (1 + digits.unwrap_or(0) % 4_000)
}

/// The readings of a file as the workshop keeps them; fasteners without a number get numbers of the file's own.
///
/// # Errors
/// [`BoltingError`] where the file cannot be read, or with every line that cannot be used.
pub fn import_readings(path: &Path) -> Result<Vec<DriverReading>, BoltingError> {
    let text = read_text_of_kind(path, WantedFile::Spreadsheet)?;
    let lines = parse_readings(&text, &path.display().to_string())?;
    let base = unnumbered_base(archive::content_digest(text.as_bytes()).as_str());
    let kept = |line: &ReadingLine| {
        let mut reading = line.to_kept_reading();
        if reading.fastener >= UNNUMBERED_FROM {
            reading.fastener = reading.fastener - UNNUMBERED_FROM + base;
        }
        reading
    };
    Ok(lines.iter().map(kept).collect())
}

/// Whether two kept readings are one: the number of a fastener that a file did not number says nothing.
#[must_use]
pub fn is_same_reading(a: &DriverReading, b: &DriverReading) -> bool {
    let numbered = |reading: &DriverReading| Some(reading.fastener).filter(|f| *f < UNNUMBERED_FROM);
    let same_fastener = numbered(a) == numbered(b);
    same_fastener && DriverReading { fastener: b.fastener, ..a.clone() } == *b
}

/// Readings that were just given, as the workshop keeps them: each on a fresh fastener, numbered on from those kept.
#[must_use]
pub fn number_fresh_readings<'k>(
    kept: impl Iterator<Item = &'k DriverReading>,
    lines: &[ReadingLine],
) -> Vec<DriverReading> {
    let last = kept.map(|reading| reading.fastener).filter(|f| *f < UNNUMBERED_FROM).max().unwrap_or(0);
    let numbered = lines.iter().zip(last + 1..);
    numbered.map(|(line, fastener)| DriverReading { fastener, ..line.to_kept_reading() }).collect()
}

impl ReadingLine {
    /// The reading as the workshop keeps it.
    fn to_kept_reading(&self) -> DriverReading {
        let RunDownRecord { driver, joint_kind, reading } = &self.observation;
        DriverReading {
            driver: driver.clone(),
            joint: joint_kind.clone(),
            step: reading.step,
            torque_n_m: reading.torque.as_n_m(),
            fastener: reading.fastener,
            date: self.date.clone(),
            purpose: match self.purpose {
                ReadingUse::Calibration => DriverReadingPurpose::Calibration,
                ReadingUse::Check => DriverReadingPurpose::Check,
            },
        }
    }

    /// A kept reading as a line.
    #[must_use]
    pub fn of_kept_reading(kept: &DriverReading) -> Self {
        let (step, fastener) = (kept.step, kept.fastener);
        let reading = ClutchReading { step, torque: Torque::from_n_m(kept.torque_n_m), fastener };
        let (driver, joint_kind) = (kept.driver.clone(), kept.joint.clone());
        Self {
            observation: RunDownRecord { driver, joint_kind, reading },
            date: kept.date.clone(),
            purpose: match kept.purpose {
                DriverReadingPurpose::Calibration => ReadingUse::Calibration,
                DriverReadingPurpose::Check => ReadingUse::Check,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_stand_in_any_order_and_every_bad_line_is_told() {
        let text = "# my driver\ntorque_n_m;Step;joint kind;driver\n4.1;3;M6 alu;D1\n4.2;3;M6 alu;D1\n";
        let lines = parse_readings(text, "readings.csv").expect("a sound file");
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[0].observation.reading.torque, Torque::from_n_m(4.1));
        assert_ne!(lines[0].observation.reading.fastener, lines[1].observation.reading.fastener);
        let bad = "driver,joint,step,torque,date,use\nD1,M6,0,4 N·m,,\nD1,M6,3,4,,\nD1,,3,4 N·m,,\nD1,M6,3,4 N·m,3 May,\nD1,M6,3,4 N·m,,later\nD1,M6,3,4 N·m,2026-02-31,\n";
        let said = parse_readings(bad, "r.csv").expect_err("six bad lines").to_string();
        for (line, words) in [
            (2, "clutch step"),
            (3, "4 N·m"),
            (4, "joint is missing"),
            (5, "not a day"),
            (6, "not a known use"),
            (7, "`2026-02-31` is not a day of the calendar; write one that exists"),
        ] {
            assert!(
                said.lines().any(|l| l.starts_with(&format!("r.csv:{line}:")) && l.contains(words)),
                "{said}"
            );
        }
        assert!(
            parse_readings("a,b\n", "r.csv")
                .expect_err("no columns")
                .to_string()
                .contains("no column driver")
        );
        assert!(parse_readings("", "r.csv").is_err());
    }
}
