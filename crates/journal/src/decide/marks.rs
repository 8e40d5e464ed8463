//! Marks on fasteners: a tap on a hole, a mark as it is, a renewal, a settled contradiction.

use std::collections::BTreeSet;

use model::{FastenerState, Fixing};

use super::{Bench, Decision, nothing, unknown};
use crate::ledger::{LineKind, line_key, state_words};
use crate::names::passes_of;
use crate::refusal::{Against, Refusal, Why};
use crate::visit::{Fastener, is_in};
use crate::{Body, FastenerKey, Move, Was};

/// A mark to be made: state, and passes done with it.
pub(super) type Aim = (FastenerState, Option<u8>);

impl<'a> Bench<'a> {
    pub(super) fn fixing(&self, key: &str) -> Result<&'a Fixing, Refusal> {
        self.names.fixing(key).ok_or_else(|| unknown("fixing", key))
    }

    pub(super) fn fastener(&self, fixing: &str, hole: &str) -> Option<&'a Fastener> {
        self.visit.fasteners.get(fixing, hole)
    }

    /// The address where the plan puts a fixing's fasteners.
    pub(super) fn slot_of(&self, fixing: &str) -> Option<String> {
        self.plan.slots.iter().find(|s| s.fixing == fixing).map(|s| s.slot.clone())
    }

    /// One hole, one mark on or back.
    pub(super) fn tap(&self, key: &FastenerKey, way: Move) -> Decision {
        let fixing = self.fixing(&key.fixing)?;
        self.holes_known(fixing, [key.hole.as_str()])?;
        self.decided(fixing, [key.hole.as_str()])?;
        let aim = match way {
            Move::On => on(fixing, self.fastener(&key.fixing, &key.hole))?,
            Move::Back => back(fixing, self.fastener(&key.fixing, &key.hole))?,
        };
        if way == Move::On {
            self.may_go(fixing, &[key.hole.as_str()], aim.0)?;
        }
        Ok(vec![self.marked(fixing, &[key.hole.as_str()], aim)])
    }

    /// As it is, whatever the rules of the bench say.
    pub(super) fn mark_as(
        &self,
        key: &str,
        holes: &BTreeSet<String>,
        to: FastenerState,
        slot: Option<String>,
    ) -> Decision {
        let fixing = self.fixing(key)?;
        let holes: Vec<&str> = holes.iter().map(String::as_str).collect();
        if holes.is_empty() {
            return Err(nothing("no hole is named"));
        }
        self.holes_known(fixing, holes.iter().copied())?;
        self.decided(fixing, holes.iter().copied())?;
        let mut body = self.marked(fixing, &holes, (to, None));
        if let (Body::Marked { slot: address, .. }, Some(said)) = (&mut body, slot) {
            *address = Some(said);
        }
        Ok(vec![body])
    }

    /// New fasteners for old ones that are out.
    pub(super) fn renew(&self, key: &str, holes: BTreeSet<String>) -> Decision {
        let fixing = self.fixing(key)?;
        let holes = if holes.is_empty() { self.to_renew(fixing) } else { holes };
        self.holes_known(fixing, holes.iter().map(String::as_str))?;
        self.decided(fixing, holes.iter().map(String::as_str))?;
        let still_in = holes.iter().filter(|h| is_in(self.visit.state(key, h)));
        let against = still_in.map(|h| self.against(fixing, h, "take it out first")).collect();
        Refusal::unless_none(Why::StillIn, against)?;
        if holes.is_empty() {
            return Err(nothing(format!("no old fastener of {} is out", fixing.title)));
        }
        Ok(vec![Body::Renewed { fixing: key.to_owned(), holes }])
    }

    /// Holes whose fastener is out and not a fresh one.
    fn to_renew(&self, fixing: &Fixing) -> BTreeSet<String> {
        let old = |f: &Fastener| !f.is_in() && (f.spent || !f.is_renewed() || f.state != FastenerState::Off);
        let out = self.visit.fasteners.of(&fixing.key).filter(|(_, f)| old(f));
        out.map(|(hole, _)| hole.to_owned()).collect()
    }

    pub(super) fn settle(&self, fastener: FastenerKey, to: FastenerState) -> Decision {
        let known = self.fastener(&fastener.fixing, &fastener.hole);
        if !known.is_some_and(Fastener::is_undecided) {
            return Err(nothing("nobody differs about this fastener"));
        }
        Ok(vec![Body::Settled { fastener, to }])
    }

    /// The event that marks holes, each with how it stands now.
    pub(super) fn marked(&self, fixing: &Fixing, holes: &[&str], (to, stage): Aim) -> Body {
        let was = |hole: &&str| Was { hole: (*hole).to_owned(), from: self.visit.state(&fixing.key, hole) };
        let slot = if to == FastenerState::Off { self.slot_of(&fixing.key) } else { None };
        Body::Marked { fixing: fixing.key.clone(), holes: holes.iter().map(was).collect(), to, slot, stage }
    }

    pub(super) fn holes_known<'h>(
        &self,
        fixing: &Fixing,
        holes: impl IntoIterator<Item = &'h str>,
    ) -> Result<(), Refusal> {
        let mut holes = holes.into_iter();
        let strange = holes.find(|hole| self.names.hole(&fixing.key, hole).is_none());
        strange.map_or(Ok(()), |hole| Err(unknown("hole", &format!("{} {hole}", fixing.key))))
    }

    /// Nobody differs about any of the holes.
    pub(super) fn decided<'h>(
        &self,
        fixing: &Fixing,
        holes: impl IntoIterator<Item = &'h str>,
    ) -> Result<(), Refusal> {
        let differs = |h: &&str| self.fastener(&fixing.key, h).is_some_and(Fastener::is_undecided);
        let against = holes.into_iter().filter(differs).map(|hole| Against {
            line: Some(line_key(LineKind::Undecided, &[&fixing.key, hole])),
            what: format!("two devices differ about {} {hole}", fixing.title),
            closes: "look and say how it really stands".into(),
        });
        Refusal::unless_none(Why::Undecided, against.collect())
    }

    /// Whether fasteners may go into their holes or be tightened: the part is on, and what is renewed each time is new.
    pub(super) fn may_go(&self, fixing: &Fixing, holes: &[&str], to: FastenerState) -> Result<(), Refusal> {
        use FastenerState::{Checked, FingerTight, Tight};
        if !matches!(to, FingerTight | Tight | Checked) {
            return Ok(());
        }
        let part = self.names.part_of(fixing);
        if self.visit.is_off(&part.key) {
            let against = Against {
                line: Some(line_key(LineKind::PartOff, &[&part.key])),
                what: format!("{} is off", part.title),
                closes: "set it in place first".into(),
            };
            return Err(Refusal { why: Why::StillOff, against: vec![against] });
        }
        let old = |h: &&&str| fixing.one_time && self.fastener(&fixing.key, h).is_some_and(|f| f.spent);
        let against = holes.iter().filter(old).map(|hole| Against {
            line: None,
            what: format!("{} {hole} is renewed each time, and the old one was loosened", fixing.title),
            closes: "take a new one and say so".into(),
        });
        Refusal::unless_none(Why::NotRenewed, against.collect())
    }

    /// "cover bolts 3 is in place".
    pub(super) fn against(&self, fixing: &Fixing, hole: &str, closes: &str) -> Against {
        let state = self.visit.state(&fixing.key, hole);
        Against {
            line: None,
            what: format!("{} {hole} is {}", fixing.title, state_words(state)),
            closes: closes.into(),
        }
    }
}

/// The next mark of a fastener.
fn on(fixing: &Fixing, fastener: Option<&Fastener>) -> Result<Aim, Refusal> {
    use FastenerState::{Broken, Checked, FingerTight, Freed, InPlace, Missing, Off, Tight};
    let all = passes_of(fixing);
    let state = fastener.map_or(InPlace, |f| f.state);
    let passes = fastener.map_or(0, |f| f.passes(all));
    Ok(match state {
        InPlace if fixing.drive.is_turned() => (Freed, None),
        InPlace | Freed | Missing => (Off, None),
        Off => run_in(all),
        FingerTight => pass(passes.saturating_add(1), all),
        Tight if passes < all => pass(passes.saturating_add(1), all),
        Tight => (Checked, None),
        Checked => return Err(nothing(format!("{} is checked", fixing.title))),
        Broken => {
            let what = format!("this one of {} is broken", fixing.title);
            return Err(Refusal::new(
                Why::StillIn,
                what,
                "bring the rest out, then take a new one and say so",
            ));
        }
    })
}

/// The mark before; a tap too many is taken back with it.
fn back(fixing: &Fixing, fastener: Option<&Fastener>) -> Result<Aim, Refusal> {
    use FastenerState::{Broken, Checked, FingerTight, Freed, InPlace, Missing, Off, Tight};
    let all = passes_of(fixing);
    let state = fastener.map_or(InPlace, |f| f.state);
    let passes = fastener.map_or(0, |f| f.passes(all));
    let fresh = fastener.is_some_and(Fastener::is_renewed);
    Ok(match state {
        Checked => (Tight, Some(all).filter(|a| *a > 0)),
        Tight if all == 0 => (Off, None),
        Tight | FingerTight if passes > 1 => (FingerTight, Some(passes - 1)),
        Tight => (FingerTight, Some(0)),
        FingerTight if passes > 0 => (FingerTight, Some(0)),
        FingerTight => (Off, None),
        Off if fresh => return Err(nothing("a new fastener was never in this hole")),
        Off if fixing.drive.is_turned() => (Freed, None),
        Off | Freed => (InPlace, None),
        InPlace => return Err(nothing(format!("{} is in place", fixing.title))),
        Broken | Missing => return Err(nothing("take the happening back instead")),
    })
}

/// A fastener without anything to tighten is tight once it is in.
pub(super) const fn run_in(all: u8) -> Aim {
    if all == 0 { (FastenerState::Tight, None) } else { (FastenerState::FingerTight, None) }
}

/// The mark of a pass.
pub(super) const fn pass(done: u8, all: u8) -> Aim {
    if done >= all { (FastenerState::Tight, Some(all)) } else { (FastenerState::FingerTight, Some(done)) }
}
