//! The world: settings of the vehicle with the ways between their values, what acts and places ask of them, and rules.
//!
//! A [`Setting`] is a state of the vehicle with a few values: the height of the lift, a beam across the wings, a pin in the
//! crank. A [`SettingWay`] leads from one value to another and has a place, needs, a time and cautions like any other step. A
//! [`WorldNeed`] is a set of values of one thing; a station, an act on a part or a fixing and a way each hold a list of them,
//! which must all hold when it begins. A [`WorldRule`] must hold at every moment.
//!
//! A part is a thing of the world too, with the values of [`PartStanding`].

use crate::{Book, Caution, FixingId, Known, PartId, SettingId, SpecialToolId, StationId};
use units::Duration;

/// The values that one setting may have at most; a set of them is a mask of 16 bits.
pub const MAX_SETTING_VALUES: usize = 16;

units::worded! {
    /// What a setting is about, as far as the plan counts or says it in its own way.
    pub enum SettingKind {
        /// The height of the vehicle: its ways are moves of the lift.
        Lift = "lift",
        /// Something that holds the engine: a beam, a jack with a block, a stand.
        Support = "support",
        /// Something put in that has to come out again: a pin, a lock, a plug.
        PutIn = "put-in" / "put in",
        /// Anything else.
        Other = "other",
    }
}

units::worded! {
    /// How a part stands, as rules and needs speak of it.
    pub enum PartStanding {
        /// On, and every fastener that holds it done: from its last tightening to its first loosening.
        Held = "held",
        /// In place, with a fastener loosened or not yet tightened.
        Loose = "loose",
        /// Taken off.
        Off = "off",
    }
}

impl PartStanding {
    /// Its bit in a set of values.
    #[must_use]
    pub const fn bit(self) -> u16 {
        match self {
            Self::Held => 1,
            Self::Loose => 2,
            Self::Off => 4,
        }
    }

    /// Its position among the values of a part.
    #[must_use]
    pub const fn index(self) -> u8 {
        match self {
            Self::Held => 0,
            Self::Loose => 1,
            Self::Off => 2,
        }
    }
}

/// The values that a setting can have, a part stands in or a need allows, as bits: bit `n` for value `n`.
pub type ValueMask = u16;

/// A thing that has a value at every moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WorldThing {
    /// A setting of the book.
    Setting(SettingId),
    /// A part, in the values of [`PartStanding`].
    Part(PartId),
}

/// Values of one thing of which one has to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WorldNeed {
    /// The thing.
    pub thing: WorldThing,
    /// The values that do.
    pub values: ValueMask,
}

/// A value that an act gives a setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SettingEffect {
    /// The setting.
    pub setting: SettingId,
    /// Position of its new value.
    pub value: u8,
}

/// What an act asks of the world when it begins, and what it changes there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ActWorld {
    /// What has to hold, all of it.
    pub needs: Vec<WorldNeed>,
    /// What it sets, besides the standing of its part.
    pub sets: Vec<SettingEffect>,
}

impl ActWorld {
    /// Whether nothing is told.
    #[must_use]
    pub const fn is_untold(&self) -> bool {
        self.needs.is_empty() && self.sets.is_empty()
    }
}

/// What the acts on a part ask and change.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PartWorld {
    /// While it is lifted off; while its fixings are undone too, where they say nothing themselves.
    pub taking_off: ActWorld,
    /// While it is set in place.
    pub setting_on: ActWorld,
    /// Parts that have to be in place before it is, besides those that its strip order tells.
    pub on_after: Vec<PartId>,
    /// Whether every fastener of it is started by hand before any is run in.
    pub is_started_by_hand_first: bool,
}

/// What the acts on a fixing ask and change; where it tells anything the act is a step of its own.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FixingWorld {
    /// While it is broken loose.
    pub loosening: ActWorld,
    /// While it is tightened to its figure.
    pub tightening: ActWorld,
    /// Fixings, of this part or others, that have their figure before its tightening begins.
    pub tighten_after: Vec<FixingId>,
}

/// One way between the values of a setting.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingWay {
    /// The values that it leads from.
    pub from: ValueMask,
    /// Position of the value that it leads to.
    pub to: u8,
    /// What is done, in the imperative.
    pub text: String,
    /// Working position; `None`: wherever the mechanic is.
    pub station: Option<StationId>,
    /// What has to hold when it begins.
    pub needs: Vec<WorldNeed>,
    /// What it sets besides.
    pub sets: Vec<SettingEffect>,
    /// Hands-on time.
    pub time: Known<Duration>,
    /// Special tools that must be at hand.
    pub special_tools: Vec<SpecialToolId>,
    /// Cautions before it.
    pub cautions: Vec<Caution>,
}

impl SettingWay {
    /// Hands-on time, s; assumed where nothing is told.
    #[must_use]
    pub fn time_s(&self) -> f64 {
        self.time.ends().map_or(times::ASSUMED_WAY_S, |(low, high)| (low.as_s() + high.as_s()) * 0.5)
    }
}

/// A state of the vehicle with values and ways between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What it is about.
    pub kind: SettingKind,
    /// Its values, in words; at least two, at most [`MAX_SETTING_VALUES`].
    pub values: Vec<String>,
    /// Position of the value that it has when the vehicle comes in.
    pub start: u8,
    /// The values that are right at the end of the visit.
    pub end: ValueMask,
    /// The ways between them.
    pub ways: Vec<SettingWay>,
}

impl Setting {
    /// The position of a value by its word.
    #[must_use]
    pub fn value_by_word(&self, word: &str) -> Option<u8> {
        self.values.iter().position(|value| value == word).map(|at| at as u8)
    }

    /// The word of a value; nothing where there is no such value.
    #[must_use]
    pub fn word(&self, value: u8) -> &str {
        self.values.get(usize::from(value)).map_or("", String::as_str)
    }
}

/// What a rule forbids.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WorldRuleKind {
    /// One of these holds at every moment: what carries one end of the engine.
    AtLeastOne(Vec<WorldNeed>),
    /// These never hold all together.
    NeverTogether(Vec<WorldNeed>),
    /// These settings keep their value.
    StaysStill(Vec<SettingId>),
}

/// Something that must hold at every moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorldRule {
    /// What it says, in a sentence or less; told where it stands in the way.
    pub title: String,
    /// What it forbids.
    pub kind: WorldRuleKind,
    /// Only while all of these hold; always where there are none.
    pub during: Vec<WorldNeed>,
}

/// A setting changed by a step, by key and word.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct SettingChange {
    /// Setting key.
    pub setting: String,
    /// The word of its new value.
    pub value: String,
}

impl Book {
    /// A setting by id.
    #[must_use]
    pub fn setting(&self, id: SettingId) -> &Setting {
        &self.settings[id.index()]
    }

    /// The setting of a key.
    #[must_use]
    pub fn setting_by_key(&self, key: &str) -> Option<SettingId> {
        self.settings.iter().position(|s| s.key == key).map(SettingId::new)
    }

    /// Whether it tells anything of settings or rules.
    #[must_use]
    pub fn has_world(&self) -> bool {
        !self.settings.is_empty() || !self.rules.is_empty()
    }

    /// Whether a rule tells what takes a part's place while it is off: one of several, this part among them.
    #[must_use]
    pub fn has_support_beside(&self, part: PartId) -> bool {
        let names_it = |needs: &Vec<WorldNeed>| needs.iter().any(|need| need.thing == WorldThing::Part(part));
        self.rules.iter().any(|rule| match &rule.kind {
            WorldRuleKind::AtLeastOne(needs) => needs.len() > 1 && names_it(needs),
            WorldRuleKind::NeverTogether(_) | WorldRuleKind::StaysStill(_) => false,
        })
    }
}
