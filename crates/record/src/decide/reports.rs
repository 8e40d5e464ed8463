//! Things put in, pieces, happenings, waits, findings, breaks, counts, overrides, and taking back.

use super::{Decision, DecisionContext, refuse_nothing_to_do, refuse_unknown, require_text};
use crate::ledger::LedgerLineKind;
use crate::refusal::{Refusal, RefusalKind};
use crate::visit::HappeningEnd;
use crate::{
    DeviceId, EventBody, EventId, JournalCommand, Ledger, PieceDestination, is_another_method, look_again,
};

impl DecisionContext<'_> {
    /// Commands that tell something; those of fasteners and places are decided elsewhere.
    pub(super) fn decide_report(&self, command: JournalCommand) -> Decision {
        let body = match command {
            JournalCommand::Task { task, to } => return self.mark_task(task, to),
            JournalCommand::Extra { step, to } => EventBody::Extra { step, to },
            JournalCommand::PutIn { count: 0, .. } => return Err(refuse_nothing_to_do("nothing is put in")),
            JournalCommand::PutIn { what, words, count, at } => EventBody::PutIn { what, words, count, at },
            JournalCommand::TakeOut { put_in, count } => return self.take_thing_out(put_in, count),
            JournalCommand::Piece { piece, count, to } => return self.move_piece(piece, count, to),
            JournalCommand::Happened { what, at, words } => EventBody::Happened { what, at, words },
            JournalCommand::DealtWith { happening, how } => {
                self.check_happening_open(&happening)?;
                EventBody::DealtWith { happening, how }
            }
            JournalCommand::GiveUp { happening, searched, name } => {
                self.check_happening_open(&happening)?;
                require_text(&searched, "where and how it was searched")?;
                require_text(&name, "the name of who answers for going on")?;
                EventBody::GivenUp { happening, searched, name }
            }
            JournalCommand::BeginWait { waiting, at } => EventBody::WaitBegan { waiting, at },
            JournalCommand::EndWait { wait } => {
                let known =
                    self.visit.waits.get(&wait).ok_or_else(|| refuse_unknown("wait", wait.as_str()))?;
                if known.over.is_some() {
                    return Err(refuse_nothing_to_do("it is over already"));
                }
                EventBody::WaitOver { wait }
            }
            JournalCommand::Find { words, price_from_cents, price_to_cents, if_left, at } => {
                EventBody::Found { words, price_from_cents, price_to_cents, if_left, at }
            }
            JournalCommand::Answer { finding, word, by } => {
                let known = self.visit.findings.contains_key(&finding);
                known.then_some(()).ok_or_else(|| refuse_unknown("finding", finding.as_str()))?;
                EventBody::Answered { finding, word, by }
            }
            JournalCommand::Read { reading, at } => EventBody::Read { reading, at },
            JournalCommand::Picture { picture, original, at } => {
                EventBody::Pictured { picture, original, at }
            }
            JournalCommand::Note { words, at } => EventBody::Noted { words, at },
            JournalCommand::Count { what, expected, counted } => {
                EventBody::Counted { what, expected, counted }
            }
            rest => return self.decide_break(rest),
        };
        Ok(vec![body])
    }

    fn decide_break(&self, command: JournalCommand) -> Decision {
        match command {
            JournalCommand::Pause { .. } if self.visit.current_pause().is_some() => {
                Err(refuse_nothing_to_do("work rests already"))
            }
            JournalCommand::Pause { words, at } => Ok(vec![EventBody::Paused { words, at }]),
            JournalCommand::Resume if self.visit.current_pause().is_none() => {
                Err(refuse_nothing_to_do("work is going on"))
            }
            JournalCommand::Resume => Ok(vec![EventBody::Resumed]),
            JournalCommand::LookAgain { event, method } => self.look_at_work_again(event, method),
            JournalCommand::Override { line, reason, name } => self.accept_line(line, reason, name),
            JournalCommand::Undo { event } => self.undo_event(event),
            JournalCommand::UndoLast { device } => self.undo_last_decision(&device),
            _ => Err(refuse_nothing_to_do("nothing is asked for")),
        }
    }

    fn mark_task(&self, key: String, to: crate::StepMark) -> Decision {
        let id = self.names.book.task_by_key(&key).ok_or_else(|| refuse_unknown("task", &key))?;
        let work = self.names.book.task(id).kind;
        Ok(vec![EventBody::Task { task: key, work, to }])
    }

    fn take_thing_out(&self, put_in: EventId, count: Option<u16>) -> Decision {
        let known = self.visit.put_ins.get(&put_in);
        let left = known.ok_or_else(|| refuse_unknown("thing put in", put_in.as_str()))?.left;
        let count = count.unwrap_or(left);
        if left == 0 || count == 0 {
            return Err(refuse_nothing_to_do("it is out already"));
        }
        if count > left {
            let what = format!("{left} are in, {count} are said to come out");
            return Err(Refusal::new(RefusalKind::TooMany, what, "count them"));
        }
        Ok(vec![EventBody::TakenOut { put_in, count }])
    }

    fn move_piece(&self, piece: String, count: u16, to: PieceDestination) -> Decision {
        let away = self.visit.pieces.get(&piece).map_or(0, crate::visit::PieceWhereabouts::copies_away);
        if count == 0 {
            return Err(refuse_nothing_to_do("no piece is moved"));
        }
        if to == PieceDestination::Place && u32::from(count) > away {
            let what = format!("{away} of {piece} are out, {count} are said to come back");
            return Err(Refusal::new(RefusalKind::TooMany, what, "count them, and say where each was"));
        }
        Ok(vec![EventBody::Piece { piece, count, to }])
    }

    fn check_happening_open(&self, event: &EventId) -> Result<(), Refusal> {
        let known =
            self.visit.happenings.get(event).ok_or_else(|| refuse_unknown("happening", event.as_str()))?;
        match known.end {
            Some(HappeningEnd::DealtWith { .. }) => Err(refuse_nothing_to_do("it is dealt with already")),
            _ => Ok(()),
        }
    }

    /// A second look counts when it is another look.
    fn look_at_work_again(&self, event: EventId, method: String) -> Decision {
        require_text(&method, "how it was looked at")?;
        let items = look_again(self.visit);
        let item = items.iter().find(|i| i.work.stamp.event == event);
        let item = item.ok_or_else(|| refuse_unknown("work to look at again", event.as_str()))?;
        if !is_another_method(item, &method) {
            let closes = format!("look another way: {}", item.ways.join(", or "));
            return Err(Refusal::new(
                RefusalKind::SameMethod,
                format!("it was done or seen so before: {method}"),
                closes,
            ));
        }
        Ok(vec![EventBody::LookedAgain { event, method }])
    }

    fn accept_line(&self, line: String, reason: String, name: String) -> Decision {
        require_text(&reason, "a reason")?;
        require_text(&name, "the name of who answers for it")?;
        let ledger = Ledger::draw_up(self.visit, self.names.book);
        let open = ledger.line_by_key(&line).ok_or_else(|| refuse_unknown("open line", &line))?;
        if open.kind == LedgerLineKind::Undecided {
            let closes = "look and say how it really stands";
            return Err(Refusal::new(RefusalKind::Undecided, open.what.clone(), closes));
        }
        Ok(vec![EventBody::Overridden { line, reason, name }])
    }

    fn undo_event(&self, event: EventId) -> Decision {
        let first = self.visit.opened.as_ref().map(|o| &o.stamp.event);
        if first == Some(&event) {
            let what = "the beginning of a visit is not taken back";
            return Err(Refusal::new(RefusalKind::Begun, what, "close the visit instead"));
        }
        Ok(vec![EventBody::Undone { event }])
    }

    /// All that one tap had said is taken back by one tap.
    fn undo_last_decision(&self, device: &DeviceId) -> Decision {
        let mut bodies = Vec::new();
        for event in self.visit.last_decision_of(device) {
            bodies.extend(self.undo_event(event.clone())?);
        }
        if bodies.is_empty() {
            return Err(refuse_nothing_to_do("this device has written nothing that stands"));
        }
        Ok(bodies)
    }
}
