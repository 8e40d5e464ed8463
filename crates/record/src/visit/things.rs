//! Parts, conditions, openings, things put in, and pieces: what is where, and since when.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::EventStamp;
use crate::{EventPlace, PieceDestination, PutInKind};

/// Something that is made and undone: a part is lifted off and set in place, a condition made and undone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToggleState {
    /// Whether it is so now: the part is off, the condition holds.
    pub now: bool,
    /// The last time it was made; `None`: it was only taken back.
    pub made: Option<EventStamp>,
    /// What brought it to how it is now.
    pub since: EventStamp,
}

impl ToggleState {
    pub(crate) fn record_change(all: &mut BTreeMap<String, Self>, key: &str, now: bool, stamp: &EventStamp) {
        let new = || Self { now: !now, made: None, since: stamp.clone() };
        let made = all.entry(key.to_owned()).or_insert_with(new);
        if made.now != now {
            (made.now, made.since) = (now, stamp.clone());
        }
        if now {
            made.made = Some(stamp.clone());
        }
    }

    /// Whether it was made and taken back again.
    #[must_use]
    pub fn is_back(&self) -> bool {
        !self.now && self.made.is_some()
    }
}

/// The caps of an opening.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpeningCaps {
    /// Caps that are in now.
    pub inside: u32,
    /// Caps put in, all times together.
    pub put: u32,
    /// Caps taken out, all times together.
    pub taken: u32,
    /// What brought it to how it is now.
    pub since: Option<EventStamp>,
}

impl OpeningCaps {
    pub(crate) fn put_caps_in(&mut self, count: u16, stamp: &EventStamp) {
        let count = u32::from(count);
        self.put = self.put.saturating_add(count).saturating_sub(self.inside);
        if self.inside != count {
            (self.inside, self.since) = (count, Some(stamp.clone()));
        }
    }

    /// Takes caps out; gives how many more were reported out than were in.
    pub(crate) fn take_caps_out(&mut self, count: u16, stamp: &EventStamp) -> u32 {
        let count = u32::from(count);
        let taken = count.min(self.inside);
        if taken > 0 {
            self.inside -= taken;
            self.taken = self.taken.saturating_add(taken);
            self.since = Some(stamp.clone());
        }
        count - taken
    }
}

/// Something put in that has to come out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ThingPutIn {
    /// What.
    pub what: PutInKind,
    /// In words.
    pub words: String,
    /// How many were put in.
    pub count: u16,
    /// How many are still in.
    pub left: u16,
    /// Where.
    pub at: EventPlace,
    /// Who put it in, when.
    pub stamp: EventStamp,
}

impl ThingPutIn {
    /// Takes some out; returns by how many the report exceeds what was in. Reporting all of them twice counts once.
    pub(crate) fn take_out(&mut self, count: u16) -> u16 {
        let is_repeated = self.left == 0 && count == self.count;
        let over = count.saturating_sub(self.left);
        self.left = self.left.saturating_sub(count);
        if is_repeated { 0 } else { over }
    }
}

/// Where the copies of one piece are, as far as they left their place.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PieceWhereabouts {
    /// On the cart of this visit.
    pub cart: u32,
    /// Lent, by whom they were lent to.
    pub lent: BTreeMap<String, u32>,
    /// Left their place, all times together.
    pub out: u32,
    /// Came back to their place, all times together.
    pub back: u32,
    /// The last move.
    pub since: Option<EventStamp>,
}

impl PieceWhereabouts {
    /// Moves copies; gives how many more were reported back than were out.
    ///
    /// What is lent or goes back comes from the cart first, then a loan comes from the place, a return from the loans.
    pub(crate) fn move_copies(&mut self, count: u16, to: &PieceDestination, stamp: &EventStamp) -> u32 {
        let count = u32::from(count);
        if count == 0 {
            return 0;
        }
        self.since = Some(stamp.clone());
        match to {
            PieceDestination::Cart => {
                self.cart = self.cart.saturating_add(count);
                self.out = self.out.saturating_add(count);
                0
            }
            PieceDestination::Lent(whom) => {
                let from_cart = count.min(self.cart);
                self.cart -= from_cart;
                self.out = self.out.saturating_add(count - from_cart);
                let lent = self.lent.entry(whom.clone()).or_default();
                *lent = lent.saturating_add(count);
                0
            }
            PieceDestination::Place => {
                let over = self.bring_back(count);
                self.back = self.back.saturating_add(count - over);
                over
            }
        }
    }

    fn bring_back(&mut self, count: u32) -> u32 {
        let from_cart = count.min(self.cart);
        self.cart -= from_cart;
        let mut rest = count - from_cart;
        for lent in self.lent.values_mut() {
            let from_loan = rest.min(*lent);
            *lent -= from_loan;
            rest -= from_loan;
        }
        self.lent.retain(|_, lent| *lent > 0);
        rest
    }

    /// How many are out of their place.
    #[must_use]
    pub fn copies_away(&self) -> u32 {
        self.lent.values().fold(self.cart, |sum, lent| sum.saturating_add(*lent))
    }
}
