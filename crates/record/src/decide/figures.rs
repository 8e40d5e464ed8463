//! Tightening figures that the book does not have: given with their source, or answered for by name.

use model::{FastenerState, Fixing, StageTarget};
use units::{Angle, Torque};

use super::{DecisionContext, refuse_nothing_to_do, require_text};
use crate::ledger::{LedgerLineKind, ledger_line_key};
use crate::refusal::{Refusal, RefusalKind, RefusalReason};

/// What closes a missing figure.
pub(crate) const CLOSES_FIGURE: &str = "give the figure with its source, or answer for it by name";

impl DecisionContext<'_> {
    /// Nothing is made tight or checked while the figure is missing and nobody has answered for it.
    pub(super) fn check_figure(&self, fixing: &Fixing, to: FastenerState) -> Result<(), Refusal> {
        let tight = matches!(to, FastenerState::Tight | FastenerState::Checked);
        if !tight || !fixing.is_figure_missing() || self.visit.figures.word_on(&fixing.key).is_some() {
            return Ok(());
        }
        let against = RefusalReason {
            line: Some(ledger_line_key(LedgerLineKind::FigureMissing, &[&fixing.key])),
            what: format!("the tightening figure of {} is missing", fixing.title),
            closes: CLOSES_FIGURE.into(),
        };
        Err(Refusal { why: RefusalKind::FigureMissing, against: vec![against] })
    }

    /// The same for a fixing that the book may not know.
    pub(super) fn check_said_mark(&self, fixing: &str, to: FastenerState) -> Result<(), Refusal> {
        self.names.fixing(fixing).map_or(Ok(()), |fixing| self.check_figure(fixing, to))
    }

    pub(super) fn check_given_figure(
        &self,
        fixing: &str,
        figure: &str,
        source: &str,
        name: &str,
    ) -> Result<(), Refusal> {
        self.check_wants_figure(fixing)?;
        require_text(source, "where the figure is from")?;
        require_text(name, "the name of who read it")?;
        if parse_figure(figure).is_none() {
            return Err(Refusal::new(
                RefusalKind::FigureUnreadable,
                format!("“{figure}” is no tightening figure"),
                "write a torque with its unit (45 N·m, 33 lbf·ft), and an angle after it: 20 N·m, then 90°",
            ));
        }
        Ok(())
    }

    pub(super) fn check_waived_figure(&self, fixing: &str, reason: &str, name: &str) -> Result<(), Refusal> {
        self.check_wants_figure(fixing)?;
        require_text(reason, "a reason")?;
        require_text(name, "the name of who answers for it")
    }

    fn check_wants_figure(&self, key: &str) -> Result<(), Refusal> {
        let fixing = self.known_fixing(key)?;
        if fixing.is_figure_missing() {
            return Ok(());
        }
        Err(refuse_nothing_to_do(format!("no figure is missing for {}", fixing.title)))
    }
}

/// The passes of a figure as a person gives it: `45 N·m`, `20 N·m, then 90°`; the first is a torque above zero.
pub(crate) fn parse_figure(text: &str) -> Option<Vec<StageTarget>> {
    let passes: Option<Vec<StageTarget>> =
        text.split(',').map(|pass| StageTarget::parse(strip_then(pass.trim()))).collect();
    let passes = passes?;
    let sound = |pass: &StageTarget| match pass {
        StageTarget::Torque(torque) => *torque > Torque::ZERO,
        StageTarget::Angle(angle) => *angle > Angle::ZERO,
        StageTarget::Seat | StageTarget::ByFeel | StageTarget::Loosen | StageTarget::NotKnown => false,
    };
    let by_torque = matches!(passes.first(), Some(StageTarget::Torque(_)));
    (by_torque && passes.iter().all(sound)).then_some(passes)
}

fn strip_then(pass: &str) -> &str {
    pass.strip_prefix("then ").map_or(pass, str::trim_start)
}
