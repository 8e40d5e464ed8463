//! Rules of the trade that hang on the kind of a fixing, whether or not the book tells them.
//!
//! Plugs come off first and go on last, within one part: one that is still on when the part moves tears, one that is put on
//! before the figure is in the way of the spanner. The book overrules: a plug that tells of its own loosening or tightening
//! keeps what it tells, and a fastener that tells of its loosening may be broken loose early, which is not undoing.
//!
//! Common practice, no single source.

use super::values::ReplayedWorld;
use crate::FoundViolations;
use crate::case::PlanCase;
use model::plan::Step;
use model::{Act, FastenerKind, Fixing, FixingId};
use std::collections::BTreeSet;

/// The fixings that the steps so far have begun to undo.
#[derive(Default)]
pub(super) struct TradeWatch {
    begun: BTreeSet<FixingId>,
    /// Fixings that the steps so far have begun to run in.
    run_in: BTreeSet<FixingId>,
}

impl TradeWatch {
    /// J631 a plug comes off after another fastener of its part, J632 goes on before one.
    pub fn judge_plugs(
        &mut self,
        case: &PlanCase,
        world: &ReplayedWorld,
        step: &Step,
        at: &str,
        found: &mut FoundViolations,
    ) {
        if !case.is_course() {
            return;
        }
        for duty in step.actions.iter().filter_map(|action| case.duty_of_action(action)) {
            let plug = Some(duty.fixing).filter(|f| f.kind == FastenerKind::Connector);
            let others = || fasteners_beside(case, duty.fixing);
            match (duty.line.act, plug) {
                (Act::Free, Some(plug)) if plug.world.loosening.is_untold() => {
                    let early = others().find(|id| self.begun.contains(id));
                    if let Some(early) = early.map(|id| &case.book.fixing(id).key) {
                        let words = format!("plug `{}` comes off after `{early}` is loosened", plug.key);
                        found.add("J631", at, words);
                    }
                }
                (Act::RunIn, Some(plug)) if plug.world.tightening.is_untold() => {
                    let late = others().find(|id| !world.is_done(*id));
                    if let Some(late) = late.map(|id| &case.book.fixing(id).key) {
                        let words = format!("plug `{}` goes on before `{late}` is tight", plug.key);
                        found.add("J632", at, words);
                    }
                }
                (Act::Free, None) if duty.fixing.world.loosening.is_untold() => {
                    self.begun.insert(duty.id);
                }
                (Act::RunOut, None) => _ = self.begun.insert(duty.id),
                (Act::Free | Act::RunOut | Act::RunIn | Act::Tighten, _) => {}
            }
        }
    }
}

impl TradeWatch {
    /// J637 what locks others comes out after them, or goes in before they are tight; J638 what lies beneath them comes out before them, or
    /// goes in after them. Asked before the step's own acts are taken in.
    pub fn judge_locks(
        &mut self,
        case: &PlanCase,
        world: &ReplayedWorld,
        step: &Step,
        at: &str,
        found: &mut FoundViolations,
    ) {
        if !case.is_course() {
            return;
        }
        for duty in step.actions.iter().filter_map(|action| case.duty_of_action(action)) {
            let (kind, act) = (duty.fixing.kind, duty.line.act);
            let holders = || holders_beside(case, duty.fixing);
            let is_off = matches!(act, Act::Free | Act::RunOut);
            let broken = match (kind.is_lock(), kind.lies_beneath()) {
                (true, _) if is_off => {
                    holders().find(|id| self.begun.contains(id)).map(|id| ("J637", "after", id))
                }
                (true, _) if act == Act::RunIn => {
                    holders().find(|id| !world.is_done(*id)).map(|id| ("J637", "before", id))
                }
                (_, true) if is_off => {
                    holders().find(|id| world.is_done(*id)).map(|id| ("J638", "before", id))
                }
                (_, true) if act == Act::RunIn => {
                    holders().find(|id| self.run_in.contains(id)).map(|id| ("J638", "after", id))
                }
                _ => None,
            };
            if act == Act::RunIn {
                self.run_in.insert(duty.id);
            }
            if let Some((code, when, other)) = broken {
                let other = &case.book.fixing(other).key;
                found.add(code, at, format!("`{}` ({act}) comes {when} `{other}`", duty.fixing.key));
            }
        }
    }
}

/// The fixings of the same part that hold it: no plugs, no locks, nothing that lies beneath.
fn holders_beside<'c>(case: &'c PlanCase, of: &'c Fixing) -> impl Iterator<Item = FixingId> + 'c {
    let holds = |id: &FixingId| {
        let kind = case.book.fixing(*id).kind;
        kind != FastenerKind::Connector && !kind.is_lock() && !kind.lies_beneath()
    };
    case.book.fixings_of(of.part).filter(holds)
}

/// The fixings of the same part that are no plugs.
fn fasteners_beside<'c>(case: &'c PlanCase, of: &'c Fixing) -> impl Iterator<Item = FixingId> + 'c {
    let is_fastener = |id: &FixingId| case.book.fixing(*id).kind != FastenerKind::Connector;
    case.book.fixings_of(of.part).filter(is_fastener)
}
