//! Every fastener as an individual: its state, which one it is, where it lies, and who said so.
//!
//! Rule of conflict: a mark whose `from` differs from the present state, while the last word came from another device, and
//! whose new state is another one than the present, is a conflict. Both claims are kept, the state stays undecided, and a
//! person settles it. One device never contradicts itself (it corrects), and the same claim twice is one claim. Where the
//! latest claims of all devices come to the same after all, nothing is left to settle.

use std::collections::BTreeMap;

use model::FastenerState;
use serde::{Deserialize, Serialize};

use super::EventStamp;

/// What one device says of a fastener.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FastenerClaim {
    /// Its state.
    pub to: FastenerState,
    /// Passes of tightening done.
    pub stage: Option<u8>,
    /// Where it lies.
    pub slot: Option<String>,
    /// Who said so, when.
    pub stamp: EventStamp,
}

/// One fastener; those never mentioned are not listed and count as in place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitFastener {
    /// Its state; while undecided, its state before the other claim.
    pub state: FastenerState,
    /// Which one it is: 1 is the one that was found, each renewal counts one on.
    pub individual: u32,
    /// Whether this one has been tight and was loosened since: a fastener that is renewed each time must not go back.
    pub spent: bool,
    /// Where it lies.
    pub slot: Option<String>,
    /// Passes of tightening done while it is finger-tight or tight; `None`: not stated, all of them where it is tight.
    pub stage: Option<u8>,
    /// When it last came out of its hole, whole or broken, or was seen to be missing.
    pub off: Option<EventStamp>,
    /// When it was last broken loose, whether or not it came out.
    pub loosened: Option<EventStamp>,
    /// What put it into this state.
    pub since: EventStamp,
    /// The latest report on it, repeated claims included.
    pub last: EventStamp,
    /// What last closed it, if it is closed.
    pub closing: Option<EventStamp>,
    /// Contradicting claims, the latest of each device; empty unless undecided.
    pub claims: Vec<FastenerClaim>,
}

impl VisitFastener {
    /// The one that was found in its place.
    pub(crate) fn found_in_place(stamp: &EventStamp) -> Self {
        Self {
            state: FastenerState::InPlace,
            individual: 1,
            spent: false,
            slot: None,
            stage: None,
            off: None,
            loosened: None,
            since: stamp.clone(),
            last: stamp.clone(),
            closing: None,
            claims: Vec::new(),
        }
    }

    /// Whether two devices contradict each other and nobody has settled it.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        !self.claims.is_empty()
    }

    /// Whether this individual replaces an earlier one.
    #[must_use]
    pub fn is_renewed(&self) -> bool {
        self.individual > 1
    }

    /// Whether it is in the thread of its hole.
    #[must_use]
    pub fn is_in(&self) -> bool {
        is_in_hole(self.state)
    }

    /// Passes of tightening that it has been through, of `all`.
    #[must_use]
    pub fn passes_done(&self, all: u8) -> u8 {
        match self.state {
            FastenerState::Tight | FastenerState::Checked => self.stage.unwrap_or(all).min(all),
            FastenerState::FingerTight => self.stage.unwrap_or(0).min(all),
            _ => 0,
        }
    }

    /// Whether it holds as it should, with all passes done.
    #[must_use]
    pub fn holds_tight(&self, all_passes: u8) -> bool {
        !self.is_undecided()
            && self.state.is_closed()
            && (self.state == FastenerState::InPlace || self.passes_done(all_passes) == all_passes)
    }

    /// A mark with what its writer believed; makes a conflict where the rule says so.
    pub(crate) fn apply_mark(&mut self, from: FastenerState, claim: FastenerClaim) {
        let other = self.last.order.device != claim.stamp.order.device;
        if self.is_undecided() || (other && self.state != from && self.state != claim.to) {
            self.add_contradiction(claim);
        } else {
            self.set_state(claim);
        }
    }

    /// A word that does not say what was believed before: it counts, unless the matter is undecided.
    pub(crate) fn apply_word(&mut self, claim: FastenerClaim) {
        if self.is_undecided() { self.add_contradiction(claim) } else { self.set_state(claim) }
    }

    /// A person's decision on a contradiction; against another device's settling it is a contradiction itself.
    pub(crate) fn apply_settling(&mut self, claim: FastenerClaim) {
        let other = self.last.order.device != claim.stamp.order.device;
        if !self.is_undecided() && other && self.state != claim.to {
            self.add_contradiction(claim);
        } else {
            self.claims.clear();
            self.set_state(claim);
        }
    }

    /// A new one replaces this one.
    pub(crate) fn apply_renewal(&mut self, stamp: &EventStamp) {
        self.individual = self.individual.saturating_add(1);
        if self.state == FastenerState::Off && !self.is_undecided() {
            self.since = stamp.clone();
        }
        self.apply_word(FastenerClaim {
            to: FastenerState::Off,
            stage: None,
            slot: None,
            stamp: stamp.clone(),
        });
        self.spent = false;
    }

    /// Tight by nothing that still holds: run in, with its tightening to be done.
    pub(crate) fn loosen_to_run_in(&mut self, stamp: &EventStamp) {
        if matches!(self.state, FastenerState::Tight | FastenerState::Checked) {
            (self.state, self.stage, self.closing) = (FastenerState::FingerTight, Some(0), None);
            (self.since, self.last) = (stamp.clone(), stamp.clone());
        }
    }

    fn add_contradiction(&mut self, claim: FastenerClaim) {
        if self.claims.is_empty() {
            let stamp = self.last.clone();
            let slot = self.slot.clone();
            self.claims.push(FastenerClaim { to: self.state, stage: self.stage, slot, stamp });
            self.since = claim.stamp.clone();
        }
        self.last = claim.stamp.clone();
        self.claims.retain(|c| c.stamp.order.device != claim.stamp.order.device);
        let agreed = self.claims.iter().all(|c| c.to == claim.to);
        self.claims.push(claim.clone());
        if agreed {
            self.claims.clear();
            self.set_state(claim);
        }
    }

    fn set_state(&mut self, claim: FastenerClaim) {
        let FastenerClaim { to, stage, slot, stamp } = claim;
        self.last = stamp.clone();
        if slot.is_some() {
            self.slot = slot;
        }
        if to == self.state && (stage.is_none() || stage == self.stage) {
            return;
        }
        let loosened = matches!(to, FastenerState::Freed | FastenerState::Off);
        if to == FastenerState::InPlace {
            // A correction: it was never touched after all.
            (self.spent, self.off, self.loosened, self.slot) = (false, None, None, None);
        }
        if loosened && self.was_tight() {
            self.spent = true;
            self.loosened = Some(stamp.clone());
        }
        if is_in_hole(self.state) && !is_in_hole(to) {
            self.off = Some(stamp.clone());
        }
        self.stage = if is_in_hole(to) && to != FastenerState::Freed { stage } else { None };
        self.state = to;
        self.closing = to.is_closed().then(|| stamp.clone());
        self.since = stamp;
    }

    fn was_tight(&self) -> bool {
        match self.state {
            FastenerState::InPlace | FastenerState::Tight | FastenerState::Checked => true,
            FastenerState::FingerTight => self.stage.unwrap_or(0) > 0,
            _ => false,
        }
    }
}

/// Whether a fastener in this state is in the thread of its hole.
#[must_use]
pub const fn is_in_hole(state: FastenerState) -> bool {
    use FastenerState::{Checked, FingerTight, Freed, InPlace, Tight};
    matches!(state, InPlace | Freed | FingerTight | Tight | Checked)
}

/// All fasteners that were mentioned, by fixing and hole.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct VisitFasteners(BTreeMap<String, BTreeMap<String, VisitFastener>>);

impl VisitFasteners {
    /// One fastener; `None` if it was never mentioned.
    #[must_use]
    pub fn get(&self, fixing: &str, hole: &str) -> Option<&VisitFastener> {
        self.0.get(fixing)?.get(hole)
    }

    /// The state of a fastener.
    #[must_use]
    pub fn state(&self, fixing: &str, hole: &str) -> FastenerState {
        self.get(fixing, hole).map_or(FastenerState::InPlace, |f| f.state)
    }

    /// All of them: fixing, hole, fastener.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str, &VisitFastener)> {
        self.0.iter().flat_map(|(fixing, holes)| {
            holes.iter().map(move |(hole, fastener)| (fixing.as_str(), hole.as_str(), fastener))
        })
    }

    /// Those of one fixing, by hole.
    pub fn of_fixing(&self, fixing: &str) -> impl Iterator<Item = (&str, &VisitFastener)> {
        self.0.get(fixing).into_iter().flatten().map(|(hole, fastener)| (hole.as_str(), fastener))
    }

    /// Those of one fixing, to be changed.
    pub(crate) fn of_fixing_mut(&mut self, fixing: &str) -> impl Iterator<Item = &mut VisitFastener> {
        self.0.get_mut(fixing).into_iter().flatten().map(|(_, fastener)| fastener)
    }

    /// The fastener of a hole; where it was not mentioned yet, the one that was found there.
    pub(crate) fn entry(&mut self, fixing: &str, hole: &str, stamp: &EventStamp) -> &mut VisitFastener {
        let holes = self.0.entry(fixing.to_owned()).or_default();
        holes.entry(hole.to_owned()).or_insert_with(|| VisitFastener::found_in_place(stamp))
    }
}
