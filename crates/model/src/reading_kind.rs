//! The kinds of gauge readings: what they are called, in which unit, how they are taken and which way a limit lies.
//!
//! Methods and usual sides of a limit are common practice, no single source; **limits come from the maker's service data alone**, none is kept here.

use core::fmt;

use serde::Serialize;

/// A kind of reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingKind {
    /// Pressure at the end of compression, cranked warm.
    Compression,
    /// Share of the air that a cylinder loses at top dead centre.
    LeakDown,
    /// Depth worn away, or thickness left.
    WearDepth,
    /// Free movement: end float, backlash, clearance.
    Play,
    /// Run-out of a turning face.
    RunOut,
    /// Electrical resistance.
    Resistance,
    /// Pressure of oil, fuel, boost or coolant.
    Pressure,
    /// Water in brake fluid, by volume.
    WaterContent,
    /// Temperature.
    Temperature,
    /// A grade given by eye on a scale that someone has drawn up.
    VisualGrade,
}

/// On which side of its limit a reading is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum UsualSide {
    /// As high as the limit or higher.
    AtLeast,
    /// As low as the limit or lower.
    AtMost,
    /// It depends on what is measured.
    Either,
}

/// What there is to know of a kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct ReadingKindNote {
    /// Its name in words.
    pub name: &'static str,
    /// The unit that it is usually taken in.
    pub unit: &'static str,
    /// How it is taken.
    pub method: &'static str,
    /// With what.
    pub instrument: &'static str,
    /// On which side of its limit it is good.
    pub side: UsualSide,
    /// How to do better when it is too close to call.
    pub again: &'static str,
}

impl ReadingKind {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Compression,
        Self::LeakDown,
        Self::WearDepth,
        Self::Play,
        Self::RunOut,
        Self::Resistance,
        Self::Pressure,
        Self::WaterContent,
        Self::Temperature,
        Self::VisualGrade,
    ];

    /// The word that a command and a file use.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Compression => "compression",
            Self::LeakDown => "leak-down",
            Self::WearDepth => "wear-depth",
            Self::Play => "play",
            Self::RunOut => "run-out",
            Self::Resistance => "resistance",
            Self::Pressure => "pressure",
            Self::WaterContent => "water-content",
            Self::Temperature => "temperature",
            Self::VisualGrade => "visual-grade",
        }
    }

    /// The kind of a word.
    #[must_use]
    pub fn parse_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word.trim().to_lowercase().replace(['_', ' '], "-"))
    }

    /// What there is to know of it.
    #[must_use]
    pub fn note(self) -> ReadingKindNote {
        NOTES[self as usize]
    }
}

/// What there is to know of each kind, in the order of [`ReadingKind::ALL`].
const NOTES: [ReadingKindNote; 10] = [
    describe_kind(
        "compression pressure",
        "bar",
        "engine warm, all plugs out, throttle open, crank until the needle stands still",
        "compression gauge",
        UsualSide::AtLeast,
        "repeat warm with a full battery; crank the same number of turns on each cylinder",
    ),
    describe_kind(
        "leakage of a cylinder",
        "%",
        "piston at top dead centre on compression, engine held still",
        "leak-down tester",
        UsualSide::AtMost,
        "set the regulator again, find top dead centre again, and listen where the air goes",
    ),
    describe_kind(
        "wear",
        "mm",
        "clean the face; measure where it is thinnest, square to the face",
        "depth gauge or caliper",
        UsualSide::Either,
        "take a micrometer, at the same marked place, three times",
    ),
    describe_kind(
        "play",
        "mm",
        "preload to one side, set the dial to zero, move to the other side",
        "dial indicator or feeler gauge",
        UsualSide::AtMost,
        "take a dial indicator on a firm stand, three times, from the same side",
    ),
    describe_kind(
        "run-out",
        "mm",
        "turn one full revolution, highest less lowest",
        "dial indicator",
        UsualSide::AtMost,
        "clean the seat, mount it again a half turn on, and measure both ways",
    ),
    describe_kind(
        "resistance",
        "Ω",
        "disconnect the part; subtract what the leads read when joined",
        "multimeter",
        UsualSide::Either,
        "measure with four leads, or at the part itself, and note the temperature",
    ),
    describe_kind(
        "pressure",
        "bar",
        "at the temperature and speed that the service data name",
        "pressure gauge",
        UsualSide::Either,
        "warm up fully, and compare the gauge with a second one",
    ),
    describe_kind(
        "water in the brake fluid",
        "%",
        "sample from the reservoir, and from a caliper where it is close",
        "boiling-point tester or probe",
        UsualSide::AtMost,
        "measure the boiling point instead; a probe by conductivity depends on the fluid",
    ),
    describe_kind(
        "temperature",
        "°C",
        "wait until it no longer changes",
        "thermometer",
        UsualSide::Either,
        "use a contact thermometer; a bright face misleads an infrared one",
    ),
    describe_kind(
        "grade by eye",
        "",
        "compare with the scale under good light, clean and dry",
        "the eye and the scale's pictures",
        UsualSide::AtMost,
        "a second person grades it without knowing the first grade",
    ),
];

const fn describe_kind(
    name: &'static str,
    unit: &'static str,
    method: &'static str,
    instrument: &'static str,
    side: UsualSide,
    again: &'static str,
) -> ReadingKindNote {
    ReadingKindNote { name, unit, method, instrument, side, again }
}

impl fmt::Display for ReadingKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
