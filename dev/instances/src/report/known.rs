//! Best known values with their sources, kept beside the code; the instances themselves are not.
//!
//! symbol: lower, upper, value = in the unit of the instance

use serde::Deserialize;

use crate::kind::InstanceKind;
use crate::run::ObjectiveSense;

/// What is known of an instance.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BestKnown {
    /// Name of the instance.
    pub instance: String,
    /// Its size as its collection counts it.
    pub size: String,
    /// Best bound from below known, if any.
    pub lower: Option<f64>,
    /// Best value known (of a closure: greatest, and proven).
    pub upper: f64,
    /// Where both come from.
    pub source: String,
}

impl BestKnown {
    /// Whether the best known value is proven.
    pub fn is_closed(&self) -> bool {
        self.lower == Some(self.upper)
    }

    /// How far a value is from the best known, as a share of it; below zero where it is better.
    pub fn off_fraction(&self, value: f64, sense: ObjectiveSense) -> f64 {
        let off = if self.upper == 0.0 { value } else { (value - self.upper) / self.upper.abs() };
        // Closures are published in whole units.
        let off = if (value - self.upper).abs() < 0.5 { 0.0 } else { off };
        if sense == ObjectiveSense::Most { 0.0 - off } else { off }
    }

    /// The first number of the size: nodes, jobs, rows, blocks.
    pub fn first_size(&self) -> u32 {
        let digits = self.size.split(|c: char| !c.is_ascii_digit()).next().unwrap_or_default();
        digits.parse().unwrap_or(0)
    }
}

/// All that is known of a kind.
///
/// # Errors
/// A bad row of the table.
pub fn read_best_known(kind: InstanceKind) -> Result<Vec<BestKnown>, String> {
    let text = match kind {
        InstanceKind::Sop => include_str!("../../../../validation/instances/best-known/sop.csv"),
        InstanceKind::Ssp => include_str!("../../../../validation/instances/best-known/ssp.csv"),
        InstanceKind::Scp => include_str!("../../../../validation/instances/best-known/scp.csv"),
        InstanceKind::Closure => include_str!("../../../../validation/instances/best-known/closure.csv"),
        InstanceKind::Rcpsp => include_str!("../../../../validation/instances/best-known/rcpsp.csv"),
    };
    let rows = csv::Reader::from_reader(text.as_bytes()).into_deserialize();
    rows.collect::<Result<_, _>>().map_err(|error| format!("best known values of {}: {error}", kind.word()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_is_read_and_sane() {
        for kind in InstanceKind::ALL {
            let table = read_best_known(kind).expect("the table is good");
            assert!(!table.is_empty());
            for known in &table {
                assert!(known.lower.is_none_or(|lower| lower <= known.upper), "{known:?}");
                assert!(known.first_size() > 0 && known.source.len() > 10, "{known:?}");
            }
        }
    }

    #[test]
    fn distance_points_away_from_the_best() {
        let known = BestKnown {
            instance: "x".into(),
            size: "9x9".into(),
            lower: None,
            upper: 200.0,
            source: "".into(),
        };
        assert_eq!(known.off_fraction(210.0, ObjectiveSense::Least), 0.05);
        assert_eq!(known.off_fraction(199.0, ObjectiveSense::Least), -0.005);
        assert_eq!(known.off_fraction(190.0, ObjectiveSense::Most), 0.05);
        assert_eq!(known.off_fraction(200.4, ObjectiveSense::Least), 0.0);
    }
}
