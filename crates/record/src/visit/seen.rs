//! What was seen at the engine and no book tells of: parts, the fasteners that hold them, what a person said of either.
//!
//! A part is the event that first told of it: its key is made once and never shown, its name is one more word about it. Every
//! word stays; the last one in the order of events counts, and where devices differ a person sees both.

use std::collections::{BTreeMap, BTreeSet};

use model::{Drive, FastenerKind};
use serde::{Deserialize, Serialize};

use super::EventStamp;
use crate::{ContentDigest, HeadsOutcome, PictureSides, SeenPoint, ToldSubject, ToldWhat};

/// A part that was seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeenPart {
    /// What it was called when it was first seen.
    pub title: String,
    /// The word for what kind of part it is, as books write it.
    pub part_kind: Option<String>,
    /// Who saw it, when.
    pub stamp: EventStamp,
}

/// Fasteners of one kind on a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeenFixing {
    /// Key of the part that they hold.
    pub part: String,
    /// What a tool takes hold of, or what kind of fastener it is, as books write either; `None`: it cannot be seen yet.
    pub drive: Option<String>,
    /// How many.
    pub count: u16,
    /// Label of the first; the others count on from it.
    pub first: u16,
    /// Where each head lies in the picture, in the order of tapping; fewer than the count where some are out of the picture.
    pub heads: Vec<SeenPoint>,
    /// Length class by the ruler of the tray, A to C.
    pub length: Option<String>,
    /// Who saw them, when.
    pub stamp: EventStamp,
}

impl SeenFixing {
    /// Their labels, in the order of tapping.
    pub fn labels(&self) -> impl Iterator<Item = String> + use<> {
        (self.first..self.first.saturating_add(self.count)).map(|label| label.to_string())
    }

    /// Whether it is turned, as far as was seen: what cannot be seen counts as turned.
    #[must_use]
    pub fn is_turned(&self) -> bool {
        let Some(word) = self.drive.as_deref() else { return true };
        match (FastenerKind::from_file_word(word), Drive::parse(word)) {
            (Some(kind), _) => kind.has_thread(),
            (None, drive) => drive.map_or(true, Drive::is_turned),
        }
    }
}

/// The heads of a fixing as the card in their picture measured them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeasuredHeads {
    /// The picture, by the name of its downscaled copy.
    pub picture: ContentDigest,
    /// The sides of that copy.
    pub sides: PictureSides,
    /// The word for the height of the heads with which it was measured; empty: nobody had told it.
    pub height: String,
    /// What came of it.
    pub outcome: HeadsOutcome,
    /// When.
    pub stamp: EventStamp,
}

/// How a loom, a hose or a pipe lies.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeenWay {
    /// The path in the picture.
    pub path: Vec<SeenPoint>,
    /// Clips that hold it.
    pub clips: u16,
    /// What it passes under, in words.
    pub under: String,
    /// Who saw it, when.
    pub stamp: EventStamp,
}

/// One word about a part or a fixing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToldWord {
    /// The value, as books write it.
    pub value: String,
    /// Where it is from; empty: seen at the engine.
    pub source: String,
    /// Who said it, when.
    pub stamp: EventStamp,
}

/// Everything that was seen in a visit beside its book.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeenEngine {
    /// Parts, by key.
    pub parts: BTreeMap<String, SeenPart>,
    /// Fixings, by key.
    pub fixings: BTreeMap<String, SeenFixing>,
    /// What cards in pictures measured, by key of the fixing; the last of each.
    pub measured: BTreeMap<String, MeasuredHeads>,
    /// Routes, by key of the part; the last one told.
    pub routes: BTreeMap<String, SeenWay>,
    /// Words about parts, by key and what they are about, in the order of events.
    pub part_words: BTreeMap<String, BTreeMap<ToldWhat, Vec<ToldWord>>>,
    /// Words about fixings, likewise.
    pub fixing_words: BTreeMap<String, BTreeMap<ToldWhat, Vec<ToldWord>>>,
}

impl SeenEngine {
    /// Whether nothing was seen.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// All words of one kind about a part or a fixing, in the order of events.
    #[must_use]
    pub fn words_on(&self, of: &ToldSubject, what: ToldWhat) -> &[ToldWord] {
        let (all, key) = match of {
            ToldSubject::Part(key) => (&self.part_words, key),
            ToldSubject::Fixing(key) => (&self.fixing_words, key),
        };
        all.get(key).and_then(|words| words.get(&what)).map_or(&[], Vec::as_slice)
    }

    /// The word that counts: the last one.
    #[must_use]
    pub fn last_word(&self, of: &ToldSubject, what: ToldWhat) -> Option<&str> {
        self.words_on(of, what).last().map(|word| word.value.as_str())
    }

    /// Values that different devices told last and that are not the same; empty where they agree.
    #[must_use]
    pub fn differing_words(&self, of: &ToldSubject, what: ToldWhat) -> Vec<&ToldWord> {
        let mut last = BTreeMap::new();
        for word in self.words_on(of, what) {
            last.insert(&word.stamp.order.device, word);
        }
        let values: BTreeSet<&str> = last.values().map(|word| word.value.as_str()).collect();
        if values.len() > 1 { last.into_values().collect() } else { Vec::new() }
    }

    /// What a part is called now.
    #[must_use]
    pub fn part_title(&self, key: &str) -> Option<&str> {
        let told = self.last_word(&ToldSubject::Part(key.to_owned()), ToldWhat::Title);
        told.or_else(|| self.parts.get(key).map(|part| part.title.as_str()))
    }

    /// The word for what kind of part it is, as it is known now.
    #[must_use]
    pub fn part_kind(&self, key: &str) -> Option<&str> {
        let told = self.last_word(&ToldSubject::Part(key.to_owned()), ToldWhat::Kind);
        told.or_else(|| self.parts.get(key)?.part_kind.as_deref())
    }

    /// What a tool takes hold of, as it is known now.
    #[must_use]
    pub fn drive_of(&self, fixing: &str) -> Option<&str> {
        let told = self.last_word(&ToldSubject::Fixing(fixing.to_owned()), ToldWhat::Drive);
        told.or_else(|| self.fixings.get(fixing)?.drive.as_deref())
    }

    /// What the card in a fixing's picture measured, where the heads that were told are those that it measured.
    #[must_use]
    pub fn measured_heads(&self, fixing: &str) -> Option<&MeasuredHeads> {
        let (seen, measured) = (self.fixings.get(fixing)?, self.measured.get(fixing)?);
        let places = measured.outcome.places().len();
        (places == 0 || places == seen.heads.len()).then_some(measured)
    }

    /// Fixings of a part, in the order in which they were seen.
    #[must_use]
    pub fn fixings_of(&self, part: &str) -> Vec<(&str, &SeenFixing)> {
        let own = self.fixings.iter().filter(|(_, fixing)| fixing.part == part);
        let mut all: Vec<(&str, &SeenFixing)> = own.map(|(key, fixing)| (key.as_str(), fixing)).collect();
        all.sort_by(|a, b| a.1.stamp.order.cmp(&b.1.stamp.order));
        all
    }

    /// Parts in the order in which they were seen.
    #[must_use]
    pub fn parts_in_order(&self) -> Vec<(&str, &SeenPart)> {
        let mut all: Vec<(&str, &SeenPart)> =
            self.parts.iter().map(|(key, part)| (key.as_str(), part)).collect();
        all.sort_by(|a, b| a.1.stamp.order.cmp(&b.1.stamp.order));
        all
    }
}
