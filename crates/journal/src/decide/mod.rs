//! From what a person asks for to the events that say it, or why not.
//!
//! The rules are those of the bench, not of the record: what is refused here is asked at the screen, where the answer can
//! be seen at once. A fact that a device brings is never refused; the ledger shows what it left open. [`Command::Mark`] is
//! the way to write down how a fastener stands whatever the rules say.

mod marks;
mod places;
mod tick;
mod told;

use model::Book;
use model::plan::Plan;

use crate::names::Names;
use crate::refusal::{Refusal, Why};
use crate::{Body, Command, Ledger, Visit};

/// What a deciding rule may look at.
pub(crate) struct Bench<'a> {
    pub visit: &'a Visit,
    pub names: &'a Names<'a>,
    pub plan: &'a Plan,
}

/// What is written down for a command, in this order.
pub type Decision = Result<Vec<Body>, Refusal>;

/// Turns a command into what it says.
///
/// # Errors
///
/// What stands against it and what would close that.
pub fn decide(visit: &Visit, book: &Book, plan: &Plan, command: Command) -> Decision {
    let names = Names::of(book);
    let bench = Bench { visit, names: &names, plan };
    frame(visit, &command)?;
    match command {
        Command::Begin { .. } | Command::Replan { .. } | Command::Close { .. } => bench.frame(command),
        Command::Tick { step } => bench.tick(step, None, None),
        Command::TickFixing { step, fixing } => bench.tick(step, Some(&fixing), None),
        Command::TickHole { step, fastener } => {
            bench.tick(step, Some(&fastener.fixing), Some(&fastener.hole))
        }
        Command::Tap { fastener, way } => bench.tap(&fastener, way),
        Command::Mark { fixing, holes, to, slot } => bench.mark_as(&fixing, &holes, to, slot),
        Command::Renew { fixing, holes } => bench.renew(&fixing, holes),
        Command::Settle { fastener, to } => bench.settle(fastener, to),
        Command::PartOff { part } => bench.part_off(part),
        Command::PartOn { part } => bench.part_on(part),
        Command::Establish { condition } => bench.establish(condition),
        Command::Restore { condition } => bench.restore(condition),
        Command::Cap { opening, count } => bench.cap(opening, count),
        Command::Uncap { opening, count } => bench.uncap(opening, count),
        told => bench.told(told),
    }
}

/// What holds of every command: the visit has begun and is not closed.
fn frame(visit: &Visit, command: &Command) -> Result<(), Refusal> {
    if visit.opened.is_none() && !matches!(command, Command::Begin { .. }) {
        return Err(Refusal::new(
            Why::NotBegun,
            "the visit has not begun",
            "begin it with a vehicle and a plan",
        ));
    }
    let after_the_end = matches!(
        command,
        Command::Undo { .. }
            | Command::UndoLast { .. }
            | Command::Note { .. }
            | Command::Picture { .. }
            | Command::Answer { .. }
    );
    if visit.closed.is_some() && !after_the_end {
        return Err(Refusal::new(Why::Closed, "the visit is closed", "take the closing back"));
    }
    Ok(())
}

impl Bench<'_> {
    fn frame(&self, command: Command) -> Decision {
        match command {
            Command::Begin { vehicle, name, odometer, book, store, plan } => {
                if self.visit.opened.is_some() {
                    return Err(Refusal::new(Why::Begun, "the visit has begun", "go on with it"));
                }
                wanted(&vehicle, "a letter for the vehicle")?;
                Ok(vec![Body::Opened { vehicle, name, odometer, book, store, plan }])
            }
            Command::Replan { plan, why } => Ok(vec![Body::Planned { plan, why }]),
            Command::Close { name } => {
                wanted(&name, "the name of who hands over")?;
                self.closes(Body::Closed { name })
            }
            _ => Ok(Vec::new()),
        }
    }

    /// The visit closes when nothing stands open but what was accepted.
    fn closes(&self, body: Body) -> Decision {
        let ledger = Ledger::of(self.visit, self.names.book);
        let against = ledger.open().map(crate::ledger::Line::against).collect();
        Refusal::unless_none(Why::LedgerOpen, against)?;
        Ok(vec![body])
    }
}

/// A text that must not be empty.
pub(crate) fn wanted(text: &str, what: &str) -> Result<(), Refusal> {
    if text.trim().is_empty() {
        return Err(Refusal::new(Why::NameWanted, format!("{what} is wanted"), "give it"));
    }
    Ok(())
}

pub(crate) fn unknown(what: &str, key: &str) -> Refusal {
    Refusal::new(
        Why::Unknown,
        format!("there is no {what} “{key}”"),
        "look whether book, plan and visit belong together",
    )
}

pub(crate) fn nothing(what: impl Into<String>) -> Refusal {
    Refusal::new(Why::NothingToDo, what, "nothing is left to do here")
}
