//! Marks on fasteners: a tap on a hole, a mark as it is, a renewal, a settled contradiction.

use std::collections::BTreeSet;

use model::{FastenerState, Fixing};

use super::{Decision, DecisionContext, refuse_nothing_to_do, refuse_unknown};
use crate::ledger::{LedgerLineKind, ledger_line_key, state_words};
use crate::names::passes_of_fixing;
use crate::refusal::{Refusal, RefusalKind, RefusalReason};
use crate::visit::{VisitFastener, is_in_hole};
use crate::{FastenerKey, MarkedHole, TapDirection, VisitBody};

/// A mark to be made: state, and passes done with it.
pub(super) type MarkTarget = (FastenerState, Option<u8>);

impl<'a> DecisionContext<'a> {
    pub(super) fn known_fixing(&self, key: &str) -> Result<&'a Fixing, Refusal> {
        self.require_book()?;
        self.names.fixing(key).ok_or_else(|| refuse_unknown("fixing", key))
    }

    pub(super) fn fastener_at(&self, fixing: &str, hole: &str) -> Option<&'a VisitFastener> {
        self.visit.fasteners.get(fixing, hole)
    }

    /// The address where the plan puts a fixing's fasteners; `None` without a plan.
    pub(super) fn slot_of(&self, fixing: &str) -> Option<String> {
        self.plan?.slots.iter().find(|s| s.fixing == fixing).map(|s| s.slot.to_string())
    }

    /// One hole, one mark on or back.
    pub(super) fn tap_hole(&self, key: &FastenerKey, way: TapDirection) -> Decision {
        let fixing = self.known_fixing(&key.fixing)?;
        self.check_holes_known(fixing, [key.hole.as_str()])?;
        self.check_decided(fixing, [key.hole.as_str()])?;
        let aim = match way {
            TapDirection::On => next_mark(fixing, self.fastener_at(&key.fixing, &key.hole))?,
            TapDirection::Back => previous_mark(fixing, self.fastener_at(&key.fixing, &key.hole))?,
        };
        if way == TapDirection::On {
            self.check_may_go(fixing, &[key.hole.as_str()], aim.0)?;
        }
        Ok(vec![self.mark_body(fixing, &[key.hole.as_str()], aim)])
    }

    /// As it is, whatever the rules of the bench say.
    pub(super) fn mark_as(
        &self,
        key: &str,
        holes: &BTreeSet<String>,
        to: FastenerState,
        slot: Option<String>,
    ) -> Decision {
        let fixing = self.known_fixing(key)?;
        let holes: Vec<&str> = holes.iter().map(String::as_str).collect();
        if holes.is_empty() {
            return Err(refuse_nothing_to_do("no hole is given"));
        }
        self.check_holes_known(fixing, holes.iter().copied())?;
        self.check_decided(fixing, holes.iter().copied())?;
        self.check_figure(fixing, to)?;
        let mut body = self.mark_body(fixing, &holes, (to, None));
        if let (VisitBody::Marked { slot: address, .. }, Some(said)) = (&mut body, slot) {
            *address = Some(said);
        }
        Ok(vec![body])
    }

    /// New fasteners for old ones that are out.
    pub(super) fn renew_holes(&self, key: &str, holes: BTreeSet<String>) -> Decision {
        let fixing = self.known_fixing(key)?;
        let holes = if holes.is_empty() { self.to_renew(fixing) } else { holes };
        self.check_holes_known(fixing, holes.iter().map(String::as_str))?;
        self.check_decided(fixing, holes.iter().map(String::as_str))?;
        let still_in = holes.iter().filter(|h| is_in_hole(self.visit.fastener_state(key, h)));
        let against = still_in.map(|h| self.hole_reason(fixing, h, "take it out first")).collect();
        Refusal::unless_empty(RefusalKind::StillIn, against)?;
        if holes.is_empty() {
            return Err(refuse_nothing_to_do(format!("{}: no old fastener is out", fixing.title)));
        }
        Ok(vec![VisitBody::Renewed { fixing: key.to_owned(), holes }])
    }

    /// Holes whose fastener is out and not a fresh one.
    fn to_renew(&self, fixing: &Fixing) -> BTreeSet<String> {
        let old =
            |f: &VisitFastener| !f.is_in() && (f.spent || !f.is_renewed() || f.state != FastenerState::Off);
        let out = self.visit.fasteners.of_fixing(&fixing.key).filter(|(_, f)| old(f));
        out.map(|(hole, _)| hole.to_owned()).collect()
    }

    pub(super) fn check_settling(&self, fastener: &FastenerKey, to: FastenerState) -> Result<(), Refusal> {
        let known = self.fastener_at(&fastener.fixing, &fastener.hole);
        if !known.is_some_and(VisitFastener::is_undecided) {
            return Err(refuse_nothing_to_do("the devices agree about this fastener"));
        }
        self.check_said_mark(&fastener.fixing, to)
    }

    /// The event that marks holes, each with its present state.
    pub(super) fn mark_body(&self, fixing: &Fixing, holes: &[&str], (to, stage): MarkTarget) -> VisitBody {
        let was = |hole: &&str| MarkedHole {
            hole: (*hole).to_owned(),
            from: self.visit.fastener_state(&fixing.key, hole),
        };
        let slot = if to == FastenerState::Off { self.slot_of(&fixing.key) } else { None };
        VisitBody::Marked {
            fixing: fixing.key.clone(),
            holes: holes.iter().map(was).collect(),
            to,
            slot,
            stage,
        }
    }

    pub(super) fn check_holes_known<'h>(
        &self,
        fixing: &Fixing,
        holes: impl IntoIterator<Item = &'h str>,
    ) -> Result<(), Refusal> {
        let mut holes = holes.into_iter();
        let strange = holes.find(|hole| self.names.fixing_with_hole(&fixing.key, hole).is_none());
        strange.map_or(Ok(()), |hole| Err(refuse_unknown("hole", &format!("{} {hole}", fixing.key))))
    }

    /// No devices disagree about any of the holes.
    pub(super) fn check_decided<'h>(
        &self,
        fixing: &Fixing,
        holes: impl IntoIterator<Item = &'h str>,
    ) -> Result<(), Refusal> {
        let differs = |h: &&str| self.fastener_at(&fixing.key, h).is_some_and(VisitFastener::is_undecided);
        let against = holes.into_iter().filter(differs).map(|hole| RefusalReason {
            line: Some(ledger_line_key(LedgerLineKind::Undecided, &[&fixing.key, hole])),
            what: format!("two devices disagree about {} {hole}", fixing.title),
            closes: "look at it and record its actual state".into(),
        });
        Refusal::unless_empty(RefusalKind::Undecided, against.collect())
    }

    /// Whether fasteners may go into their holes or be tightened: the part is on, and what is renewed each time is new.
    pub(super) fn check_may_go(
        &self,
        fixing: &Fixing,
        holes: &[&str],
        to: FastenerState,
    ) -> Result<(), Refusal> {
        use FastenerState::{Checked, FingerTight, Tight};
        if !matches!(to, FingerTight | Tight | Checked) {
            return Ok(());
        }
        self.check_figure(fixing, to)?;
        let part = self.names.part_of(fixing).filter(|part| self.visit.is_part_off(&part.key));
        if let Some(part) = part {
            let against = RefusalReason {
                line: Some(ledger_line_key(LedgerLineKind::PartOff, &[&part.key])),
                what: format!("{} is off", part.title),
                closes: "refit it first".into(),
            };
            return Err(Refusal { why: RefusalKind::StillOff, against: vec![against] });
        }
        let old = |h: &&&str| fixing.one_time && self.fastener_at(&fixing.key, h).is_some_and(|f| f.spent);
        let against = holes.iter().filter(old).map(|hole| RefusalReason {
            line: None,
            what: format!(
                "{} {hole} must be renewed each time, and the old one has been loosened",
                fixing.title
            ),
            closes: "fit a new one and record it".into(),
        });
        Refusal::unless_empty(RefusalKind::NotRenewed, against.collect())
    }

    /// "cover bolts 3 is in place".
    pub(super) fn hole_reason(&self, fixing: &Fixing, hole: &str, closes: &str) -> RefusalReason {
        let state = self.visit.fastener_state(&fixing.key, hole);
        RefusalReason {
            line: None,
            what: format!("{} {hole} is {}", fixing.title, state_words(state)),
            closes: closes.into(),
        }
    }
}

/// The next mark of a fastener.
fn next_mark(fixing: &Fixing, fastener: Option<&VisitFastener>) -> Result<MarkTarget, Refusal> {
    use FastenerState::{Broken, Checked, FingerTight, Freed, InPlace, Missing, Off, Tight};
    let all = passes_of_fixing(fixing);
    let state = fastener.map_or(InPlace, |f| f.state);
    let passes = fastener.map_or(0, |f| f.passes_done(all));
    Ok(match state {
        InPlace if fixing.stays_when_freed() => (Freed, None),
        Freed if fixing.slackened => tightened_mark(fixing, all),
        InPlace | Freed | Missing => (Off, None),
        Off => run_in_mark(all),
        FingerTight => pass_mark(passes.saturating_add(1), all),
        Tight if passes < all => pass_mark(passes.saturating_add(1), all),
        Tight => (Checked, None),
        Checked => return Err(refuse_nothing_to_do(format!("{}: already checked", fixing.title))),
        Broken => {
            let what = format!("{}: this fastener is broken", fixing.title);
            return Err(Refusal::new(
                RefusalKind::StillIn,
                what,
                "remove the remains, then fit a new one and record it",
            ));
        }
    })
}

/// The mark before; a tap too many is taken back with it.
fn previous_mark(fixing: &Fixing, fastener: Option<&VisitFastener>) -> Result<MarkTarget, Refusal> {
    use FastenerState::{Broken, Checked, FingerTight, Freed, InPlace, Missing, Off, Tight};
    let all = passes_of_fixing(fixing);
    let state = fastener.map_or(InPlace, |f| f.state);
    let passes = fastener.map_or(0, |f| f.passes_done(all));
    let fresh = fastener.is_some_and(VisitFastener::is_renewed);
    Ok(match state {
        Checked => (Tight, Some(all).filter(|a| *a > 0)),
        Tight if all == 0 && fixing.slackened => (Freed, None),
        Tight if all == 0 => (Off, None),
        Tight | FingerTight if passes > 1 => (FingerTight, Some(passes - 1)),
        Tight => (FingerTight, Some(0)),
        FingerTight if passes > 0 => (FingerTight, Some(0)),
        FingerTight if fixing.slackened => (Freed, None),
        FingerTight => (Off, None),
        Off if fresh => return Err(refuse_nothing_to_do("this new fastener has not been in the hole yet")),
        Off if fixing.drive.is_turned() => (Freed, None),
        Off | Freed => (InPlace, None),
        InPlace => return Err(refuse_nothing_to_do(format!("{}: already in place", fixing.title))),
        Broken | Missing => return Err(refuse_nothing_to_do("undo the happening instead")),
    })
}

/// A fastener without anything to tighten is tight once it is in.
pub(super) const fn run_in_mark(all: u8) -> MarkTarget {
    if all == 0 { (FastenerState::Tight, None) } else { (FastenerState::FingerTight, None) }
}

/// The mark behind slackened: the first pass, or set back where nothing is tightened.
fn tightened_mark(fixing: &Fixing, all: u8) -> MarkTarget {
    if fixing.drive.is_turned() { pass_mark(1, all) } else { run_in_mark(all) }
}

/// The mark of a pass.
pub(super) const fn pass_mark(done: u8, all: u8) -> MarkTarget {
    if done >= all { (FastenerState::Tight, Some(all)) } else { (FastenerState::FingerTight, Some(done)) }
}
