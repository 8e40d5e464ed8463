//! What is to be measured: a bore, an end play, a pressure, a grade by eye, at one or several places, with its limits.

// symbol: value, low, high, apart, gauge_error = figures in the unit of the measure
// symbol: lowest_share = a fraction

use crate::TaskId;
use crate::reading_kind::ReadingKind;

/// Something to be measured, with its limits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measure {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What kind of reading it is; `None` where nobody says.
    pub kind: Option<ReadingKind>,
    /// The task that it belongs to; `None`: whenever it can be got at.
    pub task: Option<TaskId>,
    /// The places where it is taken, each on its own; empty for one place without a name.
    pub places: Vec<String>,
    /// Its unit, where no limit names it.
    pub unit: Option<String>,
    /// The least that is right, with its unit, as the maker writes it; `None` where there is no such limit.
    pub low: Option<String>,
    /// The greatest that is right, with its unit.
    pub high: Option<String>,
    /// How far highest and lowest of the places may lie apart, with its unit.
    pub apart: Option<String>,
    /// The least share of the highest place that the lowest must show: `75 %`.
    pub lowest_of_highest: Option<String>,
    /// How far the gauge may be off, with its unit: `0.3 bar`; `None` where nobody says.
    pub gauge_error: Option<String>,
    /// Grades of a look, the best first; empty for what is measured in figures.
    pub grades: Vec<String>,
    /// The worst grade that is right.
    pub worst: Option<String>,
    /// What it is measured with.
    pub with: Option<String>,
    /// Where the limits come from.
    pub source: String,
}

/// A figure with its unit, as it stands in a book.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureFigure {
    /// The figure.
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

impl MeasureFigure {
    /// Reads `0.30 mm`; `None` where it is no figure with a unit.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (figure, unit) = text.trim().split_once(' ')?;
        let value = figure.parse::<f64>().ok().filter(|value| value.is_finite())?;
        let unit = unit.trim();
        (!unit.is_empty()).then(|| Self { value, unit: unit.to_owned() })
    }
}

/// The limits of a measure as figures in one unit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MeasureLimits {
    /// The unit; empty for grades, and where nobody says.
    pub unit: String,
    /// The least that is right.
    pub low: Option<f64>,
    /// The greatest that is right.
    pub high: Option<f64>,
    /// How far highest and lowest may lie apart.
    pub apart: Option<f64>,
    /// The least share of the highest that the lowest must show, as a fraction.
    pub lowest_share: Option<f64>,
    /// How far the gauge may be off.
    pub gauge_error: Option<f64>,
}

impl Measure {
    /// Its limits as figures; those that are written in another unit than the first are left out.
    #[must_use]
    pub fn limits(&self) -> MeasureLimits {
        let read = |text: &Option<String>| MeasureFigure::parse(text.as_deref()?);
        let written = [&self.high, &self.low, &self.apart, &self.gauge_error].map(read);
        let named = written.iter().flatten().next().map(|figure| figure.unit.clone());
        let usual = || self.kind.map(|kind| kind.note().unit.to_owned());
        let unit = self.unit.clone().or(named).or_else(usual).unwrap_or_default();
        let of_unit = |figure: Option<MeasureFigure>| figure.filter(|f| f.unit == unit).map(|f| f.value);
        let [high, low, apart, gauge_error] = written.map(of_unit);
        MeasureLimits { low, high, apart, lowest_share: self.lowest_share(), gauge_error, unit }
    }

    /// The least share of the highest that the lowest must show, as a fraction.
    #[must_use]
    pub fn lowest_share(&self) -> Option<f64> {
        let percent = self.lowest_of_highest.as_deref()?.trim().strip_suffix('%')?.trim_end();
        percent
            .parse::<f64>()
            .ok()
            .map(|percent| percent / 100.0)
            .filter(|share| *share > 0.0 && *share <= 1.0)
    }

    /// Place of the worst grade that is right, counted from 0; `None` where no grade is named.
    #[must_use]
    pub fn worst_grade(&self) -> Option<usize> {
        let worst = self.worst.as_deref()?;
        self.grades.iter().position(|grade| grade == worst)
    }

    /// What is read at a place: `valve clearance, cylinder 3`.
    #[must_use]
    pub fn name_at(&self, place: &str) -> String {
        if place.is_empty() { self.title.clone() } else { format!("{}, {place}", self.title) }
    }

    /// The places where it is taken; one without a name where the book names none.
    #[must_use]
    pub fn named_places(&self) -> Vec<&str> {
        if self.places.is_empty() { vec![""] } else { self.places.iter().map(String::as_str).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn compression() -> Measure {
        Measure {
            key: "compression".into(),
            title: "compression".into(),
            kind: Some(ReadingKind::Compression),
            task: None,
            places: vec!["cylinder 1".into(), "cylinder 2".into()],
            unit: None,
            low: Some("9.0 bar".into()),
            high: None,
            apart: None,
            lowest_of_highest: Some("75 %".into()),
            gauge_error: Some("0.3 bar".into()),
            grades: Vec::new(),
            worst: None,
            with: None,
            source: String::new(),
        }
    }

    #[test]
    fn limits_are_figures_in_one_unit() {
        let limits = compression().limits();
        assert_eq!((limits.unit.as_str(), limits.low, limits.high), ("bar", Some(9.0), None));
        assert_eq!((limits.lowest_share, limits.gauge_error), (Some(0.75), Some(0.3)));
        let other = Measure { gauge_error: Some("4 psi".into()), ..compression() };
        assert_eq!(other.limits().gauge_error, None, "another unit is not mixed in");
    }

    #[test]
    fn a_grade_is_found_by_its_word() {
        let grades = vec!["clean".to_owned(), "light".to_owned(), "heavy".to_owned()];
        let look = Measure { grades, worst: Some("light".into()), ..compression() };
        assert_eq!(look.worst_grade(), Some(1));
        assert_eq!(Measure { worst: Some("rusty".into()), ..look }.worst_grade(), None);
    }
}
