//! Slots: the address of every fastener while it is off, as labels, pages and JSON name it.

use core::fmt;
use serde::{Deserialize, Serialize};

/// Where the fasteners of a fixing are while they are off.
///
/// Written and read as `A-T1-03`, `A-B04`, `A-H02`, `on part`, `in hole` and `scrap`; numbers count from 1 and have at
/// least two figures.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SlotAddress {
    /// A compartment of a tray, counted along its rows: `A-T1-03`.
    Compartment {
        /// The vehicle's letter and the tray's key: `A-T1`.
        tray: String,
        /// Number of the compartment.
        number: u32,
    },
    /// A labelled bag: `A-B04`.
    Bag {
        /// The vehicle's letter.
        vehicle: String,
        /// Number of the bag.
        number: u32,
    },
    /// A hole card: `A-H02`.
    HoleCard {
        /// The vehicle's letter.
        vehicle: String,
        /// Number of the card.
        number: u32,
    },
    /// Left on the part that came off.
    OnPart,
    /// Back in its hole, by hand.
    InHole,
    /// Not used again; kept apart until hand-over.
    Scrap,
}

/// A text is not the address of a slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlotAddressError {
    /// The text as written.
    pub text: String,
}

impl fmt::Display for SlotAddressError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not a slot; write a compartment as `A-T1-03`, a bag as `A-B04`, a hole card as `A-H02`, or \
             `on part`, `in hole` or `scrap`",
            self.text
        )
    }
}

impl core::error::Error for SlotAddressError {}

impl SlotAddress {
    /// Reads an address, exactly as it is written.
    ///
    /// # Errors
    /// [`SlotAddressError`] with the text, for anything that no address is written as.
    pub fn parse(text: &str) -> Result<Self, SlotAddressError> {
        let read = match text {
            "on part" => Some(Self::OnPart),
            "in hole" => Some(Self::InHole),
            "scrap" => Some(Self::Scrap),
            numbered => parse_numbered(numbered),
        };
        let error = || SlotAddressError { text: text.into() };
        read.filter(|address| address.to_string() == text).ok_or_else(error)
    }

    /// A compartment of a vehicle's tray.
    #[must_use]
    pub fn in_tray(vehicle: &str, tray_key: &str, number: u32) -> Self {
        Self::Compartment { tray: format!("{vehicle}-{tray_key}"), number }
    }

    /// The number of the compartment, where it is one of this tray of this vehicle.
    #[must_use]
    pub fn compartment_of(&self, vehicle: &str, tray_key: &str) -> Option<u32> {
        match self {
            Self::Compartment { tray, number } => {
                let key = tray.strip_prefix(vehicle)?.strip_prefix('-')?;
                (key == tray_key).then_some(*number)
            }
            Self::Bag { .. } | Self::HoleCard { .. } | Self::OnPart | Self::InHole | Self::Scrap => None,
        }
    }

    /// The number of a compartment, bag or card.
    #[must_use]
    pub const fn number(&self) -> Option<u32> {
        match self {
            Self::Compartment { number, .. } | Self::Bag { number, .. } | Self::HoleCard { number, .. } => {
                Some(*number)
            }
            Self::OnPart | Self::InHole | Self::Scrap => None,
        }
    }

    /// Whether the fasteners stay where they belong, so that the address needs no label.
    #[must_use]
    pub const fn stays_in_place(&self) -> bool {
        match self {
            Self::OnPart | Self::InHole => true,
            Self::Compartment { .. } | Self::Bag { .. } | Self::HoleCard { .. } | Self::Scrap => false,
        }
    }
}

/// What is behind the last hyphen says which kind of address it is.
fn parse_numbered(text: &str) -> Option<SlotAddress> {
    let (front, last) = text.rsplit_once('-')?;
    if let Some(figures) = last.strip_prefix('B') {
        return Some(SlotAddress::Bag { vehicle: front.into(), number: figures.parse().ok()? });
    }
    if let Some(figures) = last.strip_prefix('H') {
        return Some(SlotAddress::HoleCard { vehicle: front.into(), number: figures.parse().ok()? });
    }
    Some(SlotAddress::Compartment { tray: front.into(), number: last.parse().ok()? })
}

impl fmt::Display for SlotAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Compartment { tray, number } => write!(f, "{tray}-{number:02}"),
            Self::Bag { vehicle, number } => write!(f, "{vehicle}-B{number:02}"),
            Self::HoleCard { vehicle, number } => write!(f, "{vehicle}-H{number:02}"),
            Self::OnPart => f.write_str("on part"),
            Self::InHole => f.write_str("in hole"),
            Self::Scrap => f.write_str("scrap"),
        }
    }
}

impl Serialize for SlotAddress {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for SlotAddress {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}
