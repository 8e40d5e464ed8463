//! What a workshop knows of one of its tools: copies bought, lent, lost; calibrations; the lever of a wrench.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::LengthClaim;
use crate::EventStamp;

/// A calibration, as its certificate has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToolCalibration {
    /// The day, as 2026-03-14.
    pub date: String,
    /// By whom.
    pub by: String,
    /// What the certificate says.
    pub certificate: String,
    /// When it is due again.
    pub next_due: Option<String>,
    /// When it was written down.
    pub stamp: EventStamp,
}

/// The lever of a torque wrench and the offset of its head.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ToolLever {
    /// From the middle of the drive to the middle of the grip.
    pub lever: LengthClaim,
    /// From the middle of the wrench's own drive to the middle of the head's.
    pub head_offset: LengthClaim,
    /// When it was measured.
    pub stamp: EventStamp,
}

/// What is known of a tool besides the store's own text.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct ToolRecord {
    /// Copies bought since the record began.
    pub bought: u32,
    /// Copies lost.
    pub lost: u32,
    /// Copies lent, by whom they were lent to.
    pub lent: BTreeMap<String, u32>,
    /// Copies that came back from someone who had none.
    pub back_unasked: u32,
    /// Calibrations, in order; the last counts.
    pub calibrations: Vec<ToolCalibration>,
    /// The lever, where it is a wrench that was measured.
    pub lever: Option<ToolLever>,
}

impl ToolRecord {
    pub(super) fn buy_copies(&mut self, count: u16) {
        self.bought = self.bought.saturating_add(count.into());
    }

    pub(super) fn lose_copies(&mut self, count: u16) {
        self.lost = self.lost.saturating_add(count.into());
    }

    pub(super) fn lend_copies(&mut self, count: u16, whom: &str) {
        let lent = self.lent.entry(whom.to_owned()).or_default();
        *lent = lent.saturating_add(count.into());
    }

    /// Copies come back; more than were lent are counted apart.
    pub(super) fn take_copies_back(&mut self, count: u16, whom: &str) {
        let lent = self.lent.get(whom).copied().unwrap_or(0);
        let back = u32::from(count).min(lent);
        self.back_unasked = self.back_unasked.saturating_add(u32::from(count) - back);
        if lent > back {
            self.lent.insert(whom.to_owned(), lent - back);
        } else {
            self.lent.remove(whom);
        }
    }
}
