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
    /// J631 and J632 plugs, J637 locks, J638 what lies beneath: the order of the fasteners of one part.
    pub fn judge_fastener_order(
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
            let act = duty.line.act;
            let told = if duty.fixing.kind == FastenerKind::Connector {
                self.judge_plug(case, world, duty.fixing, act)
            } else {
                self.judge_lock(case, world, duty.fixing, act)
            };
            if let Some((code, words)) = told {
                found.add(code, at, words);
            }
            self.take_act(duty.id, duty.fixing, act);
        }
    }

    /// J631 a plug comes off after another fastener of its part, J632 goes on before one.
    fn judge_plug(
        &self,
        case: &PlanCase,
        world: &ReplayedWorld,
        plug: &Fixing,
        act: Act,
    ) -> Option<(&'static str, String)> {
        let key = |id: FixingId| &case.book.fixing(id).key;
        match act {
            Act::Free if plug.world.loosening.is_untold() => {
                let early = fasteners_beside(case, plug).find(|id| self.begun.contains(id)).map(key)?;
                Some(("J631", format!("plug `{}` comes off after `{early}` is loosened", plug.key)))
            }
            Act::RunIn if plug.world.tightening.is_untold() => {
                let late = fasteners_beside(case, plug).find(|id| !world.is_done(*id)).map(key)?;
                Some(("J632", format!("plug `{}` goes on before `{late}` is tight", plug.key)))
            }
            Act::Free | Act::RunOut | Act::RunIn | Act::Tighten => None,
        }
    }

    /// J637 what locks others comes out after them, or goes in before they are tight; J638 what lies beneath them comes out before
    /// them, or goes in after them.
    fn judge_lock(
        &self,
        case: &PlanCase,
        world: &ReplayedWorld,
        fixing: &Fixing,
        act: Act,
    ) -> Option<(&'static str, String)> {
        let is_off = matches!(act, Act::Free | Act::RunOut);
        let find = |is_it: &dyn Fn(FixingId) -> bool| holders_beside(case, fixing).find(|id| is_it(*id));
        let (code, when, other) = match (fixing.kind.is_lock(), fixing.kind.lies_beneath()) {
            (true, _) if is_off => ("J637", "after", find(&|id| self.begun.contains(&id))?),
            (true, _) if act == Act::RunIn => ("J637", "before", find(&|id| !world.is_done(id))?),
            (_, true) if is_off => ("J638", "before", find(&|id| world.is_done(id))?),
            (_, true) if act == Act::RunIn => ("J638", "after", find(&|id| self.run_in.contains(&id))?),
            _ => return None,
        };
        let other = &case.book.fixing(other).key;
        Some((code, format!("`{}` ({act}) comes {when} `{other}`", fixing.key)))
    }

    fn take_act(&mut self, id: FixingId, fixing: &Fixing, act: Act) {
        let is_plug = fixing.kind == FastenerKind::Connector;
        let begins = match act {
            Act::Free => fixing.world.loosening.is_untold(),
            Act::RunOut => true,
            Act::RunIn | Act::Tighten => false,
        };
        if begins && !is_plug {
            self.begun.insert(id);
        }
        if act == Act::RunIn {
            self.run_in.insert(id);
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
