//! How many events of each device are there, and which of its own counts are missing in between.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{DeviceId, EventOrder};

/// A range of counts, both ends included.
pub type CountRange = (u64, u64);

/// The highest count of each device, and the counts below it that have not come.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DeviceCounts {
    highest: BTreeMap<DeviceId, u64>,
    missing: BTreeMap<DeviceId, Vec<CountRange>>,
}

impl DeviceCounts {
    /// The highest count of a device, 0 for none.
    #[must_use]
    pub fn highest_of(&self, device: &DeviceId) -> u64 {
        self.highest.get(device).copied().unwrap_or(0)
    }

    /// Counts of a device from 1 to `written` that have not come, in order.
    #[must_use]
    pub fn missing_up_to(&self, device: &DeviceId, written: u64) -> Vec<CountRange> {
        let highest = self.highest_of(device);
        let mut ranges: Vec<CountRange> = self.missing.get(device).cloned().unwrap_or_default();
        if written > highest {
            ranges.push((highest + 1, written));
        }
        ranges
    }

    /// Notes that an event has come.
    pub(super) fn note_order(&mut self, order: &EventOrder) {
        let highest = self.highest_of(&order.device);
        if order.count > highest {
            if order.count > highest + 1 {
                let ranges = self.missing.entry(order.device.clone()).or_default();
                ranges.push((highest + 1, order.count - 1));
            }
            self.highest.insert(order.device.clone(), order.count);
        } else if let Some(ranges) = self.missing.get_mut(&order.device) {
            take_out(ranges, order.count);
            if ranges.is_empty() {
                self.missing.remove(&order.device);
            }
        }
    }
}

/// Takes one count out of the ranges.
fn take_out(ranges: &mut Vec<CountRange>, count: u64) {
    let Some(at) = ranges.iter().position(|(from, to)| (*from..=*to).contains(&count)) else { return };
    let (from, to) = ranges.remove(at);
    let parts = [(from, count.saturating_sub(1)), (count + 1, to)];
    let left = parts.into_iter().filter(|(from, to)| from <= to);
    ranges.splice(at..at, left);
}
