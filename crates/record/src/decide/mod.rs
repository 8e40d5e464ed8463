//! From what a person asks for to the events that say it, or why not.
//!
//! The rules are those of the bench, not of the record: what is refused here is asked at the screen, where the answer can
//! be seen at once. A fact that a device brings is never refused; the ledger shows what it left open. [`Command::Mark`] is
//! the way to write down how a fastener stands whatever the rules say.

mod marks;
mod places;
mod reports;
mod tick;

use model::Book;
use model::plan::Plan;

use crate::names::BookByKey;
use crate::refusal::{Refusal, RefusalKind};
use crate::{EventBody, JournalCommand, Ledger, Visit};

/// What a deciding rule may look at.
pub(crate) struct DecisionContext<'a> {
    pub visit: &'a Visit,
    pub names: &'a BookByKey<'a>,
    pub plan: &'a Plan,
}

/// What is written down for a command, in this order.
pub type Decision = Result<Vec<EventBody>, Refusal>;

/// Turns a command into what it says.
///
/// # Errors
///
/// What stands against it and what would close that.
pub fn decide(visit: &Visit, book: &Book, plan: &Plan, command: JournalCommand) -> Decision {
    let names = BookByKey::new(book);
    let bench = DecisionContext { visit, names: &names, plan };
    check_visit_open(visit, &command)?;
    match command {
        JournalCommand::Begin { .. } | JournalCommand::Replan { .. } | JournalCommand::Close { .. } => {
            bench.decide_frame(command)
        }
        JournalCommand::Tick { step } => bench.tick_step(step, None, None),
        JournalCommand::TickFixing { step, fixing } => bench.tick_step(step, Some(&fixing), None),
        JournalCommand::TickHole { step, fastener } => {
            bench.tick_step(step, Some(&fastener.fixing), Some(&fastener.hole))
        }
        JournalCommand::Tap { fastener, way } => bench.tap_hole(&fastener, way),
        JournalCommand::Mark { fixing, holes, to, slot } => bench.mark_as(&fixing, &holes, to, slot),
        JournalCommand::Renew { fixing, holes } => bench.renew_holes(&fixing, holes),
        JournalCommand::Settle { fastener, to } => bench.settle_fastener(fastener, to),
        JournalCommand::PartOff { part } => bench.take_part_off(part),
        JournalCommand::PartOn { part } => bench.set_part_on(part),
        JournalCommand::Establish { condition } => bench.establish_condition(condition),
        JournalCommand::Restore { condition } => bench.restore_condition(condition),
        JournalCommand::Cap { opening, count } => bench.cap_opening(opening, count),
        JournalCommand::Uncap { opening, count } => bench.uncap_opening(opening, count),
        told => bench.decide_report(told),
    }
}

/// What holds of every command: the visit has begun and is not closed.
fn check_visit_open(visit: &Visit, command: &JournalCommand) -> Result<(), Refusal> {
    if visit.opened.is_none() && !matches!(command, JournalCommand::Begin { .. }) {
        return Err(Refusal::new(
            RefusalKind::NotBegun,
            "the visit has not begun",
            "begin it with a vehicle and a plan",
        ));
    }
    let after_the_end = matches!(
        command,
        JournalCommand::Undo { .. }
            | JournalCommand::UndoLast { .. }
            | JournalCommand::Note { .. }
            | JournalCommand::Picture { .. }
            | JournalCommand::Answer { .. }
    );
    if visit.closed.is_some() && !after_the_end {
        return Err(Refusal::new(RefusalKind::Closed, "the visit is closed", "take the closing back"));
    }
    Ok(())
}

impl DecisionContext<'_> {
    fn decide_frame(&self, command: JournalCommand) -> Decision {
        match command {
            JournalCommand::Begin { vehicle, name, odometer, book, store, plan } => {
                if self.visit.opened.is_some() {
                    return Err(Refusal::new(RefusalKind::Begun, "the visit has begun", "go on with it"));
                }
                require_text(&vehicle, "a letter for the vehicle")?;
                Ok(vec![EventBody::Opened { vehicle, name, odometer, book, store, plan }])
            }
            JournalCommand::Replan { plan, why } => Ok(vec![EventBody::Planned { plan, why }]),
            JournalCommand::Close { name } => {
                require_text(&name, "the name of who hands over")?;
                self.close_visit(EventBody::Closed { name })
            }
            _ => Ok(Vec::new()),
        }
    }

    /// The visit closes when nothing stands open but what was accepted.
    fn close_visit(&self, body: EventBody) -> Decision {
        let ledger = Ledger::draw_up(self.visit, self.names.book);
        let against = ledger.open_lines().map(crate::ledger::LedgerLine::to_refusal_reason).collect();
        Refusal::unless_empty(RefusalKind::LedgerOpen, against)?;
        Ok(vec![body])
    }
}

/// A text that must not be empty.
pub(crate) fn require_text(text: &str, what: &str) -> Result<(), Refusal> {
    if text.trim().is_empty() {
        return Err(Refusal::new(RefusalKind::NameWanted, format!("{what} is wanted"), "give it"));
    }
    Ok(())
}

pub(crate) fn refuse_unknown(what: &str, key: &str) -> Refusal {
    Refusal::new(
        RefusalKind::Unknown,
        format!("there is no {what} “{key}”"),
        "look whether book, plan and visit belong together",
    )
}

pub(crate) fn refuse_nothing_to_do(what: impl Into<String>) -> Refusal {
    Refusal::new(RefusalKind::NothingToDo, what, "nothing is left to do here")
}
