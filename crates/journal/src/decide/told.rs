//! Things put in, pieces, happenings, waits, findings, breaks, counts, overrides, and taking back.

use super::{Bench, Decision, nothing, unknown, wanted};
use crate::ledger::LineKind;
use crate::refusal::{Refusal, Why};
use crate::visit::HappeningEnd;
use crate::{Body, Command, DeviceId, EventId, Ledger, PieceTo, is_another_method, look_again};

impl Bench<'_> {
    /// Commands that tell something; those of fasteners and places are decided elsewhere.
    pub(super) fn told(&self, command: Command) -> Decision {
        let body = match command {
            Command::Task { task, to } => return self.task(task, to),
            Command::Extra { step, to } => Body::Extra { step, to },
            Command::PutIn { count: 0, .. } => return Err(nothing("nothing is put in")),
            Command::PutIn { what, words, count, at } => Body::PutIn { what, words, count, at },
            Command::TakeOut { put_in, count } => return self.take_out(put_in, count),
            Command::Piece { piece, count, to } => return self.piece(piece, count, to),
            Command::Happened { what, at, words } => Body::Happened { what, at, words },
            Command::DealtWith { happening, how } => {
                self.is_open_happening(&happening)?;
                Body::DealtWith { happening, how }
            }
            Command::GiveUp { happening, searched, name } => {
                self.is_open_happening(&happening)?;
                wanted(&searched, "where and how it was searched")?;
                wanted(&name, "the name of who answers for going on")?;
                Body::GivenUp { happening, searched, name }
            }
            Command::BeginWait { waiting, at } => Body::WaitBegan { waiting, at },
            Command::EndWait { wait } => {
                let known = self.visit.waits.get(&wait).ok_or_else(|| unknown("wait", wait.as_str()))?;
                if known.over.is_some() {
                    return Err(nothing("it is over already"));
                }
                Body::WaitOver { wait }
            }
            Command::Find { words, price_from_cents, price_to_cents, if_left, at } => {
                Body::Found { words, price_from_cents, price_to_cents, if_left, at }
            }
            Command::Answer { finding, word, by } => {
                let known = self.visit.findings.contains_key(&finding);
                known.then_some(()).ok_or_else(|| unknown("finding", finding.as_str()))?;
                Body::Answered { finding, word, by }
            }
            Command::Read { reading, at } => Body::Read { reading, at },
            Command::Picture { picture, original, at } => Body::Pictured { picture, original, at },
            Command::Note { words, at } => Body::Noted { words, at },
            Command::Count { what, expected, counted } => Body::Counted { what, expected, counted },
            rest => return self.broken_off(rest),
        };
        Ok(vec![body])
    }

    fn broken_off(&self, command: Command) -> Decision {
        match command {
            Command::Pause { .. } if self.visit.pause().is_some() => Err(nothing("work rests already")),
            Command::Pause { words, at } => Ok(vec![Body::Paused { words, at }]),
            Command::Resume if self.visit.pause().is_none() => Err(nothing("work is going on")),
            Command::Resume => Ok(vec![Body::Resumed]),
            Command::LookAgain { event, method } => self.look(event, method),
            Command::Override { line, reason, name } => self.accept(line, reason, name),
            Command::Undo { event } => self.undo(event),
            Command::UndoLast { device } => self.undo_last(&device),
            _ => Err(nothing("nothing is asked for")),
        }
    }

    fn task(&self, key: String, to: crate::StepTo) -> Decision {
        let id = self.names.book.task_by_key(&key).ok_or_else(|| unknown("task", &key))?;
        let work = self.names.book.task(id).kind;
        Ok(vec![Body::Task { task: key, work, to }])
    }

    fn take_out(&self, put_in: EventId, count: Option<u16>) -> Decision {
        let known = self.visit.put_ins.get(&put_in);
        let left = known.ok_or_else(|| unknown("thing put in", put_in.as_str()))?.left;
        let count = count.unwrap_or(left);
        if left == 0 || count == 0 {
            return Err(nothing("it is out already"));
        }
        if count > left {
            let what = format!("{left} are in, {count} are said to come out");
            return Err(Refusal::new(Why::TooMany, what, "count them"));
        }
        Ok(vec![Body::TakenOut { put_in, count }])
    }

    fn piece(&self, piece: String, count: u16, to: PieceTo) -> Decision {
        let away = self.visit.pieces.get(&piece).map_or(0, crate::visit::Pieces::away);
        if count == 0 {
            return Err(nothing("no piece is moved"));
        }
        if to == PieceTo::Place && u32::from(count) > away {
            let what = format!("{away} of {piece} are out, {count} are said to come back");
            return Err(Refusal::new(Why::TooMany, what, "count them, and say where each was"));
        }
        Ok(vec![Body::Piece { piece, count, to }])
    }

    fn is_open_happening(&self, event: &EventId) -> Result<(), Refusal> {
        let known = self.visit.happenings.get(event).ok_or_else(|| unknown("happening", event.as_str()))?;
        match known.end {
            Some(HappeningEnd::DealtWith { .. }) => Err(nothing("it is dealt with already")),
            _ => Ok(()),
        }
    }

    /// A second look counts when it is another look.
    fn look(&self, event: EventId, method: String) -> Decision {
        wanted(&method, "how it was looked at")?;
        let items = look_again(self.visit);
        let item = items.iter().find(|i| i.work.stamp.event == event);
        let item = item.ok_or_else(|| unknown("work to look at again", event.as_str()))?;
        if !is_another_method(item, &method) {
            let closes = format!("look another way: {}", item.ways.join(", or "));
            return Err(Refusal::new(
                Why::SameMethod,
                format!("it was done or seen so before: {method}"),
                closes,
            ));
        }
        Ok(vec![Body::LookedAgain { event, method }])
    }

    fn accept(&self, line: String, reason: String, name: String) -> Decision {
        wanted(&reason, "a reason")?;
        wanted(&name, "the name of who answers for it")?;
        let ledger = Ledger::of(self.visit, self.names.book);
        let open = ledger.line(&line).ok_or_else(|| unknown("open line", &line))?;
        if open.kind == LineKind::Undecided {
            let closes = "look and say how it really stands";
            return Err(Refusal::new(Why::Undecided, open.what.clone(), closes));
        }
        Ok(vec![Body::Overridden { line, reason, name }])
    }

    fn undo(&self, event: EventId) -> Decision {
        let first = self.visit.opened.as_ref().map(|o| &o.stamp.event);
        if first == Some(&event) {
            let what = "the beginning of a visit is not taken back";
            return Err(Refusal::new(Why::Begun, what, "close the visit instead"));
        }
        Ok(vec![Body::Undone { event }])
    }

    /// All that one tap had said is taken back by one tap.
    fn undo_last(&self, device: &DeviceId) -> Decision {
        let mut bodies = Vec::new();
        for event in self.visit.last_decision_of(device) {
            bodies.extend(self.undo(event.clone())?);
        }
        if bodies.is_empty() {
            return Err(nothing("this device has written nothing that stands"));
        }
        Ok(bodies)
    }
}
