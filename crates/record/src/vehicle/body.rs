//! What an event of a vehicle says: what it is called, which plate it carries, how far it has gone; each a claim of somebody.

// symbol: value = distance or hours, in the unit that its field `unit` names

use core::fmt;

use serde::{Deserialize, Serialize};

use crate::named_facts::find_empty_key;
use crate::{ContentDigest, EventId, EventRef, StreamBody, StreamKind, StreamRef};

/// What an odometer or hour meter counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum OdometerUnit {
    /// Kilometres.
    #[serde(rename = "km")]
    Kilometre,
    /// International miles of 1,609.344 m.
    #[serde(rename = "mi")]
    Mile,
    /// Hours of running.
    #[serde(rename = "h")]
    Hour,
}

impl fmt::Display for OdometerUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Kilometre => "km",
            Self::Mile => "mi",
            Self::Hour => "h",
        })
    }
}

/// What an odometer shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OdometerValue {
    /// The figure, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: OdometerUnit,
}

impl OdometerValue {
    /// Reads "412,300 km", "241 300 km", "98.5 mi", "2 310 h"; `None` where it is no such figure.
    ///
    /// A comma or blank before groups of three figures parts thousands; a point, or a comma before one or two figures at the
    /// end, parts the fraction.
    #[must_use]
    pub fn parse_words(text: &str) -> Option<Self> {
        let text = text.trim();
        let at = text.find(|c: char| c.is_alphabetic())?;
        let (figure, unit) = text.split_at(at);
        let unit = match unit.trim() {
            "km" => OdometerUnit::Kilometre,
            "mi" | "miles" | "mile" => OdometerUnit::Mile,
            "h" | "hours" | "hour" => OdometerUnit::Hour,
            _ => return None,
        };
        let value: f64 = plain_figure(figure.trim())?.parse().ok()?;
        (value.is_finite() && value >= 0.0).then_some(Self { value, unit })
    }
}

impl fmt::Display for OdometerValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.unit)
    }
}

/// The figure without the marks between its thousands.
fn plain_figure(text: &str) -> Option<String> {
    let groups: Vec<&str> = text.split([',', ' ', '\u{a0}', '\u{202f}']).collect();
    let (first, rest) = groups.split_first()?;
    let (last, middle) = match rest.split_last() {
        None => return Some((*first).to_owned()),
        Some(parts) => parts,
    };
    let is_thousand = |group: &str| group.len() == 3 && group.bytes().all(|b| b.is_ascii_digit());
    let last_whole = last.split('.').next().unwrap_or_default();
    if !middle.iter().all(|group| is_thousand(group)) {
        return None;
    }
    if is_thousand(last_whole) {
        return Some(groups.concat());
    }
    let is_fraction = text.contains(',') && (1..=2).contains(&last.len()) && !last.contains('.');
    is_fraction.then(|| format!("{first}{}.{last}", middle.concat()))
}

/// What an event of a vehicle says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum VehicleBody {
    /// Somebody's own name for it, which names it in the workshop: a fleet number, a chassis number, a mark on the key.
    KnownAs {
        /// The name.
        own_id: String,
    },
    /// It carries this plate.
    PlateClaimed {
        /// The plate; `None`: it carries none.
        plate: Option<String>,
    },
    /// A person calls it so.
    NameClaimed {
        /// The name.
        name: String,
    },
    /// Its odometer showed this.
    OdometerClaimed {
        /// What it showed.
        reading: OdometerValue,
        /// The day, as 2026-03-14; `None`: the day of the event.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        date: Option<String>,
        /// Who read it; `None`: whoever answers for the event.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        read_by: Option<String>,
    },
    /// Work on it was done elsewhere, or before anybody here kept a record.
    DoneElsewhere {
        /// Key of the book's task.
        task: String,
        /// What the odometer showed then; `None`: nobody knows.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        odometer: Option<OdometerValue>,
        /// The day, as 2026-03-14; `None`: nobody knows.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        date: Option<String>,
        /// Who says so: the owner, an invoice, a sticker.
        told_by: String,
    },
    /// It came for a visit.
    Visited {
        /// The event that opened the visit, in the visit's own stream.
        opening: EventRef,
    },
    /// A remark.
    Remarked {
        /// The words.
        words: String,
    },
    /// An earlier event is taken back.
    Undone {
        /// Which.
        event: EventId,
    },
}

impl StreamBody for VehicleBody {
    const KIND: StreamKind = StreamKind::Vehicle;

    fn undone_event(&self) -> Option<&EventId> {
        if let Self::Undone { event } = self { Some(event) } else { None }
    }

    fn named_events(&self) -> Vec<&EventId> {
        match self {
            Self::Undone { event } => vec![event],
            Self::Visited { opening } => vec![&opening.event],
            Self::KnownAs { .. }
            | Self::PlateClaimed { .. }
            | Self::NameClaimed { .. }
            | Self::OdometerClaimed { .. }
            | Self::DoneElsewhere { .. }
            | Self::Remarked { .. } => Vec::new(),
        }
    }

    fn named_streams(&self) -> Vec<&StreamRef> {
        match self {
            Self::Visited { opening } => vec![&opening.stream],
            Self::KnownAs { .. }
            | Self::PlateClaimed { .. }
            | Self::NameClaimed { .. }
            | Self::OdometerClaimed { .. }
            | Self::DoneElsewhere { .. }
            | Self::Remarked { .. }
            | Self::Undone { .. } => Vec::new(),
        }
    }

    fn named_documents(&self) -> Vec<&ContentDigest> {
        Vec::new()
    }

    fn find_broken_field(&self) -> Option<String> {
        match self {
            Self::KnownAs { own_id: text } | Self::NameClaimed { name: text } => find_empty_key(text),
            Self::PlateClaimed { plate } => plate.as_deref().and_then(find_empty_key),
            Self::OdometerClaimed { reading, .. } => find_bad_distance(reading),
            Self::DoneElsewhere { task, odometer, told_by, .. } => find_empty_key(task)
                .or_else(|| find_empty_key(told_by))
                .or_else(|| odometer.as_ref().and_then(find_bad_distance)),
            Self::Visited { .. } | Self::Remarked { .. } | Self::Undone { .. } => None,
        }
    }
}

fn find_bad_distance(reading: &OdometerValue) -> Option<String> {
    let is_good = reading.value.is_finite() && reading.value >= 0.0;
    (!is_good).then(|| "the odometer's figure is no distance".to_owned())
}
