//! Hole positions of a question: a CSV file, a fixing of a book, or points as they are typed.

use super::{BoltingError, read};
use crate::load::{self, WantedFile};
use model::{Book, Fixing, PatternRule};
use serde::Serialize;
use std::path::Path;
use units::Length;

/// Maximum number of holes that are ordered at once (assumption: far above any cylinder head).
const MAX_PATTERN_HOLES: usize = 500;

/// A hole as it lies on the part's face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatternHole {
    /// Label.
    pub label: String,
    /// Rightward.
    pub x_mm: f64,
    /// Upward.
    pub y_mm: f64,
}

/// Holes with what the book states about their tightening.
pub struct PatternHoles {
    /// What they belong to.
    pub title: String,
    /// The holes.
    pub holes: Vec<PatternHole>,
    /// What a book says, where they come from one.
    pub told: Option<BookTightening>,
}

/// What a book says about the tightening of a joint.
pub struct BookTightening {
    /// Figures of the stages, as written.
    pub stages: Vec<String>,
    /// Order of the holes.
    pub rule: PatternRule,
    /// Whether a closing pass at the last torque follows.
    pub closing_pass: bool,
    /// Where the figures come from.
    pub source: String,
}

/// Reads `FILE.csv`, `BOOK:fixing` or `x,y x,y …`.
///
/// # Errors
/// [`BoltingError`] with what cannot be read and what to write.
pub fn read_pattern_holes(text: &str) -> Result<PatternHoles, BoltingError> {
    let text = text.trim();
    let is_csv = Path::new(text).extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let found = if is_csv {
        let holes = read_holes_csv(text)?;
        PatternHoles { title: String::from("holes of the file"), holes, told: None }
    } else if let Some(points) = parse_typed_points(text)? {
        PatternHoles { title: String::from("holes as typed"), holes: points, told: None }
    } else if let Some((path, fixing)) = text.rsplit_once(':') {
        holes_of_joint(&load::load_book(Path::new(path))?, fixing.trim())?
    } else {
        let words = format!(
            "`{text}` is not a set of holes; give a .csv file, `BOOK:fixing`, or points such as `0,0 60,0 60,40`"
        );
        return Err(read::field_error("holes", words));
    };
    check_pattern_holes(found)
}

fn check_pattern_holes(found: PatternHoles) -> Result<PatternHoles, BoltingError> {
    if found.holes.is_empty() || found.holes.len() > MAX_PATTERN_HOLES {
        let words = format!("there are {} holes; give 1 to {MAX_PATTERN_HOLES}", found.holes.len());
        return Err(read::field_error("holes", words));
    }
    for (i, hole) in found.holes.iter().enumerate() {
        if found.holes[..i].iter().any(|other| other.label == hole.label) {
            return Err(read::field_error(
                "holes",
                format!("two holes have the label `{}`; give each its own", hole.label),
            ));
        }
    }
    Ok(found)
}

/// Points typed one after the other; nothing where the text does not look like points.
fn parse_typed_points(text: &str) -> Result<Option<Vec<PatternHole>>, BoltingError> {
    let pairs: Vec<Option<(&str, &str)>> =
        text.split([' ', ';', '\n']).filter(|t| !t.is_empty()).map(|t| t.split_once(',')).collect();
    if pairs.iter().any(Option::is_none) {
        return Ok(None);
    }
    let point = |(i, (x, y)): (usize, (&str, &str))| {
        Ok(PatternHole {
            label: (i + 1).to_string(),
            x_mm: parse_coordinate_mm(x)?,
            y_mm: parse_coordinate_mm(y)?,
        })
    };
    pairs.into_iter().flatten().enumerate().map(point).collect::<Result<Vec<_>, _>>().map(Some)
}

/// A coordinate: a bare number is millimetres, anything else needs its unit.
fn parse_coordinate_mm(text: &str) -> Result<f64, BoltingError> {
    let text = text.trim();
    if let Some(mm) = text.parse::<f64>().ok().filter(|mm| mm.is_finite() && mm.abs() < 1.0e6) {
        return Ok(mm);
    }
    Length::parse(text).map(Length::as_mm).map_err(|error| read::field_error("holes", error.to_string()))
}

/// Rows `label, x, y` or `x, y`, with or without a heading.
fn read_holes_csv(path: &str) -> Result<Vec<PatternHole>, BoltingError> {
    let text = load::read_text_of_kind(Path::new(path), WantedFile::Spreadsheet)?;
    let separator = if text.contains(';') { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut holes: Vec<PatternHole> = Vec::new();
    for (row, record) in reader.records().enumerate() {
        let at = |words: String| read::field_error("holes", format!("{path}, row {}: {words}", row + 1));
        let record = record.map_err(|error| at(error.to_string()))?;
        let cells: Vec<&str> = record.iter().filter(|c| !c.is_empty()).collect();
        let is_heading = row == 0 && cells.iter().any(|c| c.eq_ignore_ascii_case("x"));
        if cells.is_empty() || is_heading {
            continue;
        }
        let (label, x, y) = match cells[..] {
            [x, y] => ((holes.len() + 1).to_string(), x, y),
            [label, x, y] => (label.to_owned(), x, y),
            _ => {
                let count = crate::text::table::count_with_noun(cells.len(), "cell");
                return Err(at(format!("the row has {count}; write `label, x, y` or `x, y`")));
            }
        };
        let mm = |text: &str| parse_coordinate_mm(text).map_err(|error| at(error.to_string()));
        holes.push(PatternHole { label, x_mm: mm(x)?, y_mm: mm(y)? });
    }
    Ok(holes)
}

/// The holes of a fixing, with those of its joint.
fn holes_of_joint(book: &Book, key: &str) -> Result<PatternHoles, BoltingError> {
    let fixing = require_fixing(book, key)?;
    let joined = fixings_tightened_together(book, fixing);
    let told = joined.iter().find(|f| f.tightening.pattern != PatternRule::Auto).unwrap_or(&joined[0]);
    let tightening = &told.tightening;
    let hole = |h: &model::Hole| PatternHole { label: h.label.clone(), x_mm: h.x.as_mm(), y_mm: h.y.as_mm() };
    Ok(PatternHoles {
        title: format!("{}: {}", book.part(fixing.part).title, fixing.title),
        holes: joined.iter().flat_map(|f| f.holes.iter().map(hole)).collect(),
        told: Some(BookTightening {
            stages: tightening.stages.iter().map(|s| s.as_written.clone()).collect(),
            rule: tightening.pattern.clone(),
            closing_pass: tightening.closing_pass,
            source: tightening.source.clone(),
        }),
    })
}

/// A fixing of a book by its key; an unknown key names the nearest known one.
pub(super) fn require_fixing<'b>(book: &'b Book, key: &str) -> Result<&'b Fixing, BoltingError> {
    let found = book.fixing_by_key(key).map(|id| book.fixing(id));
    found.ok_or_else(|| {
        let known = book.fixings.iter().map(|f| f.key.as_str());
        let hint =
            faults::nearest_name(key, known).map_or_else(String::new, |n| format!("; did you mean `{n}`?"));
        read::field_error("fixing", format!("the book has no fixing `{key}`{hint}"))
    })
}

/// A fixing and all that are tightened with it as one joint, in the order of the book.
fn fixings_tightened_together<'b>(book: &'b Book, fixing: &'b Fixing) -> Vec<&'b Fixing> {
    if fixing.joint.is_none() {
        return vec![fixing];
    }
    book.fixings.iter().filter(|f| f.part == fixing.part && f.joint == fixing.joint).collect()
}
