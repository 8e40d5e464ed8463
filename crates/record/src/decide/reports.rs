//! Things put in, pieces, happenings, waits, findings, breaks, counts, overrides, and taking back.

use super::{Decision, DecisionContext, refuse_nothing_to_do, refuse_unknown, require_text};
use crate::ledger::LedgerLineKind;
use crate::refusal::{Refusal, RefusalKind};
use crate::visit::HappeningEnd;
use crate::{DeviceId, EventId, Ledger, PieceDestination, VisitBody, is_another_method, look_again};

impl DecisionContext<'_> {
    pub(super) fn mark_task(&self, key: String, to: crate::StepMark) -> Decision {
        let book = self.require_book()?;
        let id = book.task_by_key(&key).ok_or_else(|| refuse_unknown("task", &key))?;
        let work = book.task(id).kind;
        Ok(vec![VisitBody::Task { task: key, work, to }])
    }

    pub(super) fn take_thing_out(&self, put_in: EventId, count: Option<u16>) -> Decision {
        let known = self.visit.put_ins.get(&put_in);
        let left = known.ok_or_else(|| refuse_unknown("thing put in", put_in.as_str()))?.left;
        let count = count.unwrap_or(left);
        if left == 0 || count == 0 {
            return Err(refuse_nothing_to_do("already out"));
        }
        if count > left {
            let what = format!("only {left} in, but {count} reported taken out");
            return Err(Refusal::new(RefusalKind::TooMany, what, "count them"));
        }
        Ok(vec![VisitBody::TakenOut { put_in, count }])
    }

    pub(super) fn check_piece(&self, piece: &str, count: u16, to: &PieceDestination) -> Result<(), Refusal> {
        let away = self.visit.pieces.get(piece).map_or(0, crate::visit::PieceWhereabouts::copies_away);
        if count == 0 {
            return Err(refuse_nothing_to_do("the count is 0"));
        }
        if *to == PieceDestination::Place && u32::from(count) > away {
            let what = format!("only {away} of {piece} are out, but {count} were reported returned");
            return Err(Refusal::new(RefusalKind::TooMany, what, "count them and record where each was"));
        }
        Ok(())
    }

    pub(super) fn check_giving_up(
        &self,
        happening: &EventId,
        searched: &str,
        name: &str,
    ) -> Result<(), Refusal> {
        self.check_happening_open(happening)?;
        require_text(searched, "where and how you searched")?;
        require_text(name, "the name of the person who takes responsibility for going on")
    }

    pub(super) fn check_wait_runs(&self, wait: &EventId) -> Result<(), Refusal> {
        let known = self.visit.waits.get(wait).ok_or_else(|| refuse_unknown("wait", wait.as_str()))?;
        if known.over.is_some() {
            return Err(refuse_nothing_to_do("already over"));
        }
        Ok(())
    }

    pub(super) fn check_finding_known(&self, finding: &EventId) -> Result<(), Refusal> {
        let known = self.visit.findings.contains_key(finding);
        known.then_some(()).ok_or_else(|| refuse_unknown("finding", finding.as_str()))
    }

    pub(super) fn check_happening_open(&self, event: &EventId) -> Result<(), Refusal> {
        let known =
            self.visit.happenings.get(event).ok_or_else(|| refuse_unknown("happening", event.as_str()))?;
        match known.end {
            Some(HappeningEnd::DealtWith { .. }) => Err(refuse_nothing_to_do("already dealt with")),
            _ => Ok(()),
        }
    }

    /// A second look counts when it is another look.
    pub(super) fn check_second_look(&self, event: &EventId, method: &str) -> Result<(), Refusal> {
        require_text(method, "how it was looked at")?;
        let items = look_again(self.visit);
        let item = items.iter().find(|i| i.work.stamp.event == *event);
        let item = item.ok_or_else(|| refuse_unknown("work to look at again", event.as_str()))?;
        if !is_another_method(item, method) {
            let closes = format!("use another method: {}", item.ways.join(" or "));
            return Err(Refusal::new(
                RefusalKind::SameMethod,
                format!("this method was used before: {method}"),
                closes,
            ));
        }
        Ok(())
    }

    pub(super) fn check_acceptance(&self, line: &str, reason: &str, name: &str) -> Result<(), Refusal> {
        require_text(reason, "a reason")?;
        require_text(name, "the name of the person who answers for it")?;
        let ledger = Ledger::draw_up(self.visit, self.names.book);
        let open = ledger.line_by_key(line).ok_or_else(|| refuse_unknown("open line", line))?;
        if open.kind == LedgerLineKind::Undecided {
            let closes = "look at it and record its actual state";
            return Err(Refusal::new(RefusalKind::Undecided, open.what.clone(), closes));
        }
        Ok(())
    }

    pub(super) fn check_undoing(&self, event: &EventId) -> Result<(), Refusal> {
        let first = self.visit.opened.as_ref().map(|o| &o.stamp.event);
        if first == Some(event) {
            let what = "the opening of a visit cannot be undone";
            return Err(Refusal::new(RefusalKind::Begun, what, "close the visit instead"));
        }
        let texts = self.visit.based_on.as_ref().map(|texts| &texts.stamp.event);
        if texts == Some(event) {
            let what = "what the visit works from is not taken back";
            return Err(Refusal::new(RefusalKind::Begun, what, "name the right book and store instead"));
        }
        Ok(())
    }

    /// One tap undoes everything that one tap recorded.
    pub(super) fn undo_last_decision(&self, device: &DeviceId) -> Decision {
        let mut bodies = Vec::new();
        for event in self.visit.last_decision_of(device) {
            self.check_undoing(event)?;
            bodies.push(VisitBody::Undone { event: event.clone() });
        }
        if bodies.is_empty() {
            return Err(refuse_nothing_to_do("this device has nothing to undo"));
        }
        Ok(bodies)
    }
}
